//! The plans that come with the program: that they can be played, rest, and take the time they say; and how long plans take at
//! all, by arithmetic done apart.

use super::*;
use crate::words::{Language, Words, english};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::score::{Score, Span, Target, TickFrom};
use windrow_protocol::units::{Beats, Micros};

fn named(name: &str) -> &'static Plan {
    built_in_named(name, Language::English).unwrap()
}

/// What is doubtful, in English.
fn said_of(plan: &Plan) -> Vec<String> {
    warnings(plan).iter().map(english).collect()
}

/// A plan of one exercise.
fn plan_of(play: &str) -> Plan {
    let text = format!(
        r#"{{"format":"windrow-plan","version":1,"name":"a","title":"A","exercises":[{{"play":{play}}}]}}"#
    );
    read(&text).unwrap()
}

#[test]
fn every_exercise_can_be_played() {
    for plan in built_in(Language::English) {
        let lesson = compile(plan);
        assert_eq!(lesson.pieces.len(), plan.exercises.len());
        for piece in lesson.pieces {
            let count = Span::new(piece.spans[0].bpm, Target::CountIn).lasting(Beats::new(4.0).unwrap());
            let score = Score {
                version: 1,
                start_us: Micros::new(0.0).unwrap(),
                beats_per_bar: lesson.beats_per_bar,
                tick: TickFrom::default(),
                spans: std::iter::once(count).chain(piece.spans).collect(),
            };
            assert_eq!(score.check(), Ok(()), "{}: {:?}", plan.name, piece.brief.name);
        }
    }
}

#[test]
fn every_plan_rests_cautions_and_is_honest_about_time() {
    for plan in built_in(Language::English) {
        let name = &plan.name;
        // Three minutes without a rest of ten seconds: our own choice.
        let playing_s = length(plan).longest_playing_s;
        assert!(playing_s <= 180.0, "{name}: {playing_s} s without a rest");
        assert!(length(plan).exercises_s.iter().all(Option::is_some), "{name} ends by itself");
        assert_eq!(warnings(plan), [], "{name}");
        let is_drill = |exercise: &Exercise| matches!(exercise.play, Play::Pulses(_) | Play::Ladder(_));
        let first_drill = plan.exercises.iter().position(is_drill).unwrap_or(plan.exercises.len() - 1);
        let said =
            plan.exercises[..=first_drill].iter().flat_map(|e| &e.cautions).cloned().collect::<String>();
        for caution in ["rules come before", "light-headed"] {
            let later = plan.exercises.iter().flat_map(|e| &e.cautions).any(|c| c.contains(caution));
            assert!(said.contains(caution) && later, "{name} says \"{caution}\" before the first drill");
        }
        let hurts = plan.exercises.iter().flat_map(|e| &e.cautions).any(|c| c.contains("hurt"));
        assert!(hurts || name == "matching-a-section", "{name}");
        assert!(
            ["week", "month", "lesson"].iter().any(|word| plan.takes.contains(word)),
            "{name}: takes {}",
            plan.takes
        );
        assert!(plan.exercises.iter().all(|e| !e.say.is_empty() && !e.goal.is_empty()), "{name}");
    }
}

/// The plan without what is written in a language.
fn wordless(plan: &Plan) -> Plan {
    let mut plan = plan.clone();
    plan.title.clear();
    plan.about.clear();
    plan.takes.clear();
    for exercise in &mut plan.exercises {
        exercise.title = exercise.title.take().map(|_| String::new());
        exercise.part = exercise.part.take().map(|_| String::new());
        exercise.say.clear();
        exercise.goal.clear();
        exercise.cautions.iter_mut().for_each(String::clear);
    }
    plan
}

#[test]
fn in_every_language_the_plans_are_the_same_but_for_their_words() {
    for language in Language::ALL.into_iter().filter(|language| *language != Language::English) {
        assert_eq!(built_in(language).len(), built_in(Language::English).len());
        for (plan, english) in built_in(language).iter().zip(built_in(Language::English)) {
            let name = &english.name;
            assert_eq!(wordless(plan), wordless(english), "{name}");
            assert_eq!(check(plan), [], "{name}");
            assert_eq!(warnings(plan), [], "{name}");
            assert!(is_built_in(plan) && is_built_in(english), "{name}");
            let of = |plan: &Plan| {
                let own = plan.exercises.iter().flat_map(|e| {
                    let few = [e.title.clone(), e.part.clone(), Some(e.say.clone()), Some(e.goal.clone())];
                    few.into_iter().flatten().chain(e.cautions.clone()).collect::<Vec<_>>()
                });
                [plan.title.clone(), plan.about.clone(), plan.takes.clone()]
                    .into_iter()
                    .chain(own)
                    .collect::<Vec<_>>()
            };
            for (said, in_english) in of(plan).iter().zip(of(english)) {
                assert_ne!(*said, in_english, "{name} is not said in {language:?}");
            }
        }
    }
}

#[test]
fn plans_take_as_long_as_their_bars_beats_and_rests() {
    // First lesson, all at 60 in fours: 46 bars and 9 of counting are 220 s, rests 205 s.
    assert!((length(named("first-lesson")).whole_s - 425.0).abs() < 1e-9);
    // Daily ten minutes: bars at 60 (6 + 1, 12 + 1, 4 + 1) 100 s; a ladder of three bars on each of 60, 63, 66, 69, 72, 76, 80 with a
    // bar of rest before each but the first, and a bar of counting, 97.66 s; at 72 nine bars twice and 56 beats, 106.67 s; at 66
    // 56 beats, 50.91 s; rests 240 s.
    assert!((length(named("daily-ten-minutes")).whole_s - 595.24).abs() < 0.01);
    // Played whole by a simulated section.
    let fortnight_min = length(named("first-fortnight")).whole_s / 60.0;
    assert!((20.0..=25.0).contains(&fortnight_min), "{fortnight_min} min");
}

#[test]
fn the_first_fortnight_has_its_days() {
    let parts: Vec<&str> =
        named("first-fortnight").exercises.iter().filter_map(|e| e.part.as_deref()).collect();
    assert_eq!(parts, ["Days 1 to 3", "Days 4 to 6", "Days 7 to 9", "Days 10 to 12", "Days 13 and 14"]);
}

#[test]
fn a_tempo_that_changes_lasts_its_length_at_the_mean_of_both() {
    // Sixteen beats from 60 to 80: at 70 on the mean, 13.71 s; before it a bar of counting at 60.
    let plan = plan_of(r#"{"pulses":{"bpm":60,"bpm_to":80,"values":["eighths"],"times":4}}"#);
    let length = length(&plan);
    assert!((length.whole_s - (4.0 + 16.0 * 60.0 / 70.0)).abs() < 1e-9, "{length:?}");
    let open = plan_of(r#"{"straight":{"bpm":60}}"#);
    assert_eq!(super::length(&open).exercises_s, [None]);
}

#[test]
fn rates_are_tempo_over_sixty_times_pulses_a_beat() {
    // Tables of pulses a second, as teachers print them (Garrison 2012: 4 Hz is triplets at 80 or sixteenths at 60; 5 is 100 or 75;
    // 6 is 120 or 90; 7 is 140 or 105).
    for (value, bpm, hz) in [
        ("triplets", 80, 4.0),
        ("sixteenths", 60, 4.0),
        ("triplets", 100, 5.0),
        ("sixteenths", 75, 5.0),
        ("triplets", 120, 6.0),
        ("sixteenths", 90, 6.0),
        ("triplets", 140, 7.0),
        ("sixteenths", 105, 7.0),
    ] {
        let plan = plan_of(&format!(r#"{{"pulses":{{"bpm":{bpm},"values":["{value}"],"times":2}}}}"#));
        let rates = rates(&compile(&plan).pieces[0]).unwrap();
        assert!((rates.most_hz - hz).abs() < 1e-9 && (rates.least_hz - hz).abs() < 1e-9, "{value} at {bpm}");
        assert!(warnings(&plan).is_empty(), "{value} at {bpm}");
    }
    // Past those: no vibrato any more.
    for (value, bpm, said) in
        [("sixteenths", 108, "7.2"), ("triplets", 144, "7.2"), ("sextuplets", 72, "7.2")]
    {
        let plan = plan_of(&format!(r#"{{"pulses":{{"bpm":{bpm},"values":["{value}"],"times":2}}}}"#));
        assert_eq!(
            said_of(&plan),
            [format!(
                "exercise 1 (pulses): asks for {said} pulses a second; above 7 it is no vibrato any more"
            )]
        );
    }
}

#[test]
fn long_playing_and_waiting_are_worth_a_warning() {
    let long = plan_of(r#"{"pulses":{"bpm":60,"values":["eighths","triplets"],"times":40}}"#);
    assert_eq!(
        said_of(&long),
        ["there are 5 minutes of playing without a rest of ten seconds: put a \"rest_s\" in between"]
    );
    let mut waiting = plan_of(r#"{"straight":{"bpm":60}}"#);
    waiting.exercises.push(waiting.exercises[0].clone());
    assert_eq!(
        said_of(&waiting),
        ["exercise 1 (straight): goes on until it is stopped, so the plan waits for you there"]
    );
}

/// A line that every instrument can play without leaping to another octave on the way: all of its notes lie on the staff at once.
#[test]
fn the_line_of_into_music_keeps_its_shape_on_every_usual_instrument() {
    let lines = named("into-music").exercises.iter().filter_map(|exercise| match &exercise.play {
        Play::Music(music) => Some(music),
        _ => None,
    });
    let lines: Vec<&Music> = lines.collect();
    assert_eq!(lines.len(), 2);
    let whole: f64 = lines[1].notes.iter().map(|note| note.beats.get()).sum();
    assert!((16.0..=24.0).contains(&(whole / 4.0)), "{whole} beats");
    let rare = [Instrument::AltoFlute, Instrument::ClarinetA];
    for &instrument in Instrument::ALL.iter().filter(|instrument| !rare.contains(instrument)) {
        let notes = lines.iter().flat_map(|music| music.notes.iter().filter_map(|written| written.note));
        let notes: Vec<_> = notes.collect();
        let fits = |octaves: i32| {
            notes
                .iter()
                .all(|note| note.transposed(12 * octaves).is_some_and(|note| instrument.lies_well(note)))
        };
        assert!((-4..=2).any(fits), "{}", instrument.label());
    }
}

#[test]
fn exercises_are_told_in_plain_words() {
    let words = |play: &str| played(&plan_of(play).exercises[0].play, Words::default());
    assert_eq!(
        words(r#"{"straight":{"bpm":60,"bars":4,"dynamic":"mf"}}"#),
        "a straight tone, 4 bars at 60, mf"
    );
    assert_eq!(words(r#"{"free":{"bpm":72}}"#), "vibrato without a measure, until it is stopped at 72");
    assert_eq!(words(r#"{"pulses":{"bpm":60,"values":["quarters"],"times":1}}"#), "quarters, 1 bar at 60");
    assert_eq!(
        words(r#"{"pulses":{"bpm":60,"bpm_to":80,"values":["quarters","eighths"],"each":"beat","times":2}}"#),
        "quarters and eighths, a beat each, twice from 60 to 80"
    );
    assert_eq!(
        words(
            r#"{"ladder":{"from_bpm":60,"to_bpm":69,"value":"triplets","bars_per_rung":4,"rest_bars":1,"go_on":"when-matched","step_back":true}}"#
        ),
        "triplets at 60, 63, 66 and 69, 4 bars on each, 1 bar of rest between; it goes on once 75 % are matched, and a \
         mark back when the section falls apart"
    );
    assert_eq!(
        words(
            r#"{"ease":{"bpm":66,"value":"sixteenths","straight":4,"growing":2.5,"full":8,"fading":4,"straight_after":0,"times":2,"rest":1}}"#
        ),
        "sixteenths at 66: 4 beats straight, 2.5 beats growing, 8 beats full and 4 beats fading; twice, 1 beat of rest \
         between"
    );
    assert_eq!(
        words(r#"{"hairpin":{"bpm":60,"values":["free"],"from":"p","to":"f","growing":8,"fading":8}}"#),
        "free vibrato at 60, p to f in 8 beats and back in 8 beats"
    );
}
