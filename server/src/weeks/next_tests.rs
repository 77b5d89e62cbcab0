//! Each rule of what to do next, with made-up weeks.

use super::*;
use crate::weeks::desk::{at_home, held, rung, straight, tried, week};
use crate::weeks::{Played, weeks};

fn of(played: &[Played], n_today: i64) -> Next {
    next(&weeks(played), week(n_today))
}

#[track_caller]
fn check(played: &[Played], at: Rung, why: Why) -> Practise {
    let newest = played.iter().map(|p| IsoWeek::of_unix_ms(p.began_unix_ms)).max().unwrap();
    let next = next(&weeks(played), newest);
    assert_eq!((next.rung, next.why), (Some(at), why));
    let home = next.home.unwrap();
    assert_eq!(home.breaths, 10);
    home.practise
}

fn on(how: PractiseHow, at: Rung) -> Practise {
    Practise { how, per_beat: Some(at.per_beat), bpm: Some(at.bpm), then_bpm: None }
}

#[test]
fn who_was_never_heard_is_led_nowhere() {
    let unheard =
        Played { judged_s: 0.0, matched: None, held: false, state: State::NotHeard, ..held(0, 3, 60.0) };
    for played in [vec![], vec![unheard]] {
        assert_eq!(of(&played, 0), Next { rung: None, why: Why::Nothing, home: None });
    }
}

#[test]
fn after_straight_tones_pulses_begin_with_one_on_each_beat() {
    let home = check(&[straight(0)], rung(1, 60.0), Why::FirstPulses);
    assert_eq!(home, on(PractiseHow::OneOnEachTick, rung(1, 60.0)));
}

#[test]
fn after_some_weeks_away_one_begins_a_mark_lower() {
    let played = [held(0, 3, 63.0), held(1, 3, 66.0)];
    let back = of(&played, 5);
    assert_eq!(back.rung, Some(rung(3, 63.0)));
    assert_eq!(back.why, Why::Away { n_weeks: 4, held: Some(rung(3, 66.0)) });
    assert_ne!(of(&played, 4).rung, Some(rung(3, 63.0)), "three weeks are none to speak of");
    // Practice counts as playing.
    let practised = [held(0, 3, 63.0), at_home(held(4, 3, 60.0))];
    assert!(!matches!(of(&practised, 5).why, Why::Away { .. }));
}

#[test]
fn what_is_not_held_yet_is_tried_again_and_then_slower() {
    let once = [tried(0, 2, 60.0, State::Slow)];
    let home = check(&once, rung(2, 60.0), Why::NotYet { in_the_way: Some(State::Slow) });
    let then = Some(Bpm::new(60.0).unwrap());
    assert_eq!(home, Practise { then_bpm: then, ..on(PractiseHow::SlowerThenBack, rung(2, 58.0)) });
    let thrice = [0, 1, 2].map(|n| tried(n, 2, 60.0, State::Uneven));
    let home = check(&thrice, rung(2, 58.0), Why::TooFast { tried: rung(2, 60.0), n_weeks: 3 });
    // A tenth slower than 60 is 54.
    assert_eq!(home, on(PractiseHow::Slower, rung(2, 54.0)));
}

#[test]
fn of_several_rungs_that_are_not_held_the_lowest_counts() {
    let played = [tried(0, 3, 66.0, State::Slow), tried(0, 2, 60.0, State::Shallow)];
    check(&played, rung(2, 60.0), Why::NotYet { in_the_way: Some(State::Shallow) });
}

#[test]
fn what_was_held_in_two_weeks_leads_on_by_one_mark() {
    let held_twice = [held(0, 3, 63.0), held(1, 3, 63.0)];
    let home = check(&held_twice, rung(3, 66.0), Why::Onwards { held: rung(3, 63.0), n_weeks: 2 });
    assert_eq!(home, on(PractiseHow::Slower, rung(3, 60.0)));
    // A higher rung in the other week is no less than that one.
    let rising = [held(0, 3, 66.0), held(1, 3, 63.0), held(2, 3, 66.0)];
    check(&rising, rung(3, 69.0), Why::Onwards { held: rung(3, 66.0), n_weeks: 2 });
}

#[test]
fn what_was_held_in_one_week_is_played_once_more() {
    let played = [held(0, 3, 60.0), held(1, 3, 63.0), held(1, 3, 63.0)];
    check(&played, rung(3, 63.0), Why::OnceMore { held: rung(3, 63.0) });
}

#[test]
fn what_was_held_long_ago_does_not_count() {
    let played = [held(0, 4, 72.0), held(1, 4, 72.0), held(7, 3, 60.0), held(8, 3, 60.0)];
    check(&played, rung(3, 63.0), Why::Onwards { held: rung(3, 60.0), n_weeks: 2 });
}

#[test]
fn a_rung_that_was_tried_is_tried_again_but_never_more_than_a_mark_on() {
    let near = [held(0, 3, 63.0), tried(0, 3, 66.0, State::Late)];
    let home = check(&near, rung(3, 66.0), Why::TryAgain { held: rung(3, 63.0) });
    assert_eq!(home, on(PractiseHow::WithTick, rung(3, 60.0)));
    // Sixteenths at 60 would be as fast; triplets were tried.
    let alike = [held(0, 3, 76.0), tried(0, 3, 80.0, State::Slow)];
    check(&alike, rung(3, 80.0), Why::TryAgain { held: rung(3, 76.0) });
    let far = [held(0, 3, 63.0), tried(0, 4, 80.0, State::Slow)];
    check(&far, rung(3, 66.0), Why::TryAgain { held: rung(3, 63.0) });
}

#[test]
fn a_rung_tried_in_three_weeks_wants_something_else_first() {
    let mut played: Vec<Played> = [0, 1, 2].map(|n| tried(n, 3, 66.0, State::PitchLed)).to_vec();
    played.extend([held(0, 3, 63.0), held(2, 3, 63.0)]);
    let why = Why::Stuck {
        held: rung(3, 63.0),
        tried: rung(3, 66.0),
        n_weeks: 3,
        in_the_way: Some(State::PitchLed),
    };
    let home = check(&played, rung(3, 63.0), why);
    assert_eq!(home, on(PractiseHow::StraightThenPulses, rung(1, 60.0)));
}

#[test]
fn small_pulses_are_made_bigger_before_they_become_faster() {
    let small = |n| Played { depth_db_pp: Some(2.0), ..held(n, 3, 63.0) };
    let home =
        check(&[small(0), small(1)], rung(3, 63.0), Why::Deepen { held: rung(3, 63.0), depth_db_pp: 2.0 });
    assert_eq!(home, on(PractiseHow::Deep, rung(1, 60.0)));
    let enough = |n| Played { depth_db_pp: Some(3.0), ..held(n, 3, 63.0) };
    check(&[enough(0), enough(1)], rung(3, 66.0), Why::Onwards { held: rung(3, 63.0), n_weeks: 2 });
}

#[test]
fn what_was_held_at_home_is_worth_a_try_in_the_rehearsal() {
    let played = [held(0, 3, 63.0), at_home(held(1, 3, 72.0))];
    check(&played, rung(3, 66.0), Why::AtHome { held: rung(3, 63.0) });
    // What was held at home no higher changes nothing.
    let lower = [held(0, 3, 63.0), at_home(held(1, 3, 60.0))];
    check(&lower, rung(3, 63.0), Why::OnceMore { held: rung(3, 63.0) });
}

#[test]
fn who_only_plays_at_home_is_led_on_as_well() {
    let played = [at_home(held(0, 2, 60.0)), at_home(held(1, 2, 60.0))];
    check(&played, rung(2, 63.0), Why::Onwards { held: rung(2, 60.0), n_weeks: 2 });
}

#[test]
fn nobody_is_led_over_the_ceiling() {
    let played = [held(0, 4, 104.0), held(1, 4, 104.0)];
    let next = of(&played, 1);
    assert_eq!((next.rung, next.why), (None, Why::Musical { held: rung(4, 104.0) }));
    // The ceiling stands whatever was tried.
    let faster = [held(0, 4, 104.0), tried(0, 4, 116.0, State::Slow)];
    assert_eq!(of(&faster, 0).rung, None);
}

#[test]
fn every_fault_has_an_exercise_no_faster_than_the_rung() {
    let at = rung(4, 66.0);
    for state in State::ALL {
        let practise = against(state, at);
        for bpm in practise.bpm.iter().chain(&practise.then_bpm) {
            assert!(*bpm <= at.bpm, "{state:?}");
        }
    }
}
