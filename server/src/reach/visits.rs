//! Which devices have come, over plain http and over https: addresses in memory, for counting alone, and gone when the
//! server stops. Nothing of it is written or shown but the numbers.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// More than a school has; beyond it new ones are not counted.
const MAX_DEVICES: usize = 4096;
/// A device that takes longer between http and https is likely stuck: the steps of a welcome page take a person a minute
/// or two (a guess).
const STUCK_AFTER: Duration = Duration::from_secs(120);

/// How many devices have come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Reached {
    /// Over plain http.
    pub(crate) http: usize,
    /// Over https.
    pub(crate) https: usize,
    /// Over plain http some time ago, and never over https.
    pub(crate) stuck: usize,
}

/// The addresses.
#[derive(Debug, Default)]
pub(super) struct Visits(Mutex<HashMap<IpAddr, Visit>>);

#[derive(Debug, Clone, Copy)]
struct Visit {
    first_http: Option<Instant>,
    https: bool,
}

impl Visits {
    /// This computer itself is no device.
    pub(super) fn note(&self, ip: IpAddr, secure: bool, now: Instant) {
        let ip = ip.to_canonical();
        if ip.is_loopback() {
            return;
        }
        let mut visits = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if visits.len() >= MAX_DEVICES && !visits.contains_key(&ip) {
            return;
        }
        let visit = visits.entry(ip).or_insert(Visit { first_http: None, https: false });
        if secure {
            visit.https = true;
        } else {
            visit.first_http.get_or_insert(now);
        }
    }

    pub(super) fn reached(&self, now: Instant) -> Reached {
        let visits = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let is_stuck = |v: &&Visit| {
            !v.https && v.first_http.is_some_and(|first| now.duration_since(first) >= STUCK_AFTER)
        };
        Reached {
            http: visits.values().filter(|v| v.first_http.is_some()).count(),
            https: visits.values().filter(|v| v.https).count(),
            stuck: visits.values().filter(is_stuck).count(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_device_counts_once_and_is_stuck_after_a_while() {
        let visits = Visits::default();
        let begin = Instant::now();
        let at = |s| begin + Duration::from_secs(s);
        let note = |ip: &str, secure, now| visits.note(ip.parse().unwrap(), secure, now);
        note("127.0.0.1", false, begin);
        for s in 0..3 {
            note("192.168.1.20", false, at(s));
            note("192.168.1.21", false, at(s));
        }
        note("::ffff:192.168.1.21", true, at(60));
        assert_eq!(visits.reached(at(100)), Reached { http: 2, https: 1, stuck: 0 });
        assert_eq!(visits.reached(at(120)), Reached { http: 2, https: 1, stuck: 1 });
        note("192.168.1.20", true, at(130));
        assert_eq!(visits.reached(at(500)), Reached { http: 2, https: 2, stuck: 0 });
    }
}
