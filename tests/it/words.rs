//! The catalogue of texts, as files: every language has the same texts with the same gaps, whatever a page or the server
//! asks for is there, and nothing lies there that nobody says. Fluent's own parser reads the files.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use windrow::words::Language;
use windrow_tests::wasm_sources::project;

/// Every text of a language: by its id the file and the names of its gaps.
type Texts = BTreeMap<String, (String, BTreeSet<String>)>;

fn read(language: Language) -> (Texts, Vec<String>) {
    let folder = project().join("web/words").join(language.slug());
    let mut texts = Texts::new();
    let mut wrong = Vec::new();
    let mut files: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    for path in files {
        let file = path.file_name().unwrap().to_string_lossy().into_owned();
        let name = format!("{}/{file}", language.slug());
        let text = fs::read_to_string(&path).unwrap().replace("\r\n", "\n");
        if let Err((_, errors)) = fluent_syntax::parser::parse(text.as_str()) {
            wrong.extend(errors.iter().map(|error| format!("{name}: {error:?}")));
        }
        if text.to_lowercase().contains("</script") || text.contains("<!--") {
            wrong.push(format!("{name} would end the page's data block"));
        }
        let mut id = String::new();
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            if line.starts_with(|c: char| c.is_ascii_lowercase()) {
                id = line.split_once(" =").map_or(line, |(id, _)| id).to_owned();
                if texts.insert(id.clone(), (file.clone(), BTreeSet::new())).is_some() {
                    wrong.push(format!("{name}: {id} stands twice"));
                }
            }
            if let Some((_, gaps)) = texts.get_mut(&id) {
                let names = line.split('$').skip(1).map(|rest| {
                    rest.chars().take_while(|c| c.is_ascii_alphanumeric() || "_-".contains(*c)).collect()
                });
                gaps.extend(names);
            }
        }
    }
    (texts, wrong)
}

/// What the code says of texts.
#[derive(Debug, Default)]
struct Said {
    /// Ids given to a function that says a text, with the file.
    asked: BTreeMap<String, String>,
    /// Every text in quotes that could be an id.
    quoted: BTreeSet<String>,
    /// Beginnings of ids that are put together.
    begun: BTreeMap<String, String>,
}

fn look(folder: &Path, said: &mut Said) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let kind = path.extension().unwrap_or_default().to_string_lossy().into_owned();
        if path.is_dir() {
            if !path.ends_with("fluent") && !path.ends_with("words") {
                look(&path, said);
            }
        } else if ["rs", "js", "html"].contains(&kind.as_str()) {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            note(&fs::read_to_string(&path).unwrap(), &name, said);
        }
    }
}

fn is_id(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}

fn note(text: &str, name: &str, said: &mut Said) {
    // What is asked for by its name: `word("id"`, `.say("id"`, `words.of("id"`, `Phrase::of("id"`.
    for call in ["word(\"", ".say(\"", "words.of(\"", "words().of(\"", "Phrase::of(\""] {
        for rest in text.split(call).skip(1) {
            let id = rest.split('"').next().unwrap_or_default();
            if is_id(id) {
                said.asked.insert(id.to_owned(), name.to_owned());
            }
        }
    }
    for quoted in text.split('"').chain(text.split('\'')) {
        if is_id(quoted) {
            said.quoted.insert(quoted.to_owned());
        }
    }
    // `word(`state-${state}`)` and `format!("state-{state}")`.
    for call in ["`", "format!(\""] {
        for rest in text.split(call).skip(1) {
            let begun: String = rest
                .chars()
                .take_while(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || *c == '-')
                .collect();
            let goes_on = rest[begun.len()..].starts_with("${") || rest[begun.len()..].starts_with('{');
            if begun.ends_with('-') && goes_on {
                said.begun.insert(begun, name.to_owned());
            }
        }
    }
}

fn said() -> Said {
    let mut said = Said::default();
    for part in ["room/src", "server/src", "web/protocol/src", "web/static", "web/templates"] {
        look(&project().join(part), &mut said);
    }
    said
}

fn none_of(rule: &str, offences: &[String]) {
    assert!(offences.is_empty(), "{rule}:\n{}", offences.join("\n"));
}

#[test]
fn every_language_has_the_same_texts_with_the_same_gaps() {
    let (english, mut wrong) = read(Language::English);
    for language in Language::ALL.into_iter().filter(|language| *language != Language::English) {
        let (other, errors) = read(language);
        wrong.extend(errors);
        for (id, (file, gaps)) in &english {
            match other.get(id) {
                None => wrong.push(format!("{}: {file} lacks {id}", language.slug())),
                Some((there, _)) if there != file => {
                    wrong.push(format!("{}: {id} stands in {there}, not in {file}", language.slug()));
                }
                Some((_, other_gaps)) if other_gaps != gaps => {
                    wrong
                        .push(format!("{}: {id} has the gaps {other_gaps:?}, not {gaps:?}", language.slug()));
                }
                Some(_) => {}
            }
        }
        let more = other.keys().filter(|id| !english.contains_key(*id));
        wrong.extend(more.map(|id| format!("{}: {id} is in no other language", language.slug())));
    }
    none_of("the languages differ", &wrong);
}

#[test]
fn every_text_that_is_said_is_there_and_every_one_there_is_said() {
    let (texts, _) = read(Language::English);
    let said = said();
    let missing = said.asked.iter().filter(|(id, _)| !texts.contains_key(*id));
    let mut wrong: Vec<String> =
        missing.map(|(id, file)| format!("{file} says {id}: there is none")).collect();
    for (id, (file, _)) in &texts {
        let is_begun = said.begun.keys().any(|begun| id.starts_with(begun.as_str()));
        if !said.quoted.contains(id) && !is_begun {
            wrong.push(format!("{file}: nobody says {id}"));
        }
    }
    none_of("texts and what says them do not fit", &wrong);
}

#[test]
fn the_search_finds_what_is_said() {
    let mut said = Said::default();
    note("word(\"a-b\") Phrase::of(\"c\") word(`state-${x}`) format!(\"say-{x}\")", "x", &mut said);
    assert_eq!(said.asked.keys().collect::<Vec<_>>(), ["a-b", "c"]);
    assert_eq!(said.begun.keys().collect::<Vec<_>>(), ["say-", "state-"]);
}
