//! What is practised in an invented week: a plan that comes with the program, its tempos moved along the metronome's marks to where the
//! section is. Pure.

use crate::plan::{Plan, Play, built_in_named};
use crate::words::Language;
use windrow_protocol::metronome::Step;
use windrow_protocol::units::Bpm;

/// Marks from what is written to where a new section begins: triplets at 50 instead of 60. Our own choice.
const FIRST_MARKS: i32 = -5;
/// And to where it stays: sixteenths at 104 are 6.9 pulses a second, beyond which there is no vibrato (DEVELOPERS.md).
const LAST_MARKS: i32 = 6;
/// From this share of the judged time matched in a rehearsal on the next one is a mark faster. Our own choice.
const FASTER_FROM: f64 = 0.6;
/// Shorter rungs are not counted as held.
const LEAST_BARS: u16 = 4;

/// Where a section is, along the marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Marks(i32);

impl Marks {
    pub(super) const FIRST: Self = Self(FIRST_MARKS);

    /// After a rehearsal in which this share of the judged time was matched.
    pub(super) fn after(self, matched: Option<f64>) -> Self {
        let is_ready = matched.is_some_and(|share| share >= FASTER_FROM);
        Self((self.0 + i32::from(is_ready)).min(LAST_MARKS))
    }
}

/// The plan of a week, from 1.
pub(super) fn plan(week: u16, marks: Marks, language: Language) -> Plan {
    let named = |name| built_in_named(name, language).expect("it comes with the program").clone();
    match week {
        1 => named("first-lesson"),
        week if week.is_multiple_of(2) => moved(named("matching-a-section"), marks),
        _ => moved(named("daily-ten-minutes"), marks),
    }
}

/// What somebody takes home of a plan: the first half of it, without turns.
pub(super) fn for_home(plan: &Plan) -> Plan {
    let n = plan.exercises.len().div_ceil(2);
    let mut exercises = plan.exercises[..n].to_vec();
    for exercise in &mut exercises {
        (exercise.turns, exercise.voicing) = (None, None);
    }
    Plan { exercises, ..plan.clone() }
}

fn moved(mut plan: Plan, marks: Marks) -> Plan {
    for exercise in &mut plan.exercises {
        match &mut exercise.play {
            // A straight tone has its breath, not the section's tempo.
            Play::Straight(_) | Play::Free(_) => {}
            Play::Pulses(pulses) => {
                pulses.bpm = marks.of(pulses.bpm);
                pulses.bpm_to = pulses.bpm_to.map(|bpm| marks.of(bpm));
            }
            Play::Ladder(ladder) => {
                (ladder.from_bpm, ladder.to_bpm) = (marks.of(ladder.from_bpm), marks.of(ladder.to_bpm));
                ladder.bars_per_rung = ladder.bars_per_rung.max(LEAST_BARS);
            }
            Play::Ease(ease) => ease.bpm = marks.of(ease.bpm),
            Play::Hairpin(hairpin) => hairpin.bpm = marks.of(hairpin.bpm),
            Play::Music(music) => music.bpm = marks.of(music.bpm),
        }
        // What names a tempo or a number of pulses names it wrongly now.
        let names_a_tempo = |text: &str| text.contains(|c: char| c.is_ascii_digit());
        exercise.title = exercise.title.take().filter(|title| !names_a_tempo(title));
        if names_a_tempo(&exercise.say) {
            exercise.say.clear();
        }
        if names_a_tempo(&exercise.goal) {
            exercise.goal.clear();
        }
    }
    plan
}

impl Marks {
    /// A tempo, so many marks further.
    fn of(self, bpm: Bpm) -> Bpm {
        let step = if self.0 < 0 { Step::Slower } else { Step::Faster };
        (0..self.0.abs()).fold(bpm, |bpm, _| step.from(bpm).unwrap_or(bpm))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{check, read, write};

    #[test]
    fn tempos_rise_with_the_section_and_end_where_vibrato_does() {
        let bpm = |value| Bpm::new(value).unwrap();
        // Five marks under 60: 58, 56, 54, 52, 50.
        assert_eq!(Marks::FIRST.of(bpm(60.0)), bpm(50.0));
        let ready = (0..40).fold(Marks::FIRST, |marks, _| marks.after(Some(0.9)));
        assert_eq!(ready, Marks(LAST_MARKS));
        // 84, 88, 92, 96, 100, 104.
        assert_eq!(ready.of(bpm(80.0)), bpm(104.0));
        assert_eq!(Marks::FIRST.after(Some(0.5)), Marks::FIRST);
        assert_eq!(Marks::FIRST.after(None), Marks::FIRST);
    }

    #[test]
    fn every_week_has_a_good_plan_in_both_languages() {
        for language in Language::ALL {
            for week in 1..=5 {
                for marks in [Marks::FIRST, Marks(0), Marks(LAST_MARKS)] {
                    let plan = plan(week, marks, language);
                    assert_eq!(check(&plan), [], "week {week}");
                    assert_eq!(read(&write(&plan)).unwrap(), plan, "week {week}");
                    assert_eq!(check(&for_home(&plan)), [], "week {week} at home");
                }
            }
        }
    }
}
