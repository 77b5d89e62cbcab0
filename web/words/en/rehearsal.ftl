# What a room says: why a command cannot be carried out, what to know and decide, why a device is refused, what the room check
# advises, what could come next and why.

cannot-start-playing = the music is playing already: stop it first, or choose Again
cannot-stop-at-end = this exercise goes on until it is stopped: stop now or at the bar
cannot-go-on-nothing = nothing was stopped half-way: choose Start
cannot-go-on-already = the music is going on already
cannot-hold-nothing = there is nothing to hold: press Start first
cannot-hold-endless = this goes on until you stop it anyway
cannot-turn-at-end = this exercise goes on until it is stopped: choose the next bar
cannot-ending = the music is just ending: choose Start
cannot-too-many-changes = this exercise has been changed too often: choose Again to begin it anew
cannot-take-plan-playing = the music is playing: stop it first, then choose the plan
cannot-step-back-no-ladder = this exercise is no ladder: choose Again or Slower
cannot-step-back-first = this is the first rung: choose Again or Slower
cannot-check-playing = the music is playing: stop it first, then check the room
cannot-check-running = the room check is running: wait until it ends, or stop it
cannot-check-nobody = nobody is in yet: the room can be checked once players have joined
notice-check-stopped = The room check was stopped, since chairs have changed: begin it again.
cannot-answer-settled = that is settled already
cannot-answer-choose = choose which of the two devices is right
care-breath = Breath pulses can make players light-headed: whoever feels it stops, sits down and breathes as usual.
care-loud = Twenty minutes of the last half hour were loud: play something soft, or rest the ears.
refused-replaced = you joined again from another page or device: this one has stopped listening
refused-already-in = the conductor says that this player is in already: choose your own name, or type a nickname
refused-sent-out = the conductor has sent this device out of the room: ask before you come in again
refused-given-away = the conductor gave this name to another device: choose your own name, or type a nickname
notice-two-devices = Two devices say they are { $name }.
notice-two-devices-unknown = Two devices say they are one player.
notice-claimed = Another device says that it is { $name }'s as well. The conductor decides.
cannot-last-exercise = this is the last exercise
cannot-first-exercise = this is the first exercise
cannot-count-in = the count-in must be 0, 1 or 2 bars, but is { $bars }
cannot-take-plan-empty = the plan "{ $title }" has no exercise: add one first
cannot-choose = there is no exercise { $exercise }: choose one from 1 to { $n }
cannot-check-chair = nobody is in on chair { $chair }: choose chairs of players who are in
cannot-note-low = { $note } is too low for the { $instrument } on chair { $chair }: choose a note that sounds from { $low } to { $high }
cannot-note-high = { $note } is too high for the { $instrument } on chair { $chair }: choose a note that sounds from { $low } to { $high }
care-rest = { $minutes } minutes have been played without a rest: let everybody rest for two.
refused-name-taken = { $name } is in from another device. Is that you as well?
refused-name-taken-unknown = this player is in from another device. Is that you as well?
refused-full = all { $n } chairs of this rehearsal are taken: ask the conductor to open another room
refused-many-questions = the conductor has many such questions waiting: choose your own name, or type a nickname
notice-conductor-is-asked = { $name } is in from another device, so the conductor is asked. One moment.
notice-numbered = “{ $typed }” is taken here, so you are “{ $name }”.
cannot-seat-person = that person is not in this section's list any more
cannot-seat-player = that player is not in the room any more
cannot-seat-in-already = { $name } is in from another device: settle first which of the two is right
cannot-slower = there is no metronome mark below { $bpm }
cannot-faster = there is no metronome mark above { $bpm }
advice-swapped = { $a } and { $b } hear each other louder than themselves: have they each other's device?
advice-pair = { $a } and { $b }
advice-apart = Move these stands apart, or clip the microphones on: { $pairs }.
advice-apart-and-others = Move these stands apart, and others below, or clip the microphones on: { $pairs }.
advice-no-microphone = { $chair }: the device may not listen yet; ask { $name } to allow the microphone.
advice-not-heard = { $chair }: others hear { $name }, the own device does not; is something over its microphone, or is a headset connected?
advice-turns-level = { $chair }: the device of { $name } turns its level by itself, so its neighbours seem nearer than they are; see its microphone check.
advice-loud-silence = { $chair }: the silence was as loud as the turn of { $name }; be silent after the count, and check again.
advice-silent = { $chair }: nothing was heard in the turn of { $name }; check that chair again.
advice-noisy = { $chair }: the room is nearly as loud as { $name }; move the device nearer, or wait until it is quiet.
advice-all-clear = Every device that was checked hears its own player well.
refused-malformed = a message could not be understood ({ $why }): reload the page
refused-closing = the rehearsal's server is closing: thank you for playing
refused-binary = messages must be text, but this one is binary
refused-too-long = a message is longer than { $n } bytes: reload the page
refused-version = this page and the server are of different versions: reload the page
refused-batch = a batch has { $n } pulses, but at most { $most } are taken: reload the page
refused-second-hello = a second hello came: reload the page
refused-no-hello = nothing came from this page in time: reload it
refused-first-hello = the first message must be a hello: reload the page
refused-signed-out = you are not signed in: load this page again and sign in
refused-conductors = this page is the conductor's: open it anew, and sign in if you are asked to
refused-code = no rehearsal has the code { $code }: compare it with the one on the conductor's screen
refused-code-earlier = the code has changed: type the one that is on the conductor's screen now
refused-room-closed = the room is closed for now: ask the conductor
refused-too-many =
    too many wrong codes came from here: wait { $seconds ->
        [one] a second
       *[other] { $seconds } seconds
    }, then try again
refused-too-fast = messages come faster than a device ever needs to send them: reload the page
notice-erased = { $name } has erased what was stored about them.
notice-erased-unknown = A player has erased what was stored about them.
refused-erased = What was stored about you has been erased.
reason-played = { $minutes } minutes have been played without a rest
reason-loud = { $minutes } minutes of the last half hour were loud
reason-too-short = { $who } heard for too short a time to say more
reason-not-heard = { $who } not heard
reason-matched = { $who } matched
reason-were = { $who } { $state }
reason-twice = { $reason }, twice running
reason-most-of-the-time = { $reason } for most of the time
reason-fast-and-slow = { $fast } fast, { $slow } slow
reason-was = { $name } was { $state }
reason-both = { $a }, { $b }
reason-blended = { $who } could not be told from their neighbours
reason-blended-on-one-note = { $who } could not be told from their neighbours on one note
suggest-rest = Rest first, for two minutes.
suggest-longer = Play it once more, and a little longer.
suggest-microphones = Look at the microphones, then play it once more.
suggest-closer = Move the devices closer to their players, then once more.
suggest-spread = Spread the notes over a chord.
suggest-down-the-line = Hear them one after another.
suggest-step-back = Go one rung back.
suggest-slower = Take it slower: { $bpm }.
suggest-to-be-sure = Once more, to be sure.
suggest-next = Go on to “{ $next }”.
suggest-speak-to = Speak to { $names }, then play it once more.
suggest-again = Play it once more.
suggest-again-bigger = Once more, with bigger pulses.
suggest-again-valleys = Once more, with some air in the valleys.
suggest-again-still-jaws = Once more, with still jaws: the air makes the pulse.
suggest-again-one-puff = Once more: one puff of air on each tick.
suggest-again-steadily = Once more, as steadily as can be.
suggest-again-hear-the-tick = Once more: hear the tick first, then swell to it.
suggest-tune-first = Tune a straight note, then once more.
were-the-one = the one who was heard was
were-not-the-one = the one who was heard was not
were-all = { $all } were
were-none = none of { $total } was
were-one = one of { $total } was
were-some = { $n } of { $total } were
some-of = { $n } of { $total }
everybody-both = both
everybody-all = all { $n }
number =
    { $n ->
        [0] none
        [1] one
        [2] two
        [3] three
        [4] four
        [5] five
        [6] six
        [7] seven
        [8] eight
        [9] nine
        [10] ten
        [11] eleven
        [12] twelve
       *[other] { $n }
    }
cannot-merge-both-in = both are in just now, from two devices: let one of them leave the room first
notice-imaginary-left = The imaginary section has left, because a player has come.
cannot-lend-gone = the imaginary section has gone: let it come again
