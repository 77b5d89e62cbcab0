//! What a room's loop tells of this computer: whether it lets anybody else in, and whether it stood still, asleep or too busy to do
//! anything. The latter by three clocks, since a sleeping computer's clocks differ in what they count.

use super::RoomTask;
use crate::handles;
use std::time::{Duration, Instant, SystemTime};
use windrow_protocol::phrase::Phrase;
use windrow_room::{Event, Part};

/// A room looks five times a second. Shorter than this is not worth a word: nobody's beat suffers. Our own choice.
const WORTH_A_WORD: Duration = Duration::from_secs(3);

/// What the clocks said at one moment.
#[derive(Debug, Clone, Copy)]
struct Clocks {
    /// The one that music goes by. On Linux and macOS it stands still while the computer sleeps.
    steady: Instant,
    /// Time of day, which may be set.
    day: SystemTime,
    /// Time since the computer was started, asleep or not, where the system tells.
    up: Option<Duration>,
}

/// The last look.
#[derive(Debug)]
pub(super) struct Pauses {
    last: Clocks,
}

impl Clocks {
    fn now() -> Self {
        Self { steady: Instant::now(), day: SystemTime::now(), up: since_boot() }
    }
}

/// Seconds since boot, sleep counted in (proc(5): /proc/uptime).
fn since_boot() -> Option<Duration> {
    let text = std::fs::read_to_string("/proc/uptime").ok()?;
    Duration::try_from_secs_f64(text.split_whitespace().next()?.parse().ok()?).ok()
}

impl Pauses {
    pub(super) fn new() -> Self {
        Self { last: Clocks::now() }
    }

    /// Looks again; what the conductor should read, if the computer stood still since the last look.
    pub(super) fn look(&mut self) -> Option<Phrase> {
        // The file is only read where something may have happened.
        let (steady, day) = (Instant::now(), SystemTime::now());
        let steadily = steady.saturating_duration_since(self.last.steady);
        let by_day = day.duration_since(self.last.day).unwrap_or_default();
        if steadily < WORTH_A_WORD && by_day < WORTH_A_WORD {
            (self.last.steady, self.last.day) = (steady, day);
            self.last.up = self.last.up.map(|up| up + steadily);
            return None;
        }
        let now = Clocks::now();
        let said = said(&self.last, &now);
        self.last = now;
        said
    }
}

impl RoomTask {
    /// Whether it stood still, and whether it lets anybody else in.
    pub(super) fn tell_of_this_computer(&mut self) {
        if let Some(text) = self.pauses.look() {
            self.happen(Event::Passed { text });
        }
        let used_up = handles::are_used_up();
        if used_up != self.is_full {
            self.is_full = used_up;
            let text = used_up.then(|| Phrase::of("trouble-connections"));
            self.happen(Event::Trouble { part: Part::Connections, text });
        }
    }
}

fn said(last: &Clocks, now: &Clocks) -> Option<Phrase> {
    let steadily = now.steady.saturating_duration_since(last.steady);
    let by_day = now.day.duration_since(last.day).unwrap_or_default();
    let up = now.up.zip(last.up).map(|(now, last)| now.saturating_sub(last));
    // Without a clock that counts sleep, a time of day that was set forward looks like sleep.
    let in_all = up.unwrap_or(by_day).max(steadily);
    let uncounted = in_all.saturating_sub(steadily);
    if uncounted >= WORTH_A_WORD {
        Some(Phrase::of("trouble-slept").with("time", how_long(in_all)))
    } else if steadily >= WORTH_A_WORD {
        Some(Phrase::of("trouble-stood-still").with("time", how_long(steadily)))
    } else {
        None
    }
}

fn how_long(time: Duration) -> Phrase {
    match time.as_secs() {
        s if s < 120 => Phrase::of("trouble-seconds").with("n", s as usize),
        s => Phrase::of("trouble-minutes").with("n", (s / 60) as usize),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds that each clock went on: the steady one, the time of day, the one that counts sleep.
    fn check(steadily: u64, by_day: i64, up: Option<u64>, expected: Option<&str>) {
        let last =
            Clocks { steady: Instant::now(), day: SystemTime::now(), up: Some(Duration::from_secs(9)) };
        let day = match by_day {
            0.. => last.day + Duration::from_secs(by_day.unsigned_abs()),
            _ => last.day - Duration::from_secs(by_day.unsigned_abs()),
        };
        let now = Clocks {
            steady: last.steady + Duration::from_secs(steadily),
            day,
            up: up.map(|s| Duration::from_secs(9 + s)),
        };
        let said = said(&last, &now);
        assert_eq!(said.as_ref().and_then(Phrase::id), expected, "{steadily} {by_day} {up:?}");
    }

    #[test]
    fn sleep_is_told_whether_the_clock_counted_it_or_not() {
        check(60, 60, Some(60), Some("trouble-stood-still"));
        check(0, 60, Some(60), Some("trouble-slept"));
        check(0, 60, None, Some("trouble-slept"));
    }

    #[test]
    fn a_time_of_day_that_was_set_is_no_sleep() {
        check(0, 3600, Some(0), None);
        check(0, -3600, Some(0), None);
        check(0, -3600, None, None);
        check(1, 2, Some(1), None);
    }
}
