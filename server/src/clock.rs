//! The server's monotonic clock: the only clock of a rehearsal.

use std::time::Instant;
use windrow_protocol::units::Micros;

/// Counts microseconds since the server started. Copies agree with each other.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ServerClock {
    nought: Instant,
}

impl ServerClock {
    pub(crate) fn start() -> Self {
        Self { nought: Instant::now() }
    }

    pub(crate) fn now_us(&self) -> f64 {
        self.nought.elapsed().as_secs_f64() * 1e6
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
