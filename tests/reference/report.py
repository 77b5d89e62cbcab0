"""Tables and sentences of a run. Must not know how anything was measured."""

import errors
from budgets import BUDGETS, TOLD

# What one tone may be off before it is listed among the worst.
CENTRE_CENTS = 1.2
RATE_SHARE = 0.02


def figures(summary, peers=None):
    """Asked, floor and measured; with `peers` (name to summary) their figures beside it."""
    peers = peers or {}
    rows = [["", "asked", "floor", "Windrow", *peers]]
    for b in BUDGETS:
        sign = ">=" if b.least else "<="
        floor = "" if b.floor is None else f"{sign} {b.floor:g}"
        value = _number(summary[b.figure])
        kept = "" if b.keeps(summary[b.figure], b.asked) else " *"
        rows.append([_named(b.words, b.unit), f"{sign} {b.asked:g}", floor, value + kept,
                     *(_number(p.get(b.figure)) for p in peers.values())])
    for figure, words, unit in TOLD:
        rows.append([_named(words, unit), "", "", _number(summary[figure]),
                     *(_number(p.get(figure)) for p in peers.values())])
    return columns(rows)


def by(all_errors, key):
    """One line for each group or condition."""
    rows = [[key, "n", "centre 50/95 % (cents)", "rate 50 % (%)", "in 2/5 % (%)", "found/invented (%)",
             "time 50/95 % (ms)", "depth 50/95 % (dB)", "swing 50/95 % (cents)", "trusted 50/95 % (pulses)",
             "missed", "false", "withheld"]]
    for name in dict.fromkeys(getattr(e, key) for e in all_errors):
        part = [e for e in all_errors if getattr(e, key) == name]
        s = errors.summary(part)
        missed = sum(e.missed() for e in part)
        false = sum(e.called_vibrato for e in part if e.kind == "straight")
        rows.append([
            name, str(s["n"]), _pair(s, "centre_median_cents", "centre_95_cents"), _number(s["rate_median_pct"]),
            _pair(s, "rate_within_2_pct", "rate_within_5_pct"), _pair(s, "pulses_found_pct", "pulses_invented_pct"),
            _pair(s, "time_median_ms", "time_95_ms"), _pair(s, "depth_median_db", "depth_95_db"),
            _pair(s, "swing_median_cents", "swing_95_cents"),
            _pair(s, "first_trusted_median_pulses", "first_trusted_95_pulses"),
            str(missed), str(false), str(sum(e.withheld for e in part)),
        ])
    return columns(rows)


def worst(all_errors, n=10):
    """The tones that are furthest off, with what is wrong with each."""
    ranked = sorted(all_errors, key=lambda e: -_badness(e))[:n]
    return columns([["worst tones", "what is wrong"], *([e.name, "; ".join(_reasons(e))] for e in ranked)])


def natural(rows):
    """Real vibrato without truth."""
    table = [["recording", "plain: rate (Hz), cents, dB", "Windrow: rate, swing, depth", "state"]]
    for row in rows:
        plain, record = row["plain"], row["windrow"] or {}
        told = " / ".join(_number(record.get(key)) for key in ("pulse_rate_hz", "swing_cents_pp", "depth_db_pp"))
        table.append([row["name"], f"{plain['rate_hz']:.2f} / {plain['cents_pp']:.1f} / {plain['db_pp']:.2f}", told,
                      str(record.get("state"))])
    return columns(table)


def bound(rows):
    """Scatter over its least possible value, rate by rate."""
    table = [["rate (Hz)", "bound (Hz)", "least-squares fit", "Windrow", "bias (Hz)", "told"]]
    for r in rows:
        table.append([f"{r['rate_hz']:g}", f"{r['bound_hz']:.4f}", f"{r['fit_over_bound']:.2f}",
                      _number(r["windrow_over_bound"]), _number(r["windrow_bias_hz"]), f"{r['n_told']} of {r['n']}"])
    return columns(table)


def _badness(e):
    ratios = [abs(e.centre_cents or 0.0) / CENTRE_CENTS, abs(e.rate_share or 0.0) / RATE_SHARE]
    if not e.heard or e.missed() or (e.kind == "straight" and e.called_vibrato):
        ratios.append(100.0)
    if e.n_pulses:
        ratios.append(10.0 * (1.0 - e.n_found / e.n_pulses) + 10.0 * e.n_invented / e.n_pulses)
    return max(ratios)


def _reasons(e):
    if not e.heard:
        return ["not heard"]
    reasons = []
    if e.missed():
        reasons.append("vibrato missed")
    if e.withheld:
        reasons.append("withheld")
    if e.kind == "straight" and e.called_vibrato:
        reasons.append("straight, called vibrato")
    if e.rate_share is not None and abs(e.rate_share) > RATE_SHARE:
        reasons.append(f"rate {100.0 * e.rate_share:+.1f} %")
    if e.n_pulses and e.n_found == 0 and e.n_invented:
        reasons.append("pulses between the true ones")
    elif e.n_pulses and (e.n_found < e.n_pulses or e.n_invented):
        reasons.append(f"{e.n_found} of {e.n_pulses} pulses, {e.n_invented} invented")
    if abs(e.centre_cents) > CENTRE_CENTS:
        reasons.append(f"centre {e.centre_cents:+.1f} cents")
    return reasons + [f"state {e.state}"]


def columns(rows):
    """Text columns, two spaces apart, without trailing space."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return "\n".join("  ".join(cell.ljust(w) for cell, w in zip(row, widths)).rstrip() for row in rows)


def _named(words, unit):
    return f"{words} ({unit})" if unit else words


def _number(value):
    if value is None:
        return "-"
    if isinstance(value, int) or value == int(value):
        return str(int(value))
    return f"{value:.3f}" if abs(value) < 10 else f"{value:.1f}"


def _pair(s, a, b):
    return "-" if s[a] is None else f"{_number(s[a])} / {_number(s[b])}"
