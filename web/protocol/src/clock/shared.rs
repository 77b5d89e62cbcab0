//! The server's time on a device: what the exchanges say, shown without stumbling. Knows no network and no music.

use super::Exchange;
use super::envelope::{Envelope, Line, WANDER};

/// How fast a shown time moves towards a better estimate: 5 ms a second. The least change of tempo that is heard in even
/// beats is 1.5 % (Drake and Botte 1993, 300 to 800 ms between beats); a third of it is well below.
pub const SLEW: f64 = 0.005;

/// A single tone out of place is noticed from 6 ms on, where tones follow fast (Friberg and Sundberg 1995).
const GOOD_WITHIN_US: f64 = 6_000.0;
/// Players stay together with a delay of up to 20 to 30 ms between them (Schuett 2002).
const FAIR_WITHIN_US: f64 = 25_000.0;
/// Share of half the least delay that may well be an error, as the ways out and back are not quite alike (our own choice,
/// no source; all of it is the bound).
const UNEVEN_WAYS: f64 = 0.25;

/// What became of an exchange.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// It counts.
    Counted,
    /// Its times cannot be those of an exchange.
    PassedOver,
    /// It contradicts what was known by more than any drift: a clock stood still while its computer slept, or the server
    /// is another one. Time jumped, and begins anew from it.
    Jumped,
}

/// How well the server's time is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quality {
    /// No exchange yet.
    Unknown,
    /// May be so far off that playing together suffers.
    Poor,
    /// Off by something that may be heard in fast notes.
    Fair,
    /// Nothing to be heard.
    Good,
}

/// How far the shown time may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClockError {
    /// Likely error, µs.
    pub likely_us: f64,
    /// Largest possible error, µs, if no clock stood still since the last exchange.
    pub bound_us: f64,
}

impl ClockError {
    /// In a word, by the likely error.
    pub fn quality(&self) -> Quality {
        if self.likely_us <= GOOD_WITHIN_US {
            Quality::Good
        } else if self.likely_us <= FAIR_WITHIN_US {
            Quality::Fair
        } else {
            Quality::Poor
        }
    }
}

/// The server's clock as a device knows it.
///
/// The time shown is strictly increasing from the newest exchange on, and does not step except at the first exchange,
/// after a jump, and when the caller says so by [`SharedClock::settle`]. Without exchanges it goes on by the drift
/// learnt. Moments before the newest exchange are told by the same line.
#[derive(Debug, Clone, Default)]
pub struct SharedClock {
    envelope: Envelope,
    line: Option<Line>,
    /// Shown minus estimated offset when the newest exchange came, µs; it shrinks by [`SLEW`] from then on.
    excess_us: f64,
    n_exchanges: u32,
    n_jumps: u32,
}

impl SharedClock {
    /// A clock that knows nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in an exchange; they must come in order of `t4_us`.
    pub fn add(&mut self, exchange: Exchange) -> Taken {
        if !exchange.is_sound() {
            return Taken::PassedOver;
        }
        let has_jumped = self.envelope.contradicts(&exchange);
        if has_jumped {
            *self = Self { n_jumps: self.n_jumps.wrapping_add(1), ..Self::default() };
        }
        let shown_us = self.offset_us(exchange.t4_us);
        self.envelope.add(&exchange, self.drift());
        self.line = self.envelope.line();
        self.n_exchanges = self.n_exchanges.saturating_add(1);
        self.excess_us = match (shown_us, self.line) {
            (Some(shown_us), Some(line)) => shown_us - line.offset_at(exchange.t4_us),
            _ => 0.0,
        };
        if has_jumped { Taken::Jumped } else { Taken::Counted }
    }

    /// Steps to the best estimate at once; for moments when nobody can hear it: nothing plays, or a bar begins.
    pub fn settle(&mut self) {
        self.excess_us = 0.0;
    }

    /// Server time at a moment of the device's clock, µs.
    pub fn server_us(&self, device_us: f64) -> Option<f64> {
        self.offset_us(device_us).map(|offset_us| device_us + offset_us)
    }

    /// The moment of the device's clock at which the server's time is this, µs: the inverse of
    /// [`SharedClock::server_us`].
    pub fn device_us(&self, server_us: f64) -> Option<f64> {
        let line = self.line?;
        let from_us = line.at_us + line.offset_us + self.excess_us;
        let slewing_us = self.excess_us.abs() / SLEW;
        let slewing_rate = 1.0 + line.drift - SLEW * sign(self.excess_us);
        let until_us = from_us + slewing_us * slewing_rate;
        let rate = 1.0 + line.drift;
        Some(if server_us <= from_us {
            line.at_us + (server_us - from_us) / rate
        } else if server_us < until_us {
            line.at_us + (server_us - from_us) / slewing_rate
        } else {
            line.at_us + slewing_us + (server_us - until_us) / rate
        })
    }

    /// Shown server time minus device time at a moment of the device's clock, µs.
    pub fn offset_us(&self, device_us: f64) -> Option<f64> {
        self.line.map(|line| line.offset_at(device_us) + self.excess_at(&line, device_us))
    }

    /// Server µs gained on each device µs; nought while unknown.
    pub fn drift(&self) -> f64 {
        self.line.map_or(0.0, |line| line.drift)
    }

    /// How far the shown time may be off at a moment of the device's clock; `None` before the first exchange.
    pub fn error(&self, device_us: f64) -> Option<ClockError> {
        let line = self.line?;
        let age_us = (device_us - line.at_us).max(0.0);
        let excess_us = self.excess_at(&line, device_us).abs();
        let above_us = line.highest_us - line.offset_us + (line.highest_drift - line.drift) * age_us;
        let below_us = line.offset_us - line.lowest_us + (line.drift - line.lowest_drift) * age_us;
        let bound_us = above_us.max(below_us) + WANDER * age_us + excess_us;
        let uneven_us = UNEVEN_WAYS * line.width_us / 2.0;
        let aged_us = (line.drift_scatter + WANDER) * age_us;
        let likely_us = line.scatter_us.hypot(uneven_us).hypot(aged_us) + excess_us;
        Some(ClockError { likely_us: likely_us.min(bound_us), bound_us })
    }

    /// How well the time is known at a moment of the device's clock.
    pub fn quality(&self, device_us: f64) -> Quality {
        self.error(device_us).map_or(Quality::Unknown, |error| error.quality())
    }

    /// Exchanges counted since the clock began, or began anew.
    pub fn n_exchanges(&self) -> u32 {
        self.n_exchanges
    }

    /// How often time has jumped.
    pub fn n_jumps(&self) -> u32 {
        self.n_jumps
    }

    fn excess_at(&self, line: &Line, device_us: f64) -> f64 {
        let shrunk_us = SLEW * (device_us - line.at_us).max(0.0);
        sign(self.excess_us) * (self.excess_us.abs() - shrunk_us).max(0.0)
    }
}

/// 1, -1, or 0 for nought.
fn sign(x: f64) -> f64 {
    if x == 0.0 { 0.0 } else { x.signum() }
}
