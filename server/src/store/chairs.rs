//! What rows of a whole rehearsal say of one chair, and how it goes from there when its player is erased: who was out in a run, and
//! what a room check found. Pure.

use serde_json::Value;
use std::collections::BTreeSet;
use windrow_protocol::messages::{RoomCheck, SectionResult};
use windrow_protocol::phrase::{Arg, Phrase};

/// A section's result without some chairs; `None` where nothing changes. What cannot be read says nothing of anybody.
pub(super) fn section_without(text: &str, chairs: &BTreeSet<u16>) -> Option<String> {
    let mut section: SectionResult = serde_json::from_str(text).unwrap_or_default();
    section.out.retain(|chair| !chairs.contains(chair));
    let without = serde_json::to_string(&section).expect("a result holds only what JSON can");
    // As it would be written with all of them, whatever order its fields had.
    let as_before = serde_json::from_str::<Value>(text).ok() == serde_json::from_str(&without).ok();
    (!as_before).then_some(without)
}

/// A room check without the chairs of everybody but these names; `None` where nobody of them is in it any more, or where it cannot
/// be read.
pub(super) fn check_with_only(text: &str, names: &BTreeSet<String>) -> Option<String> {
    let mut check: RoomCheck = serde_json::from_str(text).ok()?;
    let (stay, go): (Vec<_>, Vec<_>) =
        check.chairs.into_iter().partition(|chair| names.contains(chair.name.as_str()));
    let gone: BTreeSet<u16> = go.iter().map(|chair| chair.chair).collect();
    let gone_names: BTreeSet<&str> = go.iter().map(|chair| chair.name.as_str()).collect();
    check.chairs = stay;
    for chair in &mut check.chairs {
        chair.leaks.retain(|leak| !gone.contains(&leak.chair));
        chair.loudest = chair.loudest.filter(|loudest| !gone.contains(loudest));
    }
    check.too_close.retain(|pair| !pair.iter().any(|chair| gone.contains(chair)));
    check.advice.retain(|advice| !says(advice, &gone, &gone_names));
    let text = serde_json::to_string(&check).expect("a check holds only what JSON can");
    (!check.chairs.is_empty()).then_some(text)
}

/// Whether a phrase has one of these chairs or names in it.
fn says(phrase: &Phrase, chairs: &BTreeSet<u16>, names: &BTreeSet<&str>) -> bool {
    match phrase {
        Phrase::Plain(text) => names.iter().any(|name| text.contains(name)),
        Phrase::Said { args, .. } => args.values().any(|arg| match arg {
            Arg::Number(number) => chairs.iter().any(|&chair| f64::from(chair) == *number),
            Arg::Phrase(phrase) => says(phrase, chairs, names),
            Arg::Several(phrases) => phrases.iter().any(|phrase| says(phrase, chairs, names)),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_chair_goes_from_a_sections_result_and_the_figures_stay() {
        let text = r#"{"n_judged":2,"n_matched":1,"matched":0.5,"out":[2,7]}"#;
        let without = section_without(text, &BTreeSet::from([2])).unwrap();
        let parsed: Value = serde_json::from_str(&without).unwrap();
        assert_eq!(parsed, json!({"n_judged": 2, "n_matched": 1, "matched": 0.5, "out": [7]}));
        assert_eq!(section_without(text, &BTreeSet::from([1])), None, "who was not out is not in it");
    }

    #[test]
    fn a_chair_goes_from_a_room_check_with_all_that_others_heard_of_it() {
        let close = |a: u16, b: u16| {
            let pair = json!({"id": "advice-pair", "args": {"a": a, "b": b}});
            json!({"id": "advice-apart", "args": {"pairs": [pair]}})
        };
        let chair = |chair: u16, name: &str, heard: u16| {
            json!({"chair": chair, "name": name, "part": "flute", "finding": "too-close", "loudest": heard,
                   "leaks": [{"chair": heard, "level_db": -30.0}]})
        };
        let check = json!({"version": 3, "chairs": [chair(1, "Wren", 2), chair(2, "Tobias", 1), chair(3, "Moss", 1)],
            "too_close": [[1, 2], [2, 3]],
            "advice": [close(1, 2), close(2, 3), {"id": "advice-noisy", "args": {"chair": 1, "name": "Wren"}},
                       {"id": "advice-noisy", "args": {"chair": 3, "name": "Moss"}}]});
        let names = BTreeSet::from(["Tobias".to_owned(), "Moss".to_owned()]);
        let left: Value =
            serde_json::from_str(&check_with_only(&check.to_string(), &names).unwrap()).unwrap();
        let deaf = |chair: u16, name: &str| json!({"chair": chair, "name": name, "part": "flute", "finding": "too-close", "leaks": []});
        assert_eq!(left["chairs"], json!([deaf(2, "Tobias"), deaf(3, "Moss")]));
        assert_eq!(left["too_close"], json!([[2, 3]]));
        let advice = left["advice"].as_array().unwrap();
        assert_eq!(advice.len(), 2, "{advice:?}");
        assert!(!left.to_string().contains("Wren"));
        let nobody = BTreeSet::from(["Hadley".to_owned()]);
        assert_eq!(check_with_only(&check.to_string(), &nobody), None);
        assert_eq!(check_with_only("no check", &names), None);
    }
}
