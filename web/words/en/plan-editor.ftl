# The editor of one plan: its page, its fields, what was done, and what keeps it from being saved.

editor-page-title = { $title }, edit · Windrow
editor-page-title-changed = * { $title }, edit · Windrow
editor-head = Edit “{ $title }”
editor-not-right = Some of it is not right yet:
editor-doubts = Saved. You may want to look at this again:
editor-text = The plan as its file has it (JSON)
editor-save = Save
editor-save-use = Save and use it
editor-save-copy = Save mine as a copy
editor-see-other = See the other
editor-undo = Undo
editor-not-saved = The plan is not saved yet: some of it is not right.

## What became of saving.

editor-not-saved-yet = Not saved yet.
editor-saved = Saved.
editor-saved-doubts = Saved; there is something to look at again at the top of the page.
editor-saved-but = Saved, but for what you have changed since.
editor-changed-elsewhere = This plan was changed from another page after you opened it here. Yours is still in this page: save it as a copy, or look at the other first.
editor-unreached = Windrow cannot be reached, so nothing was saved. What you typed stays here; try again in a moment.
editor-signed-out = You are not signed in any more. Sign in on another page, then save again here.
editor-n-not-right =
    { $n ->
        [1] Not saved: one thing is not right yet.
       *[other] Not saved: { $n } things are not right yet.
    }
editor-version-ending = {", my version"}
editor-wrong-field = { $label }: { $text }
editor-wrong-exercise = Exercise { $n }, { $label }: { $text }
editor-wrong-titled = Exercise { $n }, “{ $title }”, { $label }: { $text }

## The list of exercises.

editor-exercises = Exercises
editor-one-more = One more exercise
editor-add = Add
editor-kind-option = { $kind }: { $about }
editor-numbered = { $n }. { $name }
editor-with-part = { $part }: { $asks }
editor-what-it-asks = What it asks
editor-what-it-asks-of = : { $name }
editor-exercise = Exercise
editor-up = Up
editor-down = Down
editor-duplicate = Duplicate
editor-remove = Remove
editor-up-of = Up: { $n }, { $name }
editor-down-of = Down: { $n }, { $name }
editor-duplicate-of = Duplicate: { $n }, { $name }
editor-remove-of = Remove: { $n }, { $name }
editor-is-moved = { $name } is number { $n } now.
editor-is-doubled = { $name } is doubled, number { $n }.
editor-is-added = { $name } is added, number { $n }.
editor-is-removed = { $name } is removed.
editor-is-back = { $name } is back, number { $n }.
editor-group-words = Words and rest
editor-group-notes = Notes and turns
editor-group-bands = How close is close enough

## Kinds of exercises.

editor-straight = Straight note
editor-straight-about = A steady tone without vibrato.
editor-pulses = Measured pulses
editor-pulses-about = Pulse values one after another, a bar or a beat each.
editor-ladder = Ladder
editor-ladder-about = The same at one metronome mark after another.
editor-ease = Ease in and out
editor-ease-about = Straight, growing, full, fading, straight.
editor-hairpin = Hairpin
editor-hairpin-about = Loudness, depth and rate grow and shrink together.
editor-music = Long notes of music
editor-music-about = A line of notes with a pulse value over each.
editor-free = Free vibrato
editor-free-about = Vibrato without a measure.

## What an exercise asks, beside its name.

editor-asks-straight = straight note at { $bpm }
editor-asks-free = free vibrato at { $bpm }
editor-asks-pulses = { $values } at { $bpm }
editor-asks-pulses-changing = { $values } at { $bpm } to { $bpm_to }
editor-asks-rate = { $hz } a second
editor-asks-ladder = { $value } from { $from } to { $to }
editor-asks-ease = { $value } at { $bpm }, { $beats }
editor-asks-hairpin = { $from } to { $to }, { $values } at { $bpm }
editor-asks-music = { $notes } at { $bpm }

## Fields.

editor-tempo = Tempo
editor-tempo-end = Tempo at the end
editor-length = Length
editor-loudness = How loud
editor-times = How often
editor-rest-between-times = Rest between two times
editor-values = Pulse values
editor-each = Each lasts
editor-each-bar = a bar
editor-each-beat = a beat
editor-first-rung = First rung
editor-last-rung = Last rung
editor-value = Pulse value
editor-rung-length = Length of a rung
editor-rung-rest = Rest between rungs
editor-go-on = The next rung comes
editor-go-on-by-itself = by itself
editor-go-on-when-matched = when the section is matched
editor-go-on-by-hand = when I say so
editor-matched = Matched means
editor-step-back = One rung back when it falls apart
editor-phase-straight = Straight
editor-phase-growing = Growing
editor-phase-full = Full
editor-phase-fading = Fading
editor-phase-straight-after = Straight again
editor-values-up = Pulse values on the way up
editor-loudness-ends = Loudness at both ends
editor-loudness-turn = Loudness at the turn
editor-way-up = Up
editor-way-down = Down
editor-line = The line, each note as it sounds
editor-passes = Played, one time after another
editor-rest-between-passes = Rest between two passes
editor-name = Name
editor-part = A part of the plan begins here
editor-say = A sentence for the player
editor-goal = What to reach
editor-cautions = What to be careful about, a line each
editor-rest-after = Rest after it
editor-note = Note, as it sounds
editor-voicing = Spread over the chairs
editor-voicing-fifth = root and fifth
editor-voicing-steps = three steps
editor-tuning = Tuning of a chord
editor-tuning-equal = equal
editor-tuning-just = just
editor-turns = Who plays when
editor-turns-together = together
editor-turns-down-the-line = down the line
editor-band-rate = Off the pulse rate
editor-band-timing = Off the tick
editor-band-centre = Off the note
editor-band-depth = Least depth
editor-band-swing = Most swing of the pitch
editor-title = Title
editor-about = What it is for
editor-takes = How long it takes in truth
editor-beats-per-bar = Beats in a bar

## Units.

editor-unit-bpm = beats per minute
editor-unit-beats = beats
editor-unit-bars = bars
editor-unit-times = times
editor-unit-share = per cent of those who can be judged
editor-unit-seconds = seconds
editor-unit-percent = per cent
editor-unit-ms = ms
editor-unit-cents = cents
editor-unit-db = dB

## What leaving a field empty means, and what is chosen there.

editor-none = none
editor-none-choose = choose
editor-none-take-away = (take away)
editor-none-until-stopped = until it is stopped
editor-none-as-they-like = as they like
editor-none-the-same = the same
editor-none-times = one value until it is stopped, several once
editor-none-name = after what it asks
editor-none-part = such as Days 1 to 3
editor-none-room = as set in the room
editor-none-note = any note
editor-none-usual = as usual
editor-none-takes = such as two weeks, ten minutes a day
editor-row-place = { $label }, { $n }
editor-add-one = Add one
editor-add-one-of = Add one: { $label }

## The line of notes.

editor-column-note = Note
editor-column-beats = Beats
editor-column-pulses = Pulses
editor-column-loudness = Loudness
editor-column-loudness-end = at its end
editor-column-tied = Tied
editor-cell-note = Sounding note, note { $n }
editor-cell-beats = Beats, note { $n }
editor-cell-pulses = Pulses, note { $n }
editor-cell-loudness = Loudness, note { $n }
editor-cell-loudness-end = Loudness at its end, note { $n }
editor-cell-tied = Tied to the next, note { $n }
editor-cell-as-before = as before
editor-add-note = Add a note
editor-insert = Insert
editor-insert-after = Insert a note after note { $n }
editor-remove-note = Remove note { $n }
