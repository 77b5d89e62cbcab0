//! What plans become: lengths, tempos and targets as written in the exercise, pulse rates as in published tables.

use super::*;
use crate::plan::play::Written;
use crate::words::InEnglish as _;
use windrow_protocol::score::PerBeat;

fn exercise(play: &str) -> Exercise {
    serde_json::from_str(&format!(r#"{{"play": {play}}}"#)).unwrap()
}

fn compiled(play: &str) -> Piece {
    piece(&exercise(play), "", 4.0)
}

/// Per span: beats (0 for no end), tempo, and the target in a word.
fn check(play: &str, expected: &[(f64, f64, &str)]) {
    let spans = compiled(play).spans;
    let found: Vec<_> = spans
        .iter()
        .map(|s| (s.length_beats.map_or(0.0, Beats::get), s.bpm.get(), s.target.word()))
        .collect();
    assert_eq!(found, expected, "{play}");
}

#[test]
fn plain_exercises_are_one_span() {
    check(r#"{"straight": {"bpm": 60, "bars": 4}}"#, &[(16.0, 60.0, "Straight tone")]);
    check(r#"{"free": {"bpm": 72}}"#, &[(0.0, 72.0, "Free vibrato")]);
    check(r#"{"pulses": {"bpm": 60, "values": ["triplets"]}}"#, &[(0.0, 60.0, "Triplets")]);
    check(r#"{"pulses": {"bpm": 60, "values": ["triplets"], "times": 8}}"#, &[(32.0, 60.0, "Triplets")]);
}

#[test]
fn values_follow_each_other_by_bar_or_by_beat() {
    check(
        r#"{"pulses": {"bpm": 60, "values": ["quarters", "eighths", "triplets", "sixteenths"]}}"#,
        &[
            (4.0, 60.0, "Quarters"),
            (4.0, 60.0, "Eighths"),
            (4.0, 60.0, "Triplets"),
            (4.0, 60.0, "Sixteenths"),
        ],
    );
    check(
        r#"{"pulses": {"bpm": 60, "values": ["eighths", "rest", "triplets", "eighths"], "each": "beat", "times": 2}}"#,
        &[
            (1.0, 60.0, "Eighths"),
            (1.0, 60.0, "Rest"),
            (1.0, 60.0, "Triplets"),
            (2.0, 60.0, "Eighths"),
            (1.0, 60.0, "Rest"),
            (1.0, 60.0, "Triplets"),
            (1.0, 60.0, "Eighths"),
        ],
    );
}

#[test]
fn pulse_rates_are_those_of_the_published_tables() {
    // Pulses a second = tempo / 60 x pulses a beat; of these, sixteenths at 60, 75 and 90 and triplets at 80, 100 and 120 stand in
    // Garrison's of 2012 (British Flute Society), four to the beat at 80 (5.33 Hz) in the University of Iowa's saxophone pages.
    for (bpm, value, hz) in [
        (60.0, "sixteenths", 4.0),
        (75.0, "sixteenths", 5.0),
        (90.0, "sixteenths", 6.0),
        (80.0, "triplets", 4.0),
        (100.0, "triplets", 5.0),
        (120.0, "triplets", 6.0),
        (80.0, "sixteenths", 5.33),
        (66.0, "triplets", 3.3),
        (72.0, "eighths", 2.4),
    ] {
        let piece = compiled(&format!(r#"{{"pulses": {{"bpm": {bpm}, "values": ["{value}"]}}}}"#));
        let span = &piece.spans[0];
        let asked = judge::Asked::at(span.target, span.bpm.get()).pulse_rate_hz.unwrap();
        assert!((asked - hz).abs() < 0.005, "{value} at {bpm}: {asked}");
    }
}

#[test]
fn a_tempo_changes_through_all_values_as_through_one_span() {
    let spans =
        compiled(r#"{"pulses": {"bpm": 60, "bpm_to": 120, "values": ["eighths", "triplets"], "times": 1}}"#)
            .spans;
    // Evenly in time over 8 beats: the squared tempo grows evenly, 94.87 half-way.
    let half = 9000f64.sqrt();
    assert!((spans[0].bpm_to.unwrap().get() - half).abs() < 1e-9);
    assert!((spans[1].bpm.get() - half).abs() < 1e-9);
    assert_eq!(spans[1].bpm_to.unwrap().get(), 120.0);
}

#[test]
fn a_ladder_climbs_by_the_marks_of_a_metronome() {
    let piece = compiled(
        r#"{"ladder": {"from_bpm": 60, "to_bpm": 72, "value": "eighths", "bars_per_rung": 4, "rest_bars": 1,
            "go_on": "when-matched", "step_back": true}}"#,
    );
    let rung = |bpm| (16.0, bpm, "Eighths");
    let rest = |bpm| (4.0, bpm, "Rest");
    let found: Vec<_> =
        piece.spans.iter().map(|s| (s.length_beats.unwrap().get(), s.bpm.get(), s.target.word())).collect();
    let expected = [
        rung(60.0),
        rest(63.0),
        rung(63.0),
        rest(66.0),
        rung(66.0),
        rest(69.0),
        rung(69.0),
        rest(72.0),
        rung(72.0),
    ];
    assert_eq!(found, expected);
    let climb = piece.ladder.unwrap();
    assert_eq!((climb.rungs, climb.matched.into()), (vec![0, 2, 4, 6, 8], 0.75));
}

#[test]
fn ease_goes_from_straight_to_full_and_back() {
    let piece = compiled(
        r#"{"ease": {"bpm": 60, "value": "triplets", "straight": 4, "growing": 4, "full": 8, "fading": 4,
            "straight_after": 0, "times": 2, "rest": 4}}"#,
    );
    let ease = |span: &Span| span.ease.map(|e| (f64::from(e.from), f64::from(e.to)));
    let way: Vec<_> = piece.spans.iter().map(|s| (s.target.word(), ease(s))).collect();
    let once = [
        ("Straight tone", None),
        ("Triplets", Some((0.0, 1.0))),
        ("Triplets", None),
        ("Triplets", Some((1.0, 0.0))),
    ];
    assert_eq!(way, [&once[..], &[("Rest", None)], &once[..]].concat());
}

#[test]
fn a_hairpin_mirrors_its_values_and_its_loudness() {
    let piece = compiled(
        r#"{"hairpin": {"bpm": 60, "values": ["eighths", "triplets"], "from": "p", "to": "f", "growing": 8, "fading": 8}}"#,
    );
    let found: Vec<_> =
        piece.spans.iter().map(|s| (s.target.per_beat().map(PerBeat::get), s.dynamics.unwrap())).collect();
    let d = |from, to| Dynamics { from, to };
    // Half of the way from p to f (three marks) rounds to two of them.
    assert_eq!(
        found,
        [
            (Some(2), d(Dynamic::P, Dynamic::Mf)),
            (Some(3), d(Dynamic::Mf, Dynamic::F)),
            (Some(3), d(Dynamic::F, Dynamic::Mf)),
            (Some(2), d(Dynamic::Mf, Dynamic::P)),
        ]
    );
    let lengths: f64 = piece.spans.iter().map(|s| s.length_beats.unwrap().get()).sum();
    assert_eq!(lengths, 16.0);
}

fn long_notes() -> Music {
    let written = |note: Option<&str>, beats, value| Written {
        note: note.map(|name| name.parse().unwrap()),
        beats: Beats::new(beats).unwrap(),
        value,
        dynamic: None,
        dynamic_to: None,
        tied: false,
    };
    let mut notes = vec![
        written(Some("F4"), 4.0, Some(PulseValue::Triplets)),
        written(Some("F4"), 2.0, Some(PulseValue::Triplets)),
        written(None, 2.0, None),
        written(Some("A4"), 4.0, None),
    ];
    notes[0].tied = true;
    notes[0].dynamic = Some(Dynamic::Mf);
    let passes = vec![Pass::Measured, Pass::LessMeasured, Pass::Free];
    Music { bpm: Bpm::new(60.0).unwrap(), notes, passes, rest: Beats::new(4.0).unwrap() }
}

#[test]
fn tied_notes_are_one_and_the_last_pass_is_free() {
    let mut exercise = exercise(r#"{"free": {"bpm": 60}}"#);
    exercise.play = Play::Music(long_notes());
    let spans = piece(&exercise, "", 4.0).spans;
    let found: Vec<_> =
        spans.iter().map(|s| (s.length_beats.unwrap().get(), s.target.word(), s.loosely)).collect();
    let pass =
        |vibrato, loosely| [(6.0, vibrato, loosely), (2.0, "Rest", false), (4.0, "Straight tone", false)];
    let rest = [(4.0, "Rest", false)];
    let expected =
        [&pass("Triplets", false)[..], &rest, &pass("Triplets", true), &rest, &pass("Free vibrato", false)]
            .concat();
    assert_eq!(found, expected);
    assert_eq!(spans[2].note, "A4".parse().ok());
    // The loudness stands until another is written.
    assert_eq!(spans[2].dynamics.unwrap().from, Dynamic::Mf);
}

#[test]
fn a_tie_into_another_value_or_loudness_keeps_both() {
    let mut music = long_notes();
    music.notes[1].value = Some(PulseValue::Sixteenths);
    assert_eq!(line(&music, Pass::Measured).len(), 4);
    let mut music = long_notes();
    music.notes[1].dynamic_to = Some(Dynamic::P);
    assert_eq!(line(&music, Pass::Measured).len(), 4);
}

#[test]
fn a_part_lasts_until_the_next_and_names_come_from_what_is_asked() {
    let plan: Plan = serde_json::from_str(
        r#"{"format": "windrow-plan", "version": 1, "name": "a", "title": "A", "exercises": [
            {"part": "Day 1", "play": {"straight": {"bpm": 60}}},
            {"play": {"ladder": {"from_bpm": 60, "to_bpm": 63, "value": "quarters", "bars_per_rung": 1}}},
            {"part": "Day 2", "title": "Bells", "play": {"free": {"bpm": 60}}}]}"#,
    )
    .unwrap();
    let lesson = compile(&plan);
    let named: Vec<_> =
        lesson.pieces.iter().map(|p| (p.brief.part.as_str(), p.brief.name.as_str())).collect();
    assert_eq!(named, [("Day 1", ""), ("Day 1", "Ladder"), ("Day 2", "Bells")]);
    assert_eq!(lesson.beats_per_bar, 4);
}
