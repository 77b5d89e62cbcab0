# The page of the rooms of a server, and what is said where the room is not known.

rooms-title = Rooms
rooms-what = Several sections can rehearse at the same time, each in a room of its own: its players, its code, its tempo, its results. Whoever has signed in here can lead any of them.
rooms-open-now = Open now
rooms-here = This browser leads it
rooms-lead = Lead this room
rooms-lead-of = Lead the room of { $section }
rooms-code = Code { $code }
rooms-door-closed = closed to new players
rooms-players =
    { $n ->
        [0] nobody is in
        [one] one player
       *[other] { $n } players
    }
rooms-close = Close this room
rooms-close-of = Close the room of { $section }
rooms-close-sure = Whoever is in is sent out, and the code is no longer good. What was played is kept.
rooms-close-yes = Yes, close the room of { $section }
rooms-another = Open another room
rooms-another-section = Section or ensemble
rooms-another-help = A name with a list brings its list along; another name begins an empty one.
rooms-another-open = Open the room
rooms-link = Another section rehearses at the same time
rooms-onward = Choose a room
rooms-which = There are several rooms: choose the one that you lead, then try again.
rooms-closed = This room is closed. Choose another one.
rooms-name-wrong = The name of the section { $what }.
rooms-is-open = { $section } has a room already: lead that one.
rooms-full = There are { $most } rooms, and no more fit in. Close one first.
rooms-last = This is the only room. It is closed when Windrow ends; its door can be closed under “Access”.
