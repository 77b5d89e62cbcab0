# Ein Spieler über die Wochen, für ihn selbst und für die Leitung: Deshalb wird niemand angesprochen und niemand verglichen.

weeks-mine-title = Meine Wochen
weeks-mine-heading = Wie es bisher lief
weeks-page = { $name } über die Wochen
weeks-held-means = Gehalten heißt: vier Takte lang in einem Tempo gepasst.
weeks-invented = Erfundene Spieler: Das hat niemand gespielt.
weeks-of-devices = Dieses Gerät ist für diesen Namen neu und zeigt deshalb nur, was es selbst aufgezeichnet hat. Bitte deine Leitung, es in der Namensliste zu bestätigen.
weeks-no-script = Diese Seite braucht JavaScript, um zu zeigen, dass du es bist, der fragt. Schalte es ein und lade die Seite neu.
weeks-nothing = Für dieses Gerät ist noch nichts gespeichert. Nach der ersten Probe stehen hier seine Wochen.
weeks-nobody = Niemand in der Liste heißt noch so.
weeks-none = Noch wurde nichts gespielt.
weeks-none-then = Nach der ersten Probe: welche Stufe gehalten wurde, wie nah die Pulse am Schlag liegen, wie tief und wie gleichmäßig sie sind und was als Nächstes zu üben ist.
weeks-busy = Der Computer der Leitung kann gerade nicht antworten. Lade diese Seite gleich noch einmal.
weeks-unreachable = Der Computer der Leitung ist nicht zu erreichen. Ist dieses Gerät im WLAN des Raums? Dann lade diese Seite neu.
weeks-to-mine = Was über mich gespeichert ist
weeks-to-weeks = Wie es über die Wochen lief
weeks-to-rehearsal = Zur Probe
weeks-section = Das Register über die Wochen
weeks-print = Drucken

## Stufen.

weeks-rung = { $value } bei { $bpm }

## Was besser wurde. Eine Zahl jetzt und davor.

weeks-better = Was besser wurde
weeks-better-rung = Neu gehalten, seit { $date }: { $rung }. Vorher: { $before }.
weeks-better-first = Neu gehalten, seit { $date }: { $rung }, die allererste Stufe.
weeks-better-matched = Passt öfter: jetzt { $now } % der Zeit, vorher { $before } %.
weeks-better-timing-spread = Die Pulse liegen näher am Schlag: jetzt ±{ $now } ms, vorher ±{ $before } ms.
weeks-better-rate = Die Pulse treffen das Tempo besser: jetzt { $now } % daneben, vorher { $before } %.
weeks-better-evenness = Die Pulse sind gleichmäßiger: Ihre Abstände schwanken jetzt um { $now } %, vorher um { $before } %.
weeks-better-depth = Die Pulse sind größer: jetzt { $now } dB tief, vorher { $before } dB.
weeks-better-centre = Der Ton bleibt beim Pulsen näher an seiner Höhe: jetzt { $now } Cent daneben, vorher { $before } Cent.
weeks-better-from-straight = Die Tonhöhe ruht: beim Pulsen jetzt { $now } Cent vom geraden Ton entfernt, vorher { $before } Cent.
weeks-better-early = Erst nach vier Wochen lässt sich Fortschritt von einem guten Tag unterscheiden. Jede Probe zählt.
weeks-better-none = Zuletzt hat sich nichts stärker verändert, als es von Woche zu Woche schwankt. Das geht allen so.

## Was als Nächstes kommt und warum.

weeks-next = Als Nächstes: { $rung }
weeks-next-nothing = Als Nächstes: die erste Probe
weeks-next-music = Als Nächstes: in die Musik
weeks-why-nothing = Noch war nichts zu hören. Danach steht hier, was zu üben ist.
weeks-why-first-pulses = Zuerst kamen gerade Töne. Vibrato beginnt mit einem Puls auf jeden Schlag.
weeks-why-away = Seit { $n } Wochen wurde nichts gespielt. Zuletzt gehalten: { $held }. Etwas langsamer anfangen: Es kommt schnell zurück.
weeks-why-away-freely = Seit { $n } Wochen wurde nichts gespielt. Langsam anfangen: Es kommt schnell zurück.
weeks-why-too-fast = In { $n } Wochen versucht und noch nicht gehalten: { $tried }. Etwas langsamer geht es, und dann wächst es.
weeks-why-not-yet = Versucht und noch nicht gehalten: So fängt es an.
weeks-why-not-yet-helps = Versucht und noch nicht gehalten: So fängt es an. Was hilft: { $need }.
weeks-why-stuck = Vorerst hier bleiben. In { $n } Wochen versucht und noch nicht gehalten: { $tried }.
weeks-why-stuck-helps = Vorerst hier bleiben. In { $n } Wochen versucht und noch nicht gehalten: { $tried }. Was hilft: { $need }.
weeks-why-deepen = Hier bleiben und die Pulse größer machen: Sie sind { $db } dB tief, { $wanted } dB sollen es sein.
weeks-why-at-home = Zu Hause ging schon mehr als { $held }.
weeks-why-try-again = Bisher gehalten: { $held }. Was darüber liegt, wurde versucht und noch nicht gehalten.
weeks-why-once-more = In einer Woche gehalten. Noch einmal, dann ist es sicher.
weeks-why-onwards = Zuletzt in { $n } Wochen gehalten: { $held }.
weeks-why-musical = Gehalten: { $held }. Schnellere Pulse sind kein Vibrato mehr: wachsen und abnehmen lassen, ein- und ausschwingen.
weeks-home = Zu Hause: { $exercise }, { $n } Atemzüge, dann Pause.
weeks-home-plan = Zu Hause: der Plan von der Leitung, „{ $plan }“.
weeks-care = Schwindlig? Aufhören, hinsetzen, normal weiteratmen.

## Auswahl.

weeks-choose-value = Pulse
weeks-choose-span = Zeitraum
weeks-choose-instrument = Instrument
weeks-span-12 = zwölf Wochen
weeks-span-52 = ein Jahr
weeks-span-all = alles

## Die Bilder.

weeks-chart-stair = Gehaltene Stufe, { $value }, Schläge in der Minute
weeks-chart-stair-is = Durchgezogen: die höchste Stufe, die bisher in Proben gehalten wurde. Offenes Kästchen: versucht, noch nicht gehalten. Ring: zu Hause gehalten. Gepunktet: in keiner Probe.
weeks-chart-stair-none = In dieser Zeit wurde keine solche Stufe versucht.
weeks-now = { $bpm }, seit { $date }
weeks-tried = { $bpm } versucht
weeks-away = ohne Probe
weeks-chart-timing = Zeitpunkt, ms
weeks-chart-timing-is = Linie: wie weit die Pulse vom Schlag entfernt liegen. Band: wie sehr sie streuen. Gepunktet: ±25 ms, gut. Ring: zu Hause.
weeks-chart-spread = Um den Schlag, ms
weeks-chart-spread-is = Wie sehr die Pulse um den Schlag streuen; weniger ist näher. Gepunktet: 25 ms, gut. Ring: zu Hause.
weeks-tick = Schlag
weeks-early = zu früh
weeks-late = zu spät
weeks-now-spread = zuletzt: ±{ $ms } ms
weeks-now-early = zuletzt: { $ms } ms zu früh, ±{ $spread }
weeks-now-late = zuletzt: { $ms } ms zu spät, ±{ $spread }
weeks-now-on = zuletzt: auf dem Schlag, ±{ $spread }
weeks-chart-rate = Schnelligkeit, % vom Tempo
weeks-chart-rate-is = Linie: wie viel schneller oder langsamer als gefordert die Pulse waren. Band: wie ungleich sie aufeinander folgen. Gepunktet: ±3 %, passt. Ring: zu Hause.
weeks-as-asked = gefordert
weeks-faster = schneller
weeks-slower = langsamer
weeks-now-percent = zuletzt: { $percent } %
weeks-now-percent-even = zuletzt: { $percent } %, ±{ $even } %
weeks-chart-depth = Tiefe, dB
weeks-chart-depth-is = Wie tief die Pulse sind, von der Spitze zum Tal. Gepunktet: 3 dB, tief genug zum Hören. Ring: zu Hause.
weeks-now-db = zuletzt: { $db } dB
weeks-chart-swing = Tonschwankung, Cent
weeks-chart-swing-is = Wie weit die Tonhöhe mit jedem Puls schwankt. Gepunktet: 30 Cent; darüber pulst vielleicht die Tonhöhe statt der Luft. Ring: zu Hause.
weeks-now-cents = zuletzt: { $cents } Cent
weeks-chart-centre = Tonhöhe, Cent vom Ton
weeks-chart-centre-is = Linie: beim Pulsen. Gestrichelt: gerade Töne. Gepunktet: ±10 Cent, gut. Ring: zu Hause.
weeks-note = Ton
weeks-sharp = zu hoch
weeks-flat = zu tief
weeks-now-centre = pulsend { $cents }
weeks-now-straight = gerade { $cents }
weeks-chart-minutes = Minuten gehört
weeks-chart-minutes-is = Gefüllt: in Proben. Offen: zu Hause.

## Die Tabelle.

weeks-figures = Alle Zahlen als Tabelle
weeks-figures-of = Zahlen nach Wochen
weeks-column-week = Woche ab
weeks-column-where = Wo
weeks-column-held = Gehalten
weeks-column-tried = Versucht
weeks-column-asked = Verlangt
weeks-column-heard = Gehört
weeks-column-matched = Passt
weeks-column-timing = Zeitpunkt
weeks-column-spread = Um den Schlag
weeks-column-rate = Tempo
weeks-column-evenness = Ungleich
weeks-column-depth = Tiefe
weeks-column-swing = Tonschwankung
weeks-column-pulsing = Höhe, pulsend
weeks-column-straight = Höhe, gerade
weeks-column-from-straight = Vom geraden Ton
weeks-column-drift = Drift, pulsend
weeks-column-drift-straight = Drift, gerade
weeks-unit-min = min
weeks-unit-percent = %
weeks-unit-ms = ms
weeks-unit-db = dB
weeks-unit-cents = Cent
weeks-in-rehearsal = Probe
weeks-at-home = zu Hause
weeks-reading = So liest man das
weeks-reading-weeks = Eine Woche geht von Montag bis Sonntag, nach Weltzeit. Eine Woche ohne Probe bleibt leer und wird nicht ergänzt.
weeks-reading-of = Stufen, Zeitpunkt, Tempo, Tiefe und Tonschwankung gehören zu den oben gewählten Pulsen; Minuten, Zeit, die passt, und Tonhöhe zu allem, was gespielt wurde.
weeks-reading-middle = Von jeder Woche steht der mittlere Wert hier; längere Abschnitte zählen mehr.
weeks-reading-better = Besser wurde, was sich in den letzten Wochen von ebenso vielen davor stärker unterscheidet, als sie untereinander schwanken, und so viel, dass man es hören kann.
weeks-reading-drift = Drift: Tonhöhe am Ende minus am Anfang. Vom geraden Ton: Tonhöhe beim Pulsen minus die des eigenen geraden Tons.
weeks-reading-home = Was zu Hause gespielt wurde, steht für sich und ändert keine Zahl der Proben.

## Tage.

weeks-date = { $day }. { $month }
weeks-date-year = { $day } { $year }
weeks-month-1 = Jan.
weeks-month-2 = Febr.
weeks-month-3 = März
weeks-month-4 = April
weeks-month-5 = Mai
weeks-month-6 = Juni
weeks-month-7 = Juli
weeks-month-8 = Aug.
weeks-month-9 = Sept.
weeks-month-10 = Okt.
weeks-month-11 = Nov.
weeks-month-12 = Dez.
