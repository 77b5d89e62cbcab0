//! A player's pulses against the ticks: placed once each, they lie where they would if all were placed at each look.

use super::*;
use proptest::prelude::*;
use windrow_protocol::messages::Pulse;
use windrow_protocol::score::{PerBeat, Score, Span, Target, TickFrom};
use windrow_protocol::units::{Bpm, Cents, Decibels};

fn timeline(version: u32, bpm: f64) -> Timeline {
    let target = Target::Pulses { per_beat: PerBeat::new(3).unwrap() };
    let spans = vec![Span::new(Bpm::new(bpm).unwrap(), target)];
    let start_us = Micros::new(1e6).unwrap();
    Timeline::new(Score { version, start_us, beats_per_bar: 4, tick: TickFrom::Nobody, spans }).unwrap()
}

proptest! {
    #[test]
    fn pulses_are_placed_as_if_each_look_were_the_first(
        // What happens: pulses, another score, another delay; then a look.
        steps in proptest::collection::vec((0u8..12, 1usize..60, 60.0f64..120.0), 1..40),
    ) {
        let name = Name::new("Imogen").unwrap();
        let mut seat = Seat::new("p1".to_owned(), "t1".to_owned(), 1, name, Instrument::Flute);
        let mut music = timeline(1, 66.0);
        let mut at_us = 1e6;
        for (i, (kind, n, bpm)) in steps.into_iter().enumerate() {
            match kind {
                0 => music = timeline(2 + u32::try_from(i).unwrap(), bpm),
                1 => drop(seat.take_timing(i % 2 == 0)),
                _ => {
                    let pulses: Vec<Pulse> = (0..n)
                        .map(|k| Pulse {
                            time_us: Micros::new(at_us + k as f64 * bpm * 3e3).unwrap(),
                            depth_db: Decibels::new(6.0).unwrap(),
                            swing_cents: Cents::new(10.0).unwrap(),
                            mean_cents: None,
                            choked: false,
                        })
                        .collect();
                    at_us = pulses.last().unwrap().time_us.get() + 1e5;
                    seat.take_pulses(&pulses, at_us);
                }
            }
            seat.place_pulses(&music);
            for since_us in [f64::NEG_INFINITY, at_us - 5e6] {
                let placed: Vec<_> = seat.placed_since(since_us).collect();
                prop_assert_eq!(placed, offsets_since(seat.pulses.iter().copied(), &music, since_us));
            }
            prop_assert!(seat.placed.len() == seat.pulses.len() && seat.pulses.len() <= KEPT_PULSES);
        }
    }
}
