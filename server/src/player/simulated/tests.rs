//! What simulated players sound like to the real analysis, and when they are silent.

use super::*;
use windrow_analysis::{Analyser, Config, Hearing, Pulse, Reading};
use windrow_protocol::judge::{Asked, Bands, Evidence, State, judge};
use windrow_protocol::score::{PerBeat, Score, Span, TickFrom};
use windrow_protocol::units::{Beats, Bpm, Micros};

fn music(spans: &[(Option<f64>, Target)]) -> Timeline {
    let spans = spans.iter().map(|&(length, target)| Span {
        length_beats: length.map(|beats| Beats::new(beats).unwrap()),
        ..Span::new(Bpm::new(72.0).unwrap(), target)
    });
    let (start_us, tick) = (Micros::new(1e6).unwrap(), TickFrom::default());
    Timeline::new(Score { version: 1, start_us, beats_per_bar: 4, tick, spans: spans.collect() }).unwrap()
}

fn pulses(per_beat: u8) -> Target {
    Target::Pulses { per_beat: PerBeat::new(per_beat).unwrap() }
}

fn player(instrument: Instrument, note: &str, habit: Habit) -> SimulatedPlayer {
    let name = Name::new("Ines").unwrap();
    SimulatedPlayer { name, instrument, note: note.parse().unwrap(), habit, seed: 5 }
}

struct Heard {
    readings: Vec<Reading>,
    pulses: Vec<Pulse>,
}

/// Sound of a player from server time nought, as the analysis hears it.
fn heard(player: &SimulatedPlayer, music: &Timeline, seconds: f64) -> Heard {
    let mut sound = SimulatedSound::new(player, 440.0);
    let config = Config { sample_rate_hz: SAMPLE_RATE_HZ, a4_hz: 440.0, expected_midi: None };
    let mut analyser = Analyser::new(config).unwrap();
    let time_map = TimeMap::new(0.0, 1e6).unwrap();
    let mut block = vec![0.0; 480];
    let mut heard = Heard { readings: Vec::new(), pulses: Vec::new() };
    for _ in 0..(seconds * 50.0) as usize {
        sound.fill(&mut block, Some(music), &time_map);
        let new = analyser.push(&block);
        heard.readings.extend_from_slice(new.readings);
        heard.pulses.extend_from_slice(new.pulses);
    }
    heard
}

fn state(heard: &Heard, music: &Timeline, per_beat: u8) -> State {
    let last = heard.readings.last().unwrap();
    let mut offsets: Vec<f64> = heard
        .pulses
        .iter()
        .rev()
        .take(8)
        .map(|p| p.time_s * 1e6)
        .filter_map(|t| music.nearest_tick(t))
        .map(|tick| tick.offset_ms)
        .collect();
    offsets.sort_by(f64::total_cmp);
    let evidence = Evidence {
        present: true,
        resting: false,
        heard: last.hearing != Hearing::Silence,
        trusted: last.trusted(),
        pulsed: last.hearing == Hearing::Pulsed,
        n_pulses: last.n_pulses,
        pulse_rate_hz: last.pulse_rate_hz,
        depth_db: last.depth_db_pp,
        swing_cents: last.swing_cents_pp,
        centre_cents: last.centre_cents,
        drift_cents_per_10s: last.drift_cents_per_10s,
        straight_reference_cents: last.straight_reference_cents,
        evenness_cv: last.evenness_cv,
        choked_share: last.choked_share,
        timing_ms: offsets.get(offsets.len() / 2).copied(),
        levels_changed: last.capture.changes_levels(),
    };
    judge(&evidence, &Asked::at(pulses(per_beat), 72.0), &Bands::default())
}

#[test]
fn every_habit_is_heard_as_what_it_is() {
    for per_beat in [2, 3, 4] {
        let music = music(&[(None, pulses(per_beat))]);
        for habit in [
            Habit::Matched,
            Habit::Fast,
            Habit::Slow,
            Habit::DriftingSharp,
            Habit::Shallow,
            Habit::ChokedValleys,
            Habit::PitchLed,
            Habit::Late,
        ] {
            let heard = heard(&player(Instrument::Flute, "C5", habit), &music, 10.0);
            assert_eq!(
                state(&heard, &music, per_beat),
                habit.intended(),
                "{habit:?}, {per_beat} to the beat"
            );
        }
    }
}

#[test]
fn every_instrument_can_be_heard() {
    let music = music(&[(None, pulses(3))]);
    for (instrument, note) in [
        (Instrument::Piccolo, "A5"),
        (Instrument::Oboe, "C5"),
        (Instrument::ClarinetBb, "F4"),
        (Instrument::AltoSax, "F4"),
        (Instrument::Horn, "F3"),
        (Instrument::Bassoon, "F3"),
        (Instrument::Contrabassoon, "F1"),
    ] {
        let heard = heard(&player(instrument, note, Habit::Matched), &music, 6.0);
        assert_eq!(state(&heard, &music, 3), State::Matched, "{instrument:?}");
        let midi = note.parse::<Note>().unwrap().midi();
        assert_eq!(heard.readings.last().unwrap().note_midi, Some(midi), "{instrument:?}");
    }
}

#[test]
fn nobody_sounds_before_the_music_or_in_a_breath() {
    let music = music(&[(None, pulses(3))]);
    let mut playing = Playing::new(Habit::Matched.manner(), 440.0, 3);
    let note = "A4".parse().unwrap();
    let mut gain_at = |beat: f64| {
        let until_us = music.time_of(beat);
        let mut gain = 0.0;
        while playing.at_us < until_us {
            let next_us = (playing.at_us + 1000.0).max(0.0);
            gain = playing.moment(next_us, Some(&music), note).gain;
        }
        gain
    };
    assert_eq!(gain_at(-0.5), 0.0);
    assert!(gain_at(2.0) > 0.15);
    assert_eq!(gain_at(47.5), 0.0, "the last beat of twelve bars");
    assert!(gain_at(49.0) > 0.15);
}

#[test]
fn a_straight_span_is_played_straight_and_the_next_subdivision_is_met() {
    let music = music(&[(Some(4.0), pulses(3)), (Some(4.0), Target::Straight), (None, pulses(4))]);
    let heard = heard(&player(Instrument::Flute, "C5", Habit::Matched), &music, 12.0);
    let (from_us, to_us) = (music.time_of(4.5), music.time_of(7.5));
    assert!(!heard.pulses.iter().any(|p| (from_us..to_us).contains(&(p.time_s * 1e6))));
    assert_eq!(state(&heard, &music, 4), State::Matched);
}

#[test]
fn the_score_s_note_is_taken_in_the_octave_the_instrument_has() {
    for (instrument, own, expected) in [
        (Instrument::Flute, "C5", "A#4"),
        (Instrument::Contrabassoon, "C2", "A#3"),
        (Instrument::Piccolo, "D5", "A#5"),
    ] {
        let sound = SimulatedSound::new(&player(instrument, own, Habit::Matched), 440.0);
        assert_eq!(sound.octave_of("Bb4".parse().unwrap()).to_string(), expected);
    }
}

#[test]
fn after_a_silence_the_first_pulse_is_on_its_tick() {
    let music = music(&[(Some(4.0), Target::Rest), (None, pulses(1))]);
    let heard = heard(&player(Instrument::Flute, "C5", Habit::Matched), &music, 8.0);
    // Beat 4 at 72 lies 10/3 s after the start at 1 s; the scatter is 5 ms.
    let first_s = heard.pulses[0].time_s;
    assert!((first_s - 1.0 - 4.0 * 60.0 / 72.0).abs() < 0.04, "{first_s}");
}
