"""One sound file with its truth, whoever made it, and how readings are held against many of them."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

import errors
from signals import Truth


@dataclass(frozen=True)
class Case:
    name: str
    # Where it comes from: "synthetic", "general MIDI" or "recorded".
    part: str
    group: str
    condition: str
    path: Path
    seconds: float
    truth: Truth


def write(folder, samples, rate_hz, truth, **about):
    """A case as a 16-bit file, as devices record. Samples within 1."""
    path = folder / f"{about['name']}.wav"
    soundfile.write(path, np.round(samples * 32767.0).astype(np.int16), rate_hz)
    return Case(path=path, seconds=len(samples) / rate_hz, truth=truth, **about)


def compare(cases, readings):
    return [
        errors.of_reading(dict(name=c.name, part=c.part, group=c.group, condition=c.condition), c.truth, reading)
        for c, reading in zip(cases, readings)
    ]
