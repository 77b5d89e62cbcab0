"""A room of eight players with open microphones: what each device records, and the truth about each player.

Every device hears all eight players. Kept under `target/reference/rooms` for the next run. Must not know who listens.
"""

import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import soundfile
from scipy.fft import irfft, next_fast_len, rfft
from scipy.interpolate import PchipInterpolator
from scipy.signal import lfilter

import shoebox
from instruments import midi_to_hz

RATE_HZ = 44_100
SECONDS = 12.0
N_PLAYERS = 8
N_OUT_OF_STEP = 2
BPM = 60.0
TARGETS_PER_BEAT = (3, 4, 5, 6)
# Sounding MIDI notes over the lowest, dealt so that neighbouring chairs differ wherever they can.
VOICINGS = {"triad": (0, 4, 7, 12) * 2, "steps": (0, 2, 4, 5) * 2, "fifth": (0, 7) * 4, "unison": (0,) * 8}
# Chairs on a bow of this radius around the conductor; each device so far in front of its mouth.
BOW_M = 4.0
DEVICE_M = 0.4
HIGHEST_HARMONIC_HZ = 9000
# Of the whole sound, as of a phone.
NOISE_DB = -45.0
BREATH_DB = -35.0


@dataclass(frozen=True)
class Player:
    """The truth about one player."""

    midi: int
    in_step: bool
    rate_hz: float
    # Level of their own sound over that of all others together, at their own device.
    own_over_others_db: float


@dataclass(frozen=True)
class Room:
    voicing: str
    seed: int
    rt60_s: float
    per_beat: int
    target_hz: float
    players: tuple
    files: tuple


def kept(folder, asked):
    """The room of `asked`, a voicing and a seed, from its files; made if these are missing or of other makers."""
    voicing, seed = asked
    truth_path = folder / f"{voicing}-{seed}.json"
    if truth_path.exists():
        truth = json.loads(truth_path.read_text())
        if truth.pop("made_by") == _maker():
            players = tuple(Player(**player) for player in truth.pop("players"))
            return Room(players=players, files=tuple(truth.pop("files")), **truth)
    truth_path.unlink(missing_ok=True)
    files = tuple(str(folder / f"{voicing}-{seed}-{chair}.wav") for chair in range(N_PLAYERS))
    room, devices = make(voicing, seed, files)
    for path, sound in zip(files, devices):
        soundfile.write(path, sound, RATE_HZ, subtype="PCM_16")
    truth_path.write_text(json.dumps({"made_by": _maker(), **asdict(room)}))
    return room


def _maker():
    """The programs that make a room: what another version made must not stand in for this one's."""
    sources = [Path(__file__), Path(shoebox.__file__)]
    return hashlib.sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()


def make(voicing, seed, files):
    """A room, and eight device signals."""
    rng = np.random.default_rng([seed, list(VOICINGS).index(voicing)])
    room_m = np.array([rng.uniform(7, 10), rng.uniform(6, 8), rng.uniform(2.8, 3.4)])
    rt60_s = rng.uniform(0.4, 0.8)
    per_beat = int(rng.choice(TARGETS_PER_BEAT))
    target_hz = per_beat * BPM / 60
    low = int(rng.integers(55, 68))
    out = set(rng.choice(N_PLAYERS, N_OUT_OF_STEP, replace=False).tolist())
    played, sounds = [], []
    for chair, step in enumerate(VOICINGS[voicing]):
        ratio = 1 + rng.choice([-1, 1]) * rng.uniform(0.08, 0.2) if chair in out else 1.0
        played.append(dict(midi=low + step, in_step=chair not in out, rate_hz=target_hz * ratio))
        sounds.append(_player_sound(rng, low + step, target_hz * ratio, chair not in out))
    mouths, places = _seats(room_m)
    devices, own_db = _at_devices(sounds, mouths, places, room_m, rt60_s)
    players = tuple(Player(own_over_others_db=db, **player) for player, db in zip(played, own_db))
    return Room(voicing, seed, rt60_s, per_beat, target_hz, players, files), [_recorded(d, rng) for d in devices]


def _seats(room_m):
    """Places of the mouths, about a metre apart, and of the devices, on stands a little lower."""
    mouths, devices = [], []
    for angle in np.linspace(-1, 1, N_PLAYERS):
        direction = np.array([np.sin(angle), np.cos(angle), 0])
        mouth = np.array([room_m[0] / 2, 1.0, 0]) + direction * BOW_M
        mouth[:2] = np.clip(mouth[:2], 0.6, room_m[:2] - 0.6)
        mouth[2] = 1.2
        device = mouth - DEVICE_M * direction
        device[2] = 1.05
        mouths.append(mouth)
        devices.append(mouth + (device - mouth) * DEVICE_M / np.linalg.norm(device - mouth))
    return mouths, devices


def _at_devices(sounds, mouths, places, room_m, rt60_s):
    """What every device hears, and by how much its own player is louder there than all others together, dB.

    Each sound and each response is transformed once; the sum is taken of spectra.
    """
    n = len(sounds[0])
    size = next_fast_len(n + int(rt60_s * RATE_HZ), real=True)
    spectra = [rfft(sound.astype(np.float32), size) for sound in sounds]
    devices, own_db = [], []
    for chair, place in enumerate(places):
        own, others = 0.0, 0.0
        for source, mouth in enumerate(mouths):
            response = shoebox.impulse_response(room_m, rt60_s, mouth, place, RATE_HZ)
            heard = spectra[source] * rfft(response.astype(np.float32), size)
            own, others = (heard, others) if source == chair else (own, others + heard)
        # Parseval: the spectra's energies compare as the sounds' do.
        own_db.append(float(20 * np.log10(np.linalg.norm(own) / np.linalg.norm(others))))
        devices.append(irfft(own + others, size)[:n])
    return devices, own_db


def _recorded(heard, rng):
    """With the device's noise, at a quarter of full scale."""
    heard = heard + rng.normal(0, np.std(heard) * 10 ** (NOISE_DB / 20), len(heard))
    return 0.25 * heard / np.max(np.abs(heard))


def _player_sound(rng, midi, rate_hz, anchored):
    """One player's dry sound: the air leads, the pitch follows it a little."""
    t = np.arange(int(SECONDS * RATE_HZ)) / RATE_HZ
    wave = np.cos(2 * np.pi * _pulse_cycles(rng, rate_hz, t, rng.uniform(0.03, 0.07), anchored))
    depth_db, swing_cents = rng.uniform(5, 9), rng.uniform(8, 25)
    centre_cents = rng.normal(0, 6)
    walk = np.cumsum(rng.normal(0, 1, len(t) // 4410 + 2))
    wander_cents = 0.3 * np.interp(t, np.arange(len(walk)) * 0.1, walk)
    cents = centre_cents + wander_cents + swing_cents / 2 * wave
    sound = _harmonics(rng, midi_to_hz(midi), cents, depth_db, wave)
    breath = lfilter([1], [1, -0.8], rng.normal(0, 1, len(t)))
    sound = sound / np.std(sound) * 10 ** (rng.normal(0, 1.5) / 20)
    sound += breath / np.std(breath) * 10 ** (BREATH_DB / 20)
    ramp = np.clip(t / 0.08, 0, 1) * np.clip((SECONDS - 0.3 - t) / 0.15, 0, 1)
    return 0.5 * sound * ramp


def _harmonics(rng, base_hz, cents, depth_db, wave):
    """Their sum; the upper ones swell more than the fundamental. One player in five has weak even harmonics."""
    turn = np.exp(2j * np.pi * np.cumsum(base_hz * 2 ** (cents / 1200)) / RATE_HZ)
    tilt = rng.uniform(0.7, 1.5)
    odd_only = rng.random() < 0.2
    sound, turned = np.zeros_like(wave), np.ones_like(turn)
    swell_db = ((wave - 1) * depth_db / 2).astype(np.float32)
    for h in range(1, int(min(24, HIGHEST_HARMONIC_HZ / base_hz)) + 1):
        level = h**-tilt * 10 ** (rng.normal(0, 4) / 20)
        if odd_only and h % 2 == 0:
            level *= 0.1
        turned *= turn
        gain = np.exp(np.float32(np.log(10) / 20 * (0.85 + 0.08 * min(h, 8))) * swell_db)
        sound += gain * (turned * (level * np.exp(1j * rng.uniform(0, 2 * np.pi)))).imag
    return sound


def _pulse_cycles(rng, rate_hz, times, cycle_sd, anchored):
    """Phase in cycles: uneven from pulse to pulse, and tied to the beat or free; the mean rate is `rate_hz`."""
    n = int(times[-1] * rate_hz * 1.3) + 8
    if anchored:
        peaks = np.arange(n) / rate_hz + rng.normal(0, cycle_sd / rate_hz, n)
    else:
        peaks = np.cumsum((1 + rng.normal(0, cycle_sd, n)) / rate_hz) - rng.uniform(0, 1) / rate_hz
        peaks = (peaks - peaks[0]) * (n - 1) / rate_hz / (peaks[-1] - peaks[0]) + peaks[0]
    peaks = np.sort(peaks)
    peaks = np.concatenate([[peaks[0] - 1 / rate_hz], peaks])
    return PchipInterpolator(peaks, np.arange(len(peaks)) - 1.0, extrapolate=True)(times)
