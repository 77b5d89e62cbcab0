# What the section did: the rehearsal as a strip, a run played again, all figures, and how to read them.

review-title = Results
review-page = Results, { $section }
review-seen-by = Only you and your assistants see this page.
review-summary = { $runs ->
    [one] One run, { $minutes ->
        [0] less than a minute of playing
        [one] one minute of playing
       *[other] { $minutes } minutes of playing
    }
   *[other] { $runs } runs, { $minutes ->
        [0] less than a minute of playing
        [one] one minute of playing
       *[other] { $minutes } minutes of playing
    }
}
review-summary-rest = { $played }, { $minutes ->
    [one] one minute between
   *[other] { $minutes } minutes between
}

## Before anything was played.

review-none = The rehearsal, to look through
review-none-begin = Begin an exercise on <a href="/conduct">the rehearsal’s page</a> and let it be played for a few bars.
review-none-strip = Each time through becomes a column here and each player a row: the last bar as it was heard, and a shape where it did not match.
review-none-open = Open a field and that run plays again. At the right stands what each player needs next, below are all figures.
review-none-wait = It comes by itself; nothing has to be loaded again.

## The strip.

review-strip = The rehearsal, run by run
review-strip-how = What each player came to in each run. A field opens its run to be played again; the arrow keys go from field to field.
review-section = Section
review-together = together
review-parts = { $n } parts
review-being-played = being played
review-needs = who needs what
review-practise = practise next
review-field = { $name }, { $number }. { $exercise }:
review-legend = Each field: the last bar with vibrato; a full field is 16 dB deep; a shape where it did not match. Figures on top: how together, 1 is all at one moment. Open a field to play its run again.
review-print = Print
review-all-figures = All figures

## What somebody needs, by what stood in the way.

review-need-matched = ready to go on
review-need-slow = a little sooner
review-need-fast = wait for the tick
review-need-early = hear the tick, then swell
review-need-late = begin the swell sooner
review-need-sharp = let the note come down
review-need-flat = more air under the note
review-need-drifting-sharp = let the pitch settle
review-need-drifting-flat = let the pitch settle
review-need-shallow = bigger pulses
review-need-choked-valleys = keep the valleys sounding
review-need-pitch-led = still mouth, moving air
review-need-uneven = steady before many
review-need-straight = one puff on each tick
review-need-blended = be heard alone first
review-need-not-heard = be heard first

## What to practise. $value is one of those below, $bpm a tempo.

review-how-faster = { $value } at { $bpm }
review-how-next = whatever comes next
review-how-slower-then-back = { $value } at { $bpm }, then { $then }
review-how-slower = { $value } at { $bpm }
review-how-with-tick = { $value } at { $bpm }, with the tick heard
review-how-deep = { $value } at { $bpm }, deep
review-how-half-depth = { $value } at { $bpm }, half as deep
review-how-straight-then-pulses = a straight tone, then { $value } at { $bpm }
review-how-one-on-each-tick = { $value } at { $bpm }, one on each tick
review-how-straight-ease-straight = straight, ease in, straight
review-how-tune-then-pulses = a straight note in tune, then pulses
review-how-straight = a tone held straight
review-how-down-the-line = one after another, or nearer the device
review-how-microphone = look at the microphone together
review-value-1 = quarters
review-value-2 = eighths
review-value-3 = triplets
review-value-4 = sixteenths
review-value-5 = quintuplets
review-value-6 = sextuplets
review-value-7 = septuplets
review-value-8 = thirty-seconds

## A run, played again.

review-replay = Run { $number }: { $name }
review-replay-play = Play
review-replay-pause = Pause
review-replay-back = Bar back
review-replay-on = Bar on
review-replay-half = Half speed
review-replay-tick = Tick
review-replay-close = Close
review-replay-place = Bar
review-replay-bar = bar { $bar }, { $second } of { $of } seconds
review-replay-bar-short = bar { $bar } of { $of }
review-replay-loading = The run is being fetched.
review-replay-gone = This run is not kept any more as a picture; its figures are below.
review-replay-failed = The run did not come: is the room still open? Close this and try again.
review-replay-silent = The tick cannot be heard in this browser.
review-replay-scale = height of a mark: depth, a full lane is 16 dB; thin line: pitch centre, a full lane is 50 cents
review-replay-players = Who was in, and how it stood at this moment
review-replay-figures = Figures of this run
review-trouble-lost = The room cannot be reached; trying again.

## The figures.

review-run-exercise = exercise { $n }
review-run-players = Players in run { $n }
review-run-caption = What each player came to in run { $n }
review-run-parts = Part by part
review-run-parts-of = Run { $n }, part by part
review-run-of = run { $n }
review-nothing-heard = nothing was heard
review-not-judged = not judged
review-column-player = player
review-column-state = came to
review-column-matched = matched
review-column-heard = heard
review-column-pulses = pulses
review-column-rate = rate
review-column-per-beat = per beat
review-column-timing = timing
review-column-depth = depth
review-column-swing = swing
review-column-centre = centre
review-column-drift = drift
review-column-from-straight = from straight
review-column-evenness = gaps vary
review-unit-cents = cents
review-unit-hz = Hz
review-unit-ms = ms
review-unit-db = dB
review-nobody-judged = Nobody could be judged.
review-matched-in-the-end = Matched in the end: { $n } of { $of } who could be judged.
review-matched-in-the-end-of-time = Matched in the end: { $n } of { $of } who could be judged; { $percent } % of the time that could be judged.
review-together-line = Together: { $together } (1 is all at one moment, 0 anywhere).
review-together-line-spread = Together: { $together } (1 is all at one moment, 0 anywhere), spread { $spread } ms, { $mean }.
review-mean-early = { $ms } ms early on average
review-mean-late = { $ms } ms late on average
review-mean-on = on the tick on average
review-helped-next = To be helped next: { $names }.
review-helped-one = { $chair } { $name } ({ $state })
review-eased = eased in over { $beats } beats
review-hairpin-depth = depth follows the loudness { $r }
review-hairpin-rate = rate follows the loudness { $r }
review-hairpin-peak = loudest after { $percent } % (written { $asked })
review-hairpin-none = hardly a hairpin was heard

## How to read them.

review-reading = How to read it
review-reading-state = the word that stood longest among those that say something of the playing; where an exercise asks for straight tones and for vibrato, that on the vibrato. “Not judged”: heard, but for too short a time. “Blended”: the device could not tell its player from the neighbours, and nothing is said of the player. “Resting”: rested, or had no turn.
review-reading-shares = matched, heard
review-reading-shares-are = share of the judged time in which all was well, and share of the time asked for in which the device heard its own player well enough. Rests, count-ins and others’ turns do not count.
review-reading-rate = rate, per beat
review-reading-rate-is = pulses a second, and on a beat; of a whole exercise only where all of it asks for the same.
review-reading-timing-is = how far pulses come after the tick (+) or before it (−), of devices whose delay was measured (“Set my timing”).
review-reading-depth = depth, swing
review-reading-depth-is = how far the loudness of a pulse falls into its valley, and how far its pitch moves; the middle one of all pulses.
review-reading-centre = centre, drift, from straight
review-reading-centre-is = mean pitch from the note; how it moved from beginning to end; how far it lies from the player’s own straight note before.
review-reading-evenness-is = spread of the intervals between pulses over their mean. Concert violinists have about 18 % from pulse to pulse (Small, in Seashore 1938).
review-reading-together-is = where all pulses stand against the tick: 1 is all at one moment, 0 anywhere.
review-reading-needs-are = from all runs so far, later ones counting more: what stood longest in a player’s way, if it did so for a quarter of what could be judged; else the fastest value that matched, one mark on the metronome faster. The shares are our own choice.
review-first-attempts = First attempts are rough, and that is expected. Figures are for choosing what to practise, not for marks.

## Care. Numbers with their sources.

review-care = Ears and breath
review-care-reminds = Windrow reminds you after ten minutes of playing without two minutes’ rest, and after twenty loud minutes (forte or more was asked) of the last thirty. Those numbers are our own choice: health advice for musicians asks for regular breaks and names no minutes.
review-care-levels = How loud it is in your room Windrow does not know: phones tell levels under their own full scale, not sound levels. A sound level meter and your school’s own rules decide. For workers NIOSH recommends at most 85 dB(A) over eight hours and half the time for every 3 dB more: 94 dB(A) for one hour, 100 for a quarter of one (publication 98-126, 1998). In the European Union employers have to act from 80 and 85 dB(A) over eight hours on, and 87 is the limit (directive 2003/10/EC; quoted from memory). For children listening to devices WHO and ITU count 75 dB(A) for forty hours a week (H.870, 2019). Band directors’ rehearsals were often louder: six in ten measured 90 dB(A) or more (Owens 2004).
review-care-stop = Whoever feels light-headed stops, sits down and breathes as usual. Pain is a reason to stop, for that day.
