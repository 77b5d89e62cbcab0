# The room before the music: how to get in, who is in and where, what each device hears; and the poster.

room-title = { $section }, the room
room-notices = To know and to decide
room-no-script = This page needs JavaScript to show the room. Switch it on and load the page again.
room-pattern = Pattern for a phone's camera; it holds the address below
room-code = code
room-open-address = on the room’s Wi-Fi, open
room-full-screen = Full screen
room-print = Print this
room-nobody = Nobody is in yet
room-seats = as they sit, seen from the stand
room-stand = stand
room-not-in = not in
room-plays-now = plays now
room-in =
    { $n ->
        [1] 1 player is in
       *[other] { $n } players are in
    }
room-in-of = { $n } of { $expected } are in
room-check-title = Room check <span class="quiet">each one alone for a bar, straight</span>
room-check-help = After the count, a bar of silence; then each player in turn holds one easy note for a bar. It tells what every device hears of its own player, of the room and of each neighbour. It is kept until the server stops.
room-key-own = own
room-key-neighbour = loudest neighbour
room-key-noise = room, silent
room-all-levels = All levels
room-levels-caption = Rows: whose device. Columns: who plays. dB under full scale of that device; devices are not compared with each other.
room-levels-device = device
room-levels-own = own
room-levels-noise = noise
room-check-start = Check the room
room-check-again = Check again
room-check-stop = Stop the check
room-to-rehearsal = Go to the rehearsal
room-tick-title = The tick of this computer
room-tick-sound = sound
room-tick-wood = wood
room-tick-bright = bright
room-tick-loudness = loudness
room-keys = the keys C and F work anywhere on this page
room-unreachable = The room cannot be reached; trying again.
room-not-sent = The room cannot be reached just now, so nothing was sent. Trying again.
room-no-full-screen = This browser does not let a page fill the screen.

## What the check found of a device, in a few words.

finding-not-checked = not checked
finding-away = away
finding-no-microphone = no microphone
finding-silent = not heard
finding-not-heard = not heard
finding-other-is-louder = other is louder
finding-turns-level = turns its level
finding-too-close = too close
finding-noisy = noisy
finding-clear = clear
finding-apart = { $db } dB apart
finding-chair = { $chair }, { $name }
finding-over-noise = { $db } dB over the noise
finding-over-chair = { $db } dB over chair { $chair }

## How devices get here.

reach-or = or { $name }
reach-nobody = No other device has reached this computer yet.
reach-reached =
    { $n ->
        [1] 1 device reached this computer, { $secure } of them over https.
       *[other] { $n } devices reached this computer, { $secure } of them over https.
    }

## The poster.

poster-title = { $section }, poster
poster-pattern = Pattern for a phone’s camera; it leads to { $address } with the code { $code }
poster-type = in a browser, type
poster-may-work = { $name } may work as well
poster-code = code
poster-wifi = Join the room’s Wi-Fi:
poster-camera = Point the camera at the pattern, or type the address.
poster-page = Do what the page says, and join.
poster-compare = Compare before you trust: SHA-256
poster-foot = Your device sends what it measured, never the sound. The code changes with each rehearsal.
