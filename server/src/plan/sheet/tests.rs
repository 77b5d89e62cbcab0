//! What a sheet holds: every plan that comes with the program on one page, pulses as many as the tables say, words as they were
//! written, and a long plan on several pages.

use super::*;
use crate::plan::{Play, built_in, built_in_named};
use crate::words::Language;

/// In English.
fn sheet(plan: &Plan, instrument: Option<Instrument>, paper: Paper) -> Sheet {
    super::sheet(plan, instrument, paper, Words::default())
}

fn plan_of(plays: &[&str]) -> Plan {
    let exercises: Vec<String> =
        plays.iter().map(|play| format!(r#"{{"play": {play}, "note": "G4"}}"#)).collect();
    let text = format!(
        r#"{{"format": "windrow-plan", "version": 1, "name": "a-plan", "title": "A plan", "exercises": [{}]}}"#,
        exercises.join(",")
    );
    serde_json::from_str(&text).unwrap()
}

fn cards(sheet: &Sheet) -> Vec<&Card> {
    sheet.pages.iter().flat_map(|page| page.columns.iter().flatten()).collect()
}

/// The pictures of a play's exercise, put together.
fn drawn(play: &str) -> String {
    let sheet = sheet(&plan_of(&[play]), None, Paper::A4);
    cards(&sheet)[0].rows.concat()
}

#[test]
fn every_plan_of_the_program_is_one_page_for_every_instrument() {
    let everybody = Instrument::ALL.iter().copied().map(Some).chain([None]);
    for instrument in everybody {
        for (plan, paper) in
            built_in(Language::English).iter().flat_map(|plan| Paper::ALL.map(|paper| (plan, paper)))
        {
            // The longest plan tells whether one instrument's notes take more room than another's.
            let is_told = plan.name == "first-fortnight" || instrument == Some(Instrument::Flute);
            if !is_told {
                continue;
            }
            let sheet = sheet(plan, instrument, paper);
            assert_eq!(sheet.pages.len(), 1, "{} for {} on {}", plan.name, sheet.whose, paper.label());
            let numbers: Vec<usize> = cards(&sheet).iter().map(|card| card.number).collect();
            assert_eq!(numbers, (1..=plan.exercises.len()).collect::<Vec<_>>(), "{}", plan.name);
        }
    }
}

#[test]
fn every_plan_of_the_program_is_one_page_in_every_language() {
    for language in Language::ALL {
        let words = Words::new(language);
        for (plan, paper) in built_in(language).iter().flat_map(|plan| Paper::ALL.map(|paper| (plan, paper)))
        {
            let set = super::sheet(plan, Some(Instrument::AltoSax), paper, words);
            assert_eq!(set.pages.len(), 1, "{} in {language:?} on {}", plan.name, paper.label());
            // A plan's own cautions say what is true of every plan, so that nothing stands there twice.
            for id in ["sheet-care-breath", "sheet-care-rules"] {
                assert!(!set.cautions.contains(&words.say(id)), "{}: {:?}", plan.name, set.cautions);
            }
        }
    }
}

#[test]
fn a_sheet_speaks_the_reader_s_language_and_keeps_the_author_s_words() {
    let mut plan = plan_of(&[r#"{"pulses": {"bpm": 66, "values": ["triplets"], "times": 2}}"#]);
    plan.exercises[0].say = "Let it swing.".to_owned();
    let sheet = super::sheet(&plan, Some(Instrument::Flute), Paper::A4, Words::new(Language::German));
    let card = cards(&sheet)[0];
    assert_eq!(
        (sheet.whose.as_str(), card.title.as_str(), card.say.as_str()),
        ("Flöte", "Triolen", "Let it swing.")
    );
    assert_eq!(card.facts, "Triolen\u{a0}· 2 Takte");
    let file = sheet.file().unwrap();
    for words in ["<html lang=\"de\">", "Noten für <b>Flöte</b>", "Üben, Woche 2", "Gib acht", "schwindlig"]
    {
        assert!(file.contains(words), "{words}");
    }
    for english in ["Practice", "Take care", "light-headed", "Notes for"] {
        assert!(!file.contains(english), "{english}");
    }
}

#[test]
fn a_bar_has_as_many_pulses_as_the_tables_say() {
    // Pulses a beat are 1, 2, 3, 4 and 6 for quarters to sextuplets (Garrison 2012, British Flute Society; Cate); a bar has
    // four beats. Played notes are whole ones, so that every full head is a pulse's.
    for (value, n_pulses, figure) in [
        ("quarters", 4, None),
        ("eighths", 8, None),
        ("triplets", 12, Some("#tuplet-3")),
        ("sixteenths", 16, None),
        ("quintuplets", 20, Some("#tuplet-5")),
        ("sextuplets", 24, Some("#tuplet-6")),
    ] {
        let svg = drawn(&format!(r#"{{"pulses": {{"bpm": 60, "values": ["{value}"]}}}}"#));
        assert_eq!(svg.matches("#full-head").count(), n_pulses, "{value}");
        assert_eq!(svg.matches("#whole-head").count(), 1, "{value}");
        assert_eq!(svg.matches("#tuplet").count(), if figure.is_some() { 4 } else { 0 }, "{value}");
        assert_eq!(figure.map_or(4, |figure| svg.matches(figure).count()), 4, "{value}");
    }
}

#[test]
fn over_a_line_of_notes_a_sign_stands_for_each_note() {
    let svg = drawn(
        r#"{"music": {"bpm": 60, "notes": [
            {"note": "G4", "beats": 2, "value": "triplets"}, {"note": "A4", "beats": 2, "value": "triplets", "tied": true},
            {"note": "A4", "beats": 4, "value": "triplets"}]}}"#,
    );
    // Two halves and a whole, of which the tied one needs no sign of its own.
    assert_eq!((svg.matches("#open-head").count(), svg.matches("#whole-head").count()), (2, 1));
    assert_eq!((svg.matches("#full-head").count(), svg.matches("#tuplet-3").count()), (6, 2));
}

#[test]
fn a_ladder_has_the_marks_of_a_metronome_to_tick_off() {
    let ladder = r#"{"ladder": {"from_bpm": 60, "to_bpm": 80, "value": "triplets", "bars_per_rung": 4}}"#;
    let sheet = sheet(&plan_of(&[ladder]), None, Paper::A4);
    // The usual marks; common practice.
    assert_eq!(cards(&sheet)[0].rungs, ["60", "63", "66", "69", "72", "76", "80"]);
}

#[test]
fn what_is_too_long_goes_on_to_further_pages_with_every_exercise_once() {
    // All different, or they would be drawn once.
    let plays: Vec<String> = (8..48)
        .map(|beats| {
            format!(
                r#"{{"hairpin": {{"bpm": 60, "values": ["sextuplets"], "from": "p", "to": "f", "growing": {beats}, "fading": 8}}}}"#
            )
        })
        .collect();
    let plays: Vec<&str> = plays.iter().map(String::as_str).collect();
    let sheet = sheet(&plan_of(&plays), Some(Instrument::Bassoon), Paper::Letter);
    assert!(sheet.pages.len() > 1);
    let numbers: Vec<usize> = cards(&sheet).iter().map(|card| card.number).collect();
    assert_eq!(numbers, (1..=40).collect::<Vec<_>>());
    let lasts: Vec<bool> = sheet.pages.iter().map(|page| page.is_last).collect();
    assert_eq!(lasts.iter().filter(|last| **last).count(), 1);
    assert_eq!(lasts.last(), Some(&true));
    assert!(sheet.file().unwrap().contains("page 2 of"));
}

#[test]
fn words_are_shown_as_written_and_nothing_styles_itself() {
    let mut plan = built_in_named("first-lesson", Language::English).unwrap().clone();
    plan.title = "<script>alert(1)</script>".to_owned();
    plan.exercises[0].say = "Breathe & <b>hold</b>.".to_owned();
    let file = sheet(&plan, Some(Instrument::Flute), Paper::A4).file().unwrap();
    assert!(!file.contains("<script"));
    assert!(!file.contains("<b>hold"));
    assert!(!file.contains(" style="));
    assert!(!file.contains("http"));
}

#[test]
fn each_caution_stands_once_with_its_exercises() {
    let plan = built_in_named("first-fortnight", Language::English).unwrap();
    let sheet = sheet(plan, None, Paper::A4);
    let light_headed: Vec<&String> =
        sheet.cautions.iter().filter(|caution| caution.contains("light-headed")).collect();
    let with_it =
        plan.exercises.iter().zip(1..).filter(|(e, _)| e.cautions.iter().any(|c| c.contains("light-headed")));
    let numbers: Vec<usize> = with_it.map(|(_, number)| number).collect();
    assert_eq!(light_headed.len(), 1);
    assert!(
        light_headed[0].ends_with(&format!("({})", listed(&numbers, Words::default()))),
        "{light_headed:?}"
    );
    // A plan that says nothing is still printed with them.
    let bare = self::sheet(&plan_of(&[r#"{"straight": {"bpm": 60}}"#]), None, Paper::A4);
    for word in ["light-headed", "hurt", "school", "hearing", "Rest"] {
        assert!(bare.cautions.iter().any(|caution| caution.contains(word)), "{word}");
    }
}

#[test]
fn an_example_is_marked_and_said() {
    let mut plan = plan_of(&[r#"{"straight": {"bpm": 60, "bars": 2}}"#]);
    assert!(sheet(&plan, None, Paper::A4).notes.is_empty());
    plan.exercises[0].note = None;
    let sheet = sheet(&plan, None, Paper::A4);
    assert!(sheet.notes[0].contains("in brackets"));
    assert_eq!(cards(&sheet)[0].rows.concat().matches("q-5 9 0 18").count(), 1);
    assert!(matches!(plan.exercises[0].play, Play::Straight(_)));
}
