//! Calls of the door with any text, line by line: what a broken page, or somebody at its console, could say to the own practice.
//! Nothing may panic, since a panic ends the module for good; see `fuzz/`.

use super::{input_ptr, output_len, room_command, room_end, room_hear, room_look, room_open, with};

/// Most calls of one run.
const MAX_CALLS: usize = 100;

/// A line is a call and what goes with it: `open`, `hear` and `command` with a text, `wait` with microseconds, `at` with the time from then on, `look`, `end`.
pub fn calls(bytes: &[u8]) {
    with(|door| *door = super::Door::default());
    let mut now_us = 0.0;
    for line in bytes.split(|&byte| byte == b'\n').take(MAX_CALLS) {
        let space = line.iter().position(|&byte| byte == b' ').unwrap_or(line.len());
        let (call, text) = (&line[..space], line.get(space + 1..).unwrap_or_default());
        let n_bytes = put(text);
        match call {
            b"open" => room_open(n_bytes),
            b"hear" => room_hear(now_us, n_bytes),
            b"command" => room_command(now_us, n_bytes),
            b"look" => room_look(now_us),
            b"end" => room_end(now_us),
            // More bytes than were put there.
            b"more" => room_hear(now_us, u32::MAX),
            // A clock that stands wrong, or is none.
            b"at" => {
                now_us = number(text).unwrap_or(f64::NAN);
                continue;
            }
            _ => {
                now_us += number(text).unwrap_or(2e5);
                continue;
            }
        }
        let answer = with(|door| door.output.clone());
        assert_eq!(answer.len(), output_len() as usize);
        assert!(serde_json::from_str::<serde_json::Value>(&answer).is_ok(), "no JSON: {answer}");
    }
}

fn number(text: &[u8]) -> Option<f64> {
    std::str::from_utf8(text).ok()?.parse().ok()
}

fn put(text: &[u8]) -> u32 {
    let n_bytes = u32::try_from(text.len()).expect("a line of an input");
    let _ = input_ptr(n_bytes);
    with(|door| door.input[..text.len()].copy_from_slice(text));
    n_bytes
}

#[cfg(test)]
#[path = "../../../fuzz/replay.rs"]
mod replay;

#[cfg(test)]
mod tests {
    #[test]
    fn calls_in_any_order_leave_the_door_open() {
        super::replay::replay("room-door", 200, super::calls);
    }
}
