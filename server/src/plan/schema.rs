//! The published JSON Schema of a plan's file, which says for other programs what `limits` and `check` say for this one. Pure.

/// JSON Schema, draft 2020-12.
pub(crate) const SCHEMA: &str = include_str!("../../plans/plan.schema.json");

#[cfg(test)]
mod tests {
    use super::super::limits::{Least, Limit, OF_EXERCISE, OF_PLAN};
    use super::super::play::Written;
    use super::super::*;
    use super::SCHEMA;
    use serde_json::{Value, json};
    use std::collections::BTreeSet;
    use windrow_protocol::units::Bpm;

    fn schema() -> Value {
        serde_json::from_str(SCHEMA).unwrap()
    }

    /// A part of the schema, with what it refers to looked up.
    fn followed<'a>(whole: &'a Value, part: &'a Value) -> &'a Value {
        part.get("$ref").map_or(part, |name| whole.pointer(&name.as_str().unwrap()[1..]).unwrap())
    }

    /// What the schema says of a path such as `play.music.notes[].beats`, and whether it has to be there.
    fn at<'a>(whole: &'a Value, from: &'a Value, path: &str) -> &'a Value {
        path.split('.').fold(from, |part, step| {
            let name = step.trim_end_matches("[]");
            let field = &followed(whole, part)["properties"][name];
            assert!(field.is_object(), "{path}: the schema has no {name}");
            followed(whole, if name == step { field } else { &field["items"] })
        })
    }

    fn agrees(whole: &Value, from: &Value, limit: &Limit) {
        let said = at(whole, from, limit.path);
        let number = |name: &str| said.get(name).and_then(Value::as_f64);
        let (lows, most) = match said["type"].as_str() {
            Some("string") => (["minLength", "none"], number("maxLength")),
            Some("array") => (["minItems", "none"], number("maxItems")),
            _ => (["minimum", "exclusiveMinimum"], number("maximum")),
        };
        assert_eq!(most, Some(limit.most), "{}", limit.path);
        let least = match limit.least {
            Least::From(least) => number(lows[0]).unwrap_or(0.0) == least && number(lows[1]).is_none(),
            Least::Above(least) => number(lows[1]) == Some(least) && number(lows[0]).is_none(),
        };
        assert!(least, "{}: {said}", limit.path);
    }

    #[test]
    fn every_limit_stands_in_the_schema() {
        let whole = schema();
        OF_PLAN.iter().for_each(|limit| agrees(&whole, &whole, limit));
        let exercise = &whole["$defs"]["exercise"];
        OF_EXERCISE.iter().for_each(|limit| agrees(&whole, exercise, limit));
        let tempo = &whole["$defs"]["tempo"];
        assert_eq!(
            (&tempo["minimum"], &tempo["maximum"]),
            (&json!(Bpm::LOW as u64), &json!(Bpm::HIGH as u64))
        );
    }

    /// Every number, list and text of the schema that has an end, as often as it is written down.
    fn ends(part: &Value) -> usize {
        let own = usize::from(["maximum", "maxItems", "maxLength"].iter().any(|end| part.get(end).is_some()));
        let inner = match part {
            Value::Object(fields) => fields.values().map(ends).sum(),
            Value::Array(list) => list.iter().map(ends).sum(),
            _ => 0,
        };
        own + inner
    }

    #[test]
    fn the_schema_has_no_limit_beside_those() {
        // The tempo's is its type's.
        assert_eq!(ends(&schema()), OF_PLAN.len() + OF_EXERCISE.len() + 1);
    }

    /// The names that decoding knows at a place, told by itself when it meets one that it does not.
    fn known<T: serde::de::DeserializeOwned + std::fmt::Debug>(unknown: Value) -> BTreeSet<String> {
        let told = serde_json::from_value::<T>(unknown).unwrap_err().to_string();
        told.split('`').skip(3).step_by(2).map(str::to_owned).collect()
    }

    #[test]
    fn the_schema_knows_the_fields_that_decoding_knows() {
        let whole = schema();
        let fields = |part: &Value| -> BTreeSet<String> {
            part["properties"].as_object().unwrap().keys().cloned().collect()
        };
        let defs = &whole["$defs"];
        let other = json!({ "?": 1 });
        assert_eq!(fields(&whole), known::<Plan>(other.clone()));
        assert_eq!(fields(&defs["exercise"]), known::<Exercise>(other.clone()));
        assert_eq!(fields(&defs["exercise"]["properties"]["bands"]), known::<Bands>(other.clone()));
        assert_eq!(fields(&defs["play"]), known::<Play>(other.clone()));
        assert_eq!(fields(&defs["straight"]), known::<Straight>(other.clone()));
        assert_eq!(fields(&defs["pulses"]), known::<Pulses>(other.clone()));
        assert_eq!(fields(&defs["ladder"]), known::<Ladder>(other.clone()));
        assert_eq!(fields(&defs["ease"]), known::<Ease>(other.clone()));
        assert_eq!(fields(&defs["hairpin"]), known::<Hairpin>(other.clone()));
        assert_eq!(fields(&defs["music"]), known::<Music>(other.clone()));
        assert_eq!(fields(&defs["written"]), known::<Written>(other.clone()));
        assert_eq!(fields(&defs["free"]), known::<Free>(other));
    }

    #[test]
    fn the_schema_knows_the_words_that_decoding_knows() {
        let whole = schema();
        let words = |part: &Value| -> BTreeSet<String> {
            part["enum"].as_array().unwrap().iter().map(|word| word.as_str().unwrap().to_owned()).collect()
        };
        let at = |path: &str| words(at(&whole, &whole["$defs"]["exercise"], path));
        let other = json!("?");
        let values = known::<PulseValue>(other.clone());
        assert_eq!(at("play.pulses.values[]"), values);
        assert_eq!(at("play.music.notes[].value"), values);
        assert_eq!(at("play.pulses.each"), known::<Each>(other.clone()));
        assert_eq!(at("play.music.passes[]"), known::<Pass>(other.clone()));
        assert_eq!(at("play.ladder.go_on"), known::<windrow_protocol::messages::GoOn>(other.clone()));
        assert_eq!(at("turns"), known::<windrow_protocol::messages::Turns>(other.clone()));
        assert_eq!(at("voicing"), known::<windrow_protocol::voicing::Voicing>(other.clone()));
        assert_eq!(at("tuning"), known::<windrow_protocol::voicing::Tuning>(other.clone()));
        assert_eq!(at("play.straight.dynamic"), known::<windrow_protocol::score::Dynamic>(other));
        // What a check refuses is left out.
        let without = |left_out: &[&str]| -> BTreeSet<String> {
            values.iter().filter(|word| !left_out.contains(&word.as_str())).cloned().collect()
        };
        assert_eq!(at("play.ladder.value"), without(&["straight", "free", "rest"]));
        assert_eq!(at("play.ease.value"), without(&["straight", "rest"]));
        assert_eq!(at("play.hairpin.values[]"), without(&["rest"]));
    }
}
