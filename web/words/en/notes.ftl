# Names of notes as wind players spell them: flats, but F sharp. The figure of the octave follows (C4 is middle C).

note-c = C
note-d-flat = D♭
note-d = D
note-e-flat = E♭
note-e = E
note-f = F
note-f-sharp = F♯
note-g = G
note-a-flat = A♭
note-a = A
note-b-flat = B♭
note-b = B

# As it sounds, and as the one player reads it.
note-and-reads = { $note } (reads { $written })

## The same for a voice that reads the page aloud.

spoken-note-c = C
spoken-note-d-flat = D flat
spoken-note-d = D
spoken-note-e-flat = E flat
spoken-note-e = E
spoken-note-f = F
spoken-note-f-sharp = F sharp
spoken-note-g = G
spoken-note-a-flat = A flat
spoken-note-a = A
spoken-note-b-flat = B flat
spoken-note-b = B
