//! What is said of a section, word by word.

use super::*;
use crate::weeks::desk::rung;
use crate::weeks::{Help, Stuck};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Practise, PractiseHow};

fn stands() -> Now {
    Now {
        reached: None,
        before: None,
        is_new: false,
        stuck: None,
        n_missed: 0,
        is_present: true,
        at_home: None,
    }
}

fn next(rung: Option<Rung>, why: PlanWhy) -> PlanNext {
    PlanNext { rung, why, help: None }
}

fn told_of(now: &Now) -> (String, String, String) {
    let told = told(Words::default(), &["Wren"], std::slice::from_ref(now), &next(None, PlanWhy::Nothing));
    (told.moved.concat(), told.stuck.concat(), told.away.concat())
}

#[test]
fn who_moved_is_told_from_where_to_where() {
    let of = |before, reached, is_new| told_of(&Now { before, reached, is_new, ..stands() }).0;
    let eighths = Some(rung(2, 60.0));
    assert_eq!(of(eighths, Some(rung(3, 66.0)), false), "Wren: from eighths at 60 to triplets at 66");
    assert_eq!(of(eighths, Some(rung(2, 66.0)), false), "Wren: from eighths at 60 to 66");
    assert_eq!(of(None, eighths, false), "Wren: eighths at 60, the first rung");
    assert_eq!(of(None, eighths, true), "Wren, new: eighths at 60");
    assert_eq!(
        of(eighths, eighths, false),
        "Nobody moved to another rung. Such weeks come to every section."
    );
}

#[test]
fn who_is_stuck_is_told_with_what_helps_and_who_is_away_is_not_stuck() {
    let stuck = |in_the_way| Some(Stuck { rung: rung(3, 66.0), n_weeks: 4, in_the_way });
    let of = |in_the_way, is_present| told_of(&Now { stuck: stuck(in_the_way), is_present, ..stands() }).1;
    assert_eq!(of(Some(State::Shallow), true), "Wren: triplets at 66, tried in 4 weeks; bigger pulses");
    assert_eq!(of(None, true), "Wren: triplets at 66, tried in 4 weeks");
    assert_eq!(of(None, false), "Nobody");
}

#[test]
fn who_was_away_is_told_with_for_how_long() {
    let of = |n_missed| told_of(&Now { n_missed, ..stands() }).2;
    assert_eq!(of(0), "Nobody: all were in the last rehearsal");
    assert_eq!(of(1), "Wren: the last week with a rehearsal");
    assert_eq!(of(3), "Wren: the last 3 weeks with a rehearsal");
}

#[test]
fn who_missed_the_same_weeks_is_told_together_and_long_lists_are_cut() {
    let names: Vec<String> = (1..=9).map(|n| format!("P{n}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let stand = |n: usize| Now {
        reached: Some(rung(2, 60.0)),
        n_missed: usize::from(n.is_multiple_of(3)),
        ..stands()
    };
    let now: Vec<Now> = (1..=9).map(stand).collect();
    let told = told(Words::default(), &names, &now, &next(None, PlanWhy::Nothing));
    assert_eq!(told.away, ["P3, P6, P9: the last week with a rehearsal"]);
    assert_eq!((told.moved.len(), &*told.moved[6]), (7, "and 3 more, below"));
}

#[test]
fn what_to_plan_next_has_its_reason() {
    let held = rung(3, 63.0);
    let of = |rung, why| {
        let told = told(Words::default(), &[], &[], &next(rung, why));
        format!("{}. {}", told.headline, told.reason)
    };
    assert_eq!(
        of(Some(rung(3, 66.0)), PlanWhy::Onwards { held, n_hold: 8, n_of: 12 }),
        "Plan next: triplets at 66. 8 of 12 hold 63: the next mark."
    );
    assert_eq!(
        of(Some(held), PlanWhy::Stay { held, n_stuck: 4, n_of: 12 }),
        "Plan next: triplets at 63. Stay here for now: half of the section holds it, 4 of 12 are stuck above."
    );
    assert_eq!(
        of(Some(rung(1, 60.0)), PlanWhy::Begin { n_hold: 0, n_of: 3 }),
        "Plan next: quarters at 60. Nobody holds a rung yet: begin with one pulse on each beat."
    );
    assert_eq!(
        of(Some(rung(3, 60.0)), PlanWhy::AfterBreak { n_weeks: 6, held: Some(held) }),
        "Plan next: triplets at 60. There was no rehearsal for 6 weeks. Half of the section held 63; begin one mark below."
    );
    assert_eq!(
        of(None, PlanWhy::Nothing),
        "Plan the first rehearsal. No rung was tried yet. The first lesson begins with a straight tone."
    );
}

#[test]
fn what_stood_in_the_way_of_most_comes_with_an_exercise() {
    let (how, first) = (PractiseHow::Deep, rung(1, 60.0));
    let practise = Practise { how, per_beat: Some(first.per_beat), bpm: Some(first.bpm), then_bpm: None };
    let help = Help { state: State::Shallow, n_players: 4, practise };
    let next = PlanNext { help: Some(help), ..next(Some(first), PlanWhy::Begin { n_hold: 0, n_of: 9 }) };
    let told = told(Words::default(), &[], &[], &next);
    assert_eq!(told.help, "In the way of 4: shallow. What helps: quarters at 60, deep.");
}
