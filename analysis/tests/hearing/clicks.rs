//! The product's own tick in the microphone: it must not be heard as a pulse, a note or anything else, whatever the player
//! does, and it must not be found where it is not.

use crate::leaks::{Beat, Leak, Room, add, hear_without_ticks, noise};
use crate::truth::{Heard, RATE, hear, median, timbre_for};
use windrow_analysis::Hearing;
use windrow_analysis::click::{ClickKind, ClickPath, ClickSound};
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};

/// A tone's peaks have this amplitude; its level is 3 dB lower.
pub(crate) const GAIN: f64 = 0.1;
pub(crate) const TONE_DB: f64 = -23.01;
/// Ways of a click: without a room; from the device itself in a classroom of 200 cubic metres and 0.6 s, 0.18 m away; from
/// a loudspeaker 3 m away. The critical distance is 0.057 sqrt(V / T) = 1.04 m (Kuttruff, "Room Acoustics"), the direct
/// sound stands 20 log10(1.04 / distance) over the rest. Most level of the direct sound over the tone's, dB.
const WAYS: [(Option<Room>, f64); 3] = [
    (None, 6.0),
    (Some(Room { reverb_s: 0.6, direct_db: 15.0 }), 6.0),
    (Some(Room { reverb_s: 0.6, direct_db: -9.0 }), -15.0),
];

pub(crate) fn tone(f0_hz: f64, rate_hz: f64, depth_db: f64, swing_cents: f64) -> Pulsing {
    let first_peak_s = 0.13;
    Pulsing { f0_hz, peak_gain: GAIN, rate_hz, depth_db, swing_cents, first_peak_s, drift_cents_per_s: 0.0 }
}

/// A spectrum as of a woodwind: it falls by 12 dB an octave above the tone holes' cutoff near 1.5 kHz (Benade,
/// "Fundamentals of Musical Acoustics"), and reaches into the clicks' band at every pitch.
fn woodwind(f0_hz: f64) -> Timbre {
    let n = (9000.0 / f0_hz) as usize;
    let strength = |h: usize| 1.0 / (1.0 + (h as f64 * f0_hz / 1500.0).powi(2));
    Timbre::new(&(1..=n.max(2)).map(strength).collect::<Vec<_>>())
}

/// The tone from `from_s` on, in a little noise.
pub(crate) fn played(tone: &Pulsing, from_s: f64, seconds: f64) -> Vec<f32> {
    render(RATE, woodwind(tone.f0_hz), -70.0, 1, seconds, |t| {
        let moment = tone.at(t);
        if t < from_s { Moment { gain: 0.0, ..moment } } else { moment }
    })
}

fn says_pulsed(heard: &Heard) -> bool {
    !heard.pulses.is_empty() || heard.readings.iter().any(|r| r.trusted() && r.hearing == Hearing::Pulsed)
}

fn n_straight(heard: &Heard) -> usize {
    heard.readings.iter().filter(|r| r.trusted() && r.hearing == Hearing::Straight).count()
}

/// Tempos and subdivisions, slow and fast.
const BEATS: [(f64, u32); 6] = [(60.0, 1), (60.0, 4), (92.0, 3), (132.0, 2), (208.0, 1), (208.0, 4)];

#[test]
fn a_straight_tone_stays_straight() {
    for (room, most_db) in WAYS {
        for (k, f0_hz) in [58.3, 116.5, 233.1, 440.0, 880.0, 1760.0, 3520.0].into_iter().enumerate() {
            // From the first moment: the delay is found while the tone sounds, or never.
            let clean = played(&tone(f0_hz, 0.0, 0.0, 0.0), 0.0, 6.0);
            let heard_clean = hear(&clean, RATE);
            let expected = n_straight(&heard_clean);
            for (i, relative_db) in [-36.0, -24.0, -12.0, 0.0].map(|db| db + most_db).into_iter().enumerate()
            {
                let (bpm, per_beat) = BEATS[(k + i) % BEATS.len()];
                let ticks = Beat { bpm, per_beat, from_s: 0.2 }.ticks(5.8);
                let sound = ClickSound::ALL[(k + i) % 2];
                let mut leaked = clean.clone();
                let leak = Leak { sound, delay_s: 0.11, level_db: TONE_DB + relative_db, room };
                leak.add_to(&mut leaked, RATE, &ticks);
                let (heard, paths) = hear_without_ticks(&leaked, RATE, 1024, &ticks);
                let case =
                    format!("{f0_hz} Hz, {relative_db} dB, {bpm} bpm by {per_beat}, {room:?}: {paths:?}");
                assert!(!says_pulsed(&heard), "{case}");
                let straight = n_straight(&heard);
                assert!(10 * straight >= 8 * expected, "{case}: {straight} of {expected}");
                let both = heard.readings.iter().zip(&heard_clean.readings).filter(|(a, _)| a.trusted());
                let mut off: Vec<f64> = both.map(|(a, b)| (a.level_db - b.level_db).abs()).collect();
                off.sort_by(f64::total_cmp);
                assert!(off[off.len() * 19 / 20] < 0.2, "{case}: level off by {}", off[off.len() * 19 / 20]);
            }
        }
    }
}

#[test]
fn ticks_in_silence_are_no_notes_and_soon_nothing_at_all() {
    for (bpm, per_beat) in BEATS {
        for sound in ClickSound::ALL {
            let ticks = Beat { bpm, per_beat, from_s: 0.2 }.ticks(7.8);
            let mut leaked = noise(RATE, -75.0, 2, 8.0);
            Leak { sound, delay_s: 0.15, level_db: -20.0, room: None }.add_to(&mut leaked, RATE, &ticks);
            let (heard, paths) = hear_without_ticks(&leaked, RATE, 1024, &ticks);
            let case = format!("{sound:?}, {bpm} bpm by {per_beat}: {paths:?}");
            assert!(heard.pulses.is_empty(), "{case}");
            assert!(heard.readings.iter().all(|r| r.f0_hz.is_none()), "{case}");
            // Three beats of the slowest tempo and half a second.
            let late = heard.readings.iter().filter(|r| r.time_s > 3.7);
            assert!(
                late.clone().count() > 50 && late.clone().all(|r| r.hearing == Hearing::Silence),
                "{case}"
            );
        }
    }
}

/// Errors of what was said about a pulsed tone: medians over trusted readings, and of the times of the pulses.
fn check_pulses(case: &str, heard: &Heard, tone: &Pulsing, from_s: f64) {
    let trusted: Vec<_> =
        heard.readings.iter().filter(|r| r.trusted() && r.hearing == Hearing::Pulsed).collect();
    assert!(trusted.len() > 50, "{case}: {} trusted", trusted.len());
    let note_midi = 69.0 + 12.0 * (tone.f0_hz / 440.0).log2();
    let check = |what: &str, errors: Vec<f64>, limit: f64| {
        let error = median(errors);
        assert!(error < limit, "{case}: {what} is off by {error}");
    };
    let of = |value: &dyn Fn(&windrow_analysis::Reading) -> Option<f64>| -> Vec<f64> {
        trusted.iter().filter_map(|r| value(r)).map(f64::abs).collect()
    };
    // What design asks of mixed sound, in the median: 0.6 %, 0.1 dB, 1 cent, 0.1 cent, 2 ms.
    check("rate", of(&|r| Some(100.0 * (r.pulse_rate_hz? / tone.rate_hz - 1.0))), 0.6);
    check("depth", of(&|r| Some(r.depth_db_pp? - tone.depth_db)), 0.1);
    check("swing", of(&|r| Some(r.swing_cents_pp? - tone.swing_cents)), 1.0);
    let centre =
        |r: &windrow_analysis::Reading| Some(r.centre_cents? + 100.0 * (f64::from(r.note_midi?) - note_midi));
    check("centre", of(&centre), 0.1);
    let late_ms = |time_s: f64| {
        let pulses = (time_s - tone.first_peak_s) * tone.rate_hz;
        1000.0 * (pulses - pulses.round()).abs() / tone.rate_hz
    };
    check("time", heard.pulses.iter().map(|p| late_ms(p.time_s)).collect(), 2.0);
    let last_s = heard.readings.iter().map(|r| r.time_s).fold(0.0, f64::max);
    let expected = ((last_s - from_s) * tone.rate_hz) as usize;
    assert!(heard.pulses.len() + 2 >= expected, "{case}: {} of {expected}", heard.pulses.len());
    assert!(heard.pulses.len() <= expected + 1, "{case}: {} of {expected}", heard.pulses.len());
}

#[test]
fn pulses_are_measured_as_without_ticks() {
    let from_s = 3.0;
    for (k, f0_hz) in [58.3, 233.1, 440.0, 880.0, 1760.0].into_iter().enumerate() {
        for (i, (rate_hz, depth_db, swing_cents)) in
            [(2.0, 6.0, 4.0), (4.0, 3.0, 20.0), (5.5, 4.0, 12.0), (6.9, 2.0, 40.0)].into_iter().enumerate()
        {
            let tone = tone(f0_hz, rate_hz, depth_db, swing_cents);
            let clean = played(&tone, from_s, 9.0);
            let (bpm, per_beat) = BEATS[(k + i) % BEATS.len()];
            let ticks = Beat { bpm, per_beat, from_s: 0.2 }.ticks(8.8);
            for (room, relative_db) in WAYS {
                let mut leaked = clean.clone();
                let sound = ClickSound::ALL[(k + i) % 2];
                let leak = Leak { sound, delay_s: 0.08, level_db: TONE_DB + relative_db, room };
                leak.add_to(&mut leaked, RATE, &ticks);
                let (heard, paths) = hear_without_ticks(&leaked, RATE, 1024, &ticks);
                let case = format!(
                    "{f0_hz} Hz at {rate_hz} Hz, {relative_db} dB, {bpm} by {per_beat}, {room:?}: {paths:?}"
                );
                check_pulses(&case, &heard, &tone, from_s);
            }
        }
    }
}

#[test]
fn ticks_do_not_fill_the_valleys_of_a_choked_tone() {
    for (rate_hz, bpm, per_beat) in [(1.0, 60.0, 2), (3.0, 90.0, 4), (5.0, 75.0, 4)] {
        let tone = tone(523.3, rate_hz, 40.0, 10.0);
        let ticks = Beat { bpm, per_beat, from_s: 0.2 }.ticks(9.8);
        for (room, relative_db) in WAYS {
            let mut leaked = played(&tone, 3.0, 10.0);
            Leak { sound: ClickSound::Wood, delay_s: 0.08, level_db: TONE_DB + relative_db, room }.add_to(
                &mut leaked,
                RATE,
                &ticks,
            );
            let (heard, _) = hear_without_ticks(&leaked, RATE, 1024, &ticks);
            let last = heard.last_trusted().expect("heard");
            let case = format!("{rate_hz} Hz, {room:?}: {last:?}");
            assert!(last.hearing == Hearing::Pulsed && last.choked_share.expect("valleys") > 0.9, "{case}");
            assert!((last.pulse_rate_hz.expect("pulses") / rate_hz - 1.0).abs() < 0.02, "{case}");
        }
    }
}

#[track_caller]
fn check_delay(case: &str, paths: &[ClickPath], delay_s: f64) {
    assert!(
        paths.len() == 1 && (paths[0].delay_ms - 1000.0 * delay_s).abs() < 0.5,
        "{case}, {delay_s} s: {paths:?}"
    );
}

#[test]
fn the_delay_is_found_in_three_beats_of_silence() {
    for rate_hz in [16_000.0, 44_100.0, 48_000.0] {
        for (bpm, per_beat) in BEATS {
            for delay_s in [-0.08, 0.0, 0.07, 0.2, 0.38] {
                let ticks = Beat { bpm, per_beat, from_s: 0.2 }.ticks(8.0);
                // Ticks of a bar and three beats, where these are subdivisions.
                let ticks = &ticks[..ticks.len().min(4 * per_beat as usize)];
                let mut leaked = noise(rate_hz, -70.0, 3, 5.0);
                Leak { sound: ClickSound::Wood, delay_s, level_db: -35.0, room: None }.add_to(
                    &mut leaked,
                    rate_hz,
                    ticks,
                );
                let (_, paths) = hear_without_ticks(&leaked, rate_hz, 1024, ticks);
                check_delay(&format!("{rate_hz} Hz, {bpm} by {per_beat}"), &paths, delay_s);
                assert!(paths[0].level_db < -33.0 && paths[0].level_db > -45.0, "{paths:?}");
            }
        }
    }
}

#[test]
fn the_delay_is_found_where_a_device_gates_its_microphone_to_digital_silence() {
    for level_db in [-45.0, -30.0, -15.0] {
        for (bpm, per_beat) in BEATS {
            for delay_s in [-0.08, 0.0, 0.0713, 0.2, 0.38] {
                let ticks = Beat { bpm, per_beat, from_s: 0.2 }.ticks(8.0);
                let ticks = &ticks[..ticks.len().min(4 * per_beat as usize)];
                let mut leaked = vec![0.0; (5.0 * RATE) as usize];
                Leak { sound: ClickSound::Wood, delay_s, level_db, room: None }.add_to(
                    &mut leaked,
                    RATE,
                    ticks,
                );
                let (_, paths) = hear_without_ticks(&leaked, RATE, 1024, ticks);
                check_delay(&format!("{level_db} dB, {bpm} by {per_beat}"), &paths, delay_s);
            }
        }
    }
}

#[test]
fn the_delay_is_found_under_a_tone() {
    for f0_hz in [116.5, 440.0, 1760.0] {
        let ticks = Beat { bpm: 92.0, per_beat: 2, from_s: 0.2 }.ticks(7.8);
        let mut leaked = played(&tone(f0_hz, 5.0, 4.0, 20.0), 0.0, 8.0);
        Leak { sound: ClickSound::Bright, delay_s: 0.12, level_db: TONE_DB - 12.0, room: None }.add_to(
            &mut leaked,
            RATE,
            &ticks,
        );
        let (_, paths) = hear_without_ticks(&leaked, RATE, 1024, &ticks);
        check_delay(&format!("under {f0_hz} Hz"), &paths, 0.12);
    }
}

#[test]
fn two_loudspeakers_are_both_found() {
    let ticks = Beat { bpm: 92.0, per_beat: 1, from_s: 0.2 }.ticks(9.8);
    let mut leaked = noise(RATE, -70.0, 4, 10.0);
    for (sound, delay_s, level_db) in [(ClickSound::Wood, 0.06, -30.0), (ClickSound::Bright, 0.1, -38.0)] {
        Leak { sound, delay_s, level_db, room: None }.add_to(&mut leaked, RATE, &ticks);
    }
    let (_, mut paths) = hear_without_ticks(&leaked, RATE, 1024, &ticks);
    paths.sort_by(|a, b| a.delay_ms.total_cmp(&b.delay_ms));
    check_delay("the nearer", &paths[..1], 0.06);
    check_delay("the further", &paths[1..], 0.1);
}

#[test]
fn a_delay_that_wanders_or_changes_is_followed() {
    let ticks = Beat { bpm: 92.0, per_beat: 1, from_s: 0.2 }.ticks(19.5);
    let leak = |delay_s: f64| Leak { sound: ClickSound::Wood, delay_s, level_db: -35.0, room: None };
    // 0.3 ms later at each beat, a hundred times what two quartz clocks do.
    let mut wandering = noise(RATE, -70.0, 11, 20.0);
    for (i, tick) in ticks.iter().enumerate() {
        leak(0.05 + 0.0003 * i as f64).add_to(&mut wandering, RATE, std::slice::from_ref(tick));
    }
    let (_, paths) = hear_without_ticks(&wandering, RATE, 1024, &ticks);
    let last_s = 0.05 + 0.0003 * (ticks.len() - 1) as f64;
    assert!(paths.len() == 1 && (paths[0].delay_ms - 1000.0 * last_s).abs() < 0.7, "{paths:?}, {last_s} s");
    // Another loudspeaker from the twelfth beat on.
    let mut changed = noise(RATE, -70.0, 12, 20.0);
    leak(0.06).add_to(&mut changed, RATE, &ticks[..12]);
    leak(0.21).add_to(&mut changed, RATE, &ticks[12..]);
    let (heard, paths) = hear_without_ticks(&changed, RATE, 1024, &ticks);
    assert!(paths.iter().any(|path| (path.delay_ms - 210.0).abs() < 0.5), "{paths:?}");
    // Silence again eight beats later at the latest: four to miss the former one, three to find the next.
    let late = heard.readings.iter().filter(|r| r.time_s > ticks[21].0);
    assert!(late.clone().count() > 50 && late.clone().all(|r| r.level_db < -60.0));
}

#[test]
fn ticks_too_fast_to_be_told_apart_are_not_guessed_at() {
    // One beat a bar would be told by its first; here each tick sounds like the next, 200 ms apart.
    let ticks: Vec<_> = (0..36).map(|i| (0.2 + 0.2 * f64::from(i), ClickKind::Beat)).collect();
    let mut leaked = noise(RATE, -70.0, 5, 8.0);
    Leak { sound: ClickSound::Wood, delay_s: 0.05, level_db: -30.0, room: None }.add_to(
        &mut leaked,
        RATE,
        &ticks,
    );
    let (_, paths) = hear_without_ticks(&leaked, RATE, 1024, &ticks);
    assert_eq!(paths, []);
}

#[test]
fn no_click_is_found_where_there_is_none() {
    let ticks = Beat { bpm: 80.0, per_beat: 1, from_s: 0.2 }.ticks(14.8);
    let since = |t: f64| ticks.iter().map(|tick| t - tick.0).filter(|s| *s >= 0.0).fold(9.0, f64::min);
    let mut sounds: Vec<(String, Vec<f32>)> = Vec::new();
    for midi in [24, 34, 41, 48, 55, 60, 67, 72, 79, 84, 91, 98, 105] {
        let f0_hz = 440.0 * ((f64::from(midi) - 69.0) / 12.0).exp2();
        // Pulses that peak on each tick, sharply, and tongued notes that begin on it within 3 ms.
        let pulses = |t: f64| Moment { f0_hz, gain: GAIN * (0.2 + 0.8 * (-since(t) / 0.08).exp()) };
        let tongued = |t: f64| Moment {
            f0_hz,
            gain: 3.0 * GAIN * (since(t) / 0.003).min(1.0) * (-since(t) / 0.3).exp(),
        };
        sounds.push((format!("pulses on {midi}"), render(RATE, timbre_for(f0_hz), -65.0, 6, 15.0, pulses)));
        sounds.push((format!("tongued {midi}"), render(RATE, timbre_for(f0_hz), -65.0, 7, 15.0, tongued)));
    }
    sounds.push(("noise".into(), noise(RATE, -30.0, 8, 15.0)));
    sounds.push(("silence".into(), vec![0.0; 15 * RATE as usize]));
    // Bursts on each tick: a puff of breath, a key's slap, a knock on the stand.
    for (name, seconds) in [("puffs", 0.06), ("slaps", 0.008), ("knocks", 0.002)] {
        let mut sound = noise(RATE, -65.0, 9, 15.0);
        for (i, (time_s, _)) in ticks.iter().enumerate() {
            let burst = noise(RATE, -12.0, 100 + i as u64, seconds);
            add(&mut sound, &burst, ((time_s + 0.05) * RATE) as i64, 1.0);
        }
        sounds.push((name.into(), sound));
    }
    // As speech: a voice whose pitch and vowels glide, broken by hisses, four syllables a second.
    let voice = |t: f64| {
        let syllable = (4.0 * t).fract();
        Moment {
            f0_hz: 140.0 * (1.0 + 0.2 * (3.1 * t).sin()),
            gain: if syllable < 0.6 { 2.0 * GAIN } else { 0.0 },
        }
    };
    let mut speech = render(RATE, timbre_for(140.0), -65.0, 10, 15.0, voice);
    for i in 0..58 {
        add(&mut speech, &noise(RATE, -35.0, 200 + i, 0.09), ((0.16 + 0.25 * i as f64) * RATE) as i64, 1.0);
    }
    sounds.push(("speech".into(), speech));
    for (name, sound) in sounds {
        let (_, paths) = hear_without_ticks(&sound, RATE, 1024, &ticks);
        assert_eq!(paths, [], "{name}");
    }
}

#[test]
fn any_cut_into_blocks_gives_the_same_readings() {
    let ticks = Beat { bpm: 132.0, per_beat: 2, from_s: 0.2 }.ticks(4.8);
    let mut leaked = played(&tone(440.0, 5.0, 6.0, 20.0), 2.0, 5.0);
    Leak { sound: ClickSound::Wood, delay_s: 0.09, level_db: -30.0, room: None }.add_to(
        &mut leaked,
        RATE,
        &ticks,
    );
    let (whole, paths) = hear_without_ticks(&leaked, RATE, leaked.len(), &ticks);
    check_delay("in one", &paths, 0.09);
    for block in [1, 97, 960, 4096] {
        let (cut, _) = hear_without_ticks(&leaked, RATE, block, &ticks);
        assert_eq!(whole.readings, cut.readings, "blocks of {block}");
        assert_eq!(whole.pulses, cut.pulses, "blocks of {block}");
    }
}
