# Die Seite der Leitung selbst; was ihre Skripte sagen, steht in conductor.ftl.

## Um das Raster herum.

conductor-page-title = { $section }, Leitung · Windrow
conductor-invented = erfundene Spieler
conductor-no-script = Diese Seite braucht JavaScript, um den Raum zu zeigen. Einschalten und die Seite neu laden.
say-label = sagen
notices-label = Zu wissen und zu entscheiden
raster-label = Pulsraster
section-label = Register
lanes-label = Spieler; auf und ab wählt, wen man anspricht, Enter öffnet die letzte Minute
more-players = Mitspielen: öffnen
tally-label = Wie viele in welchem Zustand sind

## Bedienung.

key-space = Leer
control-again = Nochmal
control-plan = Plan
control-more = Mehr
control-help = Hilfe
setup-music = Musik
setup-notes = Töne und Tick
setup-view = Ansicht
setup-pages = Seiten
tempo-label = Tempo, Schläge je Minute
tempo-unit = Schläge/min
per-beat-label = Unterteilung
per-beat-0 = gerade
per-beat-1 = Viertel
per-beat-2 = Achtel
per-beat-3 = Triolen
per-beat-4 = Sechzehntel
when-label = Wann Änderungen gelten
when-bar = ändern zum Takt
when-beat = ändern zum Schlag
when-exercise = ändern nach der Übung
count-in-label = Einzählen
count-in-0 = ohne Einzählen
count-in-1 = 1 Takt vor
count-in-2 = 2 Takte vor
turns-label = Wer wann spielt, ab dem nächsten Start
turns-together = zusammen
turns-down-the-line = der Reihe nach
turns-pairs = zu zweit
note-for-label = Wessen Ton
note-label = Der Ton, wie er klingt
voicing-label = Wie der Ton auf die Plätze verteilt wird, ab dem nächsten Start
voicing-unison = unisono
voicing-octaves = Oktaven
voicing-fifth = Grundton und Quinte
voicing-triad = Dreiklang
voicing-steps = drei Stufen
tuning-label = Wo die Töne eines Akkords liegen, ab dem nächsten Start
tuning-equal = gleichstufig
tuning-just = rein
tick-from-label = Woher der Tick kommt
tick-from-conductor = Tick von hier
tick-from-devices = Tick von jedem Gerät
tick-from-nobody = kein Tick
view-far = Größer
view-full = Vollbild
view-wall = Wand
wall-window = Wand in eigenem Fenster
wall-window-keys = Tasten dort: F Vollbild, L Bezeichnung, T Zählung, D größer
wall-labels-label = Was an der Wand für einen Spieler steht
wall-labels-parts = Wand: Stimmen
wall-labels-initials = Wand: Kürzel
wall-labels-chairs = Wand: Plätze
wall-tally = Wand: Anzahlen
page-plans = Pläne
page-results = Ergebnisse
page-weeks = Wochen
page-room = Raum
page-roster = Namensliste
page-access = Zugang

## Der Plan.

flow-label = wenn eine Übung zu Ende ist
flow-wait = auf mich warten
flow-go-on = nach der Pause von selbst weitergehen
exercises-label = Übungen; eine wählen
other-plans = Andere Pläne

## Hilfe.

help-title = So liest man diese Seite
help-raster = Die Zeit läuft nach rechts, zwei Takte breit. Jeder Strich ist ein Puls: seine Höhe ist die Tiefe (eine volle Zeile ist 16 dB), seine Breite 50 ms. Ein Strich, der seinen Schlag deckt, ist mit dem Schlag. Hohle Striche: Das Gerät hört auch andere, also wird über diesen Spieler nichts gesagt. Die kurze Linie neben einer Zeile ist die Mitte der Tonhöhe gegen den Ton. Unter den Ziffern zeigt ein Keil, wie das Vibrato wächst oder abnimmt, eine Gabel, wie es die Lautstärke tut.
help-open = Eine Zeile öffnet sich, wenn man sie antippt, oder mit Enter: die letzte Minute, mit Zahlen. „Folge: Dringendes zuerst“ setzt nach oben, wer ein Wort braucht, neu an jedem Taktstrich.
help-microphones = „Mikrofon übersteuert“: Das Gerät ist zu nah. „Klingt nach Headset“: das eigene Mikrofon des Geräts verwenden. „Gerät regelt die Lautstärke“: Die Tiefe ist nicht die des Spielers. Über die Tiefe wird dann nichts gesagt.
help-wall = Wand zeigt Stimmen, Kürzel oder Plätze statt Namen, und wie viele in welchem Zustand sind, damit niemand vor der Klasse beurteilt wird. In einem eigenen Fenster kann sie auf einem zweiten Bildschirm stehen, während diese Seite privat bleibt.
help-care-title = Auf sich achten
help-care-breath = Atempulse ermüden und können schwindlig machen. Pausen einplanen, jeden ohne Begründung pausieren lassen und aufhören, sobald jemandem schwindlig wird.
help-care-hearing = Lange, laute Proben schaden dem Gehör: den Tick nur so laut wie nötig, und Pausen. Auf dieser Seite blitzt nichts.
help-care-rules = Die Regeln der Schule oder des Ensembles und der Rat von Fachleuten für Gesundheit gehen dieser Seite vor.
help-tick-title = Der Tick dieses Computers
tick-sound-label = Klang
tick-sound-wood = Holz
tick-sound-bright = hell
tick-volume-label = Lautstärke
help-keys-title = Tasten
help-keys-music = Leertaste: Start und Stopp. Punkt: Stopp am Taktstrich. H: halten, was gespielt wird, und fortfahren; nach einem Stopp fortfahren in dem Takt, in dem es war. A: nochmal von vorn. N und B: nächste Übung und die davor. P: der Plan. − und +: langsamer und schneller um einen Metronomstrich.
help-keys-view = Auf und ab: jemanden wählen. Enter: die Zeile öffnen. Escape: schließen, und zurück zu dem, was die Seite vorschlägt. O: Folge. W: Wand. D: größer. F: Vollbild. M: mehr.
help-when = Änderungen warten auf den nächsten Taktstrich, auf den nächsten Schlag oder auf das Ende der Übung, wie man es wählt; ein Taktstrich, der zu nah ist, als dass jedes Gerät rechtzeitig davon hörte, wird ausgelassen.
help-keys-on = diese Tasten wirken überall auf der Seite

## Eine Zeile geöffnet.

opened-reading = Notenzeilen, die neueste unten. Höhe eines Strichs: Tiefe, eine volle Zeile ist 16 dB. Die dünne Linie: Mitte der Tonhöhe gegen den Ton, 50 Cent hinauf und hinunter. Worte stehen, wo der Raum begonnen hat, sie zu sagen.
opened-close = Schließen
