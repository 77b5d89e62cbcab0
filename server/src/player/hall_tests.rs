//! The hall against the inverse distance law, and a room check in it from sound to levels, faster than time.

use super::*;
use crate::player::Habit;
use crate::room::Told;
use crate::room::desk::Desk;
use windrow_analysis::Config;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Finding, PlayerSays};
use windrow_protocol::units::{Decibels, Name};
use windrow_web::Listener;

fn at(x_m: f64) -> Place {
    Place { x_m, y_m: 0.0 }
}

#[test]
fn a_neighbour_is_softer_the_further_away_and_the_walls_set_the_end() {
    let hall = Hall::new(Vec::new(), Walls::FAR, 440.0);
    let db = |x_m| 20.0 * hall.heard_gain(at(0.0), at(x_m)).log10();
    // Inverse distance law: 20 log10(0.4 / hypot(0.4, 0.3)) = -1.94 dB, plus the walls' hundredth of the power.
    assert!((db(0.3) - -1.90).abs() < 0.05, "{}", db(0.3));
    assert!((db(1.6) - -11.9).abs() < 0.1, "{}", db(1.6));
    assert!((db(1000.0) - Walls::FAR.level_db).abs() < 0.01);
}

#[test]
fn a_room_check_finds_the_levels_that_the_places_make() {
    let seats = [("Imogen", 77, 0.0), ("Hadley", 72, 1.6), ("Anouk", 60, 3.2), ("Callum", 53, 3.7)];
    let players =
        seats.iter().zip([Instrument::Flute, Instrument::Oboe, Instrument::AltoSax, Instrument::Bassoon]);
    let players = players.zip(1..).map(|((&(name, midi, x_m), instrument), seed)| {
        let (name, note) = (Name::new(name).unwrap(), Note::from_midi(midi).unwrap());
        (SimulatedPlayer { name, instrument, note, habit: Habit::Matched, seed }, at(x_m))
    });
    let hall = Hall::new(players.collect(), Walls::FAR, 440.0);
    let mut desk = Desk::new();
    let begin_us = desk.now_us;
    let time_map = TimeMap::new(begin_us, 1e6).unwrap();
    let mut devices: Vec<_> = (0..seats.len())
        .map(|i| {
            let sound = hall.sound_at(i);
            let config = Config { sample_rate_hz: sound.sample_rate_hz(), a4_hz: 440.0, expected_midi: None };
            let mut listener = Listener::new(config).unwrap();
            listener.set_time_map(time_map);
            (desk.join(seats[i].0), sound, listener)
        })
        .collect();
    desk.command(ConductorSays::CheckRoom { chairs: Vec::new() });
    let mut samples = [0.0; 480];
    for block in 1..=1000 {
        desk.now_us = begin_us + f64::from(block) * 20_000.0;
        let music = desk.timeline();
        for ((connection, sound, listener), chair) in devices.iter_mut().zip(1..) {
            let own = music.as_ref().map(|m| {
                let mut score = m.score().clone();
                score.spans.iter_mut().for_each(|span| *span = span.for_chair(chair));
                Timeline::new(score).unwrap()
            });
            sound.fill(&mut samples, own.as_ref(), &time_map);
            for said in listener.push(&samples) {
                if let PlayerSays::Reading(reading) = said {
                    desk.tell(*connection, Told::Reading(Box::new(reading)));
                }
            }
        }
        desk.look();
    }
    let found = desk.found();
    assert_eq!(found.too_close, [[3, 4]]);
    for (i, chair) in found.chairs.iter().enumerate() {
        assert_eq!(chair.finding, if i < 2 { Finding::Clear } else { Finding::TooClose }, "{chair:?}");
        let own_db = chair.own_db.map(Decibels::get).unwrap();
        // All play with the same level, which the room's noise is far below.
        assert_eq!(chair.leaks.len(), 3, "{chair:?}");
        for leak in &chair.leaks {
            let apart_m: f64 = seats[i].2 - seats[usize::from(leak.chair) - 1].2;
            let direct = 0.4 / apart_m.hypot(0.4);
            let expected_db = 10.0 * (direct.powi(2) + 10f64.powf(Walls::FAR.level_db / 10.0)).log10();
            let found_db = leak.level_db.get() - own_db;
            assert!((found_db - expected_db).abs() < 0.5, "{} hears {leak:?}: {found_db}", i + 1);
        }
    }
}

#[test]
fn in_a_classroom_of_eight_a_device_hears_the_others_as_loudly_as_its_own_player() {
    // A metre apart in two rows, all playing: 20 log10(0.4 / 1.08) = -8.6 dB for each neighbour at 1 m, -8 dB from the walls for
    // each of eight. By powers the others come to -0.6 dB direct and +1.0 dB by the walls, 3.3 dB together, where the places of
    // the room's modes add or take some.
    let players: Vec<_> = (0..8u32)
        .map(|i| {
            let name = Name::new(&format!("Player {i}")).unwrap();
            let (instrument, note) = (Instrument::Flute, Note::from_midi(60 + 2 * i as i32).unwrap());
            let place = Place { x_m: f64::from(i % 4), y_m: f64::from(i / 4) };
            (SimulatedPlayer { name, instrument, note, habit: Habit::Matched, seed: u64::from(i) + 1 }, place)
        })
        .collect();
    let mut desk = Desk::new();
    for (player, _) in &players {
        desk.join(player.name.as_str());
    }
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    desk.command(ConductorSays::SetSubdivision { per_beat: 0, at: windrow_protocol::messages::Moment::Bar });
    desk.command(ConductorSays::Start);
    let music = desk.timeline().unwrap();
    let hall = Hall::new(players.clone(), Walls::CLASSROOM, 440.0);
    let time_map = TimeMap::new(music.score().start_us.get(), 1e6).unwrap();
    let mut sounds: Vec<_> = (0..8).map(|i| hall.sound_at(i)).collect();
    let mut alone = SimulatedSound::new(&players[1].0, 440.0);
    let mut heard = [0.0; 24_000];
    let mut own = [0.0; 24_000];
    for _ in 0..3 {
        for (i, sound) in sounds.iter_mut().enumerate() {
            let mut out = [0.0; 24_000];
            sound.fill(&mut out, Some(&music), &time_map);
            if i == 1 {
                heard = out;
            }
        }
        alone.fill(&mut own, Some(&music), &time_map);
    }
    let power = |samples: &[f32]| samples.iter().map(|s| f64::from(*s).powi(2)).sum::<f64>();
    let others: Vec<f32> = heard.iter().zip(own).map(|(all, own)| all - own).collect();
    let db = 10.0 * (power(&others) / power(&own)).log10();
    assert!((db - 3.3).abs() < 3.0, "{db}");
}
