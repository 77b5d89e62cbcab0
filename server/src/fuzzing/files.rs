//! Files that people bring: plans, scores of notation programs, a section's list, rehearsals, practice handed in.

use super::comes_back;
use crate::plan::{self, Paper, Plan};
use crate::records;
use crate::roster::sheet::{self, WrittenPerson};
use crate::words::{Language, Words};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::units::{Hertz, Name};
use windrow_room::{KeptRun, PastRuns, VirtualRoom};

/// Looks at a room that plays a plan, and what passes between two, µs: the first bars, then a minute a look.
const LOOKS_US: [f64; 8] = [1e6, 1e6, 5e6, 5e6, 60e6, 60e6, 600e6, 3600e6];

/// A plan: what is taken can be written, compiled, played and printed.
pub(super) fn plan(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match plan::read(text) {
        Ok(plan) => is_playable(&plan),
        Err(bad) => {
            assert!(!bad.found().is_empty() && bad.found().len() <= 1000, "{} complaints", bad.found().len());
            let said = bad.to_string();
            assert!(said.len() <= 4 * 1024 * 1024, "{} bytes of complaints", said.len());
        }
    }
}

fn is_playable(plan: &Plan) {
    assert_eq!(plan::check(plan), Vec::new(), "what was read passes the check");
    let again = plan::read(&plan::write(plan)).expect("what was written can be read");
    assert_eq!(&again, plan);
    let _ = plan::warnings(plan);
    let length = plan::length(plan);
    assert!(length.whole_s.is_finite() && length.longest_playing_s.is_finite());
    let lesson = plan::compile(plan);
    assert_eq!(lesson.pieces.len(), plan.exercises.len());
    let section = Name::new("Fuzz").expect("a name");
    let mut room = VirtualRoom::new(section, Hertz::clamped(440.0).expect("a number"));
    room.take_plan(lesson).expect("a room takes every plan that passes its check");
    for (place, pass_us) in LOOKS_US.into_iter().enumerate() {
        let command = if place % 3 == 0 { r#"{"type":"start"}"# } else { r#"{"type":"next","at":"now"}"# };
        let _ = room.command(serde_json::from_str(command).expect("a command"));
        room.now_us += pass_us;
        room.look().expect("an empty room has nothing against being looked at");
    }
    for instrument in [None, Some(Instrument::ALL[0]), Some(Instrument::ALL[Instrument::ALL.len() - 1])] {
        for paper in Paper::ALL {
            let file = plan::sheet(plan, instrument, paper, Words::new(Language::German)).file();
            let file = file.expect("a template is filled").to_lowercase();
            assert!(!file.contains("<script"), "markup of a plan on its sheet");
        }
    }
}

/// A score of a notation program: what is taken makes a plan that passes its check.
pub(super) fn musicxml(bytes: &[u8]) {
    let zipped = plan::is_zipped(bytes).then(|| plan::unzipped(bytes));
    let text = match zipped {
        Some(Ok(text)) => text,
        Some(Err(_)) => return,
        None => match String::from_utf8(bytes.to_vec()) {
            Ok(text) => text,
            Err(_) => return,
        },
    };
    for part in [None, Some("2"), Some("flute")] {
        match plan::from_musicxml_part(&text, part) {
            Ok(imported) => {
                let _ = imported.ignored.iter().map(crate::words::english).collect::<Vec<_>>();
                let plan = imported.into_plan("a score", Words::new(Language::English));
                assert_eq!(plan::check(&plan), Vec::new(), "what was taken passes the check");
                let _ = plan::compile(&plan);
            }
            Err(bad) => assert!(bad.to_string().len() <= 16 * 1024),
        }
    }
}

/// A section's list: what is taken is the same when it is written and read again.
pub(super) fn list(bytes: &[u8]) {
    let own = Name::new("Own section").expect("a name");
    let Ok(read) = sheet::read(bytes, &own) else { return };
    let _ = read.errors.iter().map(crate::words::english).collect::<Vec<_>>();
    let mut sections: Vec<(String, Vec<WrittenPerson>)> = Vec::new();
    for row in &read.rows {
        let person = WrittenPerson {
            name: row.name.as_str().to_owned(),
            instrument: row.instrument,
            part: row.part.clone(),
        };
        match sections.iter_mut().find(|(name, _)| name == row.section.as_str()) {
            Some((_, people)) => people.push(person),
            None => sections.push((row.section.as_str().to_owned(), vec![person])),
        }
    }
    let again = sheet::read(sheet::write(&sections).as_bytes(), &own).expect("what was written can be read");
    assert!(again.errors.is_empty(), "{:?}", again.errors);
    let who = |rows: &[sheet::SheetRow]| -> Vec<(String, String, Instrument, String)> {
        let one = |row: &sheet::SheetRow| {
            (row.section.to_string(), row.name.to_string(), row.instrument, row.part.clone())
        };
        rows.iter().map(one).collect()
    };
    assert_eq!(who(&again.rows), who(&read.rows));
}

/// A rehearsal's file: what is taken makes tables, can be looked back on, and is the same when it is read again.
pub(super) fn rehearsal(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let mut document = match records::read(text) {
        Ok(document) => document,
        Err(bad) => {
            assert!(bad.to_string().len() <= 32 * 1024);
            return;
        }
    };
    let written = serde_json::to_string(&document).expect("plain data becomes JSON");
    assert_eq!(records::read(&written).as_ref(), Ok(&document));
    let words = Words::new(Language::German);
    let tables = [records::result_lines(&document, words), records::pulse_lines(&document)];
    for table in tables {
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(table.as_bytes());
        assert!(reader.records().all(|record| record.is_ok()), "a table that cannot be read");
    }
    for session in &document.sessions {
        can_be_looked_back_on(session.runs.clone());
    }
    records::without_names(&mut document, words);
    let nameless = serde_json::to_string(&document).expect("plain data becomes JSON");
    assert_eq!(records::read(&nameless).as_ref(), Ok(&document));
}

fn can_be_looked_back_on(runs: Vec<KeptRun>) {
    let numbers: Vec<u16> = runs.iter().map(|run| run.told.number).collect();
    let past = PastRuns::of(runs);
    comes_back(&past.results());
    comes_back(&past.review());
    for replay in numbers.into_iter().take(20).filter_map(|number| past.replay(number)) {
        comes_back(&replay);
    }
}

/// Practice as a device hands it in: what is taken can be looked back on.
pub(super) fn practice(bytes: &[u8]) {
    let runs = crate::practice::runs_of(bytes);
    can_be_looked_back_on(runs);
}
