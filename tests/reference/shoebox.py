"""How sound goes from a mouth to a device in a shoebox room. Must not know players.

Image sources (Allen & Berkley, JASA 65:943, 1979), own code.
"""

import numpy as np

SOUND_MPS = 343.0
# Echoes later than this share of the reverberation time, 36 dB down, are left out.
KEPT_SHARE = 0.6


def impulse_response(room_m, rt60_s, source_m, device_m, rate_hz):
    """Response from source to device; gain 1 at one metre. Absorption is Eyring's for the reverberation time."""
    reflect = _reflection(room_m, rt60_s)
    length_s = KEPT_SHARE * rt60_s
    reach_m = SOUND_MPS * length_s
    (x, i), (y, j), (z, k) = (_images(*axis, reach_m) for axis in zip(room_m, source_m, device_m))
    square = x[:, None, None] ** 2 + y[None, :, None] ** 2 + z[None, None, :] ** 2
    near = square < reach_m**2
    distance = np.sqrt(square[near])
    gain = reflect ** np.arange(i.max() + j.max() + k.max() + 1)
    gain = gain[(i[:, None, None] + j[None, :, None] + k[None, None, :])[near]] / distance
    delay = distance / SOUND_MPS * rate_hz
    whole = delay.astype(int)
    part = delay - whole
    n = int(length_s * rate_hz) + 2
    return np.bincount(whole, gain * (1 - part), n)[:n] + np.bincount(whole + 1, gain * part, n + 1)[:n]


def _reflection(room_m, rt60_s):
    """Share of the pressure that a wall sends back, by Eyring's formula."""
    volume_m3 = np.prod(room_m)
    surface_m2 = 2 * sum(np.prod(room_m) / side for side in room_m)
    return np.exp(-0.161 * volume_m3 / (surface_m2 * rt60_s) / 2)


def _images(size_m, source_m, device_m, reach_m):
    """Distances of the images along one axis, and how many reflections each has seen."""
    n_each_way = int(np.ceil(reach_m / size_m / 2)) + 1
    n = np.arange(-n_each_way, n_each_way + 1)
    plain, mirrored = 2 * n * size_m + source_m - device_m, 2 * n * size_m - source_m - device_m
    return np.concatenate([plain, mirrored]), np.concatenate([np.abs(2 * n), np.abs(2 * n - 1)])
