//! Templates hold no text of their own: whatever a person reads there comes from the catalogue. What is left of a template
//! without its comments, expressions and tags, and what stands in attributes that are read, has no letters besides a few
//! names.

use std::fs;
use windrow_tests::wasm_sources::project;

/// Whose texts are not moved yet. It only shrinks.
const WAITING: &[&str] = &[];

/// What is the same in every language.
const NAMES: &[&str] = &["Windrow"];

/// Attributes that a person reads or hears.
const READ: &[&str] = &["aria-label", "alt", "title", "placeholder", "aria-description", "aria-valuetext"];

/// The template without askama's comments, tags and expressions; each leaves a gap that is no letter.
fn without_expressions(template: &str) -> String {
    let mut left = String::new();
    let mut rest = template;
    while let Some(at) = rest.find('{') {
        let (before, from) = rest.split_at(at);
        left.push_str(before);
        let end = match from.as_bytes().get(1) {
            Some(b'#') => "#}",
            Some(b'%') => "%}",
            Some(b'{') => "}}",
            _ => {
                left.push('{');
                rest = &from[1..];
                continue;
            }
        };
        left.push('\u{b7}');
        rest = from.find(end).map_or("", |found| &from[found + end.len()..]);
    }
    left.push_str(rest);
    left
}

/// What a person could read: text between tags, and values of attributes that are read.
fn readable(template: &str) -> Vec<String> {
    let plain = without_expressions(template);
    let mut found = Vec::new();
    for piece in plain.split('<') {
        let (tag, text) = piece.split_once('>').unwrap_or(("", piece));
        for name in READ {
            let begin = format!(" {name}=\"");
            let values = tag.split(&begin).skip(1).filter_map(|rest| rest.split('"').next());
            found.extend(values.map(str::to_owned));
        }
        // A key is called what is written on it.
        if tag == "kbd" {
            continue;
        }
        // Entities such as "&amp;" are signs.
        let mut entity = false;
        let text: String = text
            .chars()
            .filter(|&c| {
                entity = (entity || c == '&') && c != ';';
                !entity
            })
            .collect();
        found.push(text);
    }
    found
}

fn own_texts(template: &str) -> Vec<String> {
    let is_left = |text: &String| {
        let text = NAMES.iter().fold(text.clone(), |text, name| text.replace(name, ""));
        text.chars().any(char::is_alphabetic)
    };
    readable(template).into_iter().filter(is_left).map(|text| text.trim().to_owned()).collect()
}

#[test]
fn templates_hold_no_text_of_their_own() {
    let mut wrong = Vec::new();
    let mut done = Vec::new();
    for entry in fs::read_dir(project().join("web/templates")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let texts = own_texts(&fs::read_to_string(&path).unwrap());
        if WAITING.contains(&name.as_str()) {
            done.extend(texts.is_empty().then(|| name.clone()));
            continue;
        }
        wrong.extend(texts.iter().map(|text| format!("{name}: \u{201c}{text}\u{201d}")));
    }
    assert!(wrong.is_empty(), "texts outside of the catalogue:\n{}", wrong.join("\n"));
    assert!(done.is_empty(), "these wait for nothing any more: {done:?}");
}

#[test]
fn the_search_finds_texts_and_what_is_read_out() {
    for (template, expected) in [
        (
            "<p>{{ words.say(\"a\") }}</p>{# a comment #}{% if x > 3 %}<b>&nbsp;\u{b7} Windrow</b>{% endif %}",
            &[][..],
        ),
        ("<p>Sign in<kbd>F</kbd></p>", &["Sign in"]),
        ("<button aria-label=\"Save {{ name }}\"></button>", &["Save \u{b7}"]),
        ("<a href=\"/x\" class=\"quiet\">{{ y }}</a>, more", &[", more"]),
        ("<input placeholder=\"{{ words.say(\"hint\") }}\" name=\"part\">", &[]),
    ] {
        assert_eq!(own_texts(template), expected, "{template}");
    }
}
