//! What a player without a screen reads: one line whenever something changes. Text alone; it knows no socket and no sound.

use crate::player::Seen;
use crate::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::Brief;
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
            Seen::Exercise(brief) => exercise(brief),
            Seen::Notice(text) => Some((*text).to_owned()),
            Seen::Lost(error) => Some(format!("The room cannot be reached ({error}); trying again.")),
            Seen::You(you) if self.state != Some(you.state) => {
                self.state = Some(you.state);
                let evidence = if you.evidence.is_empty() {
                    String::new()
                } else {
                    format!(" ({})", english(&you.evidence))
                };
                Some(format!("  {}{evidence}: {}", you.state.word(), english(&you.sentence)))
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
            _ => format!("{}{}{}", english(&span.title()), self.note(span), manner(span)),
        }
    }

    fn note(&self, span: &Span) -> String {
        let Some(sounding) = span.note else { return String::new() };
        match self.instrument.written(sounding) {
            Some(written) if written != sounding => {
                format!(", {} (sounds {})", written.spelled(), sounding.spelled())
            }
            _ => format!(", {}", sounding.spelled()),
        }
    }
}

/// What is being practised, a line each; nothing where it has no name.
fn exercise(brief: &Brief) -> Option<String> {
    let part = if brief.part.is_empty() { String::new() } else { format!(" ({})", brief.part) };
    let goal = if brief.goal.is_empty() { String::new() } else { format!("Goal: {}", brief.goal) };
    let cautions = brief.cautions.iter().map(|caution| format!("Take care: {caution}"));
    let more = [brief.say.clone(), goal].into_iter().chain(cautions).filter(|line| !line.is_empty());
    let lines = more.map(|line| format!("  {line}"));
    let title = format!("Exercise: {}{part}", english(&brief.name));
    (!brief.name.is_empty()).then(|| std::iter::once(title).chain(lines).collect::<Vec<_>>().join("\n"))
}

/// How loud, with how much vibrato and how strictly a span is played, where it says so.
fn manner(span: &Span) -> String {
    let dynamics = span.dynamics.map(|d| match (d.from.mark(), d.to.mark()) {
        (from, to) if from == to => from.to_owned(),
        (from, to) => format!("{from} to {to}"),
    });
    let eased = span.ease.and_then(|ease| match f64::from(ease.to) - f64::from(ease.from) {
        change if change > 0.0 => Some("vibrato grows".to_owned()),
        change if change < 0.0 => Some("vibrato fades".to_owned()),
        _ => None,
    });
    let loosely = span.loosely.then(|| "the beat felt, not kept".to_owned());
    [dynamics, eased, loosely].into_iter().flatten().map(|words| format!(", {words}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::{Dynamic, Dynamics, Ease};
    use windrow_protocol::score::{PerBeat, Score, TickFrom};
    use windrow_protocol::units::{Beats, Bpm, Micros, Share};

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

    #[test]
    fn the_exercise_is_told_with_its_sentence_goal_and_cautions() {
        let brief = Brief {
            name: "Ease in and out".into(),
            part: "Days 4 to 6".to_owned(),
            say: "Let the pulses grow from nothing.".to_owned(),
            goal: "four beats to grow".to_owned(),
            cautions: vec!["Stop when you feel light-headed.".to_owned()],
        };
        let mut stand = Stand::new(Instrument::Flute);
        assert_eq!(
            stand.line(&Seen::Exercise(&brief)).unwrap(),
            "Exercise: Ease in and out (Days 4 to 6)\n  Let the pulses grow from nothing.\n  \
             Goal: four beats to grow\n  Take care: Stop when you feel light-headed."
        );
        assert_eq!(stand.line(&Seen::Exercise(&Brief::default())), None);
    }

    #[test]
    fn a_span_says_how_it_is_to_be_played() {
        let share = |value| Share::new(value).unwrap();
        let span = Span {
            dynamics: Some(Dynamics { from: Dynamic::P, to: Dynamic::F }),
            ease: Some(Ease { from: share(0.3), to: share(1.0) }),
            loosely: true,
            ..Span::new(Bpm::new(60.0).unwrap(), Target::Free)
        };
        assert_eq!(manner(&span), ", p to f, vibrato grows, the beat felt, not kept");
        assert_eq!(manner(&Span::new(span.bpm, Target::Free)), "");
    }
}
