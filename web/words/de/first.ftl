# The first minute: the imaginary section, and what a page says while there is nothing on it yet.

try-taken-title = Es sind Spieler da
try-taken = Das erdachte Register sitzt nie zwischen echten Spielern. Bitte erst, wenn niemand da ist.
try-ended-title = Der Raum ist zu Ende
try-ended = Windrow wird gerade beendet. Neu starten und dann diese Seite noch einmal laden.
