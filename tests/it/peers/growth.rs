//! A room that is never closed: whatever it gathers has a bound. Its whole state, written out, is as long after twice as many runs and
//! devices as it was once everything was full.

use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Hearing, Moment, PlayerSays, Pulse, PulseBatch, Reading};
use windrow_protocol::units::{Cents, Decibels, Hertz, Micros, Name, Share};
use windrow_room::{VirtualRoom, hello};
use windrow_tests::reading;

/// Runs, and devices that come by, until all bounds are reached: 200 runs and 256 chairs are kept.
const MORE_THAN_KEPT: u32 = 260;

struct Week {
    room: VirtualRoom,
    n_devices: usize,
    seq: u32,
}

impl Week {
    fn come(&mut self, name: &str) -> usize {
        let device = self.n_devices;
        self.n_devices += 1;
        self.room.let_in(device, hello(&Name::new(name).unwrap(), Instrument::Flute)).unwrap();
        device
    }

    fn pass(&mut self, us: f64) {
        self.room.now_us += us;
        self.room.look().unwrap();
        self.room.take_letters();
    }

    /// One time through: four seconds of pulses after a count-in of none, then rest until its figures are final.
    fn play(&mut self, player: usize) {
        self.room.command(ConductorSays::Start).unwrap();
        for _ in 0..25 {
            self.pass(2e5);
            self.seq += 1;
            let time_us = self.room.now_us;
            self.room.tell(player, PlayerSays::Reading(pulsed(self.seq, time_us))).unwrap();
            let pulse = Pulse {
                time_us: Micros::new(time_us - 1e5).unwrap(),
                depth_db: Decibels::new(6.0).unwrap(),
                swing_cents: Cents::new(10.0).unwrap(),
                mean_cents: None,
                choked: false,
            };
            let batch = PulseBatch { seq: self.seq, pulses: vec![pulse] };
            self.room.tell(player, PlayerSays::Pulses(batch)).unwrap();
        }
        self.room.command(ConductorSays::Stop { at: Moment::Now }).unwrap();
        (0..13).for_each(|_| self.pass(1e6));
    }

    /// As many runs as are kept, and as many who came by as there are chairs; how long the room's state is then.
    fn half(&mut self, player: usize) -> usize {
        for _ in 0..MORE_THAN_KEPT {
            let guest = self.come("Guest");
            self.room.let_out(guest).unwrap();
            self.play(player);
        }
        format!("{:?}", self.room).len()
    }
}

fn pulsed(seq: u32, time_us: f64) -> Reading {
    Reading {
        hearing: Hearing::Pulsed,
        level_db: Decibels::new(-20.0).unwrap(),
        pulse_rate_hz: Some(Hertz::new(5.0).unwrap()),
        n_pulses: 8,
        depth_db_pp: Some(Decibels::new(6.0).unwrap()),
        swing_cents_pp: Some(Cents::new(10.0).unwrap()),
        trust: Share::new(0.9).unwrap(),
        trusted: true,
        ..reading(seq, time_us)
    }
}

#[test]
fn a_room_that_is_never_closed_does_not_grow() {
    let a4_hz = Hertz::new(440.0).unwrap();
    let room = VirtualRoom::new(Name::new("Larkmoor Youth Winds").unwrap(), a4_hz);
    let mut week = Week { room, n_devices: 0, seq: 0 };
    week.room.now_us = 1e6;
    week.room.command(ConductorSays::SetCountIn { bars: 0 }).unwrap();
    let player = week.come("Imogen");
    let first = week.half(player);
    assert!(!week.room.results().runs.is_empty(), "something was played");
    let second = week.half(player);
    // Numbers and times have become longer by a sign here and there.
    assert!(second < first + first / 20, "{first} signs became {second}");
    eprintln!("{first} signs, then {second}");
}
