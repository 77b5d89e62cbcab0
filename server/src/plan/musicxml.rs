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
use roxmltree::{Document, Node, ParsingOptions};
use windrow_protocol::units::Beats;
use windrow_protocol::voicing::Voicing;

/// Longest file, bytes: some hundred pages of a score. Our own choice.
const MAX_BYTES: usize = 16 * 1024 * 1024;
/// Most nodes of a document, so that a small file cannot become a large tree.
const MAX_NODES: u32 = 2_000_000;

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
    pub(crate) ignored: Vec<String>,
}

/// Why a file gives no line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct BadMusicXml {
    line: Option<u32>,
    text: String,
}

impl BadMusicXml {
    fn new(text: impl Into<String>) -> Self {
        Self { line: None, text: text.into() }
    }

    fn at(node: Node<'_, '_>, text: impl Into<String>) -> Self {
        Self { line: Some(node.document().text_pos_at(node.range().start).row), text: text.into() }
    }
}

impl std::fmt::Display for BadMusicXml {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}: {}", self.text),
            None => f.write_str(&self.text),
        }
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
        return Err(BadMusicXml::new(
            "the file has over 16 MiB: save the one part that is to be played by itself",
        ));
    }
    if text.contains("<!ENTITY") {
        return Err(BadMusicXml::new(
            "the file defines entities of its own, which no notation program does: save it anew from one",
        ));
    }
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MAX_NODES, ..ParsingOptions::default() };
    let document =
        Document::parse_with_options(text.trim_start_matches('\u{feff}'), options).map_err(|error| {
            BadMusicXml {
                line: Some(error.pos().row),
                text: format!(
                    "the XML is broken here ({error}): save the file anew from your notation program"
                ),
            }
        })?;
    let root = document.root_element();
    match root.tag_name().name() {
        "score-partwise" => {}
        "score-timewise" => {
            return Err(BadMusicXml::at(
                root,
                "the score is written bar by bar: save it part by part (score-partwise)",
            ));
        }
        "container" | "museScore" => {
            return Err(BadMusicXml::at(
                root,
                "this is a notation program's own file: export it as uncompressed MusicXML",
            ));
        }
        other => {
            let text = format!(
                "this is XML, but not MusicXML: it begins with <{other}> instead of <score-partwise>"
            );
            return Err(BadMusicXml::at(root, text));
        }
    }
    let (chosen, others) = chosen_part(root, part)?;
    let mut raw = part::Part::read(chosen)?;
    if !others.is_empty() {
        raw.ignored.say(format!("the other parts: {}", others.join(", ")));
    }
    line::imported(raw, title(root))
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
) -> Result<(Node<'a, 'i>, Vec<String>), BadMusicXml> {
    let parts: Vec<Node<'_, '_>> = root.children().filter(|node| node.has_tag_name("part")).collect();
    let listed = child(root, "part-list");
    let name_of = |i: usize, part: &Node<'_, '_>| {
        let id = part.attribute("id");
        let entry = listed.and_then(|list| {
            list.children().find(|entry| entry.has_tag_name("score-part") && entry.attribute("id") == id)
        });
        let name = entry.and_then(|entry| child_text(entry, "part-name"));
        name.map_or_else(|| format!("part {}", i + 1), str::to_owned)
    };
    let names: Vec<String> = parts.iter().enumerate().map(|(i, part)| name_of(i, part)).collect();
    let chosen = match asked {
        None => 0,
        Some(asked) => {
            let by_name = names.iter().position(|name| name.eq_ignore_ascii_case(asked.trim()));
            let number = asked.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            // "Clarinet" will do where one part alone is called so, such as "Clarinet in B♭".
            let asked_small = asked.trim().to_lowercase();
            let alike = |name: &String| !asked_small.is_empty() && name.to_lowercase().contains(&asked_small);
            let mut part_of_name = (0..names.len()).filter(|&i| alike(&names[i]));
            let by_part_of_name = part_of_name.next().filter(|_| part_of_name.next().is_none());
            by_name.or(number.filter(|&n| n < parts.len())).or(by_part_of_name).ok_or_else(|| {
                BadMusicXml::new(format!("there is no part \"{asked}\": the file has {}", names.join(", ")))
            })?
        }
    };
    let Some(&part) = parts.get(chosen) else {
        return Err(BadMusicXml::at(root, "the score has no part: export one with notes"));
    };
    let others = names.into_iter().enumerate().filter(|(i, _)| *i != chosen).map(|(_, name)| name);
    Ok((part, others.collect()))
}

impl Imported {
    /// A plan of this line alone; `fallback` is its name where the piece has no title.
    pub(crate) fn into_plan(self, fallback: &str) -> Plan {
        let cut = |text: &str, most: usize| text.chars().take(most).collect::<String>().trim().to_owned();
        let title = self.title.unwrap_or_else(|| fallback.to_owned());
        let title = if title.trim().is_empty() { "Imported line".to_owned() } else { cut(&title, 80) };
        let bar = Beats::clamped(f64::from(self.beats_per_bar)).expect("a number");
        let exercise = Exercise {
            title: Some(title.clone()),
            part: None,
            play: Play::Music(Music { rest: bar, ..self.music }),
            say: "Count the pulses first, then let the counting go.".to_owned(),
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
    let dashed: String =
        title.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    let words: Vec<&str> = dashed.split('-').filter(|word| !word.is_empty()).collect();
    let short: String = words.join("-").chars().take(60).collect();
    Some(short.trim_matches('-').to_owned()).filter(|slug| !slug.is_empty())
}

#[cfg(test)]
mod tests;
