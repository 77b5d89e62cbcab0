//! How players stand and what is planned, for sections made up a few words at a time. Expected rungs are those of the metronome.

use super::super::desk::{at_home, held, rung, tried, week};
use super::super::week::weeks;
use super::super::{Played, Week};
use super::*;
use windrow_protocol::messages::PractiseHow;

fn section(members: &[&[Played]]) -> Vec<Vec<Week>> {
    members.iter().map(|played| weeks(played.iter())).collect()
}

fn plan(members: &[Vec<Week>], today: i64) -> PlanNext {
    plan_next(members, &now(members), week(today))
}

#[test]
fn who_holds_more_than_four_weeks_ago_has_moved() {
    let members = section(&[
        &[held(0, 2, 60.0), held(4, 3, 66.0)],
        &[held(1, 2, 60.0), tried(4, 3, 66.0, State::Slow)],
        &[held(2, 2, 60.0), held(4, 2, 63.0)],
    ]);
    let now = now(&members);
    let told: Vec<_> = now.iter().map(|n| (n.before, n.reached, n.is_new)).collect();
    let eighths = |bpm| Some(rung(2, bpm));
    assert_eq!(
        told,
        [
            (eighths(60.0), Some(rung(3, 66.0)), false),
            (None, eighths(60.0), true),
            (None, eighths(63.0), true)
        ]
    );
    assert!(now[0].has_moved());
}

#[test]
fn whoever_holds_as_many_pulses_a_second_as_before_has_not_moved() {
    // Sixteenths at 72 and triplets at 96 are 4.8 pulses a second, by hand.
    let members = section(&[&[held(0, 4, 72.0), held(4, 3, 96.0)], &[held(0, 4, 72.0), held(4, 3, 100.0)]]);
    let moved: Vec<bool> = now(&members).iter().map(Now::has_moved).collect();
    assert_eq!(moved, [false, true]);
}

#[test]
fn what_was_held_once_stays_reached() {
    let members = section(&[&[held(0, 3, 66.0), tried(8, 3, 66.0, State::Fast), held(8, 2, 60.0)]]);
    let now = now(&members);
    assert_eq!((now[0].before, now[0].reached), (Some(rung(3, 66.0)), Some(rung(3, 66.0))));
    assert!(!now[0].has_moved());
}

#[test]
fn who_tries_a_rung_in_three_weeks_and_holds_it_in_none_is_stuck() {
    let three = |state| [0, 1, 3].map(|n| tried(n, 3, 63.0, state));
    let alone = three(State::Shallow);
    let later = [&three(State::Shallow)[..], &[held(4, 3, 63.0)]].concat();
    let faster = [&three(State::Shallow)[..], &[held(4, 3, 66.0)]].concat();
    let other = [&three(State::Shallow)[..], &[held(0, 4, 60.0)]].concat();
    let twice =
        [tried(0, 3, 63.0, State::Slow), tried(0, 3, 63.0, State::Slow), tried(1, 3, 63.0, State::Slow)];
    let home = [0, 1, 3].map(|n| at_home(tried(n, 3, 63.0, State::Slow)));
    let moved = [&three(State::Shallow)[..], &[held(0, 2, 60.0), held(4, 2, 69.0)]].concat();
    let now = now(&section(&[&alone, &later, &faster, &other, &twice, &home, &moved]));
    let is_stuck: Vec<bool> = now.iter().map(|n| n.stuck.is_some()).collect();
    assert_eq!(is_stuck, [true, false, false, true, false, false, false]);
    let stuck = now[0].stuck.unwrap();
    assert_eq!((stuck.rung, stuck.n_weeks, stuck.in_the_way), (rung(3, 63.0), 3, Some(State::Shallow)));
}

#[test]
fn what_was_tried_long_ago_is_nothing_to_be_stuck_at() {
    let old: Vec<Played> = (0..4).map(|n| tried(n, 3, 63.0, State::Slow)).collect();
    let members = section(&[&old, &[held(9, 2, 60.0)]]);
    assert_eq!(now(&members)[0].stuck, None);
}

#[test]
fn a_week_missed_is_one_in_which_others_rehearsed() {
    // Nobody was there in the second week.
    let members = section(&[&[held(0, 2, 60.0)], &[held(0, 2, 60.0), held(2, 2, 60.0), held(3, 2, 60.0)]]);
    let missed: Vec<usize> = now(&members).iter().map(|n| n.n_missed).collect();
    assert_eq!(missed, [2, 0]);
}

#[test]
fn practice_at_home_is_told_where_it_is_more_and_moves_nobody() {
    let members = section(&[
        &[held(0, 2, 60.0), at_home(held(0, 2, 66.0))],
        &[held(0, 2, 60.0), at_home(held(0, 2, 60.0))],
    ]);
    let now = now(&members);
    assert_eq!((now[0].reached, now[0].at_home), (Some(rung(2, 60.0)), Some(rung(2, 66.0))));
    assert_eq!(now[1].at_home, None);
    assert_eq!(plan(&members, 0).rung, Some(rung(2, 63.0)));
}

#[test]
fn the_rung_after_the_one_that_half_of_them_hold_comes_next() {
    let at = |bpm: f64| vec![held(0, 3, bpm)];
    let members = section(&[&at(60.0), &at(63.0), &at(63.0), &at(72.0), &[tried(0, 3, 60.0, State::Fast)]]);
    let next = plan(&members, 0);
    // Three of five hold 63 or more.
    let why = PlanWhy::Onwards { held: rung(3, 63.0), n_hold: 3, n_of: 5 };
    assert_eq!((next.rung, next.why, next.help), (Some(rung(3, 66.0)), why, None));
}

#[test]
fn who_was_away_for_a_month_does_not_hold_the_others_back() {
    let members = section(&[&[held(0, 2, 60.0)], &[held(0, 2, 60.0)], &[held(0, 3, 60.0), held(4, 3, 66.0)]]);
    let why = PlanWhy::Onwards { held: rung(3, 66.0), n_hold: 1, n_of: 1 };
    assert_eq!(plan(&members, 4).why, why);
}

#[test]
fn a_third_who_are_stuck_keep_the_section_where_it_is_with_what_helps() {
    let stuck = |state| {
        let mut played = vec![held(0, 3, 63.0)];
        played.extend([1, 2, 3].map(|n| tried(n, 3, 66.0, state)));
        played
    };
    let (shallow, uneven) = (stuck(State::Shallow), stuck(State::Uneven));
    let well = [held(0, 3, 63.0), held(3, 3, 66.0)];
    let members = section(&[&shallow, &shallow, &uneven, &well, &well, &well]);
    let next = plan(&members, 3);
    // Half of six hold 66, so nobody is stuck above that.
    assert_eq!(next.why, PlanWhy::Onwards { held: rung(3, 66.0), n_hold: 3, n_of: 6 });
    let members = section(&[&shallow, &shallow, &uneven, &well]);
    let next = plan(&members, 3);
    assert_eq!(next.why, PlanWhy::Stay { held: rung(3, 63.0), n_stuck: 3, n_of: 4 });
    assert_eq!(next.rung, Some(rung(3, 63.0)));
    let help = next.help.unwrap();
    assert_eq!((help.state, help.n_players, help.practise.how), (State::Shallow, 2, PractiseHow::Deep));
}

#[test]
fn a_section_begins_again_lower_after_a_month_without_a_rehearsal() {
    let members = section(&[&[held(0, 3, 66.0)], &[held(0, 3, 66.0)]]);
    assert_eq!(plan(&members, 3).rung, Some(rung(3, 69.0)));
    let after = plan(&members, 4);
    let why = PlanWhy::AfterBreak { n_weeks: 4, held: Some(rung(3, 66.0)) };
    assert_eq!((after.rung, after.why), (Some(rung(3, 63.0)), why));
}

#[test]
fn beginners_begin_and_whoever_has_come_to_the_end_makes_music() {
    let none = plan(&[], 0);
    assert_eq!((none.rung, none.why), (None, PlanWhy::Nothing));
    let first = [tried(0, 1, 60.0, State::Straight)];
    let members = section(&[&first, &first, &[held(0, 1, 60.0)]]);
    let begin = plan(&members, 0);
    assert_eq!((begin.rung, begin.why), (Some(rung(1, 60.0)), PlanWhy::Begin { n_hold: 1, n_of: 3 }));
    assert_eq!(begin.help.unwrap().practise.how, PractiseHow::OneOnEachTick);
    // Sixteenths at 104 are 6.9 pulses a second; a mark on would be more than seven.
    let members = section(&[&[held(0, 4, 104.0)]]);
    let end = plan(&members, 0);
    assert_eq!((end.rung, end.why), (None, PlanWhy::Musical { held: rung(4, 104.0), n_hold: 1, n_of: 1 }));
}

#[test]
fn one_players_trouble_is_none_of_the_sections() {
    let members = section(&[&[tried(0, 1, 60.0, State::Straight)], &[held(0, 1, 60.0)]]);
    assert_eq!(plan(&members, 0).help, None);
}
