//! Lines from MusicXML: files of a general notation library against what it was told to write, and files as they may come.

use super::super::{check, read, write};
use super::*;
use proptest::prelude::*;
use serde::Deserialize;
use windrow_protocol::note::Note;
use windrow_protocol::score::Dynamic;

/// What `tests/reference/make_music.py` told the library to write.
#[derive(Debug, Deserialize)]
struct Truth {
    file: String,
    title: String,
    bpm: f64,
    beats_per_bar: u8,
    notes: Vec<TrueNote>,
    ignored: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct TrueNote {
    note: Option<String>,
    beats: f64,
    value: Option<String>,
    dynamic: Option<Dynamic>,
    dynamic_to: Option<Dynamic>,
    #[serde(default)]
    tied: bool,
}

/// The library's files, by name.
const FILES: &[(&str, &str)] = &[
    ("alto-sax", include_str!("../../../../tests/reference/musicxml/alto-sax.musicxml")),
    ("bass-clarinet", include_str!("../../../../tests/reference/musicxml/bass-clarinet.musicxml")),
    ("horn", include_str!("../../../../tests/reference/musicxml/horn.musicxml")),
    ("long-notes", include_str!("../../../../tests/reference/musicxml/long-notes.musicxml")),
    ("piccolo", include_str!("../../../../tests/reference/musicxml/piccolo.musicxml")),
    ("rhythms", include_str!("../../../../tests/reference/musicxml/rhythms.musicxml")),
    ("tenor-sax", include_str!("../../../../tests/reference/musicxml/tenor-sax.musicxml")),
    ("unused", include_str!("../../../../tests/reference/musicxml/unused.musicxml")),
    ("voices", include_str!("../../../../tests/reference/musicxml/voices.musicxml")),
    ("words", include_str!("../../../../tests/reference/musicxml/words.musicxml")),
];
const TRUTHS: &str = include_str!("../../../../tests/reference/musicxml/expected.json");

fn file(name: &str) -> &'static str {
    FILES.iter().find(|(file, _)| *file == name).unwrap().1
}

#[test]
fn files_of_a_notation_library_give_what_it_was_told() {
    let truths: Vec<Truth> = serde_json::from_str(TRUTHS).unwrap();
    assert_eq!(truths.len(), FILES.len());
    for truth in truths {
        let file = &truth.file;
        let imported = from_musicxml(self::file(file)).unwrap_or_else(|bad| panic!("{file}: {bad}"));
        assert_eq!(imported.title.as_deref(), Some(truth.title.as_str()), "{file}");
        assert_eq!(
            (imported.music.bpm.get(), imported.beats_per_bar),
            (truth.bpm, truth.beats_per_bar),
            "{file}"
        );
        assert_eq!(imported.music.notes.len(), truth.notes.len(), "{file}: {:#?}", imported.music.notes);
        for (i, (found, expected)) in imported.music.notes.iter().zip(&truth.notes).enumerate() {
            let place = format!("{file}, note {}: {found:?}", i + 1);
            let note = expected.note.as_ref().map(|name| name.parse::<Note>().unwrap());
            assert_eq!(found.note, note, "{place}");
            assert!((found.beats.get() - expected.beats).abs() < 1e-6, "{place}");
            assert_eq!((found.dynamic, found.dynamic_to), (expected.dynamic, expected.dynamic_to), "{place}");
            assert_eq!(found.tied, expected.tied, "{place}");
            if let Some(value) = &expected.value {
                assert_eq!(found.value.map(crate::plan::check::word).as_ref(), Some(value), "{place}");
            }
        }
        let said = imported.ignored.iter().map(english).collect::<Vec<_>>().join("\n");
        for words in &truth.ignored {
            assert!(said.contains(words.as_str()), "{file}: \"{words}\" is not in:\n{said}");
        }
        let plan = imported.into_plan(file, Words::default());
        assert_eq!(check(&plan), [], "{file}");
        assert_eq!(read(&write(&plan)).as_ref(), Ok(&plan), "{file}");
    }
}

/// A score of one part with these bars.
fn score(bars: &str) -> String {
    format!(
        "<?xml version=\"1.0\"?>\n<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
         \"http://www.musicxml.org/dtds/partwise.dtd\">\n<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\">\
         <part-name>Flute</part-name></score-part></part-list><part id=\"P1\">{bars}</part></score-partwise>"
    )
}

fn note(step: &str, octave: u8, duration: u32) -> String {
    format!(
        "<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{duration}</duration></note>"
    )
}

fn refused(text: &str, message: &str) {
    let said = from_musicxml(text).unwrap_err().to_string();
    assert!(said.contains(message), "{said}");
}

#[test]
fn a_bad_file_is_told_by_line_with_what_to_do() {
    refused("hello", "the XML is broken here");
    refused("<a><b></a>", "line 1: the XML is broken here");
    refused("\n<html/>", "line 2: this is XML, but not MusicXML: it begins with <html>");
    refused("<score-timewise/>", "save it part by part");
    refused("<score-partwise/>", "the score has no part");
    refused(&score(""), "the part has no notes");
    refused(&score("<measure><note><rest/><duration>4</duration></note></measure>"), "the part has no notes");
    refused(&score("\n\n<measure><note><pitch/></note></measure>"), "line 5: a <duration> is missing");
    refused(
        &score("<measure><attributes><divisions>0</divisions></attributes></measure>"),
        "must be above 0",
    );
    refused(
        &score(&format!("<measure>{}</measure>", note("H", 4, 1))),
        "<step> must be a letter from A to G",
    );
    refused(
        &score(&format!("<measure>{}</measure>", note("C", 4, 1).repeat(201))),
        "has 201 notes and rests",
    );
    refused(
        &score(&format!("<measure number=\"7\">{}</measure>", note("C", 4, 65))),
        "in bar 7 a note lasts 65",
    );
    refused(&score("<measure><backup><duration>4</duration></backup></measure>"), "do not add up");
    let unused = file("unused");
    let missing = from_musicxml_part(unused, Some("Tuba")).unwrap_err().to_string();
    assert_eq!(missing, "there is no part \"Tuba\": the file has Flute, Oboe");
    let oboe = from_musicxml_part(unused, Some("oboe")).unwrap();
    assert_eq!(oboe.music.notes[0].note, "C4".parse().ok());
    assert_eq!(from_musicxml_part(unused, Some("2")), Ok(oboe.clone()));
    // A part of its name that fits no other part's will do; both have an "o" or an "e".
    assert_eq!(from_musicxml_part(unused, Some(" Obo")), Ok(oboe));
    let doubtful = from_musicxml_part(unused, Some("e")).unwrap_err().to_string();
    assert_eq!(doubtful, "there is no part \"e\": the file has Flute, Oboe");
}

#[test]
fn nothing_grows_out_of_a_small_file() {
    let bomb = "<!DOCTYPE score-partwise [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\">]><score-partwise>&b;</score-partwise>";
    refused(bomb, "entities of its own");
    let outside =
        "<!DOCTYPE score-partwise SYSTEM \"file:///etc/hostname\"><score-partwise>&x;</score-partwise>";
    refused(outside, "the XML is broken here");
    let deep = format!("{}{}", "<a>".repeat(50_000), "</a>".repeat(50_000));
    refused(&deep, "");
}

#[test]
fn a_line_without_values_gets_those_of_a_vibrato_on_its_long_notes() {
    let bar = |bpm: &str| {
        let notes = [note("C", 5, 4), note("D", 5, 2), note("E", 5, 1)].concat();
        score(&format!(
            "<measure><direction><direction-type/><sound tempo=\"{bpm}\"/></direction>{notes}</measure>"
        ))
    };
    let values = |bpm: &str| {
        let notes = from_musicxml(&bar(bpm)).unwrap().music.notes;
        notes.iter().map(|note| note.value.map(crate::plan::check::word)).collect::<Vec<_>>()
    };
    let expected = |word: &str| [Some(word.to_owned()), Some(word.to_owned()), None];
    // Pulses a second (tempo / 60 times pulses a beat): 4 and 3; 6.7 and 5; 9.3, 7 and 4.7.
    assert_eq!(values("60"), expected("sixteenths"));
    assert_eq!(values("100"), expected("triplets"));
    assert_eq!(values("140"), expected("eighths"));
}

#[test]
fn a_tie_that_leads_nowhere_is_left_out_and_named() {
    let tied = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>2</duration><tie type=\"start\"/></note>";
    let imported =
        from_musicxml(&score(&format!("<measure number=\"1\">{tied}{}</measure>", note("D", 5, 2)))).unwrap();
    assert!(imported.music.notes.iter().all(|note| !note.tied));
    assert!(
        imported.ignored.iter().any(|said| english(said) == "ties that lead to no same note: 1 (bar 1)"),
        "{:?}",
        imported.ignored
    );
}

#[test]
fn a_short_name_is_made_of_a_title_in_any_language() {
    for (title, name) in
        [("Long notes, No. 2", "long-notes-no-2"), ("Übung für große Flöten", "uebung-fuer-grosse-floeten")]
    {
        assert_eq!(slug(title).as_deref(), Some(name));
    }
    assert_eq!(slug("\u{97f3}"), None);
}

#[test]
fn words_over_the_notes_may_be_german() {
    let lyric = |text: &str| {
        let note = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration>";
        let bar = format!("<measure>{note}<lyric><text>{text}</text></lyric></note></measure>");
        from_musicxml(&score(&bar)).unwrap().music.notes[0].value.map(crate::plan::check::word)
    };
    for (text, value) in
        [("Triolen", "triplets"), ("gerade", "straight"), ("Sechzehntel.", "sixteenths"), ("frei", "free")]
    {
        assert_eq!(lyric(text).as_deref(), Some(value), "{text}");
    }
}

#[test]
fn what_is_outside_the_tempos_is_named() {
    let text = score(&format!("<measure><sound tempo=\"1000\"/>{}</measure>", note("C", 5, 4)));
    let imported = from_musicxml(&text).unwrap();
    assert_eq!(imported.music.bpm.get(), 60.0);
    assert_eq!(english(&imported.ignored[0]), "tempo (bpm) must be from 20 to 300, but is 1000: 60 is taken");
}

#[test]
fn a_file_that_would_take_hours_or_all_memory_is_refused_or_read_in_part() {
    let parts = |n: usize| {
        let listed: String = (0..n)
            .map(|i| format!(r#"<score-part id="{i}"><part-name>P{i}</part-name></score-part>"#))
            .collect();
        let parts: String = (0..n).map(|i| format!(r#"<part id="{i}"/>"#)).collect();
        format!("<score-partwise><part-list>{listed}</part-list>{parts}</score-partwise>")
    };
    refused(&parts(MAX_PARTS + 1), "has 501 parts");
    // All names in a row, however many: one phrase within the other would be as deep as there are parts.
    let named = from_musicxml_part(&parts(MAX_PARTS), Some("nobody")).unwrap_err().to_string();
    assert!(named.contains("the file has P0, P1, P2") && named.ends_with("P498, P499"), "{named}");
    let crowded =
        |n: usize| format!("<score-partwise\n{}/>", (0..n).map(|i| format!(" a{i}='1'")).collect::<String>());
    refused(&crowded(MAX_ATTRIBUTES), "no part");
    refused(&crowded(MAX_ATTRIBUTES + 1), "over 200 attributes");
    // The number of a bar is repeated for each of its notes.
    let bars = format!(
        "<measure number=\"{}\">{}<barline><repeat/></barline></measure>",
        "9".repeat(9000),
        note("C", 5, 4)
    );
    let ignored = from_musicxml(&score(&bars)).unwrap().ignored;
    assert!(ignored.iter().all(|text| english(text).len() < 200), "{ignored:?}");
    let signs: String = (0..5000).map(|i| format!("<sign{i}/>")).collect();
    let signs = format!(
        "<note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration><notations><ornaments>{signs}</ornaments></notations></note>"
    );
    let ignored = from_musicxml(&score(&format!("<measure>{signs}</measure>"))).unwrap().ignored;
    assert!((100..110).contains(&ignored.len()), "{}", ignored.len());
}

proptest! {
    /// Whatever a file says, it is refused with words or gives a line that can be played.
    #[test]
    fn any_file_is_refused_or_gives_a_good_plan(damage in proptest::collection::vec((0_usize..9000, "[<>/a-z0-9 -]{0,6}"), 0..4)) {
        let mut text = file("unused").to_owned();
        for (at, with) in damage {
            let at = at.min(text.len());
            if text.is_char_boundary(at) {
                text.insert_str(at, &with);
            }
        }
        match from_musicxml(&text) {
            Ok(imported) => prop_assert_eq!(check(&imported.into_plan("", Words::default())), []),
            Err(bad) => prop_assert!(!bad.to_string().is_empty()),
        }
    }
}
