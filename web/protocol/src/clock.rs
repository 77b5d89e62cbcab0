//! Where the server's clock stands against a device's: offset and delay of one exchange and the clock filter, as in
//! RFC 5905, sections 8 and 10. Pure: the caller brings the four times.

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
        ((self.t2_us - self.t1_us) + (self.t3_us - self.t4_us)) / 2.0
    }

    /// Time on the network: (T4 - T1) - (T3 - T2), never below nought.
    pub fn delay_us(&self) -> f64 {
        ((self.t4_us - self.t1_us) - (self.t3_us - self.t2_us)).max(0.0)
    }
}

/// Exchanges the filter looks back on (RFC 5905, section 10).
const KEPT: usize = 8;

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
        if [exchange.t1_us, exchange.t2_us, exchange.t3_us, exchange.t4_us].iter().all(|t| t.is_finite()) {
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

    /// Largest error of the offset that the least delay leaves open: half of it, µs.
    pub fn error_bound_us(&self) -> Option<f64> {
        self.best().map(|e| e.delay_us() / 2.0)
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

    #[test]
    fn the_least_delay_of_the_last_eight_wins() {
        let exchange = |offset: f64, out: f64, back: f64| Exchange {
            t1_us: 0.0,
            t2_us: offset + out,
            t3_us: offset + out,
            t4_us: out + back,
        };
        let mut filter = ClockFilter::new();
        assert_eq!(filter.offset_us(), None);
        filter.add(exchange(5000.0, 1000.0, 1000.0));
        filter.add(exchange(5000.0, 40_000.0, 2000.0));
        assert_eq!(filter.offset_us(), Some(5000.0));
        assert_eq!(filter.error_bound_us(), Some(1000.0));
        for _ in 0..KEPT {
            filter.add(exchange(7000.0, 3000.0, 3000.0));
        }
        assert_eq!(filter.offset_us(), Some(7000.0), "exchanges older than eight are forgotten");
    }

    #[test]
    fn nonsense_times_are_passed_over() {
        let mut filter = ClockFilter::new();
        filter.add(Exchange { t1_us: f64::NAN, t2_us: 0.0, t3_us: 0.0, t4_us: 0.0 });
        assert_eq!(filter.best(), None);
    }
}
