"""Published values that a whole run of the program must give back. Must not know how the program gets there.

Each check is a tone made from a formula, a published number, and how far the program may be off.
"""

from dataclasses import dataclass

import numpy as np
import soundfile

import windrow

RATE_HZ = 48_000
NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
# Twelve equal steps with A4 = 440 Hz as printed in frequency tables, two decimals up to octave 6, one in octave 7.
TWELVE_TONE_HZ = {
    1: (32.70, 34.65, 36.71, 38.89, 41.20, 43.65, 46.25, 49.00, 51.91, 55.00, 58.27, 61.74),
    2: (65.41, 69.30, 73.42, 77.78, 82.41, 87.31, 92.50, 98.00, 103.83, 110.00, 116.54, 123.47),
    3: (130.81, 138.59, 146.83, 155.56, 164.81, 174.61, 185.00, 196.00, 207.65, 220.00, 233.08, 246.94),
    4: (261.63, 277.18, 293.66, 311.13, 329.63, 349.23, 369.99, 392.00, 415.30, 440.00, 466.16, 493.88),
    5: (523.25, 554.37, 587.33, 622.25, 659.26, 698.46, 739.99, 783.99, 830.61, 880.00, 932.33, 987.77),
    6: (1046.50, 1108.73, 1174.66, 1244.51, 1318.51, 1396.91, 1479.98, 1567.98, 1661.22, 1760.00, 1864.66, 1975.53),
    7: (2093.0, 2217.5, 2349.3, 2489.0, 2637.0, 2793.8, 2960.0, 3136.0, 3322.4, 3520.0, 3729.3, 3951.1),
}
# Half a unit in the second decimal of the lowest note is 0.26 cents.
TABLE_CENTS = 0.35
# 1200 log2(A4 / 440) (ISO 16:1975 has 440).
A4_CENTS = {415.0: -101.27, 441.0: 3.930, 442.0: 7.851, 443.0: 11.764}
# Amplitude modulation 1 + m cos: 20 log10((1 + m) / (1 - m)). The table's first, 0.05 or 0.87 dB, is left out:
# listeners just notice it at best, and alone it is no vibrato to Windrow.
INDEX_DB = {0.10: 1.74, 0.15: 2.63, 0.20: 3.52, 0.25: 4.44, 1 / 3: 6.02, 0.40: 7.36, 0.50: 9.54}
# Listeners hear the geometric mean (Brown & Vaughn 1996). The arithmetic one lies higher by 1200 log2 I0(E ln 2 / 1200)
# for a sinusoid of +-E cents: 0.361 (50), 1.444 (100) and 5.771 cents (200).
ARITHMETIC_CENTS = {50.0: 0.361, 100.0: 1.444, 200.0: 5.771}
# SoundFont 2.04's oscillator is a triangle: a sinusoid fitted to it has 8 / pi^2 of its peak, the swing is all of it.
TRIANGLE_SHARE = 8 / np.pi**2


@dataclass(frozen=True)
class Check:
    """One measured value beside the published one."""

    what: str
    measured: float | None
    expected: float
    tolerance: float

    def holds(self):
        return self.measured is not None and abs(self.measured - self.expected) <= self.tolerance


def _write(folder, name, cents=0.0, gain=1.0, f0_hz=440.0, seconds=2.0):
    """A tone of five harmonics; `cents` and `gain` are functions of time or constants."""
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    turns = np.cumsum(f0_hz * 2.0 ** ((cents(t) if callable(cents) else cents) / 1200.0) * np.ones_like(t)) / RATE_HZ
    tone = sum(np.sin(2 * np.pi * h * turns + 1.7 * h) / h for h in range(1, 6) if h * f0_hz < 0.45 * RATE_HZ)
    edge = np.clip(np.minimum(t, t[-1] - t) / 0.05, 0.0, 1.0)
    path = folder / f"{name}.wav"
    soundfile.write(path, 0.25 * tone * edge * (gain(t) if callable(gain) else gain), RATE_HZ)
    return path


def run(folder):
    return [*_twelve_tones(folder), *_tunings(folder), *_indices(folder), *_means(folder), *_triangle(folder)]


def _twelve_tones(folder):
    tones = [(f"{name}{octave}", hz) for octave, row in TWELVE_TONE_HZ.items() for name, hz in zip(NAMES, row)]
    records, _ = windrow.measure([_write(folder, f"note-{name}", f0_hz=hz) for name, hz in tones])
    return [Check(f"{hz:g} Hz is {name}, cents", r["centre_cents"] if r and r["note"] == name else None, 0.0,
                  TABLE_CENTS) for (name, hz), r in zip(tones, records)]


def _tunings(folder):
    path, checks = _write(folder, "tuning"), []
    for a4_hz, cents in A4_CENTS.items():
        [record], _ = windrow.measure([path], "--a4", f"{a4_hz:g}", "--expect", "A4")
        checks.append(Check(f"440 Hz with A4 = {a4_hz:g}, cents", record["centre_cents"], -cents, 0.05))
    return checks


def _indices(folder):
    def gain(m):
        return lambda t: 0.6 * (1 + m * np.cos(2 * np.pi * 5 * t))

    paths = [_write(folder, f"index-{m:.2f}", gain=gain(m), seconds=4.0) for m in INDEX_DB]
    records, _ = windrow.measure(paths)
    return [Check(f"index {m:.2f} at 5 Hz, dB", r["depth_db_pp"], db, 0.1)
            for (m, db), r in zip(INDEX_DB.items(), records)]


def _means(folder):
    paths = [_write(folder, f"mean-{e:g}", cents=lambda t, e=e: e * np.sin(2 * np.pi * 5 * t), seconds=4.0)
             for e in ARITHMETIC_CENTS]
    records, _ = windrow.measure(paths, "--expect", "A4")
    return [Check(f"centre of +-{e:g} cents at 5 Hz (arithmetic {a:g}), cents", r["centre_cents"], 0.0, 0.25 * a)
            for (e, a), r in zip(ARITHMETIC_CENTS.items(), records)]


def _triangle(folder):
    def triangle(t):
        return 50.0 * 2.0 / np.pi * np.arcsin(np.sin(2 * np.pi * 1.5 * t))

    [record], _ = windrow.measure([_write(folder, "triangle", cents=triangle, seconds=6.0)])
    # Nearer to the whole swing than to the fitted sinusoid's.
    return [Check(f"triangle of +-50 cents at 1.5 Hz (fitted sinusoid {100 * TRIANGLE_SHARE:.1f}), cents",
                  record["swing_cents_pp"], 100.0, 50.0 * (1 - TRIANGLE_SHARE))]
