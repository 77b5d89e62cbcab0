# The first minute: the imaginary section, and what a page says while there is nothing on it yet: what is here, what to do,
# what happens then.

## The rehearsal's page while nobody is in. "empty-title" stands until the room has said how its door is.

empty-title = The room is open, and nobody is in yet
empty-closed = Nobody new can come in.
empty-closed-do = Open the room under “Access”
empty-pattern = Pattern for a phone's camera; it leads to { $address } with the code { $code }
empty-address = on the room’s Wi-Fi, open
empty-code = code
empty-steps = What to do now
empty-let-in = Let the players in
empty-let-in-then = A phone reads the pattern, or its player types address and code. Each name appears here as it comes.
empty-start = Press Start
empty-start-then = A bar is counted in. Then every pulse is drawn against the ticks, a line for each player.
empty-say = Say what the page suggests
empty-say-then = One thing, to one player; it stands at the top. Then Again, or Next.
empty-room = Room: who sits where
empty-plans = Plans: what to practise
empty-roster = Roster: names to tap
empty-sound-stays = Devices send what they measured, never the sound.

## The imaginary section.

try-come = Try it with an imaginary section
try-come-then = Eight invented players sit down here and play what you start, six of them with something to put right. Nothing of them is kept; they go when you say so, or when a player comes.
try-plan = Try it
try-plan-named = Try it with an imaginary section: { $title }
try-plan-then = Nobody is in just now. “Try it” lets an imaginary section come and play a plan; nothing of it is kept.
try-mark = imaginary
try-here = Imaginary players
try-here-then = They are invented, and nothing of them is kept. They leave when a player comes.
try-results = Imaginary players: what they played stands here until they leave, and is kept nowhere.
try-leave = Send them away
try-taken-title = Players are in
try-taken = The imaginary section never sits among real players. Try it when nobody is in.
try-ended-title = The room has ended
try-ended = Windrow is being stopped. Start it again, then load this page anew.

## Other pages on which there is nothing yet.

empty-own-plans = None yet. The quickest way: “Copy and edit” at one below that is nearly right, and change what does not fit your section.
empty-list = Nobody is in the list yet. With a list players tap their name instead of typing it, keep their chair, and are known next week. Add the first one here; or begin without a list, and take whoever comes into it later.
empty-mine = Nothing is stored about this device. Once you have joined a rehearsal with it and played, all that is stored stands here: when, what was measured, and how to take it along or erase it.
empty-seats = Players stand here by name, chair by chair, as they come in. Let them point a camera at the pattern. Then check the room: it tells which stands are too close together.

## Where a page that only says something leads on to.

onward-code = Type the code
onward-rehearsal = To the rehearsal
onward-sign-in = Sign in
onward-plans = To the plans
