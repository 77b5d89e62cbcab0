//! A line of long notes from a file of a notation program: MusicXML (`score-partwise`, versions 1 to 4, also compressed). Reads what a
//! line of a plan holds and names all else as ignored. Pure; nothing is ever loaded from outside the text.

mod ignored;
mod line;
mod loudness;
mod part;
mod zipped;

pub(crate) use zipped::{is_zipped, unzipped};

use super::model::{Exercise, FORMAT, Plan, VERSION};
use super::play::{Music, Pass, Play};
use crate::words::{Words, english};
use roxmltree::{Document, Node, ParsingOptions};
use std::collections::BTreeMap;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Beats;
use windrow_protocol::voicing::Voicing;

/// Longest file, bytes: some hundred pages of a score. Our own choice.
const MAX_BYTES: usize = 16 * 1024 * 1024;
/// Most nodes of a document, so that a small file cannot become a large tree.
const MAX_NODES: u32 = 2_000_000;
/// Most attributes of one element: the parser compares each with all others. The largest elements of the format have some thirty.
const MAX_ATTRIBUTES: usize = 200;
/// Most parts of a score; the largest orchestras have under a hundred. Our own choice.
const MAX_PARTS: usize = 500;
/// Most letters of a part's name or a bar's number that are repeated.
const MAX_LETTERS: usize = 60;

/// What a file holds for a plan.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Imported {
    /// The line, to be played measured, less measured and free.
    pub(crate) music: Music,
    /// Quarters in a bar.
    pub(crate) beats_per_bar: u8,
    /// Of the piece.
    pub(crate) title: Option<String>,
    /// What was not used, or assumed, a sentence each.
    pub(crate) ignored: Vec<Phrase>,
}

/// Why a file gives no line. Shows itself as the command line says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct BadMusicXml {
    line: Option<u32>,
    text: Phrase,
}

impl BadMusicXml {
    fn new(text: Phrase) -> Self {
        Self { line: None, text }
    }

    fn at(node: Node<'_, '_>, text: Phrase) -> Self {
        Self { line: Some(node.document().text_pos_at(node.range().start).row), text }
    }

    /// What is wrong, with the line.
    pub(crate) fn phrase(&self) -> Phrase {
        match self.line {
            Some(line) => Phrase::of("music-line").with("line", line).with("text", self.text.clone()),
            None => self.text.clone(),
        }
    }
}

impl std::fmt::Display for BadMusicXml {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&english(&self.phrase()))
    }
}

impl std::error::Error for BadMusicXml {}

/// The first part of a file.
///
/// # Errors
/// [`BadMusicXml`] with the line and what to do.
#[cfg(test)]
fn from_musicxml(text: &str) -> Result<Imported, BadMusicXml> {
    from_musicxml_part(text, None)
}

/// A part of a file: by its name, or by its number from 1.
///
/// # Errors
/// [`BadMusicXml`] with the line and what to do; for a part that is not there with those that are.
pub(crate) fn from_musicxml_part(text: &str, part: Option<&str>) -> Result<Imported, BadMusicXml> {
    if text.len() > MAX_BYTES {
        return Err(BadMusicXml::new(Phrase::of("music-too-big")));
    }
    if text.contains("<!ENTITY") {
        return Err(BadMusicXml::new(Phrase::of("music-entities")));
    }
    let document = parsed(text.trim_start_matches('\u{feff}'), true, MAX_NODES)?;
    let root = document.root_element();
    match root.tag_name().name() {
        "score-partwise" => {}
        "score-timewise" => {
            return Err(BadMusicXml::at(root, Phrase::of("music-bar-by-bar")));
        }
        "container" | "museScore" => {
            return Err(BadMusicXml::at(root, Phrase::of("music-own-format")));
        }
        other => {
            return Err(BadMusicXml::at(root, Phrase::of("music-other-xml").with("name", short(other))));
        }
    }
    let (chosen, others) = chosen_part(root, part)?;
    let mut raw = part::Part::read(chosen)?;
    if let Some(others) = in_a_row(others) {
        raw.ignored.say(Phrase::of("music-other-parts").with("parts", others));
    }
    line::imported(raw, title(root))
}

/// A document within bounds.
fn parsed(text: &str, allow_dtd: bool, nodes_limit: u32) -> Result<Document<'_>, BadMusicXml> {
    let mut line = 1;
    // No attribute holds the sign that a tag begins with.
    for tag in text.split('<') {
        if tag.matches('=').count() > MAX_ATTRIBUTES {
            let text = Phrase::of("music-broken").with("error", format!("over {MAX_ATTRIBUTES} attributes"));
            return Err(BadMusicXml { line: Some(line), text });
        }
        line += u32::try_from(tag.matches('\n').count()).unwrap_or(0);
    }
    let options = ParsingOptions { allow_dtd, nodes_limit, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| {
        let said: String = error.to_string().chars().take(2 * MAX_LETTERS).collect();
        BadMusicXml { line: Some(error.pos().row), text: Phrase::of("music-broken").with("error", said) }
    })
}

/// As much of a text as is repeated.
fn short(text: &str) -> String {
    text.chars().take(MAX_LETTERS).collect()
}

fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    node.children().find(|child| child.has_tag_name(name))
}

fn child_text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name).and_then(|child| child.text()).map(str::trim).filter(|text| !text.is_empty())
}

fn title(root: Node<'_, '_>) -> Option<String> {
    let work = child(root, "work").and_then(|work| child_text(work, "work-title"));
    work.or_else(|| child_text(root, "movement-title")).map(str::to_owned)
}

/// The part asked for, and the names of the others.
fn chosen_part<'a, 'i>(
    root: Node<'a, 'i>,
    asked: Option<&str>,
) -> Result<(Node<'a, 'i>, Vec<Phrase>), BadMusicXml> {
    let parts: Vec<Node<'_, '_>> = root.children().filter(|node| node.has_tag_name("part")).collect();
    if parts.len() > MAX_PARTS {
        let text = Phrase::of("music-too-many-parts").with("n", parts.len());
        return Err(BadMusicXml::at(root, text.with("most", MAX_PARTS)));
    }
    let mut listed = BTreeMap::new();
    for entry in child(root, "part-list").iter().flat_map(|list| list.children()) {
        if entry.has_tag_name("score-part") {
            listed.entry(entry.attribute("id")).or_insert(entry);
        }
    }
    let name_of = |i: usize, part: &Node<'_, '_>| {
        let entry = listed.get(&part.attribute("id"));
        let name = entry.and_then(|&entry| child_text(entry, "part-name")).map(short);
        name.map_or_else(|| Phrase::of("music-part").with("n", i + 1), Phrase::from)
    };
    let names: Vec<Phrase> = parts.iter().enumerate().map(|(i, part)| name_of(i, part)).collect();
    let chosen = match asked {
        None => 0,
        Some(asked) => {
            let written = |name: &Phrase| match name {
                Phrase::Plain(name) => name.to_lowercase(),
                Phrase::Said { .. } => String::new(),
            };
            let asked_small = asked.trim().to_lowercase();
            let by_name =
                names.iter().position(|name| !asked_small.is_empty() && written(name) == asked_small);
            let number = asked.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            // "Clarinet" will do where one part alone is called so, such as "Clarinet in B♭".
            let alike = |name: &Phrase| !asked_small.is_empty() && written(name).contains(&asked_small);
            let mut part_of_name = (0..names.len()).filter(|&i| alike(&names[i]));
            let by_part_of_name = part_of_name.next().filter(|_| part_of_name.next().is_none());
            by_name.or(number.filter(|&n| n < parts.len())).or(by_part_of_name).ok_or_else(|| {
                let text = Phrase::of("music-no-such-part").with("asked", short(asked));
                BadMusicXml::new(text.with("parts", in_a_row(names.clone()).unwrap_or_default()))
            })?
        }
    };
    let Some(&part) = parts.get(chosen) else {
        return Err(BadMusicXml::at(root, Phrase::of("music-no-part")));
    };
    let others = names.into_iter().enumerate().filter(|(i, _)| *i != chosen).map(|(_, name)| name);
    Ok((part, others.collect()))
}

/// "Flute, Oboe"; none where there are none.
fn in_a_row(names: Vec<Phrase>) -> Option<Phrase> {
    let and_next = |pair: &[Phrase]| match pair {
        [first, then] => Phrase::of("music-and-next").with("first", first.clone()).with("then", then.clone()),
        alone => alone.first().cloned().unwrap_or_default(),
    };
    // By halves: one within the other, a long row would be as deep as it is long.
    let mut row = names;
    while row.len() > 1 {
        row = row.chunks(2).map(and_next).collect();
    }
    row.pop()
}

impl Imported {
    /// A plan of this line alone; `fallback` is its name where the piece has no title. What the piece does not say is said in the
    /// language of whoever brings it in, and is theirs to change.
    pub(crate) fn into_plan(self, fallback: &str, words: Words) -> Plan {
        let cut = |text: &str, most: usize| text.chars().take(most).collect::<String>().trim().to_owned();
        let title = self.title.unwrap_or_else(|| fallback.to_owned());
        let title = if title.trim().is_empty() { words.say("music-untitled") } else { cut(&title, 80) };
        let bar = Beats::clamped(f64::from(self.beats_per_bar)).expect("a number");
        let exercise = Exercise {
            title: Some(title.clone()),
            part: None,
            play: Play::Music(Music { rest: bar, ..self.music }),
            say: words.say("music-say"),
            goal: String::new(),
            cautions: Vec::new(),
            rest_s: 0,
            note: None,
            voicing: Some(Voicing::Unison),
            tuning: None,
            turns: None,
            bands: super::Bands::default(),
        };
        Plan {
            format: FORMAT.to_owned(),
            version: VERSION,
            name: slug(&title).or_else(|| slug(fallback)).unwrap_or_else(|| "imported".to_owned()),
            title,
            about: String::new(),
            takes: String::new(),
            beats_per_bar: self.beats_per_bar,
            exercises: vec![exercise],
        }
    }
}

/// How a line is played that a file brings: counted, half counted, then only played.
fn passes() -> Vec<Pass> {
    vec![Pass::Measured, Pass::LessMeasured, Pass::Free]
}

/// Small letters, digits and hyphens of a title; none where nothing is left.
fn slug(title: &str) -> Option<String> {
    // As German is written where there are no such letters.
    let title = title.to_lowercase();
    let title = title.replace('ä', "ae").replace('ö', "oe").replace('ü', "ue").replace('ß', "ss");
    let dashed: String =
        title.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    let words: Vec<&str> = dashed.split('-').filter(|word| !word.is_empty()).collect();
    let short: String = words.join("-").chars().take(60).collect();
    Some(short.trim_matches('-').to_owned()).filter(|slug| !slug.is_empty())
}

#[cfg(test)]
mod tests;
