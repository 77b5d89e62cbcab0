//! Who plays when: chairs that take turns in an exercise, and the room check, in which each holds a note alone. Pure; knows
//! only the protocol.

use super::super::book::Draft;
use super::super::course::Course;
use super::super::exercise::{Arrangement, Place};
use super::{Changed, LEAD_US, Music, too_many};
use windrow_protocol::messages::Turns;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{Span, Target};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Beats, Bpm, Micros};

/// Tempo of a room check: a bar of four is three seconds, long enough to hold a note by and short enough for twelve.
const CHECK_BPM: f64 = 80.0;

impl Music {
    /// Sets who plays when from the next start on.
    pub(crate) fn set_turns(&mut self, turns: Turns) -> Changed {
        match &mut self.book.exercises[self.present].wishes.turns {
            Some(wish) => *wish = turns,
            None => self.turns = turns,
        }
        Ok(false)
    }

    /// Gives an exercise that is about to begin the turns of those who are in.
    pub(super) fn line_up(&mut self, exercise: usize) {
        let size = match self.turns_of(exercise) {
            Turns::Together => self.line.len().max(1),
            Turns::DownTheLine => 1,
            Turns::Pairs => 2,
        };
        let groups: Vec<Vec<u16>> = self.line.chunks(size).map(<[u16]>::to_vec).collect();
        // One turn would be everybody's.
        let groups = if groups.len() > 1 { groups } else { Vec::new() };
        let beats_per_bar = f64::from(self.book.beats_per_bar);
        self.book.exercises[exercise].arrange(Arrangement { groups, beats_per_bar });
    }

    /// Lets these chairs hold a straight note for a bar each, one after another, after the count and a bar of silence.
    pub(crate) fn check(&mut self, chairs: &[u16], now_us: f64) -> Result<&Timeline, Phrase> {
        if self.is_playing(now_us) {
            return Err(Phrase::of("cannot-check-playing"));
        }
        let bar = Beats::clamped(f64::from(self.book.beats_per_bar)).expect("beats are a number");
        let bpm = Bpm::new(CHECK_BPM).expect("a tempo");
        let notes = self.notes.wished(&self.present().wishes);
        let span = |target| Span::new(bpm, target).lasting(bar);
        let count_in = Span { first_bar: Some(-1), ..span(Target::CountIn) };
        let turns = chairs.iter().map(|&chair| Span { turn: vec![chair], ..span(Target::Straight) });
        let mut spans: Vec<Span> = [count_in, span(Target::Rest)].into_iter().chain(turns).collect();
        spans.iter_mut().for_each(|span| notes.give(span));
        let places = vec![Place::start_of(self.present); spans.len()];
        let start_us = Micros::clamped(now_us + LEAD_US).expect("server time is a number");
        let draft = Draft { spans, places };
        let heading = self.heading(start_us);
        let wishes = self.present().wishes;
        let mut course = Course::new(heading, draft, self.notes.clone(), wishes).map_err(too_many)?;
        course.is_check = true;
        self.version = course.timeline.score().version;
        Ok(&self.course.insert(course).timeline)
    }

    /// Whether a room check is running.
    pub(crate) fn is_check(&self, now_us: f64) -> bool {
        self.playing(now_us).is_some_and(|c| c.is_check)
    }

    /// Whether the score is that of a room check, running or just over.
    pub(crate) fn holds_check(&self) -> bool {
        self.course.as_ref().is_some_and(|c| c.is_check)
    }

    /// Chairs whose turn it is; none where all play or nobody does.
    pub(crate) fn turn(&self, now_us: f64) -> &[u16] {
        let timeline = self.playing(now_us).map(|course| &course.timeline);
        let span = timeline.and_then(|timeline| timeline.span_at(timeline.beat_at(now_us)));
        span.map_or(&[], |span| &span.turn)
    }
}
