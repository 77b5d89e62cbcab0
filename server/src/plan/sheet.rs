//! The sheet: a plan as a page to print for the stand and the practice bag, with its exercises drawn on a staff, a log of two
//! weeks and the cautions. Pure; knows plans and the protocol, no files and no requests.

mod bars;
mod card;
mod engrave;
mod file;
mod fit;
mod ink;
mod letters;
mod line;
mod over;
mod pen;
mod rows;
mod signs;
mod staff;
#[cfg(test)]
mod tests;
mod under;
mod words;

use super::Plan;
use crate::words::Words;
use card::{Card, cards};
use fit::{GUTTER, Heights, SETTINGS, SEVERAL_PAGES, Setting, TYPE_MM};
use staff::Reader;
use std::collections::BTreeMap;
use windrow_protocol::instrument::Instrument;

/// Paper to print on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Paper {
    /// ISO 216: 210 by 297 mm.
    #[default]
    A4,
    /// ANSI/ASME Y14.1 A: 8.5 by 11 inches.
    Letter,
}

impl Paper {
    pub(crate) const ALL: [Paper; 2] = [Paper::A4, Paper::Letter];

    /// As options and addresses have it.
    pub(crate) fn slug(self) -> &'static str {
        match self {
            Paper::A4 => "a4",
            Paper::Letter => "letter",
        }
    }

    /// As people and style sheets call it.
    pub(crate) fn label(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "Letter",
        }
    }

    pub(crate) fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|paper| paper.slug() == slug)
    }

    /// Width and height within the margins of 12 mm, mm.
    fn inner_mm(self) -> (f64, f64) {
        let (width, height) = match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (8.5 * 25.4, 11.0 * 25.4),
        };
        (width - 24.0, height - 24.0)
    }
}

/// A sheet, ready for a template.
#[derive(Debug)]
pub(crate) struct Sheet {
    /// In the reader's language.
    pub(crate) words: Words,
    pub(crate) title: String,
    pub(crate) about: String,
    pub(crate) takes: String,
    /// Whose notes, in words.
    pub(crate) whose: String,
    pub(crate) paper: Paper,
    /// Names how large the type is, see `sheet.css`.
    pub(crate) size: u32,
    /// Outlines that the pictures use.
    pub(crate) outlines: String,
    /// What has to be said about the notes.
    pub(crate) notes: Vec<String>,
    pub(crate) pages: Vec<SheetPage>,
    pub(crate) cautions: Vec<String>,
}

/// A page of it.
#[derive(Debug)]
pub(crate) struct SheetPage {
    /// From 1.
    pub(crate) number: usize,
    pub(crate) is_last: bool,
    pub(crate) columns: Vec<Vec<Card>>,
}

/// What is true of every plan, and words by which a plan's own cautions, in whatever language they are written, show that they say so
/// already. README.md, "Take care";
/// that light-headed players stop and breathe normally and that rests belong to a plan is common practice, that long loud
/// rehearsals harm hearing is NIOSH 98-126.
const CAUTIONS: [(&[&str], &str); 4] = [
    (&["light-headed", "schwind"], "sheet-care-breath"),
    (&["hurt", "wehtun", "weh tun", "Schmerz"], "sheet-care-pain"),
    (&["school", "Schul"], "sheet-care-rules"),
    (&[], "sheet-care-rest"),
];

/// Heights of what the style sheet sets, em.
const LINE: f64 = 1.3;
/// A line for a name, and whose notes they are.
const OWN: f64 = 30.0;
const LOG_HEAD: f64 = 1.5 + 1.4;
/// A row of the log, mm: room to write in, however small the type. Our own choice.
const LOG_ROW_MM: f64 = 5.0;
const KEY: f64 = 2.0;

/// Sets a plan's sheet for a reader.
pub(crate) fn sheet(plan: &Plan, instrument: Option<Instrument>, paper: Paper, words: Words) -> Sheet {
    let reader = Reader(instrument);
    let notes = notes(plan, words);
    let cautions = cautions(plan, words);
    let set = |setting: &Setting| {
        let (width_mm, height_mm) = paper.inner_mm();
        let type_mm = TYPE_MM * f64::from(setting.per_cent) / 100.0;
        let width = width_mm / type_mm;
        let n_columns = setting.n_columns as f64;
        let column = (width - GUTTER * (n_columns - 1.0)) / n_columns;
        let cards = cards(plan, reader, column, setting.is_brief, words);
        let text = |text: &str, size: f64| f64::from(letters::lines(text, width / size)) * LINE * size;
        let rows = notes.iter().map(|note| text(note, 0.9)).sum::<f64>() + KEY;
        // Name and instrument stand beside the title.
        let title = f64::from(letters::lines(&plan.title, (width - OWN) / 1.9)) * LINE * 1.9;
        let half = (width - GUTTER) / 2.0;
        let caution_lines = cautions.iter().map(|caution| letters::lines(caution, half / 0.9));
        let caution_lines: Vec<f64> = caution_lines.map(f64::from).collect();
        let (_, caution_rows) = fit::columns(&caution_lines, 0, 2);
        let heights = Heights {
            page: height_mm / type_mm,
            head: title + text(&plan.about, 1.0) + text(&plan.takes, 1.0) + rows + 0.9,
            later_head: 2.8,
            foot: LOG_HEAD + 7.0 * LOG_ROW_MM / type_mm + 1.9 + caution_rows * LINE * 0.9,
            cards: cards.iter().map(|card| card.height).collect(),
        };
        (cards, heights)
    };
    let on_one = SETTINGS.iter().find_map(|setting| {
        let (cards, heights) = set(setting);
        let page = fit::one_page(&heights, setting.n_columns)?;
        Some((setting, cards, vec![page]))
    });
    let (setting, cards, pages) = on_one.unwrap_or_else(|| {
        let (cards, heights) = set(&SEVERAL_PAGES);
        let pages = fit::several_pages(&heights, SEVERAL_PAGES.n_columns);
        (&SEVERAL_PAGES, cards, pages)
    });
    let mut cards: Vec<Option<Card>> = cards.into_iter().map(Some).collect();
    let n_pages = pages.len();
    let pages = pages.into_iter().zip(1..).map(|(columns, number)| {
        let taken = |column: Vec<usize>| column.into_iter().filter_map(|i| cards[i].take()).collect();
        let columns: Vec<Vec<Card>> = columns.into_iter().map(taken).collect();
        SheetPage { number, is_last: number == n_pages, columns }
    });
    Sheet {
        words,
        title: plan.title.clone(),
        about: plan.about.clone(),
        takes: plan.takes.clone(),
        whose: instrument.map_or_else(|| words.say("sheet-concert-pitch"), |i| words.instrument(i)),
        paper,
        size: setting.per_cent,
        outlines: outlines(),
        pages: pages.collect(),
        notes,
        cautions,
    }
}

fn notes(plan: &Plan, words: Words) -> Vec<String> {
    let is_free = |exercise: &super::Exercise| {
        exercise.note.is_none() && !matches!(exercise.play, super::Play::Music(_))
    };
    let example = plan.exercises.iter().any(is_free).then(|| words.say("sheet-example"));
    let spread = plan.exercises.iter().any(words::is_spread).then(|| words.say("sheet-spread"));
    example.into_iter().chain(spread).collect()
}

/// The plan's own cautions, each once with the exercises it belongs to, after those of every plan.
fn cautions(plan: &Plan, words: Words) -> Vec<String> {
    let mut own: Vec<(&str, Vec<usize>)> = Vec::new();
    for (exercise, number) in plan.exercises.iter().zip(1..) {
        for caution in &exercise.cautions {
            match own.iter_mut().find(|(text, _)| *text == caution.trim()) {
                Some((_, numbers)) => numbers.push(number),
                None => own.push((caution.trim(), vec![number])),
            }
        }
    }
    let is_said = |signs: &[&str]| own.iter().any(|(text, _)| signs.iter().any(|sign| text.contains(sign)));
    let general = CAUTIONS.iter().filter(|(signs, _)| !is_said(signs));
    let mut said: Vec<String> = general.map(|&(_, id)| words.say(id)).collect();
    // What stands at the first exercise alone is meant for all of them.
    let of_all = own.iter().filter(|(_, numbers)| *numbers == [1]);
    said.extend(of_all.map(|&(text, _)| text.to_owned()));
    let of_some = own.iter().filter(|(_, numbers)| *numbers != [1]);
    said.extend(of_some.map(|(text, numbers)| format!("{text} ({})", listed(numbers, words))));
    said
}

/// "exercise 3", "exercises 1, 2 and 5".
fn listed(numbers: &[usize], words: Words) -> String {
    let numbers: Vec<String> = numbers.iter().map(usize::to_string).collect();
    words.of("sheet-exercises").arg("n", numbers.len()).arg("numbers", words.list(&numbers)).to_string()
}

/// The outlines of all signs, each once under its name.
fn outlines() -> String {
    let mut seen = BTreeMap::new();
    for sign in signs::all() {
        seen.insert(sign.id, sign.path);
    }
    let paths = seen.iter().map(|(id, path)| format!("<path id=\"{id}\" d=\"{path}\"/>"));
    format!("<defs>{}</defs>", paths.collect::<String>())
}
