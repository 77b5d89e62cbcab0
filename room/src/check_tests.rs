//! The room check over events, with levels from sound in a free field: 20 log10 of the ratio of distances (any textbook of
//! acoustics, the inverse distance law), on top of a noise that adds as power.

use super::*;
use crate::desk::{Desk, cannot, pulsed};
use crate::event::{ConnectionId, Effect, Told};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    ConductorSays, Hearing, MicrophoneReport, MicrophoneStatus, Moment, Processing, Reading,
};
use windrow_protocol::units::Micros;
use windrow_words::InEnglish as _;

const NOISE_DB: f64 = -60.0;
const OWN_DB: f64 = -20.0;
/// From a player's instrument to the own device, m.
const OWN_M: f64 = 0.5;

/// Players and where they sit, m along a row.
struct Room {
    desk: Desk,
    seats: Vec<(ConnectionId, f64)>,
}

impl Room {
    fn new(places_m: &[f64]) -> Self {
        let mut desk = Desk::new();
        let names = ["Imogen", "Tobias", "Wren", "Hadley"];
        let seats = places_m.iter().zip(names).map(|(&at, name)| (desk.join(name), at)).collect();
        Self { desk, seats }
    }

    /// Level at a device while some play, each with a gain of its own.
    fn level_db(&self, device: usize, playing: &[(usize, f64)]) -> f64 {
        let at = |i: usize| self.seats[i].1;
        let sounds = playing.iter().map(|&(who, gain_db)| {
            let distance_m = (at(device) - at(who)).hypot(OWN_M);
            power(OWN_DB + gain_db - 20.0 * (distance_m / OWN_M).log10())
        });
        decibels(power(NOISE_DB) + sounds.sum::<f64>())
    }

    /// Everybody's device tells what it hears, ten times a second, until the check has ended or a time is over; `plays`
    /// says whether a player makes use of the own turn.
    fn pass(&mut self, seconds: f64, plays: impl Fn(usize) -> bool) -> Option<RoomCheck> {
        let mut found = None;
        for _ in 0..(seconds * 10.0) as u32 {
            self.desk.now_us += 1e5;
            let turn = self.desk.room.music().turn(self.desk.now_us).first().copied();
            let who = turn.map(|chair| usize::from(chair) - 1).filter(|&who| plays(who));
            let playing: Vec<(usize, f64)> = who.map(|who| (who, 0.0)).into_iter().collect();
            self.tell(&playing, Hearing::Straight, None);
            for effect in self.desk.apply(crate::event::Event::Tick) {
                if let Effect::ShowCheck(check) = effect {
                    found = Some(*check);
                }
            }
        }
        found
    }

    fn tell(&mut self, playing: &[(usize, f64)], hearing: Hearing, notes: Option<&[&str]>) {
        for i in 0..self.seats.len() {
            let level_db = Decibels::new(self.level_db(i, playing)).unwrap();
            let time_us = Micros::new(self.desk.now_us).unwrap();
            let seq = (self.desk.now_us / 1e5) as u32;
            let note = notes.map(|notes| notes[i].parse().unwrap());
            let reading = Reading { seq, time_us, level_db, hearing, note, ..pulsed() };
            self.desk.tell(self.seats[i].0, Told::Reading(Box::new(reading)));
        }
    }

    fn check(&mut self, plays: impl Fn(usize) -> bool) -> RoomCheck {
        let effects = self.desk.command(ConductorSays::CheckRoom { chairs: Vec::new() });
        assert!(!effects.iter().any(|e| matches!(e, Effect::CannotDo { .. })), "{effects:?}");
        self.pass(30.0, plays).expect("something was found")
    }
}

fn listening() -> MicrophoneReport {
    MicrophoneReport { status: MicrophoneStatus::Listening, sample_rate_hz: None, still_on: Vec::new() }
}

fn findings(check: &RoomCheck) -> Vec<Finding> {
    check.chairs.iter().map(|c| c.finding).collect()
}

#[test]
fn levels_of_own_notes_noise_and_neighbours_come_out_as_the_distances_have_them() {
    let mut room = Room::new(&[0.0, 3.0, 6.0]);
    let check = room.check(|_| true);
    assert_eq!(findings(&check), [Finding::Clear; 3]);
    let first = &check.chairs[0];
    assert_eq!(first.noise_db.unwrap().get(), NOISE_DB);
    assert!((first.own_db.unwrap().get() - OWN_DB).abs() < 0.1);
    // 3 m and 6 m along the row against 0.5 m: 15.7 and 21.6 dB.
    let leaks: Vec<f64> = first.leaks.iter().map(|l| OWN_DB - l.level_db.get()).collect();
    assert!((leaks[0] - 15.7).abs() < 0.11 && (leaks[1] - 21.6).abs() < 0.11, "{leaks:?}");
    assert_eq!((first.loudest, check.too_close.len()), (Some(2), 0));
    assert!((first.apart_db.unwrap() - 15.7).abs() < 0.11);
    assert_eq!(
        check.advice.iter().map(|a| a.as_str()).collect::<Vec<_>>(),
        ["Every device that was checked hears its own player well."]
    );
}

#[test]
fn a_pair_that_sits_too_close_is_named_and_nobody_else() {
    // 0.6 m against 0.5 m: 20 log10(0.781 / 0.5) = 3.9 dB.
    let mut room = Room::new(&[0.0, 3.0, 6.0, 6.6]);
    let check = room.check(|_| true);
    assert_eq!(findings(&check), [Finding::Clear, Finding::Clear, Finding::TooClose, Finding::TooClose]);
    assert_eq!(check.too_close, [[3, 4]]);
    assert!((check.chairs[2].apart_db.unwrap() - 3.9).abs() < 0.11);
    assert_eq!(
        check.advice.iter().map(|a| a.as_str()).collect::<Vec<_>>(),
        ["Move these stands apart, or clip the microphones on: 3 and 4."]
    );
}

#[test]
fn who_is_silent_in_the_turn_is_asked_again_and_covers_up_nothing_else() {
    let mut room = Room::new(&[0.0, 3.0, 6.0]);
    let check = room.check(|who| who != 1);
    assert_eq!(findings(&check), [Finding::Clear, Finding::Silent, Finding::Clear]);
    assert!(check.advice[0].contains("nothing was heard in the turn of Tobias"), "{:?}", check.advice);
    assert_eq!(check.chairs[0].leaks.len(), 1);
    // Only that chair, and what is known of the others stays.
    room.desk.command(ConductorSays::CheckRoom { chairs: vec![2] });
    let check = room.pass(12.0, |_| true).unwrap();
    assert_eq!(findings(&check), [Finding::Clear; 3]);
    assert_eq!(check.chairs[0].leaks.len(), 2);
}

#[test]
fn a_silence_that_was_none_is_told_as_that() {
    let mut room = Room::new(&[0.0, 3.0]);
    room.desk.command(ConductorSays::CheckRoom { chairs: Vec::new() });
    for _ in 0..200 {
        room.desk.now_us += 1e5;
        room.tell(&[(0, 0.0), (1, 0.0)], Hearing::Straight, None);
        room.desk.look();
    }
    let check = room.desk.found();
    assert_eq!(findings(&check), [Finding::Silent; 2]);
    assert!(check.advice[0].contains("the silence was as loud as the turn of Imogen"), "{:?}", check.advice);
}

#[test]
fn a_device_that_may_not_listen_is_told_from_one_that_hears_nothing() {
    let mut room = Room::new(&[0.0, 3.0]);
    let report =
        MicrophoneReport { status: MicrophoneStatus::Refused, sample_rate_hz: None, still_on: Vec::new() };
    let second = room.seats[1].0;
    room.desk.tell(second, Told::Microphone(report));
    let check = room.check(|_| true);
    assert_eq!(findings(&check), [Finding::Clear, Finding::NoMicrophone]);
}

#[test]
fn a_device_that_turns_its_level_by_itself_accuses_no_neighbour() {
    let mut room = Room::new(&[0.0, 0.6, 5.0]);
    let report = MicrophoneReport { still_on: vec![Processing::AutoGainControl], ..listening() };
    let second = room.seats[1].0;
    room.desk.tell(second, Told::Microphone(report));
    let check = room.check(|_| true);
    assert_eq!(findings(&check), [Finding::TooClose, Finding::TurnsLevel, Finding::Clear]);
    assert!(
        check.advice.iter().any(|a| a.starts_with("2: the device of Tobias turns its level")),
        "{:?}",
        check.advice
    );
}

#[test]
fn while_the_room_is_checked_only_a_stop_changes_the_music() {
    let mut room = Room::new(&[0.0, 3.0]);
    assert_eq!(
        cannot(&room.desk.command(ConductorSays::CheckRoom { chairs: vec![9] })).unwrap().as_str(),
        "nobody is in on chair 9: choose chairs of players who are in"
    );
    assert_eq!(cannot(&room.desk.command(ConductorSays::CheckRoom { chairs: Vec::new() })), None);
    room.pass(2.0, |_| true);
    let refused = cannot(&room.desk.command(ConductorSays::Next { at: Moment::Bar })).unwrap();
    assert!(refused.starts_with("the room check is running"), "{refused:?}");
    assert!(room.desk.look().check.unwrap().is_running);
    assert_eq!(room.desk.look().title.as_str(), "Room check");
    room.desk.command(ConductorSays::Stop { at: Moment::Now });
    let snapshot = room.desk.look();
    assert_eq!((snapshot.check.unwrap().is_running, snapshot.score), (false, None));
    assert_eq!(cannot(&room.desk.command(ConductorSays::Start)), None);
    // What is played now is not for the check.
    let busy = cannot(&room.desk.command(ConductorSays::CheckRoom { chairs: Vec::new() })).unwrap();
    assert!(busy.starts_with("the music is playing"), "{busy:?}");
}

#[test]
fn a_silent_player_is_not_judged_by_the_neighbour() {
    let mut room = Room::new(&[0.0, 0.6, 5.0]);
    room.check(|_| true);
    room.desk.command(ConductorSays::SetCountIn { bars: 0 });
    room.desk.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Bar });
    room.desk.command(ConductorSays::Start);
    let play = |room: &mut Room, playing: &[(usize, f64)], notes: &[&str]| {
        for _ in 0..60 {
            room.desk.now_us += 1e5;
            room.tell(playing, Hearing::Pulsed, Some(notes));
            room.desk.look();
        }
        let snapshot = room.desk.look();
        snapshot.lanes.iter().map(|l| l.state == State::Blended).collect::<Vec<_>>()
    };
    // Everybody on notes of their own: each stands out.
    assert_eq!(play(&mut room, &[(0, 0.0), (1, 0.0), (2, 0.0)], &["F4", "A4", "C5"]), [false; 3]);
    // The second is silent; its device follows the first one's note, 3.9 dB softer than there.
    assert_eq!(play(&mut room, &[(0, 0.0), (2, 0.0)], &["F4", "F4", "C5"]), [false, true, false]);
    // 3.9 dB apart in unison: less than the 4 dB of the measurement. In unison the two who sit too close cannot be told apart, the third can.
    assert_eq!(play(&mut room, &[(0, 0.0), (1, 0.0), (2, 0.0)], &["F4", "F4", "F4"]), [true, true, false]);
    // All softer by as much: nothing changes.
    let soft = [(0, -12.0), (1, -12.0), (2, -12.0)];
    assert_eq!(play(&mut room, &soft, &["F4", "A4", "C5"]), [false; 3]);
}
