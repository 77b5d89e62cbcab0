//! What is kept of one player's run to be drawn again: pulses, pitch centre and states as short rows of bytes, so that a long
//! rehearsal of a large section fits in memory and each row into one record. Pure; knows only the protocol.
//!
//! Numbers are written as in protocol buffers (base 128, least significant seven bits first; signed ones zigzag), times as
//! differences. A pulse of a second's usual kind takes four bytes, a centre two.

use super::kept::KeptTrace;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Mark, Pulse};

/// Times of pulses are kept in tenths of a millisecond, under a tenth of what a device knows them to.
const PULSE_UNIT_US: f64 = 100.0;
/// Depths in tenths of a decibel.
const DEPTHS_PER_DB: f64 = 10.0;
/// Centres and states change slowly.
const SLOW_UNIT_US: f64 = 10_000.0;
/// Bits of a mark's kind, beside its swing in whole cents.
const KIND_BITS: u32 = 2;

/// One player's run.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Trace {
    pulses: Box<[u8]>,
    centres: Box<[u8]>,
    states: Box<[u8]>,
}

impl Trace {
    /// Of what is in order of time; times are told from `start_us` on. `pulses` with whether each speaks for the player.
    pub(super) fn of<'a>(
        start_us: f64,
        pulses: impl Iterator<Item = (&'a Pulse, bool)>,
        centres: &[(f64, f64)],
        states: &[(f64, State)],
    ) -> Self {
        Self {
            pulses: pulses_written(start_us, pulses),
            centres: centres_written(start_us, centres),
            states: states_written(start_us, states),
        }
    }

    /// From the records.
    pub(super) fn kept(kept: &KeptTrace) -> Self {
        let row = |bytes: &[u8]| bytes.into();
        Self { pulses: row(&kept.pulses), centres: row(&kept.centres), states: row(&kept.states) }
    }

    /// Pulses, centres and states as they are kept.
    pub(super) fn rows(&self) -> [&[u8]; 3] {
        [&self.pulses, &self.centres, &self.states]
    }

    /// Memory it takes besides itself.
    pub(super) fn n_bytes(&self) -> usize {
        self.pulses.len() + self.centres.len() + self.states.len()
    }

    /// Pulses as they are drawn.
    pub(super) fn marks(&self) -> Vec<Mark> {
        let (mut reader, mut time, mut marks) = (Reader(&self.pulses), 0i64, Vec::new());
        while let Some(delta) = reader.signed() {
            let (Some(depth), Some(rest)) = (reader.unsigned(), reader.unsigned()) else { break };
            time = time.saturating_add(delta);
            let kind = (rest & ((1 << KIND_BITS) - 1)) as u8;
            let swing_cents = (rest >> KIND_BITS) as f64;
            marks.push(Mark(
                time as f64 * PULSE_UNIT_US / 1000.0,
                depth as f64 / DEPTHS_PER_DB,
                swing_cents,
                kind,
            ));
        }
        marks
    }

    /// Pitch centre by time, ms and cents.
    pub(super) fn centres(&self) -> Vec<(f64, f64)> {
        let (mut reader, mut time, mut centres) = (Reader(&self.centres), 0i64, Vec::new());
        while let Some((delta, cents)) = reader.signed().zip(reader.signed()) {
            time = time.saturating_add(delta);
            centres.push((time as f64 * SLOW_UNIT_US / 1000.0, cents as f64));
        }
        centres
    }

    /// From when on which state stood, ms.
    pub(super) fn states(&self) -> Vec<(f64, State)> {
        let (mut reader, mut time, mut states) = (Reader(&self.states), 0i64, Vec::new());
        while let Some((delta, place)) = reader.signed().zip(reader.unsigned()) {
            time = time.saturating_add(delta);
            let state = State::ALL.get(place as usize).copied().unwrap_or(State::NotHeard);
            states.push((time as f64 * SLOW_UNIT_US / 1000.0, state));
        }
        states
    }
}

fn pulses_written<'a>(start_us: f64, pulses: impl Iterator<Item = (&'a Pulse, bool)>) -> Box<[u8]> {
    let (mut bytes, mut last) = (Vec::new(), 0);
    for (pulse, is_own) in pulses {
        let time = ((pulse.time_us.get() - start_us) / PULSE_UNIT_US).round() as i64;
        let depth = (pulse.depth_db.get().max(0.0) * DEPTHS_PER_DB).round() as u64;
        let swing = pulse.swing_cents.get().abs().round() as u64;
        let kind = u64::from(if pulse.choked { Mark::CHOKED } else { 0 })
            | u64::from(if is_own { 0 } else { Mark::NOT_OWN });
        write_signed(&mut bytes, time - last);
        write(&mut bytes, depth);
        write(&mut bytes, (swing << KIND_BITS) | kind);
        last = time;
    }
    bytes.into()
}

fn centres_written(start_us: f64, centres: &[(f64, f64)]) -> Box<[u8]> {
    let (mut bytes, mut last) = (Vec::new(), 0);
    for &(time_us, cents) in centres {
        let time = ((time_us - start_us) / SLOW_UNIT_US).round() as i64;
        write_signed(&mut bytes, time - last);
        write_signed(&mut bytes, cents.round() as i64);
        last = time;
    }
    bytes.into()
}

fn states_written(start_us: f64, states: &[(f64, State)]) -> Box<[u8]> {
    let (mut bytes, mut last) = (Vec::new(), 0);
    for &(time_us, state) in states {
        let time = ((time_us - start_us) / SLOW_UNIT_US).round() as i64;
        let place = State::ALL.iter().position(|&s| s == state).unwrap_or_default();
        write_signed(&mut bytes, time - last);
        write(&mut bytes, place as u64);
        last = time;
    }
    bytes.into()
}

fn write(bytes: &mut Vec<u8>, mut value: u64) {
    while value >= 0x80 {
        bytes.push(value as u8 | 0x80);
        value >>= 7;
    }
    bytes.push(value as u8);
}

fn write_signed(bytes: &mut Vec<u8>, value: i64) {
    write(bytes, ((value << 1) ^ (value >> 63)) as u64);
}

struct Reader<'a>(&'a [u8]);

impl Reader<'_> {
    /// `None` at the end.
    fn unsigned(&mut self) -> Option<u64> {
        let (mut value, mut shift) = (0u64, 0);
        loop {
            let (&byte, rest) = self.0.split_first()?;
            self.0 = rest;
            value |= u64::from(byte & 0x7f).checked_shl(shift).unwrap_or(0);
            if byte < 0x80 {
                return Some(value);
            }
            shift += 7;
        }
    }

    fn signed(&mut self) -> Option<i64> {
        self.unsigned().map(|value| (value >> 1) as i64 ^ -((value & 1) as i64))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use windrow_protocol::units::{Cents, Decibels, Micros};

    fn pulse((time_us, depth_db, swing_cents, choked): (f64, f64, f64, bool)) -> Pulse {
        Pulse {
            time_us: Micros::new(time_us).unwrap(),
            depth_db: Decibels::new(depth_db).unwrap(),
            swing_cents: Cents::new(swing_cents).unwrap(),
            mean_cents: None,
            choked,
        }
    }

    /// The examples of the protocol buffers' encoding guide: 150 is 96 01; zigzag writes -1 as 1, 1 as 2, -2 as 3.
    #[test]
    fn numbers_are_written_as_in_protocol_buffers() {
        let written = |value| {
            let mut bytes = Vec::new();
            write(&mut bytes, value);
            bytes
        };
        assert_eq!((written(150), written(1)), (vec![0x96, 0x01], vec![1]));
        let signed = |value| {
            let mut bytes = Vec::new();
            write_signed(&mut bytes, value);
            bytes
        };
        assert_eq!((signed(-1), signed(1), signed(-2), signed(0)), (vec![1], vec![2], vec![3], vec![0]));
    }

    proptest! {
        #[test]
        fn any_bytes_are_drawn_as_something(bytes in proptest::collection::vec(any::<u8>(), 0..200), largest in any::<bool>()) {
            // The largest number there is, as a difference of times, twice.
            let twice = [[254].as_slice(), &[255; 8], &[1, 1, 1]].concat().repeat(2);
            let row: Box<[u8]> = if largest { [twice, bytes].concat().into() } else { bytes.into() };
            let trace = Trace { pulses: row.clone(), centres: row.clone(), states: row };
            prop_assert!(trace.marks().iter().all(|mark| mark.0.is_finite()));
            prop_assert!(trace.centres().iter().all(|(ms, cents)| ms.is_finite() && cents.is_finite()));
            prop_assert!(trace.states().iter().all(|(ms, _)| ms.is_finite()));
        }

        #[test]
        fn what_was_kept_comes_back(
            start_us in 0.0f64..1e12,
            pulses in proptest::collection::vec((-1e5f64..6e9, 0.0f64..60.0, 0.0f64..500.0, any::<bool>()), 0..60),
            centres in proptest::collection::vec((0.0f64..6e9, -1200.0f64..1200.0), 0..60),
            states in proptest::collection::vec((0.0f64..6e9, 0usize..18), 0..20),
        ) {
            let mut pulses: Vec<Pulse> = pulses.into_iter().map(|p| pulse((p.0 + start_us + 1e5, p.1, p.2, p.3))).collect();
            pulses.sort_by(|a, b| a.time_us.get().total_cmp(&b.time_us.get()));
            let centres: Vec<(f64, f64)> = centres.into_iter().map(|(us, c)| (us + start_us, c)).collect();
            let states: Vec<(f64, State)> = states.into_iter().map(|(us, s)| (us + start_us, State::ALL[s])).collect();
            let trace = Trace::of(start_us, pulses.iter().map(|p| (p, !p.choked)), &centres, &states);
            let marks = trace.marks();
            prop_assert_eq!(marks.len(), pulses.len());
            for (Mark(ms, db, cents, kind), p) in marks.into_iter().zip(&pulses) {
                prop_assert!((ms - (p.time_us.get() - start_us) / 1e3).abs() <= 0.0501, "{} {:?}", ms, p);
                prop_assert!((db - p.depth_db.get()).abs() <= 0.0501 && (cents - p.swing_cents.get()).abs() <= 0.501);
                prop_assert_eq!(kind, if p.choked { Mark::CHOKED + Mark::NOT_OWN } else { 0 });
            }
            let back = trace.centres();
            prop_assert_eq!(back.len(), centres.len());
            for ((ms, cents), (us, was)) in back.into_iter().zip(&centres) {
                prop_assert!((ms - (us - start_us) / 1e3).abs() <= 5.01 && (cents - was).abs() <= 0.501);
            }
            let back = trace.states();
            prop_assert_eq!(back.len(), states.len());
            for ((ms, state), (us, was)) in back.into_iter().zip(&states) {
                prop_assert!((ms - (us - start_us) / 1e3).abs() <= 5.01 && state == *was);
            }
        }
    }
}
