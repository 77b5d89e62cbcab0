# Was Musik verlangt, als Titel und in wenigen Worten.

target-count-in = Vorzählen
target-straight = Gerader Ton
target-pulses =
    { $per_beat ->
        [1] Viertel
        [2] Achtel
        [3] Triolen
        [4] Sechzehntel
        [5] Quintolen
        [6] Sextolen
        [7] Septolen
       *[other] Zweiunddreißigstel
    }
target-free = Freies Vibrato
target-rest = Pause

title-steady = { $what }, Tempo { $bpm }
title-changing = { $what }, Tempo { $bpm } bis { $bpm_to }
title-growing = { $title }, wachsend
title-fading = { $title }, abnehmend
title-loudness = { $title }, { $from }
title-loudness-changing = { $title }, { $from } bis { $to }
title-loosely = { $title }, weniger streng im Takt
title-room-check = Raumprobe

## Übungen des Einspielens, mit dem ein Raum beginnt.

exercise-ladder = Leiter
exercise-rising-tempo = Steigendes Tempo
exercise-hairpin = Schwellton

note-named = { $name }{ $octave }

## Was man spielt, in wenigen Worten, und wo in der Musik man ist.

counting-in = Vorzählen
ask-pulses =
    { $n ->
        [1] 1 auf jeden Schlag
       *[other] { $n } auf jeden Schlag
    }
ask-about = etwa { $what }
ask-straight = gerader Ton
ask-rest = Pause
ask-count-in = auf das Vorzählen hören
ask-free = wie du magst
turn-yours = Du bist dran
turn-next = Du bist als Nächstes dran
turn-next-ask = mach dich bereit, noch still
turn-silent = Still sein
turn-chair-plays = Platz { $chair } spielt
turn-others-play = andere spielen
chair-numbered = Platz { $chair }
change-grows = Vibrato wächst
change-fades = Vibrato nimmt ab
ask-felt = den Schlag fühlen, nicht halten
from-to = { $from } bis { $to }
tuned-low = { $cents ->
    [one] { $cents } Cent
   *[other] { $cents } Cent
} tiefer für { $what }
tuned-high = { $cents ->
    [one] { $cents } Cent
   *[other] { $cents } Cent
} höher für { $what }
tuned-second = eine reine Sekunde
tuned-third = eine reine Terz
tuned-fifth = eine reine Quinte
tuned-chord = den Akkord
place-about-to-start = gleich
place-at-the-end = am Ende
place-counting-in = Vorzähler
place-bar = Takt { $bar }

coming-pulses =
    { $per_beat ->
        [1] Viertel
        [2] Achtel
        [3] Triolen
        [4] Sechzehntel
        [5] Quintolen
        [6] Sextolen
        [7] Septolen
       *[other] Zweiunddreißigstel
    }
