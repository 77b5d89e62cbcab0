//! What went to and fro, counted by kind, and one message of each kind that the relay says as well. It must know no figures.

use std::collections::BTreeMap;
use tokio_tungstenite::tungstenite::Utf8Bytes;

/// Messages of one kind.
#[derive(Debug, Clone, Default)]
pub(super) struct Kind {
    pub(super) n: u64,
    pub(super) bytes: u64,
    /// The newest of them.
    pub(super) last: Utf8Bytes,
}

/// Messages by kind.
#[derive(Debug, Clone, Default)]
pub(super) struct Traffic(BTreeMap<&'static str, Kind>);

impl Traffic {
    pub(super) fn count(&mut self, kind: &'static str, text: &Utf8Bytes) {
        let of_kind = self.0.entry(kind).or_default();
        of_kind.n += 1;
        of_kind.bytes += text.len() as u64;
        of_kind.last = text.clone();
    }

    pub(super) fn add(&mut self, other: &Traffic) {
        for (kind, more) in &other.0 {
            let of_kind = self.0.entry(kind).or_default();
            of_kind.n += more.n;
            of_kind.bytes += more.bytes;
            of_kind.last = more.last.clone();
        }
    }

    pub(super) fn of(&self, kind: &str) -> Kind {
        self.0.get(kind).cloned().unwrap_or_default()
    }

    pub(super) fn n(&self) -> u64 {
        self.0.values().map(|kind| kind.n).sum()
    }

    pub(super) fn bytes(&self) -> u64 {
        self.0.values().map(|kind| kind.bytes).sum()
    }
}

/// The kind that a message says it is: every one begins with it.
pub(super) fn kind_of(text: &str) -> &str {
    const BEFORE: &str = r#"{"type":""#;
    text.strip_prefix(BEFORE).and_then(|rest| rest.split('"').next()).unwrap_or_default()
}

/// The newest tempo that a text tells of: of a command the one it sets, of a score that of its last span.
pub(super) fn last_bpm(text: &str) -> Option<f64> {
    bpm_place(text).and_then(|place| text[place].parse().ok())
}

/// Where that number stands.
pub(super) fn bpm_place(text: &str) -> Option<std::ops::Range<usize>> {
    const BEFORE: &str = r#""bpm":"#;
    let from = text.rfind(BEFORE)? + BEFORE.len();
    let length = text[from..].find(|c: char| !(c.is_ascii_digit() || c == '.'))?;
    Some(from..from + length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::messages::{ConductorSays, Moment, PlayerHears};
    use windrow_protocol::score::{Score, Span, Target};
    use windrow_protocol::units::{Bpm, Micros};

    #[test]
    fn a_message_says_what_it_is_and_which_tempo_it_brings() {
        let span = |bpm| Span::new(Bpm::new(bpm).unwrap(), Target::Free);
        let (version, start_us, beats_per_bar) = (1, Micros::new(0.0).unwrap(), 4);
        let spans = vec![span(72.0), span(66.03)];
        let score = Score { version, start_us, beats_per_bar, tick: Default::default(), spans };
        let text = serde_json::to_string(&PlayerHears::Score { score: Some(score) }).unwrap();
        assert_eq!((kind_of(&text), last_bpm(&text)), ("score", Some(66.03)));
        let command = ConductorSays::SetTempo { bpm: Bpm::new(72.5).unwrap(), at: Moment::Beat };
        let text = serde_json::to_string(&command).unwrap();
        assert_eq!((kind_of(&text), last_bpm(&text)), ("set-tempo", Some(72.5)));
        assert_eq!((kind_of("{}"), last_bpm("{}")), ("", None));
    }
}
