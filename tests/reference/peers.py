"""General-purpose pitch libraries on the same files: librosa's pYIN, Praat, aubio, with one pulse finder for all.

Each is told the note to within an octave and given a window that suits it, which Windrow is not. Must not know budgets.
"""

import time
from concurrent.futures import ProcessPoolExecutor
from importlib.metadata import version

import numpy as np
import soundfile

import case
import pulse_finder
from synthetic import N_WORKERS

HOP_S = 0.01


def _window_samples(rate_hz, f0_hz):
    """Four periods, and at least 43 ms: a power of two, as the libraries' own defaults are."""
    return 1 << int(np.ceil(np.log2(max(4.0 * rate_hz / f0_hz, 0.0426 * rate_hz))))


def pyin(samples, rate_hz, f0_hz):
    import librosa

    window, hop = _window_samples(rate_hz, f0_hz), int(HOP_S * rate_hz)
    found_hz, _, _ = librosa.pyin(samples, sr=rate_hz, fmin=f0_hz / 1.9, fmax=min(f0_hz * 1.9, 0.45 * rate_hz),
                                  frame_length=max(window, 4 * int(rate_hz / f0_hz) + 4), hop_length=hop)
    return np.arange(len(found_hz)) * hop / rate_hz, found_hz


def praat(samples, rate_hz, f0_hz):
    import parselmouth

    # Praat's window is three periods of the floor: 40 ms at its own default of 75 Hz.
    pitch = parselmouth.Sound(samples, rate_hz).to_pitch_ac(
        time_step=HOP_S, pitch_floor=min(f0_hz / 1.9, 75.0), pitch_ceiling=min(f0_hz * 1.9, 0.45 * rate_hz))
    found_hz = pitch.selected_array["frequency"]
    return pitch.xs(), np.where(found_hz > 0, found_hz, np.nan)


def aubio(samples, rate_hz, f0_hz):
    import aubio as library

    window, hop = _window_samples(rate_hz, f0_hz), int(HOP_S * rate_hz)
    tracker = library.pitch("yinfft", window, hop, rate_hz)
    tracker.set_unit("Hz")
    blocks = samples[: len(samples) // hop * hop].astype(np.float32).reshape(-1, hop)
    found_hz = np.array([tracker(block)[0] for block in blocks])
    # A block's pitch is that of the window that ends with it.
    at_s = (np.arange(1, len(blocks) + 1) * hop - window / 2) / rate_hz
    near = (found_hz > f0_hz / 1.9) & (found_hz < f0_hz * 1.9)
    return at_s, np.where(near, found_hz, np.nan)


TRACKERS = {"pYIN": (pyin, "librosa"), "Praat": (praat, "praat-parselmouth"), "aubio": (aubio, "aubio")}


def names():
    """Tracker names with the versions of their libraries."""
    return {name: f"{name} ({package} {version(package)})" for name, (_, package) in TRACKERS.items()}


def _warm_up():
    """Compilation and imports are not the trackers' time."""
    t = np.arange(48_000) / 48_000
    for track, _ in TRACKERS.values():
        track(np.sin(2 * np.pi * 220.0 * t), 48_000, 220.0)


def _read(job):
    path, f0_hz = job
    samples, rate_hz = soundfile.read(path)
    readings = {}
    for name, (track, _) in TRACKERS.items():
        before = time.process_time()
        at_s, found_hz = track(samples, rate_hz, f0_hz)
        cpu_s = time.process_time() - before
        readings[name] = pulse_finder.read(samples, rate_hz, at_s, found_hz), cpu_s / (len(samples) / rate_hz)
    return readings


def run(cases):
    """For each tracker the errors tone by tone, and the mean CPU seconds of the tracker alone for a second of sound."""
    jobs = [(c.path, c.truth.f0_hz) for c in cases]
    with ProcessPoolExecutor(N_WORKERS, initializer=_warm_up) as workers:
        all_readings = list(workers.map(_read, jobs))
    result = {}
    for name in TRACKERS:
        read = [readings[name][0] for readings in all_readings]
        result[name] = {
            "errors": case.compare(cases, read),
            "cpu_share": float(np.mean([readings[name][1] for readings in all_readings])),
        }
    return result
