# Eine gewählte Datei, von der Seite gelesen.

plan-file-large = { $file } hat { $kb } kB; höchstens { $most } werden genommen. Ist es ein Plan oder die Musik einer einzigen Stimme?
plan-file-empty = { $file } ist leer. Dort, woher die Datei kommt, noch einmal speichern und neu wählen.
plan-file-unreadable = { $file } ist weder Plan noch Musik: Die Zeichen sind nicht zu lesen. Wenn ein Programm die Datei als Text geschrieben hat, dort als UTF-8 speichern und neu wählen.
plan-file-chosen = { $file } ist gewählt. Nichts wird geändert, ehe die Datei geholt wird.
plan-file-read = { $file } steht im Feld darunter. Nichts wird geändert, ehe die Datei geholt wird.
