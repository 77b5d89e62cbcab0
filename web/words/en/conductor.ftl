# The conductor's page.

## Lanes.

lane-rate = { $hz } pulses a second
lane-rate-short = { $hz } a second
lane-depth = depth { $db } dB
lane-centre = centre { $cents } cents
lane-unmeasured = follows the beat unmeasured
lane-slow-line = slow line
lane-plays-now = plays now
lane-plays-next = plays next

## The section's lane.

section-early = early
section-late = late
section-heard = { $n } of { $of } heard
section-heard-worst-first = { $n } of { $of } heard, worst first
section-together = together { $share }
section-spread = spread { $ms } ms

## The say line where the room has nothing to say, or where a player was chosen.

say-chosen = { $name }: { $state }
say-chosen-with = { $name }: { $state }, { $evidence }
say-all-matched = Everyone is matched.
say-all-measured-matched = Everyone who is measured is matched.
say-all-rest = Everybody rests. Start begins the next one at once.
say-players-in =
    { $n ->
        [one] One player is in. Start counts them in.
       *[other] { $n } players are in. Start counts them in.
    }
not-measured = not measured

## Where the music is.

place-rest = rest
place-stopped = stopped
place-then = { $place }, then { $next }
place-exercise = { $name }, { $number } of { $of }

## A lane opened: the last minute of one player.

opened-title = { $name }, the last minute
opened-chair = chair { $chair }, { $part }
opened-rate = pulses a second
opened-per-beat = to the beat
opened-depth = depth, dB
opened-swing = swing, cents
opened-centre = centre, cents
opened-timing = off the tick, ms
opened-summary =
    { $n ->
        [0] No pulses in the last minute.
        [one] One pulse in the last minute, { $matched } % of the time matched.
       *[other] { $n } pulses in the last minute, { $matched } % of the time matched.
    }

## Controls.

order-seated = Order: as seated
order-worst-first = Order: worst first
control-start = Start
control-stop = Stop
control-next = Next
control-back = Back
control-slower = Slower
control-slower-to = Slower, { $bpm }
control-faster = Faster
control-faster-to = Faster, { $bpm }
control-hold = Hold
control-go-on = Go on

## The line about the exercise, and what comes next.

brief-next = Next: { $name }
brief-last = The last exercise
brief-rest = Rest, { $left }
brief-between = after { $left } of rest
minutes-long =
    { $n ->
        [one] a minute
       *[other] { $n } minutes
    }
seconds-left = { $n } s
brief-rung = rung { $number } of { $of }, { $waits }
brief-rung-last = rung { $number } of { $of }, the last
brief-goes-on-by-itself = goes on by itself
brief-goes-on-when-matched = goes on when matched
brief-goes-on-by-hand = goes on when you press Go on
plan-warm-up = Warm-up
plan-goal = To reach: { $goal }
suggestion-next = Next
suggestion-again = Again
suggestion-slower = Slower
suggestion-step-back = Step back
suggestion-down-the-line = Down the line
suggestion-spread = Spread over a triad
suggestion-rest = Rest now
suggestion-all-right = All right

## Notes of chairs.

note-for-all = note for everyone
note-for = note for { $name }
note-any = any note
note-as-everyone = as everyone

## The way to the room.

link-not-sent = The room cannot be reached just now, so nothing was sent. Trying again.
link-lost = The room cannot be reached; trying again. The players' devices keep what they measure.
link-lost-advice = The room cannot be reached; trying again. The players' devices keep what they measure. Look whether Windrow still runs on its computer, and whether this device is in the same Wi-Fi.
door-nobody-in = { $door }, and nobody is in yet
door-nobody-new = { $door }: nobody new comes in.
