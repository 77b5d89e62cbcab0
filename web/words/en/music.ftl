# What music asks, as a title and in a few words.

target-count-in = Count-in
target-straight = Straight tone
target-pulses =
    { $per_beat ->
        [1] Quarters
        [2] Eighths
        [3] Triplets
        [4] Sixteenths
        [5] Quintuplets
        [6] Sextuplets
        [7] Septuplets
       *[other] Thirty-seconds
    }
target-free = Free vibrato
target-rest = Rest

title-steady = { $what } at { $bpm }
title-changing = { $what }, { $bpm } to { $bpm_to }
title-growing = { $title }, growing
title-fading = { $title }, fading
title-loudness = { $title }, { $from }
title-loudness-changing = { $title }, { $from } to { $to }
title-loosely = { $title }, less measured
title-room-check = Room check

## Exercises of the warm-up that a room begins with.

exercise-ladder = Ladder
exercise-rising-tempo = Rising tempo
exercise-hairpin = Hairpin

note-named = { $name }{ $octave }

## What one plays, in a few words, and where in the music one is.

counting-in = Counting in
ask-pulses =
    { $n ->
        [1] 1 on the beat
       *[other] { $n } to the beat
    }
ask-about = about { $what }
ask-straight = straight tone
ask-rest = rest
ask-count-in = listen to the count
ask-free = as you like
turn-yours = Your turn
turn-next = You are next
turn-next-ask = get ready, still silent
turn-silent = Be silent
turn-chair-plays = chair { $chair } plays
turn-others-play = others play
chair-numbered = chair { $chair }
change-grows = vibrato grows
change-fades = vibrato fades
ask-felt = the beat felt, not kept
from-to = { $from } to { $to }
tuned-low = { $cents ->
    [one] { $cents } cent
   *[other] { $cents } cents
} low for { $what }
tuned-high = { $cents ->
    [one] { $cents } cent
   *[other] { $cents } cents
} high for { $what }
tuned-second = a pure second
tuned-third = a pure third
tuned-fifth = a pure fifth
tuned-chord = the chord
place-about-to-start = about to start
place-at-the-end = at the end
place-counting-in = counting in
place-bar = bar { $bar }

coming-pulses =
    { $per_beat ->
        [1] quarters
        [2] eighths
        [3] triplets
        [4] sixteenths
        [5] quintuplets
        [6] sextuplets
        [7] septuplets
       *[other] thirty-seconds
    }
