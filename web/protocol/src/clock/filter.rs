//! The clock filter of RFC 5905, sections 8 and 10: of the last eight exchanges the one with the least delay. Knows no
//! drift. Kept as the plain reference that [`super::SharedClock`] is measured against.

use super::Exchange;

/// Exchanges the filter looks back on (RFC 5905, section 10).
const KEPT: usize = 8;

/// By how much two clocks may part, s/s: PHI, the frequency tolerance (RFC 5905, section 7.2).
const PHI: f64 = 15e-6;

/// Keeps the last eight exchanges and trusts the one with the least delay.
#[derive(Debug, Clone, Default)]
pub struct ClockFilter {
    kept: [Option<Exchange>; KEPT],
    next: usize,
}

impl ClockFilter {
    /// A filter that knows nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in an exchange; one with a time that is not a finite number is passed over.
    pub fn add(&mut self, exchange: Exchange) {
        if exchange.is_sound() {
            self.kept[self.next] = Some(exchange);
            self.next = (self.next + 1) % KEPT;
        }
    }

    /// The exchange with the least delay of those kept.
    pub fn best(&self) -> Option<Exchange> {
        self.kept.iter().flatten().copied().min_by(|a, b| a.delay_us().total_cmp(&b.delay_us()))
    }

    /// Server clock minus device clock, µs; `None` before the first exchange.
    pub fn offset_us(&self) -> Option<f64> {
        self.best().map(|e| e.offset_us())
    }

    /// Jitter psi, µs: how far the other offsets lie from the trusted one. `None` before the second exchange.
    pub fn jitter_us(&self) -> Option<f64> {
        let trusted_us = self.offset_us()?;
        let others = self.kept.iter().flatten().map(|e| (e.offset_us() - trusted_us).powi(2));
        let (n, sum) = others.fold((0, 0.0), |(n, sum), square| (n + 1, sum + square));
        (n > 1).then(|| sum.sqrt() / f64::from(n - 1))
    }

    /// Distance lambda at a moment of the device's clock, µs: half the least delay and what the clocks may have parted
    /// since. The true offset lies no further from [`ClockFilter::offset_us`] if the clocks agree to PHI.
    pub fn distance_us(&self, device_us: f64) -> Option<f64> {
        self.best().map(|e| e.delay_us() / 2.0 + PHI * (device_us - e.t4_us).max(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offset_and_delay_of_a_worked_exchange() {
        // RFC 5905, section 8, with T1 1000.0, T2 1512.5, T3 1513.0, T4 1020.5 ms: offset +502.5 ms, delay 20.0 ms.
        let e = Exchange { t1_us: 1_000_000.0, t2_us: 1_512_500.0, t3_us: 1_513_000.0, t4_us: 1_020_500.0 };
        assert_eq!(e.offset_us(), 502_500.0);
        assert_eq!(e.delay_us(), 20_000.0);
    }

    /// An exchange at nought of both clocks' offset, with a delay out and one back.
    fn exchange(offset_us: f64, out_us: f64, back_us: f64) -> Exchange {
        Exchange { t1_us: 0.0, t2_us: offset_us + out_us, t3_us: offset_us + out_us, t4_us: out_us + back_us }
    }

    #[test]
    fn the_least_delay_of_the_last_eight_wins() {
        let mut filter = ClockFilter::new();
        assert_eq!(filter.offset_us(), None);
        filter.add(exchange(5000.0, 1000.0, 1000.0));
        filter.add(exchange(5000.0, 40_000.0, 2000.0));
        assert_eq!(filter.offset_us(), Some(5000.0));
        for _ in 0..KEPT {
            filter.add(exchange(7000.0, 3000.0, 3000.0));
        }
        assert_eq!(filter.offset_us(), Some(7000.0), "exchanges older than eight are forgotten");
    }

    #[test]
    fn jitter_is_the_spread_about_the_trusted_offset() {
        let mut filter = ClockFilter::new();
        assert_eq!(filter.jitter_us(), None);
        filter.add(exchange(5000.0, 1000.0, 1000.0));
        assert_eq!(filter.jitter_us(), None, "one exchange has no spread");
        // Offsets 5000 + (9000 - 3000)/2 = 8000 and 5000 + (1000 - 9000)/2 = 1000: 3000 and -4000 from the trusted
        // one, so psi = sqrt(9 + 16) * 1000 / (3 - 1) = 2500 (RFC 5905, section 10).
        filter.add(exchange(5000.0, 9000.0, 3000.0));
        filter.add(exchange(5000.0, 1000.0, 9000.0));
        assert_eq!(filter.jitter_us(), Some(2500.0));
    }

    #[test]
    fn distance_grows_by_phi_from_half_the_delay() {
        let mut filter = ClockFilter::new();
        assert_eq!(filter.distance_us(0.0), None);
        // Delay 20 ms, T4 1020.5 ms; 100 s later lambda = 10 ms + 100 s * 15e-6 = 11.5 ms (RFC 5905, section 10).
        filter.add(Exchange {
            t1_us: 1_000_000.0,
            t2_us: 1_512_500.0,
            t3_us: 1_513_000.0,
            t4_us: 1_020_500.0,
        });
        assert_eq!(filter.distance_us(1_020_500.0), Some(10_000.0));
        let later_us = filter.distance_us(101_020_500.0).unwrap();
        assert!((later_us - 11_500.0).abs() < 1e-6, "{later_us}");
    }

    #[test]
    fn nonsense_times_are_passed_over() {
        let mut filter = ClockFilter::new();
        filter.add(Exchange { t1_us: f64::NAN, t2_us: 0.0, t3_us: 0.0, t4_us: 0.0 });
        filter.add(Exchange { t1_us: 5.0, t2_us: 0.0, t3_us: 0.0, t4_us: 4.0 });
        assert_eq!(filter.best(), None);
    }
}
