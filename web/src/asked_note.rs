//! What a player's cents count from: the note the music asks, where the tuning puts it, and what was asked when the straight
//! reference was played. Pure; must not know sound, sockets or pages.

use windrow_analysis as heard;
use windrow_protocol::note::Note;
use windrow_protocol::score::Span;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::Cents;

/// A sounding note, and how far from its place in equal temperament it is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AskedNote {
    pub(crate) note: Note,
    pub(crate) off_cents: f64,
}

impl AskedNote {
    /// What a span asks, with this player's note in it.
    pub(crate) fn of(span: &Span) -> Option<Self> {
        span.note.map(|note| Self { note, off_cents: span.cents.map_or(0.0, Cents::get) })
    }
}

/// How far a reading's cents are wanted from the note's place in equal temperament.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Off {
    /// Now.
    pub(crate) now_cents: f64,
    /// When the straight reference was played: a note that has moved since is no fault of the player's.
    pub(crate) reference_cents: f64,
}

/// Follows what is asked.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Counting {
    /// What the analyser was told to expect.
    asked: Option<AskedNote>,
    /// Note of the newest reading that had one.
    heard: Option<Note>,
    reference_off_cents: f64,
}

impl Counting {
    /// Takes what is asked from now on, and says whether the note is another one.
    pub(crate) fn expect(&mut self, asked: Option<AskedNote>) -> bool {
        let is_new = self.asked.map(|a| a.note) != asked.map(|a| a.note);
        self.asked = asked;
        is_new
    }

    /// What is asked now.
    #[cfg(test)]
    pub(crate) fn asked(&self) -> Option<AskedNote> {
        self.asked
    }

    /// Takes the newest reading, and says what its cents count from.
    pub(crate) fn take(&mut self, reading: &heard::Reading) -> Off {
        let note = reading.note_midi.and_then(|midi| Note::from_midi(midi.into()));
        self.heard = note.or(self.heard);
        let asked = self.asked.filter(|asked| note == Some(asked.note));
        let now_cents = asked.map_or(0.0, |asked| asked.off_cents);
        if reading.hearing == heard::Hearing::Straight && reading.trusted() {
            self.reference_off_cents = now_cents;
        }
        Off { now_cents, reference_cents: self.reference_off_cents }
    }

    /// What the mean pitch of a pulse counts from: the note it was meant for, which may be another one by the time it has
    /// become certain. Where the music names none, the note that is heard.
    pub(crate) fn note_of_pulse(&self, timeline: Option<&Timeline>, time_us: f64) -> Option<AskedNote> {
        let span = timeline.and_then(|t| t.span_of_pulse(time_us).map(|i| &t.score().spans[i]));
        let heard = || self.heard.map(|note| AskedNote { note, off_cents: 0.0 });
        span.and_then(AskedNote::of).or_else(heard)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::{Score, Target, TickFrom};
    use windrow_protocol::units::{Beats, Bpm, Micros};

    fn asked(midi: i32, off_cents: f64) -> Option<AskedNote> {
        Note::from_midi(midi).map(|note| AskedNote { note, off_cents })
    }

    fn reading(midi: u8, hearing: heard::Hearing) -> heard::Reading {
        let silent = heard::Reading::empty(hearing, -20.0, 0.0);
        heard::Reading { note_midi: Some(midi), trust: 1.0, ..silent }
    }

    #[test]
    fn only_the_asked_note_is_moved_by_the_tuning() {
        let mut counting = Counting::default();
        assert!(counting.expect(asked(69, -13.69)));
        assert_eq!(counting.take(&reading(69, heard::Hearing::Pulsed)).now_cents, -13.69);
        assert_eq!(counting.take(&reading(70, heard::Hearing::Pulsed)).now_cents, 0.0);
        assert!(!counting.expect(asked(69, 0.0)), "the same note, tuned anew, is heard as before");
        assert_eq!(counting.take(&reading(69, heard::Hearing::Pulsed)).now_cents, 0.0);
    }

    #[test]
    fn a_straight_reference_keeps_the_tuning_it_was_played_in() {
        let mut counting = Counting::default();
        counting.expect(asked(69, 0.0));
        counting.take(&reading(69, heard::Hearing::Straight));
        counting.expect(asked(69, -13.69));
        let off = counting.take(&reading(69, heard::Hearing::Pulsed));
        assert_eq!(off, Off { now_cents: -13.69, reference_cents: 0.0 });
        counting.take(&reading(69, heard::Hearing::Straight));
        assert_eq!(counting.take(&reading(69, heard::Hearing::Pulsed)).reference_cents, -13.69);
    }

    #[test]
    fn a_pulse_counts_from_the_note_it_was_meant_for() {
        let beat = |midi, off| {
            let span = Span::new(Bpm::new(60.0).unwrap(), Target::Free).lasting(Beats::new(1.0).unwrap());
            Span { note: Note::from_midi(midi), cents: Cents::new(off).ok(), ..span }
        };
        let (start_us, tick) = (Micros::new(0.0).unwrap(), TickFrom::default());
        let score = Score {
            version: 1,
            start_us,
            beats_per_bar: 4,
            tick,
            spans: vec![beat(65, 0.0), beat(69, -13.69)],
        };
        let timeline = Timeline::new(score).unwrap();
        let mut counting = Counting::default();
        // By now the second note is heard.
        counting.take(&reading(69, heard::Hearing::Pulsed));
        let of = |time_us| counting.note_of_pulse(Some(&timeline), time_us);
        assert_eq!((of(0.9e6), of(1.1e6)), (asked(65, 0.0), asked(69, -13.69)));
        assert_eq!((of(2.5e6), counting.note_of_pulse(None, 0.9e6)), (asked(69, 0.0), asked(69, 0.0)));
    }
}
