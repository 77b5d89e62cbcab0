"""What is asked of the figures in `errors.summary`, and the floors that fail a run. Must not know how they are made.

`asked` are the project's own budgets (DEVELOPERS.md, "What was measured"). Where today's figure is worse, `floor` is
that figure with a little room: it keeps what is reached until the budget is; where it is met, floor and budget are one.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Budget:
    """`least` where more is better. `floor` None: as asked."""

    figure: str
    words: str
    asked: float
    unit: str
    least: bool = False
    floor: float | None = None

    def limit(self):
        return self.asked if self.floor is None else self.floor

    def keeps(self, value, limit):
        if value is None:
            return False
        return value >= limit if self.least else value <= limit


BUDGETS = (
    Budget("not_heard", "tones not heard", 0, ""),
    Budget("centre_median_cents", "pitch centre, median", 0.1, "cents"),
    Budget("centre_95_cents", "pitch centre, 95 %", 1.2, "cents"),
    Budget("octave_errors", "octave errors", 0, ""),
    Budget("wrong_notes", "other wrong notes", 0, ""),
    Budget("rate_median_pct", "pulse rate, median", 0.6, "%"),
    Budget("rate_within_2_pct", "pulse rate within 2 %", 97.0, "%", least=True),
    Budget("rate_within_5_pct", "pulse rate within 5 %", 99.0, "%", least=True),
    Budget("rate_multiples_pct", "rates read as a multiple", 0.0, "%"),
    Budget("pulses_found_pct", "pulses found", 96.0, "%", least=True),
    Budget("time_median_ms", "time of a pulse, median", 2.0, "ms"),
    Budget("depth_median_db", "depth, median", 0.1, "dB"),
    Budget("swing_median_cents", "swing, median", 1.0, "cents"),
    Budget("first_trusted_median_pulses", "first trusted rate, median", 2.5, "pulses"),
    Budget("first_trusted_95_pulses", "first trusted rate, 95 %", 2.5, "pulses", floor=4.2),
    Budget("straight_called_vibrato_pct", "straight called vibrato", 0.0, "%", floor=0.6),
    Budget("vibrato_missed_pct", "vibrato missed", 1.0, "%"),
    # Lone players: there is nobody they could be taken for. Asked as of a vibrato missed.
    Budget("withheld_pct", "withheld", 1.0, "%"),
)
# Of players in rooms with open microphones, each told its note: out of step and found, and judged wrongly.
ROOMS = (
    Budget("triad_found_pct", "out of step on a triad, found", 95.0, "%", least=True, floor=85.0),
    Budget("steps_found_pct", "out of step on steps, found", 95.0, "%", least=True, floor=70.0),
    Budget("fifth_found_pct", "out of step on a fifth, found", 70.0, "%", least=True, floor=58.0),
    Budget("unison_found_pct", "out of step in unison, found", 30.0, "%", least=True),
    Budget("triad_wrong_pct", "wrong verdicts on a triad", 1.0, "%"),
    Budget("steps_wrong_pct", "wrong verdicts on steps", 1.0, "%"),
    Budget("fifth_wrong_pct", "wrong verdicts on a fifth", 1.0, "%"),
    Budget("unison_wrong_pct", "wrong verdicts in unison", 1.0, "%", floor=1.1),
)
# Told, but with no budget of their own.
TOLD = (
    ("pulses_invented_pct", "pulses invented", "%"),
    ("time_95_ms", "time of a pulse, 95 %", "ms"),
    ("depth_95_db", "depth, 95 %", "dB"),
    ("swing_95_cents", "swing, 95 %", "cents"),
)


def broken(summary, asked=BUDGETS):
    """A sentence for each floor that does not hold."""
    sentences = []
    for budget in asked:
        value = summary[budget.figure]
        if not budget.keeps(value, budget.limit()):
            found = "nothing" if value is None else f"{value:.4g}"
            said = f"{budget.words}: {found} {budget.unit}, floor {budget.limit():g} (asked {budget.asked:g})"
            sentences.append(said)
    return sentences
