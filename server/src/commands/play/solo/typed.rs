//! What a player types while practising alone: a line each, since hands are on the instrument and every terminal has lines. Pure but for
//! reading them.

use std::io::BufRead;
use std::thread;
use tokio::sync::mpsc;

/// What can be typed.
pub(super) const HELP: &str = "Type and press Enter: nothing = start or stop, a = again, n = next, b = back, + = faster, - = slower, \
     g = go on (a rung that waits), a number = that exercise, r = rest or play again, q = end.";

/// Lines waiting; nobody types faster than they are read.
const WAITING: usize = 16;

/// What a line means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Typed {
    StartOrStop,
    Again,
    Next,
    Back,
    Faster,
    Slower,
    GoOn,
    /// From 1.
    Choose(u16),
    Rest,
    Quit,
}

impl Typed {
    /// Reads a line; `None` where it means nothing.
    pub(super) fn read(line: &str) -> Option<Self> {
        let line = line.trim().to_lowercase();
        Some(match line.as_str() {
            "" => Self::StartOrStop,
            "a" | "again" => Self::Again,
            "n" | "next" => Self::Next,
            "b" | "back" => Self::Back,
            "+" | "faster" => Self::Faster,
            "-" | "slower" => Self::Slower,
            "g" | "go on" => Self::GoOn,
            "r" | "rest" => Self::Rest,
            "q" | "quit" | "end" => Self::Quit,
            number => Self::Choose(number.parse().ok().filter(|&n| n > 0)?),
        })
    }
}

/// Lines of standard input as they come; none after its end.
pub(super) fn read_lines() -> mpsc::Receiver<String> {
    let (sender, lines) = mpsc::channel(WAITING);
    // Reading waits for ever, so the program ends without it.
    thread::spawn(move || {
        for line in std::io::stdin().lock().lines().map_while(Result::ok) {
            if sender.blocking_send(line).is_err() {
                return;
            }
        }
    });
    lines
}

#[cfg(test)]
mod tests {
    use super::Typed::{self, *};

    #[test]
    fn a_sign_or_a_word_is_a_command_and_anything_else_asks_for_help() {
        for (line, typed) in [
            ("", Some(StartOrStop)),
            (" N ", Some(Next)),
            ("again", Some(Again)),
            ("+", Some(Faster)),
            ("12", Some(Choose(12))),
            ("0", None),
            ("70000", None),
            ("?", None),
            ("quit", Some(Quit)),
        ] {
            assert_eq!(Typed::read(line), typed, "{line:?}");
        }
    }
}
