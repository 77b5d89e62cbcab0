//! What a run comes to, against what was made up: players of known rate, depth, timing and pitch in a room with a hand on its
//! clock.

use super::super::desk::{Desk, pulse, pulsed};
use super::super::event::{ConnectionId, Event, Told};
use super::super::lesson::{Lesson, Piece, Wishes};
use proptest::prelude::*;
use windrow_protocol::judge::{Bands, State};
use windrow_protocol::messages::{
    Brief, ConductorSays, Hearing, Measures, Moment, Pulse, PulseBatch, Reading, Results, Run, SpanResult,
    Turns,
};
use windrow_protocol::score::{Dynamic, Dynamics, Ease, PerBeat, Span, Target};
use windrow_protocol::units::{Beats, Bpm, Cents, Decibels, Hertz, Micros, Share};
use windrow_words::InEnglish as _;

/// A tick of triplets at 66.
const TICK_US: f64 = 60e6 / 66.0 / 3.0;

fn bpm(value: f64) -> Bpm {
    Bpm::new(value).unwrap()
}

pub(super) fn span(per_beat: u8, beats: f64) -> Span {
    let target = match per_beat {
        0 => Target::Straight,
        n => Target::Pulses { per_beat: PerBeat::new(n).unwrap() },
    };
    Span::new(bpm(60.0), target).lasting(Beats::new(beats).unwrap())
}

/// A room that has been playing these spans since server time 10 s, without a count-in, after players came in.
pub(super) fn playing(names: &[&str], turns: Option<Turns>, spans: Vec<Span>) -> (Desk, Vec<ConnectionId>) {
    let mut desk = Desk::new();
    let players = names.iter().map(|name| desk.join(name)).collect();
    let wishes = Wishes { turns, ..Wishes::default() };
    let brief = Brief { name: "Made up".into(), ..Brief::default() };
    let piece = Piece { brief, spans, wishes, bands: Bands::default(), rest_s: 0, ladder: None };
    let lesson = Lesson {
        title: "Plan".to_owned(),
        text: String::new(),
        beats_per_bar: 4,
        pieces: vec![piece.clone(), piece],
    };
    desk.apply(Event::Plan(Box::new(lesson)));
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    desk.now_us = 9.4e6;
    desk.command(ConductorSays::Start);
    desk.now_us = 10e6;
    desk.look();
    (desk, players)
}

/// Triplets at 66 without end.
fn playing_triplets(names: &[&str]) -> (Desk, Vec<ConnectionId>) {
    let triplets = Target::Pulses { per_beat: PerBeat::new(3).unwrap() };
    playing(names, None, vec![Span::new(bpm(66.0), triplets)])
}

/// Lets time pass with what each player's reading is at a time; a look every fifth of a second.
pub(super) fn pass(desk: &mut Desk, seconds: f64, readings: &[(ConnectionId, &dyn Fn(f64) -> Reading)]) {
    for i in 0..(seconds * 10.0).round() as u32 {
        desk.now_us += 1e5;
        for (player, reading) in readings {
            let seq = (desk.now_us / 1e5) as u32;
            let time_us = Micros::new(desk.now_us).unwrap();
            let reading = Reading { time_us, seq, ..reading(desk.now_us) };
            desk.tell(*player, Told::Reading(Box::new(reading)));
        }
        if i % 2 == 1 {
            desk.look();
        }
    }
}

/// Pulses every so often from a time on, each with a depth, in one batch.
pub(super) fn pulses(
    seq: u32,
    from_us: f64,
    every_us: f64,
    depths_db: impl IntoIterator<Item = f64>,
) -> Told {
    let one = |(i, depth_db): (usize, f64)| Pulse {
        depth_db: Decibels::new(depth_db).unwrap(),
        mean_cents: Cents::new(4.0).ok(),
        ..pulse(from_us + i as f64 * every_us)
    };
    Told::Pulses(PulseBatch { seq, pulses: depths_db.into_iter().enumerate().map(one).collect() })
}

pub(super) fn at_rate(hz: f64) -> Reading {
    Reading { pulse_rate_hz: Hertz::new(hz).ok(), ..pulsed() }
}

fn results(desk: &Desk) -> Results {
    desk.room.results()
}

fn last(desk: &Desk) -> Run {
    results(desk).runs.pop().unwrap()
}

fn titles(run: &Run) -> Vec<&'static str> {
    run.spans.iter().map(|title| title.as_str()).collect()
}

fn whole(run: &Run, name: &str) -> Measures {
    run.players.iter().find(|p| p.name.as_str() == name).unwrap().whole
}

fn close(actual: Option<f64>, expected: f64, within: f64) {
    assert!(actual.is_some_and(|a| (a - expected).abs() <= within), "{actual:?} instead of {expected}");
}

#[test]
fn two_players_come_to_what_they_played() {
    let (mut desk, players) = playing_triplets(&["Imogen", "Wren"]);
    // Wren's pulses are 10 % too fast.
    pass(&mut desk, 16.0, &[(players[0], &|_| at_rate(3.3)), (players[1], &|_| at_rate(3.63))]);
    desk.tell(players[0], pulses(1, 10e6 + 12e3, TICK_US, [6.0; 48]));
    desk.tell(players[1], pulses(1, 10e6, TICK_US / 1.1, [4.0; 52]));
    desk.command(ConductorSays::Stop { at: Moment::Now });
    pass(&mut desk, 0.4, &[]);
    let run = last(&desk);
    assert_eq!((run.number, run.exercise, run.is_over), (1, 1, true));
    assert_eq!((run.name.as_str(), titles(&run)), ("Made up", vec!["Triplets at 66"]));
    let (imogen, wren) = (whole(&run, "Imogen"), whole(&run, "Wren"));
    assert_eq!((imogen.state, wren.state), (State::Matched, State::Fast));
    assert_eq!((imogen.n_pulses, wren.n_pulses), (48, 52));
    close(imogen.pulse_rate_hz.map(f64::from), 3.3, 1e-6);
    close(imogen.pulses_per_beat.map(f64::from), 3.0, 1e-6);
    close(wren.pulses_per_beat.map(f64::from), 3.3, 1e-6);
    close(imogen.timing_ms, 12.0, 0.05);
    assert_eq!(wren.timing_ms, None, "whoever does not keep to the tick is neither early nor late");
    close(imogen.depth_db_pp.map(f64::from), 6.0, 0.0);
    close(imogen.centre_cents.map(f64::from), 4.0, 1e-9);
    close(imogen.evenness_cv.map(f64::from), 0.0, 1e-9);
    close(imogen.matched.map(f64::from), 1.0, 0.0);
    assert_eq!(wren.matched.map(|m| m.get().to_string()).as_deref(), Some("0"), "nought has no sign");
    assert_eq!((run.section.n_judged, run.section.n_matched, &run.section.out[..]), (2, 1, &[2][..]));
    assert_eq!(run.players[0].spans.len(), 1);
}

#[test]
fn togetherness_is_the_resultant_of_all_phases() {
    let (mut desk, players) = playing_triplets(&["Imogen", "Wren"]);
    pass(&mut desk, 16.0, &[(players[0], &|_| at_rate(3.3)), (players[1], &|_| at_rate(3.3))]);
    // One 20 ms early, the other 20 ms late: R = cos(2 pi 20 / 303.03), mean nought.
    desk.tell(players[0], pulses(1, 10e6 + 20e3, TICK_US, [6.0; 40]));
    desk.tell(players[1], pulses(1, 10e6 + TICK_US - 20e3, TICK_US, [6.0; 40]));
    desk.look();
    let section = last(&desk).section;
    close(section.together.map(f64::from), (std::f64::consts::TAU * 20e3 / TICK_US).cos(), 1e-9);
    close(section.mean_ms, 0.0, 1e-6);
}

#[test]
fn a_device_of_unknown_delay_is_not_out_for_it() {
    let (mut desk, mut players) = playing_triplets(&["Imogen"]);
    players.push(desk.join_with("Wren", |hello| hello.calibrated = false).0);
    pass(&mut desk, 16.0, &[(players[0], &|_| at_rate(3.3)), (players[1], &|_| at_rate(3.3))]);
    desk.tell(players[0], pulses(1, 10e6, TICK_US, [6.0; 40]));
    desk.tell(players[1], pulses(1, 10e6 + 90e3, TICK_US, [6.0; 40]));
    desk.look();
    let run = last(&desk);
    close(run.section.together.map(f64::from), 1.0, 1e-9);
    assert_eq!(whole(&run, "Wren").timing_ms, None);
}

#[test]
fn blended_time_is_not_judged() {
    let (mut desk, players) = playing_triplets(&["Imogen", "Wren"]);
    let blended = |_| Reading { hearing: Hearing::Unclear, trusted: false, ..at_rate(4.0) };
    pass(&mut desk, 16.0, &[(players[0], &|_| at_rate(3.3)), (players[1], &blended)]);
    desk.tell(players[1], pulses(1, 10e6, TICK_US * 0.8, [4.0; 60]));
    let run = last(&desk);
    let wren = whole(&run, "Wren");
    assert_eq!((wren.state, wren.trusted.get(), wren.matched, wren.n_pulses), (State::Blended, 0.0, None, 0));
    assert_eq!((run.section.n_judged, &run.section.out[..]), (1, &[][..]));
}

#[test]
fn who_rests_or_is_away_is_not_judged() {
    let (mut desk, players) = playing_triplets(&["Imogen", "Wren", "Hollis"]);
    desk.tell(players[1], Told::Rest { resting: true });
    desk.apply(Event::Left { connection: players[2] });
    pass(&mut desk, 16.0, &[(players[0], &|_| at_rate(3.3)), (players[1], &|_| at_rate(4.0))]);
    let run = last(&desk);
    let states: Vec<State> = run.players.iter().map(|p| p.whole.state).collect();
    assert_eq!((states, run.section.n_judged), (vec![State::Matched, State::Resting, State::Resting], 1));
}

#[test]
fn down_the_line_each_is_told_of_the_own_turn() {
    let (mut desk, players) = playing(&["Imogen", "Wren"], Some(Turns::DownTheLine), vec![span(2, 8.0)]);
    // Both devices hear both turns.
    pass(&mut desk, 16.2, &[(players[0], &|_| at_rate(2.0)), (players[1], &|_| at_rate(2.4))]);
    for &player in &players {
        desk.tell(player, pulses(1, 10e6, 0.5e6, [6.0; 32]));
    }
    let run = last(&desk);
    assert_eq!((run.is_over, titles(&run)), (true, vec!["Eighths at 60"]));
    let (imogen, wren) = (whole(&run, "Imogen"), whole(&run, "Wren"));
    assert_eq!((imogen.state, wren.state), (State::Matched, State::Fast));
    assert_eq!((imogen.n_pulses, wren.n_pulses), (16, 16));
}

#[test]
fn rests_and_count_ins_count_for_nothing() {
    let rest = Span::new(bpm(60.0), Target::Rest).lasting(Beats::new(4.0).unwrap());
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 8.0), rest, span(4, 8.0)]);
    // Eighths, and sixteenths from 22 s on; nothing in between.
    let played = |us: f64| match us {
        us if us < 18e6 => at_rate(2.0),
        us if us < 22.5e6 => Reading { hearing: Hearing::Silence, trusted: false, ..pulsed() },
        _ => at_rate(4.0),
    };
    pass(&mut desk, 20.4, &[(players[0], &played)]);
    desk.tell(players[0], pulses(1, 10e6, 0.5e6, [6.0; 16]));
    desk.tell(players[0], pulses(2, 22e6, 0.25e6, [5.0; 32]));
    let run = last(&desk);
    assert_eq!(titles(&run), ["Eighths at 60", "Sixteenths at 60"]);
    let player = &run.players[0];
    let rates = player.spans.iter().map(|s| s.unwrap().pulse_rate_hz.unwrap().get());
    assert_eq!(rates.collect::<Vec<_>>(), [2.0, 4.0]);
    // Of two subdivisions there is no one rate.
    assert_eq!((player.whole.pulse_rate_hz, player.whole.pulses_per_beat), (None, None));
    assert_eq!((player.whole.n_pulses, player.whole.state), (48, State::Matched));
    close(player.whole.evenness_cv.map(f64::from), 0.0, 1e-9);
    assert!(run.is_over && player.whole.trusted.get() > 0.9);
}

#[test]
fn parts_too_short_for_a_running_verdict_are_judged_by_their_pulses() {
    let (mut desk, players) =
        playing(&["Imogen", "Wren"], None, vec![span(1, 4.0), span(2, 4.0), span(1, 4.0), span(2, 4.0)]);
    // Each reading's rate rests on the bar before as well.
    let reading = |_| Reading { n_pulses: 9, ..at_rate(1.5) };
    pass(&mut desk, 16.4, &[(players[0], &reading), (players[1], &reading)]);
    for (player, stretch) in [(players[0], 1.0), (players[1], 0.93)] {
        for (bar, n) in [(0.0, 4), (1.0, 8), (2.0, 4), (3.0, 8)] {
            let from_us = 10e6 + bar * 4e6;
            desk.tell(
                player,
                pulses(bar as u32 + 1, from_us, 4e6 / f64::from(n) * stretch, vec![6.0; n as usize]),
            );
        }
    }
    let run = last(&desk);
    let states = |name: &str| {
        let player = run.players.iter().find(|p| p.name.as_str() == name).unwrap();
        player.spans.iter().map(|s| s.unwrap().state).collect::<Vec<_>>()
    };
    assert_eq!((states("Imogen"), whole(&run, "Imogen").state), (vec![State::Matched; 4], State::Matched));
    assert_eq!((states("Wren"), whole(&run, "Wren").state), (vec![State::Fast; 4], State::Fast));
    assert_eq!((run.section.n_judged, run.section.n_matched, &run.section.out[..]), (2, 1, &[2][..]));
}

#[test]
fn who_is_late_in_a_short_part_is_late_although_that_is_known_only_at_its_end() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(1, 8.0)]);
    let reading = |_| Reading { n_pulses: 3, ..at_rate(1.0) };
    pass(&mut desk, 8.4, &[(players[0], &reading)]);
    desk.tell(players[0], pulses(1, 10e6 + 90e3, 1e6, [6.0; 8]));
    let found = whole(&last(&desk), "Imogen");
    assert_eq!((found.state, found.timing_ms), (State::Late, Some(90.0)));
}

#[test]
fn a_straight_tone_before_does_not_match_pulses_that_are_not() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(0, 16.0), span(2, 8.0)]);
    let straight = Reading { hearing: Hearing::Straight, pulse_rate_hz: None, n_pulses: 0, ..pulsed() };
    pass(&mut desk, 24.4, &[(players[0], &|us| if us < 26.4e6 { straight.clone() } else { at_rate(2.3) })]);
    desk.tell(players[0], pulses(1, 26e6, 1e6 / 2.3, [6.0; 18]));
    let run = last(&desk);
    let states: Vec<State> = run.players[0].spans.iter().map(|s| s.unwrap().state).collect();
    assert_eq!(states, [State::Matched, State::Fast]);
    assert_eq!(
        (whole(&run, "Imogen").state, run.section.n_matched, &run.section.out[..]),
        (State::Fast, 0, &[1][..])
    );
}

#[test]
fn a_centre_that_climbs_drifts() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(0, 16.0)]);
    // One cent a second, from a straight tone.
    let climbing = |us: f64| Reading {
        hearing: Hearing::Straight,
        pulse_rate_hz: None,
        n_pulses: 0,
        centre_cents: Cents::new((us - 10e6) / 1e6).ok(),
        ..pulsed()
    };
    pass(&mut desk, 16.2, &[(players[0], &climbing)]);
    let straight = last(&desk).players[0].spans[0].unwrap();
    // From 1 s, where the centre belongs to the span, to its end at 16 s: fifteen cents about a mean of 8.5.
    close(straight.drift_cents.map(f64::from), 15.0, 0.3);
    close(straight.centre_cents.map(f64::from), 8.5, 0.2);
}

#[test]
fn a_pulse_of_another_note_does_not_move_the_centre() {
    let (mut desk, players) = playing_triplets(&["Imogen"]);
    pass(&mut desk, 8.0, &[(players[0], &|_| at_rate(3.3))]);
    // The last of a neighbour's tone, an octave higher.
    let other = Pulse { mean_cents: Cents::new(1204.0).ok(), ..pulse(10e6) };
    desk.tell(players[0], Told::Pulses(PulseBatch { seq: 1, pulses: vec![other] }));
    desk.tell(players[0], pulses(2, 10e6 + TICK_US, TICK_US, [6.0; 23]));
    pass(&mut desk, 0.4, &[]);
    close(whole(&last(&desk), "Imogen").centre_cents.map(f64::from), 4.0, 1e-9);
}

#[test]
fn pulses_are_held_against_the_own_straight_tone() {
    let (mut desk, players) = playing_triplets(&["Imogen"]);
    let straight_reference_cents = Cents::new(-4.0).ok();
    pass(&mut desk, 8.0, &[(players[0], &|_| Reading { straight_reference_cents, ..at_rate(3.3) })]);
    close(whole(&last(&desk), "Imogen").from_straight_cents.map(f64::from), 6.0, 1e-9);
}

#[test]
fn an_ease_is_told_in_beats() {
    let share = |value| Share::new(value).unwrap();
    let ease = |from, to| Some(Ease { from: share(from), to: share(to) });
    let spans = vec![span(0, 4.0), Span { ease: ease(0.0, 1.0), ..span(4, 8.0) }, span(4, 8.0)];
    let (mut desk, players) = playing(&["Imogen"], None, spans);
    pass(&mut desk, 20.4, &[(players[0], &|_| at_rate(4.0))]);
    // A line from nothing at 14 s to 8 dB at 22 s, then 8 dB: 10 to 90 % take 6.4 beats.
    desk.tell(players[0], pulses(1, 14e6, 0.25e6, (0..64).map(|i| (f64::from(i) * 0.25).min(8.0))));
    let run = last(&desk);
    assert_eq!(titles(&run), ["Straight tone at 60", "Sixteenths at 60, growing", "Sixteenths at 60"]);
    close(run.players[0].ease_beats, 6.4, 0.011);
}

#[test]
fn a_hairpin_is_held_against_its_loudness() {
    let to = |from, to| Some(Dynamics { from, to });
    let spans = vec![
        Span { dynamics: to(Dynamic::P, Dynamic::F), ..span(2, 8.0) },
        Span { dynamics: to(Dynamic::F, Dynamic::P), ..span(2, 8.0) },
    ];
    let (mut desk, players) = playing(&["Imogen"], None, spans);
    // Loudest a second late, 12 dB over both ends; the depth follows.
    let share = |us: f64| 1.0 - (us - 19e6).abs() / 9e6;
    let loud =
        |us: f64| Reading { level_db: Decibels::new(-36.0 + 12.0 * share(us)).unwrap(), ..at_rate(2.0) };
    pass(&mut desk, 16.4, &[(players[0], &loud)]);
    desk.tell(
        players[0],
        pulses(1, 10e6, 0.5e6, (0..32).map(|i| 3.0 + 5.0 * share(10e6 + f64::from(i) * 0.5e6))),
    );
    let run = last(&desk);
    assert_eq!(titles(&run), ["Eighths at 60, p to f", "Eighths at 60, f to p"]);
    let fit = run.players[0].hairpin.unwrap();
    assert!(fit.depth.unwrap() > 0.98 && fit.rate.is_none(), "{fit:?}");
    close(Some(fit.peak_asked.get()), 0.5, 1e-9);
    close(fit.peak.map(f64::from), 9.0 / 16.0, 0.02);
}

#[test]
fn what_a_device_says_of_its_span_is_preferred_where_all_of_it_is_its_players() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 8.0)]);
    pass(&mut desk, 8.4, &[(players[0], &|_| at_rate(2.0))]);
    desk.tell(players[0], pulses(1, 10e6, 0.5e6, [6.0; 16]));
    let told = SpanResult {
        seq: 2,
        score_version: desk.room.music().score().unwrap().version,
        span_idx: 0,
        n_pulses: 17,
        pulse_rate_hz: Hertz::new(2.01).ok(),
        depth_db_pp: None,
        swing_cents_pp: None,
        centre_cents: None,
        evenness_cv: None,
        timing_ms: None,
    };
    desk.tell(players[0], Told::SpanResult(Box::new(told)));
    let measures = last(&desk).players[0].spans[0].unwrap();
    assert_eq!((measures.n_pulses, measures.pulse_rate_hz.unwrap().get()), (17, 2.01));
    close(measures.depth_db_pp.map(f64::from), 6.0, 0.0);
}

#[test]
fn late_pulses_count_until_the_figures_are_final() {
    let (mut desk, players) = playing(&["Imogen"], None, vec![span(2, 8.0)]);
    pass(&mut desk, 8.4, &[(players[0], &|_| at_rate(2.0))]);
    let version = desk.look().results;
    pass(&mut desk, 8.0, &[]);
    desk.tell(players[0], pulses(1, 10e6, 0.5e6, [6.0; 10]));
    assert_eq!(whole(&last(&desk), "Imogen").n_pulses, 10);
    pass(&mut desk, 3.0, &[]);
    assert!(desk.look().results > version);
    desk.tell(players[0], pulses(2, 15e6, 0.5e6, [6.0; 6]));
    assert_eq!(whole(&last(&desk), "Imogen").n_pulses, 10);
}

#[test]
fn another_beginning_is_another_run_and_a_false_start_is_none() {
    let (mut desk, players) = playing_triplets(&["Imogen"]);
    pass(&mut desk, 1.0, &[(players[0], &|_| at_rate(3.3))]);
    desk.command(ConductorSays::Again { at: Moment::Now });
    pass(&mut desk, 8.0, &[(players[0], &|_| at_rate(3.3))]);
    desk.command(ConductorSays::Again { at: Moment::Bar });
    pass(&mut desk, 12.0, &[(players[0], &|_| at_rate(3.3))]);
    desk.command(ConductorSays::Next { at: Moment::Bar });
    pass(&mut desk, 12.0, &[(players[0], &|_| at_rate(3.3))]);
    let runs = results(&desk).runs;
    let told: Vec<(u16, u16, bool)> = runs.iter().map(|r| (r.number, r.exercise, r.is_over)).collect();
    assert_eq!(told, [(1, 1, true), (2, 1, true), (3, 2, false)]);
}

#[test]
fn a_new_tempo_is_another_part_of_the_same_run() {
    let (mut desk, players) = playing_triplets(&["Imogen"]);
    pass(&mut desk, 8.0, &[(players[0], &|_| at_rate(3.3))]);
    desk.command(ConductorSays::SetTempo { bpm: bpm(72.0), at: Moment::Bar });
    pass(&mut desk, 12.0, &[(players[0], &|_| at_rate(3.6))]);
    let runs = results(&desk).runs;
    assert_eq!((runs.len(), titles(&runs[0])), (1, vec!["Triplets at 66", "Triplets at 72"]));
}

#[test]
fn an_erased_player_is_in_no_result() {
    use super::super::event::{RosterChange, Whose};
    let (mut desk, players) = playing(&["Imogen", "Wren"], None, vec![span(2, 8.0)]);
    pass(&mut desk, 8.4, &[(players[0], &|_| at_rate(2.0)), (players[1], &|_| at_rate(2.4))]);
    assert_eq!(last(&desk).section.out, [2]);
    let token = desk.room.seats()[1].token.clone();
    desk.apply(Event::Roster(RosterChange::Erased { whose: Whose::Device(token), by_player: true }));
    pass(&mut desk, 12.0, &[(players[0], &|_| at_rate(2.0))]);
    let text = serde_json::to_string(&results(&desk)).unwrap();
    assert!(!text.contains("Wren") && text.contains("Imogen"), "{text}");
    assert_eq!(last(&desk).section.out, [] as [u16; 0]);
}

proptest! {
    #[test]
    fn no_order_of_events_counts_a_pulse_twice(
        steps in proptest::collection::vec((0u8..9, 0usize..3, 0u32..24, 0.0f64..3e6), 1..150),
    ) {
        let (mut desk, players) = playing_triplets(&["Imogen", "Wren", "Hollis"]);
        for (kind, who, n, wait_us) in steps {
            desk.now_us += wait_us;
            let (player, at_us) = (players[who], 10e6 + f64::from(n) * TICK_US);
            match kind {
                0 | 1 => drop(desk.tell(player, pulses(n + 1, at_us, TICK_US, [6.0; 8]))),
                2 | 3 => {
                    let time_us = Micros::new(desk.now_us - f64::from(n) * 1e5).unwrap();
                    let reading = Reading { time_us, seq: (desk.now_us / 1e4) as u32, ..at_rate(3.3) };
                    desk.tell(player, Told::Reading(Box::new(reading)));
                }
                4 => drop(desk.tell(player, Told::Rest { resting: n % 2 == 0 })),
                5 => {
                    let at = [Moment::Now, Moment::Bar][n as usize % 2];
                    let commands = [ConductorSays::Again { at }, ConductorSays::Stop { at }, ConductorSays::Next { at },
                        ConductorSays::Slower { at }, ConductorSays::Start, ConductorSays::GoOn];
                    desk.command(commands[n as usize % 6].clone());
                }
                6 => drop(desk.apply(Event::Left { connection: player })),
                _ => drop(desk.look()),
            }
        }
        let told = results(&desk);
        prop_assert!(told.runs.windows(2).all(|pair| pair[0].number < pair[1].number));
        for player in told.runs.iter().flat_map(|run| &run.players) {
            // Pulses lie on 31 different ticks.
            prop_assert!(player.whole.n_pulses <= 31);
            prop_assert!(player.whole.matched.is_none_or(|m| m.get() <= 1.0));
        }
        prop_assert!(serde_json::to_string(&told).is_ok());
    }
}
