# What is wrong with a plan, or doubtful, and what becomes of a file of music. Names and texts of a file stand in straight
# quotation marks, as the file has them.

## Where.

plan-at = { $place }: { $text }
plan-field-of = { $exercise }, { $field }
plan-exercise = exercise { $n }
plan-exercise-titled = exercise { $n }, "{ $title }"
plan-exercise-of-kind = exercise { $n } ({ $kind })

## A file that is no plan.

plan-too-big = the file is too big: { $kib } KiB, and a plan has at most { $most }
plan-empty-file = the file is empty
plan-is-xml = this is XML, not a plan: a line of music in MusicXML becomes a plan by "windrow plan import"
plan-is-none = this is not a plan: a plan begins with { $begins }
plan-no-format = "format" is missing: a plan begins with { $begins }
plan-other-format = format: a plan begins with { $begins }, but here stands { $is }
plan-no-version = "version" is missing: write "version": { $version }
plan-newer = this file is of version { $is }, this Windrow reads up to { $version }: get a newer Windrow
plan-other-version = version: must be { $version }, but is { $is }
plan-at-sign = line { $line }, column { $column }: { $what }
plan-at-sign-in = line { $line }, column { $column }: { $what } (the line is: { $text })
plan-ends-early = the file ends too early: a bracket or a quotation mark is not closed
plan-no-comma = a comma or the closing "{ $sign }" is missing
plan-no-colon = a colon is missing after a name
plan-comma-too-many = there is a comma before a closing bracket: take it away
plan-no-name = a name in double quotes has to stand here
plan-no-value = here has to stand a number, a text in double quotes, true, false or a bracket
plan-goes-on = the plan is at its end, but something follows
plan-over-the-line = a text goes over the end of its line: is its closing quotation mark missing?
plan-twice = "{ $name }" stands here twice: take one of them away

## Names and kinds of values.

plan-missing = "{ $name }" is missing
plan-unknown = there is no "{ $name }" here. There may be: { $known }
plan-unknown-alike = there is no "{ $name }" here; did you mean "{ $alike }"? There may be: { $known }
plan-of-kind = must be { $wanted }, but is { $found }
plan-a-number = a number
plan-a-whole-number = a whole number, 0 or more
plan-true-or-false = true or false
plan-a-list = a list in square brackets
plan-a-text = a text in double quotes
plan-an-object = an object in curly brackets
plan-one-kind = an object with one name in it, that of what is played, such as { $example }
plan-the-text = the text "{ $text }"
plan-found-object = an object
plan-found-list = a list
plan-found-name = only its name
plan-null = is null, which says nothing: write a value there, or leave it out where a plan need not have it
plan-no-list = must not be a list in square brackets
plan-not-a-note = "{ $text }" is not a note: write a letter, # or b if needed, and an octave, such as C4, F#3 or Bb2

## How large and how long.

plan-in-range = must be from { $least } to { $most }, but is { $is }
plan-above = must be above { $least } and at most { $most }, but is { $is }
plan-what-in-range = { $what } must be from { $least } to { $most }, but is { $is }
plan-tempo = tempo (bpm)
plan-length = length (beats)
plan-share = share
plan-empty-text = must not be empty
plan-long-text = must have at most { $most } letters, but has { $is }
plan-empty-list = must not be empty: at least one has to stand there
plan-long-list = must have at most { $most } entries, but has { $is }
plan-must-be-text = must be "{ $text }"
plan-must-be = must be { $number }
plan-name-signs = must be small letters, digits and hyphens, such as "first-lesson", but is "{ $name }"

## What makes no sense together.

plan-silence-alone = is silence alone: at least one value has to sound
plan-no-end = is missing: a tempo that changes on the way needs an end
plan-too-many-values = makes { $n } bars or beats with values of their own: use at most { $most }
plan-no-mark = must be a mark of the metronome, such as { $marks }, but is { $is }
plan-either = { $one } or { $other }
plan-ladder-goes-up = must be faster than from_bpm ({ $from }), since a ladder goes up, but is { $to }
plan-ladder-counted = must be counted pulses, such as "triplets": there is no ladder of "{ $value }"
plan-ease-pulses = must be pulses or "free", since vibrato grows here: "{ $value }" has none
plan-ease-empty = growing, full and fading are all 0: at least one needs a length
plan-hairpin-grows = must be louder than from, since a hairpin grows first
plan-hairpin-rest = holds "rest": the tone goes on through a hairpin
plan-hairpin-free = is either "free" alone or without it
plan-no-dynamic = needs a "dynamic" on this note or before it to begin with
plan-value-over-rest = stands over a rest: give it a note, or take the value away
plan-rest-over-note = is "rest" over a note: for a rest leave "note" out
plan-tie-of-rest = ties a rest: only notes can be tied
plan-tie-at-end = ties the last note, after which there is none
plan-tie-to-rest = goes over to a rest: a tie leads to the same note
plan-tie-to-other = leads from { $from } to { $to }: a tie holds the same note, so take it away
plan-rests-alone = are rests alone: at least one has to sound

## What can be played but is doubtful.

plan-too-fast = { $exercise }: asks for { $rates }; above { $most } it is no vibrato any more
plan-waits = { $exercise }: goes on until it is stopped, so the plan waits for you there
plan-no-rest = there are { $minutes } of playing without a rest of ten seconds: put a "rest_s" in between

## A file of music that gives no line.

music-line = line { $line }: { $text }
music-too-big = the file has over 16 MiB: save the one part that is to be played by itself
music-entities = the file defines entities of its own, which no notation program does: save it anew from one
music-broken = the XML is broken here ({ $error }): save the file anew from your notation program
music-bar-by-bar = the score is written bar by bar: save it part by part (score-partwise)
music-own-format = this is a notation program's own file: export it as uncompressed MusicXML
music-other-xml = this is XML, but not MusicXML: it begins with <{ $name }> instead of <score-partwise>
music-archive-empty = the archive holds no MusicXML: export the score from your notation program
music-archive-broken = the compressed file is broken: save it anew, or as uncompressed MusicXML (.musicxml)
music-no-part = the score has no part: export one with notes
music-no-such-part = there is no part "{ $asked }": the file has { $parts }
music-too-many-parts = the score has { $n } parts, and at most { $most } can be chosen from: export the one that is to be played by itself
music-part = part { $n }
music-and-next = { $first }, { $then }
music-no-notes = the part has no notes: choose another one
music-too-many-notes = the part has { $n } notes and rests, and a line up to { $most }: save the passage that is to be played by itself
music-long-note = in bar { $bar } a note lasts { $quarters } quarters: at most { $most } in one, tie two of them
music-lengths = the lengths in this bar do not add up
music-no-number = <{ $name }> must be a number, but is "{ $is }"
music-no-duration = a <duration> is missing: save the file anew
music-duration-below = a <duration> is below 0
music-divisions = <divisions> must be above 0
music-step = <step> must be a letter from A to G
music-octave = <octave> must be from 0 to 9
music-note-beyond = the note lies outside of C-1 to G9
music-tempo-wrong = the tempo "{ $is }" is not a number

## What of it was not used, or assumed.

music-counted =
    { $what }: { $n } ({ $n_bars ->
        [one] bar
       *[other] bars
    } { $bars })
music-counted-and-more =
    { $what }: { $n } ({ $n_bars ->
        [one] bar
       *[other] bars
    } { $bars } and more)
music-other-parts = the other parts: { $parts }
music-repeats = repeat signs
music-endings = endings
music-fermatas = fermatas
music-chord-symbols = chord symbols
music-figured-bass = figured bass
music-metre-changes = changes of the time signature
music-grace-notes = grace notes
music-cue-notes = cue notes
music-other-voices = notes of other voices
music-lower-notes = lower notes of chords
music-overlapping = notes that begin before the one before them has ended
music-no-pitch = notes without a pitch, taken as rests
music-microtones = parts of a semitone, rounded
music-lyrics = lyrics
music-slurs = slurs
music-signs = signs such as { $sign }
music-tempo-no-number = tempos that are no number
music-words-over = words over the notes
music-jumps = jumps
music-ties-to-nowhere = ties that lead to no same note
music-tempo-changes = changes of tempo
music-rest-before = the rest before the first note ({ $quarters } quarters)
music-no-tempo = the file names no tempo: { $bpm } is taken
music-tempo-beyond = { $wrong }: { $bpm } is taken
music-metre = the time signature { $beats }/{ $kind }: a beat is a quarter here, so bars are counted in { $whole }
music-beat = the beat of { $beats }/{ $kind }: bars are counted in { $whole } quarters
music-values-chosen = no pulse values are written over the notes: { $values } now stand over those of two beats and more
music-hairpins-assumed = hairpins without a mark at their end lead to the neighbouring mark

## What stands in a plan that a file of music becomes.

music-untitled = Imported line
music-say = Count the pulses first, then let the counting go.
