"""Sampled winds of a General MIDI sound set, pulsed by pitch bend and expression. Must not know who reads them.

Pitch bend has 14 bits over +-2 semitones (0.0244 cents a step); expression (controller 11) has the gain (v / 127)^2 of
the SoundFont 2.04 default modulators: 40 log10(v / 127) dB. Many samples pulse by themselves: each note is rendered
unmodulated first, and left out where its own modulation exceeds the bounds below.
"""

import subprocess
from dataclasses import replace

import numpy as np
import soundfile

import case
import plain_track
import pulses
import signals
from instruments import midi_to_hz

# Debian's timgm6mb-soundfont. In the larger sets nearly every wind is a recording with a vibrato of its own.
SOUND_SET = "/usr/share/sounds/sf2/TimGM6mb.sf2"
RATE_HZ = 48_000
# SoundFont 2.04, section 8.1.2: what the modulation oscillator does to pitch (cents) and to volume (cB).
LFO_TO_PITCH, LFO_TO_VOLUME = 5, 13
# One-based General MIDI programs, sounding notes within the instrument's range, and what switches the sound set's own
# tremor off: generator and data of an NRPN (section 9.6; two cents or one centibel a step), found by trial.
PROGRAMS = {
    "soprano sax": (65, (60, 69, 79), None),
    "alto sax": (66, (53, 62, 74), None),
    "tenor sax": (67, (47, 57, 69), None),
    "baritone sax": (68, (38, 45, 53, 62), (LFO_TO_VOLUME, -16)),
    "oboe": (69, (62, 71, 81), None),
    "cor anglais": (70, (53, 60, 67, 76), (LFO_TO_PITCH, -5)),
    "bassoon": (71, (34, 41, 50, 62), (LFO_TO_PITCH, -5)),
    "clarinet": (72, (52, 61, 70, 82), (LFO_TO_PITCH, -5)),
    "piccolo": (73, (76, 84, 93, 100), (LFO_TO_PITCH, -5)),
    "flute": (74, (65, 76, 88), None),
}
STYLES = ("air", "jaw", "between", "slow", "hairpin", "uneven")
# From event to sound, measured with `plain_track`: 1.4 to 2.5 ms for the pitch, 2.1 to 3.2 ms for the level.
RENDERER_DELAY_MS = 2
# Milliseconds between two bends; one tick of the files is 1 ms.
STEP_MS = 4
GAP_MS = 1500
# A sample whose own strongest rhythm is larger, peak to peak, is left out: about half of what is just noticed.
OWN_CENTS_PP, OWN_DB_PP = 4.0, 0.6
SETTLED_S = 0.35


def cases(folder, n_each, seed=41):
    """Pulsed tones of every program and note, `n_each` styles for each, and the unmodulated ones as straight tones."""
    rng = np.random.default_rng(seed)
    notes = [(name, midi) for name, (_, notes, _) in PROGRAMS.items() for midi in notes]
    raw = _render(folder, "raw", [(name, midi, 5.0, None) for name, midi in notes])
    usable, said, made = [], [], []
    for (name, midi), samples in zip(notes, raw):
        own = _own(samples, midi)
        if own["cents_pp"] > OWN_CENTS_PP or own["db_pp"] > OWN_DB_PP:
            said.append(f"{name} {midi}: {own['cents_pp']:.1f} cents, {own['db_pp']:.2f} dB at {own['rate_hz']:.1f} Hz")
            continue
        usable.append((name, midi, own))
        truth = signals.Truth("straight", midi_to_hz(midi + own["centre_cents"] / 100.0), ends_s=signals.LEAD_S + 5.0)
        made.append(_case(folder, f"midi-straight-{name}-{midi}", "straight", samples, truth))
    jobs = []
    for i, (name, midi, own) in enumerate(usable):
        for k in range(n_each):
            style = STYLES[(i + k) % len(STYLES)]
            pulsing, _ = signals.draw(signals.STYLES[style], rng)
            t = np.arange(int(signals.seconds_for(pulsing) * signals.CONTROL_HZ) + 1) / signals.CONTROL_HZ
            train = pulses.train(pulsing, t, rng)
            jobs.append((name, style, midi, own, pulsing, t, train))
    asked = [(name, midi, t[-1], (pulsing, train)) for name, _, midi, _, pulsing, t, train in jobs]
    sounds = _render(folder, "pulsed", asked)
    for k, ((name, style, midi, own, pulsing, t, train), samples) in enumerate(zip(jobs, sounds)):
        _, level_db = _expression(pulsing, train)
        truth = signals.truth_of(midi, pulsing, t, level_db, train.cents, train)
        # The renderer sounds whole cents, rounded down, half a cent flat in the mean: what sounds is measured plainly.
        centre_hz = plain_track.centre_hz(samples, RATE_HZ, truth)
        truth = replace(truth, f0_hz=centre_hz)
        made.append(_case(folder, f"midi-{style}-{k:03d}-{name}-{midi}", style, samples, truth))
    return made, said


def _case(folder, name, group, samples, truth):
    return case.write(folder, 0.5 * samples / np.max(np.abs(samples)), RATE_HZ, truth, name=name.replace(" ", "-"),
                      part="general MIDI", group=group, condition="sampled")


def _expression(pulsing, train):
    """Controller values, whole numbers, and the level in dB that they make."""
    wanted_db = pulsing.depth_db * (train.level - train.level.max())
    values = np.clip(np.round(127.0 * 10.0 ** (wanted_db / 40.0)), 1, 127).astype(int)
    return values, 40.0 * np.log10(values / 127.0)


def _own(samples, midi):
    """What a sampled tone does unasked, and how far its pitch lies from the note."""
    tone = samples[int(signals.LEAD_S * RATE_HZ) :]
    at_s, cents, level_db = plain_track.track(tone, RATE_HZ, midi_to_hz(midi))
    settled = (at_s > SETTLED_S) & (at_s < 4.6)
    cents_pp, rate_hz = plain_track.own_modulation(at_s[settled], cents[settled])
    db_pp, db_rate_hz = plain_track.own_modulation(at_s[settled], level_db[settled])
    return {"centre_cents": float(np.mean(cents[settled])), "cents_pp": cents_pp, "db_pp": db_pp,
            "rate_hz": rate_hz if cents_pp / OWN_CENTS_PP > db_pp / OWN_DB_PP else db_rate_hz}


def _render(folder, name, notes):
    """Mono samples of each note with the lead before it; all notes go through one file, one after another."""
    events, starts, now = [], [], GAP_MS
    for instrument, midi, seconds, pulsed in notes:
        starts.append(now)
        program, _, tremor_off = PROGRAMS[instrument]
        # The two generators back to nothing, then the instrument's own.
        offsets = [(LFO_TO_PITCH, 0), (LFO_TO_VOLUME, 0), tremor_off or (LFO_TO_PITCH, 0)]
        ready = [bytes([0xC0, program - 1]), _bend(0.0), _controller(11, 127)]
        ready += [message for offset in offsets for message in _nrpn(*offset)]
        events += [(now - 40, message) for message in ready]
        if pulsed is not None:
            pulsing, train = pulsed
            values, _ = _expression(pulsing, train)
            for ms in range(0, len(values), STEP_MS):
                middle = min(ms + STEP_MS // 2, len(values) - 1)
                events += [(now + ms, _bend(train.cents[middle])), (now + ms, _controller(11, int(values[middle])))]
        events.append((now + 1, bytes([0x90, midi, 96])))
        now += int(1000 * seconds)
        events.append((now, bytes([0x80, midi, 0])))
        now += GAP_MS
    file, out = folder / f"{name}.mid", folder / f"{name}.wav"
    file.write_bytes(_midi_file(sorted(events, key=lambda e: e[0]), now))
    # No reverberation and no chorus: the truth is of the dry tone.
    subprocess.run(["fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.5", "-r", str(RATE_HZ), "-F", out,
                    SOUND_SET, file], check=True, capture_output=True)
    samples = soundfile.read(out)[0].mean(axis=1)
    out.unlink()
    starts_s = [(ms + RENDERER_DELAY_MS) / 1000 for ms in starts]
    return [samples[int((at_s - signals.LEAD_S) * RATE_HZ) : int((at_s + seconds + signals.TAIL_S) * RATE_HZ)]
            for at_s, (_, _, seconds, _) in zip(starts_s, notes)]


def _bend(cents):
    value = int(np.clip(round(8192 + cents / 200.0 * 8192), 0, 16383))
    return bytes([0xE0, value & 0x7F, value >> 7])


def _controller(number, value):
    return bytes([0xB0, number, value])


def _nrpn(generator, data):
    value = 8192 + data
    return [_controller(99, 120), _controller(98, generator), _controller(38, value & 0x7F), _controller(6, value >> 7)]


def _midi_file(events, end_ms):
    """A format 0 file of 500 ticks to a quarter note at 120 a minute: one tick is a millisecond."""
    track, last = bytearray(b"\x00\xff\x51\x03\x07\xa1\x20"), 0
    for at_ms, message in [*events, (end_ms, b"\xff\x2f\x00")]:
        track += _variable_length(at_ms - last) + message
        last = at_ms
    head = b"MThd" + (6).to_bytes(4, "big") + (0).to_bytes(2, "big") + (1).to_bytes(2, "big") + (500).to_bytes(2, "big")
    return head + b"MTrk" + len(track).to_bytes(4, "big") + bytes(track)


def _variable_length(value):
    out = [value & 0x7F]
    while value := value >> 7:
        out.append(0x80 | value & 0x7F)
    return bytes(reversed(out))
