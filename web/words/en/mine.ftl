# What is stored about a player, on the player's own device.

mine-title = My data
mine-heading = What is stored about me
mine-sound-stays = Sound never leaves this device: it is measured here and forgotten. What it measured is stored on your conductor’s computer alone.
mine-no-script = This page needs JavaScript to show that it is you who asks. Switch it on and load the page again.
mine-name = Name
mine-instrument = Instrument
mine-part = Part
mine-section = In the list of
mine-devices = Devices
mine-measured = Measured
mine-not-all = This device is new for this name, so it shows only what it recorded itself. Ask your conductor to confirm it on the roster page; then all of it is here.
mine-sessions-title = Sessions
mine-of-each = Of each session: your name, instrument and chair; of each pulse its time, depth, swing and pitch; of each part of an exercise what it came to; what the room check found at your chair. A session is erased after <span id="keep-days"></span> days.
mine-download = Download all of it
mine-erase = Erase all of it
mine-erase-sure = Erase for good
mine-keep = Keep it
mine-to-rehearsal = To the rehearsal

mine-no-part = none
mine-no-section = none; you came with a nickname
mine-pulses =
    { $n ->
        [0] no pulses
        [1] 1 pulse
       *[other] { $n } pulses
    }
mine-results =
    { $n ->
        [0] no results
        [1] 1 result
       *[other] { $n } results
    }
mine-sessions =
    { $n ->
        [0] no sessions
        [1] 1 session
       *[other] { $n } sessions
    }
mine-measured-in = { $pulses } and { $results } in { $sessions }
mine-session = { $date }, { $section }, as { $name }: { $pulses }, { $results }
mine-this-device = this one
mine-other-device = one last in on { $date }
mine-sure-all = All of it, of every session, is erased for good and cannot be brought back. Your conductor is told that you did.
mine-sure-device = What this device recorded is erased for good and cannot be brought back. Your conductor is told that you did.
mine-erased = It is erased. This device is a stranger here again. If you practised at home, that is still on this device: delete it under “Practice at home”.

mine-busy = The conductor's computer cannot say just now. Load this page again in a moment.
mine-not-fetched = It could not be fetched just now. Try again in a moment.
mine-not-erased = It could not be erased just now, so it is all still there. Try again in a moment.
mine-unreachable = The conductor's computer cannot be reached. Is this device on the room's Wi-Fi? Then load this page again.

## What goes with the record that can be downloaded.

record-about = Everything that Windrow stores about one player. No sound is stored; none ever left the device.
record-date-utc = when the session began
record-time-ms = milliseconds after the session began
record-depth-db = level of a pulse's peak over its valley, dB
record-swing-cents = pitch excursion within a pulse, cents, peak to peak
record-mean-cents = mean pitch of a pulse, cents from the note
record-choked = whether the tone broke in the valley before the pulse
record-score-version = which of the session's scores the span belongs to
record-span-idx = place of the span in that score, from 0
record-pulse-rate-hz = pulses a second over the span
record-depth-db-pp = median depth over the span, dB
record-swing-cents-pp = median swing over the span, cents
record-centre-cents = mean pitch over the span, cents from the note
record-evenness-cv = spread of the intervals between pulses over their mean
record-timing-ms = median of pulse minus tick, ms; negative is early
record-state = the word that was shown
record-calibrated = whether the device's own delay was known, so that timing is meant absolutely
