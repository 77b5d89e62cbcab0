"""How close the pulse rate of two seconds comes to the least scatter any unbiased reader can have.

Tones whose pitch is a sinusoid of 15 cents amplitude with white noise of 5 cents standard deviation per 10 ms, made
into sound by band-limited interpolation (noise up to 50 Hz); the level is constant: the pitch alone tells the rate. The
bound is the inverse Fisher information of a sinusoid of unknown frequency, amplitude, phase and offset in white noise
(Rife & Boorstyn 1974, Kay 1993; approximately 0.7797 (sigma / A) T^-1.5 R^-0.5 Hz: 0.0092 Hz here). A least-squares fit
on the same tracks, before they become sound, shows what can be reached. Must not know budgets.
"""

import numpy as np
import soundfile
from scipy import optimize, signal

import windrow

AMPLITUDE_CENTS, SIGMA_CENTS = 15.0, 5.0
TRACK_HZ, SECONDS = 100, 2.0
RATE_HZ, F0_HZ = 48_000, 440.0
RATES_HZ = (2.0, 3.0, 4.0, 5.0, 6.0, 7.0)
# Range searched by the least-squares fit around the true rate: what a rough look at the track gives.
SEARCH_HZ = 0.4


def bound_hz(rate_hz, phase):
    """Least standard deviation of the rate, Hz."""
    t = (np.arange(int(TRACK_HZ * SECONDS)) - TRACK_HZ * SECONDS / 2) / TRACK_HZ
    angle = 2 * np.pi * rate_hz * t + phase
    slopes = np.stack([-AMPLITUDE_CENTS * 2 * np.pi * t * np.sin(angle), np.cos(angle),
                       -AMPLITUDE_CENTS * np.sin(angle), np.ones_like(t)])
    return float(np.sqrt(np.linalg.inv(slopes @ slopes.T / SIGMA_CENTS**2)[0, 0]))


def least_squares_hz(track, near_hz):
    """Rate of the sinusoid with offset that leaves the least of the track."""
    t = np.arange(len(track)) / TRACK_HZ

    def left(rate_hz):
        waves = np.stack([np.cos(2 * np.pi * rate_hz * t), np.sin(2 * np.pi * rate_hz * t), np.ones_like(t)], axis=1)
        return np.sum((track - waves @ np.linalg.lstsq(waves, track, rcond=None)[0]) ** 2)

    grid = np.arange(near_hz - SEARCH_HZ, near_hz + SEARCH_HZ, 0.02)
    best = grid[np.argmin([left(f) for f in grid])]
    return float(optimize.minimize_scalar(left, bounds=(best - 0.03, best + 0.03), method="bounded").x)


def _sound(track):
    n_more = RATE_HZ // TRACK_HZ
    cents = signal.resample_poly(np.pad(track, 20, mode="edge"), n_more, 1)[20 * n_more : -20 * n_more]
    turns = np.cumsum(F0_HZ * 2.0 ** (cents / 1200.0)) / RATE_HZ
    tone = sum(np.sin(2 * np.pi * h * turns + h) / h for h in range(1, 9))
    edge = np.clip(np.minimum(np.arange(len(tone)), np.arange(len(tone))[::-1]) / (0.01 * RATE_HZ), 0.0, 1.0)
    silence = np.zeros(int(0.2 * RATE_HZ))
    return np.concatenate([silence, 0.2 * tone * edge, silence])


def run(folder, n_each, seed=63):
    """For each rate: bound, scatter of the fit and of Windrow as ratios to it, and how many Windrow told."""
    rng = np.random.default_rng(seed)
    rows = []
    for rate_hz in RATES_HZ:
        paths, fits, bounds = [], [], []
        for k in range(n_each):
            phase = rng.uniform(0, 2 * np.pi)
            t = np.arange(int(TRACK_HZ * SECONDS)) / TRACK_HZ - SECONDS / 2
            track = AMPLITUDE_CENTS * np.cos(2 * np.pi * rate_hz * t + phase)
            track += SIGMA_CENTS * rng.standard_normal(len(t))
            paths.append(folder / f"bound-{rate_hz:g}-{k:03d}.wav")
            soundfile.write(paths[-1], _sound(track), RATE_HZ)
            fits.append(least_squares_hz(track, rate_hz) - rate_hz)
            bounds.append(bound_hz(rate_hz, phase))
        records, _ = windrow.measure(paths)
        told = [r["pulse_rate_hz"] - rate_hz for r in records if r and r["pulse_rate_hz"] is not None]
        bound = float(np.sqrt(np.mean(np.square(bounds))))
        rows.append({
            "rate_hz": rate_hz, "bound_hz": bound, "n": n_each, "n_told": len(told),
            "fit_over_bound": _rms(fits) / bound, "windrow_over_bound": _rms(told) / bound if told else None,
            "windrow_bias_hz": float(np.mean(told)) if told else None,
            "windrow_median_over_bound": float(np.median(np.abs(told)) / 0.6745 / bound) if told else None,
        })
    return rows


def _rms(values):
    return float(np.sqrt(np.mean(np.square(values))))
