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

## Those who play it, spoken to: “Flutes, wait for the tick.”

players-piccolo = Piccolos
players-flute = Flutes
players-alto-flute = Alto flutes
players-oboe = Oboes
players-cor-anglais = Cors anglais
players-clarinet-eb = E flat clarinets
players-clarinet-bb = Clarinets
players-clarinet-a = A clarinets
players-bass-clarinet = Bass clarinets
players-bassoon = Bassoons
players-contrabassoon = Contrabassoons
players-soprano-sax = Soprano saxes
players-alto-sax = Alto saxes
players-tenor-sax = Tenor saxes
players-baritone-sax = Baritone saxes
players-horn = Horns
