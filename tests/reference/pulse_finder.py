"""A plain pulse finder on a pitch track and the level of the whole sound: what one would write around a pitch library.

The same rules for every tracker. Must not know which one made the pitch.
"""

import numpy as np

RATES_HZ = np.arange(0.75, 9.0, 0.02)
# What is just noticed, peak to peak: 0.9 dB (5 % AM, as taught in psychoacoustics courses) and 8 cents (from memory).
JUST_DB, JUST_CENTS = 0.9, 8.0
# Share of the modulation that one sinusoid must explain to be called a vibrato: our own choice, kept for all.
LEAST_EXPLAINED = 0.35
LEVEL_WINDOW_S = 0.03
SILENCE_S, ABOVE_NOISE_DB = 0.1, 6.0
EDGE_S = 0.12
ATTACK_S = 0.3
LEAST_SECONDS = 1.0


def level_db(samples, rate_hz, at_s):
    """RMS level around each time, dB."""
    power = np.concatenate([[0.0], np.cumsum(samples**2)])
    half = int(LEVEL_WINDOW_S * rate_hz / 2)
    middle = np.round(at_s * rate_hz).astype(int)
    low, high = np.clip(middle - half, 0, len(samples)), np.clip(middle + half, 0, len(samples))
    mean = (power[high] - power[low]) / np.maximum(high - low, 1)
    return 10.0 * np.log10(np.maximum(mean, 1e-12))


def read(samples, rate_hz, at_s, f0_hz):
    """A reading with the field names of `windrow measure --json`; `f0_hz` is NaN where the tracker heard no pitch."""
    voiced = np.isfinite(f0_hz) & (f0_hz > 0)
    if np.count_nonzero(voiced) < 20:
        return {}
    middle_hz = np.median(f0_hz[voiced])
    cents = np.full(len(f0_hz), np.nan)
    cents[voiced] = 1200.0 * np.log2(f0_hz[voiced] / middle_hz)
    # Slips to another octave are left out, gaps bridged.
    cents[np.abs(cents) > 200.0] = np.nan
    level = level_db(samples, rate_hz, at_s)
    # Files begin with what the microphone hears without a tone.
    noise = samples[: int(SILENCE_S * rate_hz)]
    floor_db = 10.0 * np.log10(np.mean(noise**2) + 1e-12) + ABOVE_NOISE_DB
    sounding = at_s[level > max(level.max() - 30.0, floor_db)]
    inside = (at_s >= sounding[0] + EDGE_S) & (at_s <= sounding[-1] - EDGE_S)
    good = inside & np.isfinite(cents)
    if np.count_nonzero(good) < 20 or at_s[inside][-1] - at_s[inside][0] < LEAST_SECONDS:
        return {"f0_hz": float(middle_hz)}
    t = at_s[inside]
    pitch, level = np.interp(t, at_s[good], cents[good]), level[inside]
    rate, amplitudes, explained = _strongest(t, level, pitch)
    pulsed = explained >= LEAST_EXPLAINED and max(2 * amplitudes / [JUST_DB, JUST_CENTS]) >= 1.0
    pulses = _peaks(t, (level, pitch)[int(np.argmax(amplitudes / [JUST_DB, JUST_CENTS]))], rate) if pulsed else []
    if len(pulses) < 3:
        return {"f0_hz": _hz(middle_hz, pitch[t >= sounding[0] + ATTACK_S])}
    whole = (t >= pulses[0]) & (t < pulses[-1])
    return {
        "f0_hz": _hz(middle_hz, pitch[whole]),
        "pulse_rate_hz": float((len(pulses) - 1) / (pulses[-1] - pulses[0])),
        "pulse_times_s": [float(p) for p in pulses],
        "depth_db_pp": _excursion(t, level, pulses),
        "swing_cents_pp": _excursion(t, pitch, pulses),
    }


def _hz(middle_hz, cents):
    return float(middle_hz * 2.0 ** (np.mean(cents) / 1200.0))


def _strongest(t, level, pitch):
    """Rate whose sinusoid explains most of level and pitch in units of what is just noticed, its amplitudes, and the
    share explained. A straight line is taken out with it."""
    tracks = np.stack([level / JUST_DB, pitch / JUST_CENTS], axis=1)
    x = t - t.mean()
    line = np.stack([np.ones_like(x), x], axis=1)
    tracks = tracks - line @ np.linalg.lstsq(line, tracks, rcond=None)[0]
    total = np.sum(tracks**2)
    best = (0.0, RATES_HZ[0], np.zeros(2))
    for rate in RATES_HZ:
        wave = np.stack([np.cos(2 * np.pi * rate * x), np.sin(2 * np.pi * rate * x)], axis=1)
        fit = np.linalg.solve(wave.T @ wave, wave.T @ tracks)
        power = np.sum((wave @ fit) ** 2)
        if power > best[0]:
            best = (power, rate, np.hypot(fit[0], fit[1]))
    return best[1], best[2] * [JUST_DB, JUST_CENTS], best[0] / total if total > 0 else 0.0


def _peaks(t, track, rate_hz):
    """Times of the maxima of the track smoothed over a quarter of a period, at least 0.6 periods apart."""
    step = t[1] - t[0]
    width = max(1, int(round(0.25 / rate_hz / step)))
    window = np.hanning(width + 2)[1:-1]
    padded = np.pad(track, width, mode="edge")
    smooth = np.convolve(padded, window / window.sum(), "same")[width:-width]
    inner = (smooth[1:-1] >= smooth[:-2]) & (smooth[1:-1] > smooth[2:])
    found = []
    for k in sorted(np.flatnonzero(inner) + 1, key=lambda k: -smooth[k]):
        if all(abs(t[k] - f) >= 0.6 / rate_hz for f in found):
            a, b, c = smooth[k - 1], smooth[k], smooth[k + 1]
            found.append(t[k] + step * 0.5 * (a - c) / (a - 2 * b + c))
    found = sorted(found)
    swing = np.median([smooth[np.argmin(abs(t - f))] for f in found]) - np.median(smooth) if found else 0.0
    # A bump that stays below the middle is none.
    return [f for f in found if smooth[np.argmin(abs(t - f))] > np.median(smooth) - 0.5 * swing]


def _excursion(t, track, pulses):
    """Median over pulses of the peak over the mean of the lowest values before and after it."""
    depths = []
    for before, at, after in zip(pulses, pulses[1:], pulses[2:]):
        left, right = track[(t >= before) & (t <= at)], track[(t >= at) & (t <= after)]
        near = track[(t >= at - 0.25 * (at - before)) & (t <= at + 0.25 * (after - at))]
        if len(left) and len(right) and len(near):
            depths.append(near.max() - (left.min() + right.min()) / 2)
    return float(np.median(depths)) if depths else None
