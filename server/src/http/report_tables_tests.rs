//! The report's tables, from runs written down by hand.

use super::*;
use crate::records::read;
use crate::words::Language;
use windrow_room::PastRuns;

/// The example's run, at other times and of other exercises: name, begin and end in seconds.
fn runs(played: &[(&str, f64, f64)]) -> Vec<KeptRun> {
    let example = read(include_str!("../../records/example.session.json")).unwrap();
    let run = &example.sessions[0].runs[0];
    let one = |(number, &(name, from_s, to_s)): (u16, &(&str, f64, f64))| {
        let mut run = run.clone();
        (run.told.number, run.glance.number) = (number, number);
        run.told.exercise = u16::from(name.as_bytes()[0]);
        run.told.name = name.into();
        (run.began_us, run.ended_us) = (from_s * 1e6, to_s * 1e6);
        run
    };
    (1..).zip(played).map(one).collect()
}

fn english() -> Words {
    Words::new(Language::English)
}

#[test]
fn an_exercise_stands_once_however_often_it_was_played() {
    let runs = runs(&[("A", 0.0, 60.0), ("B", 65.0, 95.0), ("A", 125.0, 190.0)]);
    let rows = exercises(english(), &runs);
    let found: Vec<_> = rows
        .iter()
        .map(|r| (r.number, r.name.as_str(), r.n_times, r.lasted.as_str(), r.rest.as_str()))
        .collect();
    // A: 60 + 65 s, the five seconds after its first time are no rest; B: 30 s, then half a minute.
    assert_eq!(found, [(1, "A", 2, "2:05", ""), (2, "B", 1, "0:30", "0:30")]);
    assert_eq!((rows[0].matched.as_str(), rows[0].together.as_str()), ("1 of 2", "0.75"));
    assert_eq!(rows[0].asked, "Triplets at 66");
}

#[test]
fn what_was_asked_is_said_from_its_first_part_to_its_last() {
    let mut runs = runs(&[("A", 0.0, 60.0)]);
    for (spans, said) in [
        (
            vec!["Triplets at 60", "Triplets at 63", "Triplets at 66"],
            "Triplets at 60 to Triplets at 66, 3 parts",
        ),
        (vec!["Quarters at 60", "Eighths at 60", "Quarters at 60"], "Quarters at 60, 3 parts"),
        (vec![], ""),
    ] {
        runs[0].told.spans = spans.into_iter().map(Into::into).collect();
        assert_eq!(exercises(english(), &runs)[0].asked, said);
    }
}

#[test]
fn each_player_has_the_word_of_the_last_time_and_the_highest_rung() {
    let mut runs = runs(&[("A", 0.0, 60.0), ("A", 70.0, 130.0)]);
    runs[1].told.players[0].whole.state = State::Late;
    // Sixteenths at 60 are four pulses a second, triplets at 66 three and a third.
    runs[1].stretches[0].target =
        Target::Pulses { per_beat: windrow_protocol::score::PerBeat::new(4).unwrap() };
    runs[1].stretches[0].bpm = windrow_protocol::units::Bpm::new(60.0).unwrap();
    let rows = exercises(english(), &runs);
    let past = PastRuns::of(runs.clone());
    let tables = tables(english(), &runs, &rows, &past.review(), &BTreeMap::new());
    assert_eq!((tables.len(), tables[0].columns.len(), tables[0].is_last), (1, 1, true));
    let found: Vec<_> = tables[0]
        .rows
        .iter()
        .map(|row| (row.name.as_str(), row.fields[0].as_ref().unwrap().word.as_str(), row.held.as_str()))
        .collect();
    assert_eq!(found, [("Wren", "late", "sixteenths at 60"), ("Tobias", "fast", "none yet")]);
    assert_eq!(tables[0].rows[1].need, "wait for the tick");
}

#[test]
fn more_than_ten_exercises_stand_in_tables_as_wide_as_one_another() {
    let names: Vec<String> = (0u8..12).map(|i| char::from(b'A' + i).to_string()).collect();
    let played: Vec<_> =
        (0..12).map(|i| (names[i].as_str(), i as f64 * 90.0, i as f64 * 90.0 + 60.0)).collect();
    let runs = runs(&played);
    let rows = exercises(english(), &runs);
    let tables = tables(english(), &runs, &rows, &Review::default(), &BTreeMap::new());
    let found: Vec<_> = tables.iter().map(|t| (t.first_number, t.columns.len(), t.is_last)).collect();
    assert_eq!(found, [(1, 6, false), (7, 6, true)]);
}

#[test]
fn nothing_played_makes_no_table() {
    assert!(
        exercises(english(), &[]).is_empty()
            && tables(english(), &[], &[], &Review::default(), &BTreeMap::new()).is_empty()
    );
}
