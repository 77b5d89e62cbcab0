//! When a room suggests something, and what it reminds of, with a hand on its clock.

use super::super::desk::{Desk, pulsed};
use windrow_protocol::messages::{ConductorSays, Moment, NextStep};
use windrow_words::InEnglish as _;

/// Two players whose pulses are all right, in triplets at 66 without end.
fn playing() -> (Desk, Vec<super::super::event::ConnectionId>) {
    let mut desk = Desk::playing_triplets();
    let players = vec![desk.join("Imogen"), desk.join("Wren")];
    (desk, players)
}

#[test]
fn an_exercise_without_end_is_judged_after_eight_bars() {
    let (mut desk, players) = playing();
    // A bar of four at 66 is 3.64 s.
    assert_eq!(desk.play_all(&players, 28.0, &pulsed()).suggestion, None);
    let suggestion = desk.play_all(&players, 4.0, &pulsed()).suggestion.unwrap();
    assert_eq!(suggestion.step, NextStep::Next);
    assert_eq!(suggestion.reason.as_str(), "both were matched for most of the time");
}

#[test]
fn a_suggestion_ends_with_what_it_was_about() {
    let (mut desk, players) = playing();
    desk.play_all(&players, 10.0, &pulsed());
    desk.command(ConductorSays::Stop { at: Moment::Now });
    let first = desk.look().suggestion.unwrap();
    assert_eq!(first.step, NextStep::Again);
    desk.now_us += 20e6;
    assert_eq!(desk.look().suggestion, Some(first), "the same evidence, the same words");
    desk.command(ConductorSays::Slower { at: Moment::Bar });
    assert_eq!(desk.look().suggestion, None, "first it has to be played so");
    desk.command(ConductorSays::Start);
    assert_eq!(desk.look().suggestion, None);
    desk.command(ConductorSays::Stop { at: Moment::Now });
    desk.command(ConductorSays::Next { at: Moment::Bar });
    assert_eq!(desk.look().suggestion, None);
}

#[test]
fn the_first_pulses_come_with_a_caution() {
    let (mut desk, _) = playing();
    let notices = desk.look().notices;
    assert!(notices.len() == 1 && notices[0].text.contains("light-headed"), "{notices:?}");
    desk.now_us += 5e6;
    assert_eq!(desk.look().notices, notices);
}

#[test]
fn ten_minutes_of_playing_call_for_a_rest() {
    let (mut desk, players) = playing();
    let seen = desk.play_all(&players, 602.0, &pulsed());
    assert!(seen.notices.iter().any(|n| n.text.starts_with("10 minutes")), "{:?}", seen.notices);
    assert_eq!(seen.suggestion.unwrap().step, NextStep::Rest);
}
