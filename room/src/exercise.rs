//! Exercises as they are written: spans that a start plays after the count-in, and what a conductor changes in them. Pure;
//! knows only the protocol, neither time nor players.

use super::lesson::{Climb, Piece, Wishes};
use windrow_protocol::judge::Bands;
use windrow_protocol::messages::{Brief, GoOn};
use windrow_protocol::metronome::Step;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{Dynamic, Dynamics, PerBeat, Span, Target};
use windrow_protocol::units::{Beats, Bpm, Share};

/// Tempo of a first lesson. Common practice, no source.
const FIRST_BPM: f64 = 60.0;
/// Rungs of the ladder, bars of four on each, and beats of rest between them.
const N_RUNGS: usize = 7;
const RUNG_BEATS: f64 = 16.0;
const REST_BEATS: f64 = 4.0;
/// The gradual change: from the first tempo to this one in so many beats.
const RISES_TO_BPM: f64 = 80.0;
const RISES_IN_BEATS: f64 = 32.0;
/// Each half of the hairpin: a comfortable breath is eight beats at 60 there and eight back (common practice, no source).
const HAIRPIN_BEATS: f64 = 8.0;

/// An exercise.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Exercise {
    /// What the players are told; without a name where it is called after what it asks.
    brief: Brief,
    /// At least one, in playing order; the last may be without end.
    written: Vec<Span>,
    /// The same as it is played: with a span for each turn, where the chairs take turns.
    pub(super) spans: Vec<Span>,
    turns: Arrangement,
    pub(super) wishes: Wishes,
    pub(super) bands: Bands,
    /// Silence after it, seconds.
    pub(super) rest_s: u16,
    /// Where it is a ladder; its rungs are places in what is written.
    ladder: Option<Climb>,
}

/// Chairs that play one after another; none where all play together.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Arrangement {
    pub(super) groups: Vec<Vec<u16>>,
    pub(super) beats_per_bar: f64,
}

/// A span of at most so many bars is a turn as it is, and so is one that changes on the way; of any other each plays some.
const WHOLE_TURN_BARS: f64 = 4.0;
const TURN_BARS: f64 = 2.0;

/// A place in what is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    /// Index of the exercise.
    pub(super) exercise: usize,
    /// Index of the span in it.
    pub(super) span: usize,
    /// Beats of the span already played.
    pub(super) beats: f64,
}

impl Place {
    /// An exercise's beginning.
    pub(super) fn start_of(exercise: usize) -> Self {
        Self { exercise, span: 0, beats: 0.0 }
    }
}

impl From<Piece> for Exercise {
    fn from(piece: Piece) -> Self {
        let Piece { brief, spans, wishes, bands, rest_s, ladder } = piece;
        let turns = Arrangement::default();
        Self { brief, spans: spans.clone(), written: spans, turns, wishes, bands, rest_s, ladder }
    }
}

impl Exercise {
    pub(super) fn new(name: Option<&str>, written: Vec<Span>) -> Self {
        let brief = Brief { name: name.map(Phrase::of).unwrap_or_default(), ..Brief::default() };
        let (wishes, bands) = (Wishes::default(), Bands::default());
        Self::from(Piece { brief, spans: written, wishes, bands, rest_s: 0, ladder: None })
    }

    /// Lets chairs take turns, or all play together.
    pub(super) fn arrange(&mut self, turns: Arrangement) {
        self.turns = turns;
        self.spans = self.performed().into_iter().map(|(_, span)| span).collect();
    }

    /// Spans as they are played, each with its place in what is written.
    fn performed(&self) -> Vec<(usize, Span)> {
        let Arrangement { groups, beats_per_bar } = &self.turns;
        let turn_of = |span: &Span| {
            let is_short = span.length_beats.is_some_and(|l| l.get() <= WHOLE_TURN_BARS * beats_per_bar);
            let changes = span.bpm_to.is_some() || span.dynamics.is_some();
            if is_short || changes { span.clone() } else { span.part(0.0, Some(TURN_BARS * beats_per_bar)) }
        };
        let mut performed = Vec::new();
        let mut place = 0;
        while let Some(first) = self.written.get(place) {
            if groups.is_empty() || !first.target.sounds() {
                performed.push((place, first.clone()));
                place += 1;
                continue;
            }
            let figure = place..place + self.figure_from(place);
            for (i, chairs) in groups.iter().enumerate() {
                for place in figure.clone() {
                    let span = &self.written[place];
                    let is_whole = figure.len() > 1 && span.length_beats.is_some();
                    let span = if is_whole { span.clone() } else { turn_of(span) };
                    // Bars are counted anew once.
                    let first_bar = span.first_bar.filter(|_| i == 0);
                    performed.push((place, Span { turn: chairs.clone(), first_bar, ..span }));
                }
            }
            place = figure.end;
        }
        performed
    }

    /// How many spans belong to one turn. What is shaped on the way (a hairpin, an ease, a line of notes, a tempo that changes) is
    /// played by each as a whole, up to the next rest; of anything else each span is a turn.
    fn figure_from(&self, place: usize) -> usize {
        let is_shaped = |span: &Span| {
            let swells = span.dynamics.is_some_and(|dynamics| dynamics.from != dynamics.to);
            swells || span.ease.is_some() || span.note.is_some() || span.bpm_to.is_some()
        };
        if self.ladder.is_some() || !self.written.iter().any(is_shaped) {
            return 1;
        }
        self.written[place..].iter().take_while(|span| span.target.sounds()).count()
    }

    /// Changes what is written, and what is played with it.
    fn rewrite(&mut self, change: impl FnOnce(&mut [Span])) {
        change(&mut self.written);
        self.arrange(self.turns.clone());
    }

    /// The usual way of a warm-up, from a straight tone to a free one.
    pub(super) fn warm_up() -> Vec<Self> {
        let bpm = |value| Bpm::new(value).expect("a tempo of a warm-up");
        let beats = |value| Beats::new(value).expect("a length of a warm-up");
        let pulses = |n| Target::Pulses { per_beat: PerBeat::new(n).expect("a subdivision of a warm-up") };
        let open = |target| Self::new(None, vec![Span::new(bpm(FIRST_BPM), target)]);
        let rungs = std::iter::successors(Some(bpm(FIRST_BPM)), |&rung| Step::Faster.from(rung));
        let mut ladder: Vec<Span> = rungs
            .take(N_RUNGS)
            .flat_map(|rung| {
                let rest = Span::new(rung, Target::Rest).lasting(beats(REST_BEATS));
                [rest, Span::new(rung, pulses(2)).lasting(beats(RUNG_BEATS))]
            })
            .collect();
        // The count-in stands before the first rung.
        ladder.remove(0);
        let climb = Climb {
            rungs: (0..ladder.len()).step_by(2).collect(),
            go_on: GoOn::ByItself,
            matched: Share::new(0.75).expect("a share"),
            step_back: false,
        };
        let free = Span::new(bpm(FIRST_BPM), Target::Free);
        let swelling = Dynamics { from: Dynamic::P, to: Dynamic::F };
        let dying = Dynamics { from: Dynamic::F, to: Dynamic::P };
        let half = |dynamics| {
            let span = free.clone().lasting(beats(HAIRPIN_BEATS));
            Span { dynamics: Some(dynamics), ..span }
        };
        let rising = Span { bpm_to: Some(bpm(RISES_TO_BPM)), ..Span::new(bpm(FIRST_BPM), pulses(2)) };
        vec![
            open(Target::Straight),
            open(pulses(1)),
            open(pulses(2)),
            open(pulses(3)),
            open(pulses(4)),
            Self { ladder: Some(climb), ..Self::new(Some("exercise-ladder"), ladder) },
            Self::new(Some("exercise-rising-tempo"), vec![rising.lasting(beats(RISES_IN_BEATS))]),
            Self::new(Some("exercise-hairpin"), vec![half(swelling), half(dying)]),
            Self::new(None, vec![free]),
        ]
    }

    /// Its name.
    pub(super) fn name(&self) -> Phrase {
        let first = self.written.iter().find(|s| s.target.sounds()).unwrap_or(&self.written[0]);
        if self.brief.name.is_empty() { first.target.phrase() } else { self.brief.name.clone() }
    }

    /// What its players are told.
    pub(super) fn brief(&self) -> Brief {
        Brief { name: self.name(), ..self.brief.clone() }
    }

    /// How it is climbed, if it is a ladder.
    pub(super) fn ladder(&self) -> Option<&Climb> {
        self.ladder.as_ref()
    }

    /// The rung, from nought, that a span is on as it is played: after a rest the one to come. `None` where it is no ladder.
    pub(super) fn rung_of(&self, span: usize) -> Option<usize> {
        let place = self.performed().get(span)?.0;
        let rungs = &self.ladder.as_ref()?.rungs;
        Some(rungs.partition_point(|&rung| rung < place).min(rungs.len() - 1))
    }

    /// The first span of a rung, as it is played.
    pub(super) fn span_of_rung(&self, rung: usize) -> Option<usize> {
        let place = *self.ladder.as_ref()?.rungs.get(rung)?;
        self.performed().iter().position(|&(written, _)| written == place)
    }

    /// The whole exercise a metronome step slower or faster.
    ///
    /// # Errors
    /// A sentence where there is no such mark for one of its tempos.
    pub(super) fn step(&mut self, step: Step) -> Result<(), Phrase> {
        let moved = |bpm: Bpm| {
            step.from(bpm).ok_or_else(|| match step {
                Step::Slower => Phrase::of("cannot-slower").with("bpm", bpm.mark()),
                Step::Faster => Phrase::of("cannot-faster").with("bpm", bpm.mark()),
            })
        };
        let mut written = self.written.clone();
        for span in &mut written {
            span.bpm = moved(span.bpm)?;
            span.bpm_to = span.bpm_to.map(moved).transpose()?;
        }
        self.rewrite(|spans| spans.clone_from_slice(&written));
        Ok(())
    }

    /// One span at a steady tempo, in every turn of it.
    pub(super) fn set_tempo(&mut self, span: usize, bpm: Bpm) {
        let place = self.performed().get(span).map_or(0, |(place, _)| *place);
        self.rewrite(|spans| {
            spans[place].bpm = bpm;
            spans[place].bpm_to = None;
        });
    }

    /// The same subdivision wherever there is a tone, `None` for a straight one.
    pub(super) fn set_per_beat(&mut self, per_beat: Option<PerBeat>) {
        let target = per_beat.map_or(Target::Straight, |per_beat| Target::Pulses { per_beat });
        self.rewrite(|spans| {
            spans.iter_mut().filter(|s| s.target.sounds()).for_each(|s| s.target = target);
        });
    }

    /// A place as it is now: turns may have become fewer since it was noted.
    pub(super) fn within(&self, place: Place) -> Place {
        let last = self.spans.len() - 1;
        if place.span > last { Place { span: last, beats: 0.0, ..place } } else { place }
    }

    /// Whether it ends by itself.
    pub(super) fn has_end(&self) -> bool {
        self.spans.last().is_some_and(|s| s.length_beats.is_some())
    }

    /// Beats from the exercise's beginning to a place.
    pub(super) fn beats_to(&self, place: Place) -> f64 {
        let before = self.spans[..place.span].iter().filter_map(|s| s.length_beats).map(Beats::get);
        before.sum::<f64>() + place.beats
    }

    /// The beginning of the bar that holds a place. A span that was held for longer than it is written counts as in its
    /// last bar.
    pub(super) fn bar_of(&self, place: Place, beats_per_bar: f64) -> Place {
        let length = self.spans[place.span].length_beats.map_or(f64::INFINITY, Beats::get);
        let beats = place.beats.min((length - beats_per_bar).max(0.0));
        let mut left = (self.beats_to(Place { beats, ..place }) / beats_per_bar).floor() * beats_per_bar;
        for (span, written) in self.spans.iter().enumerate() {
            let length = written.length_beats.map_or(f64::INFINITY, Beats::get);
            if left < length {
                return Place { span, beats: left, ..place };
            }
            left -= length;
        }
        Place::start_of(place.exercise)
    }

    /// What is left to play from a place on.
    pub(super) fn rest_from(&self, place: Place) -> Vec<Span> {
        let first = self.spans[place.span].part(place.beats, None);
        std::iter::once(first).chain(self.spans[place.span + 1..].iter().cloned()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_words::english;

    fn exercise(name: &str) -> Exercise {
        Exercise::warm_up().into_iter().find(|e| english(&e.name()) == name).unwrap()
    }

    #[test]
    fn the_ladder_climbs_by_metronome_marks_with_a_rest_before_each_new_one() {
        let ladder = exercise("Ladder");
        let rungs: Vec<f64> =
            ladder.spans.iter().filter(|s| s.target.sounds()).map(|s| s.bpm.get()).collect();
        assert_eq!(rungs, [60.0, 63.0, 66.0, 69.0, 72.0, 76.0, 80.0]);
        assert!(ladder.spans.iter().skip(1).step_by(2).all(|s| s.target == Target::Rest));
        assert!(ladder.has_end());
    }

    #[test]
    fn a_step_moves_every_rung_and_stops_before_the_last_mark() {
        let mut ladder = exercise("Ladder");
        ladder.step(Step::Slower).unwrap();
        assert_eq!((ladder.spans[0].bpm.get(), ladder.spans[12].bpm.get()), (58.0, 76.0));
        let mut rising = exercise("Rising tempo");
        rising.step(Step::Faster).unwrap();
        assert_eq!((rising.spans[0].bpm.get(), rising.spans[0].bpm_to.unwrap().get()), (63.0, 84.0));
        let refused = (0..99).find_map(|_| rising.step(Step::Faster).err()).unwrap();
        let refused = english(&refused);
        assert!(refused.contains("above 208"), "{refused}");
    }

    #[test]
    fn the_bar_of_a_place_may_begin_in_the_span_before() {
        let mut ladder = exercise("Ladder");
        ladder.spans[0].length_beats = Beats::new(6.0).ok();
        let place = Place { exercise: 5, span: 1, beats: 1.5 };
        assert_eq!(ladder.bar_of(place, 4.0), Place { exercise: 5, span: 0, beats: 4.0 });
        let held = Place { exercise: 5, span: 2, beats: 40.0 };
        assert_eq!(ladder.bar_of(held, 4.0).span, 2);
    }
}
