# Was eine Übung verlangt, wie eine Lehrkraft es sagen würde; und ein Plan zum Lesen.

exercise-pulses-in-turn = Pulse im Wechsel
exercise-ease = Hinein und hinaus
exercise-long-notes = Lange Töne

## Pulswerte, mitten im Satz.

asks-value-straight = gerade
asks-value-quarters = Viertel
asks-value-eighths = Achtel
asks-value-triplets = Triolen
asks-value-sixteenths = Sechzehntel
asks-value-quintuplets = Quintolen
asks-value-sextuplets = Sextolen
asks-value-free = frei
asks-value-rest = Pause

## Wer wann spielt, auf welchen Tönen.

asks-turns-together = alle zusammen
asks-turns-down-the-line = der Reihe nach
asks-turns-pairs = paarweise
asks-voicing-unison = einstimmig
asks-voicing-octaves = in Oktaven
asks-voicing-fifth = Grundton und Quinte
asks-voicing-triad = Dreiklang
asks-voicing-steps = Nachbartöne
asks-tuning-equal = temperiert gestimmt
asks-tuning-just = rein gestimmt

## Längen.

asks-bars =
    { $n ->
        [one] { $n } Takt
       *[other] { $n } Takte
    }
asks-beats =
    { $n ->
        [one] { $n } Schlag
       *[other] { $n } Schläge
    }
asks-notes =
    { $n ->
        [one] { $n } Ton
       *[other] { $n } Töne
    }
asks-times =
    { $n ->
        [1] einmal
        [2] zweimal
        [3] dreimal
        [4] viermal
        [5] fünfmal
        [6] sechsmal
       *[other] { $n }-mal
    }
asks-until-stopped = bis angehalten wird
asks-rest-between = dazwischen { $length } Pause

## Ganze Übungen.

asks-straight-tone = gerader Ton
asks-without-measure = Vibrato ohne Maß
asks-free-vibrato = freies Vibrato
asks-steady = { $what }, { $long } bei { $bpm }
asks-tempo = bei { $bpm }
asks-tempo-changing = von { $bpm } nach { $bpm_to }
asks-one-value = { $value }, { $long } { $tempo }
asks-values-by-bar = { $values }, je ein Takt, { $times } { $tempo }
asks-values-by-beat = { $values }, je ein Schlag, { $times } { $tempo }
asks-ladder = { $value } bei { $marks }, je { $bars }
asks-by-hand = die Leitung sagt, wann es weitergeht
asks-when-matched = es geht weiter, sobald { $percent } % passen
asks-step-back = und eine Sprosse zurück, wenn das Register auseinanderfällt
asks-ease = { $value } bei { $bpm }: { $phases }
asks-phase = { $length } { $phase }
asks-phase-straight = gerade
asks-phase-growing = wachsend
asks-phase-full = voll
asks-phase-fading = abnehmend
asks-hairpin = { $values } bei { $bpm }, in { $growing } von { $from } nach { $to } und in { $fading } zurück
asks-line = eine Linie: { $notes }, { $beats } bei { $bpm }, { $passes }
asks-pass-measured = gemessen
asks-pass-less-measured = weniger gemessen
asks-pass-free = frei
asks-then = { $first }, dann { $then }

## Ein geschriebener Ton.

asks-note = { $note }, { $beats }
asks-rest = Pause
asks-dynamic-way = { $from } nach { $to }
asks-dynamic-to = nach { $to }
asks-tied = übergebunden

## Ein Plan zum Lesen.

minutes-under-one = unter einer Minute
minutes =
    { $n ->
        [one] { $n } Minute
       *[other] { $n } Minuten
    }
rate =
    { $hz ->
        [one] { $hz } Puls je Sekunde
       *[other] { $hz } Pulse je Sekunde
    }
rates = { $least } bis { $most } Pulse je Sekunde
show-exercises =
    { $n ->
        [one] { $n } Übung
       *[other] { $n } Übungen
    }
show-takes = Dauert { $takes }.
show-whole = { $exercises }, einmal durchgespielt { $minutes }, { $beats } Schläge im Takt.
show-doubts = Noch einmal ansehen
show-on = auf { $note }
show-goal = Ziel: { $goal }
show-bands = Gemessen wird an: { $bands }
show-band-rate = Pulsrate auf { $n } %
show-band-timing = Zeitpunkt auf { $n } ms
show-band-centre = Tonhöhe auf { $n } Cent
show-band-depth = Tiefe mindestens { $n } dB
show-band-swing = Tonhöhe schwankt höchstens um { $n } Cent
show-caution = Achtung: { $caution }
show-rest = Pause: { $n } s
list-takes = dauert { $takes }
list-whole = { $exercises }, einmal durchgespielt { $minutes }
