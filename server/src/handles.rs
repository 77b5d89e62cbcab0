//! Whether this program has used up the files and connections that it may have open, or those that it takes. That is the program's, whatever
//! servers and rooms are in it, so it is noted in one place. It must not know who asks.

use std::fmt::Display;
use std::io;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// So long after the last connection that could not be taken it counts as over: while somebody knocks, one is tried every 50 ms.
const OVER_AFTER: Duration = Duration::from_secs(5);

static BEGAN: OnceLock<Instant> = OnceLock::new();
/// Milliseconds from then to the last failure, plus one; nought: there was none.
static LAST_FAILED: AtomicU64 = AtomicU64::new(0);

fn now_ms() -> u64 {
    let elapsed = BEGAN.get_or_init(Instant::now).elapsed();
    u64::try_from(elapsed.as_millis()).unwrap_or(u64::MAX)
}

/// Notes why a connection could not be taken.
pub(crate) fn note(error: &io::Error) {
    if !is_out_of_handles(error) {
        return;
    }
    failed(error);
}

/// Notes that somebody came while there were as many connections as a server takes.
pub(crate) fn note_full() {
    failed(&"as many are open as are taken");
}

fn failed(why: &dyn Display) {
    if !are_used_up() {
        tracing::error!(%why, "no connection can be taken");
    }
    LAST_FAILED.store(now_ms() + 1, Ordering::Relaxed);
}

/// Whether nobody else gets in.
pub(crate) fn are_used_up() -> bool {
    match LAST_FAILED.load(Ordering::Relaxed) {
        0 => false,
        at => now_ms().saturating_sub(at - 1) < OVER_AFTER.as_millis() as u64,
    }
}

/// EMFILE and ENFILE have these numbers on Linux, macOS and the BSDs, WSAEMFILE on Windows; the standard library has no kind for them.
pub(crate) fn is_out_of_handles(error: &io::Error) -> bool {
    let numbers: &[i32] = if cfg!(windows) { &[10024] } else { &[23, 24] };
    error.raw_os_error().is_some_and(|number| numbers.contains(&number))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_lack_of_handles_counts() {
        let code = if cfg!(windows) { 10024 } else { 24 };
        assert!(is_out_of_handles(&io::Error::from_raw_os_error(code)));
        assert!(!is_out_of_handles(&io::Error::from(io::ErrorKind::ConnectionAborted)));
    }
}
