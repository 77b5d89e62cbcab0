"""Synthetic tones of known truth: an additive voice written in numpy, apart from the Rust one that the unit tests use.

`plan` says which tones there are, `render` makes one with its truth. Must not know any analysis.
"""

from dataclasses import dataclass

import numpy as np

import pulses
from conditions import CONDITIONS, Condition
from instruments import INSTRUMENTS, Instrument, midi_to_hz, spectrum

CONTROL_HZ = 1000
# Silence before and after the tone.
LEAD_S = 0.2
TAIL_S = 0.25
# Left out of a straight tone's centre: the attack is not the note.
ATTACK_S = 0.3


@dataclass(frozen=True)
class Tone:
    """What is played; ranges of styles stand in `STYLES`."""

    name: str
    group: str
    instrument: Instrument
    condition: Condition
    midi: float
    seconds: float
    seed: int
    # None for a straight tone.
    pulsing: pulses.Pulsing | None = None
    # How much deeper, in dB over dB, the highest harmonics pulse than the first.
    brightness: float = 0.0
    crescendo_db: float = 0.0
    drift_cents_per_10s: float = 0.0
    waver_cents: float = 0.0
    waver_db: float = 0.0
    breath_db: float | None = None


@dataclass(frozen=True)
class Truth:
    """What a perfect reader would say. Reverberation and noise are not part of it: it is the player's truth."""

    kind: str
    # The pitch centre.
    f0_hz: float
    rate_hz: float | None = None
    pulse_times_s: tuple = ()
    depth_db_pp: float | None = None
    swing_cents_pp: float | None = None
    drift_cents_per_10s: float = 0.0
    starts_s: float = LEAD_S
    ends_s: float = 0.0
    # False where level and pitch peak at different moments: then there is no one time of a pulse.
    has_one_time: bool = True


def render(tone):
    """Samples at the condition's rate (peak 0.5) and the truth."""
    rng = np.random.default_rng(tone.seed)
    t = np.arange(int(tone.seconds * CONTROL_HZ) + 1) / CONTROL_HZ
    curves = _curves(tone, t, rng)
    truth = _truth(tone, t, curves)
    samples = _sound(tone, t, curves, rng)
    lead = np.zeros(int(LEAD_S * tone.condition.rate_hz))
    tail = np.zeros(int(TAIL_S * tone.condition.rate_hz))
    heard = tone.condition.apply(np.concatenate([lead, samples, tail]), rng)
    return 0.5 * heard / np.max(np.abs(heard)), truth


@dataclass(frozen=True)
class _Curves:
    """On the control grid: cents from the note, and level in dB of each harmonic (rows)."""

    cents: np.ndarray
    level_db: np.ndarray
    static: np.ndarray
    train: pulses.Train | None


def _curves(tone, t, rng):
    static = spectrum(tone.instrument, midi_to_hz(tone.midi), 0.44 * tone.condition.rate_hz)
    n = len(static)
    cents = tone.drift_cents_per_10s * (t - tone.seconds / 2) / 10.0
    level_db = np.tile(tone.crescendo_db * (t / tone.seconds - 0.5), (n, 1))
    train = None
    if tone.pulsing is not None:
        train = pulses.train(tone.pulsing, t, rng)
        deeper = 1.0 + tone.brightness * np.minimum(np.arange(n) / 8.0, 1.0)
        level_db = level_db + tone.pulsing.depth_db * np.outer(deeper, train.level)
        cents = cents + train.cents
    cents = cents + tone.waver_cents * _waver(t, rng)
    level_db = level_db + tone.waver_db * _waver(t, rng)
    return _Curves(cents, level_db, static, train)


def _waver(t, rng):
    """Unsteadiness without a rhythm: noise between 0.3 and 4 Hz, standard deviation 1."""
    spectrum_ = np.fft.rfft(rng.standard_normal(len(t)))
    f_hz = np.fft.rfftfreq(len(t), 1.0 / CONTROL_HZ)
    waver = np.fft.irfft(np.where((f_hz > 0.3) & (f_hz < 4.0), spectrum_, 0.0), len(t))
    return waver / np.std(waver)


def _sound(tone, t, curves, rng):
    rate_hz = tone.condition.rate_hz
    at = np.arange(int(tone.seconds * rate_hz)) / rate_hz
    f0_hz = midi_to_hz(tone.midi) * 2.0 ** (np.interp(at, t, curves.cents) / 1200.0)
    turn = np.exp(2j * np.pi * np.cumsum(f0_hz) / rate_hz)
    power = np.ones_like(turn)
    sound = np.zeros(len(at))
    for strength, level_db in zip(curves.static, curves.level_db):
        power = power * turn
        # Phases as they fall: zero phases would make one peak a period, which no room leaves as it is.
        start = np.exp(1j * rng.uniform(0.0, 2.0 * np.pi))
        sound += strength * 10.0 ** (np.interp(at, t, level_db) / 20.0) * (start * power).imag
    if tone.breath_db is not None:
        breath = np.diff(rng.standard_normal(len(at) + 1))
        sound += breath * np.sqrt(np.mean(sound**2) / np.mean(breath**2)) * 10.0 ** (tone.breath_db / 20.0)
    attack_s, release_s = rng.uniform(0.03, 0.08), 0.08
    return sound * np.clip(np.minimum(at / attack_s, (tone.seconds - at) / release_s), 0.0, 1.0)


def _truth(tone, t, curves):
    ends_s = LEAD_S + tone.seconds
    if curves.train is None:
        centre = np.mean(curves.cents[t >= ATTACK_S])
        return Truth("straight", midi_to_hz(tone.midi + centre / 100.0), drift_cents_per_10s=tone.drift_cents_per_10s,
                     ends_s=ends_s)
    return truth_of(tone.midi, tone.pulsing, t, _total_db(tone, curves), curves.cents, curves.train,
                    drift_cents_per_10s=tone.drift_cents_per_10s)


def truth_of(midi, pulsing, t, level_db, cents, train, drift_cents_per_10s=0.0):
    """The truth of a tone that begins after the lead, from its curves; `cents` from `midi`."""
    depth_db, swing_cents = pulses.depth_and_swing(t, level_db, cents, train)
    centre = np.mean(cents[train.is_whole()])
    return Truth(
        "vibrato", midi_to_hz(midi + centre / 100.0), pulsing.rate_hz, tuple(LEAD_S + train.times_s), depth_db,
        swing_cents, drift_cents_per_10s, LEAD_S, LEAD_S + t[-1], has_one_time=pulsing.pitch_lag == 0.0,
    )


def _total_db(tone, curves):
    """Level of the whole tone as the condition's fixed filter leaves it, dB, on the control grid."""
    f0_hz = midi_to_hz(tone.midi) * 2.0 ** (curves.cents / 1200.0)
    harmonics = np.arange(1, len(curves.static) + 1)
    response = tone.condition.response(np.outer(harmonics, f0_hz))
    strength = curves.static[:, None] * response * 10.0 ** (curves.level_db / 20.0)
    return 10.0 * np.log10(np.sum(strength**2, axis=0) / 2.0)


# Ranges to draw from: rate in Hz, depth in dB and swing in cents, peak to peak. Air, jaw and mixtures: common practice,
# no source (no figures for winds are published); 18 % unevenness is Seashore's (1938) for violinists, an upper bound.
STYLES = {
    "air": dict(rate_hz=(2.0, 8.5), depth_db=(4.0, 8.0), swing_cents=(5.0, 20.0)),
    "bright air": dict(rate_hz=(2.0, 8.5), depth_db=(3.0, 6.0), swing_cents=(5.0, 20.0), brightness=(0.5, 1.5)),
    "jaw": dict(rate_hz=(3.0, 8.5), depth_db=(1.0, 2.0), swing_cents=(40.0, 80.0), one_sided=True),
    "between": dict(rate_hz=(2.5, 8.0), depth_db=(2.0, 5.0), swing_cents=(20.0, 45.0)),
    "out of phase": dict(rate_hz=(2.5, 8.0), depth_db=(4.0, 7.0), swing_cents=(8.0, 25.0), pitch_lag=(0.2, 0.5)),
    "slow": dict(rate_hz=(0.8, 2.0), depth_db=(4.0, 9.0), swing_cents=(5.0, 20.0)),
    "hairpin": dict(rate_hz=(0.8, 1.6), depth_db=(6.0, 12.0), swing_cents=(5.0, 15.0), shape="hairpin"),
    "uneven": dict(rate_hz=(2.5, 7.0), depth_db=(4.0, 8.0), swing_cents=(5.0, 25.0), cv=(0.05, 0.18)),
    "swelling": dict(rate_hz=(2.0, 7.5), depth_db=(4.0, 8.0), swing_cents=(5.0, 20.0), crescendo_db=(-14.0, 14.0),
                     drift_cents_per_10s=(-20.0, 20.0)),
    "choked": dict(rate_hz=(1.0, 4.0), depth_db=(38.0, 42.0), swing_cents=(5.0, 15.0)),
}
STRAIGHT_STYLES = {
    "straight": dict(),
    "wavering": dict(waver_cents=(0.5, 1.5), waver_db=(0.05, 0.2)),
    "breathy": dict(breath_db=(-28.0, -20.0), waver_cents=(0.3, 0.8), waver_db=(0.05, 0.15)),
    "drifting": dict(drift_cents_per_10s=(-25.0, 25.0), crescendo_db=(-10.0, 10.0)),
}


def plan(n_pulsed, n_straight, seed=20):
    """Tones of every style, instrument and condition in turn, everything else drawn at random."""
    rng = np.random.default_rng(seed)
    tones = []
    # Thirteen instruments, ten styles and eleven conditions have no common divisor: all pairs come up.
    for styles, n in ((STYLES, n_pulsed), (STRAIGHT_STYLES, n_straight)):
        names = list(styles)
        for i in range(n):
            tones.append(_draw(i, names[i % len(names)], styles[names[i % len(names)]], rng))
    return tones


def draw(style, rng):
    """One value from each range of a style: what goes into a `Pulsing` (None without pulses), and the rest."""
    drawn = {key: float(rng.uniform(*value)) if isinstance(value, tuple) else value for key, value in style.items()}
    if "rate_hz" not in style:
        return None, drawn
    drawn["rate_hz"] = float(np.exp(rng.uniform(*np.log(style["rate_hz"]))))
    of_pulses = {name: drawn.pop(name) for name in pulses.Pulsing.__dataclass_fields__ if name in drawn}
    return pulses.Pulsing(**of_pulses), drawn


def seconds_for(pulsing):
    """Fourteen pulses, or what a player's breath and a class's patience allow."""
    return float(np.clip(14.0 / pulsing.rate_hz, 4.0, 11.0)) if pulsing else 4.0


def _draw(i, group, style, rng):
    pulsing, rest = draw(style, rng)
    instrument = INSTRUMENTS[i % len(INSTRUMENTS)]
    condition = CONDITIONS[i % len(CONDITIONS)]
    # The extremes of the range come up as often as the middle.
    spread = np.clip(rng.uniform(-0.15, 1.15), 0.0, 1.0)
    midi = round(instrument.low_midi + spread * (instrument.high_midi - instrument.low_midi)) + rng.uniform(-0.4, 0.4)
    name = f"{group}-{i:03d}-{instrument.name}-{condition.name}".replace(" ", "-")
    seed = int(rng.integers(2**31))
    return Tone(name, group, instrument, condition, float(midi), seconds_for(pulsing), seed, pulsing, **rest)
