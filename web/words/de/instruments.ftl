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

## Die es spielen, angesprochen: „Flöten, auf den Schlag warten.“

players-piccolo = Piccolos
players-flute = Flöten
players-alto-flute = Altflöten
players-oboe = Oboen
players-cor-anglais = Englischhörner
players-clarinet-eb = Es-Klarinetten
players-clarinet-bb = Klarinetten
players-clarinet-a = A-Klarinetten
players-bass-clarinet = Bassklarinetten
players-bassoon = Fagotte
players-contrabassoon = Kontrafagotte
players-soprano-sax = Sopransaxophone
players-alto-sax = Altsaxophone
players-tenor-sax = Tenorsaxophone
players-baritone-sax = Baritonsaxophone
players-horn = Hörner
