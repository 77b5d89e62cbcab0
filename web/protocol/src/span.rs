//! A span: a stretch of one target, with its tempo, notes and dynamics, and how a part of it is cut out. Plain data; where it
//! stands in time is [`crate::timeline`]'s work.

use crate::note::Note;
use crate::phrase::Phrase;
use crate::units::{Beats, Bpm, Cents, Share};
use serde::{Deserialize, Serialize};

/// What a span asks of the players.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Target {
    /// Nobody plays yet: the beats that lead to the first note are counted.
    CountIn,
    /// A tone without vibrato.
    Straight,
    /// The same number of pulses on every beat.
    Pulses {
        /// Pulses in a beat, 1 to 8.
        per_beat: PerBeat,
    },
    /// Vibrato without a measure.
    Free,
    /// Silence.
    Rest,
}

impl Target {
    /// Pulses in a beat, where they are measured.
    pub fn per_beat(self) -> Option<PerBeat> {
        match self {
            Target::Pulses { per_beat } => Some(per_beat),
            Target::CountIn | Target::Straight | Target::Free | Target::Rest => None,
        }
    }

    /// What a teacher calls it.
    pub fn word(self) -> &'static str {
        match self {
            Target::CountIn => "Count-in",
            Target::Straight => "Straight tone",
            Target::Pulses { per_beat } => per_beat.word(),
            Target::Free => "Free vibrato",
            Target::Rest => "Rest",
        }
    }

    /// The same, to be read in any language.
    pub fn phrase(self) -> Phrase {
        match self {
            Target::CountIn => Phrase::of("target-count-in"),
            Target::Straight => Phrase::of("target-straight"),
            Target::Pulses { per_beat } => Phrase::of("target-pulses").with("per_beat", per_beat.get()),
            Target::Free => Phrase::of("target-free"),
            Target::Rest => Phrase::of("target-rest"),
        }
    }

    /// Whether anybody is to play.
    pub fn sounds(self) -> bool {
        !matches!(self, Target::CountIn | Target::Rest)
    }
}

/// Pulses in a beat: 1 (quarters) to 8.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct PerBeat(u8);

impl PerBeat {
    /// Checks the range.
    ///
    /// # Errors
    /// A sentence that names the value.
    pub fn new(n: u8) -> Result<Self, String> {
        if (1..=8).contains(&n) {
            Ok(Self(n))
        } else {
            Err(format!("pulses per beat must be from 1 to 8, but is {n}"))
        }
    }

    /// The number.
    pub fn get(self) -> u8 {
        self.0
    }

    /// What the teacher calls it when the beat is a quarter.
    pub fn word(self) -> &'static str {
        match self.0 {
            1 => "Quarters",
            2 => "Eighths",
            3 => "Triplets",
            4 => "Sixteenths",
            5 => "Quintuplets",
            6 => "Sextuplets",
            7 => "Septuplets",
            _ => "Thirty-seconds",
        }
    }
}

impl TryFrom<u8> for PerBeat {
    type Error = String;
    fn try_from(n: u8) -> Result<Self, String> {
        Self::new(n)
    }
}

impl From<PerBeat> for u8 {
    fn from(n: PerBeat) -> u8 {
        n.0
    }
}

/// Loudness as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the usual marks, from pianissimo to fortissimo")]
pub enum Dynamic {
    Pp,
    P,
    Mp,
    Mf,
    F,
    Ff,
}

impl Dynamic {
    const ALL: [Dynamic; 6] = [Dynamic::Pp, Dynamic::P, Dynamic::Mp, Dynamic::Mf, Dynamic::F, Dynamic::Ff];

    /// As it is written.
    pub fn mark(self) -> &'static str {
        match self {
            Dynamic::Pp => "pp",
            Dynamic::P => "p",
            Dynamic::Mp => "mp",
            Dynamic::Mf => "mf",
            Dynamic::F => "f",
            Dynamic::Ff => "ff",
        }
    }
}

/// Loudness from a span's beginning to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Dynamics {
    /// At the first beat.
    pub from: Dynamic,
    /// At the end; the same where it stays.
    pub to: Dynamic,
}

impl Dynamics {
    /// The mark nearest to a point of the way, 0 to 1.
    fn at(self, share: f64) -> Dynamic {
        let (from, to) = (self.from as u8, self.to as u8);
        let step = f64::from(from) + (f64::from(to) - f64::from(from)) * share;
        Dynamic::ALL[step.round() as usize]
    }
}

/// A note for one chair.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ChairNote {
    /// Seat, from 1.
    pub chair: u16,
    /// Sounding note.
    pub note: Note,
    /// Where the tuning puts it, from its place in equal temperament: a just third of F lies 13.7 cents under A. Absent:
    /// there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cents: Option<Cents>,
}

impl ChairNote {
    /// A note in equal temperament.
    pub fn new(chair: u16, note: Note) -> Self {
        Self { chair, note, cents: None }
    }
}

/// How much of the full vibrato a span asks for at its beginning and at its end: none is a straight tone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ease {
    /// At the first beat.
    pub from: Share,
    /// At the end.
    pub to: Share,
}

impl Ease {
    /// At a point of the way, 0 to 1.
    pub fn at(self, share: f64) -> Share {
        let (from, to) = (f64::from(self.from), f64::from(self.to));
        Share::clamped(from + (to - from) * share).unwrap_or(self.to)
    }
}

/// A stretch of one target.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// Length in beats; absent in the last span of a score that goes on until it is stopped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_beats: Option<Beats>,
    /// Tempo at the first beat.
    pub bpm: Bpm,
    /// Tempo at the end, where it changes on the way: evenly in time, as by a constant force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bpm_to: Option<Bpm>,
    /// What is asked.
    pub target: Target,
    /// Bars are counted anew from this span's first beat, beginning with this number. Absent: they go on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_bar: Option<i32>,
    /// Sounding note of every chair that has none of its own in `notes`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<Note>,
    /// Sounding notes of single chairs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<ChairNote>,
    /// How loud.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dynamics: Option<Dynamics>,
    /// Chairs whose turn it is: all others rest meanwhile. Absent: everybody plays.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub turn: Vec<u16>,
    /// How the vibrato grows or fades on the way. Absent: it is full.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ease: Option<Ease>,
    /// The measure is felt, not kept: pulses need not fall on the ticks.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub loosely: bool,
    /// Where the tuning puts `note`; only in what one chair plays, see [`Span::for_chair`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cents: Option<Cents>,
}

impl Span {
    /// A span of one tempo, without end and without notes.
    pub fn new(bpm: Bpm, target: Target) -> Self {
        Self {
            length_beats: None,
            bpm,
            bpm_to: None,
            target,
            first_bar: None,
            note: None,
            notes: Vec::new(),
            dynamics: None,
            turn: Vec::new(),
            ease: None,
            loosely: false,
            cents: None,
        }
    }

    /// Whether a chair is to play, where anybody is.
    pub fn is_turn_of(&self, chair: u16) -> bool {
        self.turn.is_empty() || self.turn.contains(&chair)
    }

    /// The same as one chair plays it: with its own note, and as a rest where it is not its turn.
    #[must_use]
    pub fn for_chair(&self, chair: u16) -> Self {
        let rests = self.target.sounds() && !self.is_turn_of(chair);
        Self {
            target: if rests { Target::Rest } else { self.target },
            note: self.note_of(chair),
            cents: self.cents_of(chair),
            notes: Vec::new(),
            turn: Vec::new(),
            ..self.clone()
        }
    }

    /// The same with a length.
    #[must_use]
    pub fn lasting(self, length_beats: Beats) -> Self {
        Self { length_beats: Some(length_beats), ..self }
    }

    /// What it asks, as a title: "Triplets at 66", "Eighths, 60 to 80".
    pub fn title(&self) -> Phrase {
        let title = Phrase::of(if self.bpm_to.is_some() { "title-changing" } else { "title-steady" });
        let title = title.with("what", self.target.phrase()).with("bpm", self.bpm.mark());
        match self.bpm_to {
            Some(to) => title.with("bpm_to", to.mark()),
            None => title,
        }
    }

    /// Sounding note of a chair, if the span names one.
    pub fn note_of(&self, chair: u16) -> Option<Note> {
        self.notes.iter().find(|own| own.chair == chair).map(|own| own.note).or(self.note)
    }

    /// Where the tuning puts a chair's note, from its place in equal temperament.
    pub fn cents_of(&self, chair: u16) -> Option<Cents> {
        self.notes.iter().find(|own| own.chair == chair).map_or(self.cents, |own| own.cents)
    }

    /// Growth of the squared tempo, in bpm² a beat: twice the acceleration. Nought where the tempo stays.
    ///
    /// A tempo that changes evenly in time has v² = v₀² + 2ab after b beats, as any constant acceleration.
    pub(crate) fn squared_bpm_per_beat(&self) -> f64 {
        match (self.bpm_to, self.length_beats) {
            (Some(to), Some(length)) if length.get() > 0.0 => {
                (to.get().powi(2) - self.bpm.get().powi(2)) / length.get()
            }
            _ => 0.0,
        }
    }

    /// Tempo after so many beats of the span, bpm; before its beginning that of the first beat, past its end the last.
    pub fn bpm_after(&self, beats: f64) -> f64 {
        let within = beats.clamp(0.0, self.length_beats.map_or(f64::MAX, Beats::get));
        (self.bpm.get().powi(2) + self.squared_bpm_per_beat() * within).sqrt()
    }

    /// The part of the span from one beat of it to another, or to its end. Bars do not begin anew in a part that leaves
    /// the beginning out.
    #[must_use]
    pub fn part(&self, from_beats: f64, to_beats: Option<f64>) -> Self {
        let whole = self.length_beats.map(Beats::get);
        let end = match (to_beats, whole) {
            (Some(to), Some(whole)) => Some(to.min(whole)),
            (to, whole) => to.or(whole),
        };
        let share = |beats: f64| whole.filter(|&w| w > 0.0).map_or(0.0, |w| (beats / w).clamp(0.0, 1.0));
        let bpm_at = |beats: f64| Bpm::clamped(self.bpm_after(beats)).unwrap_or(self.bpm);
        Self {
            length_beats: end.and_then(|end| Beats::clamped(end - from_beats)),
            bpm: bpm_at(from_beats),
            bpm_to: self.bpm_to.and(end).map(bpm_at),
            first_bar: self.first_bar.filter(|_| from_beats <= 0.0),
            dynamics: self.dynamics.map(|d| Dynamics {
                from: d.at(share(from_beats)),
                to: end.map_or(d.to, |end| d.at(share(end))),
            }),
            ease: self.ease.map(|e| Ease {
                from: e.at(share(from_beats)),
                to: end.map_or(e.to, |end| e.at(share(end))),
            }),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rising() -> Span {
        let (bpm, beats) = (|v| Bpm::new(v).unwrap(), Beats::new(8.0).unwrap());
        let dynamics = Dynamics { from: Dynamic::P, to: Dynamic::Ff };
        Span {
            bpm_to: Some(bpm(120.0)),
            first_bar: Some(1),
            dynamics: Some(dynamics),
            ..Span::new(bpm(60.0), Target::Free).lasting(beats)
        }
    }

    #[test]
    fn dynamics_are_written_as_on_the_wire() {
        for dynamic in Dynamic::ALL {
            assert_eq!(serde_json::to_string(&dynamic).unwrap(), format!("\"{}\"", dynamic.mark()));
        }
    }

    #[test]
    fn a_tempo_that_rises_evenly_in_time_is_past_the_middle_in_the_middle_beat() {
        // v² = 60² + (120² - 60²) / 2 after half of the way: 94.868 bpm.
        assert!((rising().bpm_after(4.0) - 9000f64.sqrt()).abs() < 1e-9);
        assert_eq!((rising().bpm_after(-1.0), rising().bpm_after(9.0)), (60.0, 120.0));
    }

    #[test]
    fn parts_make_up_the_whole() {
        let (a, b) = (rising().part(0.0, Some(2.0)), rising().part(2.0, None));
        assert_eq!((a.length_beats.unwrap().get(), b.length_beats.unwrap().get()), (2.0, 6.0));
        assert_eq!((a.bpm_to, a.first_bar, b.first_bar), (Some(b.bpm), Some(1), None));
        assert_eq!(b.bpm_to.unwrap().get(), 120.0);
        for beats in [0.5, 1.5] {
            assert!((a.bpm_after(beats) - rising().bpm_after(beats)).abs() < 1e-9);
            assert!((b.bpm_after(beats) - rising().bpm_after(2.0 + beats)).abs() < 1e-9);
        }
        // A quarter of the way from p to ff (four steps) is one step.
        assert_eq!(a.dynamics.unwrap(), Dynamics { from: Dynamic::P, to: Dynamic::Mp });
        assert_eq!(b.dynamics.unwrap(), Dynamics { from: Dynamic::Mp, to: Dynamic::Ff });
    }

    #[test]
    fn a_chair_without_a_note_of_its_own_plays_everyones() {
        let note = |text: &str| text.parse().unwrap();
        let notes = vec![ChairNote::new(3, note("A4"))];
        let span = Span { note: Some(note("F4")), notes, ..rising() };
        assert_eq!((span.note_of(3), span.note_of(1)), (Some(note("A4")), Some(note("F4"))));
        assert_eq!(rising().note_of(3), None);
    }

    #[test]
    fn who_has_no_turn_rests() {
        let span = Span { turn: vec![2, 5], note: "F4".parse().ok(), ..rising() };
        assert_eq!((span.for_chair(5).target, span.for_chair(3).target), (Target::Free, Target::Rest));
        assert_eq!((rising().for_chair(3).target, span.for_chair(3).note), (Target::Free, span.note));
        let count_in = Span { target: Target::CountIn, ..span };
        assert_eq!(count_in.for_chair(3).target, Target::CountIn);
    }
}
