# Namen der Töne, wie Bläser sie schreiben: mit b, nur Fis mit Kreuz. B ist der Ton unter H. Die Ziffer der Oktave folgt (C4 ist das eingestrichene C).

note-c = C
note-d-flat = Des
note-d = D
note-e-flat = Es
note-e = E
note-f = F
note-f-sharp = Fis
note-g = G
note-a-flat = As
note-a = A
note-b-flat = B
note-b = H

# Wie er klingt, und wie der eine Spieler ihn liest.
note-and-reads = { $note } (liest { $written })

## Dasselbe für eine Stimme, die die Seite vorliest.

spoken-note-c = C
spoken-note-d-flat = Des
spoken-note-d = D
spoken-note-e-flat = Es
spoken-note-e = E
spoken-note-f = F
spoken-note-f-sharp = Fis
spoken-note-g = G
spoken-note-a-flat = As
spoken-note-a = A
spoken-note-b-flat = B
spoken-note-b = H
