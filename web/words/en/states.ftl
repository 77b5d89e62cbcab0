# A player's state: its word, what it rests on, the sentence for the player and what the conductor may say. Kind, exact,
# one action, about the air and never the jaw.

state-matched = matched
state-slow = slow
state-fast = fast
state-early = early
state-late = late
state-uneven = uneven
state-sharp = sharp
state-flat = flat
state-drifting-sharp = drifting sharp
state-drifting-flat = drifting flat
state-pitch-led = pitch-led
state-shallow = shallow
state-choked-valleys = choked valleys
state-straight = straight
state-resting = resting
state-not-heard = not heard
state-blended = blended
state-away = away

## What it rests on, in a few words. $cents comes with its sign.

evidence-to-the-beat = { $n } to the beat
evidence-rate = { $n } pulses a second
evidence-early = { $ms } ms early
evidence-late = { $ms } ms late
evidence-cents = { $cents } cents
evidence-rising = { $cents } cents, rising
evidence-falling = { $cents } cents, falling
evidence-depth = depth { $db } dB
evidence-breaks = tone breaks in the valleys
evidence-breaks-in = tone breaks in { $n } of { $of }
evidence-swing = swing { $cents } cents
evidence-pulses-in-straight = pulses of { $db } dB
evidence-uneven = gaps vary by { $percent } %
evidence-straight = no pulse heard
evidence-blended = others are as loud
evidence-microphone-refused = microphone refused
evidence-microphone-missing = no microphone
evidence-microphone-insecure = page without https
evidence-microphone-lost = microphone taken away

## For the player.

player-waiting = Listen to the others' pulses: your turn comes.
player-resting-all = Rest: breathe normally, and come in again with the beat.
player-check-turn = Your turn: hold one easy note, straight, until the bar ends.
player-check-wait = Room check: each plays alone for a bar. Be silent until it is your turn.
player-matched = You are with the section: keep the air just so.
player-matched-straight = A steady, even tone: keep it there.
player-slow = Let the pulses come a little sooner: small puffs.
player-fast = Wait for the tick, then give the next pulse.
player-early = Hear the tick first, then let the air swell.
player-late = Begin each swell sooner: its top falls on the tick.
player-other-note = That is another note than yours: play the one that is written here.
player-sharp = A touch high: warm, slow air, and let it come down.
player-flat = A touch low: keep the air moving under the note.
player-drifting-sharp = The note climbs: leave the mouth alone, move the air.
player-drifting-flat = The note sinks: keep the air going through each valley.
player-shallow = The pulse is there: make it bigger, a full “hoo”.
player-choked-valleys = Keep some air in the valleys: low, but not silent.
player-pitch-led = Keep jaw and lips still and let the air make the pulse.
player-uneven = One tick, one swell: fewer and steadier.
player-uneven-straight = This tone is straight: let the air flow on, without pulses.
player-straight = A clear tone: now one puff of air on each tick.
player-resting = Take your time: breathe normally, and come back when you like.
player-not-heard = Play when the beat comes: the device is listening.
player-microphone-refused = Follow the beat: you are not measured, since the microphone is not allowed. You can allow it at any time.
player-microphone-missing = Follow the beat: you are not measured, since this device has no microphone.
player-microphone-insecure = Follow the beat: you are not measured, since this page did not come over https.
player-microphone-lost = Follow the beat: you are not measured while another program has the microphone.
player-blended = Others are as loud here: move the device closer to you.

## For the conductor to say. $name is one player, or several: “Wren and Tobias”.

say-everyone = Everyone
say-slow = { $name }, a little sooner: { $count }.
say-fast = { $name }, wait for the tick: { $count }.
say-early = { $name }, hear the tick first, then swell.
say-late = { $name }, begin the swell sooner: its top belongs on the tick.
say-other-note = { $name }, that is another note: look at yours again.
say-sharp = { $name }, let the note come down: warm, slow air.
say-flat = { $name }, more air under the note.
say-drifting-sharp = { $name }, the note climbs: let only the air move.
say-drifting-flat = { $name }, the note sinks: keep the air going through the valleys.
say-shallow = { $name }, it is there: make the pulse bigger.
say-choked-valleys = { $name }, keep some air in the valleys.
say-pitch-led = { $name }, jaw still: let the air make the pulse.
say-uneven = { $name }, one tick, one swell: steady before many.
say-uneven-straight = { $name }, straight here: let the air flow on.
say-straight = { $name }, lovely tone: now one puff on each tick.
count-to-the-beat =
    { $n ->
        [1] one to the beat
        [2] two to the beat
        [3] three to the beat
        [4] four to the beat
        [5] five to the beat
        [6] six to the beat
        [7] seven to the beat
        [8] eight to the beat
       *[other] { $n } to the beat
    }
count-none = listen to the others
