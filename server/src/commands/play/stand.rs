//! What a player without a screen reads: one line whenever something changes. Text alone; it knows no socket and no sound.

use crate::player::Seen;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::score::{Span, Target};
use windrow_protocol::timeline::Timeline;

/// The lines shown last, so that nothing is said twice.
#[derive(Debug)]
pub(super) struct Stand {
    instrument: Instrument,
    place: String,
    state: Option<State>,
}

impl Stand {
    pub(super) fn new(instrument: Instrument) -> Self {
        Self { instrument, place: String::new(), state: None }
    }

    pub(super) fn show(&mut self, seen: &Seen<'_>) {
        if let Some(line) = self.line(seen) {
            println!("{line}");
        }
    }

    fn line(&mut self, seen: &Seen<'_>) -> Option<String> {
        match seen {
            Seen::Joined(welcome) => {
                Some(format!("You are {}, chair {}, in {}.", welcome.part, welcome.chair, welcome.section))
            }
            Seen::Notice(text) => Some((*text).to_owned()),
            Seen::Lost(error) => Some(format!("The room cannot be reached ({error}); trying again.")),
            Seen::You(you) if self.state != Some(you.state) => {
                self.state = Some(you.state);
                let evidence =
                    if you.evidence.is_empty() { String::new() } else { format!(" ({})", you.evidence) };
                Some(format!("  {}{evidence}: {}", you.state.word(), you.sentence))
            }
            Seen::You(_) => None,
            Seen::Now { music, server_us } => {
                let place = music.map_or_else(String::new, |music| self.place(music, *server_us));
                let is_new = place != self.place;
                self.place.clone_from(&place);
                (is_new && !place.is_empty()).then_some(place)
            }
        }
    }

    /// Where the music is: the number spoken, or what is asked.
    fn place(&self, music: &Timeline, server_us: f64) -> String {
        let beat = music.beat_at(server_us);
        let Some(span) = music.span_at(beat) else { return String::new() };
        match span.target {
            Target::CountIn => music.spoken_at(beat).map_or_else(String::new, |n| format!("  {n}")),
            _ => format!("{}{}", span.title(), self.note(span)),
        }
    }

    fn note(&self, span: &Span) -> String {
        let Some(sounding) = span.note else { return String::new() };
        match self.instrument.written(sounding) {
            Some(written) if written != sounding => format!(", {written} (sounds {sounding})"),
            _ => format!(", {sounding}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::{PerBeat, Score, TickFrom};
    use windrow_protocol::units::{Beats, Bpm, Micros};

    #[test]
    fn the_count_is_spoken_and_then_what_is_asked_is_said_once() {
        let bpm = Bpm::new(60.0).unwrap();
        let target = Target::Pulses { per_beat: PerBeat::new(3).unwrap() };
        let spans = vec![
            Span::new(bpm, Target::CountIn).lasting(Beats::new(4.0).unwrap()),
            Span { note: "F4".parse().ok(), ..Span::new(bpm, target) },
        ];
        let start_us = Micros::new(1e6).unwrap();
        let music =
            Timeline::new(Score { version: 1, start_us, beats_per_bar: 4, tick: TickFrom::Nobody, spans })
                .unwrap();
        let mut stand = Stand::new(Instrument::ClarinetBb);
        let lines: Vec<_> = (0..80)
            .filter_map(|i| stand.line(&Seen::Now { music: Some(&music), server_us: f64::from(i) * 1e5 }))
            .collect();
        assert_eq!(lines, ["  1", "  2", "  3", "  4", "Triplets at 60, G4 (sounds F4)"]);
    }
}
