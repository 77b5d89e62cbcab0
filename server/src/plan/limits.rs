//! How large numbers, how long lists and texts of a plan may be, and what lies beyond. Works on a plan as it stands in a file,
//! before it is known whether the rest can be read. The published schema says the same, held against it by a test.

use super::place::Place;
use serde_json::Value;
use windrow_protocol::phrase::Phrase;

/// Most complaints that are gathered of a plan: nobody reads more, and a file of a megabyte can earn some hundred thousand.
pub(super) const MAX_COMPLAINTS: usize = 200;

/// What may stand at a path of a plan or of an exercise; `[]` goes through a list. All limits are this project's own choice,
/// wide enough for every exercise of the method.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limit {
    pub(super) path: &'static str,
    pub(super) least: Least,
    pub(super) most: f64,
}

/// The lower end.
#[derive(Debug, Clone, Copy)]
pub(super) enum Least {
    From(f64),
    Above(f64),
}

const fn from(path: &'static str, least: f64, most: f64) -> Limit {
    Limit { path, least: Least::From(least), most }
}

const fn above(path: &'static str, least: f64, most: f64) -> Limit {
    Limit { path, least: Least::Above(least), most }
}

/// For numbers the value, for lists the length, for texts the number of letters.
pub(super) const OF_PLAN: &[Limit] = &[
    from("name", 1.0, 60.0),
    from("title", 1.0, 100.0),
    from("about", 0.0, 2000.0),
    from("takes", 0.0, 200.0),
    from("beats_per_bar", 1.0, 12.0),
    from("exercises", 1.0, 200.0),
];

/// The same, from an exercise on.
pub(super) const OF_EXERCISE: &[Limit] = &[
    from("title", 1.0, 80.0),
    from("part", 1.0, 80.0),
    from("say", 0.0, 400.0),
    from("goal", 0.0, 400.0),
    from("cautions", 0.0, 10.0),
    from("cautions[]", 1.0, 400.0),
    from("rest_s", 0.0, 600.0),
    from("bands.rate_percent", 0.5, 50.0),
    from("bands.timing_ms", 5.0, 500.0),
    from("bands.centre_cents", 1.0, 100.0),
    from("bands.depth_db", 0.0, 30.0),
    from("bands.swing_cents", 5.0, 400.0),
    from("play.straight.bars", 1.0, 64.0),
    from("play.free.bars", 1.0, 64.0),
    from("play.pulses.values", 1.0, 32.0),
    from("play.pulses.times", 1.0, 64.0),
    from("play.ladder.bars_per_rung", 1.0, 32.0),
    from("play.ladder.rest_bars", 0.0, 8.0),
    above("play.ladder.matched", 0.0, 1.0),
    from("play.ease.straight", 0.0, 64.0),
    from("play.ease.growing", 0.0, 64.0),
    from("play.ease.full", 0.0, 64.0),
    from("play.ease.fading", 0.0, 64.0),
    from("play.ease.straight_after", 0.0, 64.0),
    from("play.ease.times", 1.0, 16.0),
    from("play.ease.rest", 0.0, 32.0),
    from("play.hairpin.values", 1.0, 8.0),
    above("play.hairpin.growing", 0.0, 64.0),
    above("play.hairpin.fading", 0.0, 64.0),
    from("play.hairpin.times", 1.0, 16.0),
    from("play.hairpin.rest", 0.0, 32.0),
    from("play.music.notes", 1.0, 200.0),
    above("play.music.notes[].beats", 0.0, 64.0),
    from("play.music.passes", 1.0, 8.0),
    from("play.music.rest", 0.0, 32.0),
];

impl Limit {
    fn holds(&self, value: f64) -> bool {
        let is_enough = match self.least {
            Least::From(least) => value >= least,
            Least::Above(least) => value > least,
        };
        is_enough && value <= self.most
    }

    /// What is wrong with a value, if it is of a kind that can be too small or too large.
    fn complaint(&self, value: &Value) -> Option<Phrase> {
        let (size, ids) = match value {
            Value::Number(number) => (number.as_f64()?, None),
            Value::String(text) => {
                (text.trim().chars().count() as f64, Some(["plan-empty-text", "plan-long-text"]))
            }
            Value::Array(list) => (list.len() as f64, Some(["plan-empty-list", "plan-long-list"])),
            _ => return None,
        };
        if self.holds(size) {
            return None;
        }
        let said = match (ids, self.least) {
            (Some([empty, _]), _) if size < 1.0 => return Some(Phrase::of(empty)),
            (Some([_, long]), _) => Phrase::of(long),
            (None, Least::From(least)) => Phrase::of("plan-in-range").with("least", least),
            (None, Least::Above(least)) => Phrase::of("plan-above").with("least", least),
        };
        Some(said.with("most", self.most).with("is", size))
    }
}

/// Everything in `value` that is too small or too large, with its place.
pub(super) fn beyond(limits: &[Limit], value: &Value) -> Vec<(Place, Phrase)> {
    let mut found = Vec::new();
    for limit in limits {
        let path: Vec<&str> = limit.path.split('.').collect();
        look(limit, &path, value, Place::default(), &mut found);
    }
    found
}

/// The fields that are lists.
const LISTS: [&str; 5] = ["exercises", "cautions", "values", "notes", "passes"];

/// What a decoder would take, though no plan is written so: null where a field is absent, and a list of an object's values.
pub(super) fn unwritten(value: &Value) -> Vec<(Place, Phrase)> {
    let mut found = Vec::new();
    look_for_unwritten(value, false, Place::default(), &mut found);
    found
}

fn look_for_unwritten(value: &Value, may_be_list: bool, place: Place, found: &mut Vec<(Place, Phrase)>) {
    if found.len() >= MAX_COMPLAINTS {
        return;
    }
    match value {
        Value::Null => found.push((place, Phrase::of("plan-null"))),
        Value::Array(_) if !may_be_list => found.push((place, Phrase::of("plan-no-list"))),
        Value::Array(list) => {
            for (i, one) in list.iter().enumerate() {
                look_for_unwritten(one, false, place.clone().nth(i), found);
            }
        }
        Value::Object(fields) => {
            for (name, one) in fields {
                look_for_unwritten(one, LISTS.contains(&name.as_str()), place.clone().field(name), found);
            }
        }
        _ => {}
    }
}

fn look(limit: &Limit, path: &[&str], value: &Value, place: Place, found: &mut Vec<(Place, Phrase)>) {
    if found.len() >= MAX_COMPLAINTS {
        return;
    }
    let Some((&first, rest)) = path.split_first() else {
        found.extend(limit.complaint(value).map(|text| (place, text)));
        return;
    };
    let name = first.trim_end_matches("[]");
    let Some(inner) = value.get(name) else { return };
    let place = place.field(name);
    if name == first {
        look(limit, rest, inner, place, found);
        return;
    }
    for (i, one) in inner.as_array().into_iter().flatten().enumerate() {
        look(limit, rest, one, place.clone().nth(i), found);
    }
}
