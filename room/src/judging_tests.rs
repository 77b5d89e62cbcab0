//! Tests of what the room says of players: states, timing, togetherness, and the words that go with them.

use super::desk::{Desk, lane, pulsed, triplets_late_by};
use super::event::Effect::Send;
use super::event::{Effect, Event, Kept, Told};
use super::state::YOU_EVERY_US;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    Capture, ConductorSays, Hearing, MicrophoneReport, MicrophoneStatus, Moment, PlayerHears, Processing,
    PulseBatch, Reading,
};
use windrow_protocol::units::{Bpm, Decibels, Hertz, Micros, Share};
use windrow_words::InEnglish as _;

#[test]
fn a_player_who_keeps_to_the_beat_is_matched_and_together() {
    let mut desk = Desk::playing_triplets();
    let imogen = desk.join("Imogen");
    let tobias = desk.join("Tobias");
    desk.tell(imogen, triplets_late_by(10.0));
    desk.tell(tobias, triplets_late_by(-10.0));
    let snapshot = desk.play_all(&[imogen, tobias], 4.0, &pulsed());
    assert_eq!(lane(&snapshot, "Imogen").state, State::Matched);
    assert_eq!(lane(&snapshot, "Imogen").evidence.as_str(), "3 to the beat");
    let section = snapshot.section;
    assert_eq!((section.n_players, section.n_heard), (2, 2));
    assert!(section.together.unwrap().get() > 0.97, "{section:?}");
    assert!(section.mean_ms.unwrap().abs() < 0.1, "{section:?}");
    assert!((section.spread_ms.unwrap() - 10.0).abs() < 0.5, "{section:?}");
}

#[test]
fn a_calibrated_player_80_ms_behind_is_late_by_80_ms() {
    let mut desk = Desk::playing_triplets();
    let callum = desk.join("Callum");
    desk.tell(callum, triplets_late_by(80.0));
    let snapshot = desk.play(callum, 4.0, &pulsed());
    let lane = lane(&snapshot, "Callum");
    assert_eq!((lane.state, lane.evidence.as_str()), (State::Late, "80 ms late"));
    assert!((lane.timing_ms.unwrap() - 80.0).abs() < 0.1);
}

#[test]
fn a_device_that_is_not_calibrated_is_never_called_late() {
    let mut desk = Desk::playing_triplets();
    let (callum, _) = desk.join_with("Callum", |h| h.calibrated = false);
    desk.tell(callum, triplets_late_by(80.0));
    let snapshot = desk.play(callum, 4.0, &pulsed());
    assert_eq!(lane(&snapshot, "Callum").state, State::Matched);
    assert!((lane(&snapshot, "Callum").timing_ms.unwrap() - 80.0).abs() < 0.1, "shown all the same");
}

#[test]
fn the_constant_of_a_device_that_is_not_calibrated_is_taken_out_before_players_are_compared() {
    let mut desk = Desk::playing_triplets();
    let imogen = desk.join("Imogen");
    let (tobias, _) = desk.join_with("Tobias", |h| h.calibrated = false);
    desk.tell(imogen, triplets_late_by(0.0));
    desk.tell(tobias, triplets_late_by(90.0));
    let snapshot = desk.play_all(&[imogen, tobias], 3.0, &pulsed());
    assert!(snapshot.section.together.unwrap().get() > 0.999, "{:?}", snapshot.section);
    let times =
        |name| lane(&snapshot, name).pulses.iter().map(|p| p.time_us.get().round()).collect::<Vec<_>>();
    assert_eq!(times("Tobias"), times("Imogen"), "the columns of the raster are straight");
    assert!((lane(&snapshot, "Tobias").timing_ms.unwrap() - 90.0).abs() < 0.1, "and it is told apart");
    let left_out_ms = |effects: &[Effect], to| {
        effects.iter().find_map(|effect| match effect {
            Send { connection, message: PlayerHears::You(you) } if *connection == to => Some(you.left_out_ms),
            _ => None,
        })
    };
    let told = desk.tell(tobias, Told::Rest { resting: true });
    assert_eq!(left_out_ms(&told, tobias), Some(90.0), "his own page can leave it out as well");
    let told = desk.tell(imogen, Told::Rest { resting: true });
    assert_eq!(left_out_ms(&told, imogen), Some(0.0));
}

#[test]
fn a_device_may_learn_its_latency_while_the_music_plays() {
    let mut desk = Desk::playing_triplets();
    let (imogen, _) = desk.join_with("Imogen", |h| h.calibrated = false);
    desk.tell(imogen, triplets_late_by(80.0));
    assert_eq!(lane(&desk.play(imogen, 4.0, &pulsed()), "Imogen").state, State::Matched);
    let told = desk.tell(imogen, Told::Timing { calibrated: true });
    let kept = |e: &Effect| matches!(e, Effect::Keep(Kept::Player { calibrated: true, .. }));
    assert!(told.iter().any(kept));
    // What was heard with the delay in it says nothing of the player; what is heard from now on does.
    assert_eq!(lane(&desk.look(), "Imogen").timing_ms, None);
    let Told::Pulses(PulseBatch { pulses, .. }) = triplets_late_by(80.0) else { panic!("pulses") };
    desk.tell(imogen, Told::Pulses(PulseBatch { seq: 2, pulses }));
    assert_eq!(lane(&desk.play(imogen, 4.0, &pulsed()), "Imogen").state, State::Late);
    assert!(desk.tell(imogen, Told::Timing { calibrated: true }).is_empty(), "nothing new");
}

#[test]
fn who_follows_a_rising_tempo_is_not_called_slow() {
    // Eighths from 60 to 80 in 27.4 s, a rate told over sixteen pulses: it is of three and a half seconds ago, when the music
    // was 2.6 bpm slower, which is more than the 3 % allowed.
    let mut desk = Desk::new();
    let imogen = desk.join("Imogen");
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    for _ in 0..5 {
        desk.command(ConductorSays::Next { at: Moment::Bar });
    }
    assert_eq!(desk.look().title.as_str(), "Eighths, 60 to 80");
    desk.command(ConductorSays::Start);
    let timeline = desk.timeline().unwrap();
    let mut states = Vec::new();
    for i in 0..190 {
        desk.now_us = timeline.score().start_us.get() + 8e6 + f64::from(i) * 1e5;
        // Sixteen pulses up to now, each where the music has it.
        let beat = timeline.beat_at(desk.now_us);
        let rate_hz = 16.0 * 1e6 / (desk.now_us - timeline.time_of(beat - 8.0));
        let reading = Reading {
            seq: 1 + i as u32,
            time_us: Micros::new(desk.now_us).unwrap(),
            pulse_rate_hz: Hertz::new(rate_hz).ok(),
            n_pulses: 16,
            ..pulsed()
        };
        desk.tell(imogen, Told::Reading(Box::new(reading)));
        states.push(lane(&desk.look(), "Imogen").state);
    }
    assert!(states.iter().skip(40).all(|&s| s == State::Matched), "{states:?}");
}

#[test]
fn pulses_of_an_earlier_tempo_do_not_count_against_the_new_one() {
    let mut desk = Desk::playing_triplets();
    let imogen = desk.join("Imogen");
    desk.tell(imogen, triplets_late_by(0.0));
    desk.play(imogen, 2.0, &pulsed());
    desk.command(ConductorSays::SetTempo { bpm: Bpm::new(132.0).unwrap(), at: Moment::Bar });
    // Beat 4, where the new tempo begins, is 3.64 s after beat nought; the eight pulses that the rate rests on take
    // 2.4 s, so until 6.3 s some of them are from before.
    let snapshot = desk.play(imogen, 4.2, &pulsed());
    assert_eq!(lane(&snapshot, "Imogen").timing_ms, None);
    assert_eq!(lane(&snapshot, "Imogen").state, State::Matched, "the last verdict stands");
    let snapshot = desk.play(imogen, 3.0, &pulsed());
    assert_eq!(lane(&snapshot, "Imogen").state, State::Slow);
}

#[test]
fn unclear_sound_is_blended_only_when_it_stays_unclear() {
    let mut desk = Desk::playing_triplets();
    let imogen = desk.join("Imogen");
    let trust = Share::new(0.2).unwrap();
    let unclear = Reading { hearing: Hearing::Unclear, trust, trusted: false, ..pulsed() };
    assert_eq!(lane(&desk.play(imogen, 1.4, &unclear), "Imogen").state, State::NotHeard);
    let snapshot = desk.play(imogen, 2.0, &unclear);
    let blended = lane(&snapshot, "Imogen");
    assert_eq!((blended.state, blended.trusted, blended.pulse_rate_hz), (State::Blended, false, None));
    assert_eq!(snapshot.section.n_heard, 0);
}

#[test]
fn who_falls_silent_is_not_heard_after_a_beat() {
    let mut desk = Desk::playing_triplets();
    let imogen = desk.join("Imogen");
    desk.tell(imogen, triplets_late_by(0.0));
    assert_eq!(lane(&desk.play(imogen, 4.0, &pulsed()), "Imogen").state, State::Matched);
    let silent = Reading { hearing: Hearing::Silence, trusted: false, ..pulsed() };
    assert_eq!(lane(&desk.play(imogen, 0.8, &silent), "Imogen").state, State::Matched, "a breath");
    assert_eq!(lane(&desk.play(imogen, 1.0, &silent), "Imogen").state, State::NotHeard);
}

#[test]
fn a_device_that_says_nothing_more_no_longer_speaks_for_its_player() {
    let mut desk = Desk::playing_triplets();
    let imogen = desk.join("Imogen");
    desk.play(imogen, 4.0, &pulsed());
    desk.now_us += FRESH_FOR_TEST_US;
    desk.look();
    desk.now_us += 1e6;
    let snapshot = desk.look();
    let lane = lane(&snapshot, "Imogen");
    assert_eq!((lane.state, lane.trusted, lane.depth_db_pp), (State::NotHeard, false, None));
}

/// Just over the time a reading speaks for its player.
const FRESH_FOR_TEST_US: f64 = 1.6e6;

#[test]
fn without_music_no_rate_is_asked_for() {
    let mut desk = Desk::playing_triplets();
    let wren = desk.join("Wren");
    let fast = Reading { pulse_rate_hz: Some(Hertz::new(3.6).unwrap()), ..pulsed() };
    let snapshot = desk.play(wren, 4.0, &fast);
    assert_eq!(lane(&snapshot, "Wren").state, State::Fast);
    assert_eq!(snapshot.say.unwrap().text.as_str(), "Wren, wait for the tick: three to the beat.");
    desk.command(ConductorSays::Stop { at: Moment::Now });
    let snapshot = desk.play(wren, 2.0, &fast);
    assert_eq!(lane(&snapshot, "Wren").state, State::Matched);
    assert_eq!(lane(&snapshot, "Wren").evidence.as_str(), "3.6 pulses a second");
    assert_eq!(snapshot.say, None);
}

#[test]
fn a_player_hears_of_a_new_state_at_once_and_of_new_figures_once_a_second() {
    let mut desk = Desk::playing_triplets();
    let (imogen, _) = desk.join_with("Imogen", |_| {});
    let mut said = Vec::new();
    for i in 0..60u32 {
        desk.now_us += 1e5;
        let rate = Some(Hertz::new(3.2 + f64::from(i) * 0.002).unwrap());
        let time_us = Micros::new(desk.now_us).unwrap();
        let reading = Reading { seq: i + 1, time_us, pulse_rate_hz: rate, ..pulsed() };
        desk.tell(imogen, Told::Reading(Box::new(reading)));
        let effects = desk.apply(Event::Tick);
        said.extend(effects.into_iter().filter_map(|e| match e {
            Send { message: PlayerHears::You(you), .. } => Some((desk.now_us, you.state)),
            _ => None,
        }));
    }
    assert!(said.windows(2).all(|w| w[1].1 != w[0].1 || w[1].0 - w[0].0 >= YOU_EVERY_US - 1.0), "{said:?}");
    assert!(said.iter().any(|&(_, state)| state == State::Matched), "{said:?}");
}

#[test]
fn the_conductor_speaks_to_one_player_at_a_time_and_to_everyone_in_turn() {
    let mut desk = Desk::playing_triplets();
    let players: Vec<_> = ["Imogen", "Tobias", "Wren"].iter().map(|n| desk.join(n)).collect();
    let fast = Reading { pulse_rate_hz: Some(Hertz::new(3.6).unwrap()), ..pulsed() };
    let shallow = Reading { depth_db_pp: Some(Decibels::new(2.0).unwrap()), ..pulsed() };
    let mut spoken: Vec<(String, f64)> = Vec::new();
    for i in 0..600u32 {
        desk.now_us += 1e5;
        for (player, reading) in players.iter().zip([&shallow, &fast, &shallow]) {
            let time_us = Micros::new(desk.now_us).unwrap();
            let reading = Reading { seq: i + 1, time_us, ..reading.clone() };
            desk.tell(*player, Told::Reading(Box::new(reading)));
        }
        if let Some(say) = desk.look().say
            && spoken.last().is_none_or(|(text, _)| *text != say.text.as_str())
        {
            spoken.push((say.text.as_str().to_owned(), desk.now_us));
        }
    }
    let names: Vec<_> = spoken.iter().map(|(text, _)| text.split(',').next().unwrap()).collect();
    assert_eq!(names[..4], ["Tobias", "Imogen", "Wren", "Tobias"], "the rate before the size: {spoken:?}");
    assert!(spoken.windows(2).all(|w| w[1].1 - w[0].1 > 14e6), "sixteen beats at 66 are 14.5 s: {spoken:?}");
}

#[test]
fn broken_valleys_do_not_hide_the_player() {
    let mut desk = Desk::playing_triplets();
    let callum = desk.join("Callum");
    let choked = Reading { choked_share: Some(Share::new(0.6).unwrap()), ..pulsed() };
    let silent = Reading { hearing: Hearing::Silence, trusted: false, ..pulsed() };
    let mut snapshot = desk.play(callum, 2.0, &choked);
    for _ in 0..10 {
        desk.play(callum, 0.2, &silent);
        snapshot = desk.play(callum, 0.2, &choked);
    }
    assert_eq!(lane(&snapshot, "Callum").state, State::ChokedValleys);
}

#[test]
fn a_microphone_that_changes_levels_gets_no_verdict_on_depth() {
    let shallow = Reading { depth_db_pp: Some(Decibels::new(2.0).unwrap()), ..pulsed() };
    let capture =
        Capture { clipped_share: Share::new(0.05).unwrap(), clips: true, band_hz: None, gain_riding: false };
    let clipped = Reading { capture: Some(capture), ..shallow.clone() };
    let mut desk = Desk::playing_triplets();
    let wren = desk.join("Wren");
    assert_eq!(lane(&desk.play(wren, 4.0, &shallow), "Wren").state, State::Shallow);
    let seen = lane(&desk.play(wren, 4.0, &clipped), "Wren");
    assert_eq!((seen.state, seen.capture), (State::Matched, Some(capture)));
    // The device's own word counts as much as what is heard.
    assert_eq!(lane(&desk.play(wren, 4.0, &shallow), "Wren").state, State::Shallow);
    let report = MicrophoneReport {
        status: MicrophoneStatus::Listening,
        sample_rate_hz: None,
        still_on: vec![Processing::AutoGainControl],
    };
    desk.tell(wren, Told::Microphone(report));
    let seen = lane(&desk.play(wren, 4.0, &shallow), "Wren");
    assert_eq!((seen.state, seen.gain_control_on), (State::Matched, true));
}

#[test]
fn a_tone_is_straight_only_when_pulses_have_failed_to_come() {
    let mut desk = Desk::playing_triplets();
    desk.now_us += 8e6;
    let sorrel = desk.join("Sorrel");
    let straight = Reading { hearing: Hearing::Straight, pulse_rate_hz: None, n_pulses: 0, ..pulsed() };
    assert_eq!(lane(&desk.play(sorrel, 1.4, &straight), "Sorrel").state, State::NotHeard);
    assert_eq!(lane(&desk.play(sorrel, 2.0, &straight), "Sorrel").state, State::Straight);
    assert_eq!(lane(&desk.play(sorrel, 2.0, &pulsed()), "Sorrel").state, State::Matched);
    assert_eq!(lane(&desk.play(sorrel, 1.2, &straight), "Sorrel").state, State::Matched, "a moment without");
}
