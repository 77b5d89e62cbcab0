//! Where the server's clock stands against a device's. Pure: the caller brings the four times of each exchange and asks
//! with moments of its own clock; nothing here reads a clock.
//!
//! Both sides must bring monotonic clocks. Somebody who sets the date or the time of day then changes nothing: the
//! server counts from its own start, the native player likewise, the browser has `performance.now()`.
//!
//! [`ClockFilter`] is RFC 5905's filter of the last eight exchanges. Devices keep time by [`SharedClock`], which looks
//! back for minutes, takes out the drift between the clocks, and takes the least delay of either way by itself: with
//! uneven jitter the exchange with the least sum still has a good deal of it on one way.
//!
//! Neither can see a delay that is always there on one way only: with 30 ms on the way out and none back both are 15 ms
//! off and cannot know. That error is at most half the least delay there and back, which is part of the bound they give.

mod envelope;
mod filter;
mod shared;

pub use filter::ClockFilter;
pub use shared::{ClockError, Quality, SLEW, SharedClock, Taken};

/// One exchange of times, all in microseconds: `t1` and `t4` of the device's clock, `t2` and `t3` of the server's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exchange {
    /// Request leaves the device.
    pub t1_us: f64,
    /// Request reaches the server.
    pub t2_us: f64,
    /// Answer leaves the server.
    pub t3_us: f64,
    /// Answer reaches the device.
    pub t4_us: f64,
}

impl Exchange {
    /// Server clock minus device clock: ((T2 - T1) + (T3 - T4)) / 2.
    pub fn offset_us(&self) -> f64 {
        (self.highest_offset_us() + self.lowest_offset_us()) / 2.0
    }

    /// Time on the network: (T4 - T1) - (T3 - T2), never below nought.
    pub fn delay_us(&self) -> f64 {
        ((self.t4_us - self.t1_us) - (self.t3_us - self.t2_us)).max(0.0)
    }

    /// The offset at T1 cannot be above this, since no request arrives before it left.
    pub fn highest_offset_us(&self) -> f64 {
        self.t2_us - self.t1_us
    }

    /// The offset at T4 cannot be below this, since no answer arrives before it left.
    pub fn lowest_offset_us(&self) -> f64 {
        self.t3_us - self.t4_us
    }

    /// Whether these can be times of one exchange: finite, and on each clock in order.
    pub fn is_sound(&self) -> bool {
        let all_finite = [self.t1_us, self.t2_us, self.t3_us, self.t4_us].iter().all(|t| t.is_finite());
        all_finite && self.t1_us <= self.t4_us && self.t2_us <= self.t3_us
    }
}
