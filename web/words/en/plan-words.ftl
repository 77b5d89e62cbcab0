# What an exercise asks, as a teacher would say it; and a plan as a page to read.

exercise-pulses-in-turn = Pulses in turn
exercise-ease = Ease in and out
exercise-long-notes = Long notes

## Values of pulses, within a sentence.

asks-value-straight = straight
asks-value-quarters = quarters
asks-value-eighths = eighths
asks-value-triplets = triplets
asks-value-sixteenths = sixteenths
asks-value-quintuplets = quintuplets
asks-value-sextuplets = sextuplets
asks-value-free = free
asks-value-rest = rest

## Who plays when, on which notes.

asks-turns-together = all together
asks-turns-down-the-line = one after another
asks-turns-pairs = in pairs
asks-voicing-unison = unison
asks-voicing-octaves = octaves
asks-voicing-fifth = fifth
asks-voicing-triad = triad
asks-voicing-steps = steps
asks-tuning-equal = equal tuning
asks-tuning-just = just tuning

## Lengths.

asks-bars =
    { $n ->
        [one] { $n } bar
       *[other] { $n } bars
    }
asks-beats =
    { $n ->
        [one] { $n } beat
       *[other] { $n } beats
    }
asks-notes =
    { $n ->
        [one] { $n } note
       *[other] { $n } notes
    }
asks-times =
    { $n ->
        [1] once
        [2] twice
       *[other] { $n } times
    }
asks-until-stopped = until it is stopped
asks-rest-between = { $length } of rest between

## Whole exercises.

asks-straight-tone = a straight tone
asks-without-measure = vibrato without a measure
asks-free-vibrato = free vibrato
asks-steady = { $what }, { $long } at { $bpm }
asks-tempo = at { $bpm }
asks-tempo-changing = from { $bpm } to { $bpm_to }
asks-one-value = { $value }, { $long } { $tempo }
asks-values-by-bar = { $values }, a bar each, { $times } { $tempo }
asks-values-by-beat = { $values }, a beat each, { $times } { $tempo }
asks-ladder = { $value } at { $marks }, { $bars } on each
asks-by-hand = the conductor says when it goes on
asks-when-matched = it goes on once { $percent } % are matched
asks-step-back = and a mark back when the section falls apart
asks-ease = { $value } at { $bpm }: { $phases }
asks-phase = { $length } { $phase }
asks-phase-straight = straight
asks-phase-growing = growing
asks-phase-full = full
asks-phase-fading = fading
asks-hairpin = { $values } at { $bpm }, { $from } to { $to } in { $growing } and back in { $fading }
asks-line = a line of { $notes }, { $beats } at { $bpm }: { $passes }
asks-pass-measured = measured
asks-pass-less-measured = less measured
asks-pass-free = free
asks-then = { $first }, then { $then }

## A written note.

asks-note = { $note } for { $beats }
asks-rest = rest
asks-dynamic-way = { $from } to { $to }
asks-dynamic-to = to { $to }
asks-tied = tied over

## A plan to read.

minutes-under-one = under a minute
minutes =
    { $n ->
        [one] { $n } minute
       *[other] { $n } minutes
    }
rate =
    { $hz ->
        [one] { $hz } pulse a second
       *[other] { $hz } pulses a second
    }
rates = { $least } to { $most } pulses a second
show-exercises =
    { $n ->
        [one] { $n } exercise
       *[other] { $n } exercises
    }
show-takes = Takes { $takes }.
show-whole = { $exercises }, { $minutes } when played once, { $beats } beats in a bar.
show-doubts = To think about
show-on = on { $note }
show-goal = Goal: { $goal }
show-bands = Judged by: { $bands }
show-band-rate = rate within { $n } %
show-band-timing = timing within { $n } ms
show-band-centre = centre within { $n } cents
show-band-depth = depth at least { $n } dB
show-band-swing = swing at most { $n } cents
show-caution = Care: { $caution }
show-rest = Rest: { $n } s
list-takes = takes { $takes }
list-whole = { $exercises }, { $minutes } when played once
