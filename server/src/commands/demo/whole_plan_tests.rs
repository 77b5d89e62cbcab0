//! Whole plans, played and heard faster than time: they always end, and the number of threads changes nothing.

use super::super::plan_outcome::of_all;
use super::*;
use crate::plan::{compile, read};
use serde_json::{Value, json};
use windrow_protocol::judge::State;

fn lesson(exercises: &Value) -> Lesson {
    let plan = json!({
        "format": "windrow-plan", "version": 1, "name": "short", "title": "Short", "exercises": exercises,
    });
    compile(&read(&plan.to_string()).unwrap())
}

fn manner(n_threads: usize) -> Manner {
    Manner { a4_hz: Hertz::new(440.0).unwrap(), open_microphones: false, speed: None, n_threads }
}

/// Names of exercises that were begun, in order, with the bpm that was played when each was seen.
fn marks(lesson: &Lesson) -> (Rehearsal, Vec<f64>) {
    let mut marks = Vec::new();
    let rehearsal = play(lesson, manner(2), |room| {
        let bpm = room.settings.bpm.get();
        if room.score.is_some() && marks.last() != Some(&bpm) {
            marks.push(bpm);
        }
    });
    (rehearsal.unwrap(), marks)
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let lesson = lesson(&json!([
        { "play": { "pulses": { "bpm": 120, "values": ["eighths"], "times": 4 } }, "voicing": "triad", "note": "F4" },
    ]));
    let open = |n_threads| Manner { open_microphones: true, ..manner(n_threads) };
    let outcomes = |n_threads| {
        let rehearsal = play(&lesson, open(n_threads), |_| {}).unwrap();
        of_all(&lesson, &rehearsal.results)
    };
    let alone = outcomes(1);
    assert_eq!(alone.len(), 8);
    assert_eq!(outcomes(3), alone);
}

/// Six of the eight have a fault: a ladder that waits for nearly all to be matched would wait for ever.
#[test]
fn a_ladder_that_waits_for_the_section_is_let_go_in_the_end() {
    let ladder = json!({ "from_bpm": 116, "to_bpm": 120, "value": "eighths", "bars_per_rung": 2,
                         "go_on": "when-matched", "matched": 0.9 });
    let (rehearsal, marks) = marks(&lesson(&json!([{ "play": { "ladder": ladder } }])));
    assert!(marks.starts_with(&[116.0, 120.0]), "{marks:?}");
    let run = rehearsal.results.runs.last().unwrap();
    assert_eq!(run.players[0].whole.state, State::Matched);
    // Two rungs of two bars of four would be eight seconds; each was played at least twice as long.
    assert!(rehearsal.lasted.as_secs_f64() > 16.0, "{:?}", rehearsal.lasted);
}

/// It steps back as long as fewer than a quarter are matched.
#[test]
fn a_ladder_that_steps_back_again_and_again_is_left() {
    let ladder =
        json!({ "from_bpm": 116, "to_bpm": 120, "value": "eighths", "bars_per_rung": 8, "step_back": true });
    let bands = json!({ "timing_ms": 5, "centre_cents": 1, "rate_percent": 0.5 });
    let (rehearsal, marks) = marks(&lesson(&json!([{ "play": { "ladder": ladder }, "bands": bands }])));
    assert!(marks.starts_with(&[116.0, 120.0, 116.0]), "{marks:?}");
    assert!(rehearsal.results.runs.iter().all(|run| run.is_over));
}

#[test]
fn what_has_no_end_is_ended_and_its_rest_kept() {
    let open = json!({ "pulses": { "bpm": 240, "values": ["quarters"] } });
    let straight = json!({ "straight": { "bpm": 240, "bars": 4 } });
    let lesson = lesson(&json!([{ "play": open, "rest_s": 10 }, { "play": straight }]));
    let rehearsal = play(&lesson, manner(2), |_| {}).unwrap();
    let runs: Vec<u16> = rehearsal.results.runs.iter().map(|run| run.exercise).collect();
    assert_eq!(runs, [1, 2]);
    // Eight bars and a bar of count-in at 240 are nine seconds, four and a count-in five; ten of rest, twelve for the last word.
    let lasted_s = rehearsal.lasted.as_secs_f64();
    assert!((36.0..46.0).contains(&lasted_s), "{lasted_s}");
}

/// Two bars each at a pulse a second: eight pulses, and the rate is to be known from four.
#[test]
fn a_short_turn_at_a_slow_tempo_is_enough_to_be_judged() {
    let quarters = json!({ "pulses": { "bpm": 60, "values": ["quarters"], "times": 2 } });
    let lesson = lesson(&json!([{ "play": quarters, "turns": "down-the-line" }]));
    let rehearsal = play(&lesson, manner(2), |_| {}).unwrap();
    let states: Vec<State> = rehearsal.results.runs[0].players.iter().map(|p| p.whole.state).collect();
    // Her pitch rises from the phrase's beginning on, whoever plays: at her turn it is sharp, and may go on rising.
    assert!([State::DriftingSharp, State::Sharp].contains(&states[3]), "{states:?}");
    let before = [State::Matched, State::Late, State::Fast];
    let after = [State::Shallow, State::PitchLed, State::ChokedValleys, State::Matched];
    assert_eq!((&states[..3], &states[4..]), (&before[..], &after[..]));
}
