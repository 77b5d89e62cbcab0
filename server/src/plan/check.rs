//! Whether what a plan says makes sense, and what is only doubtful. Pure.

use super::limits::{OF_EXERCISE, OF_PLAN, beyond};
use super::model::{Exercise, FORMAT, Plan, VERSION};
use super::place::{self, Place};
use super::play::{Ease, Hairpin, Ladder, Music, Play, PulseValue, Pulses};
use serde_json::Value;
use windrow_protocol::metronome::Step;
use windrow_protocol::score::Target;
use windrow_protocol::units::Bpm;

/// Spans that an exercise may come to: far under a score's most, since turns multiply them.
const MAX_SPANS: usize = 400;

/// One thing that is wrong with a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Complaint {
    /// Index of the exercise; none where it is about the plan as a whole.
    pub(crate) exercise: Option<usize>,
    /// The field, from the plan or the exercise on, such as `play.ladder.from_bpm`; may be empty.
    pub(crate) field: String,
    /// What is wrong and what may stand there.
    pub(crate) text: String,
    /// Number and title of the exercise; empty for the plan.
    name: String,
}

impl Complaint {
    pub(super) fn of_plan(place: &Place, text: String) -> Self {
        Self { exercise: None, field: place.to_string(), text, name: String::new() }
    }

    pub(super) fn of_exercise(index: usize, name: &str, place: &Place, text: String) -> Self {
        Self { exercise: Some(index), field: place.to_string(), text, name: name.to_owned() }
    }
}

impl std::fmt::Display for Complaint {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let parts = [&self.name, &self.field];
        let place = parts.into_iter().filter(|part| !part.is_empty()).cloned().collect::<Vec<_>>().join(", ");
        if place.is_empty() { f.write_str(&self.text) } else { write!(f, "{place}: {}", self.text) }
    }
}

/// Everything that keeps a plan from being played; the same that reading it says.
pub(crate) fn check(plan: &Plan) -> Vec<Complaint> {
    let mut found = Vec::new();
    let about_plan = |(place, text): (Place, String)| Complaint::of_plan(&place, text);
    found.extend(beyond(OF_PLAN, &value_of(plan)).into_iter().map(about_plan));
    if plan.format != FORMAT {
        found.push(about_plan((Place::default().field("format"), format!("must be \"{FORMAT}\""))));
    }
    if plan.version != VERSION {
        found.push(about_plan((Place::default().field("version"), format!("must be {VERSION}"))));
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
    let text = format!(
        "must be small letters, digits and hyphens, such as \"first-lesson\", but is \"{}\"",
        plan.name.chars().take(60).collect::<String>()
    );
    vec![Complaint::of_plan(&Place::default().field("name"), text)]
}

/// What the fields of an exercise mean together.
pub(super) fn sense_of_exercise(exercise: &Exercise) -> Vec<(Place, String)> {
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
struct Wrong(Vec<(Place, String)>);

impl Wrong {
    fn at(&mut self, kind: &str, field: &str, text: impl Into<String>) {
        let place = Place::default().field("play").field(kind);
        let place = if field.is_empty() { place } else { place.field(field) };
        self.0.push((place, text.into()));
    }

    fn pulses(&mut self, pulses: &Pulses) {
        let Pulses { bpm_to, values, times, .. } = pulses;
        if values.iter().all(|&value| value == PulseValue::Rest) && !values.is_empty() {
            self.at("pulses", "values", "is silence alone: at least one value has to sound");
        }
        if values.len() == 1 && bpm_to.is_some() && times.is_none() {
            self.at("pulses", "times", "is missing: a tempo that changes on the way needs an end");
        }
        let n_spans = values.len() * usize::from(times.unwrap_or(1));
        if n_spans > MAX_SPANS {
            let text =
                format!("makes {n_spans} bars or beats with values of their own: use at most {MAX_SPANS}");
            self.at("pulses", "times", text);
        }
    }

    fn ladder(&mut self, ladder: &Ladder) {
        let Ladder { from_bpm, to_bpm, value, .. } = ladder;
        for (field, bpm) in [("from_bpm", from_bpm), ("to_bpm", to_bpm)] {
            if let Some(marks) = next_marks(*bpm) {
                let text = format!("must be a mark of the metronome, such as {marks}, but is {}", bpm.get());
                self.at("ladder", field, text);
            }
        }
        if to_bpm <= from_bpm {
            let text = format!(
                "must be faster than from_bpm ({}), since a ladder goes up, but is {}",
                from_bpm.get(),
                to_bpm.get()
            );
            self.at("ladder", "to_bpm", text);
        }
        if !is_measured(*value) {
            let text = format!(
                "must be counted pulses, such as \"triplets\": there is no ladder of \"{}\"",
                word(*value)
            );
            self.at("ladder", "value", text);
        }
    }

    fn ease(&mut self, ease: &Ease) {
        if matches!(ease.value, PulseValue::Straight | PulseValue::Rest) {
            let text = format!(
                "must be pulses or \"free\", since vibrato grows here: \"{}\" has none",
                word(ease.value)
            );
            self.at("ease", "value", text);
        }
        if [ease.growing, ease.full, ease.fading].iter().all(|length| length.get() <= 0.0) {
            self.at("ease", "", "growing, full and fading are all 0: at least one needs a length");
        }
    }

    fn hairpin(&mut self, hairpin: &Hairpin) {
        let Hairpin { values, from, to, .. } = hairpin;
        if from >= to {
            self.at("hairpin", "to", "must be louder than from, since a hairpin grows first");
        }
        if values.contains(&PulseValue::Rest) {
            self.at("hairpin", "values", "holds \"rest\": the tone goes on through a hairpin");
        }
        if values.len() > 1 && values.contains(&PulseValue::Free) {
            self.at("hairpin", "values", "is either \"free\" alone or without it");
        }
    }

    fn music(&mut self, music: &Music) {
        let notes = &music.notes;
        let mut wrong = |i: usize, field: &str, text: &str| {
            let place = Place::default().field("play").field("music").field("notes").nth(i).field(field);
            self.0.push((place, text.to_owned()));
        };
        let mut is_loudness_known = false;
        for (i, written) in notes.iter().enumerate() {
            is_loudness_known |= written.dynamic.is_some();
            if written.dynamic_to.is_some() && !is_loudness_known {
                wrong(i, "dynamic_to", "needs a \"dynamic\" on this note or before it to begin with");
            }
            match (written.note, written.value) {
                (None, Some(value)) if value != PulseValue::Rest => {
                    wrong(i, "value", "stands over a rest: give it a note, or take the value away");
                }
                (Some(_), Some(PulseValue::Rest)) => {
                    wrong(i, "value", "is \"rest\" over a note: for a rest leave \"note\" out");
                }
                _ => {}
            }
            if !written.tied {
                continue;
            }
            match (written.note, notes.get(i + 1).map(|next| next.note)) {
                (None, _) => wrong(i, "tied", "ties a rest: only notes can be tied"),
                (Some(_), None) => wrong(i, "tied", "ties the last note, after which there is none"),
                (Some(_), Some(None)) => {
                    wrong(i, "tied", "goes over to a rest: a tie leads to the same note")
                }
                (Some(note), Some(Some(next))) if note != next => {
                    let text = format!(
                        "leads from {} to {}: a tie holds the same note, so take it away",
                        note.spelled(),
                        next.spelled()
                    );
                    wrong(i, "tied", &text);
                }
                _ => {}
            }
        }
        if notes.iter().all(|written| written.note.is_none()) && !notes.is_empty() {
            self.at("music", "notes", "are rests alone: at least one has to sound");
        }
    }
}

/// The marks beside a tempo that is none; none where it is one.
fn next_marks(bpm: Bpm) -> Option<String> {
    let (slower, faster) = (Step::Slower.from(bpm), Step::Faster.from(bpm));
    let between =
        slower.and_then(|mark| Step::Faster.from(mark)).or(faster.and_then(|m| Step::Slower.from(m)));
    if between == Some(bpm) {
        return None;
    }
    let marks: Vec<String> = [slower, faster].iter().flatten().map(|mark| mark.get().to_string()).collect();
    Some(marks.join(" or "))
}

/// A value as it stands in a file.
pub(super) fn word(value: PulseValue) -> String {
    value_of(&value).as_str().unwrap_or_default().to_owned()
}
