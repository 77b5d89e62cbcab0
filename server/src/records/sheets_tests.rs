//! The tables against RFC 4180, read back by rules written out here, and against the document that they are made of.

use super::super::columns::Kind;
use super::super::nameless::without_names;
use super::super::read::read;
use super::*;
use crate::roster::sheet::without_guard;
use crate::words::Language;
use proptest::prelude::*;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Name;

const EXAMPLE: &str = include_str!("../../records/example.session.json");

fn example() -> Document {
    read(EXAMPLE).unwrap()
}

fn english() -> Words {
    Words::new(Language::English)
}

/// RFC 4180, section 2: lines end with CRLF, fields may be in double quotes, a double quote inside is doubled.
fn parsed(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut field) = (Vec::new(), Vec::new(), String::new());
    let (mut signs, mut is_quoted) = (text.chars().peekable(), false);
    while let Some(sign) = signs.next() {
        match sign {
            '"' if is_quoted && signs.peek() == Some(&'"') => {
                signs.next();
                field.push('"');
            }
            '"' => is_quoted = !is_quoted,
            ',' if !is_quoted => row.push(std::mem::take(&mut field)),
            '\r' if !is_quoted && signs.peek() == Some(&'\n') => {
                signs.next();
                row.push(std::mem::take(&mut field));
                rows.push(std::mem::take(&mut row));
            }
            '\r' | '\n' if !is_quoted => panic!("a line ends with {sign:?} alone"),
            other => field.push(other),
        }
    }
    assert!(field.is_empty() && row.is_empty() && !is_quoted, "the last line ends with CRLF as well");
    rows
}

fn at<'a>(columns: &[Column], row: &'a [String], name: &str) -> &'a str {
    &row[columns.iter().position(|column| column.name == name).unwrap()]
}

#[test]
fn heads_name_every_column_and_tell_that_it_is_utf_8() {
    for columns in [&RESULTS[..], &PULSES[..]] {
        let text = head(columns);
        let rows = parsed(text.strip_prefix('\u{feff}').unwrap());
        let names: Vec<&str> = columns.iter().map(|column| column.name).collect();
        assert_eq!(rows, [names]);
    }
}

#[test]
fn a_row_has_what_the_document_has() {
    let rows = parsed(&result_lines(&example(), english()));
    assert_eq!(rows.len(), 2);
    // As written in the example, which no code of this program made.
    for (name, wren, tobias) in [
        ("rehearsal_id", "0000-example", "0000-example"),
        ("kind", "rehearsal", "rehearsal"),
        ("invented", "true", "true"),
        ("section", "Larkmoor Youth Winds", "Larkmoor Youth Winds"),
        ("run", "1", "1"),
        ("exercise_name", "Triplets", "Triplets"),
        ("part", "1", "1"),
        ("part_title", "Triplets at 66", "Triplets at 66"),
        ("began_utc", "2026-11-25T18:01:00.250000Z", "2026-11-25T18:01:00.250000Z"),
        ("name", "Wren", "Tobias"),
        ("person_id", "", ""),
        ("instrument", "flute", "oboe"),
        ("target", "pulses", "pulses"),
        ("asked_per_beat", "3", "3"),
        ("bpm", "66", "66"),
        ("bpm_to", "", ""),
        ("held", "true", "false"),
        ("state", "matched", "fast"),
        ("trusted_share", "0.96", "0.96"),
        ("pulse_rate_hz", "3.3", "3.63"),
        ("timing_ms", "8.25", "-20"),
        ("timing_spread_ms", "18.5", "18.5"),
        ("drift_cents", "-1.5", "-1.5"),
        ("evenness_cv", "0.0625", "0.0625"),
        ("calibrated", "true", "true"),
    ] {
        let found = [0, 1].map(|i| at(&RESULTS, &rows[i], name));
        assert_eq!(found, [wren, tobias], "{name}");
    }
}

#[test]
fn every_pulse_has_a_row_with_its_time() {
    let document = example();
    let rows = parsed(&pulse_lines(&document));
    let session = &document.sessions[0];
    assert_eq!(rows.len(), session.players.iter().map(|player| player.pulses.len()).sum::<usize>());
    let second = &rows[1];
    // 3.3 pulses a second from a minute after 18:00:00.250 on: 1 / 3.3 s = 0.3030 s, and the example has tenths of a millisecond.
    assert_eq!(at(&PULSES, second, "time_utc"), "2026-11-25T18:01:00.553000Z");
    assert_eq!(at(&PULSES, second, "time_s"), "60.303000");
    assert_eq!((at(&PULSES, second, "run"), at(&PULSES, second, "depth_db_pp")), ("1", "6.5"));
    let last = &rows[session.players[0].pulses.len() - 1];
    assert_eq!((at(&PULSES, last, "mean_cents"), at(&PULSES, last, "choked")), ("", "false"));
}

#[test]
fn without_names_nobody_is_named_anywhere() {
    let mut document = example();
    document.sessions[0].players[0].person_id = Some("person".to_owned());
    without_names(&mut document, english());
    let everything = serde_json::to_string(&document).unwrap()
        + &result_lines(&document, english())
        + &pulse_lines(&document);
    for name in ["Wren", "Tobias", "\"person\""] {
        assert!(!everything.contains(name), "{name}");
    }
    assert!(everything.contains("chair 2") && everything.contains("advice-noisy"));
    // It can be taken in like any other.
    assert_eq!(read(&serde_json::to_string(&document).unwrap()).unwrap(), document);
}

/// Signs that have a meaning in CSV, in spreadsheets or in writing.
fn odd_text() -> impl Strategy<Value = String> {
    let odd = "[,\"'\r\n\t;=+@a-c \u{5d0}\u{5d1}\u{202e}\u{1f3b5}\u{e9}-]{1,24}";
    prop_oneof![odd, Just("=1+2".to_owned()), Just("'=x".to_owned()), Just("-3,5".to_owned())]
}

proptest! {
    #[test]
    fn any_name_and_title_comes_back_and_is_no_formula(name in odd_text(), title in odd_text(), part in odd_text()) {
        let mut document = example();
        let session = &mut document.sessions[0];
        // A name has no signs that cannot be seen and is not empty.
        if let Ok(name) = Name::new(&name) {
            session.players[0].name = name;
        }
        session.runs[0].told.name = Phrase::from(title.as_str());
        session.runs[0].told.spans[0] = Phrase::from(part.as_str());
        let rows = parsed(&result_lines(&document, english()));
        prop_assert_eq!(rows.len(), 2);
        let row = &rows[0];
        prop_assert_eq!(row.len(), RESULTS.len());
        for (field, column) in row.iter().zip(&RESULTS) {
            let is_formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
            prop_assert!(column.kind != Kind::Text || !is_formula, "{}: {}", column.name, field);
        }
        let name = document.sessions[0].players[0].name.to_string();
        prop_assert_eq!(without_guard(at(&RESULTS, row, "name")), name);
        prop_assert_eq!(without_guard(at(&RESULTS, row, "exercise_name")), title);
        prop_assert_eq!(without_guard(at(&RESULTS, row, "part_title")), part);
    }
}
