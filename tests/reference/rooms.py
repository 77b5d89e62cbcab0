"""A room of eight players with open microphones, and how Windrow judges each of them.

Image-source reverberation of a shoebox room (Allen & Berkley, JASA 65:943, 1979), own code. Every device hears all eight
players. The truth of each player is known, so every verdict is right, wrong or withheld. Knows nothing of the analysis:
it runs the built program on files.

    python rooms.py WINDROW OUT_DIR [--rooms N] [--seed S]
"""

import argparse
import json
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import soundfile
from scipy.signal import fftconvolve, lfilter

RATE_HZ = 44_100
SECONDS = 12.0
SOUND_MPS = 343.0
N_PLAYERS = 8
N_OUT_OF_STEP = 2
BPM = 60.0
TARGETS_PER_BEAT = (3, 4, 5, 6)
# Sounding MIDI notes, dealt so that neighbouring chairs differ wherever they can.
VOICINGS = {
    "triad": lambda low: [low, low + 4, low + 7, low + 12, low, low + 4, low + 7, low + 12],
    "steps": lambda low: [low, low + 2, low + 4, low + 5, low, low + 2, low + 4, low + 5],
    "fifth": lambda low: [low, low + 7] * 4,
    "unison": lambda low: [low] * 8,
}
NOTE_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def note_name(midi):
    """Name of a MIDI note, as `--expect` takes it."""
    return f"{NOTE_NAMES[midi % 12]}{midi // 12 - 1}"


def impulse_response(room_m, rt60_s, source_m, device_m):
    """Image-source response of a shoebox; the absorption is Eyring's for the reverberation time asked."""
    volume = np.prod(room_m)
    surface = 2 * (room_m[0] * room_m[1] + room_m[0] * room_m[2] + room_m[1] * room_m[2])
    reflect = np.exp(-0.161 * volume / (surface * rt60_s) / 2)
    length_s = 0.6 * rt60_s
    axes = []
    for size, source, device in zip(room_m, source_m, device_m):
        n = np.arange(-int(np.ceil(SOUND_MPS * length_s / size / 2)) - 1, int(np.ceil(SOUND_MPS * length_s / size / 2)) + 2)
        plain = 2 * n * size + source - device
        mirrored = 2 * n * size - source - device
        axes.append((np.concatenate([plain, mirrored]), np.concatenate([np.abs(2 * n), np.abs(2 * n - 1)])))
    (x, i), (y, j), (z, k) = axes
    distance = np.sqrt(x[:, None, None] ** 2 + y[None, :, None] ** 2 + z[None, None, :] ** 2)
    order = i[:, None, None] + j[None, :, None] + k[None, None, :]
    near = distance < SOUND_MPS * length_s
    distance, order = distance[near], order[near]
    delay = distance / SOUND_MPS * RATE_HZ
    gain = reflect ** order / distance
    whole = np.floor(delay).astype(int)
    part = delay - whole
    n = int(length_s * RATE_HZ) + 2
    return np.bincount(whole, gain * (1 - part), n)[:n] + np.bincount(whole + 1, gain * part, n + 1)[:n]


def pulse_phase(rng, rate_hz, times, cycle_sd, anchored):
    """Phase in cycles: uneven from pulse to pulse, and tied to the beat or free."""
    n = int(times[-1] * rate_hz * 1.3) + 8
    if anchored:
        peaks = np.arange(n) / rate_hz + rng.normal(0, cycle_sd / rate_hz, n)
    else:
        peaks = np.cumsum((1 + rng.normal(0, cycle_sd, n)) / rate_hz) - rng.uniform(0, 1) / rate_hz
        peaks = (peaks - peaks[0]) * (n - 1) / rate_hz / (peaks[-1] - peaks[0]) + peaks[0]
    peaks = np.sort(peaks)
    from scipy.interpolate import PchipInterpolator
    full = np.concatenate([[peaks[0] - 1 / rate_hz], peaks])
    return PchipInterpolator(full, np.arange(len(full)) - 1.0, extrapolate=True)(times)


def player_sound(rng, midi, rate_hz, anchored):
    """One player's dry sound."""
    t = np.arange(int(SECONDS * RATE_HZ)) / RATE_HZ
    wave = np.cos(2 * np.pi * pulse_phase(rng, rate_hz, t, rng.uniform(0.03, 0.07), anchored))
    depth_db, swing = rng.uniform(5, 9), rng.uniform(8, 25)
    centre = rng.normal(0, 6)
    drift = np.cumsum(rng.normal(0, 1, len(t) // 4410 + 2))
    wander = np.interp(t, np.arange(len(drift)) * 0.1, drift) * 0.3
    cents = centre + wander + swing / 2 * wave
    f0 = 440 * 2 ** ((midi - 69) / 12 + cents / 1200)
    phase = 2 * np.pi * np.cumsum(f0) / RATE_HZ
    tilt = rng.uniform(0.7, 1.5)
    odd_only = rng.random() < 0.2
    sound = np.zeros_like(t)
    base = 440 * 2 ** ((midi - 69) / 12)
    for h in range(1, int(min(24, 9000 / base)) + 1):
        level = h ** -tilt * 10 ** (rng.normal(0, 4) / 20)
        if odd_only and h % 2 == 0:
            level *= 0.1
        # The upper harmonics swell more than the fundamental.
        db = depth_db * (0.85 + 0.08 * min(h, 8)) / 2 * (wave - 1)
        sound += level * 10 ** (db / 20) * np.sin(h * phase + rng.uniform(0, 2 * np.pi))
    breath = lfilter([1], [1, -0.8], rng.normal(0, 1, len(t)))
    sound = sound / np.std(sound) * 10 ** (rng.normal(0, 1.5) / 20)
    sound += breath / np.std(breath) * 10 ** (-35 / 20)
    ramp = np.clip(t / 0.08, 0, 1) * np.clip((SECONDS - 0.3 - t) / 0.15, 0, 1)
    return 0.5 * sound * ramp


def make_room(seed, voicing):
    """Eight device signals and the truth about their players."""
    rng = np.random.default_rng([seed, list(VOICINGS).index(voicing)])
    room_m = np.array([rng.uniform(7, 10), rng.uniform(6, 8), rng.uniform(2.8, 3.4)])
    rt60_s = rng.uniform(0.4, 0.8)
    per_beat = int(rng.choice(TARGETS_PER_BEAT))
    target_hz = per_beat * BPM / 60
    low = int(rng.integers(55, 68))
    notes = VOICINGS[voicing](low)
    out = set(rng.choice(N_PLAYERS, N_OUT_OF_STEP, replace=False).tolist())
    angle = np.linspace(-1, 1, N_PLAYERS)
    radius = 4.0
    players, sounds = [], []
    middle = np.array([room_m[0] / 2, 1.0, 0])
    for chair in range(N_PLAYERS):
        direction = np.array([np.sin(angle[chair]), np.cos(angle[chair]), 0])
        mouth = middle + direction * radius
        mouth[:2] = np.clip(mouth[:2], 0.6, room_m[:2] - 0.6)
        mouth[2] = 1.2
        device = mouth - 0.4 * direction
        device[2] = 1.05
        device += (mouth - device) * (1 - 0.4 / np.linalg.norm(mouth - device))
        ratio = 1.0
        if chair in out:
            ratio = 1 + rng.choice([-1, 1]) * rng.uniform(0.08, 0.2)
        players.append({"chair": chair, "midi": notes[chair], "in_step": chair not in out,
                        "rate_hz": target_hz * ratio, "mouth": mouth, "device": device})
        sounds.append(player_sound(rng, notes[chair], target_hz * ratio, chair not in out))
    devices = []
    for listener in players:
        heard = np.zeros(int(SECONDS * RATE_HZ))
        for source, sound in zip(players, sounds):
            response = impulse_response(room_m, rt60_s, source["mouth"], listener["device"])
            heard += fftconvolve(sound, response)[: len(heard)]
        heard += rng.normal(0, np.std(heard) * 10 ** (-45 / 20), len(heard))
        devices.append(0.25 * heard / np.max(np.abs(heard)))
    truth = {"voicing": voicing, "seed": seed, "rt60_s": rt60_s, "per_beat": per_beat, "target_hz": target_hz,
             "players": [{k: v for k, v in p.items() if k not in ("mouth", "device")} for p in players]}
    return devices, truth


def write_room(folder, seed, voicing):
    """Writes a room's files, once."""
    folder = Path(folder)
    truth_path = folder / f"{voicing}-{seed}.json"
    if not truth_path.exists():
        devices, truth = make_room(seed, voicing)
        for chair, sound in enumerate(devices):
            soundfile.write(folder / f"{voicing}-{seed}-{chair}.wav", sound, RATE_HZ, subtype="PCM_16")
        truth_path.write_text(json.dumps(truth))
    return json.loads(truth_path.read_text())


if __name__ == "__main__":
    import sys
    out = Path(sys.argv[1]); out.mkdir(parents=True, exist_ok=True)
    n = int(sys.argv[2])
    for seed in range(int(sys.argv[3]) if len(sys.argv) > 3 else 0, n):
        for voicing in VOICINGS:
            write_room(out, seed, voicing)
            print(voicing, seed, flush=True)
