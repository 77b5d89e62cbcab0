//! What a decoder says about a file, in a teacher's words. Pure; knows nothing of plans but how their files look.

use super::place::Place;

/// How alike two names must be to be taken for one another (Jaro and Winkler's measure, 0 to 1; our own choice).
const ALIKE: f64 = 0.8;

/// What stands for "what an exercise plays" in a message.
const ONE_KIND: &str =
    "an object with one name in it, that of what is played, such as {\"straight\": {\"bpm\": 60}}";

/// A text between the next two signs of a kind.
fn between(text: &str, sign: char) -> Option<&str> {
    text.split(sign).nth(1)
}

/// Names in back quotes, in order.
fn quoted(text: &str) -> Vec<&str> {
    text.split('`').skip(1).step_by(2).collect()
}

/// Puts what is wrong into words, and corrects the place where the decoder names the field in its message.
pub(super) fn of_decoding(place: Place, message: &str) -> (Place, String) {
    let names = quoted(message);
    if let (Some(rest), Some(name)) = (message.strip_prefix("missing field"), names.first()) {
        debug_assert!(!rest.is_empty());
        return (place, format!("\"{name}\" is missing"));
    }
    if message.starts_with("unknown field") && !names.is_empty() {
        return (place.without(names[0]), unknown(names[0], &names[1..], "there is no"));
    }
    if message.starts_with("unknown variant") && !names.is_empty() {
        return (place.without(names[0]), unknown(names[0], &names[1..], "there is no"));
    }
    let kinds = ["invalid type: ", "invalid value: "].iter().find_map(|start| message.strip_prefix(start));
    let Some((found, wanted)) = kinds.and_then(|kinds| kinds.rsplit_once(", expected ")) else {
        return (place, message.to_owned());
    };
    let wanted = wanted_words(wanted, &place);
    (place, format!("must be {wanted}, but is {}", found_words(found)))
}

fn unknown(name: &str, known: &[&str], start: &str) -> String {
    let likeness = |known: &&&str| (strsim::jaro_winkler(name, known) * 1000.0) as u32;
    let alike = known.iter().max_by_key(likeness).filter(|k| strsim::jaro_winkler(name, k) > ALIKE);
    let meant = alike.map(|alike| format!("; did you mean \"{alike}\"?")).unwrap_or_default();
    let all = known.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ");
    let end = if meant.is_empty() { "." } else { "" };
    format!("{start} \"{name}\" here{meant}{end} There may be: {all}")
}

fn wanted_words(wanted: &str, place: &Place) -> String {
    let words = match wanted {
        "f64" => "a number",
        "u8" | "u16" | "u32" => "a whole number, 0 or more",
        "a boolean" => "true or false",
        "a sequence" => "a list in square brackets",
        "string or map" | "map with a single key" | "newtype variant" if place.ends_with("play") => ONE_KIND,
        _ if wanted.contains("variant") => ONE_KIND,
        "a string" | "string or map" | "map with a single key" => "a text in double quotes",
        _ if wanted.starts_with("struct ") => "an object in curly brackets",
        other => other,
    };
    words.to_owned()
}

fn found_words(found: &str) -> String {
    if found.starts_with("string ") {
        return format!("the text \"{}\"", between(found, '"').unwrap_or_default());
    }
    match quoted(found).first() {
        Some(value) => (*value).to_owned(),
        None => match found {
            "map" => "an object".to_owned(),
            "sequence" => "a list".to_owned(),
            "unit variant" => "only its name".to_owned(),
            other => other.to_owned(),
        },
    }
}

/// What is wrong with the signs of a file, so that no plan can be made of it: by line, with what stands there.
pub(super) fn of_syntax(text: &str, error: &serde_json::Error) -> String {
    let said = error.to_string();
    let said = said.split(" at line ").next().unwrap_or_default();
    let words = match said {
        _ if error.is_eof() => {
            "the file ends too early: a bracket or a quotation mark is not closed".to_owned()
        }
        "expected `,` or `}`" | "expected `,` or `]`" => {
            format!("a comma or the closing \"{}\" is missing", said.split('`').nth(3).unwrap_or("}"))
        }
        "expected `:`" => "a colon is missing after a name".to_owned(),
        "trailing comma" => "there is a comma before a closing bracket: take it away".to_owned(),
        "key must be a string" => "a name in double quotes has to stand here".to_owned(),
        "expected value" | "expected ident" => {
            "here has to stand a number, a text in double quotes, true, false or a bracket".to_owned()
        }
        "trailing characters" => "the plan is at its end, but something follows".to_owned(),
        said if said.starts_with("control character") => {
            "a text goes over the end of its line: is its closing quotation mark missing?".to_owned()
        }
        said => match quoted(said).first() {
            Some(name) if said.starts_with("duplicate field") => {
                format!("\"{name}\" stands here twice: take one of them away")
            }
            _ => said.to_owned(),
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
    let stands = if line.is_empty() { String::new() } else { format!(" (the line is: {line})") };
    format!("line {}, column {}: {words}{stands}", error.line(), error.column())
}
