"""Pulse trains of known times: their phase, shape and unevenness. Must not know sound.

A train is a phase that passes a whole number at each pulse; shapes map the phase to 0 (valley) .. 1 (peak).
"""

import numpy as np
from scipy.interpolate import PchipInterpolator

# Pulses at either end that are not displaced: a reader that loses the first or last one still counts the same rate.
N_EVEN_AT_ENDS = 2


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
