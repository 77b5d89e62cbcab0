"""Errors of one reading against the truth, and what many come to. Must not know who made the reading.

A reading is a dict with the names of `windrow measure --json`; fields a reader cannot tell are absent or None.
"""

from dataclasses import asdict, dataclass

import numpy as np

# A pulse counts as found within this part of a period from its true time.
FOUND_WITHIN = 0.25
# Beyond this a pitch is another note, not an inexact one; an octave is 1200.
WRONG_NOTE_CENTS = 100.0


@dataclass
class Errors:
    """Signed, measured minus true, unless it says otherwise. None where truth or reading have nothing to compare."""

    name: str
    part: str
    group: str
    condition: str
    kind: str
    heard: bool = False
    # The reader says that it is not sure, and tells nothing of pulses.
    withheld: bool = False
    called_vibrato: bool = False
    centre_cents: float | None = None
    rate_share: float | None = None
    n_pulses: int = 0
    n_found: int = 0
    n_invented: int = 0
    time_ms: list | None = None
    depth_db: float | None = None
    true_depth_db: float | None = None
    swing_cents: float | None = None
    true_swing_cents: float | None = None
    drift_cents_per_10s: float | None = None
    pulses_until_trusted: float | None = None
    state: str | None = None

    def missed(self):
        """A vibrato that was not called one, by a reader who was sure."""
        return self.kind == "vibrato" and not self.called_vibrato and not self.withheld

    def as_dict(self):
        return asdict(self)


def of_reading(about, truth, reading):
    """`about` holds name, part, group and condition; `truth` is a `signals.Truth`."""
    errors = Errors(kind=truth.kind, **about)
    if reading is None or reading.get("f0_hz") is None:
        return errors
    errors.heard = True
    errors.state = reading.get("state")
    errors.centre_cents = float(1200.0 * np.log2(reading["f0_hz"] / truth.f0_hz))
    errors.withheld = reading.get("trusted") is False
    rate_hz = reading.get("pulse_rate_hz")
    errors.called_vibrato = rate_hz is not None
    if reading.get("drift_cents_per_10s") is not None:
        errors.drift_cents_per_10s = reading["drift_cents_per_10s"] - truth.drift_cents_per_10s
    if truth.kind == "straight":
        return errors
    _count_pulses(errors, truth, reading.get("pulse_times_s") or [])
    if rate_hz is None:
        return errors
    errors.rate_share = rate_hz / truth.rate_hz - 1.0
    if reading.get("depth_db_pp") is not None:
        errors.depth_db = reading["depth_db_pp"] - truth.depth_db_pp
        errors.true_depth_db = truth.depth_db_pp
    if reading.get("swing_cents_pp") is not None:
        errors.swing_cents = reading["swing_cents_pp"] - truth.swing_cents_pp
        errors.true_swing_cents = truth.swing_cents_pp
    if reading.get("first_trusted_s") is not None:
        errors.pulses_until_trusted = (reading["first_trusted_s"] - truth.starts_s) * truth.rate_hz
    return errors


def _count_pulses(errors, truth, found_s):
    """Pairs true and found pulses one to one. Only whole true pulses count: half a period from both ends."""
    period = 1.0 / truth.rate_hz
    true_s = np.array(truth.pulse_times_s)
    found_s = np.array(found_s)
    errors.time_ms = []
    whole = [t for t in true_s if truth.starts_s + 0.5 * period <= t <= truth.ends_s - 0.5 * period]
    errors.n_pulses = len(whole)
    offset = 0.0
    if not truth.has_one_time and len(found_s):
        # Level and pitch peak apart: any constant offset is as good, so it is taken out before the count.
        turns = np.exp(2j * np.pi * np.array([(f - true_s[np.argmin(abs(true_s - f))]) / period for f in found_s]))
        offset = np.angle(turns.mean()) / (2 * np.pi) * period
    taken = set()
    for t in whole:
        distance = [abs(f - offset - t) if k not in taken else np.inf for k, f in enumerate(found_s)]
        if distance and min(distance) <= FOUND_WITHIN * period:
            nearest = int(np.argmin(distance))
            taken.add(nearest)
            errors.n_found += 1
            if truth.has_one_time:
                errors.time_ms.append(1000.0 * float(found_s[nearest] - t))
    near_any = [np.min(abs(true_s - (f - offset))) <= FOUND_WITHIN * period for f in found_s]
    errors.n_invented = int(len(found_s) - sum(near_any))


def quantile(values, q):
    """Of absolute values; None without any."""
    values = [abs(v) for v in values if v is not None]
    return float(np.quantile(values, q)) if values else None


def summary(all_errors):
    """The figures that budgets are set for, over many tones."""
    vibrato = [e for e in all_errors if e.kind == "vibrato"]
    straight = [e for e in all_errors if e.kind == "straight"]
    centres = [e.centre_cents for e in all_errors if e.centre_cents is not None]
    rates = [e.rate_share for e in vibrato if e.rate_share is not None]
    # Choked valleys lie below what a window or a room leaves: their depth is a verdict, not a figure.
    sized = [e for e in vibrato if e.group != "choked"]
    times = [ms for e in vibrato for ms in e.time_ms or []]
    n_pulses = sum(e.n_pulses for e in vibrato)
    return {
        "n": len(all_errors),
        "n_vibrato": len(vibrato),
        "n_straight": len(straight),
        "not_heard": sum(not e.heard for e in all_errors),
        "centre_median_cents": quantile(centres, 0.5),
        "centre_95_cents": quantile(centres, 0.95),
        "wrong_notes": sum(abs(c) > WRONG_NOTE_CENTS for c in centres),
        "octave_errors": sum(abs(c) > 600.0 for c in centres),
        "rate_median_pct": _percent(quantile(rates, 0.5)),
        "rate_within_2_pct": _share(sum(abs(r) <= 0.02 for r in rates), len(rates)),
        "rate_within_5_pct": _share(sum(abs(r) <= 0.05 for r in rates), len(rates)),
        "rate_multiples_pct": _share(sum(r > 0.4 or r < -0.28 for r in rates), len(rates)),
        "pulses_found_pct": _share(sum(e.n_found for e in vibrato), n_pulses),
        "pulses_invented_pct": _share(sum(e.n_invented for e in vibrato), n_pulses),
        "time_median_ms": quantile(times, 0.5),
        "time_95_ms": quantile(times, 0.95),
        "depth_median_db": quantile([e.depth_db for e in sized], 0.5),
        "depth_95_db": quantile([e.depth_db for e in sized], 0.95),
        "swing_median_cents": quantile([e.swing_cents for e in sized], 0.5),
        "swing_95_cents": quantile([e.swing_cents for e in sized], 0.95),
        "first_trusted_median_pulses": quantile([e.pulses_until_trusted for e in vibrato], 0.5),
        "first_trusted_95_pulses": quantile([e.pulses_until_trusted for e in vibrato], 0.95),
        "straight_called_vibrato_pct": _share(sum(e.called_vibrato for e in straight), len(straight)),
        "vibrato_missed_pct": _share(sum(e.missed() for e in vibrato), len(vibrato)),
        "withheld_pct": _share(sum(e.withheld for e in all_errors), len(all_errors)),
    }


def _share(part, whole):
    return 100.0 * part / whole if whole else None


def _percent(value):
    return None if value is None else 100.0 * value
