//! Weeks of made-up stretches; expected values by hand.

use super::*;
use crate::weeks::desk::{at_home, held, rung, straight, tried, week};

#[test]
fn a_missed_week_is_missing() {
    let weeks = weeks(&[held(0, 3, 60.0), held(2, 3, 63.0), held(2, 3, 60.0)]);
    assert_eq!(weeks.iter().map(|w| w.week).collect::<Vec<_>>(), [week(0), week(2)]);
}

#[test]
fn home_and_rehearsal_stay_apart() {
    let all = weeks(&[held(0, 3, 60.0), at_home(held(0, 3, 72.0)), at_home(held(1, 2, 60.0))]);
    assert_eq!((all[0].held(), all[0].held_at_home()), (Some(rung(3, 60.0)), Some(rung(3, 72.0))));
    // 32 beats at 60 and at 72.
    assert!((all[0].rehearsal.as_ref().unwrap().asked_s - 32.0).abs() < 1e-9);
    assert!((all[0].home.as_ref().unwrap().asked_s - 32.0 * 60.0 / 72.0).abs() < 1e-9);
    assert_eq!((&all[1].rehearsal, all[1].held()), (&None, None));
    assert_eq!(reached(&all), [Some(rung(3, 60.0)); 2], "practice lifts no stair of the rehearsals");
}

#[test]
fn rungs_are_gathered_by_week_and_place() {
    let played = [
        tried(0, 3, 66.0, State::Slow),
        held(0, 3, 66.0),
        tried(0, 3, 69.0, State::Slow),
        at_home(tried(0, 3, 66.0, State::Fast)),
        straight(0),
    ];
    let all = weeks(&played);
    let told: Vec<_> = all[0].attempts.iter().map(|a| (a.rung, a.place, a.held)).collect();
    assert_eq!(
        told,
        [
            (rung(3, 66.0), Where::Rehearsal, true),
            (rung(3, 66.0), Where::Home, false),
            (rung(3, 69.0), Where::Rehearsal, false),
        ]
    );
}

#[test]
fn what_took_most_time_stands_in_the_way() {
    // Eight bars at 60, 24 s judged: 70 % of it lost twice to slow pulses, and once, all of it, to uneven ones: 33.6 and 24 s.
    let uneven = Played { matched: None, ..tried(0, 3, 60.0, State::Uneven) };
    let played = [tried(0, 3, 60.0, State::Slow), uneven, tried(0, 3, 60.0, State::Slow)];
    assert_eq!(weeks(&played)[0].attempts[0].in_the_way, Some(State::Slow));
    // Who was not heard had no fault, and nobody is blamed for having been matched.
    let unheard = [tried(0, 3, 60.0, State::NotHeard), held(0, 3, 60.0)];
    assert_eq!(weeks(&unheard)[0].attempts[0].in_the_way, None);
}

#[test]
fn a_rung_is_tried_where_it_could_have_been_held() {
    let base = held(0, 3, 60.0);
    for (played, is_tried) in [
        (base.clone(), true),
        (Played { bars: 3.995, ..base.clone() }, true),
        (Played { bars: 3.0, ..base.clone() }, false),
        (Played { is_steady: false, ..base.clone() }, false),
        (Played { judged_s: 0.0, ..base.clone() }, false),
        (straight(0), false),
    ] {
        assert_eq!(played.rung().is_some(), is_tried, "{played:?}");
    }
}

#[test]
fn the_highest_rung_so_far_never_falls() {
    let all = weeks(&[held(0, 3, 60.0), held(1, 2, 63.0), straight(2), held(3, 3, 63.0)]);
    let high = Some(rung(3, 60.0));
    assert_eq!(reached(&all), [high, high, high, Some(rung(3, 63.0))]);
}

#[test]
fn the_instrument_played_last_comes_first() {
    let oboe = Played { instrument: "oboe".into(), ..held(5, 3, 60.0) };
    let played = [held(0, 3, 60.0), oboe, held(2, 3, 60.0)];
    assert_eq!(instruments(&played), ["oboe", "flute"]);
}

#[test]
fn subdivisions_tell_how_long_they_were_played() {
    let told = subdivisions(&[held(0, 3, 60.0), held(0, 3, 60.0), held(1, 1, 60.0), straight(0)]);
    assert_eq!(told, [(PerBeat::new(1).unwrap(), 32.0), (PerBeat::new(3).unwrap(), 64.0)]);
}
