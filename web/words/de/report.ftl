# Proben, die vorbei sind: ihre Liste, der Bericht über eine, Dateien davon, und Dateien eines anderen Windrow.

report-rehearsals = Proben
report-rehearsals-page = Proben, { $section }
report-rehearsals-what = Was { $section } gespielt hat, die neueste Probe zuerst. Alles liegt allein auf diesem Rechner.
report-section-other = Anderes Register
report-section-show = Zeigen
report-years = Jahre
report-when = Wann
report-how-long = Wie lange
report-who-was-in = Spieler
report-n-runs = Durchgänge
report-what-kind = Was
report-open = Bericht
report-open-results = Ergebnisse, zum Durchsehen
report-open-of = { $what }, { $when }
report-invented = Erfunden: das hat niemand gespielt.
report-invented-short = erfunden
report-minutes = { $minutes ->
    [0] unter einer Minute
    [one] eine Minute
   *[other] { $minutes } Minuten
}
report-nothing-played = nichts gespielt
report-at-home = Üben und Aufnahmen
report-at-home-what = Was von zu Hause mitgebracht wurde, steht hier für sich; in keiner Zahl einer Probe ist es enthalten.
report-at-home-more = Und { $n } frühere; in den Dateien stehen alle.
report-kind-rehearsal = Probe
report-kind-practice = Üben zu Hause
report-kind-recording = Aufnahmen

## Ehe es etwas gibt.

report-none = Hier wird jede Probe stehen
report-none-one = Sobald jemand im Raum ist, steht die Probe in dieser Liste; nichts muss gesichert werden.
report-none-two = Ihr Bericht ist eine Seite zum Drucken: was gespielt wurde, wie sehr zusammen, was jeder erreicht hat und als Nächstes braucht.
report-none-three = Ihre Ergebnisse lassen sich wieder durchsehen, Durchgang für Durchgang, und als Dateien mitnehmen.

## Der Bericht über eine.

report-head = Bericht über eine Probe
report-head-practice = Üben zu Hause
report-head-recording = Aufnahmen, später gemessen
report-head-of = { $head }: { $names }
report-page = { $day } { $section }, Bericht
report-was-in = { $n ->
    [one] ein Spieler
   *[other] { $n } Spieler
}
report-print = Drucken
report-paper = Papier
report-all-rehearsals = Alle Proben
onward-rehearsals = Zu den Proben
report-past-report = Ihr Bericht
report-past-title = Ergebnisse, { $section }, { $day }
report-played = Was gespielt wurde
report-column-exercise = Übung
report-column-asked = verlangt
report-column-times = Male
report-column-lasted = gespielt
report-column-rest = dann Pause
report-column-matched = passte am Ende
report-column-together = zusammen
report-of = { $n } von { $of }
report-parts = { $first } bis { $last }, { $n } Teile
report-parts-same = { $first }, { $n } Teile
report-came-to = Was jeder erreicht hat
report-came-to-how = Das Wort des letzten Durchgangs jeder Übung; drei aufrechte Striche: passt. Zahlen, um zu wählen, was geübt wird, keine Noten.
report-short-choked-valleys = stumme Täler
report-next-music = in die Musik
report-next-what = Als Nächstes: nach den letzten Wochen, wie auf der Seite jedes Spielers; darunter, was zu Hause zu spielen ist.
report-column-player = Spieler
report-column-held = höchste gehalten
report-column-next = als Nächstes, und zu Hause
report-held-none = noch keine
report-held-what = Gehalten: vier Takte lang passte es, bei gleichbleibendem Tempo.
report-together-what = Zusammen: 1 heißt alle in einem Augenblick, 0 irgendwo.
report-room-check = Raumprobe
report-plan-as-run = Plan
report-plan-none = keiner verwendet: die Liste zum Einspielen
report-plan-at = { $title } (ab { $time })
report-nobody = In dieser Probe hat niemand gespielt.
report-only-results = Diese Probe stammt von einem früheren Windrow, das keine Durchgänge aufhob: Pulse und Ergebnisse der Abschnitte stehen in den Dateien.
report-gone-head = Diese Probe gibt es nicht
report-gone = Sie ist nicht hier oder wurde nach der Frist gelöscht, für die aufgehoben wird. Alle, die hier sind, stehen unter „Proben“.
report-failed-head = Das ging nicht
report-failed-records = Die Aufzeichnungen lassen sich gerade nicht lesen oder schreiben. Nichts wurde geändert; in einer Minute noch einmal versuchen.

## Dateien.

report-files = Dateien
report-files-all = Dateien aller Proben
report-files-what = Tabellen für eine Tabellenkalkulation oder ein Skript, und alles als JSON für ein anderes Windrow. <a href="/records-format">Was in welcher Spalte steht</a>
report-files-names = In diesen Dateien stehen Namen. Nur an die weitergeben, die es angeht.
report-files-without = ohne Namen: Spieler heißen nach ihren Plätzen
report-files-plans = Was in Plänen geschrieben wurde, bleibt, wie es ist.
report-file-results = Ergebnisse (.csv)
report-file-pulses = Jeder Puls (.csv)
report-file-everything = Alles (.json)
report-file-everything-all = Alles (.jsonl)

## Dateien eines anderen Windrow.

report-bring = Proben aus einem anderen Windrow holen
report-bring-what = Seine Dateien „Alles“ (.json oder .jsonl). Was schon hier ist, wird nicht zweimal genommen; im Zweifel kann also nichts schiefgehen.
report-bring-choose = Dateien
report-bring-text = oder der Text einer Datei, hier eingefügt
report-bring-do = Holen
report-bring-reading = { $file } wird gelesen …
report-bring-done = { $new ->
    [0] Nichts Neues: { $here ->
        [one] die Probe ist schon hier
       *[other] alle { $here } sind schon hier
    }.
    [one] Eine Probe ist gekommen, Spieler: { $players }, davon hier auf einer Liste: { $known }.{ $here ->
        [0] {""}
       *[other] {" "}Schon hier: { $here }.
    }
   *[other] { $new } Proben sind gekommen, Spieler: { $players }, davon hier auf einer Liste: { $known }.{ $here ->
        [0] {""}
       *[other] {" "}Schon hier: { $here }.
    }
}
report-bring-not = „{ $file }“ wurde nicht geholt, nichts davon wurde geändert: { $why }.
report-bring-not-line = „{ $file }“, Probe { $n }, wurde nicht geholt: { $why }. { $before ->
    [0] Nichts wurde geändert.
    [one] Die eine davor ist hier.
   *[other] Die { $before } davor sind hier.
}
report-bring-lost = der Server hat nicht geantwortet; noch einmal versuchen, nichts kommt zweimal
report-bring-pasted = der Text

## Was an einer Datei nicht stimmt. Ein Punkt folgt.

records-at = { $place }: { $text }
records-too-big = eine Probe hat { $mib } MiB; höchstens { $most } werden genommen
records-empty = die Datei ist leer
records-other = das ist keine Datei mit Proben aus Windrow: so eine Datei beginnt mit "format": "windrow.session"
records-newer = diese Datei hat Version { $is }, und dieses Windrow liest Version { $version }: ein neueres Windrow holen
records-version = muss { $version } sein
records-broken = die Datei ist beschädigt, in Zeile { $line }, Spalte { $column }: dort, wo sie gemacht wurde, noch einmal holen
records-ends-early = die Datei endet zu früh, in Zeile { $line }, Spalte { $column }: dort, wo sie gemacht wurde, noch einmal holen
records-no-session = darf nicht leer sein
records-kinds = müssen alle von einer Art sein
records-bad-id = muss aus 1 bis { $most } Buchstaben, Ziffern und Bindestrichen bestehen
records-twice = { $value } steht hier zweimal
records-no-time = muss eine Zeit wie 2026-11-25T18:00:00.000Z sein, ist aber "{ $text }"
records-chair-nought = Plätze zählen ab 1
records-lengths = alle Spalten müssen gleich lang sein
records-order = darf nicht vor began_us liegen
records-impossible = enthält eine Zahl, die größer ist als alles, was sein kann: die Datei dort, wo sie gemacht wurde, noch einmal holen
records-too-many = enthält { $n }, möglich sind höchstens { $most }
records-nobody = { $id } ist keiner der Spieler dieser Sitzung
records-part = Teil { $n } gibt es nicht, oder er steht hier zweimal
records-spans = jeder Spieler braucht so viele Abschnitte wie der Durchgang
records-score = lässt sich nicht spielen: nötig sind Abschnitte mit einer Länge und 1 bis 12 Schläge im Takt
records-player-elsewhere = { $name } gehört unter derselben Kennung schon zu einer anderen Probe hier
records-chair = Platz { $n }

## Was in welcher Spalte steht.

records-format-page = Dateien von Proben: was darin steht
records-format-head = Was in den Dateien steht
records-format-csv = Die Tabellen sind CSV nach RFC 4180: Kommas, Zeilen enden mit CR und LF, Felder in doppelten Anführungszeichen, wo es sein muss, UTF-8 mit einer Marke am Anfang (Python: encoding „utf-8-sig“), Dezimalpunkt in jeder Sprache, Zeiten nach ISO 8601 in UTC. Ein leeres Feld heißt, dass es nichts zu sagen gibt.
records-format-guard = Ein Text, den Menschen geschrieben haben und der mit = + - @, einem Tabulator oder Zeilenende beginnt, hat einen Apostroph davor, damit keine Tabellenkalkulation ihn für eine Formel hält. Ohne den einen Apostroph ist er wieder, wie er war.
records-format-json = Das JSON ist das Format windrow.session, Version 1: ein Objekt für jede Probe, in einer .jsonl-Datei eines auf jeder Zeile. Es enthält alles, was aufgehoben wird: Sitzungen, Spieler mit jedem Puls und jedem Ergebnis eines Abschnitts, Pläne, wie sie verwendet wurden, Raumproben, Partituren, und jeden Durchgang mit dem, was jeder erreicht hat. Sein <a href="/session-schema.json">Schema</a> (JSON Schema, draft 2020-12) erklärt jedes Feld.
records-format-script = Für Skripte: /conduct/rehearsals/ID/results.csv, pulses.csv und session.json, mit „all“ an der Stelle von ID für alle zusammen (sessions.jsonl); names=no lässt Namen weg. Auf der Kommandozeile: windrow records export.
records-format-column = Spalte
records-format-kind = Art
records-format-meaning = Bedeutung
records-text-begin = Die Spalten der Tabellen von Windrow. CSV nach RFC 4180, UTF-8 mit einer Marke am Anfang, Dezimalpunkte, Zeiten in UTC (ISO 8601), leere Felder, wo es nichts zu sagen gibt. Ein Text, den Menschen geschrieben haben und der mit = + - @ beginnt, hat einen Apostroph davor.
records-results-are = Eine Zeile für jeden Spieler, Durchgang und Teil eines Durchgangs (ein Tempo und ein Pulswert).
records-pulses-are = Eine Zeile für jeden Puls, dessen sich ein Gerät sicher war, Spieler für Spieler, in der Reihenfolge der Zeit. Ist eine Sitzung vorbei, werden Zeiten auf 0,1 ms aufgehoben, Tiefen auf 0,01 dB, Schwankungen und Tonhöhen auf 0,1 Cent.
records-kind-id = Kennung
records-kind-word = Wort
records-kind-text = Text
records-kind-time = Zeit
records-kind-whole = ganze Zahl
records-kind-number = Zahl
records-kind-truth = true oder false
records-column-rehearsal-id = Der Probe; Sitzungen einer Probe haben dieselbe.
records-column-session-id = Ein Lauf des Servers.
records-column-kind = rehearsal (Probe), practice (zu Hause) oder recording (Aufnahmen, später gemessen). Getrennt halten.
records-column-invented = Ob das niemand gespielt hat: gemacht, um zu zeigen, wie es aussieht.
records-column-section = Register oder Ensemble.
records-column-run = Nummer des Durchgangs durch eine Übung, ab 1; leer für einen Puls zwischen zwei Durchgängen.
records-column-exercise = Platz der Übung in ihrem Plan, ab 1.
records-column-exercise-name = Ihr Name, in der Sprache dessen, der die Datei geholt hat.
records-column-part = Nummer des Teils im Durchgang, ab 1: ein Tempo und ein Pulswert.
records-column-part-title = Was dort verlangt war, in Worten.
records-column-began-utc = Wann der Teil für diesen Spieler begann.
records-column-player-id = Ein Spieler einer Sitzung.
records-column-person-id = Derselbe Mensch in allen Proben einer Liste; leer bei einem Spitznamen.
records-column-name = Name damals.
records-column-instrument = Kurzname des Instruments, etwa alto-sax.
records-column-chair = Platz, ab 1.
records-column-target = pulses (Pulse), straight (gerader Ton) oder free (frei).
records-column-asked-per-beat = Verlangte Pulse auf den Schlag, 1 bis 8; leer, wo keine gezählt wurden.
records-column-bpm = Tempo am Anfang, Schläge in der Minute, 20 bis 300.
records-column-bpm-to = Tempo am Ende, wo es sich unterwegs änderte.
records-column-loosely = Ob das Maß nur gefühlt war: dann wird die Zeit nicht beurteilt.
records-column-bars = Takte, in denen dieser Spieler an der Reihe war.
records-column-asked-s = Zeit, in der der Spieler da war und nicht ruhte, Sekunden.
records-column-judged-s = Der Teil davon, der beurteilt werden konnte, Sekunden.
records-column-held = Ob die Stufe gehalten wurde: Pulse bei gleichbleibendem Tempo, mindestens vier Takte, in drei Vierteln der beurteilten Zeit passte es, mindestens die Hälfte der Zeit beurteilt.
records-column-state = Das Wort, das am längsten stand: matched (passt), slow, fast, early, late, sharp, flat, drifting-sharp, drifting-flat, shallow, choked-valleys, pitch-led, uneven, straight, resting, not-heard, blended, away.
records-column-trusted-share = Anteil der Zeit, in der das Gerät den eigenen Spieler gut genug hörte, 0 bis 1.
records-column-matched-share = Anteil der beurteilten Zeit, der passte, 0 bis 1.
records-column-n-pulses = Gefundene Pulse, 0 oder mehr.
records-column-pulse-rate-hz = Pulse in der Sekunde, Hz.
records-column-pulses-per-beat = Pulse auf den Schlag.
records-column-timing-ms = Median von Zeit des Pulses minus Schlag, Millisekunden; unter null ist zu früh. Nur von Geräten, deren Verzögerung gemessen wurde.
records-column-timing-spread-ms = Zirkuläre Standardabweichung der Abstände der Pulse vom Schlag, Millisekunden.
records-column-depth-db-pp = Pegel des Gipfels eines Pulses über seinem Tal, Dezibel, Spitze zu Spitze; in den Ergebnissen der Median.
records-column-swing-cents-pp = Ausschlag der Tonhöhe in einem Puls, Cent, Spitze zu Spitze; in den Ergebnissen der Median.
records-column-centre-cents = Mittlere Tonhöhe über ganze Pulse, Cent vom verlangten Ton.
records-column-drift-cents = Tonhöhe am Ende minus am Anfang, Cent.
records-column-from-straight-cents = Tonhöhe mit Pulsen minus die des eigenen geraden Tons davor, Cent.
records-column-evenness-cv = Standardabweichung der Abstände zwischen Pulsen durch ihr Mittel, 0 oder mehr.
records-column-calibrated = Ob die Verzögerung des Geräts gemessen war, sodass früh und spät wörtlich gelten.
records-column-time-utc = Wann der Puls seinen Gipfel hatte.
records-column-time-s = Dasselbe in Sekunden, seit der Server der Sitzung gestartet wurde.
records-column-mean-cents = Mittlere Tonhöhe des Pulses, Cent vom Ton; leer, wo der Ton zu sehr brach.
records-column-choked = Ob der Ton im Tal davor abbrach.
