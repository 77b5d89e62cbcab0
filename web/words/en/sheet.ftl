# A plan's sheet: the page it is chosen on, and the paper.

sheet-page-title = { $title }, sheet · Windrow
sheet-for = Notes for
sheet-paper = paper
sheet-show = Show
sheet-how-to-print = Print this page with Ctrl-P, on a Mac with Command-P, at 100 per cent: what stands above the paper is left out.
sheet-none-head = No sheet yet
sheet-none = This plan cannot be played as it is, so there is no sheet of it. Open it at /conduct/plans: what is wrong stands there.

## The paper.

sheet-file-title = { $title }, for { $whose } · Windrow
sheet-name = Name
sheet-concert-pitch = concert pitch
sheet-takes = Takes
sheet-key = Signs over the notes
sheet-key-straight = straight
sheet-key-pulses = a pulse on each small note; in a line of notes, on each of its beats
sheet-key-free = free
sheet-example = A note in brackets is an example: play the one you are given, or any comfortable one.
sheet-spread = Where it says triad, root and fifth or neighbouring steps, your own note may be another one.
sheet-page = page { $number } of { $n }
sheet-quarter = a quarter
sheet-goal = Goal:
sheet-marks = Metronome marks to tick off
sheet-log = Practice, week { $week }
sheet-log-date = date
sheet-log-minutes = minutes
sheet-log-exercise = exercise, rung
sheet-log-felt = how it felt
sheet-care = Take care

## What an exercise asks, in a few words.

sheet-tempo = { $bpm }
sheet-tempo-changing = { $bpm } to { $bpm_to }, evenly
sheet-ease = { $value }: { $phases }
sheet-rung = { $value }, { $bars } on each mark
sheet-when-matched = the next when this one is matched
sheet-by-hand = the next when the conductor says so
sheet-passes = first { $passes }
sheet-down-the-line = down the line
sheet-fifth = root and fifth
sheet-triad = a triad
sheet-steps = neighbouring steps
sheet-rest-s = rest { $s } s
sheet-rest-min = rest { $min } min
sheet-rest-min-s = rest { $min } min { $s } s
sheet-notes-as-in = notes as in { $number }
sheet-exercises =
    { $n ->
        [one] exercise { $numbers }
       *[other] exercises { $numbers }
    }

## A picture of notes, for whoever cannot see it.

sheet-shows-straight = A long tone, straight
sheet-shows-free = A long tone with free vibrato
sheet-shows-by-bar = Long tones; on each bar in turn: { $values }
sheet-shows-by-beat = Long tones; on each beat in turn: { $values }
sheet-shows-value = A long tone in { $value }
sheet-shows-ease = A long tone: { $phases }
sheet-shows-hairpin = A long tone that grows for { $growing } and fades for { $fading }: { $values }
sheet-shows-line = A line of { $notes } with over it: { $values }

## What is true of every plan.

sheet-care-breath = Breathing drills can make you light-headed: stop, sit down and breathe normally.
sheet-care-pain = Nothing here may hurt.
sheet-care-rules = Your teacher and your school’s rules come first.
sheet-care-rest = Rest where it says so; long loud playing harms hearing.
