//! The server's monotonic clock: the only clock of a rehearsal.

use std::time::Instant;
use windrow_protocol::units::Micros;

/// Counts microseconds since the server started, or since the rehearsal did that it goes on with. Copies agree with each other.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ServerClock {
    started: Instant,
    /// What it said when it was started.
    at_start_us: f64,
}

impl ServerClock {
    pub(crate) fn start() -> Self {
        Self { started: Instant::now(), at_start_us: 0.0 }
    }

    /// Goes on with the time whose nought was then, as far as this computer's time of day can tell: devices that come back have
    /// pulses of that time. Where that would lie ahead, it begins anew.
    pub(crate) fn going_on(nought_unix_ms: i64) -> Self {
        let at_start_us = 1e3 * (unix_ms() - nought_unix_ms) as f64;
        Self { at_start_us: at_start_us.max(0.0), ..Self::start() }
    }

    /// Unix time of its nought, ms.
    pub(crate) fn nought_unix_ms(&self) -> i64 {
        unix_ms() - (self.now_us() / 1e3).round() as i64
    }

    pub(crate) fn now_us(&self) -> f64 {
        self.at_start_us + self.started.elapsed().as_secs_f64() * 1e6
    }

    pub(crate) fn now(&self) -> Micros {
        Micros::clamped(self.now_us()).expect("elapsed time is a number")
    }
}

/// Unix time, ms: for what outlives the server. A computer's time of day may be set, so nothing is measured by it.
pub(crate) fn unix_ms() -> i64 {
    let since_1970 = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since_1970.as_millis()).unwrap_or(i64::MAX)
}
