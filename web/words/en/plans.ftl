# The conductor's page of plans, what comes of a file that is brought in, and what cannot be done with a plan.

plans-page-title = Plans, { $section } · Windrow
plans-head = Plans
plans-what = What { $section } practises, and in which order
plans-own = Your own plans
plans-new = New plan
plans-new-title = My plan
plans-built-in = Plans that came with Windrow
plans-file = Bring in a file
plans-file-choose = A plan (.json), or long notes from a music notation program (MusicXML)
plans-file-text = or its text, pasted
plans-file-part = Which part of a score, by its name or number; the first if you leave it empty
plans-file-what = A plan with something wrong in it is not brought in; you are told each place. Of MusicXML the notes of one part are taken, with their lengths, rests, ties and dynamics; what is left out is named. For programs: the <a href="/plan-schema.json">schema of plan files</a>.
plans-file-bring = Bring it in
plans-is-here = The plan is here now, under the short name { $name }.
plans-is-deleted = “{ $title }” is deleted.
plans-is-saved = The plan is saved.
plans-not-brought-in = That could not be brought in; nothing was changed.
plans-file-not-brought-in = “{ $file }” could not be brought in; nothing was changed.
plans-failed = That did not work
plans-none-head = No such plan
plans-none = There is no plan of this name. All plans are at /conduct/plans.

## A plan of the list.

plan-row-in-room = in the room
plan-row-as-it-was = in the room as it was before it was changed here; use it again to bring it up to date
plan-row-holds =
    { $n ->
        [one] { $n } exercise, { $minutes } with rests
       *[other] { $n } exercises, { $minutes } with rests
    }
plan-row-holds-spoken = : what { $title } holds
plan-row-unreadable = This Windrow cannot read it:
plan-row-use = Use it
plan-row-use-spoken = Use it: { $title }
plan-row-copy = Copy
plan-row-copy-spoken = Copy: { $title }
plan-row-copy-edit = Copy and edit
plan-row-copy-edit-spoken = Copy and edit: { $title }
plan-row-edit = Edit
plan-row-edit-spoken = Edit: { $title }
plan-row-sheet = Sheet
plan-row-sheet-spoken = Sheet for the stand: { $title }
plan-row-download = Download
plan-row-download-spoken = Download: { $title }
plan-row-delete = Delete
plan-row-delete-spoken = Delete: { $title }

## Before a plan is deleted.

plan-delete-page-title = Delete a plan · Windrow
plan-delete-head = Delete “{ $title }”?
plan-delete-for-good = It cannot be brought back.
plan-delete-download = Download it first
plan-delete-keep-copy = to keep a copy.
plan-delete-in-room = The room goes on with it, as it is, until another plan is used.
plan-delete-sure = Delete for good
plan-delete-keep = Keep it

## After a file of music was brought in.

plan-imported-page-title = Brought in · Windrow
plan-imported-head = “{ $title }” is a plan now
plan-imported-has =
    { $n ->
        [one] It has one exercise of { $n } note or rest. Look over the pulse values and the tempo before you use it.
       *[other] It has one exercise of { $n } notes and rests. Look over the pulse values and the tempo before you use it.
    }
plan-imported-all = Nothing in the file was left out.
plan-imported-left-out = Left out, or assumed
plan-imported-edit = Edit the plan
plan-all = All plans

## What cannot be done; a full stop follows.

shelf-bad = it is not a good plan
shelf-changed = this plan was changed from another page after it was opened here; nothing of either is lost
shelf-gone = there is no such plan any more
shelf-records = the records cannot be read or written just now; nothing was changed
shelf-closing = the rehearsal is closing
shelf-too-many = there are too many plans called { $name }: delete some first
shelf-other-name = the plan's name is { $name }, but its address says { $address }: make both the same
shelf-built-in = { $title } came with Windrow: copy it, then change the copy
shelf-copy-ending = {", my copy"}
