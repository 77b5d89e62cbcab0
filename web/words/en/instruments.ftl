# The instruments, by the ends of their ids, and a part that nobody named: "flute 2".

instrument-piccolo = piccolo
instrument-flute = flute
instrument-alto-flute = alto flute
instrument-oboe = oboe
instrument-cor-anglais = cor anglais
instrument-clarinet-eb = clarinet in E flat
instrument-clarinet-bb = clarinet in B flat
instrument-clarinet-a = clarinet in A
instrument-bass-clarinet = bass clarinet
instrument-bassoon = bassoon
instrument-contrabassoon = contrabassoon
instrument-soprano-sax = soprano sax
instrument-alto-sax = alto sax
instrument-tenor-sax = tenor sax
instrument-baritone-sax = baritone sax
instrument-horn = horn
part-numbered = { $instrument } { $n }
