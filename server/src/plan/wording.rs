//! What a decoder says about a file, in a teacher's words. Pure; knows nothing of plans but how their files look.

use super::place::Place;
use windrow_protocol::phrase::Phrase;

/// How alike two names must be to be taken for one another (Jaro and Winkler's measure, 0 to 1; our own choice).
const ALIKE: f64 = 0.8;

/// An exercise's play, as an example of what may stand there.
const ONE_KIND: &str = "{\"straight\": {\"bpm\": 60}}";

/// A text between the next two signs of a kind.
fn between(text: &str, sign: char) -> Option<&str> {
    text.split(sign).nth(1)
}

/// Names in back quotes, in order.
fn quoted(text: &str) -> Vec<&str> {
    text.split('`').skip(1).step_by(2).collect()
}

/// Puts what is wrong into words, and corrects the place where the decoder names the field in its message.
pub(crate) fn of_decoding(place: Place, message: &str) -> (Place, Phrase) {
    let names = quoted(message);
    if let (true, Some(name)) = (message.starts_with("missing field"), names.first()) {
        return (place, Phrase::of("plan-missing").with("name", *name));
    }
    let is_unknown = ["unknown field", "unknown variant"].iter().any(|start| message.starts_with(start));
    if is_unknown && !names.is_empty() {
        return (place.without(names[0]), unknown(names[0], &names[1..]));
    }
    let kinds = ["invalid type: ", "invalid value: "].iter().find_map(|start| message.strip_prefix(start));
    let Some((found, wanted)) = kinds.and_then(|kinds| kinds.rsplit_once(", expected ")) else {
        return (place, of_value(message));
    };
    let wanted = wanted_words(wanted, &place);
    (place, Phrase::of("plan-of-kind").with("wanted", wanted).with("found", found_words(found)))
}

/// What the protocol says of a number out of range or of a note that is none.
pub(super) fn of_value(message: &str) -> Phrase {
    if let Some((text, _)) = message.strip_prefix('"').and_then(|rest| rest.split_once("\" is not a note")) {
        return Phrase::of("plan-not-a-note").with("text", text);
    }
    let range = || {
        let (what, rest) = message.split_once(" must be from ")?;
        let (least, rest) = rest.split_once(" to ")?;
        let (most, is) = rest.split_once(", but is ")?;
        let what = match what {
            "tempo (bpm)" => Phrase::of("plan-tempo"),
            "length (beats)" => Phrase::of("plan-length"),
            "share" => Phrase::of("plan-share"),
            _ => return None,
        };
        let number = |text: &str| text.parse::<f64>().ok();
        let phrase = Phrase::of("plan-what-in-range").with("what", what);
        Some(phrase.with("least", number(least)?).with("most", number(most)?).with("is", number(is)?))
    };
    range().unwrap_or_else(|| message.into())
}

fn unknown(name: &str, known: &[&str]) -> Phrase {
    let likeness = |known: &&&str| (strsim::jaro_winkler(name, known) * 1000.0) as u32;
    let alike = known.iter().max_by_key(likeness).filter(|k| strsim::jaro_winkler(name, k) > ALIKE);
    let all = known.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ");
    let unknown = match alike {
        Some(alike) => Phrase::of("plan-unknown-alike").with("alike", *alike),
        None => Phrase::of("plan-unknown"),
    };
    unknown.with("name", name).with("known", all)
}

fn wanted_words(wanted: &str, place: &Place) -> Phrase {
    let one_kind = || Phrase::of("plan-one-kind").with("example", ONE_KIND);
    match wanted {
        "f64" => Phrase::of("plan-a-number"),
        "u8" | "u16" | "u32" => Phrase::of("plan-a-whole-number"),
        "a boolean" => Phrase::of("plan-true-or-false"),
        "a sequence" => Phrase::of("plan-a-list"),
        "string or map" | "map with a single key" | "newtype variant" if place.ends_with("play") => {
            one_kind()
        }
        _ if wanted.contains("variant") => one_kind(),
        "a string" | "string or map" | "map with a single key" => Phrase::of("plan-a-text"),
        _ if wanted.starts_with("struct ") => Phrase::of("plan-an-object"),
        other => other.into(),
    }
}

fn found_words(found: &str) -> Phrase {
    if found.starts_with("string ") {
        return Phrase::of("plan-the-text").with("text", between(found, '"').unwrap_or_default());
    }
    match quoted(found).first() {
        Some(value) => (*value).into(),
        None => match found {
            "map" => Phrase::of("plan-found-object"),
            "sequence" => Phrase::of("plan-found-list"),
            "unit variant" => Phrase::of("plan-found-name"),
            other => other.into(),
        },
    }
}

/// What is wrong with the signs of a file, so that no plan can be made of it: by line, with what stands there.
pub(super) fn of_syntax(text: &str, error: &serde_json::Error) -> Phrase {
    let said = error.to_string();
    let said = said.split(" at line ").next().unwrap_or_default();
    let what = match said {
        _ if error.is_eof() => Phrase::of("plan-ends-early"),
        "expected `,` or `}`" | "expected `,` or `]`" => {
            Phrase::of("plan-no-comma").with("sign", said.split('`').nth(3).unwrap_or("}"))
        }
        "expected `:`" => Phrase::of("plan-no-colon"),
        "trailing comma" => Phrase::of("plan-comma-too-many"),
        "key must be a string" => Phrase::of("plan-no-name"),
        "expected value" | "expected ident" => Phrase::of("plan-no-value"),
        "trailing characters" => Phrase::of("plan-goes-on"),
        said if said.starts_with("control character") => Phrase::of("plan-over-the-line"),
        said => match quoted(said).first() {
            Some(name) if said.starts_with("duplicate field") => Phrase::of("plan-twice").with("name", *name),
            _ => said.into(),
        },
    };
    let line: String = text
        .lines()
        .nth(error.line().saturating_sub(1))
        .unwrap_or_default()
        .trim()
        .chars()
        .take(60)
        .collect();
    let at = Phrase::of(if line.is_empty() { "plan-at-sign" } else { "plan-at-sign-in" });
    at.with("line", error.line()).with("column", error.column()).with("what", what).with("text", line)
}
