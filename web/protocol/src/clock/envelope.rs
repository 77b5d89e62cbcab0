//! What minutes of exchanges leave open of the offset between two clocks: each bounds it from above (its way out) and
//! from below (its way back), and between all of them lies a line, since the clocks part evenly. Knows no slewing and
//! nobody who asks: [`super::SharedClock`] does.

use super::Exchange;

/// Exchanges within this time share a slot, which keeps the tightest bound of each way: a quick burst of them must not
/// push out those of minutes ago, which tell the drift. At the largest drift the clocks part by 1.5 ms in it.
const SLOT_US: f64 = 3e6;
/// Slots kept: three minutes and more at an exchange every two seconds.
const MAX_SLOTS: usize = 64;
/// Largest drift between two clocks that is believed: 500 ppm, which is also how fast operating systems correct their
/// monotonic clock at most (Linux `adjtimex`, from memory); quartz alone is ten times better.
pub(super) const MAX_DRIFT: f64 = 500e-6;
/// Usual drift between two computers: 50 ppm (common practice, no source). A short look back tells the drift worse.
const USUAL_DRIFT: f64 = 50e-6;
/// How much the drift itself may have changed since an old exchange: 1 ppm, as quartz that warms up (from memory).
pub(super) const WANDER: f64 = 1e-6;
/// Browsers round their clock to as much as 100 µs (W3C High Resolution Time, section 8), so bounds are that much looser.
const ROUNDING_US: f64 = 100.0;
/// Halvings of an interval of drifts: 1000 ppm to a millionth of a ppm.
const HALVINGS: u32 = 30;

#[derive(Debug, Clone, Copy)]
struct Bound {
    at_us: f64,
    offset_us: f64,
}

/// Exchanges of a short time.
#[derive(Debug, Clone, Copy)]
struct Slot {
    begun_us: f64,
    above: Bound,
    below: Bound,
    n: u32,
    delays_us: f64,
}

/// The offset as a straight line of the device's clock, and what is known of its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    /// The newest exchange's last moment, from which the rest counts.
    pub(super) at_us: f64,
    pub(super) offset_us: f64,
    /// Server µs gained per device µs.
    pub(super) drift: f64,
    /// The true offset at `at_us` cannot be outside these, nor the drift.
    pub(super) lowest_us: f64,
    pub(super) highest_us: f64,
    pub(super) lowest_drift: f64,
    pub(super) highest_drift: f64,
    /// Room between the two ways' tightest bounds: about the least delay there and back.
    pub(super) width_us: f64,
    /// Likely error of the offset by jitter alone.
    pub(super) scatter_us: f64,
    /// Likely error of the drift.
    pub(super) drift_scatter: f64,
}

impl Line {
    pub(super) fn offset_at(&self, device_us: f64) -> f64 {
        self.offset_us + self.drift * (device_us - self.at_us)
    }
}

#[derive(Debug, Clone, Default)]
pub(super) struct Envelope {
    /// From the oldest to the newest.
    slots: Vec<Slot>,
    newest_us: f64,
}

impl Envelope {
    /// Whether the exchange cannot be of the same two clocks, whatever their drift: one stood still, or is another.
    pub(super) fn contradicts(&self, exchange: &Exchange) -> bool {
        if self.slots.is_empty() {
            return false;
        }
        if exchange.t4_us < self.newest_us {
            return true;
        }
        // By device time that passed the clocks may have parted this much; rounding touches both exchanges.
        let grown = |bound: &Bound, to_us: f64| MAX_DRIFT * (to_us - bound.at_us).abs() + 2.0 * ROUNDING_US;
        let is_outside = |slot: &Slot| {
            let highest_us = slot.above.offset_us + grown(&slot.above, exchange.t4_us);
            let lowest_us = slot.below.offset_us - grown(&slot.below, exchange.t1_us);
            exchange.lowest_offset_us() > highest_us || exchange.highest_offset_us() < lowest_us
        };
        self.slots.iter().any(is_outside)
    }

    /// Takes in an exchange that is sound and contradicts nothing. `drift` is what was known before.
    pub(super) fn add(&mut self, exchange: &Exchange, drift: f64) {
        self.newest_us = exchange.t4_us;
        let above = Bound { at_us: exchange.t1_us, offset_us: exchange.highest_offset_us() };
        let below = Bound { at_us: exchange.t4_us, offset_us: exchange.lowest_offset_us() };
        let delay_us = exchange.delay_us();
        match self.slots.last_mut().filter(|slot| exchange.t4_us - slot.begun_us < SLOT_US) {
            Some(slot) => {
                let level = |bound: &Bound| bound.offset_us - drift * (bound.at_us - slot.begun_us);
                if level(&above) < level(&slot.above) {
                    slot.above = above;
                }
                if level(&below) > level(&slot.below) {
                    slot.below = below;
                }
                slot.n += 1;
                slot.delays_us += delay_us;
            }
            None => {
                if self.slots.len() == MAX_SLOTS {
                    self.slots.remove(0);
                }
                self.slots.push(Slot { begun_us: exchange.t4_us, above, below, n: 1, delays_us: delay_us });
            }
        }
    }

    /// The line through the middle of what the exchanges leave open; `None` before the first.
    ///
    /// For delays whose surplus over the least is exponential, the likeliest pair of parallel bounds is the one with the
    /// most room between them (the sums over the two ways cancel the drift). The usual size of drifts is weighed in.
    pub(super) fn line(&mut self) -> Option<Line> {
        // A drift that changed, as when a system corrects its clock, leaves no room between old bounds and new ones:
        // then the oldest are of the past.
        let mut widest = best_of(-MAX_DRIFT, MAX_DRIFT, |drift| self.room_us(drift));
        while self.slots.len() > 1 && self.room_us(widest) < 0.0 {
            self.slots.remove(0);
            widest = best_of(-MAX_DRIFT, MAX_DRIFT, |drift| self.room_us(drift));
        }
        let first = self.slots.first()?;
        let n = f64::from(self.slots.iter().map(|slot| slot.n).sum::<u32>());
        let mean_delay_us = self.slots.iter().map(|slot| slot.delays_us).sum::<f64>() / n;
        let way_us = (mean_delay_us / 2.0).max(ROUNDING_US);
        let lowest_drift = last_with_room(widest, -MAX_DRIFT, |drift| self.room_us(drift));
        let highest_drift = last_with_room(widest, MAX_DRIFT, |drift| self.room_us(drift));
        let likelihood = |drift: f64| n / way_us * self.room_us(drift) - (drift / USUAL_DRIFT).powi(2) / 2.0;
        let drift = best_of(lowest_drift, highest_drift, likelihood);
        let (above_us, below_us) = self.bounds_us(drift);
        let looked_back_us = self.newest_us - first.begun_us;
        let scatter_us = way_us / n;
        Some(Line {
            at_us: self.newest_us,
            offset_us: (above_us + below_us) / 2.0,
            drift,
            lowest_us: self.bounds_us(lowest_drift).1,
            highest_us: self.bounds_us(highest_drift).0,
            lowest_drift,
            highest_drift,
            width_us: (above_us - below_us).max(0.0),
            scatter_us,
            // The error of a slope between two points of this scatter, as long as that is less than the usual drift.
            drift_scatter: (2.0 * scatter_us / looked_back_us.max(1.0)).min(USUAL_DRIFT),
        })
    }

    /// Least upper and greatest lower bound of the offset at the newest moment, if the drift is this.
    fn bounds_us(&self, drift: f64) -> (f64, f64) {
        let moved = |bound: &Bound| bound.offset_us + drift * (self.newest_us - bound.at_us);
        let loose = |bound: &Bound| ROUNDING_US + WANDER * (self.newest_us - bound.at_us);
        self.slots.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(above_us, below_us), slot| {
            (
                above_us.min(moved(&slot.above) + loose(&slot.above)),
                below_us.max(moved(&slot.below) - loose(&slot.below)),
            )
        })
    }

    /// Room between the bounds; concave in the drift, since it is a least of straight lines.
    fn room_us(&self, drift: f64) -> f64 {
        let (above_us, below_us) = self.bounds_us(drift);
        above_us - below_us
    }
}

/// Where a concave function is greatest between two drifts.
fn best_of(mut low: f64, mut high: f64, value: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..2 * HALVINGS {
        let third = (high - low) / 3.0;
        if value(low + third) < value(high - third) {
            low += third;
        } else {
            high -= third;
        }
    }
    (low + high) / 2.0
}

/// The drift furthest from `inside` towards `end` that still leaves room.
fn last_with_room(inside: f64, end: f64, room_us: impl Fn(f64) -> f64) -> f64 {
    if room_us(end) >= 0.0 {
        return end;
    }
    let (mut inside, mut outside) = (inside, end);
    for _ in 0..HALVINGS {
        let middle = (inside + outside) / 2.0;
        if room_us(middle) >= 0.0 {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}
