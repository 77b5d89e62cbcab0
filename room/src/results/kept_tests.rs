//! What goes to the records of a run and comes back from there, against what was made up.

use super::super::desk::{Desk, batch};
use super::super::event::{ConnectionId, Event, Kept, RosterChange, Whose};
use super::kept::{KeptRun, PastRuns, Stretch};
use super::tests::{at_rate, pass, playing, pulses, span};
use serde::Serialize;
use serde::de::DeserializeOwned;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Moment, PlayerResult};
use windrow_protocol::score::{Span, Target};
use windrow_protocol::units::Bpm;

fn runs(desk: &mut Desk) -> Vec<KeptRun> {
    let runs = desk.take_kept().into_iter().filter_map(|kept| match kept {
        Kept::Run(run) => Some(*run),
        _ => None,
    });
    runs.collect()
}

/// One player who plays eighths at 60 as asked, a rest of two beats between the parts; until all of it is final.
fn eighths(spans: &[f64], rate_hz: f64) -> (Desk, ConnectionId) {
    let rest = Span { target: Target::Rest, ..span(2, 2.0) };
    let written = spans.iter().flat_map(|&beats| [rest.clone(), span(2, beats)]).skip(1).collect();
    let (mut desk, players) = playing(&["Imogen"], None, written);
    let beats: f64 = spans.iter().map(|beats| beats + 2.0).sum::<f64>() - 2.0;
    pass(&mut desk, 1.0, &[(players[0], &|_| at_rate(rate_hz))]);
    let n = (beats * rate_hz) as usize;
    desk.tell(players[0], pulses(1, 10e6, 1e6 / rate_hz, vec![6.0; n]));
    pass(&mut desk, beats + 11.0, &[(players[0], &|_| at_rate(rate_hz))]);
    (desk, players[0])
}

fn last_run(desk: &mut Desk) -> KeptRun {
    runs(desk).pop().expect("a run is kept once it is final")
}

fn as_read<T: Serialize + DeserializeOwned>(value: &T) -> T {
    serde_json::from_str(&serde_json::to_string(value).unwrap()).unwrap()
}

#[test]
fn a_rung_is_held_after_four_matched_bars() {
    let run = last_run(&mut eighths(&[16.0, 12.0], 2.0).0);
    let told: Vec<(u16, f64, f64, bool)> =
        run.stretches.iter().map(|s| (s.part, s.bpm.get(), s.bars, s.held)).collect();
    // Bars of four beats: sixteen of them are four bars, twelve are three.
    assert_eq!(told, [(0, 60.0, 4.0, true), (1, 60.0, 3.0, false)]);
    let first = &run.stretches[0];
    assert_eq!((first.began_us, first.measures.state), (10e6, State::Matched));
    assert!((first.asked_s - 16.0).abs() <= 0.4, "{} s were asked for", first.asked_s);
    assert!(first.judged_s > 8.0 && first.judged_s <= first.asked_s, "{}", first.judged_s);
    assert_eq!(first.timing_spread_ms, Some(0.0), "every pulse is on its tick");
}

#[test]
fn a_rung_that_was_played_too_fast_is_not_held() {
    let run = last_run(&mut eighths(&[20.0], 2.3).0);
    let stretch: &Stretch = &run.stretches[0];
    assert_eq!((stretch.measures.state, stretch.held, stretch.bars), (State::Fast, false, 5.0));
}

#[test]
fn neither_a_straight_tone_nor_a_changing_tempo_is_a_rung() {
    let rising = Span { bpm_to: Bpm::new(63.0).ok(), ..span(2, 16.0) };
    let loose = Span { loosely: true, ..span(2, 16.0) };
    for written in [rising, loose] {
        let (mut desk, players) = playing(&["Imogen"], None, vec![written]);
        let tempo_hz = 2.0;
        desk.tell(players[0], pulses(1, 10e6, 1e6 / tempo_hz, [6.0; 32]));
        pass(&mut desk, 28.0, &[(players[0], &|_| at_rate(tempo_hz))]);
        let run = last_run(&mut desk);
        assert!(run.stretches.iter().all(|s| !s.held), "{:?}", run.stretches);
        assert!(run.stretches[0].bars >= 3.99);
    }
}

#[test]
fn what_comes_back_from_the_records_is_what_was_there() {
    let (mut desk, _) = eighths(&[16.0], 2.0);
    let text = serde_json::to_string(&desk.take_kept()).unwrap();
    let kept: Vec<Kept> = serde_json::from_str(&text).unwrap();
    let runs: Vec<KeptRun> = kept
        .into_iter()
        .filter_map(|kept| match kept {
            Kept::Run(run) if run.told.is_over => Some(*run),
            _ => None,
        })
        .collect();
    let past = PastRuns::of(runs.into_iter().next_back().into_iter().collect());
    // As text and back, since that may change the last digit of a number.
    assert_eq!(past.results().runs, as_read(&desk.room.results().runs));
    assert_eq!(past.replay(1), as_read(&desk.room.replay(1)));
    let (past, present) = (past.review(), as_read(&desk.room.review()));
    assert_eq!((past.runs, past.played_s, past.needs), (present.runs, present.played_s, present.needs));
}

#[test]
fn a_run_that_is_played_is_kept_every_ten_seconds() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 400.0)]);
    pass(&mut desk, 45.0, &[(players[0], &|_| at_rate(2.0))]);
    let kept = runs(&mut desk);
    assert!((4..=5).contains(&kept.len()), "{} in 45 s", kept.len());
    assert!(kept.iter().all(|run| run.told.number == 1 && !run.told.is_over));
    let gaps = kept.windows(2).map(|pair| pair[1].ended_us - pair[0].ended_us);
    assert!(gaps.into_iter().all(|us| (us - 10e6).abs() < 0.5e6));
    desk.command(ConductorSays::Stop { at: Moment::Now });
    pass(&mut desk, 11.0, &[]);
    assert!(runs(&mut desk).pop().unwrap().told.is_over);
}

#[test]
fn what_was_open_at_the_end_is_kept_as_over() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 400.0)]);
    pass(&mut desk, 23.0, &[(players[0], &|_| at_rate(2.0))]);
    let last = desk.room.last_kept(desk.now_us);
    let [Kept::Run(run)] = &last[..] else { panic!("{last:?}") };
    assert!(run.told.is_over);
    assert!((run.ended_us - 33e6).abs() < 1.0, "{}", run.ended_us);
}

#[test]
fn the_rehearsal_goes_on_after_a_start_with_the_next_number() {
    let (mut desk, _) = eighths(&[16.0], 2.0);
    let run = last_run(&mut desk);
    let (mut again, players) = playing(&["Wren"], None, vec![span(2, 400.0)]);
    // What was begun by mistake is nothing.
    again.command(ConductorSays::Stop { at: Moment::Now });
    again.look();
    // As if it had been played an hour before this server's time nought.
    again.room.take_back(vec![run], -3600e6);
    again.command(ConductorSays::Start);
    pass(&mut again, 12.0, &[(players[0], &|_| at_rate(2.0))]);
    let numbers: Vec<u16> = again.room.results().runs.iter().map(|run| run.number).collect();
    assert_eq!(numbers, [1, 2]);
    let review = again.room.review();
    assert!((review.rested_s - 3600.0 + 16.0).abs() < 2.0, "{} s of rest", review.rested_s);
    assert!(again.room.replay(1).is_some());
}

#[test]
fn erasing_lets_go_of_what_was_played_before_the_start() {
    let (mut desk, _) = eighths(&[16.0], 2.0);
    let run = last_run(&mut desk);
    let (mut again, _) = playing(&["Wren"], None, vec![span(2, 400.0)]);
    again.room.take_back(vec![run], 0.0);
    let whose = Whose::Device("t1".to_owned());
    again.apply(Event::Roster(RosterChange::Erased { whose, by_player: false }));
    let names = again.room.results().runs.into_iter().flat_map(|run| run.players);
    assert_eq!(names.collect::<Vec<PlayerResult>>(), []);
}

#[test]
fn the_plan_that_is_taken_is_kept_with_its_text() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 16.0)]);
    desk.tell(players[0], batch(1));
    let kept = desk.take_kept();
    let titles: Vec<&str> = kept
        .iter()
        .filter_map(|kept| match kept {
            Kept::Plan { title, .. } => Some(title.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(titles, ["Plan"]);
}
