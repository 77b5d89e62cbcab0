//! Which weeks and which pulses are shown, by what an address asks for.

use super::*;
use crate::weeks::Where;
use crate::weeks::desk::{at_home, held, rung, straight, week};

fn wanted(pulses: &str, span: &str, instrument: &str) -> Wanted {
    let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    Wanted { pulses: some(pulses), span: some(span), instrument: some(instrument) }
}

#[test]
fn a_missed_week_has_a_column_without_anything_in_it() {
    let chosen = Chosen::of(&[held(0, 3, 60.0), held(2, 3, 63.0)], &Wanted::default());
    let columns = chosen.columns(Words::default());
    let told: Vec<_> = columns.list.iter().map(|c| (c.week, c.all.is_some(), c.reached)).collect();
    let (low, high) = (Some(rung(3, 60.0)), Some(rung(3, 63.0)));
    assert_eq!(told, [(week(0), true, low), (week(1), false, low), (week(2), true, high)]);
    assert_eq!(columns.held_since(rung(3, 63.0)), week(2));
}

#[test]
fn a_term_is_shown_where_there_is_more_and_more_where_it_is_asked_for() {
    let played: Vec<Played> = (0..60).map(|n| held(n, 3, 60.0)).collect();
    let n_weeks = |span: &str, upto: usize| {
        let chosen = Chosen::of(&played[..upto], &wanted("", span, ""));
        (chosen.columns(Words::default()).list.len(), chosen.spans.len())
    };
    assert_eq!((n_weeks("", 12), n_weeks("all", 12)), ((12, 0), (12, 0)));
    assert_eq!((n_weeks("", 30), n_weeks("all", 30)), ((12, 2), (30, 2)));
    assert_eq!((n_weeks("52", 60), n_weeks("all", 60), n_weeks("rubbish", 60)), ((52, 3), (60, 3), (12, 3)));
}

#[test]
fn the_pulses_practised_most_lately_are_shown_unless_others_are_asked_for() {
    let mut played: Vec<Played> = (0..20).map(|n| held(n, 2, 60.0)).collect();
    // Twelve weeks of eighths, and in the last of them more of triplets.
    played.extend((0..13).map(|_| held(19, 3, 60.0)));
    let of = |asked: &Wanted| Chosen::of(&played, asked).per_beat.map(PerBeat::get);
    assert_eq!(
        (of(&Wanted::default()), of(&wanted("2", "", "")), of(&wanted("4", "", ""))),
        (Some(3), Some(2), Some(3))
    );
    let chosen = Chosen::of(&played, &Wanted::default());
    assert_eq!((chosen.all.len(), chosen.alike.len()), (20, 1));
    assert_eq!(Chosen::of(&[straight(0)], &Wanted::default()).per_beat, None);
}

#[test]
fn instruments_are_never_mixed() {
    let oboe = Played { instrument: "oboe".into(), ..held(3, 2, 60.0) };
    let played = [held(0, 3, 60.0), oboe];
    let newest = Chosen::of(&played, &Wanted::default());
    assert_eq!(
        (newest.instrument.as_str(), newest.all.len(), newest.per_beat),
        ("oboe", 1, PerBeat::new(2).ok())
    );
    let other = Chosen::of(&played, &wanted("", "", "flute"));
    assert_eq!((other.instrument.as_str(), other.all[0].week), ("flute", week(0)));
}

#[test]
fn a_week_of_practice_alone_is_a_week() {
    let chosen = Chosen::of(&[held(0, 3, 60.0), at_home(held(1, 3, 72.0))], &Wanted::default());
    let columns = chosen.columns(Words::default());
    let last = columns.list.last().unwrap();
    assert_eq!((last.week, last.reached), (week(1), Some(rung(3, 60.0))));
    assert!(last.all.unwrap().rehearsal.is_none());
    assert_eq!(last.all.unwrap().attempts_at(Where::Home).count(), 1);
}

#[test]
fn nothing_played_has_no_weeks() {
    let chosen = Chosen::of(&[], &Wanted::default());
    assert!(chosen.columns(Words::default()).list.is_empty() && chosen.instrument.is_empty());
}

#[test]
fn the_charts_show_the_pulses_that_come_next_unless_others_are_chosen() {
    let played: Vec<Played> =
        (0..3).flat_map(|n| [held(n, 3, 60.0), held(n, 3, 63.0), held(n, 2, 72.0)]).collect();
    let shown = |pulses: &str, next: u8| {
        let wanted = wanted(pulses, "", "");
        let chosen = Chosen::of(&played, &wanted).leading_to(PerBeat::new(next).ok(), &played, &wanted);
        let alike = chosen.alike.last().and_then(Week::held);
        (chosen.per_beat.map(PerBeat::get), alike)
    };
    assert_eq!(shown("", 2), (Some(2), Some(rung(2, 72.0))));
    assert_eq!(shown("3", 2), (Some(3), Some(rung(3, 63.0))));
    // Nothing of it was played: what was played most.
    assert_eq!(shown("", 4), (Some(3), Some(rung(3, 63.0))));
}
