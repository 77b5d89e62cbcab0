# Signing in, passphrases, invitations, and the page of who may do what.

sign-in-title = Sign in
sign-in-conductor = { $section }, conductor
sign-in-passphrase = Passphrase
sign-in-forgotten = Forgotten? On the computer on which Windrow runs, type <code>windrow passphrase</code> in a terminal. An assistant opens the link of the invitation instead.
sign-in-players = Players do not sign in: they join at the address on the conductor’s screen.
sign-in-wrong = That is not the passphrase. Small and capital letters differ, and so do spaces.
sign-in-too-many =
    { $s ->
        [1] Too many wrong passphrases came from here. Wait a second, then try again.
       *[other] Too many wrong passphrases came from here. Wait { $s } seconds, then try again.
    }

## A field for a passphrase. $field is its label, which stands beside it.

secret-show = Show
secret-hide = Hide
secret-show-field = Show, { $field }
secret-hide-field = Hide, { $field }
secret-new = New passphrase
secret-again = The same again

## The first passphrase.

first-title = Choose a passphrase
first-what-for = It opens the conductor’s pages, on this computer and on others in the room. { $n } signs or more; several words with spaces are fine, and easier to type than tricks. Write it down and keep it where players do not look.
first-keep = Keep it and go on
first-effect = Whoever is signed in elsewhere is signed out by this. What is stored is a hash, from which nobody can read the passphrase: if it is lost, <code>windrow passphrase</code> sets another.

## Why a passphrase is not taken.

unfit-too-short = That has { $n } signs, and { $least } are needed. Several words are fine, with spaces.
unfit-too-long = That has { $n } signs, and { $most } are the most that is taken.
unfit-guessed-first = That is among the first things somebody would try. Take a few words that do not belong together.
unfit-section = That is the name of the section, which everybody knows. Take a few words that do not belong together.
unfit-code = The join code is in it, and that hangs on the wall. Take something else.
unfit-differ = The two are not the same. Type both again.

## An assistant's invitation.

invitation-title = Invitation
invitation-heading = Help to lead
invitation-what-for = The conductor invites you as an assistant: on this device you can lead the rehearsal, check the room and keep the roster, until the conductor ends it.
invitation-name = Your name, for the conductor
invitation-go-in = Go in
invitation-name-wrong = { $what }. A first name or nickname is enough.

## Who may do what.

access-title = Access
access-invitation-title = An invitation for one assistant
access-invitation-how = Show this to the assistant’s camera, or send the link. It is good once, and for a day; it is not shown again.
access-invitation-pattern = Pattern for a camera, with the link below
access-invitation-link = Link
access-door-title = Join code
access-door-closed = The room is closed: nobody new comes in.
access-door-timed-out = The room has closed by itself, since nobody was connected for so long. Opening it makes another code.
access-door-open-used = The room is open. It closes by itself { $span } after the last player has left.
access-door-open-empty = The room is open. It closes by itself in { $span }, unless somebody joins.
access-players-open = Players open <strong class="address">{ $url }</strong>
access-close = Close the room
access-more-time = More time
access-open = Open the room
access-another-code = Another code
access-door-help = A closed room lets nobody new in; who is in stays, and may come back with the same device. With another code the old one is worth nothing to anybody new.
access-lasts-label = The room closes by itself when nobody was connected for
# $min from 15 to 720; $hours are the same in hours.
access-lasts =
    { $min ->
        [15] a quarter of an hour
        [30] half an hour
        [60] an hour
       *[other] { $hours } hours
    }
access-lasts-keep = Keep this
access-assistants-title = Assistants
access-assistants-what = An assistant may lead the rehearsal, check the room and keep the roster on a device of their own, but change nothing on this page and erase nothing.
access-used-now = here now
access-used-ago = here { $span } ago
access-end = End
access-end-for = End for { $name }
access-invitation-waits = An invitation waits; it ends in { $span }.
access-invite = Invite an assistant
access-withdraw = Withdraw what waits
access-signed-in-title = Signed in
access-signed-in-assistant = You are signed in as { $name }, an assistant.
access-signed-in =
    { $n ->
        [0] You are signed in here, and nowhere else.
        [1] You are signed in here and in one other browser.
       *[other] You are signed in here and in { $n } other browsers.
    }
access-sign-out = Sign out here
access-sign-out-everywhere = Sign out everywhere
access-sign-in-ends = A sign-in ends by itself 12 hours after it was last used, and when the browser is closed.
access-everywhere-means = Everywhere means assistants and this browser as well. Players stay.
access-passphrase-title = Change the passphrase
access-passphrase-present = Present passphrase
access-passphrase-change = Change it
access-passphrase-rule = { $n } signs or more; several words with spaces are fine. Everybody else is signed out by this.
access-passphrase-wrong = That is not the present passphrase.

## A span of time, in what stands before and after it.

span-moment = less than a minute
span-minutes =
    { $n ->
        [1] a minute
       *[other] { $n } minutes
    }
span-hours =
    { $n ->
        [1] an hour
       *[other] { $n } hours
    }
span-hours-minutes = { $hours } h { $min } min
