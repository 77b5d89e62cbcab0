"""Pulse trains of known times: their phase, shape and unevenness. Must not know sound.

A train is a phase that passes a whole number at each pulse; shapes map the phase to 0 (valley) .. 1 (peak).
"""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

# Pulses at either end that are not displaced: a reader that loses the first or last one still counts the same rate.
N_EVEN_AT_ENDS = 2


@dataclass(frozen=True)
class Pulsing:
    """What is asked of a train. Sizes are peak to peak."""

    rate_hz: float
    depth_db: float
    swing_cents: float
    shape: str = "sine"
    # The pitch swings below the note only, as a jaw does.
    one_sided: bool = False
    # Cycles by which the pitch follows the level.
    pitch_lag: float = 0.0
    # Standard deviation of the intervals over their mean.
    cv: float = 0.0


@dataclass(frozen=True)
class Train:
    """A train on a time grid: `level` is -0.5 to 0.5 times each pulse's size, to be scaled by a depth in dB."""

    times_s: np.ndarray
    cycles: np.ndarray
    level: np.ndarray
    cents: np.ndarray

    def is_whole(self):
        """Where whole pulses lie, the outer ones left out: attack and end are not the note."""
        return (self.cycles >= 0.5) & (self.cycles < len(self.times_s) - 1.5)


def train(pulsing, t, rng):
    """Times from the start of grid `t`, which begins at 0."""
    at_s = times(pulsing.rate_hz, rng.uniform(0.3, 1.0) / pulsing.rate_hz, t[-1], pulsing.cv, rng)
    cycles = phase(at_s, t)
    # Sizes scatter a little more than half as much as intervals (Seashore 1938: 10 % to 18 %).
    sizes = np.clip(1.0 + 0.55 * pulsing.cv * rng.standard_normal(len(at_s) + 2), 0.6, 1.4)
    size = np.interp(cycles, np.arange(-1, len(at_s) + 1), sizes)
    shape = SHAPES[pulsing.shape]
    pitch = shape(cycles - pulsing.pitch_lag) - (1.0 if pulsing.one_sided else 0.5)
    return Train(at_s, cycles, (shape(cycles) - 0.5) * size, pulsing.swing_cents * pitch * size)


def depth_and_swing(t, level_db, cents, train_):
    """Medians over the inner pulses: peak over the mean of both valleys in dB, and the span of the pitch in cents."""
    depths, swings = [], []
    for k in range(1, len(train_.times_s) - 1):
        near = abs(train_.cycles - k)
        before, after = (near <= 1.0) & (train_.cycles < k), (near <= 1.0) & (train_.cycles > k)
        depths.append(level_db[near <= 0.25].max() - (level_db[before].min() + level_db[after].min()) / 2.0)
        swings.append(np.ptp(cents[near <= 0.5]))
    return float(np.median(depths)), float(np.median(swings))


def times(rate_hz, first_s, last_s, cv, rng):
    """Pulse times from `first_s` on; intervals scatter by `cv` (standard deviation over mean) around 1 / `rate_hz`.

    The inner intervals are scaled to the mean exactly, so `rate_hz` is the count over time with or without the ends.
    """
    n_intervals = int((last_s - first_s) * rate_hz + 1e-9)
    intervals = np.ones(n_intervals)
    n_inner = n_intervals - 2 * N_EVEN_AT_ENDS
    if cv > 0 and n_inner >= 3:
        inner = np.clip(1.0 + cv * rng.standard_normal(n_inner), 1.0 - 2.5 * cv, 1.0 + 2.5 * cv)
        intervals[N_EVEN_AT_ENDS:-N_EVEN_AT_ENDS] = inner / inner.mean()
    return first_s + np.concatenate([[0.0], np.cumsum(intervals)]) / rate_hz


def phase(pulse_times_s, t):
    """Phase in cycles at times `t`: the index of a pulse at its time, smooth and rising in between and beyond."""
    period = np.diff(pulse_times_s).mean()
    n_more = int(np.ceil(max(pulse_times_s[0] - t[0], t[-1] - pulse_times_s[-1], 0.0) / period)) + 2
    before = pulse_times_s[0] - period * np.arange(n_more, 0, -1)
    after = pulse_times_s[-1] + period * np.arange(1, n_more + 1)
    known = np.concatenate([before, pulse_times_s, after])
    index = np.arange(-n_more, len(pulse_times_s) + n_more)
    return PchipInterpolator(known, index)(t)


def sine(cycles):
    return 0.5 + 0.5 * np.cos(2.0 * np.pi * cycles)


def hairpin(cycles):
    """A surge in a quarter of the time and a longer decay, with a corner at the peak: what a beginner's breath does."""
    x = np.mod(cycles, 1.0)
    surge = 0.28
    decay = np.clip(1.0 - x / (1.0 - surge), 0.0, 1.0) ** 2
    rise = 0.5 - 0.5 * np.cos(np.pi * (x - (1.0 - surge)) / surge)
    return np.where(x < 1.0 - surge, decay, rise)


SHAPES = {"sine": sine, "hairpin": hairpin}
