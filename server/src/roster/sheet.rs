//! A section's list as a table that spreadsheets read and write: CSV (RFC 4180), UTF-8, with a header. It knows neither
//! records nor rooms; what is wrong in a file is said by line.

use super::bad_name;
use crate::words::{Language, Words};
use std::collections::BTreeMap;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Name;

/// Lines of a file, with the header. Ours: ten large sections.
pub(crate) const MAX_LINES: usize = 500;
/// Bytes of a file; five hundred lines of the longest names are less.
pub(crate) const MAX_BYTES: usize = 256 * 1024;
/// People of one section: with some nicknames beside, a room has 256 chairs.
pub(crate) const MAX_PEOPLE: usize = 240;
/// Characters of a part.
pub(crate) const MAX_PART_CHARS: usize = 40;

/// The columns, in the order they are written.
const COLUMNS: [&str; 5] = ["section", "chair", "name", "instrument", "part"];
/// Signs with which a spreadsheet takes a text for a formula (OWASP, "CSV injection"; from memory).
const FORMULA_SIGNS: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// One person of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SheetRow {
    /// Line in the file, from 1, which is the header.
    pub(crate) line: u64,
    pub(crate) section: Name,
    pub(crate) name: Name,
    pub(crate) instrument: Instrument,
    /// Empty where the room makes one.
    pub(crate) part: String,
}

/// What a file holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Sheet {
    /// In the order of sections in the file, and of chairs within each.
    pub(crate) rows: Vec<SheetRow>,
    /// Each begins with its line.
    pub(crate) errors: Vec<Phrase>,
    /// Columns that say nothing here.
    pub(crate) ignored: Vec<String>,
}

/// Reads a file. Lines without a section belong to `own_section`.
///
/// # Errors
/// What keeps the file from being read at all.
pub(crate) fn read(bytes: &[u8], own_section: &Name) -> Result<Sheet, Phrase> {
    if bytes.len() > MAX_BYTES {
        let kb = bytes.len() / 1024;
        return Err(Phrase::of("sheet-too-large").with("kb", kb).with("most", MAX_BYTES / 1024));
    }
    let text = std::str::from_utf8(bytes).map_err(|e| {
        let line = 1 + bytes[..e.valid_up_to()].iter().filter(|&&b| b == b'\n').count();
        Phrase::of("sheet-not-utf8").with("line", line)
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().next().unwrap_or_default();
    // Spreadsheets write semicolons where the comma is the decimal sign.
    let delimiter = if header.matches(';').count() > header.matches(',').count() { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let unreadable = |id: &str, error: csv::Error| Phrase::of(id).with("why", error.to_string());
    let header = reader.headers().map_err(|e| unreadable("sheet-header-unreadable", e))?.clone();
    let places = COLUMNS.map(|column| {
        let names = names_of(column);
        header.iter().position(|h| names.contains(&h.to_lowercase()))
    });
    let [section_at, chair_at, Some(name_at), Some(instrument_at), part_at] = places else {
        let says = header.iter().collect::<Vec<_>>().join(", ");
        return Err(Phrase::of("sheet-header").with("says", says));
    };
    let known = |i: &usize| places.contains(&Some(*i));
    let ignored =
        header.iter().enumerate().filter(|(i, h)| !known(i) && !h.is_empty()).map(|(_, h)| h.to_owned());
    let mut sheet = Sheet { ignored: ignored.collect(), ..Sheet::default() };
    let mut seen: BTreeMap<(String, String), u64> = BTreeMap::new();
    let mut rows: Vec<(usize, u32, SheetRow)> = Vec::new();
    let mut sections: Vec<Name> = Vec::new();
    let (mut lines, mut n_records) = (Lines::new(text), 0);
    for record in reader.records() {
        let record = record.map_err(|e| unreadable("sheet-unreadable", e))?;
        let line = lines.of(record.position().map_or(0, csv::Position::byte));
        n_records += 1;
        // Also where lines end in a way that is not counted as one.
        if line > MAX_LINES as u64 || n_records > MAX_LINES {
            return Err(Phrase::of("sheet-too-many-lines").with("most", MAX_LINES));
        }
        if record.iter().all(str::is_empty) {
            continue;
        }
        let field = |at: Option<usize>| without_guard(at.and_then(|at| record.get(at)).unwrap_or_default());
        let row = SheetRow::read(
            line,
            [field(section_at), field(Some(name_at)), field(Some(instrument_at)), field(part_at)],
            own_section,
        );
        let chair = chair(field(chair_at));
        match (row, chair) {
            (Ok(row), Ok(chair)) => {
                let key = (row.section.as_str().to_lowercase(), row.name.as_str().to_lowercase());
                if let Some(first) = seen.get(&key) {
                    let twice = on_line("sheet-twice", line).with("name", row.name.to_string());
                    let twice = twice.with("section", row.section.to_string());
                    sheet.errors.push(twice.with("first", line_number(*first)));
                    continue;
                }
                seen.insert(key, line);
                let section = sections.iter().position(|s| *s == row.section).unwrap_or_else(|| {
                    sections.push(row.section.clone());
                    sections.len() - 1
                });
                rows.push((section, chair.unwrap_or(u32::MAX), row));
            }
            (Err(what), _) | (_, Err(what)) => {
                sheet.errors.push(on_line("sheet-line", line).with("what", what));
            }
        }
    }
    // Stable: who has no chair stays in the file's order, behind those who have one.
    rows.sort_by_key(|(section, chair, _)| (*section, *chair));
    sheet.rows = rows.into_iter().map(|(_, _, row)| row).collect();
    for section in &sections {
        let n = sheet.rows.iter().filter(|row| row.section == *section).count();
        if n > MAX_PEOPLE {
            let many = Phrase::of("sheet-too-many").with("section", section.to_string());
            return Err(many.with("n", n).with("most", MAX_PEOPLE));
        }
    }
    Ok(sheet)
}

fn on_line(id: &str, line: u64) -> Phrase {
    Phrase::of(id).with("line", line_number(line))
}

fn line_number(line: u64) -> usize {
    usize::try_from(line).unwrap_or(usize::MAX)
}

/// What a column may be called: as it is written, and in every language there is.
fn names_of(column: &str) -> Vec<String> {
    let said =
        Language::ALL.into_iter().map(|language| Words::new(language).say(&format!("import-{column}")));
    said.chain([column.to_owned()]).map(|name| name.to_lowercase()).collect()
}

/// Lines on which records begin, which come in order. The reader's own count stops before what ends the record before, and before
/// empty lines.
#[derive(Debug)]
struct Lines<'a> {
    bytes: &'a [u8],
    /// Line of a place that has been asked for.
    at: (usize, u64),
}

impl<'a> Lines<'a> {
    fn new(text: &'a str) -> Self {
        Self { bytes: text.as_bytes(), at: (0, 1) }
    }

    fn of(&mut self, byte: u64) -> u64 {
        let start = usize::try_from(byte).unwrap_or(usize::MAX).min(self.bytes.len());
        let ends = self.bytes[start..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let (known, line) = self.at;
        let passed = self.bytes.get(known..start + ends).unwrap_or_default();
        self.at = (known.max(start + ends), line + passed.iter().filter(|&&b| b == b'\n').count() as u64);
        self.at.1
    }
}

impl SheetRow {
    fn read(
        line: u64,
        [section, name, instrument, part]: [&str; 4],
        own_section: &Name,
    ) -> Result<Self, Phrase> {
        let section = match section {
            "" => own_section.clone(),
            text => Name::new(text).map_err(|e| Phrase::of("sheet-section").with("what", bad_name(e)))?,
        };
        let name = Name::new(name).map_err(bad_name)?;
        let instrument = instrument_named(instrument)?;
        Ok(Self { line, section, name, instrument, part: part_text(part)? })
    }
}

/// An instrument as people write it: its name in any language there is, its usual other name, whatever the capitals.
///
/// # Errors
/// With those there are.
pub(crate) fn instrument_named(text: &str) -> Result<Instrument, Phrase> {
    let plain = text.trim().to_lowercase().replace("saxophone", "sax").replace("saxophon", "saxofon");
    let plain = match plain.as_str() {
        "clarinet" | "b flat clarinet" | "bb clarinet" | "klarinette" => "clarinet in b flat",
        "e flat clarinet" | "eb clarinet" => "clarinet in e flat",
        "english horn" => "cor anglais",
        "piccoloflöte" => "piccolo",
        "querflöte" => "flute",
        "waldhorn" => "horn",
        "french horn" => "horn",
        other => other,
    };
    let is_said =
        |i: Instrument| Language::ALL.iter().any(|&l| Words::new(l).instrument(i).to_lowercase() == plain);
    let is_it = |i: &&Instrument| i.slug() == plain || i.label().to_lowercase() == plain || is_said(**i);
    Instrument::ALL.iter().find(is_it).copied().ok_or_else(|| {
        let name = |i: &Instrument| Phrase::of(&format!("instrument-{}", i.slug()));
        let all: Vec<Phrase> = Instrument::ALL.iter().map(name).collect();
        match text {
            "" => Phrase::of("instrument-missing").with("all", all),
            text => Phrase::of("instrument-unknown").with("text", text).with("all", all),
        }
    })
}

/// A part as typed, without what cannot be seen; empty for none.
///
/// # Errors
/// When it is too long.
pub(crate) fn part_text(text: &str) -> Result<String, Phrase> {
    let clean: String = text.chars().filter(|c| !c.is_control()).collect();
    let clean = clean.trim().to_owned();
    match clean.chars().count() {
        n if n > MAX_PART_CHARS => Err(Phrase::of("part-too-long").with("n", n).with("most", MAX_PART_CHARS)),
        _ => Ok(clean),
    }
}

fn chair(text: &str) -> Result<Option<u32>, Phrase> {
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<u32>() {
        Ok(chair) if (1..=9999).contains(&chair) => Ok(Some(chair)),
        _ => Err(Phrase::of("chair-no-number").with("text", text)),
    }
}

/// Whether a spreadsheet would take a text for a formula, whatever apostrophes stand before it.
fn is_formula(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(FORMULA_SIGNS)
}

/// With the apostrophe that keeps a spreadsheet from reckoning.
pub(crate) fn with_guard(text: &str) -> String {
    if is_formula(text) { format!("'{text}") } else { text.to_owned() }
}

pub(crate) fn without_guard(text: &str) -> &str {
    text.strip_prefix('\'').filter(|_| is_formula(text)).unwrap_or(text)
}

/// One person as a file has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct WrittenPerson {
    pub(crate) name: String,
    pub(crate) instrument: Instrument,
    /// As typed; may be empty.
    pub(crate) part: String,
}

/// Writes sections as a file, each with its people in chair order.
pub(crate) fn write(sections: &[(String, Vec<WrittenPerson>)]) -> String {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::<u8>::new());
    let mut put = |fields: [&str; 5]| writer.write_record(fields).expect("writing into memory cannot fail");
    put(COLUMNS);
    for (section, people) in sections {
        for (chair, WrittenPerson { name, instrument, part }) in (1..).zip(people) {
            let [section, name, part] = [section, name, part].map(|text| with_guard(text));
            put([&section, &format!("{chair}"), &name, instrument.label(), &part]);
        }
    }
    let bytes = writer.into_inner().expect("writing into memory cannot fail");
    String::from_utf8(bytes).expect("all fields are UTF-8")
}

#[cfg(test)]
#[path = "sheet_tests.rs"]
mod tests;
