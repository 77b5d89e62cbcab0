"""How Windrow judges each player of a room with open microphones. Must not know how the rooms were made.

Two ways of counting, per voicing: of what a player's page would show from moment to moment (`live`), and of one verdict
on each player at the end. A verdict is right, wrong or withheld, since the truth of every player is known.
"""

from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import product

import numpy as np

import budgets
import report
import room_sound
import windrow
from published import NAMES

N_WORKERS = 2
# The analysis was tuned on the first twelve; the others were looked at only afterwards.
SEEDS = {"quick": range(4), "full": [*range(12), *range(100, 112)]}
FOLDER = windrow.PROJECT / "target" / "reference" / "rooms"
# Beginning and end, in which nothing can be asked yet, or any more.
FROM_S = 2.0
UNTIL_END_S = 0.5
# A rate further from the player's own is wrong.
RATE_OFF = 0.04
# Fewer points with a rate make no verdict; in step is within the second of the target.
LEAST_POINTS = 0.2
IN_STEP = 0.03


def measure(windrow_program, quick):
    """Figures of the rooms, told the notes and not; `broken` has a sentence for each floor that does not hold."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    asked = list(product(room_sound.VOICINGS, SEEDS["quick" if quick else "full"]))
    with ProcessPoolExecutor(N_WORKERS) as workers:
        rooms = list(workers.map(partial(room_sound.kept, FOLDER), asked))
    told = _by_voicing(windrow_program, rooms, expects=True)
    untold = _by_voicing(windrow_program, rooms, expects=False)
    own_db = [player.own_over_others_db for room in rooms for player in room.players]
    figures = {f"{voicing}_{figure}": value for voicing, row in told.items() for figure, value in row.items()}
    return {
        "n_rooms": len(rooms),
        "own_over_others_db": dict(least=min(own_db), mean=float(np.mean(own_db)), most=max(own_db)),
        "told": told,
        "untold": untold,
        "broken": budgets.broken(figures, budgets.ROOMS),
    }


def table(measured):
    """Both tables, and what is asked."""
    own = measured["own_over_others_db"]
    note = (f"{measured['n_rooms']} rooms of {room_sound.N_PLAYERS} players, {room_sound.N_OUT_OF_STEP} of them out of "
            f"step. A device hears its own player at {own['least']:+.0f} to {own['most']:+.0f} dB (mean "
            f"{own['mean']:+.1f}) against all others together.")
    told = _columns("each told its note", measured["told"], budgets.ROOMS)
    return "\n".join([note, told, "", _columns("not told", measured["untold"], ())])


@dataclass(frozen=True)
class _Judged:
    """One player: points of the track looked at, rates at them, and the verdict (None where withheld)."""

    room: room_sound.Room
    player: room_sound.Player
    n_points: int
    rates_hz: np.ndarray
    verdict: str | None

    def truth(self):
        return "in step" if self.player.in_step else "out of step"


def _by_voicing(program, rooms, expects):
    judged = [_judge(room, player, track)
              for room in rooms for player, track in zip(room.players, _tracks(program, room, expects))]
    return {voicing: _figures([j for j in judged if j.room.voicing == voicing]) for voicing in room_sound.VOICINGS}


def _tracks(program, room, expects):
    """Each player's track, in order of chairs. A file is measured with its own player's note, or all with none."""
    beat = ["--track", "--tempo", f"{room_sound.BPM:g}", "--pulses-per-beat", str(room.per_beat)]
    if not expects:
        return _track_of(windrow.measure(room.files, *beat, program_path=program))
    tracks = {}
    for midi in {player.midi for player in room.players}:
        files = [file for file, player in zip(room.files, room.players) if player.midi == midi]
        note = f"{NAMES[midi % 12]}{midi // 12 - 1}"
        tracks |= zip(files, _track_of(windrow.measure(files, *beat, "--expect", note, program_path=program)))
    return [tracks[file] for file in room.files]


def _track_of(measured):
    records, _ = measured
    return [record["track"] for record in records]


def _judge(room, player, track):
    points = [rate_hz for t, _, _, rate_hz in track if FROM_S <= t <= track[-1][0] - UNTIL_END_S]
    rates_hz = np.array([rate_hz for rate_hz in points if rate_hz is not None])
    verdict = None
    if len(rates_hz) >= LEAST_POINTS * len(points):
        is_near = abs(np.median(rates_hz) / room.target_hz - 1) <= IN_STEP
        verdict = "in step" if is_near else "out of step"
    return _Judged(room, player, len(points), rates_hz, verdict)


def _figures(judged):
    """Counts and shares over the players of one voicing."""
    n = len(judged)
    n_rates = sum(len(j.rates_hz) for j in judged)
    n_off = sum(int(np.sum(abs(j.rates_hz / j.player.rate_hz - 1) > RATE_OFF)) for j in judged)
    given = [j for j in judged if j.verdict is not None]
    n_wrong = sum(j.verdict != j.truth() for j in given)
    out_of_step = [j for j in judged if not j.player.in_step]
    n_found = sum(j.verdict == j.truth() for j in out_of_step)
    return {
        "live_pct": 100 * n_rates / sum(j.n_points for j in judged),
        "live_off_pct": 100 * n_off / n_rates if n_rates else None,
        "players": n,
        "given": len(given),
        "right": len(given) - n_wrong,
        "wrong": n_wrong,
        "wrong_pct": 100 * n_wrong / n,
        "out_of_step": len(out_of_step),
        "found": n_found,
        "found_pct": 100 * n_found / len(out_of_step),
    }


def _columns(title, by_voicing, asked):
    limits = {b.figure: b for b in asked}
    rows = [[title, "rate live (%)", "of those off (%)", "players", "verdicts", "right", "wrong (%)",
             "out of step", "found (%)"]]
    for voicing, f in by_voicing.items():
        wrong, found = (_counted(f, name, limits.get(f"{voicing}_{name}_pct")) for name in ("wrong", "found"))
        rows.append([voicing, _one_place(f["live_pct"]), _one_place(f["live_off_pct"]), str(f["players"]),
                     str(f["given"]), str(f["right"]), wrong, str(f["out_of_step"]), found])
    return report.columns(rows)


def _counted(figures, name, budget):
    """A count with its share, and what is asked; a star where it is worse."""
    said = f"{figures[name]} ({figures[f'{name}_pct']:.1f}"
    if budget is None:
        return said + ")"
    star = "" if budget.keeps(figures[f"{name}_pct"], budget.asked) else " *"
    return f"{said}, {'>=' if budget.least else '<='} {budget.asked:g}){star}"


def _one_place(value):
    return "-" if value is None else f"{value:.1f}"
