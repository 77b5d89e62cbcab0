# The conductor's page of keeping the records.

keep-title = Keep the records
keep-link = Keep a copy of everything, or bring one back
keep-what = Lists, rehearsals, results and plans are stored in one file on this computer, and nowhere else. A laptop can break or go missing: keep a copy somewhere else.

keep-backup-title = A copy
keep-backup-what = Everything that is stored, of this moment, in one file. A rehearsal may go on meanwhile.
keep-backup = Download a copy
keep-backup-names = The copy holds names and results: keep it where only you can read it. Whoever is erased later stays in copies made before: make a new one then and delete the old.

keep-restore-title = Bring a copy back
keep-restore-how = On this computer, or on a new one with Windrow, in a terminal:
keep-restore-command = <code>windrow restore FILE</code>
keep-restore-what = It replaces what is stored; what was there before is kept beside for 30 days, or until somebody’s records are erased. Windrow may be running: a rehearsal that goes on keeps what it has, but while players are in the room the command wants --now, since the list may change under them. Passphrase, sign-ins and the room’s code stay. Whoever was erased on this computer since the copy was made is erased again; on another computer you have to do it yourself.

keep-whole-title = Is everything whole?
keep-checking = The check since the start is under way.
keep-whole = Checked from end to end, { $date } UTC: everything is whole.
keep-damaged = Checked from end to end, { $date } UTC: the file is damaged. Download a copy now, if it can be made; then bring back the last good one, and look at this computer’s disk.

keep-long-title = How long
keep-long = Sessions are erased { $days } days after they began. <a href="/conduct/roster">The roster page</a> can say otherwise, and erases a player’s records for good.

keep-failed-title = No copy could be made
keep-failed = The copy could not be made; nothing was changed. Is the disk full? Then try again.

## What goes with the record that a player can download, besides what stands in mine.ftl.

record-kind = what the session was: a rehearsal, practice at home, or recordings that were measured later
record-invented = whether the session is made up, to show how things are
record-n-pulses = pulses found
record-number = number of the run in its session, from 1; a run is one time through an exercise
record-began-ms = beginning of the run or of its part, milliseconds after the session began
record-ended-ms = end of the run, in the same way
record-left-out-ms = constant offset of the device that was left out of the times, ms
record-whole = what the run came to as a whole
record-states = from when on which word was shown, milliseconds after the run began
record-centres = pitch centre by time: milliseconds after the run began, and cents from the note
record-ease-beats = beats in which the depth grew from 10 to 90 per cent, where the exercise asked for growing
record-hairpin = how well depth and rate followed the loudness, from -1 to 1, and where it was highest, as a share of the exercise
record-run = number of the run that this is a part of
record-part-idx = place of the part in its run, from 0
record-target = what was asked for: straight, pulses, or free
record-per-beat = pulses a beat that were asked for
record-bpm = tempo, beats a minute; where it changed, that at the beginning
record-bpm-to = tempo at the end, where it changed
record-loosely = whether the measure was only felt
record-bars = bars in which it was this player’s turn
record-asked-s = seconds in which the player was in and did not rest
record-judged-s = those of them that a verdict was passed on
record-held = whether the rung was held: matched for four bars at a steady tempo
record-trusted = share of the time in which the device heard its own player well enough
record-matched = share of the judged time that was matched
record-pulses-per-beat = pulses a beat, as played
record-timing-spread-ms = spread of the pulses about the tick, ms (circular standard deviation)
record-drift-cents = pitch centre at the end minus at the beginning, cents
record-from-straight-cents = pitch centre with vibrato minus that of the straight tone before, cents
record-checked-ms = when the room was checked, milliseconds after the session began
record-finding = what the room check found at this chair
record-own-db = level of the player’s own note, dB below full scale
record-noise-db = level of the room while nobody played, in the same way
record-apart-db = own note over the loudest neighbour, or over the noise, dB
