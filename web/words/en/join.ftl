# Joining, step by step: the code, then who the player is.

join-title = Join the room
join-code = The code on the wall
join-code-help = Six signs. It does not matter whether they are small or capital.
join-go-in = Go in
join-not-here = My name is not here
join-name = Your name, or a nickname
join-name-help = Any name will do: real names are never demanded.
join-instrument = Your instrument
join-instrument-choose = choose
join-to-names = Back to the names
join-sends = Next your device asks whether it may listen. It sends what it measured, never the sound: that does not leave your device.
join-listen = Listen and join
join-listening = Joining
join-not-me = That is not me
join-move-here = Move here
join-somebody-else = I am somebody else
join-my-data = What is stored about me
join-no-script = This page needs JavaScript to keep the beat and to listen. Switch it on and load the page again.

join-welcome-back = Welcome back, { $name }
join-who = Who are you?
join-is-that-you = Is that you?
join-moment = One moment
join-that-is-me = that is me
join-is-in = is in

## What is wrong.

join-wrong-code = The code has { $signs } signs; here are { $n }. It stands on the conductor's page.
join-wrong-name = Type a name, or whatever the others call you.
join-wrong-instrument = Choose your instrument, so that your notes are written right.
join-tap-first = Tap your name first, or “My name is not here”.
join-unreachable = The room cannot be reached. Is this device on the room's Wi-Fi? Then try again.
join-no-names = the names could not be fetched
