//! Down the line and in pairs: who plays when, and of whom the room speaks meanwhile.

use super::desk::{Desk, lane, pulsed};
use super::event::{ConnectionId, Told};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Hearing, Moment, Reading, Turns};
use windrow_protocol::score::Target;
use windrow_protocol::units::{Bpm, Micros};
use windrow_protocol::voicing::Voicing;
use windrow_words::InEnglish as _;

fn section() -> (Desk, Vec<ConnectionId>) {
    let mut desk = Desk::new();
    let names = ["Imogen", "Tobias", "Wren", "Hadley", "Sorrel"];
    let players = names.iter().map(|name| desk.join(name)).collect();
    (desk, players)
}

/// Turns of the music now: chairs, and beats.
fn turns(desk: &Desk) -> Vec<(Vec<u16>, f64)> {
    let timeline = desk.timeline().unwrap();
    let spans = timeline.score().spans.iter().filter(|span| span.target != Target::CountIn);
    spans.map(|span| (span.turn.clone(), span.length_beats.map_or(f64::INFINITY, f64::from))).collect()
}

#[test]
fn down_the_line_each_who_is_in_and_not_resting_has_two_bars() {
    let (mut desk, players) = section();
    desk.tell(players[1], Told::Rest { resting: true });
    desk.apply(super::event::Event::Left { connection: players[3] });
    desk.command(ConductorSays::SetTurns { turns: Turns::DownTheLine });
    desk.command(ConductorSays::Start);
    assert_eq!(turns(&desk), [(vec![1], 8.0), (vec![3], 8.0), (vec![5], 8.0)]);
    let snapshot = desk.look();
    assert!(snapshot.exercise.has_end, "after the last one it is over");
    assert!(snapshot.turn.is_empty(), "the count is everybody's");
}

#[test]
fn pairs_follow_each_other_and_an_odd_one_plays_alone() {
    let (mut desk, _) = section();
    desk.command(ConductorSays::SetTurns { turns: Turns::Pairs });
    desk.command(ConductorSays::Start);
    let chairs: Vec<Vec<u16>> = turns(&desk).into_iter().map(|(chairs, _)| chairs).collect();
    assert_eq!(chairs, [vec![1, 2], vec![3, 4], vec![5]]);
    desk.now_us += 3e6;
    desk.command(ConductorSays::SetTurns { turns: Turns::Together });
    desk.command(ConductorSays::Again { at: Moment::Now });
    assert_eq!(turns(&desk), [(vec![], f64::INFINITY)]);
}

#[test]
fn a_turn_carries_the_notes_of_those_who_have_it() {
    let (mut desk, _) = section();
    desk.command(ConductorSays::SetVoicing { voicing: Voicing::Fifth });
    desk.command(ConductorSays::SetTurns { turns: Turns::Pairs });
    desk.command(ConductorSays::Start);
    let timeline = desk.timeline().unwrap();
    let spans = timeline.score().spans.iter().filter(|span| span.target != Target::CountIn);
    let notes: Vec<Vec<(u16, String)>> =
        spans.map(|s| s.notes.iter().map(|own| (own.chair, own.note.to_string())).collect()).collect();
    let own = |chair, note: &str| (chair, note.to_owned());
    // F4 is everybody's who has none of their own.
    assert_eq!(notes, [vec![own(2, "C5")], vec![own(4, "C5")], vec![]]);
    assert!(timeline.score().spans.iter().all(|span| span.note == "F4".parse().ok()));
}

#[test]
fn a_hairpin_is_played_up_and_down_by_each() {
    let (mut desk, _) = section();
    desk.command(ConductorSays::SetTurns { turns: Turns::Pairs });
    for _ in 0..6 {
        desk.command(ConductorSays::Next { at: Moment::Bar });
    }
    desk.command(ConductorSays::Start);
    assert_eq!(desk.look().exercise.name.as_str(), "Hairpin");
    let each = [vec![1, 2], vec![3, 4], vec![5]];
    let expected: Vec<_> =
        each.into_iter().flat_map(|chairs| [(chairs.clone(), 8.0), (chairs, 8.0)]).collect();
    assert_eq!(turns(&desk), expected);
    let timeline = desk.timeline().unwrap();
    let grows = timeline.score().spans.iter().filter_map(|span| span.dynamics).map(|d| d.from < d.to);
    assert_eq!(grows.collect::<Vec<_>>(), [true, false, true, false, true, false]);
}

#[test]
fn every_rung_of_the_ladder_is_everybodys_and_rests_stay_between() {
    let (mut desk, _) = section();
    desk.command(ConductorSays::SetTurns { turns: Turns::Pairs });
    for _ in 0..4 {
        desk.command(ConductorSays::Next { at: Moment::Bar });
    }
    desk.command(ConductorSays::Start);
    let found = turns(&desk);
    // Seven rungs of four bars for three turns each, six rests between.
    assert_eq!(found.len(), 7 * 3 + 6);
    assert_eq!(found[..4], [(vec![1, 2], 16.0), (vec![3, 4], 16.0), (vec![5], 16.0), (vec![], 4.0)]);
}

#[test]
fn a_new_tempo_is_that_of_all_the_turns_to_come() {
    let (mut desk, _) = section();
    desk.command(ConductorSays::SetTurns { turns: Turns::DownTheLine });
    desk.command(ConductorSays::Start);
    // In the count-in: everything is counted in anew.
    desk.now_us += 2e6;
    desk.command(ConductorSays::SetTempo { bpm: Bpm::new(72.0).unwrap(), at: Moment::Bar });
    let timeline = desk.timeline().unwrap();
    assert!(timeline.score().spans.iter().all(|span| span.bpm.get() == 72.0));
    assert_eq!(turns(&desk).len(), 5);
}

#[test]
fn only_who_has_the_turn_is_judged_and_the_others_rest() {
    let (mut desk, players) = section();
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    desk.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Bar });
    desk.command(ConductorSays::SetTempo { bpm: Bpm::new(66.0).unwrap(), at: Moment::Bar });
    desk.command(ConductorSays::SetTurns { turns: Turns::DownTheLine });
    desk.command(ConductorSays::Start);
    // Two bars at 66 are 7.3 s: in the second turn.
    let until_us = desk.now_us + 13e6;
    while desk.now_us < until_us {
        desk.now_us += 1e5;
        let timeline = desk.timeline().unwrap();
        let turn = timeline.span_at(timeline.beat_at(desk.now_us)).map(|span| span.turn.clone());
        for (player, chair) in players.iter().zip(1..) {
            let plays = turn.as_ref().is_some_and(|turn| turn.contains(&chair));
            let hearing = if plays { Hearing::Pulsed } else { Hearing::Silence };
            let time_us = Micros::new(desk.now_us).unwrap();
            let seq = (desk.now_us / 1e5) as u32;
            let reading = Reading { seq, time_us, hearing, trusted: plays, ..pulsed() };
            desk.tell(*player, Told::Reading(Box::new(reading)));
        }
        desk.look();
    }
    let snapshot = desk.look();
    assert_eq!(snapshot.turn, [2]);
    let states = ["Imogen", "Tobias", "Wren", "Hadley", "Sorrel"].map(|name| lane(&snapshot, name).state);
    let rest = State::Resting;
    assert_eq!(states, [rest, State::Matched, rest, rest, rest]);
}
