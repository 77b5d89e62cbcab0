# Was das Register gespielt hat: die Probe als Streifen, ein Durchgang noch einmal, alle Zahlen, und wie man sie liest.

review-title = Ergebnisse
review-page = Ergebnisse, { $section }
review-seen-by = Diese Seite ist nur für die Leitung und ihre Helfer.
review-summary = { $runs ->
    [one] Ein Durchgang, { $minutes ->
        [0] weniger als eine Minute gespielt
        [one] eine Minute gespielt
       *[other] { $minutes } Minuten gespielt
    }
   *[other] { $runs } Durchgänge, { $minutes ->
        [0] weniger als eine Minute gespielt
        [one] eine Minute gespielt
       *[other] { $minutes } Minuten gespielt
    }
}
review-summary-rest = { $played }, { $minutes ->
    [one] eine Minute dazwischen
   *[other] { $minutes } Minuten dazwischen
}

## Bevor etwas gespielt wurde.

review-none = Die Probe zum Durchsehen
review-none-begin = <a href="/conduct">Auf der Seite der Probe</a> eine Übung beginnen und einige Takte spielen lassen.
review-none-strip = Jeder Durchgang wird hier zu einer Spalte und jeder Spieler zu einer Zeile: der letzte Takt, wie er zu hören war, und eine Form, wo es nicht passte.
review-none-open = Wer ein Feld öffnet, spielt diesen Durchgang noch einmal ab. Rechts steht, was jeder als Nächstes braucht, darunter alle Zahlen.
review-none-wait = Das kommt von selbst; nichts muss neu geladen werden.

## Der Streifen.

review-strip = Die Probe, Durchgang für Durchgang
review-strip-how = Wie jeder in jedem Durchgang gespielt hat. Ein Feld öffnet seinen Durchgang zum Abspielen; die Pfeiltasten führen von Feld zu Feld.
review-section = Register
review-together = zusammen
review-parts = { $n } Teile
review-being-played = wird gespielt
review-needs = wer was braucht
review-practise = als Nächstes üben
review-field = { $name }, { $number }. { $exercise }:
review-legend = Jedes Feld: der letzte Takt mit Vibrato; ein volles Feld ist 16 dB tief; eine Form, wo es nicht passte. Zahlen oben: wie sehr zusammen, 1 ist alle in einem Augenblick. Ein Feld öffnen spielt den Durchgang noch einmal ab.
review-print = Drucken
review-all-figures = Alle Zahlen

## Was jemand braucht, nach dem, was im Weg stand.

review-need-matched = bereit für mehr
review-need-slow = etwas eher pulsen
review-need-fast = auf den Schlag warten
review-need-early = erst hören, dann schwellen
review-need-late = eher anschwellen
review-need-sharp = den Ton herunterlassen
review-need-flat = mehr Luft unter dem Ton
review-need-drifting-sharp = die Tonhöhe ruhen lassen
review-need-drifting-flat = die Tonhöhe ruhen lassen
review-need-shallow = größere Pulse
review-need-choked-valleys = Täler klingen lassen
review-need-pitch-led = Mund still, Luft bewegt
review-need-uneven = erst ruhig, dann viele
review-need-straight = ein Luftstoß auf jeden Schlag
review-need-blended = erst allein zu hören sein
review-need-not-heard = erst zu hören sein

## Was zu üben ist. $value ist eines von unten, $bpm ein Tempo.

review-how-faster = { $value } bei { $bpm }
review-how-next = was als Nächstes kommt
review-how-slower-then-back = { $value } bei { $bpm }, dann { $then }
review-how-slower = { $value } bei { $bpm }
review-how-with-tick = { $value } bei { $bpm }, mit hörbarem Schlag
review-how-deep = { $value } bei { $bpm }, tief
review-how-half-depth = { $value } bei { $bpm }, halb so tief
review-how-straight-then-pulses = ein gerader Ton, dann { $value } bei { $bpm }
review-how-one-on-each-tick = { $value } bei { $bpm }, genau auf den Schlag
review-how-straight-ease-straight = gerade, einschwingen, gerade
review-how-tune-then-pulses = ein gerader Ton, rein gestimmt, dann Pulse
review-how-straight = ein Ton, gerade gehalten
review-how-down-the-line = nacheinander, oder näher ans Gerät
review-how-microphone = zusammen nach dem Mikrofon sehen
review-value-1 = Viertel
review-value-2 = Achtel
review-value-3 = Triolen
review-value-4 = Sechzehntel
review-value-5 = Quintolen
review-value-6 = Sextolen
review-value-7 = Septolen
review-value-8 = Zweiunddreißigstel

## Ein Durchgang, noch einmal.

review-replay = Durchgang { $number }: { $name }
review-replay-play = Abspielen
review-replay-pause = Anhalten
review-replay-back = Takt zurück
review-replay-on = Takt vor
review-replay-half = Halbes Tempo
review-replay-tick = Schlag
review-replay-close = Schließen
review-replay-place = Takt
review-replay-bar = Takt { $bar }, { $second } von { $of } Sekunden
review-replay-bar-short = Takt { $bar } von { $of }
review-replay-loading = Der Durchgang wird geholt.
review-replay-gone = Dieser Durchgang ist nicht mehr als Bild da; seine Zahlen stehen unten.
review-replay-failed = Der Durchgang ist nicht angekommen: Ist der Raum noch offen? Schließen und noch einmal versuchen.
review-replay-silent = Der Schlag ist in diesem Browser nicht zu hören.
review-replay-scale = Höhe einer Marke: Tiefe, eine volle Zeile ist 16 dB; dünne Linie: Tonhöhe, eine volle Zeile ist 50 Cent
review-replay-players = Wer dabei war, und wie es in diesem Augenblick stand
review-replay-figures = Zahlen dieses Durchgangs
review-trouble-lost = Der Raum ist nicht zu erreichen; es wird weiter versucht.

## Die Zahlen.

review-run-exercise = Übung { $n }
review-run-players = Spieler in Durchgang { $n }
review-run-caption = Wie jeder in Durchgang { $n } gespielt hat
review-run-parts = Teil für Teil
review-run-parts-of = Durchgang { $n }, Teil für Teil
review-run-of = Durchgang { $n }
review-nothing-heard = nichts zu hören
review-not-judged = kein Urteil
review-column-player = Spieler
review-column-state = ergab
review-column-matched = passt
review-column-heard = gehört
review-column-pulses = Pulse
review-column-rate = Rate
review-column-per-beat = je Schlag
review-column-timing = zum Schlag
review-column-depth = Tiefe
review-column-swing = Schwankung
review-column-centre = Tonhöhe
review-column-drift = Wanderung
review-column-from-straight = zum geraden Ton
review-column-evenness = Abstände
review-unit-cents = Cent
review-unit-hz = Hz
review-unit-ms = ms
review-unit-db = dB
review-nobody-judged = Über niemanden ließ sich etwas sagen.
review-matched-in-the-end = Am Ende passte es bei { $n } von { $of }, über die sich etwas sagen ließ.
review-matched-in-the-end-of-time = Am Ende passte es bei { $n } von { $of }, über die sich etwas sagen ließ; in { $percent } % dieser Zeit.
review-together-line = Zusammen: { $together } (1 ist alle in einem Augenblick, 0 irgendwo).
review-together-line-spread = Zusammen: { $together } (1 ist alle in einem Augenblick, 0 irgendwo), Streuung { $spread } ms, { $mean }.
review-mean-early = im Mittel { $ms } ms zu früh
review-mean-late = im Mittel { $ms } ms zu spät
review-mean-on = im Mittel auf dem Schlag
review-helped-next = Als Nächstes zu helfen: { $names }.
review-helped-one = { $chair } { $name } ({ $state })
review-eased = in { $beats } Schlägen eingeschwungen
review-hairpin-depth = die Tiefe folgt der Lautstärke { $r }
review-hairpin-rate = die Rate folgt der Lautstärke { $r }
review-hairpin-peak = am lautesten nach { $percent } % (geschrieben { $asked })
review-hairpin-none = kaum eine Gabel zu hören

## Wie man sie liest.

review-reading = Wie man das liest
review-reading-state = das Wort, das am längsten stand, unter denen, die etwas über das Spielen sagen; wo eine Übung gerade Töne und Vibrato verlangt, das zum Vibrato. „Kein Urteil“: gehört, aber zu kurz. „Vermischt“: Das Gerät konnte seinen Spieler nicht von den Nachbarn trennen, und über den Spieler wird nichts gesagt. „Pause“: hat pausiert oder war nicht dran.
review-reading-shares = passt, gehört
review-reading-shares-are = Anteil der beurteilten Zeit, in der alles gut war, und Anteil der verlangten Zeit, in der das Gerät den eigenen Spieler gut genug hörte. Pausen, Vorzähler und andere, die dran sind, zählen nicht.
review-reading-rate = Rate, je Schlag
review-reading-rate-is = Pulse in der Sekunde und auf einen Schlag; von einer ganzen Übung nur, wo sie überall dasselbe verlangt.
review-reading-timing-is = wie weit Pulse nach dem Schlag (+) oder davor (−) kommen, bei Geräten, deren Verzögerung gemessen ist („Meine Zeit einstellen“).
review-reading-depth = Tiefe, Schwankung
review-reading-depth-is = wie weit die Lautstärke eines Pulses in sein Tal fällt, und wie weit sich die Tonhöhe bewegt; der mittlere aller Pulse.
review-reading-centre = Tonhöhe, Wanderung, zum geraden Ton
review-reading-centre-is = mittlere Tonhöhe über dem Ton; wie sie von Anfang bis Ende gewandert ist; wie weit sie vom eigenen geraden Ton davor liegt.
review-reading-evenness-is = Streuung der Abstände zwischen Pulsen, geteilt durch ihr Mittel. Konzertgeiger haben etwa 18 % von Puls zu Puls (Small, in Seashore 1938).
review-reading-together-is = wo alle Pulse zum Schlag stehen: 1 ist alle in einem Augenblick, 0 irgendwo.
review-reading-needs-are = aus allen Durchgängen bisher, spätere zählen mehr: was am längsten im Weg stand, wenn es ein Viertel dessen ausmacht, was sich beurteilen ließ; sonst der schnellste Wert, der passte, eine Metronomzahl schneller. Die Anteile haben wir selbst gewählt.
review-first-attempts = Erste Versuche sind rau, und das ist so gedacht. Die Zahlen helfen auszusuchen, was man übt; sie sind keine Noten.

## Fürsorge. Zahlen mit ihren Quellen.

review-care = Ohren und Atem
review-care-reminds = Windrow erinnert nach zehn Minuten Spiel ohne zwei Minuten Pause und nach zwanzig lauten Minuten (forte oder mehr war verlangt) von den letzten dreißig. Diese Zahlen haben wir selbst gewählt: Gesundheitliche Ratschläge für Musiker verlangen regelmäßige Pausen und nennen keine Minuten.
review-care-levels = Wie laut es im Raum ist, weiß Windrow nicht: Telefone nennen Pegel unter ihrer eigenen Vollaussteuerung, keine Schallpegel. Ein Schallpegelmesser und die Regeln der Schule entscheiden. Für Arbeitende empfiehlt NIOSH höchstens 85 dB(A) über acht Stunden und für je 3 dB mehr die halbe Zeit: 94 dB(A) für eine Stunde, 100 für eine Viertelstunde (Veröffentlichung 98-126, 1998). In der Europäischen Union müssen Arbeitgeber ab 80 und 85 dB(A) über acht Stunden handeln, und 87 ist die Grenze (Richtlinie 2003/10/EG; aus dem Gedächtnis). Für Kinder, die Geräten zuhören, rechnen WHO und ITU mit 75 dB(A) für vierzig Stunden in der Woche (H.870, 2019). Proben von Blasorchestern waren oft lauter: sechs von zehn maßen 90 dB(A) oder mehr (Owens 2004).
review-care-stop = Wem schwindlig wird, der hört auf, setzt sich und atmet wie gewohnt. Schmerz ist ein Grund aufzuhören, für diesen Tag.
