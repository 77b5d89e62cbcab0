# One player over weeks, for the player and for the conductor: so nobody is addressed, and nobody is compared with anybody.

weeks-mine-title = My weeks
weeks-mine-heading = How it has gone
weeks-page = { $name } over weeks
weeks-held-means = Held means: matched for four bars at one tempo.
weeks-invented = Invented players: nobody played this.
weeks-of-devices = This device is new for this name, so it shows only what it recorded itself. Ask your conductor to confirm it on the roster page.
weeks-no-script = This page needs JavaScript to show that it is you who asks. Switch it on and load the page again.
weeks-nothing = Nothing is stored for this device yet. After the first rehearsal its weeks are here.
weeks-nobody = There is nobody of this name in the list any more.
weeks-none = Nothing has been played yet.
weeks-none-then = After the first rehearsal: which rung was held, how close the pulses are to the tick, how deep and how even they are, and what to practise next.
weeks-busy = The conductor's computer cannot say just now. Load this page again in a moment.
weeks-unreachable = The conductor's computer cannot be reached. Is this device on the room's Wi-Fi? Then load this page again.
weeks-to-mine = What is stored about me
weeks-to-weeks = How it has gone over weeks
weeks-to-rehearsal = To the rehearsal
weeks-section = The section over weeks
weeks-print = Print

## Rungs.

weeks-rung = { $value } at { $bpm }

## What got better. A number now, and before.

weeks-better = What got better
weeks-better-rung = New since { $date }: { $rung } held. Before that it was { $before }.
weeks-better-first = New since { $date }: { $rung } held, the first rung of all.
weeks-better-matched = Matched for more of the time: { $now } % now, { $before } % before.
weeks-better-timing-spread = Pulses lie closer around the tick: ±{ $now } ms now, ±{ $before } ms before.
weeks-better-rate = Pulses are nearer to the tempo: { $now } % off now, { $before } % before.
weeks-better-evenness = Pulses are more even: their distances vary by { $now } % now, by { $before } % before.
weeks-better-depth = Pulses are bigger: { $now } dB deep now, { $before } dB before.
weeks-better-centre = The note stays closer to its pitch while pulsing: { $now } cents off now, { $before } cents before.
weeks-better-from-straight = The pitch settles: { $now } cents from the straight tone while pulsing now, { $before } cents before.
weeks-better-early = It takes four weeks to tell progress from a good day. Every rehearsal counts.
weeks-better-none = Lately nothing has changed by more than it varies from week to week. That happens to everybody.

## What to do next, and why.

weeks-next = Next: { $rung }
weeks-next-nothing = Next: the first rehearsal
weeks-next-music = Next: into the music
weeks-why-nothing = Nothing has been heard yet. Afterwards this says what to practise.
weeks-why-first-pulses = Straight tones came first. Vibrato begins with one pulse on each beat.
weeks-why-away = Nothing was played for { $n } weeks. Held last: { $held }. Begin a little slower: it comes back soon.
weeks-why-away-freely = Nothing was played for { $n } weeks. Begin slowly: it comes back soon.
weeks-why-too-fast = Tried in { $n } weeks and not held yet: { $tried }. A little slower it goes, and then it grows.
weeks-why-not-yet = Tried and not held yet: that is how it begins.
weeks-why-not-yet-helps = Tried and not held yet: that is how it begins. What helps: { $need }.
weeks-why-stuck = Stay here for now. Tried in { $n } weeks and not held yet: { $tried }.
weeks-why-stuck-helps = Stay here for now. Tried in { $n } weeks and not held yet: { $tried }. What helps: { $need }.
weeks-why-deepen = Stay here and make the pulses bigger: they are { $db } dB deep, { $wanted } dB are wanted.
weeks-why-at-home = More than { $held } was held at home already.
weeks-why-try-again = Held so far: { $held }. What lies above it was tried and is not held yet.
weeks-why-once-more = Held in one week. Once more makes it sure.
weeks-why-onwards = Held in { $n } weeks lately: { $held }.
weeks-why-musical = Held: { $held }. Faster pulses are no vibrato any more: let them grow and fade, ease in and out.
weeks-home = At home: { $exercise }, { $n } breaths, then a rest.
weeks-home-plan = At home: the plan that your teacher has set, “{ $plan }”.
weeks-care = Light-headed? Stop, sit down, breathe as usual.

## Choices.

weeks-choose-value = Pulses
weeks-choose-span = Time
weeks-choose-instrument = Instrument
weeks-span-12 = twelve weeks
weeks-span-52 = a year
weeks-span-all = all

## The charts.

weeks-chart-stair = Rung held, { $value }, beats a minute
weeks-chart-stair-is = Solid: the highest rung held so far in rehearsals. Open box: tried, not held yet. Ring: held at home. Dotted: not in a rehearsal.
weeks-chart-stair-none = No rung of this kind was tried in this time.
weeks-now = { $bpm }, since { $date }
weeks-tried = { $bpm } tried, not held yet
weeks-away = not in
weeks-chart-timing = Timing, ms
weeks-chart-timing-is = Line: how far the pulses lie from the tick. Band: how far they scatter. Dotted: ±25 ms, good. Ring: at home.
weeks-chart-spread = Around the tick, ms
weeks-chart-spread-is = How far the pulses scatter around the tick; less is closer. Dotted: 25 ms, good. Ring: at home.
weeks-tick = tick
weeks-early = early
weeks-late = late
weeks-now-spread = last: ±{ $ms } ms
weeks-now-early = last: { $ms } ms early, ±{ $spread }
weeks-now-late = last: { $ms } ms late, ±{ $spread }
weeks-now-on = last: on the tick, ±{ $spread }
weeks-chart-rate = Rate, % from the tempo
weeks-chart-rate-is = Line: how much faster or slower the pulses were than asked. Band: how unevenly they follow each other. Dotted: ±3 %, matched. Ring: at home.
weeks-as-asked = asked
weeks-faster = faster
weeks-slower = slower
weeks-now-percent = last: { $percent } %
weeks-now-percent-even = last: { $percent } %, ±{ $even } %
weeks-chart-depth = Depth, dB
weeks-chart-depth-is = How deep the pulses are, from peak to valley. Dotted: 3 dB, deep enough to hear. Ring: at home.
weeks-now-db = last: { $db } dB
weeks-chart-swing = Swing of the pitch, cents
weeks-chart-swing-is = How far the pitch swings with each pulse. Dotted: 30 cents; above that the pitch may pulse instead of the air. Ring: at home.
weeks-now-cents = last: { $cents } cents
weeks-chart-centre = Pitch, cents from the note
weeks-chart-centre-is = Line: while pulsing. Dashed: straight tones. Dotted: ±10 cents, good. Ring: at home.
weeks-note = note
weeks-sharp = sharp
weeks-flat = flat
weeks-now-centre = pulsing { $cents }
weeks-now-straight = straight { $cents }
weeks-chart-minutes = Minutes heard
weeks-chart-minutes-is = Filled: in rehearsals. Open: at home.

## The table.

weeks-figures = All figures as a table
weeks-figures-of = Figures by week
weeks-column-week = Week from
weeks-column-where = Where
weeks-column-held = Held
weeks-column-tried = Tried
weeks-column-asked = Asked
weeks-column-heard = Heard
weeks-column-matched = Matched
weeks-column-timing = Timing
weeks-column-spread = Around the tick
weeks-column-rate = Rate
weeks-column-evenness = Unevenness
weeks-column-depth = Depth
weeks-column-swing = Swing
weeks-column-pulsing = Pitch, pulsing
weeks-column-straight = Pitch, straight
weeks-column-from-straight = From straight
weeks-column-drift = Drift, pulsing
weeks-column-drift-straight = Drift, straight
weeks-unit-min = min
weeks-unit-percent = %
weeks-unit-ms = ms
weeks-unit-db = dB
weeks-unit-cents = cents
weeks-in-rehearsal = rehearsal
weeks-at-home = at home
weeks-reading = How to read this
weeks-reading-weeks = A week goes from Monday to Sunday, by universal time. A week without a rehearsal is left out, not filled in.
weeks-reading-of = Rungs, timing, rate, depth and swing are of the pulses chosen above; minutes, time matched and pitch are of everything played.
weeks-reading-middle = Of each week the middle value is shown; a longer stretch counts for more.
weeks-reading-better = Something got better where the last weeks differ from as many before by more than they vary among themselves, and by so much that one can hear it.
weeks-reading-drift = Drift: pitch at the end minus at the beginning. From straight: pitch while pulsing minus that of the own straight tone.
weeks-reading-home = What was played at home stands apart and changes no figure of the rehearsals.

## Dates.

weeks-date = { $day } { $month }
weeks-date-year = { $day } { $year }
weeks-month-1 = Jan
weeks-month-2 = Feb
weeks-month-3 = Mar
weeks-month-4 = Apr
weeks-month-5 = May
weeks-month-6 = June
weeks-month-7 = July
weeks-month-8 = Aug
weeks-month-9 = Sept
weeks-month-10 = Oct
weeks-month-11 = Nov
weeks-month-12 = Dec
