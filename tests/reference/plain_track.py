"""Pitch and level of a tone whose note is known, the plain way: its strong harmonics shifted to 0 Hz one by one.

Serves to know what a sampled tone does by itself before it is modulated. Shares nothing with Windrow or the libraries,
and must not know what was done to the tone.
"""

import numpy as np
import soundfile
from scipy import signal

N_HARMONICS = 6
STEP_S = 0.005
# A tone's own modulation is looked for between these rates.
LOW_HZ, HIGH_HZ = 0.8, 9.0


def track(samples, rate_hz, f0_hz):
    """Times, pitch in cents from `f0_hz`, level in dB (RMS of the whole sound). Good within half a semitone of it."""
    n_harmonics = int(min(N_HARMONICS, 0.45 * rate_hz // f0_hz))
    t = np.arange(len(samples)) / rate_hz
    step = int(STEP_S * rate_hz)
    # Passes a swing of the highest harmonic looked at, keeps the neighbours out.
    half_width_hz = min(0.4 * f0_hz, 120.0)
    low_pass = signal.firwin(2 * int(1.6 * rate_hz / half_width_hz) + 1, half_width_hz, fs=rate_hz, window="blackman")
    advances, weights = [], []
    for h in range(1, n_harmonics + 1):
        shifted = signal.oaconvolve(samples * np.exp(-2j * np.pi * h * f0_hz * t), low_pass, mode="same")[::step]
        turn = np.angle(shifted[1:] * np.conj(shifted[:-1])) / (2 * np.pi) / (step / rate_hz) / h
        advances.append(turn)
        # The steadiness of a harmonic's phase goes with its amplitude times its number.
        weights.append(np.sum(np.abs(shifted) ** 2) * h**2)
    f_hz = f0_hz + np.average(advances, axis=0, weights=weights)
    at_s = (np.arange(len(f_hz)) + 0.5) * step / rate_hz
    cents = 1200.0 * np.log2(np.maximum(f_hz, 1.0) / f0_hz)
    return at_s, cents, _level_db(samples, rate_hz, at_s, f0_hz)


def _level_db(samples, rate_hz, at_s, f0_hz):
    window = np.hanning(2 * int(max(0.02, 2.0 / f0_hz) * rate_hz) + 1)
    power = signal.oaconvolve(samples**2, window / window.sum(), mode="same")
    return 10.0 * np.log10(np.maximum(np.interp(at_s, np.arange(len(samples)) / rate_hz, power), 1e-12))


def centre_hz(samples, rate_hz, truth):
    """Mean pitch (of cents) over whole pulses but the outer ones; `truth` has their times and a pitch close by."""
    at_s, cents, _ = track(samples, rate_hz, truth.f0_hz)
    pulse_times_s = truth.pulse_times_s
    whole = (at_s >= pulse_times_s[1]) & (at_s < pulse_times_s[-2])
    return float(truth.f0_hz * 2.0 ** (np.mean(cents[whole]) / 1200.0))


def check(cases):
    """Largest error, cents, on clean synthetic pulses, whose centre is known: what the measured centres are worth."""
    worst = 0.0
    for case in cases:
        if case.part == "synthetic" and case.condition == "clean" and case.truth.kind == "vibrato":
            # Where the valleys are all but silent there is no pitch to follow.
            if case.group != "choked":
                samples, rate_hz = soundfile.read(case.path)
                found_hz = centre_hz(samples, rate_hz, case.truth)
                worst = max(worst, abs(1200.0 * np.log2(found_hz / case.truth.f0_hz)))
    return float(worst)


def own_modulation(at_s, values):
    """Peak-to-peak size of the strongest sinusoid between 0.8 and 9 Hz after a parabola is taken out, and its rate."""
    x = at_s - at_s.mean()
    rest = values - np.polyval(np.polyfit(x, values, 2), x)
    best = (0.0, 0.0)
    for f_hz in np.arange(max(LOW_HZ, 1.0 / np.ptp(x)), HIGH_HZ, 0.05):
        wave = np.stack([np.cos(2 * np.pi * f_hz * x), np.sin(2 * np.pi * f_hz * x)], axis=1)
        size = 2.0 * float(np.hypot(*np.linalg.lstsq(wave, rest, rcond=None)[0]))
        best = max(best, (size, float(f_hz)))
    return best
