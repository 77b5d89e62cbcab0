# Die Instrumente, nach dem Ende ihrer Namen, und eine Stimme, die niemand benannt hat: „Flöte 2“.

instrument-piccolo = Piccolo
instrument-flute = Flöte
instrument-alto-flute = Altflöte
instrument-oboe = Oboe
instrument-cor-anglais = Englischhorn
instrument-clarinet-eb = Es-Klarinette
instrument-clarinet-bb = B-Klarinette
instrument-clarinet-a = A-Klarinette
instrument-bass-clarinet = Bassklarinette
instrument-bassoon = Fagott
instrument-contrabassoon = Kontrafagott
instrument-soprano-sax = Sopransaxofon
instrument-alto-sax = Altsaxofon
instrument-tenor-sax = Tenorsaxofon
instrument-baritone-sax = Baritonsaxofon
instrument-horn = Horn
part-numbered = { $instrument } { $n }
