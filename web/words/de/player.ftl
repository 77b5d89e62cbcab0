# Die Seite der Spielenden, während gespielt wird: kurz, freundlich, genau; ein Satz hat auf dem Handy zwei Zeilen, also etwa 55 Zeichen.

play-title-ready = Bereit
play-title-rest = Pause
play-begin = Hör auf den Schlag, dann spiel mit.
play-before = Noch läuft nichts. Spiel: Hier siehst du deine Pulse.
play-after = Pause: Atme normal, bis wieder eingezählt wird.
play-your-note = Dein Ton
play-your-note-is = Dein Ton: { $note }
play-sounds = klingt { $note }
play-any-note = Ton nach Wahl
play-easy-note = einer, der dir leichtfällt
play-ahead = Lautstärke und Vibrato, wie sie für die nächsten Takte geschrieben sind
play-lane = Deine Pulse und der Schlag
play-legend = über der Punktlinie: tief genug
play-said = Wie es läuft
play-came-to = Was es geworden ist
play-centre-unit = Cent
play-unmeasured = nicht gemessen
play-goal = Ziel: { $goal }
play-exercise = Diese Übung
play-rest = Pause, bitte
play-back = Ich bin wieder da
play-more = Mehr
play-close = Schließen
play-care = Achte auf dich
play-care-air = Pulse kommen aus der Luft, nicht aus Druck. Wenn dir schwindelig wird: aufhören, hinsetzen, normal atmen. Drück „Pause, bitte“, wann immer du willst; niemand fragt, warum.
play-care-ears = Lass den Tick leise, vor allem im Kopfhörer, und gönn deinen Ohren Pausen von lautem Klang.
play-care-rules = Was deine Lehrkraft sagt, die Regeln der Schule und ärztlicher Rat gehen dieser Seite vor.
play-my-data = Was über mich gespeichert ist

## Wenn etwas im Weg ist.

play-listen-again = Wieder zuhören
play-unmeasured-until-then = Bis dahin kannst du dem Schlag folgen, ohne gemessen zu werden.
play-interrupted = Der Ton war unterbrochen: Du wirst gerade nicht gemessen. Es kommt von selbst zurück.
play-taken-away = Das Mikrofon ist weg. Beende Anrufe und Aufnahmen, dann drück „Wieder zuhören“.
play-listening-stopped = Das Zuhören ist stehen geblieben. Lade die Seite neu.
play-listening-did-not-start = Das Zuhören hat nicht begonnen: { $why }. Lade die Seite neu.
play-listen-too-old = dieser Browser ist zum Zuhören zu alt, nimm einen neueren
play-did-not-load = Der Teil zum Zuhören wurde nicht geladen. Ist das Gerät im WLAN des Raums? Dann lade die Seite neu.
play-screen = Dieser Browser kann den Bildschirm nicht anlassen: Stell in den Einstellungen des Geräts eine längere Zeit ein.
play-full = Dieses Gerät hat behalten, was es kann, seit der Raum zuletzt geantwortet hat: Das Älteste von dem, was du gespielt hast, geht jetzt verloren. Sag der Leitung Bescheid.
play-lost = Der Raum ist nicht zu erreichen; es wird weiter versucht. Was du spielst, wird so lange aufgehoben.
play-lost-advice = Ist das Gerät noch im WLAN des Raums? Wenn ja, richte die Kamera noch einmal auf das Muster.
play-lost-joining = Der Raum ist nicht zu erreichen; es wird weiter versucht. Ist das Gerät im WLAN des Raums?
play-way-socket = Mit dem Raum auf dem üblichen Weg verbunden.
play-way-line = Mit dem Raum über die langsame Leitung verbunden: Gerät oder Netz lassen keine andere durch. Alles geht; der Schlag ist vielleicht etwas weniger genau.

## Die Spur, für eine Stimme, die die Seite vorliest.

play-lane-unmeasured = Deine Spur: gerade nicht gemessen.
play-lane-silent = Deine Spur: kein Ton zu hören.
play-lane-heard = Deine Spur: { $what }.
play-lane-rate = { $hz } Pulse in der Sekunde
play-lane-depth = Tiefe { $db } dB
play-lane-centre = Tonhöhe { $cents } Cent
play-lane-straight = ein Ton ohne Pulse

## Was aus einem Stück Spiel geworden ist: ein Satz mit einer Sache, die zu tun ist.

came-matched = Du warst auf dem Schlag. Lass die Luft genau so.
came-matched-straight = Ein ruhiger, gerader Ton. Genau so weiter.
came-matched-free = Deine eigenen Pulse, gut zu hören. Weiter so.
came-slow = Lass nächstes Mal jeden Puls etwas früher kommen.
came-fast = Warte nächstes Mal vor jedem Puls auf den Tick.
came-early = Hör nächstes Mal erst den Tick, dann schwell an.
came-late = Schwell nächstes Mal etwas früher an.
came-sharp = Lass den Ton nächstes Mal sinken: warme, ruhige Luft.
came-flat = Lass nächstes Mal die Luft unter dem Ton fließen.
came-drifting-sharp = Er ist gestiegen: Lass den Mund, nur Luft bewegen.
came-drifting-flat = Er ist gesunken: Luft auch in den Tälern halten.
came-shallow = Der Puls ist da. Mach ihn nächstes Mal größer.
came-choked-valleys = Lass etwas Luft in den Tälern: leise, nicht stumm.
came-pitch-led = Kiefer und Lippen ruhig: Die Luft macht den Puls.
came-uneven = Ein Schwung auf jeden Tick: erst stetig, dann schnell.
came-uneven-straight = Dieser Ton ist gerade: Lass die Luft fließen.
came-straight = Ein klarer Ton. Nächstes Mal ein Luftstoß je Tick.
came-blended = Andere waren hier so laut wie du: Gerät näher heran.
came-not-heard = Stell das Gerät näher zu dir, dann spiel weiter.
came-unmeasured = Der Ton war unterbrochen, darum nicht gemessen.
came-unknown = Das hat dein Gerät gehört; der Raum war nicht erreichbar.
came-grew = Es ist nach und nach gewachsen. So ruhig weiter.
came-faded = Es ist nach und nach verklungen. So ruhig weiter.
came-grow-slower =
    { $of ->
        [one] Lass es langsamer wachsen, über den ganzen Schlag.
       *[other] Lass es langsamer wachsen, über alle { $of } Schläge.
    }
came-fade-slower =
    { $of ->
        [one] Lass es langsamer verklingen, über den ganzen Schlag.
       *[other] Lass es langsamer verklingen, über alle { $of } Schläge.
    }
came-turn-there = Der Gipfel lag, wo er steht. Behalte diesen Bogen.
came-turn-early = Spar dir Luft: Am lautesten ist Schlag { $beat }.
came-turn-late = Früher zurück: Am lautesten ist Schlag { $beat }.
came-hairpin-more = Beginne leiser, dann ist Platz zum Wachsen.

## Die Zahl davor steht groß: „19 | von 24 auf dem Tick“.

came-state-blended = vermischt
came-state-not-heard = nicht gehört
came-state-unmeasured = nicht gemessen
came-to-the-beat = auf den Schlag, verlangt { $asked }
came-on-ticks = von { $of } auf dem Tick
came-rate = Pulse in der Sekunde
came-cents = Cent
came-swing = Cent Schwankung
came-depth = dB tief
came-wobble = dB Puls
came-uneven-by = % ungleich
came-broke = von { $of } Tälern rissen ab
came-ms-early = ms zu früh
came-ms-late = ms zu spät
came-pulses =
    { $n ->
        [one] Puls
       *[other] Pulse
    }
came-beats-growing = von { $of } Schlägen gewachsen
came-beats-fading = von { $of } Schlägen verklungen
came-beat = Schlag { $beat }
came-loudest = am lautesten, geschrieben { $beat }
came-louder = dB lauter in der Mitte

## Was kommt.

coming-turn =
    { $n ->
        [1] du bist in 1 Schlag dran
       *[other] du bist in { $n } Schlägen dran
    }
coming =
    { $n ->
        [1] in 1 Schlag: { $what }
       *[other] in { $n } Schlägen: { $what }
    }
coming-straight = gerade
coming-free = frei
coming-rest = Pause
coming-silent = still
coming-full = volles Vibrato
coming-at-tempo = Tempo { $bpm }

## Ein Browser, der zu alt ist, oder eine Seite, die nicht angelaufen ist.

old-title = Dieser Browser ist zu alt
old-what = Er kann weder den Schlag halten noch dir zuhören. Bring ihn auf den neuesten Stand oder öffne diese Adresse in einem anderen Browser oder auf einem anderen Gerät.
old-versions = Es geht mit Chrome oder Edge 96, Firefox 114, Safari 15.4 (iPhone und iPad mit iOS 15.4) und allem, was neuer ist.
not-started-title = Die Seite ist nicht angelaufen
not-started-what = Lade sie neu. Wenn das nicht hilft, ist das Gerät vielleicht nicht mehr im WLAN des Raums, oder sein Browser ist zu alt.
