# The conductor's page itself; what its scripts say is in conductor.ftl.

## Around the raster.

conductor-page-title = { $section }, conductor · Windrow
conductor-invented = invented players
conductor-no-script = This page needs JavaScript to show the room. Switch it on and load the page again.
say-label = say
notices-label = To know and to decide
raster-label = Pulse raster
section-label = Section
lanes-label = Players; up and down choose one to speak to, Enter opens the last minute
more-players = More players: open
tally-label = How many players are in which state

## Controls.

key-space = space
control-again = Again
control-plan = Plan
control-more = More
control-help = Help, care
setup-music = Music
setup-notes = Notes and tick
setup-view = View
setup-pages = Pages
tempo-label = Tempo, beats per minute
tempo-unit = bpm
per-beat-label = Subdivision
per-beat-0 = straight
per-beat-1 = quarters
per-beat-2 = eighths
per-beat-3 = triplets
per-beat-4 = sixteenths
when-label = When changes take effect
when-bar = changes at the bar
when-beat = changes at the beat
when-exercise = changes at the exercise’s end
count-in-label = Count-in
count-in-0 = no count-in
count-in-1 = 1 bar in
count-in-2 = 2 bars in
turns-label = Who plays when, from the next start on
turns-together = together
turns-down-the-line = down the line
turns-pairs = in pairs
note-for-label = Whose note
note-label = That note, as it sounds
voicing-label = How the note is spread over the chairs, from the next start on
voicing-unison = unison
voicing-octaves = octaves
voicing-fifth = root and fifth
voicing-triad = triad
voicing-steps = three steps
tuning-label = Where the notes of a chord lie, from the next start on
tuning-equal = equal tuning
tuning-just = just tuning
tick-from-label = Who makes the tick heard
tick-from-conductor = tick from here
tick-from-devices = tick from every device
tick-from-nobody = no tick
view-far = Larger
view-full = Full screen
view-wall = Wall
wall-window = Wall in a window of its own
wall-window-keys = Keys there: F full screen, L labels, T counts, D larger
wall-labels-label = What stands for a player on the wall
wall-labels-parts = wall: parts
wall-labels-initials = wall: initials
wall-labels-chairs = wall: chairs
wall-tally = Wall: counts
page-plans = Plans
page-results = Results
page-weeks = Weeks
page-room = Room
page-roster = Roster
page-access = Access

## The plan.

flow-label = when an exercise has ended
flow-wait = wait for me
flow-go-on = go on by itself, after its rest
exercises-label = Exercises; choose one
other-plans = Other plans

## Help.

help-title = Reading this page
help-raster = Time runs to the right, two bars wide. Each mark is one pulse: its height is the depth (a full lane is 16 dB), its width is 50 ms. A mark that covers its tick is with the beat. Hollow marks: the device hears others as well, so nothing is said about that player. The short line beside a lane is the pitch centre against the note. Under the figures a wedge shows how the vibrato grows or fades, a hairpin how the loudness does.
help-open = A lane opens when you tap it, or with Enter: the player’s last minute, with figures. “Order: worst first” sets whoever needs a word on top, anew at each bar line.
help-microphones = “The microphone clips”: the device is too near. “Sounds like a headset”: let the player use the device’s own microphone. “The device turns its level”: the depth is not the player’s. Nothing is said about depth meanwhile.
help-wall = Wall shows parts, initials or chairs instead of names, and how many are in which state, so that nobody is judged before the class. In a window of its own it can stand on a second screen while this page stays yours.
help-care-title = Take care
help-care-breath = Breath pulses tire and can make players light-headed. Plan rests, let anyone rest without a reason, and stop the exercise for whoever feels dizzy.
help-care-hearing = Long loud rehearsal harms hearing: keep the tick just loud enough, and pause. Nothing on this page flashes.
help-care-rules = The rules of your school or ensemble, and the advice of licensed health professionals, come before this page.
help-tick-title = The tick of this computer
tick-sound-label = sound
tick-sound-wood = wood
tick-sound-bright = bright
tick-volume-label = loudness
help-keys-title = Keys
help-keys-music = Space: start and stop. Full stop: stop at the bar line. H: hold what is played, and go on; after a stop, go on in the bar where it was. A: again from the exercise’s start. N and B: next exercise and the one before. P: the plan. − and +: slower and faster by one metronome mark.
help-keys-view = Up and down: choose a player. Enter: open that lane. Escape: close it, and back to the line the page suggests. O: order. W: wall. D: larger. F: full screen. M: more controls.
help-when = Changes wait for the next bar line, for the next beat, or for the exercise’s end, as you choose; a bar line too near for every device to hear of it in time is left out.
help-keys-on = these keys work anywhere on the page

## A lane opened.

opened-reading = Lines of music, the newest below. Height of a mark: depth, a full lane is 16 dB. The thin line: pitch centre against its note, 50 cents up and down. Words stand where the room began to say them.
opened-close = Close
