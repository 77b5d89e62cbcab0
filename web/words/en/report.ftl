# Rehearsals that are over: their list, the report of one, files of them, and files of another Windrow.

report-rehearsals = Rehearsals
report-rehearsals-page = Rehearsals, { $section }
report-rehearsals-what = What { $section } has played, the newest first. Everything is on this computer alone.
report-section-other = Another section
report-section-show = Show
report-years = Years
report-when = When
report-how-long = How long
report-who-was-in = Players
report-n-runs = Runs
report-what-kind = What
report-open = Report
report-open-results = Results, to look through
report-open-of = { $what } of { $when }
report-invented = Invented: nobody played this.
report-invented-short = invented
report-minutes = { $minutes ->
    [0] under a minute
    [one] one minute
   *[other] { $minutes } minutes
}
report-nothing-played = nothing was played
report-at-home = Practice and recordings
report-at-home-what = What players brought from home stands here by itself; in no figure of a rehearsal does it count.
report-at-home-more = And { $n } earlier ones; the files have all of them.
report-kind-rehearsal = rehearsal
report-kind-practice = practice at home
report-kind-recording = recordings

## Before there is anything.

report-none = Each rehearsal will stand here
report-none-one = As soon as a player has joined, the rehearsal stands in this list; nothing has to be saved.
report-none-two = Its report is one page to print: what was played, how together it was, what each one reached and needs next.
report-none-three = Its results can be looked through again, run by run, and taken along as files.

## The report of one.

report-head = Report of a rehearsal
report-head-practice = Practice at home
report-head-recording = Recordings, measured later
report-head-of = { $head }: { $names }
report-page = { $day } { $section }, report
report-was-in = { $n ->
    [one] one player
   *[other] { $n } players
}
report-print = Print
report-paper = Paper
report-all-rehearsals = All rehearsals
onward-rehearsals = To the rehearsals
report-past-report = Its report
report-past-title = Results, { $section }, { $day }
report-played = What was played
report-column-exercise = exercise
report-column-asked = asked
report-column-times = times
report-column-lasted = played
report-column-rest = then rest
report-column-matched = matched at the end
report-column-together = together
report-of = { $n } of { $of }
report-parts = { $first } to { $last }, { $n } parts
report-parts-same = { $first }, { $n } parts
report-came-to = What each one came to
report-came-to-how = The word of the last time through each exercise; three upright bars: matched. Figures for choosing what to practise, not for marks.
report-short-choked-valleys = choked valleys
report-next-music = into the music
report-next-what = Next: by the last weeks, as on each player’s own page; below it what to play at home.
report-column-player = player
report-column-held = highest held
report-column-next = next, and at home
report-held-none = none yet
report-held-what = Held: matched for four bars at a steady tempo.
report-together-what = Together: 1 is all at one moment, 0 anywhere.
report-room-check = Room check
report-plan-as-run = Plan
report-plan-none = none was taken: the warm-up list
report-plan-at = { $title } (from { $time })
report-nobody = Nobody has played in this rehearsal.
report-only-results = This rehearsal is from an earlier version of Windrow, which kept no runs: its pulses and span results are in the files.
report-gone-head = No such rehearsal
report-gone = It is not here, or was erased after the time that records are kept. All that are here stand under “Rehearsals”.
report-failed-head = That did not work
report-failed-records = The records cannot be read or written just now. Nothing was changed; try again in a minute.

## Files.

report-files = Files
report-files-all = Files of all rehearsals
report-files-what = Tables for a spreadsheet or a script, and everything as JSON for another Windrow. <a href="/records-format">What stands in which column</a>
report-files-names = These files hold names. Hand them on only to whom they concern.
report-files-without = without names: players are called by their chairs
report-files-plans = What you wrote in plans stays as it is.
report-file-results = Results (.csv)
report-file-pulses = Every pulse (.csv)
report-file-everything = Everything (.json)
report-file-everything-all = Everything (.jsonl)

## Files of another Windrow.

report-bring = Bring in rehearsals from another Windrow
report-bring-what = Its files “Everything” (.json or .jsonl). What is here already is not taken twice, so nothing goes wrong if you are not sure.
report-bring-choose = Files
report-bring-text = or the text of one, pasted
report-bring-do = Bring them in
report-bring-reading = Reading { $file } …
report-bring-done = { $new ->
    [0] Nothing new: { $here ->
        [one] the rehearsal is here already
       *[other] all { $here } are here already
    }.
    [one] One rehearsal has come, { $players ->
        [one] one player
       *[other] { $players } players
    }; on a list here: { $known }.{ $here ->
        [0] {""}
       *[other] {" "}Already here: { $here }.
    }
   *[other] { $new } rehearsals have come, { $players ->
        [one] one player
       *[other] { $players } players
    }; on a list here: { $known }.{ $here ->
        [0] {""}
       *[other] {" "}Already here: { $here }.
    }
}
report-bring-not = “{ $file }” was not brought in, nothing of it was changed: { $why }.
report-bring-not-line = “{ $file }”, rehearsal { $n }, was not brought in: { $why }. { $before ->
    [0] Nothing was changed.
    [one] The one before it is here.
   *[other] The { $before } before it are here.
}
report-bring-lost = the server did not answer; try again, nothing comes twice
report-bring-pasted = the text

## What is wrong with a file. A full stop follows.

records-at = { $place }: { $text }
records-too-big = one rehearsal has { $mib } MiB; at most { $most } are taken
records-empty = the file is empty
records-other = this is no file of rehearsals from Windrow: such a file begins with "format": "windrow.session"
records-newer = this file is of version { $is }, and this Windrow reads version { $version }: get a newer Windrow
records-version = must be { $version }
records-broken = the file is damaged in line { $line }, column { $column }: fetch it once more from where it was made
records-ends-early = the file ends too early, in line { $line }, column { $column }: fetch it once more from where it was made
records-no-session = must not be empty
records-kinds = must all be of one kind
records-bad-id = must be 1 to { $most } letters, digits and hyphens
records-twice = { $value } stands here twice
records-no-time = must be a time such as 2026-11-25T18:00:00.000Z, but is "{ $text }"
records-chair-nought = chairs count from 1
records-lengths = all columns must be equally long
records-order = must not be before began_us
records-impossible = holds a number larger than anything can be: fetch the file once more from where it was made
records-too-many = holds { $n }, and can hold { $most } at most
records-nobody = { $id } is none of the session's players
records-part = part { $n } is not there, or stands here twice
records-spans = every player needs as many spans as the run has
records-score = cannot be played: it needs spans with a length, 1 to 12 beats in a bar
records-player-elsewhere = { $name } is part of another rehearsal here already, under the same id
records-chair = chair { $n }

## What stands in which column.

records-format-page = Files of rehearsals: what stands in them
records-format-head = What stands in the files
records-format-csv = The tables are CSV by RFC 4180: commas, lines that end with CR and LF, fields in double quotes where they have to be, UTF-8 with a mark at the beginning (Python: encoding “utf-8-sig”), a decimal point in every language, times by ISO 8601 in UTC. An empty field means that there is nothing to tell.
records-format-guard = A text that people wrote and that begins with = + - @, a tab or a line end has an apostrophe in front, so that no spreadsheet takes it for a formula. Take one apostrophe off such a text and it is as it was.
records-format-json = The JSON is the format windrow.session, version 1: an object for each rehearsal, in a .jsonl file one on each line. It holds everything that is kept: sessions, players with every pulse and span result, plans as they were taken, room checks, scores, and each run with what every player came to. Its <a href="/session-schema.json">schema</a> (JSON Schema, draft 2020-12) explains every field.
records-format-script = For scripts: /conduct/rehearsals/ID/results.csv, pulses.csv and session.json, with “all” in place of ID for all of them (sessions.jsonl); names=no leaves names out. On the command line: windrow records export.
records-format-column = column
records-format-kind = kind
records-format-meaning = meaning
records-text-begin = The columns of Windrow's tables. CSV by RFC 4180, UTF-8 with a mark at the beginning, decimal points, times in UTC (ISO 8601), empty fields where there is nothing to tell. A text that people wrote and that begins with = + - @ has an apostrophe in front.
records-results-are = A row for each player, run and part of a run (one tempo and subdivision).
records-pulses-are = A row for each pulse that a device was sure of, player by player, in order of time. Once a session is over times are kept to 0.1 ms, depths to 0.01 dB, swings and pitches to 0.1 cent.
records-kind-id = id
records-kind-word = word
records-kind-text = text
records-kind-time = time
records-kind-whole = whole number
records-kind-number = number
records-kind-truth = true or false
records-column-rehearsal-id = Of the rehearsal; sessions of one rehearsal share it.
records-column-session-id = One run of the server.
records-column-kind = rehearsal, practice (at home) or recording (sound files measured later). Keep them apart.
records-column-invented = Whether nobody played this: made to show how things are.
records-column-section = Section or ensemble.
records-column-run = Number of the time through an exercise, from 1; empty for a pulse between two runs.
records-column-exercise = Place of the exercise in its plan, from 1.
records-column-exercise-name = Its name, in the language of whoever fetched the file.
records-column-part = Number of the part within the run, from 1: one tempo and subdivision.
records-column-part-title = What was asked there, in words.
records-column-began-utc = When the part began for this player.
records-column-player-id = A player of one session.
records-column-person-id = The same person in all rehearsals of one list; empty for a nickname.
records-column-name = Name then.
records-column-instrument = Short name of the instrument, such as alto-sax.
records-column-chair = Seat, from 1.
records-column-target = pulses, straight or free.
records-column-asked-per-beat = Pulses a beat that were asked for, 1 to 8; empty where none were counted.
records-column-bpm = Tempo at the beginning, beats a minute, 20 to 300.
records-column-bpm-to = Tempo at the end, where it changed on the way.
records-column-loosely = Whether the measure was only felt: timing is not judged then.
records-column-bars = Bars in which it was this player's turn.
records-column-asked-s = Time in which the player was in and did not rest, seconds.
records-column-judged-s = The part of it that a verdict was passed on, seconds.
records-column-held = Whether the rung was held: pulses at a steady tempo, at least four bars, matched for three quarters of the judged time, at least half of the time judged.
records-column-state = The word that stood longest: matched, slow, fast, early, late, sharp, flat, drifting-sharp, drifting-flat, shallow, choked-valleys, pitch-led, uneven, straight, resting, not-heard, blended, away.
records-column-trusted-share = Share of the time in which the device heard its own player well enough, 0 to 1.
records-column-matched-share = Share of the judged time that matched, 0 to 1.
records-column-n-pulses = Pulses found, 0 or more.
records-column-pulse-rate-hz = Pulses a second, Hz.
records-column-pulses-per-beat = Pulses a beat.
records-column-timing-ms = Median of pulse time minus tick, milliseconds; negative is early. Only of a device whose delay was measured.
records-column-timing-spread-ms = Circular standard deviation of the pulses' offsets from the tick, milliseconds.
records-column-depth-db-pp = Level of a pulse's peak over its valley, decibels, peak to peak; in results the median.
records-column-swing-cents-pp = Pitch excursion within a pulse, cents, peak to peak; in results the median.
records-column-centre-cents = Mean pitch over whole pulses, cents from the note that was asked.
records-column-drift-cents = Pitch centre at the end minus at the beginning, cents.
records-column-from-straight-cents = Pitch centre while pulsing minus that of the player's own straight tone before, cents.
records-column-evenness-cv = Standard deviation of the intervals between pulses over their mean, 0 or more.
records-column-calibrated = Whether the device's delay was measured, so that early and late are meant absolutely.
records-column-time-utc = When the pulse peaked.
records-column-time-s = The same in seconds since the session's server was started.
records-column-mean-cents = Mean pitch of the pulse, cents from the note; empty where the tone was too broken.
records-column-choked = Whether the tone broke in the valley before it.
