# Die erste Minute: das erdachte Register, und was eine Seite sagt, solange nichts auf ihr steht: was hier ist, was zu tun ist,
# was dann geschieht.

## Die Seite der Probe, solange niemand da ist. "empty-title" steht, bis der Raum sagt, wie seine Tür ist.

empty-title = Der Raum ist offen, und noch ist niemand da
empty-closed = Niemand Neues kommt herein.
empty-closed-do = Den Raum unter „Zugang“ öffnen
empty-pattern = Muster für die Kamera eines Telefons; es führt zu { $address } mit dem Code { $code }
empty-address = im WLAN des Raums öffnen
empty-code = Code
empty-steps = Was jetzt zu tun ist
empty-let-in = Die Spieler hereinlassen
empty-let-in-then = Ein Telefon liest das Muster, oder sein Spieler tippt Adresse und Code. Jeder Name erscheint hier, sobald er da ist.
empty-start = Start drücken
empty-start-then = Ein Takt wird vorgezählt. Dann steht jeder Puls gegen die Schläge da, eine Zeile für jeden Spieler.
empty-say = Sagen, was die Seite vorschlägt
empty-say-then = Eines, zu einem Spieler; es steht oben. Dann Nochmal oder Weiter.
empty-room = Raum: wer wo sitzt
empty-plans = Pläne: was geübt wird
empty-roster = Liste: Namen zum Antippen
empty-sound-stays = Die Geräte senden, was sie gemessen haben, nie den Klang.

## Das erdachte Register.

try-come = Mit einem erdachten Register ausprobieren
try-come-then = Acht erfundene Spieler setzen sich hierher und spielen, was gestartet wird; bei sechs von ihnen gibt es etwas zu verbessern. Nichts von ihnen wird behalten; sie gehen auf Wunsch, oder wenn ein Spieler kommt.
try-plan = Ausprobieren
try-plan-named = Mit einem erdachten Register ausprobieren: { $title }
try-plan-then = Gerade ist niemand da. „Ausprobieren“ lässt ein erdachtes Register kommen und einen Plan spielen; nichts davon wird behalten.
try-mark = erdacht
try-here = Erdachte Spieler
try-here-then = Sie sind erfunden, und nichts von ihnen wird behalten. Sie gehen, wenn ein Spieler kommt.
try-results = Erdachte Spieler: Was sie gespielt haben, steht hier, bis sie gehen, und wird nirgends behalten.
try-leave = Wegschicken
try-taken-title = Es sind Spieler da
try-taken = Das erdachte Register sitzt nie zwischen echten Spielern. Bitte erst, wenn niemand da ist.
try-ended-title = Der Raum ist zu Ende
try-ended = Windrow wird gerade beendet. Neu starten und dann diese Seite noch einmal laden.

## Andere Seiten, auf denen noch nichts ist.

empty-own-plans = Noch keine. Am schnellsten geht es so: bei einem, der fast passt, „Kopieren und bearbeiten“ drücken und ändern, was zum Register nicht passt.
empty-list = Noch steht niemand in der Liste. Mit einer Liste tippen Spieler ihren Namen an, statt ihn zu schreiben, behalten ihren Platz und sind nächste Woche bekannt. Hier den ersten eintragen; oder ohne Liste beginnen und später aufnehmen, wer gekommen ist.
empty-mine = Über dieses Gerät ist nichts gespeichert. Sobald du mit ihm in einer Probe warst und gespielt hast, steht alles Gespeicherte hier: wann, was gemessen wurde, und wie du es mitnimmst oder löschst.
empty-seats = Hier stehen die Spieler mit Namen, Platz für Platz, sobald sie hereinkommen. Sie richten die Kamera auf das Muster. Dann den Raum prüfen: Es zeigt sich, welche Pulte zu nah beieinander stehen.

## Wohin eine Seite weiterführt, die nur etwas sagt.

onward-code = Code eintippen
onward-rehearsal = Zur Probe
onward-sign-in = Anmelden
onward-plans = Zu den Plänen
