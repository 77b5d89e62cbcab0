//! Lines: what stands in for a socket where a device or a proxy lets none through. A line has two ends: requests of the
//! device (`line`) put messages in and stream messages out, the conversation (`wire`) is at the other end. Here is what lies
//! between: order, numbers, a short tail for a stream that comes back, bounds. It must not know what messages mean.

use super::wire::{Allowance, Gone};
use crate::clock::ServerClock;
use crate::room::random_text;
use axum::extract::ws::Utf8Bytes;
use std::collections::{HashMap, VecDeque};
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::{mpsc, watch};
use tokio::time::timeout;

/// Lines open at once, and from one address: a class behind one proxy has one address. Our own choice.
const MAX_LINES: usize = 1024;
const MAX_LINES_OF_ONE: usize = 256;
/// Signs of a line's name, from 32 different ones: 130 bits.
const NAME_LENGTH: usize = 26;
const NAME_SIGNS: &[u8] = b"abcdefghijkmnpqrstuvwxyz23456789";
/// Messages from a device that wait for the conversation: more than any request may bring.
const SAID: usize = 256;
/// Most messages of one request.
pub(super) const MAX_TOGETHER: usize = 128;
/// Longest wait for the conversation to take what a request brings.
const TAKEN_WITHIN: Duration = Duration::from_secs(5);
/// A stream alone is no sign of life, since what is sent to a device that left is only missed after minutes. Clock requests
/// come once a second, and once a minute from a page that is hidden.
const NOTHING_SAID_FOR: Duration = Duration::from_secs(150);
/// Clock requests a second in the long run, and at once: a page asks sixteen times at 100 ms, then four times a second.
const CLOCKS_PER_SECOND: f64 = 10.0;
const CLOCKS_AT_ONCE: f64 = 60.0;

/// Who a line is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum For {
    Player,
    Conductor,
}

impl For {
    /// Messages that may wait for the stream: what a socket's device may be behind, and few of the conductor's pictures, of
    /// which only the newest counts.
    fn may_wait(self) -> usize {
        match self {
            For::Player => 64,
            For::Conductor => 4,
        }
    }

    /// Messages kept after a stream took them, for one that comes back: it may have lost those that were on their way.
    fn kept(self) -> usize {
        self.may_wait()
    }
}

/// Why no line was opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TooMany;

/// What became of messages that a request brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Taken {
    /// They are with the conversation, now or since an earlier request with this number.
    Yes,
    /// Requests before this one are missing.
    OutOfOrder,
    /// The conversation is too far behind.
    Busy,
    /// The line has ended.
    Ended,
}

/// The lines by name; copies share them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Lines {
    lines: Arc<Mutex<HashMap<String, Arc<Line>>>>,
}

/// One line.
#[derive(Debug)]
pub(super) struct Line {
    whose: For,
    from: IpAddr,
    said: mpsc::Sender<Utf8Bytes>,
    /// The room's, once the device is in.
    clock: OnceLock<ServerClock>,
    state: Mutex<State>,
    /// Changes whenever the state does in a way that somebody may wait for.
    changed: watch::Sender<()>,
}

#[derive(Debug)]
struct State {
    /// Number of the last request whose messages were taken.
    last_request: u32,
    last_request_at: Instant,
    clock_requests: Allowance,
    /// Messages for the device with their numbers: the tail, then those that wait.
    messages: VecDeque<(u64, Arc<str>)>,
    /// Number of the last message, and of the last one a stream took.
    last: u64,
    last_taken: u64,
    /// Which stream is the present one; an earlier one ends.
    stream: u64,
    is_streaming: bool,
    stream_went_at: Instant,
    has_ended: bool,
}

impl Lines {
    /// Opens a line on which the device has said `first` already: its name for the device, and the conversation's end.
    pub(super) fn open(
        &self,
        whose: For,
        from: IpAddr,
        first: Option<String>,
    ) -> Result<(String, LineEnd), TooMany> {
        let (said, from_device) = mpsc::channel(SAID);
        if let Some(first) = first {
            said.try_send(first.into()).expect("there is room for the first message");
        }
        let now = Instant::now();
        let state = State {
            last_request: 0,
            last_request_at: now,
            clock_requests: Allowance::new(now, CLOCKS_PER_SECOND, CLOCKS_AT_ONCE),
            messages: VecDeque::new(),
            last: 0,
            last_taken: 0,
            stream: 0,
            is_streaming: false,
            stream_went_at: now,
            has_ended: false,
        };
        let line = Arc::new(Line {
            whose,
            from,
            said,
            clock: OnceLock::new(),
            state: Mutex::new(state),
            changed: watch::Sender::new(()),
        });
        let name = random_text(NAME_SIGNS, NAME_LENGTH);
        let mut lines = self.lock();
        let n_of_one = lines.values().filter(|line| line.from == from).count();
        if lines.len() >= MAX_LINES || n_of_one >= MAX_LINES_OF_ONE {
            return Err(TooMany);
        }
        lines.insert(name.clone(), line.clone());
        drop(lines);
        let end = LineEnd { line, from_device, lines: self.clone(), name: name.clone() };
        Ok((name, end))
    }

    /// The line of this name, if it is one of theirs.
    pub(super) fn get(&self, name: &str, whose: For) -> Option<Arc<Line>> {
        self.lock().get(name).filter(|line| line.whose == whose).cloned()
    }

    fn lock(&self) -> MutexGuard<'_, HashMap<String, Arc<Line>>> {
        self.lines.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Line {
    /// Takes the messages of a request, all or none, in the order of the requests' numbers, which count from 1. One that
    /// came before is not taken twice: its answer was lost.
    pub(super) async fn take(&self, number: u32, messages: Vec<String>) -> Taken {
        let room = match timeout(TAKEN_WITHIN, self.said.reserve_many(messages.len())).await {
            Ok(Ok(room)) => room,
            Ok(Err(_)) => return Taken::Ended,
            Err(_) => return Taken::Busy,
        };
        let mut state = self.lock();
        state.last_request_at = Instant::now();
        if state.has_ended {
            return Taken::Ended;
        }
        if number <= state.last_request {
            return Taken::Yes;
        }
        if number != state.last_request + 1 {
            return Taken::OutOfOrder;
        }
        state.last_request = number;
        for (place, message) in room.zip(messages) {
            place.send(message.into());
        }
        Taken::Yes
    }

    /// The time that the room has; none before the device is in.
    pub(super) fn clock(&self) -> Option<ServerClock> {
        self.clock.get().copied()
    }

    /// Whether a clock request is within the rate; it is a sign of life.
    pub(super) fn may_ask_clock(&self) -> bool {
        let now = Instant::now();
        let mut state = self.lock();
        state.last_request_at = now;
        state.clock_requests.take(now)
    }

    /// A stream of what follows the message `after`, in place of any other; `None` where that is no longer kept.
    pub(super) fn stream(self: Arc<Self>, after: u64) -> Option<LineStream> {
        let mut state = self.lock();
        let first_kept = state.messages.front().map_or(state.last + 1, |(number, _)| *number);
        if after > state.last || after + 1 < first_kept {
            return None;
        }
        state.stream += 1;
        state.is_streaming = true;
        let which = state.stream;
        drop(state);
        self.changed.send_replace(());
        let changed = self.changed.subscribe();
        Some(LineStream { line: self, changed, which, after, said_goodbye: false })
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What a stream brings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Heard {
    Message {
        number: u64,
        text: Arc<str>,
    },
    /// The line has ended, and all of it was heard.
    End,
}

/// A device's stream of messages; the line notes when it goes.
#[derive(Debug)]
pub(super) struct LineStream {
    line: Arc<Line>,
    changed: watch::Receiver<()>,
    which: u64,
    after: u64,
    said_goodbye: bool,
}

impl LineStream {
    /// The next message; `None` once another stream has taken over or all is said.
    pub(super) async fn next(&mut self) -> Option<Heard> {
        loop {
            self.changed.mark_unchanged();
            {
                let mut state = self.line.lock();
                if self.said_goodbye || state.stream != self.which {
                    return None;
                }
                let next = state.messages.iter().find(|(number, _)| *number > self.after).cloned();
                if let Some((number, text)) = next {
                    self.after = number;
                    state.last_taken = state.last_taken.max(number);
                    drop(state);
                    self.line.changed.send_replace(());
                    return Some(Heard::Message { number, text });
                }
                if state.has_ended {
                    self.said_goodbye = true;
                    return Some(Heard::End);
                }
            }
            // The line holds the sender, so this cannot fail while the stream does.
            self.changed.changed().await.ok()?;
        }
    }
}

impl Drop for LineStream {
    fn drop(&mut self) {
        let mut state = self.line.lock();
        if state.stream == self.which {
            state.is_streaming = false;
            state.stream_went_at = Instant::now();
        }
    }
}

/// The conversation's end of a line; the line ends with it.
#[derive(Debug)]
pub(super) struct LineEnd {
    line: Arc<Line>,
    from_device: mpsc::Receiver<Utf8Bytes>,
    lines: Lines,
    name: String,
}

impl LineEnd {
    /// Says which time the room has that the device is in.
    pub(super) fn set_clock(&self, clock: ServerClock) {
        // A line is in one room for good.
        let _ = self.line.clock.set(clock);
    }

    /// The next message of the device. Nothing is lost when this is given up half-way.
    pub(super) async fn receive(&mut self) -> Option<Utf8Bytes> {
        self.from_device.recv().await
    }

    /// Puts a message into the stream; waits while too many do.
    pub(super) async fn say(&self, text: &str) -> Result<(), Gone> {
        let mut changed = self.line.changed.subscribe();
        loop {
            {
                let mut state = self.line.lock();
                let n_waiting = state.last - state.last_taken;
                if n_waiting < self.line.whose.may_wait() as u64 {
                    state.last += 1;
                    let number = state.last;
                    state.messages.push_back((number, text.into()));
                    while state.messages.len() > self.line.whose.may_wait() + self.line.whose.kept() {
                        state.messages.pop_front();
                    }
                    break;
                }
            }
            changed.changed().await.map_err(|_| Gone)?;
        }
        self.line.changed.send_replace(());
        Ok(())
    }

    /// For how long there has been no stream; `None` once the device has gone. A stream alone is no sign of life, but no other one is due: a
    /// hidden page says nothing for a minute.
    pub(super) fn silent_for(&self, now: Instant) -> Option<Duration> {
        let state = self.line.lock();
        if now.saturating_duration_since(state.last_request_at) > NOTHING_SAID_FOR {
            return None;
        }
        let without_stream = now.saturating_duration_since(state.stream_went_at);
        Some(if state.is_streaming { Duration::ZERO } else { without_stream })
    }

    /// Ends the line once the device has heard all, or `within` a time.
    pub(super) async fn end(self, within: Duration) {
        let mut changed = self.line.changed.subscribe();
        self.line.lock().has_ended = true;
        self.line.changed.send_replace(());
        let all_heard = async {
            loop {
                {
                    let state = self.line.lock();
                    if state.last_taken == state.last {
                        return;
                    }
                }
                if changed.changed().await.is_err() {
                    return;
                }
            }
        };
        // A device that is not there will not hear it, and begins anew when it comes back.
        let _ = timeout(within, all_heard).await;
    }
}

impl Drop for LineEnd {
    fn drop(&mut self) {
        self.lines.lock().remove(&self.name);
        self.line.lock().has_ended = true;
        self.line.changed.send_replace(());
    }
}
