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
