"""Wind instruments as the test tones need them: sounding range and static spectrum. Must not know pulses or rooms.

Ranges are sounding MIDI notes: piccolo, flutes, cor anglais, clarinets and bass clarinet as printed in
orchestration tables (orchestralibrary.com/reftables/rang.html, orchestrationresources.com/woodwinds/overview), bassoon
and contrabassoon from orchestration-course tables, saxophones from their written compass. Spectra are common practice,
no source: shapes that are known to be hard for pitch trackers, not models of an instrument.
"""

from dataclasses import dataclass

import numpy as np

MAX_HARMONICS = 60


@dataclass(frozen=True)
class Instrument:
    """`spectrum` names one of the shapes below; `formant_hz` is used by "formant" and "bright" alone."""

    name: str
    low_midi: int
    high_midi: int
    spectrum: str
    formant_hz: float = 0.0


INSTRUMENTS = (
    Instrument("contrabassoon", 22, 60, "formant", 260.0),
    Instrument("bassoon", 34, 76, "formant", 500.0),
    Instrument("bass clarinet", 34, 77, "odd"),
    Instrument("baritone sax", 36, 69, "bright", 700.0),
    Instrument("tenor sax", 44, 76, "bright", 900.0),
    Instrument("alto sax", 49, 81, "bright", 1100.0),
    Instrument("clarinet", 50, 94, "odd"),
    Instrument("cor anglais", 52, 84, "formant", 950.0),
    Instrument("alto flute", 55, 91, "falling"),
    Instrument("soprano sax", 56, 88, "bright", 1400.0),
    Instrument("oboe", 58, 93, "formant", 1300.0),
    Instrument("flute", 60, 98, "falling"),
    Instrument("piccolo", 74, 108, "falling"),
)


def midi_to_hz(midi, a4_hz=440.0):
    """Equal temperament, ISO 16:1975 for the default A4."""
    return a4_hz * 2.0 ** ((midi - 69.0) / 12.0)


def spectrum(instrument, f0_hz, top_hz):
    """Linear strengths of the harmonics below `top_hz`, scaled to the power of a sine of amplitude 1."""
    n = int(np.clip(top_hz // f0_hz, 1, MAX_HARMONICS))
    h = np.arange(1, n + 1)
    f_hz = h * f0_hz
    if instrument.spectrum == "falling":
        strength = 1.0 / h**1.5
    elif instrument.spectrum == "odd":
        strength = np.where(h % 2 == 1, 1.0, 0.08) / h
    elif instrument.spectrum == "formant":
        # The fundamental of a low bassoon note lies 20 to 30 dB under its formant.
        strength = 0.06 / h + 1.0 / (1.0 + ((f_hz - instrument.formant_hz) / (0.3 * instrument.formant_hz)) ** 2)
    else:
        strength = (1.0 / h**0.5) / (1.0 + (f_hz / (3.0 * instrument.formant_hz)) ** 2)
    return strength / np.sqrt(np.sum(strength**2))
