//! How often somebody may guess: wrong codes, passphrases and links are counted by address, right ones are not. Pure but
//! for its lock: the time comes in. Knows nothing of what is guessed.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// Addresses remembered for one kind of guess; beyond, those that have guessed least are forgotten.
const MAX_ADDRESSES: usize = 4096;

/// What is guessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Guess {
    /// A room's join code.
    Code,
    /// The conductor's passphrase.
    Passphrase,
    /// A link that is good once, or a device's token.
    Link,
}

/// Guesses that are free at once, and the pause after which there is another.
#[derive(Debug, Clone, Copy)]
struct Pace {
    at_once: f64,
    one_in: Duration,
}

impl Pace {
    const fn new(at_once: f64, one_in: Duration) -> Self {
        Self { at_once, one_in }
    }
}

/// For one address, then for all together; our own choice. Twenty wrong codes at once and one in three seconds keep a class
/// of thirty behind one address waiting for half a minute, and are 3600 tries in three hours, of 24 million codes; all
/// addresses together try 0.24 % of them in eight hours. NIST SP 800-63B (from memory) allows 100 wrong passphrases in a
/// row: 5 and two a minute are as many in three quarters of an hour.
const CODES: [Pace; 2] =
    [Pace::new(20.0, Duration::from_secs(3)), Pace::new(300.0, Duration::from_millis(500))];
const PASSPHRASES: [Pace; 2] =
    [Pace::new(5.0, Duration::from_secs(30)), Pace::new(20.0, Duration::from_secs(10))];
const LINKS: [Pace; 2] = [Pace::new(10.0, Duration::from_secs(10)), Pace::new(100.0, Duration::from_secs(1))];

/// Counts of all guesses.
#[derive(Debug)]
pub(crate) struct Guesses {
    codes: Limit,
    passphrases: Limit,
    links: Limit,
}

/// No more guesses for now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Wait {
    /// Seconds until the next.
    pub(crate) seconds: u64,
}

impl Guesses {
    pub(crate) fn new(now: Instant) -> Self {
        let limit = |[each, all]: [Pace; 2]| Limit::new(each, all, now);
        Self { codes: limit(CODES), passphrases: limit(PASSPHRASES), links: limit(LINKS) }
    }

    /// Takes one guess away before it is looked at, so that many at the same time cannot slip through.
    pub(crate) fn try_once(&self, guess: Guess, ip: IpAddr, now: Instant) -> Result<Try<'_>, Wait> {
        let limit = match guess {
            Guess::Code => &self.codes,
            Guess::Passphrase => &self.passphrases,
            Guess::Link => &self.links,
        };
        let from = Guesser::new(ip);
        limit.lock().take(from, limit.each, limit.all, now)?;
        Ok(Try { limit, from })
    }
}

/// A guess that counts, unless it turns out to be right.
#[derive(Debug)]
#[must_use = "a right guess is given back"]
pub(crate) struct Try<'a> {
    limit: &'a Limit,
    from: Guesser,
}

impl Try<'_> {
    /// It was right: it does not count.
    pub(crate) fn was_right(self) {
        self.limit.lock().give_back(self.from);
    }
}

/// Whom a guess is counted against. A household or phone has 2^64 addresses of version 6 for itself (RFC 6177), so they
/// count as one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Guesser {
    /// This computer: whoever else guesses, its keyboard stays free.
    Here,
    V4(u32),
    V6(u64),
}

impl Guesser {
    fn new(ip: IpAddr) -> Self {
        match ip.to_canonical() {
            ip if ip.is_loopback() => Guesser::Here,
            IpAddr::V4(v4) => Guesser::V4(v4.to_bits()),
            IpAddr::V6(v6) => Guesser::V6((v6.to_bits() >> 64) as u64),
        }
    }
}

#[derive(Debug)]
struct Limit {
    each: Pace,
    all: Pace,
    buckets: Mutex<Buckets>,
}

impl Limit {
    fn new(each: Pace, all: Pace, now: Instant) -> Self {
        let buckets = Buckets { by_address: HashMap::new(), all: Bucket::full(all, now) };
        Self { each, all, buckets: Mutex::new(buckets) }
    }

    fn lock(&self) -> MutexGuard<'_, Buckets> {
        self.buckets.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[derive(Debug)]
struct Buckets {
    by_address: HashMap<Guesser, Bucket>,
    all: Bucket,
}

impl Buckets {
    fn take(&mut self, from: Guesser, each: Pace, all: Pace, now: Instant) -> Result<(), Wait> {
        if !self.by_address.contains_key(&from) {
            self.make_room(each, now);
        }
        self.all.refill(all, now);
        let own = self.by_address.entry(from).or_insert_with(|| Bucket::full(each, now));
        own.refill(each, now);
        own.wait(each)?;
        if from != Guesser::Here {
            self.all.wait(all)?;
            self.all.left -= 1.0;
        }
        own.left -= 1.0;
        Ok(())
    }

    fn give_back(&mut self, from: Guesser) {
        // What is more than a full bucket is taken off at the next refill.
        if let Some(own) = self.by_address.get_mut(&from) {
            own.left += 1.0;
        }
        if from != Guesser::Here {
            self.all.left += 1.0;
        }
    }

    /// Forgets whoever has not guessed for so long that nobody could tell, and if need be whoever guessed least.
    fn make_room(&mut self, each: Pace, now: Instant) {
        if self.by_address.len() < MAX_ADDRESSES {
            return;
        }
        self.by_address.retain(|_, bucket| {
            bucket.refill(each, now);
            bucket.left < each.at_once
        });
        if self.by_address.len() >= MAX_ADDRESSES {
            let least =
                self.by_address.iter().max_by(|a, b| a.1.left.total_cmp(&b.1.left)).map(|(&from, _)| from);
            least.and_then(|from| self.by_address.remove(&from));
        }
    }
}

#[derive(Debug)]
struct Bucket {
    left: f64,
    filled: Instant,
}

impl Bucket {
    fn full(pace: Pace, now: Instant) -> Self {
        Self { left: pace.at_once, filled: now }
    }

    fn refill(&mut self, pace: Pace, now: Instant) {
        let earned = now.saturating_duration_since(self.filled).as_secs_f64() / pace.one_in.as_secs_f64();
        self.left = (self.left + earned).min(pace.at_once);
        self.filled = now;
    }

    fn wait(&self, pace: Pace) -> Result<(), Wait> {
        if self.left >= 1.0 {
            return Ok(());
        }
        let seconds = ((1.0 - self.left) * pace.one_in.as_secs_f64()).ceil();
        Err(Wait { seconds: seconds as u64 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ip(text: &str) -> IpAddr {
        text.parse().unwrap()
    }

    #[test]
    fn wrong_passphrases_are_five_at_once_and_then_one_in_thirty_seconds() {
        let start = Instant::now();
        let guesses = Guesses::new(start);
        let wrong = |after_s: u64| {
            let now = start + Duration::from_secs(after_s);
            guesses.try_once(Guess::Passphrase, ip("192.168.1.7"), now).map(|_| ())
        };
        assert!((0..5).all(|_| wrong(0).is_ok()));
        assert_eq!(wrong(0), Err(Wait { seconds: 30 }));
        assert_eq!(wrong(29), Err(Wait { seconds: 1 }));
        assert_eq!(wrong(30), Ok(()));
        assert_eq!(wrong(31), Err(Wait { seconds: 29 }));
        // In a day: 5 and one in each thirty seconds.
        let day = (31..86_400).filter(|&s| wrong(s).is_ok()).count();
        assert_eq!(day, 86_400 / 30 - 2);
    }

    #[test]
    fn a_class_behind_one_address_that_mistypes_still_gets_in() {
        let start = Instant::now();
        let guesses = Guesses::new(start);
        let mut waited = Duration::ZERO;
        for _ in 0..30 {
            // Each mistypes once, waits as told, and types it right.
            for is_right in [false, true] {
                loop {
                    match guesses.try_once(Guess::Code, ip("10.0.0.1"), start + waited) {
                        Ok(attempt) if is_right => attempt.was_right(),
                        Ok(_) => {}
                        Err(wait) => {
                            waited += Duration::from_secs(wait.seconds);
                            continue;
                        }
                    }
                    break;
                }
            }
        }
        // The last ten wrong ones cost three seconds each.
        assert!(waited <= Duration::from_secs(36), "{waited:?}");
    }

    #[test]
    fn right_ones_never_count_even_at_the_same_time() {
        let now = Instant::now();
        let guesses = Guesses::new(now);
        for _ in 0..1000 {
            guesses.try_once(Guess::Passphrase, ip("10.0.0.1"), now).unwrap().was_right();
        }
        let at_once: Vec<_> =
            (0..9).map(|_| guesses.try_once(Guess::Passphrase, ip("10.0.0.1"), now)).collect();
        assert_eq!(at_once.iter().filter(|t| t.is_ok()).count(), 5);
    }

    #[test]
    fn addresses_count_apart_and_a_house_of_version_6_counts_as_one() {
        let now = Instant::now();
        let guesses = Guesses::new(now);
        let n_free =
            |text: &str| (0..40).filter(|_| guesses.try_once(Guess::Link, ip(text), now).is_ok()).count();
        assert_eq!(n_free("10.0.0.1"), 10);
        assert_eq!(n_free("::ffff:10.0.0.1"), 0, "the same address, written as version 6");
        assert_eq!(n_free("10.0.0.2"), 10);
        assert_eq!(n_free("2001:db8:1:2::1"), 10);
        assert_eq!(n_free("2001:db8:1:2:ffff::9"), 0);
        assert_eq!(n_free("2001:db8:1:3::1"), 10);
    }

    #[test]
    fn many_addresses_share_a_limit_that_leaves_this_computer_out() {
        let now = Instant::now();
        let guesses = Guesses::new(now);
        let n_free = (0..100u8)
            .filter(|i| guesses.try_once(Guess::Passphrase, ip(&format!("10.0.0.{i}")), now).is_ok())
            .count();
        assert_eq!(n_free, 20);
        assert!(guesses.try_once(Guess::Passphrase, ip("127.0.0.1"), now).is_ok());
    }

    #[test]
    fn memory_is_bounded_and_who_guessed_most_is_remembered() {
        let now = Instant::now();
        let guesses = Guesses::new(now);
        let busy = || (0..40).filter(|_| guesses.try_once(Guess::Code, ip("10.0.0.1"), now).is_ok()).count();
        assert_eq!(busy(), 20);
        for i in 0..20_000u32 {
            let from = IpAddr::from((0x0b00_0000 + i).to_be_bytes());
            let _ = guesses.try_once(Guess::Code, from, now + Duration::from_millis(u64::from(i) / 100));
        }
        assert!(guesses.codes.lock().by_address.len() <= MAX_ADDRESSES);
        assert_eq!(busy(), 0);
    }
}
