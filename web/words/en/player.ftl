# The player's page while one plays: short, kind, exact; a sentence has two lines on a phone, so about 55 signs.

play-title-ready = Ready
play-title-rest = Rest
play-begin = Listen to the beat, then play with it.
play-before = Not started yet. Play: your pulses are drawn here.
play-after = Rest: breathe as usual until the count comes back.
play-your-note = Your note
play-your-note-is = Your note: { $note }
play-sounds = sounds { $note }
play-any-note = any note
play-easy-note = one that is easy for you
play-ahead = Loudness and vibrato, as they are written for the bars ahead
play-lane = Your pulses against the beat
play-legend = above the dotted line: deep enough
play-said = How it goes
play-came-to = What it came to
play-centre-unit = cents
play-unmeasured = not measured
play-goal = Goal: { $goal }
play-exercise = This exercise
play-rest = I need a rest
play-back = I am back
play-more = More
play-close = Close
play-care = Take care
play-care-air = Pulses come from the air, not from pressing. If you feel light-headed, stop, sit down and breathe as usual. Press “I need a rest” whenever you want; nobody asks why.
play-care-ears = Keep the tick soft, above all in headphones, and give your ears a rest from loud sound.
play-care-rules = Your teacher’s word, the rules of your school and a doctor’s advice come before this page.
play-my-data = What is stored about me

## When something is in the way.

play-listen-again = Listen again
play-unmeasured-until-then = Until then you can follow the beat without being measured.
play-interrupted = The sound was interrupted: you are not measured just now. It comes back by itself.
play-taken-away = The microphone was taken away. Close calls and recorders, then press “Listen again”.
play-listening-stopped = The listening part stopped. Reload the page.
play-listening-did-not-start = Listening did not start: { $why }. Reload the page.
play-listen-too-old = this browser is too old to listen, so use a newer one
play-did-not-load = The listening part did not load. Is this device on the room’s Wi-Fi? Then reload the page.
play-screen = This browser cannot keep the screen on: in the device’s settings, let the screen stay on for longer.
play-full = This device has kept all it can since the room last answered: the oldest of what you played is lost now. Tell the conductor.
play-lost = The room cannot be reached; trying again. What you play is kept until it can.
play-lost-advice = Is this device still in the room’s Wi-Fi? If so, point the camera at the pattern again.
play-lost-joining = The room cannot be reached; trying again. Is this device on the room’s Wi-Fi?
play-way-socket = Connected to the room the usual way.
play-way-line = Connected to the room by the slow line: this device or network lets no socket through. All works; the beat may be a little less exact.

## The lane, for a voice that reads the page aloud.

play-lane-unmeasured = Your lane: not measured just now.
play-lane-silent = Your lane: no tone is heard.
play-lane-heard = Your lane: { $what }.
play-lane-rate = { $hz } pulses a second
play-lane-depth = depth { $db } dB
play-lane-centre = pitch centre { $cents } cents
play-lane-straight = a tone without pulses

## What a stretch of playing came to: one sentence with one thing to do.

came-matched = You were with the beat. Keep the air just like this.
came-matched-straight = A steady, even tone. Keep it just like this.
came-matched-free = Your own pulses, well heard. Keep them going.
came-slow = Next time let each pulse come a little sooner.
came-fast = Next time wait for the tick before each pulse.
came-early = Next time hear the tick first, then swell.
came-late = Next time begin each swell a little sooner.
came-sharp = Let the note come down next time: warm, slow air.
came-flat = Keep the air moving under the note next time.
came-drifting-sharp = It climbed: leave the mouth alone, move only the air.
came-drifting-flat = It sank: keep the air going through each valley.
came-shallow = The pulse is there. Next time make it bigger.
came-choked-valleys = Keep some air in the valleys: low, but not silent.
came-pitch-led = Jaw and lips still: let the air make the pulse.
came-uneven = One swell to a tick: steadier before faster.
came-uneven-straight = This one is straight: let the air flow on.
came-straight = A clear tone. Next time add a puff on each tick.
came-blended = Others were as loud here: move the device closer.
came-not-heard = Put the device nearer to you, then play on.
came-unmeasured = The sound was interrupted, so this was not measured.
came-unknown = This is what your device heard, out of the room’s reach.
came-grew = It grew little by little. Keep it as calm as that.
came-faded = It faded little by little. Keep it as calm as that.
came-grow-slower =
    { $of ->
        [one] Let it grow more slowly, over the whole beat.
       *[other] Let it grow more slowly, over all { $of } beats.
    }
came-fade-slower =
    { $of ->
        [one] Let it fade more slowly, over the whole beat.
       *[other] Let it fade more slowly, over all { $of } beats.
    }
came-turn-there = It turned where it is written. Keep that line.
came-turn-early = Save some air: the loudest moment is on beat { $beat }.
came-turn-late = Come down sooner: the loudest moment is on beat { $beat }.
came-hairpin-more = Begin softer, so that there is room to grow.

## The number before these is set large: “19 | of 24 on the tick”.

came-state-blended = blended
came-state-not-heard = not heard
came-state-unmeasured = not measured
came-to-the-beat = to the beat, { $asked } asked
came-on-ticks = of { $of } on the tick
came-rate = pulses a second
came-cents = cents
came-swing = cents of swing
came-depth = dB deep
came-wobble = dB of pulse
came-uneven-by = % uneven
came-broke = of { $of } valleys broke
came-ms-early = ms early
came-ms-late = ms late
came-pulses =
    { $n ->
        [one] pulse
       *[other] pulses
    }
came-beats-growing = of { $of } beats of growing
came-beats-fading = of { $of } beats of fading
came-beat = beat { $beat }
came-loudest = was loudest, written is { $beat }
came-louder = dB louder in the middle

## What comes next.

coming-turn =
    { $n ->
        [1] your turn in 1 beat
       *[other] your turn in { $n } beats
    }
coming =
    { $n ->
        [1] in 1 beat: { $what }
       *[other] in { $n } beats: { $what }
    }
coming-straight = straight
coming-free = free
coming-rest = rest
coming-silent = silent
coming-full = full vibrato
coming-at-tempo = at { $bpm }

## A browser that is too old, or a page that did not start.

old-title = This browser is too old
old-what = It cannot keep the beat or listen to you. Update it, or open this address in another browser or on another device.
old-versions = It takes Chrome or Edge 96, Firefox 114, Safari 15.4 (iPhone and iPad with iOS 15.4), or anything newer.
not-started-title = The page did not start
not-started-what = Load it again. If that does not help, this device may have left the room’s Wi-Fi, or its browser is too old.
