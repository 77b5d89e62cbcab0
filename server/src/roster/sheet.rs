//! A section's list as a table that spreadsheets read and write: CSV (RFC 4180), UTF-8, with a header. It knows neither
//! records nor rooms; what is wrong in a file is said by line, in words.

use std::collections::BTreeMap;
use windrow_protocol::instrument::Instrument;
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
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Sheet {
    /// In the order of sections in the file, and of chairs within each.
    pub(crate) rows: Vec<SheetRow>,
    /// Each begins with its line.
    pub(crate) errors: Vec<String>,
    /// Columns that say nothing here.
    pub(crate) ignored: Vec<String>,
}

/// Reads a file. Lines without a section belong to `own_section`.
///
/// # Errors
/// What keeps the file from being read at all.
pub(crate) fn read(bytes: &[u8], own_section: &Name) -> Result<Sheet, String> {
    if bytes.len() > MAX_BYTES {
        return Err(format!(
            "the file has {} kB, but at most {} are taken: is it a list of players?",
            bytes.len() / 1024,
            MAX_BYTES / 1024
        ));
    }
    let text = std::str::from_utf8(bytes).map_err(|e| {
        let line = 1 + bytes[..e.valid_up_to()].iter().filter(|&&b| b == b'\n').count();
        format!(
            "line {line}: this is not UTF-8; save the file as \u{201c}CSV UTF-8\u{201d} in the spreadsheet and try again"
        )
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
    let header = reader.headers().map_err(|e| format!("line 1: the header cannot be read ({e})"))?.clone();
    let place = |column: &str| header.iter().position(|h| h.eq_ignore_ascii_case(column));
    let places = COLUMNS.map(place);
    let [section_at, chair_at, Some(name_at), Some(instrument_at), part_at] = places else {
        return Err(format!(
            "line 1: the header must name the columns \u{201c}name\u{201d} and \u{201c}instrument\u{201d}, and may name \
             section, chair and part; it says \u{201c}{}\u{201d}",
            header.iter().collect::<Vec<_>>().join(", ")
        ));
    };
    let known = |i: &usize| places.contains(&Some(*i));
    let ignored =
        header.iter().enumerate().filter(|(i, h)| !known(i) && !h.is_empty()).map(|(_, h)| h.to_owned());
    let mut sheet = Sheet { ignored: ignored.collect(), ..Sheet::default() };
    let mut seen: BTreeMap<(String, String), u64> = BTreeMap::new();
    let mut rows: Vec<(usize, u32, SheetRow)> = Vec::new();
    let mut sections: Vec<Name> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| format!("the file cannot be read ({e})"))?;
        let line = line_of(text, record.position().map_or(0, csv::Position::byte));
        if line > MAX_LINES as u64 {
            return Err(format!("the file has more than {MAX_LINES} lines: divide it"));
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
                    let (name, section) = (&row.name, &row.section);
                    sheet.errors.push(format!(
                        "line {line}: {name} is in {section} already, on line {first}; tell the two apart by a letter"
                    ));
                    continue;
                }
                seen.insert(key, line);
                let section = sections.iter().position(|s| *s == row.section).unwrap_or_else(|| {
                    sections.push(row.section.clone());
                    sections.len() - 1
                });
                rows.push((section, chair.unwrap_or(u32::MAX), row));
            }
            (Err(what), _) | (_, Err(what)) => sheet.errors.push(format!("line {line}: {what}")),
        }
    }
    // Stable: who has no chair stays in the file's order, behind those who have one.
    rows.sort_by_key(|(section, chair, _)| (*section, *chair));
    sheet.rows = rows.into_iter().map(|(_, _, row)| row).collect();
    for section in &sections {
        let n = sheet.rows.iter().filter(|row| row.section == *section).count();
        if n > MAX_PEOPLE {
            return Err(format!(
                "{section} has {n} people, but at most {MAX_PEOPLE} fit into a room: divide it"
            ));
        }
    }
    Ok(sheet)
}

/// Line on which a record begins. The reader's own count stops before what ends the record before, and before empty lines.
fn line_of(text: &str, byte: u64) -> u64 {
    let start = usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
    let ends = text.as_bytes()[start..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
    1 + text.as_bytes()[..start + ends].iter().filter(|&&b| b == b'\n').count() as u64
}

impl SheetRow {
    fn read(
        line: u64,
        [section, name, instrument, part]: [&str; 4],
        own_section: &Name,
    ) -> Result<Self, String> {
        let section = match section {
            "" => own_section.clone(),
            text => Name::new(text).map_err(|e| format!("section: {e}"))?,
        };
        let name = Name::new(name).map_err(|e| e.to_string())?;
        let instrument = instrument_named(instrument)?;
        Ok(Self { line, section, name, instrument, part: part_text(part)? })
    }
}

/// An instrument as people write it: its name here, its usual other name, whatever the capitals.
///
/// # Errors
/// In words, with those there are.
pub(crate) fn instrument_named(text: &str) -> Result<Instrument, String> {
    let plain = text.trim().to_lowercase().replace("saxophone", "sax");
    let plain = match plain.as_str() {
        "clarinet" | "b flat clarinet" | "bb clarinet" => "clarinet in b flat",
        "e flat clarinet" | "eb clarinet" => "clarinet in e flat",
        "english horn" => "cor anglais",
        "french horn" => "horn",
        other => other,
    };
    let is_it = |i: &&Instrument| i.slug() == plain || i.label().to_lowercase() == plain;
    Instrument::ALL.iter().find(is_it).copied().ok_or_else(|| {
        let all = Instrument::ALL.iter().map(|i| i.label()).collect::<Vec<_>>().join(", ");
        match text {
            "" => format!("the instrument is missing; write one of {all}"),
            text => format!("the instrument \u{201c}{text}\u{201d} is not one of {all}"),
        }
    })
}

/// A part as typed, without what cannot be seen; empty for none.
///
/// # Errors
/// In words.
pub(crate) fn part_text(text: &str) -> Result<String, String> {
    let clean: String = text.chars().filter(|c| !c.is_control()).collect();
    let clean = clean.trim().to_owned();
    match clean.chars().count() {
        n if n > MAX_PART_CHARS => Err(format!("the part has {n} letters: use at most {MAX_PART_CHARS}")),
        _ => Ok(clean),
    }
}

fn chair(text: &str) -> Result<Option<u32>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<u32>() {
        Ok(chair) if (1..=9999).contains(&chair) => Ok(Some(chair)),
        _ => {
            Err(format!("the chair must be a number from 1 to 9999, or empty, but is \u{201c}{text}\u{201d}"))
        }
    }
}

/// Whether a spreadsheet would take a text for a formula, whatever apostrophes stand before it.
fn is_formula(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(FORMULA_SIGNS)
}

/// With the apostrophe that keeps a spreadsheet from reckoning.
fn with_guard(text: &str) -> String {
    if is_formula(text) { format!("'{text}") } else { text.to_owned() }
}

fn without_guard(text: &str) -> &str {
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
