# Who belongs to the section: the page, what is said of a change, and what is wrong with a file.

roster-title = Roster
roster-n-in = { $n } of { $expected } are in
roster-undo = Undo
roster-list-title = The list, in chair order
roster-name-of = Name, chair { $chair }
roster-instrument-of = Instrument of { $name }
roster-part-of = Part of { $name }
roster-is-in = is in
roster-save = Save
roster-save-of = Save { $name }
roster-up = Up
roster-up-of = { $name } one chair up
roster-down = Down
roster-down-of = { $name } one chair down
roster-off = Off
roster-off-of = Take { $name } off the list
roster-more = More <span class="spoken">about { $name }</span>
roster-more-new-device = <strong>New device</strong>, more <span class="spoken">about { $name }</span>
roster-sessions =
    { $n ->
        [1] 1 session
       *[other] { $n } sessions
    }
roster-devices =
    { $n ->
        [1] 1 device
       *[other] { $n } devices
    }
roster-recorded = { $sessions } recorded, { $devices }.
roster-recorded-unconfirmed = { $sessions } recorded, { $devices }, { $n } of them not confirmed: until you do, it shows { $name } only what it recorded itself.
roster-all-theirs = All are theirs
roster-all-theirs-of = All are theirs: the devices of { $name }
roster-forget = Forget the devices
roster-forget-of = Forget the devices of { $name }
roster-erase = Erase everything stored
roster-erase-of = Erase everything stored about { $name }
roster-new-name = Name of somebody new
roster-new-name-hint = name or nickname
roster-new-instrument = Instrument of somebody new
roster-new-instrument-hint = instrument
roster-new-part = Part of somebody new
roster-new-part-hint = part, if you like
roster-add = Add
roster-guests-title = In the room, but not in the list
roster-guest-away = { $part }, away
roster-adopt = Take into the list
roster-adopt-of = Take into the list: { $name }
roster-who-is = Who { $name } is
roster-is-this = Is this person
roster-is-this-of = Is this person: { $name }
roster-send-out = Send out of the room
roster-send-out-of = Send out of the room: { $name }
roster-removed-title = Taken off the list
roster-put-back = Put back
roster-put-back-of = Put back: { $name }
roster-merge-title = One player, twice in the list
roster-merge-this = This entry
roster-merge-off = { $name } (off the list)
roster-merge-is = is in truth
roster-merge = Make them one
roster-merge-help = Records and devices of both come together under the second name. This cannot be undone.
roster-file-title = Bring in a file, or take one along
roster-file = A table from a spreadsheet, saved as CSV (UTF-8)
roster-file-lines = or its lines, pasted
roster-file-header = name,instrument,part
roster-file-help = The first line names the columns: name and instrument; section, chair and part if you like. You see what would change before anything does; a name that is there already is brought up to date.
roster-file-look = Look at it first
roster-file-all = All sections as a CSV file
roster-sections-title = Sections
roster-section-choose = The section in the room; a new name makes a new one
roster-section-bring = Bring into the room
roster-section-n = { $n } in its list
roster-section-line = { $name }, { $n } in its list
roster-section-line-here = { $name }, { $n } in its list; in the room
roster-keep-title = How long records are kept
roster-keep-is = Sessions are erased { $days } days after they began.
roster-keep-is-option = Sessions are erased { $days } days after they began, as the command line says.
roster-keep-days = Days after which a session is erased
roster-keep = Keep so long
roster-keep-help = No sound is ever stored: names, seats, pulses and results are. Players see what is stored about them under “What is stored about me” on their own page, and can erase it.

## A chosen file, as the page finds it.

roster-file-too-large = The file has { $kb } kB; at most { $most } are taken. Is it a list of players?
roster-file-not-utf8 = This file is not UTF-8. Save it as “CSV UTF-8” in the spreadsheet and choose it again.
roster-file-chosen = { $name } is in the field below. Look at it first; nothing is changed yet.

## Before everything about a person is erased.

roster-erase-title = Erase
roster-erase-heading = Erase everything about { $name }?
roster-erase-what = The place in the list, the devices, and all that was recorded in { $sessions }: it is gone from the file for good, and cannot be brought back. To keep the records and only shorten the list, take { $name } off the list instead.
roster-erase-sure = Erase for good
roster-erase-not = Keep everything

## What a file would change.

import-title = Import
import-lines =
    { $n ->
        [1] 1 line can be imported
       *[other] { $n } lines can be imported
    }
import-lines-but =
    { $n ->
        [1] 1 line can be imported, { $wrong } cannot
       *[other] { $n } lines can be imported, { $wrong } cannot
    }
import-counts = { $new } new, { $known } there already and brought up to date. Nothing is changed yet.
import-errors-title = What is wrong
import-errors-help = Correct these lines in the file and bring it in again, or import the others now.
import-ignored = Not used: { $columns }. Only section, chair, name, instrument and part are read.
import-quoted = “{ $text }”
import-do = Import { $n }
import-not = Change nothing
import-table = Lines that can be imported
import-line = line
import-section = section
import-chair = chair
import-name = name
import-instrument = instrument
import-part = part
import-is = is
import-is-there = there
import-is-new = new

## What was done.

roster-did-add = { $name } is in the list now.
roster-did-edit = { $name } is changed.
roster-did-move = { $name } has chair { $chair } now.
roster-did-remove = { $name } is off the list. The records stay until they are erased.
roster-did-restore = { $name } is in the list again.
roster-did-merge = { $one } and { $other } are one now: { $other }.
roster-did-seat = That player is { $name } now.
roster-did-send-out = { $name } was sent out. Whoever has the code can come in again: under “Access” you can give another one, or let nobody new in.
roster-did-confirm = The devices of { $name } are confirmed.
roster-did-forget = No device is { $name } any more; whoever comes next taps the name again.
roster-did-choose = { $section } is in the room now.
roster-did-keep = Sessions are erased after { $days } days, from the next start or midnight on.
roster-did-import = { $new } new, { $known } brought up to date.
roster-did-erase = Everything that was stored about { $name } is erased.

## Why something could not be done. A sentence without its full stop.

roster-cannot-not-here = that person is not here any more
roster-cannot-not-in-this-list = that person is not in this list any more
roster-cannot-too-many = a section has at most { $most } people
roster-cannot-not-in-list = { $name } is not in the list
roster-cannot-first = { $name } has the first chair already
roster-cannot-last = { $name } has the last chair already
roster-cannot-merge-itself = choose two different people
roster-cannot-left = that player is not in the room any more
roster-cannot-keep-range = the days must be from { $least } to { $most }, but are { $days }
roster-cannot-keep-option = the command line says how long sessions are kept (--keep-days)
roster-cannot-write = the records cannot be written just now: is the disk full? Nothing was changed
roster-cannot-room-full = { $section } would have { $n } people, but at most { $most } fit into a room
roster-cannot-removed-before = { $name } was taken off this list before: put them back below, or use another name
roster-cannot-there-already = { $name } is in this list already: tell the two apart by a letter
roster-cannot-no-number = “{ $text }” is not a number of days
roster-cannot-unknown = the page asked for something that is not known here: load it again
roster-failed-store = the records cannot be read or written just now; nothing was changed
roster-failed-ended = the rehearsal is closing

## What is wrong with a name, an instrument, a part, a chair, or with a whole file.

name-empty = the name is empty: type at least one letter
name-too-long = the name has { $n } letters: use at most { $most }
instrument-missing = the instrument is missing; write one of { $all }
instrument-unknown = the instrument “{ $text }” is not one of { $all }
part-too-long = the part has { $n } letters: use at most { $most }
chair-no-number = the chair must be a number from 1 to 9999, or empty, but is “{ $text }”
sheet-too-large = the file has { $kb } kB, but at most { $most } are taken: is it a list of players?
sheet-not-utf8 = line { $line }: this is not UTF-8; save the file as “CSV UTF-8” in the spreadsheet and try again
sheet-header-unreadable = line 1: the header cannot be read ({ $why })
sheet-header = line 1: the header must name the columns “name” and “instrument”, and may name section, chair and part; it says “{ $says }”
sheet-unreadable = the file cannot be read ({ $why })
sheet-too-many-lines = the file has more than { $most } lines: divide it
sheet-twice = line { $line }: { $name } is in { $section } already, on line { $first }; tell the two apart by a letter
sheet-line = line { $line }: { $what }
sheet-section = section: { $what }
sheet-too-many = { $section } has { $n } people, but at most { $most } fit into a room: divide it
