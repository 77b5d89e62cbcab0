//! Whether what a plan says makes sense, and what is only doubtful. Pure.

use super::complaint::Complaint;
use super::limits::{OF_EXERCISE, OF_PLAN, beyond};
use super::model::{Exercise, FORMAT, Plan, VERSION};
use super::place::{self, Place};
use super::play::{Ease, Hairpin, Ladder, Music, Play, PulseValue, Pulses};
use serde_json::Value;
use windrow_protocol::metronome::Step;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Target;
use windrow_protocol::units::Bpm;

/// Spans that an exercise may come to: far under a score's most, since turns multiply them.
const MAX_SPANS: usize = 400;

/// Everything that keeps a plan from being played; the same that reading it says.
pub(crate) fn check(plan: &Plan) -> Vec<Complaint> {
    let mut found = Vec::new();
    let about_plan = |(place, text): (Place, Phrase)| Complaint::of_plan(&place, text);
    found.extend(beyond(OF_PLAN, &value_of(plan)).into_iter().map(about_plan));
    if plan.format != FORMAT {
        let text = Phrase::of("plan-must-be-text").with("text", FORMAT);
        found.push(about_plan((Place::default().field("format"), text)));
    }
    if plan.version != VERSION {
        let text = Phrase::of("plan-must-be").with("number", VERSION);
        found.push(about_plan((Place::default().field("version"), text)));
    }
    found.extend(sense_of_plan(plan));
    for (i, exercise) in plan.exercises.iter().enumerate() {
        let value = value_of(exercise);
        let name = place::of_exercise(i, &value);
        let wrong = beyond(OF_EXERCISE, &value).into_iter().chain(sense_of_exercise(exercise));
        found.extend(wrong.map(|(place, text)| Complaint::of_exercise(i, &name, &place, text)));
    }
    found
}

fn value_of(part: &impl serde::Serialize) -> Value {
    serde_json::to_value(part).expect("plain data becomes JSON")
}

pub(super) fn sense_of_plan(plan: &Plan) -> Vec<Complaint> {
    let is_slug = plan.name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    let at_end = plan.name.starts_with('-') || plan.name.ends_with('-');
    if plan.name.is_empty() || (is_slug && !at_end) {
        return Vec::new();
    }
    let name: String = plan.name.chars().take(60).collect();
    let text = Phrase::of("plan-name-signs").with("name", name);
    vec![Complaint::of_plan(&Place::default().field("name"), text)]
}

/// What the fields of an exercise mean together.
pub(super) fn sense_of_exercise(exercise: &Exercise) -> Vec<(Place, Phrase)> {
    let mut wrong = Wrong::default();
    match &exercise.play {
        Play::Straight(_) | Play::Free(_) => {}
        Play::Pulses(pulses) => wrong.pulses(pulses),
        Play::Ladder(ladder) => wrong.ladder(ladder),
        Play::Ease(ease) => wrong.ease(ease),
        Play::Hairpin(hairpin) => wrong.hairpin(hairpin),
        Play::Music(music) => wrong.music(music),
    }
    wrong.0
}

/// Whether a value asks for a number of pulses.
fn is_measured(value: PulseValue) -> bool {
    matches!(value.target(), Target::Pulses { .. })
}

/// Complaints about one exercise.
#[derive(Debug, Default)]
struct Wrong(Vec<(Place, Phrase)>);

impl Wrong {
    fn at(&mut self, kind: &str, field: &str, text: Phrase) {
        let place = Place::default().field("play").field(kind);
        let place = if field.is_empty() { place } else { place.field(field) };
        self.0.push((place, text));
    }

    fn pulses(&mut self, pulses: &Pulses) {
        let Pulses { bpm_to, values, times, .. } = pulses;
        if values.iter().all(|&value| value == PulseValue::Rest) && !values.is_empty() {
            self.at("pulses", "values", Phrase::of("plan-silence-alone"));
        }
        if values.len() == 1 && bpm_to.is_some() && times.is_none() {
            self.at("pulses", "times", Phrase::of("plan-no-end"));
        }
        let n_spans = values.len() * usize::from(times.unwrap_or(1));
        if n_spans > MAX_SPANS {
            let text = Phrase::of("plan-too-many-values").with("n", n_spans).with("most", MAX_SPANS);
            self.at("pulses", "times", text);
        }
    }

    fn ladder(&mut self, ladder: &Ladder) {
        let Ladder { from_bpm, to_bpm, value, .. } = ladder;
        for (field, bpm) in [("from_bpm", from_bpm), ("to_bpm", to_bpm)] {
            if let Some(marks) = next_marks(*bpm) {
                let text = Phrase::of("plan-no-mark").with("marks", marks).with("is", bpm.get());
                self.at("ladder", field, text);
            }
        }
        if to_bpm <= from_bpm {
            let text = Phrase::of("plan-ladder-goes-up");
            let text = text.with("from", from_bpm.get()).with("to", to_bpm.get());
            self.at("ladder", "to_bpm", text);
        }
        if !is_measured(*value) {
            self.at("ladder", "value", Phrase::of("plan-ladder-counted").with("value", word(*value)));
        }
    }

    fn ease(&mut self, ease: &Ease) {
        if matches!(ease.value, PulseValue::Straight | PulseValue::Rest) {
            self.at("ease", "value", Phrase::of("plan-ease-pulses").with("value", word(ease.value)));
        }
        if [ease.growing, ease.full, ease.fading].iter().all(|length| length.get() <= 0.0) {
            self.at("ease", "", Phrase::of("plan-ease-empty"));
        }
    }

    fn hairpin(&mut self, hairpin: &Hairpin) {
        let Hairpin { values, from, to, .. } = hairpin;
        if from >= to {
            self.at("hairpin", "to", Phrase::of("plan-hairpin-grows"));
        }
        if values.contains(&PulseValue::Rest) {
            self.at("hairpin", "values", Phrase::of("plan-hairpin-rest"));
        }
        if values.len() > 1 && values.contains(&PulseValue::Free) {
            self.at("hairpin", "values", Phrase::of("plan-hairpin-free"));
        }
    }

    fn music(&mut self, music: &Music) {
        let notes = &music.notes;
        let mut wrong = |i: usize, field: &str, text: Phrase| {
            let place = Place::default().field("play").field("music").field("notes").nth(i).field(field);
            self.0.push((place, text));
        };
        let mut is_loudness_known = false;
        for (i, written) in notes.iter().enumerate() {
            is_loudness_known |= written.dynamic.is_some();
            if written.dynamic_to.is_some() && !is_loudness_known {
                wrong(i, "dynamic_to", Phrase::of("plan-no-dynamic"));
            }
            match (written.note, written.value) {
                (None, Some(value)) if value != PulseValue::Rest => {
                    wrong(i, "value", Phrase::of("plan-value-over-rest"));
                }
                (Some(_), Some(PulseValue::Rest)) => {
                    wrong(i, "value", Phrase::of("plan-rest-over-note"));
                }
                _ => {}
            }
            if !written.tied {
                continue;
            }
            match (written.note, notes.get(i + 1).map(|next| next.note)) {
                (None, _) => wrong(i, "tied", Phrase::of("plan-tie-of-rest")),
                (Some(_), None) => wrong(i, "tied", Phrase::of("plan-tie-at-end")),
                (Some(_), Some(None)) => wrong(i, "tied", Phrase::of("plan-tie-to-rest")),
                (Some(note), Some(Some(next))) if note != next => {
                    let text = Phrase::of("plan-tie-to-other");
                    wrong(i, "tied", text.with("from", note.spelled()).with("to", next.spelled()));
                }
                _ => {}
            }
        }
        if notes.iter().all(|written| written.note.is_none()) && !notes.is_empty() {
            self.at("music", "notes", Phrase::of("plan-rests-alone"));
        }
    }
}

/// The marks beside a tempo that is none; none where it is one.
fn next_marks(bpm: Bpm) -> Option<Phrase> {
    let (slower, faster) = (Step::Slower.from(bpm), Step::Faster.from(bpm));
    let between =
        slower.and_then(|mark| Step::Faster.from(mark)).or(faster.and_then(|m| Step::Slower.from(m)));
    if between == Some(bpm) {
        return None;
    }
    match (slower, faster) {
        (Some(slower), Some(faster)) => {
            Some(Phrase::of("plan-either").with("one", slower.get()).with("other", faster.get()))
        }
        (one, other) => one.or(other).map(|mark| mark.mark().into()),
    }
}

/// A value as it stands in a file.
pub(super) fn word(value: PulseValue) -> String {
    value_of(&value).as_str().unwrap_or_default().to_owned()
}
