//! What a run looked like, against what was made up: pulses of known time and depth come back from the raster and the glance,
//! nothing of an erased player does, and a long rehearsal fits in memory.

use super::super::desk::{Desk, pulse};
use super::super::event::{Event, RosterChange, Told, Whose};
use super::record::Record;
use super::tests::{at_rate, pass, playing, pulses, span};
use super::trace::Trace;
use super::{MAX_RECORD_BYTES, Settled};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    ConductorSays, Glance, Hearing, Mark, Moment, Pulse, PulseBatch, Reading, Replay, ReplayTick, Review,
    Turns,
};
use windrow_protocol::score::{Ease, Span};
use windrow_protocol::units::{Cents, Decibels, Micros, Share};

fn replay(desk: &Desk, number: u16) -> Replay {
    desk.room.replay(number).unwrap()
}

fn review(desk: &Desk) -> Review {
    desk.room.review()
}

fn stop(desk: &mut Desk) {
    desk.command(ConductorSays::Stop { at: Moment::Now });
    pass(desk, 0.4, &[]);
}

#[test]
fn pulses_come_back_with_their_times_and_depths() {
    let (mut desk, players) = playing(&["Imogen", "Wren"], None, vec![span(2, 16.0)]);
    let centre = |us: f64| Reading { centre_cents: Cents::new((us - 10e6) / 1e6).ok(), ..at_rate(2.0) };
    pass(&mut desk, 16.4, &[(players[0], &centre), (players[1], &|_| at_rate(2.0))]);
    // Eighths at 60, 12 ms late, deeper by half a decibel each.
    desk.tell(players[0], pulses(1, 10e6 + 12e3, 0.5e6, (0..32).map(|i| 2.0 + 0.5 * f64::from(i))));
    let choked = Pulse { choked: true, ..pulse(10e6 + 250e3) };
    desk.tell(players[1], Told::Pulses(PulseBatch { seq: 1, pulses: vec![choked] }));
    let told = replay(&desk, 1);
    assert_eq!(
        (told.number, told.name.clone(), told.is_over, told.lasts_ms),
        (1, "Made up".into(), true, 16_000.0)
    );
    let imogen = &told.lanes[0];
    assert_eq!((imogen.chair, imogen.name.as_str(), imogen.marks.len()), (1, "Imogen", 32));
    for (i, &Mark(ms, db, _, kind)) in imogen.marks.iter().enumerate() {
        assert!((ms - (12.0 + 500.0 * i as f64)).abs() <= 0.051, "{ms}");
        assert!((db - (2.0 + 0.5 * i as f64)).abs() <= 0.051, "{db}");
        assert_eq!(kind, 0);
    }
    // A cent a second.
    assert!(imogen.centres.len() > 30 && imogen.centres.iter().all(|&(ms, c)| (c - ms / 1e3).abs() <= 0.6));
    assert_eq!(told.lanes[1].marks.iter().map(|m| m.3).collect::<Vec<_>>(), [Mark::CHOKED]);
    assert_eq!(told.lanes[0].states.last().map(|s| s.1), Some(State::Matched));
    // Eighths: four bars of four beats with one tick between each.
    assert_eq!((told.ticks.len(), told.first_bar, told.parts.len()), (32, 1, 1));
    assert_eq!(told.ticks[..3], [ReplayTick(0.0, 0), ReplayTick(500.0, 2), ReplayTick(1000.0, 1)]);
    assert_eq!(told.ticks[8], ReplayTick(4000.0, 0));
}

#[test]
fn the_glance_shows_the_last_whole_bar() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(3, 64.0)]);
    // Stopped in the middle of the third bar.
    pass(&mut desk, 10.0, &[(players[0], &|_| at_rate(3.0))]);
    desk.tell(players[0], pulses(1, 10e6 - 20e3, 1e6 / 3.0, [6.0; 30]));
    stop(&mut desk);
    let glance = review(&desk).runs.remove(0);
    assert_eq!(
        (glance.bars[0].from_ms, glance.bars[0].to_ms, glance.bars[0].ticks.len()),
        (4000.0, 8000.0, 12)
    );
    let marks = &glance.lanes[0].marks;
    assert_eq!(marks.len(), 12);
    // One before its tick belongs to it, also to the bar's first.
    assert!((marks[0].0 - 3980.0).abs() <= 0.1, "{marks:?}");
    // All 20 ms early: four steps of 5 ms before the middle one.
    let middle = Glance::FOLD_STEPS / 2;
    assert_eq!((glance.fold[middle - 4], glance.fold.iter().sum::<u32>()), (30, 30));
    assert_eq!(glance.asked.len(), 1);
}

#[test]
fn what_nobody_played_any_more_is_not_the_last_bar() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(3, 64.0)]);
    // Two bars are played, then the section listens for three, and only then somebody stops.
    let silent = Reading { hearing: Hearing::Silence, trusted: false, ..at_rate(3.0) };
    let played = |us: f64| if us < 18e6 { at_rate(3.0) } else { silent.clone() };
    pass(&mut desk, 20.0, &[(players[0], &played)]);
    desk.tell(players[0], pulses(1, 10e6, 1e6 / 3.0, [6.0; 24]));
    stop(&mut desk);
    let glance = review(&desk).runs.remove(0);
    assert_eq!((glance.bars[0].from_ms, glance.lanes[0].marks.len()), (4000.0, 12));
}

#[test]
fn who_took_turns_is_seen_in_the_own_bar() {
    let (mut desk, players) = playing(&["Imogen", "Wren"], Some(Turns::DownTheLine), vec![span(2, 8.0)]);
    pass(&mut desk, 16.2, &[(players[0], &|_| at_rate(2.0)), (players[1], &|_| at_rate(2.0))]);
    for &player in &players {
        desk.tell(player, pulses(1, 10e6, 0.5e6, [6.0; 32]));
    }
    let glance = review(&desk).runs.remove(0);
    let bars: Vec<f64> = glance.lanes.iter().map(|lane| glance.bars[usize::from(lane.bar)].from_ms).collect();
    assert_eq!(bars, [4000.0, 12_000.0]);
    assert!(glance.lanes.iter().all(|lane| lane.marks.len() == 8), "{glance:?}");
    let turns: Vec<Vec<u16>> = replay(&desk, 1).parts.into_iter().map(|p| p.turn).collect();
    assert_eq!(turns, [[1], [2]]);
}

#[test]
fn what_grows_is_seen_from_its_beginning() {
    let share = |value| Share::new(value).unwrap();
    let growing = Span { ease: Some(Ease { from: share(0.0), to: share(1.0) }), ..span(4, 8.0) };
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(0, 4.0), growing, span(4, 4.0)]);
    pass(&mut desk, 16.4, &[(players[0], &|_| at_rate(4.0))]);
    desk.tell(players[0], pulses(1, 14e6, 0.25e6, (0..48).map(|i| f64::from(i) * 0.2)));
    let glance = review(&desk).runs.remove(0);
    assert_eq!((glance.bars[0].from_ms, glance.bars[0].to_ms), (4000.0, 16_000.0));
    assert_eq!(glance.lanes[0].marks.len(), 48);
}

#[test]
fn a_device_of_unknown_delay_is_drawn_without_it() {
    let mut joined = playing(&["Imogen"], None, vec![span(2, 16.0)]);
    let wren = joined.0.join_with("Wren", |hello| hello.calibrated = false).0;
    pass(&mut joined.0, 16.4, &[(joined.1[0], &|_| at_rate(2.0)), (wren, &|_| at_rate(2.0))]);
    joined.0.tell(wren, pulses(1, 10e6 + 90e3, 0.5e6, [6.0; 30]));
    let marks = replay(&joined.0, 1).lanes[1].marks.clone();
    assert!(marks.iter().enumerate().all(|(i, m)| (m.0 - 500.0 * i as f64).abs() <= 0.11), "{marks:?}");
}

#[test]
fn what_may_be_a_neighbour_s_is_marked_so() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 16.0)]);
    let blended = |_| Reading { hearing: Hearing::Unclear, trusted: false, ..at_rate(2.0) };
    pass(&mut desk, 16.4, &[(players[0], &blended)]);
    desk.tell(players[0], pulses(1, 10e6, 0.5e6, [6.0; 30]));
    let told = replay(&desk, 1);
    assert!(told.lanes[0].marks.iter().all(|m| m.3 == Mark::NOT_OWN) && told.lanes[0].centres.is_empty());
    assert_eq!(review(&desk).runs[0].fold, [] as [u32; 0]);
}

#[test]
fn a_run_that_is_played_is_there_as_far_as_it_has_come() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 16.0)]);
    pass(&mut desk, 6.0, &[(players[0], &|_| at_rate(2.0))]);
    desk.tell(players[0], pulses(1, 10e6, 0.5e6, [6.0; 12]));
    let told = replay(&desk, 1);
    assert!(!told.is_over && (5_900.0..=6_000.0).contains(&told.lasts_ms), "{}", told.lasts_ms);
    assert_eq!(told.lanes[0].marks.len(), 12);
    assert!(desk.room.replay(2).is_none() && review(&desk).runs[0].has_replay);
    // It is the same one once its figures are final.
    pass(&mut desk, 10.4, &[(players[0], &|_| at_rate(2.0))]);
    pass(&mut desk, 12.0, &[]);
    let review = review(&desk);
    assert_eq!((replay(&desk, 1).lasts_ms, review.played_s, review.rested_s), (16_000.0, 16.0, 0.0));
}

#[test]
fn nothing_is_left_of_an_erased_player() {
    let (mut desk, players) = playing(&["Imogen", "Wren"], None, vec![span(2, 8.0)]);
    pass(&mut desk, 8.4, &[(players[0], &|_| at_rate(2.0)), (players[1], &|_| at_rate(2.4))]);
    pass(&mut desk, 12.0, &[]);
    let token = desk.room.seats()[1].token.clone();
    let player_id = desk.room.seats()[1].player_id.clone();
    assert!(serde_json::to_string(&review(&desk)).unwrap().contains(&player_id));
    desk.apply(Event::Roster(RosterChange::Erased { whose: Whose::Device(token), by_player: true }));
    let text = serde_json::to_string(&(review(&desk), replay(&desk, 1))).unwrap();
    assert!(!text.contains("Wren") && !text.contains(&player_id) && text.contains("Imogen"), "{text}");
}

/// Forty players, ninety minutes of triplets at 66 without a rest, ten readings a second of which every third is kept.
#[test]
fn a_long_rehearsal_of_a_large_section_fits() {
    let n_s = 90.0 * 60.0;
    let (hz, start_us) = (3.3, 10e6);
    let played: Vec<Pulse> = (0..(n_s * hz) as u32)
        .map(|i| Pulse {
            // Depths and swings of every size, times that are never the same twice.
            time_us: Micros::new(start_us + f64::from(i) / hz * 1e6 + f64::from(i * 7919 % 41) * 1e3)
                .unwrap(),
            depth_db: Decibels::new(2.0 + f64::from(i * 31 % 120) / 10.0).unwrap(),
            swing_cents: Cents::new(f64::from(i * 17 % 60)).unwrap(),
            mean_cents: None,
            choked: i % 50 == 0,
        })
        .collect();
    let centres: Vec<(f64, f64)> = (0..(n_s / 0.3) as u32)
        .map(|i| (start_us + f64::from(i) * 0.3e6, f64::from(i * 13 % 80) - 40.0))
        .collect();
    let states: Vec<(f64, State)> = (0..(n_s / 3.0) as u32)
        .map(|i| (start_us + f64::from(i) * 3e6, State::ALL[i as usize % 18]))
        .collect();
    let trace = Trace::of(start_us, played.iter().map(|p| (p, true)), &centres, &states);
    let n_bytes = 40 * trace.n_bytes();
    assert!((3_000_000..5_000_000).contains(&n_bytes), "{n_bytes} bytes");
    assert!(n_bytes < MAX_RECORD_BYTES);
    assert_eq!(trace.marks().len(), played.len());
}

#[test]
fn older_runs_let_go_of_their_raster_when_there_are_too_many() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 8.0)]);
    for n in 0..3 {
        if n > 0 {
            desk.command(ConductorSays::Again { at: Moment::Now });
        }
        pass(&mut desk, 8.6, &[(players[0], &|_| at_rate(2.0))]);
        pass(&mut desk, 12.0, &[]);
    }
    let runs = &mut desk.room.outcomes.runs;
    assert_eq!(runs.settled.len(), 3);
    let of_last: usize = runs.settled.back().and_then(|s| s.record.as_ref()).map_or(0, Record::n_bytes);
    runs.bound_records(of_last + 1);
    let kept = |s: &Settled| (s.record.is_some(), s.glance.has_replay);
    assert_eq!(
        runs.settled.iter().map(kept).collect::<Vec<_>>(),
        [(false, false), (false, false), (true, true)]
    );
    assert!(desk.room.replay(1).is_none() && desk.room.replay(3).is_some());
    assert_eq!(desk.room.results().runs.len(), 3);
}
