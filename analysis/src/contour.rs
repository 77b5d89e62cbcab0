//! The contour of what is played: spans of one behaviour, found without a score, and how rate and depth follow the
//! loudness. Takes readings and pulses as the analyser gives them; knows no samples and no frames.
//!
//! A **tone** is one note without a break. What a tone did is told when it is over, since a vibrato that grows is known
//! as such only afterwards. Each tone is cut into trains of pulses with straight stretches between them (`trains`); a
//! train where its rate jumps and stays (`rates`), and that where its depth begins to grow, to shrink or to stay
//! (`sizes`). Unevenness from pulse to pulse, and a rate that drifts, cut nothing.

mod ease;
mod hairpin;
mod pieces;
mod ranks;
mod rates;
mod sizes;
#[cfg(test)]
mod tests;
mod tone;
mod trains;

use crate::reading::{Hearing, Pulse, Reading};
use hairpin::HairpinFinder;
use tone::SpanFinder;

/// Readings of one tone that are kept, at twenty a second: nearly seven minutes. A longer tone is told in parts.
const MAX_POINTS: usize = 8192;
/// Pulses of one tone that are kept.
const MAX_PULSES: usize = pieces::CAPACITY;
/// Another note: this far from the tone's pitch, in semitones (neighbouring notes are one apart, and no vibrato reaches
/// so far to either side),
const OTHER_NOTE: f64 = 0.7;
/// for so many readings in a row that agree with one another: by then the analyser has ended the old tone and told its
/// last pulses.
const OTHER_NOTE_READINGS: usize = 6;
/// Time over which the tone's pitch is followed, seconds.
const PITCH_S: f64 = 0.5;
/// A gap this long without a pitch ends a tone, seconds; the analyser itself bridges choked valleys.
const LONGEST_GAP_S: f64 = 0.2;
/// The sound begins at most this long before the first pitch that is told, seconds.
const ONSET_S: f64 = 0.15;
/// Tones shorter than this tell nothing, seconds.
const SHORTEST_TONE_S: f64 = 0.3;

/// What a stretch of a tone does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpanKind {
    /// No pulses.
    Straight,
    /// Pulses of one rate (or one that drifts) and about one size.
    Pulsed,
    /// Pulses whose size grows.
    Growing,
    /// Pulses whose size shrinks.
    Shrinking,
    /// A note, of which it cannot be said whether it pulses.
    Unclear,
}

/// How the size of the pulses went from one value to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ease {
    /// Time from 10 % to 90 % of the way, seconds.
    pub time_s: f64,
    /// A switch: in less than the time of a pulse.
    pub abrupt: bool,
}

/// A stretch of one behaviour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// From here, seconds from the first sample. Exact to about a pulse, or to a reading (0.05 s).
    pub start_s: f64,
    /// To here.
    pub end_s: f64,
    /// Behaviour.
    pub kind: SpanKind,
    /// Note of the tone it belongs to, MIDI number: the one its readings count from.
    pub note_midi: u8,
    /// Pitch centre over its whole pulses, or of the straight tone; cents from the note.
    pub centre_cents: Option<f64>,
    /// Pulses in it.
    pub n_pulses: usize,
    /// Intervals counted over the time they took.
    pub pulse_rate_hz: Option<f64>,
    /// Median depth of its pulses, dB.
    pub depth_db_pp: Option<f64>,
    /// Median swing of its pulses, cents.
    pub swing_cents_pp: Option<f64>,
    /// How the pulses came to be of this size: of a growing or shrinking span the change that it is; of another one the
    /// switch that it begins with. `None` where there was none: a tone's beginning is no switch.
    pub ease: Option<Ease>,
}

/// How rate and depth follow the loudness over one tone. Loudness is the level averaged over each pulse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hairpin {
    /// First pulse that counts, seconds from the first sample.
    pub start_s: f64,
    /// Last pulse that counts.
    pub end_s: f64,
    /// Note of the tone, MIDI number.
    pub note_midi: u8,
    /// Pulses that count: those with neighbours on both sides.
    pub n_pulses: usize,
    /// Loudest over softest pulse, dB.
    pub loudness_range_db: f64,
    /// Rank correlation (Spearman) of pulse rate and loudness: 1 where the faster pulse is always the louder one, -1
    /// where it is always the softer. `None` where one of the two does not vary.
    pub rate_correlation: Option<f64>,
    /// The same for depth and loudness.
    pub depth_correlation: Option<f64>,
    /// Where the loudness turns from growing to falling, seconds from the first sample; `None` where it does not.
    pub loudness_turn_s: Option<f64>,
    /// Where the rate turns.
    pub rate_turn_s: Option<f64>,
    /// Where the depth turns.
    pub depth_turn_s: Option<f64>,
}

/// What was told of tones that are over.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// In order of time, without overlap. Silence lies between tones; within one, span follows span.
    pub spans: &'a [Span],
    /// One for each tone of at least six pulses and 3 dB of loudness, in order of time.
    pub hairpins: &'a [Hairpin],
}

/// A reading, as far as it counts.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Point {
    time_s: f64,
    midi: f64,
    level_db: f64,
    hearing: Hearing,
    trusted: bool,
    note_midi: u8,
}

/// One tone with everything that was heard of it.
#[derive(Debug, Clone, Copy)]
struct Tone<'a> {
    start_s: f64,
    end_s: f64,
    note_midi: u8,
    points: &'a [Point],
    pulses: &'a [Pulse],
}

/// Finds spans in readings and pulses as they come.
///
/// Memory is allocated by [`Contour::new`] alone, except that a block in which more tones end than ever before may grow
/// the lists that it tells them in.
pub struct Contour {
    points: Vec<Point>,
    pulses: Vec<Pulse>,
    start_s: f64,
    /// Recent pitch of the tone.
    midi: f64,
    /// Points up to the last on the tone's note.
    n_own: usize,
    /// Points at the end that agree on another note.
    n_other: usize,
    /// Time of the last silence.
    quiet_s: f64,
    finder: SpanFinder,
    hairpin_finder: HairpinFinder,
    spans: Vec<Span>,
    hairpins: Vec<Hairpin>,
}

impl Default for Contour {
    fn default() -> Self {
        Self::new()
    }
}

impl Contour {
    /// Allocates every list.
    pub fn new() -> Self {
        Self {
            points: Vec::with_capacity(MAX_POINTS),
            pulses: Vec::with_capacity(MAX_PULSES),
            start_s: 0.0,
            midi: 0.0,
            n_own: 0,
            n_other: 0,
            quiet_s: f64::NEG_INFINITY,
            finder: SpanFinder::new(),
            hairpin_finder: HairpinFinder::new(),
            spans: Vec::with_capacity(64),
            hairpins: Vec::with_capacity(16),
        }
    }

    /// Takes what one push of samples brought (or all that a file brought), and tells of the tones that ended in it.
    pub fn push(&mut self, readings: &[Reading], pulses: &[Pulse]) -> Told<'_> {
        self.spans.clear();
        self.hairpins.clear();
        let mut pulses = pulses.iter().peekable();
        for reading in readings {
            // A pulse becomes certain after its time, and at the latest when its tone ends.
            while let Some(pulse) = pulses.next_if(|p| p.time_s <= reading.time_s) {
                self.push_pulse(pulse);
            }
            self.push_reading(reading);
        }
        for pulse in pulses {
            self.push_pulse(pulse);
        }
        self.told()
    }

    /// Says that nothing more comes, and tells of the last tone. Afterwards it waits for a new one.
    pub fn finish(&mut self) -> Told<'_> {
        self.spans.clear();
        self.hairpins.clear();
        self.end_tone();
        self.told()
    }

    fn told(&self) -> Told<'_> {
        Told { spans: &self.spans, hairpins: &self.hairpins }
    }

    fn push_pulse(&mut self, pulse: &Pulse) {
        let is_of_tone = self.points.is_empty() || pulse.time_s > self.start_s;
        if is_of_tone
            && self.pulses.len() < MAX_PULSES
            && self.pulses.last().is_none_or(|p| p.time_s < pulse.time_s)
        {
            self.pulses.push(*pulse);
        }
    }

    fn push_reading(&mut self, reading: &Reading) {
        let Some((note_midi, cents)) = reading.note_midi.zip(reading.cents) else {
            if self.points.last().is_none_or(|p| reading.time_s - p.time_s > LONGEST_GAP_S) {
                self.end_tone();
            }
            if reading.hearing == Hearing::Silence {
                self.quiet_s = reading.time_s;
            }
            return;
        };
        let point = Point {
            time_s: reading.time_s,
            midi: f64::from(note_midi) + cents / 100.0,
            level_db: reading.level_db,
            hearing: reading.hearing,
            trusted: reading.trusted(),
            note_midi,
        };
        let Some(last_s) = self.points.last().map(|p| p.time_s) else {
            self.start_s = self.quiet_s.clamp(point.time_s - ONSET_S, point.time_s);
            self.midi = point.midi;
            self.points.push(point);
            self.n_own = 1;
            return;
        };
        // In a choked valley the reading speaks for the last moment that sounded.
        if point.time_s <= last_s {
            return;
        }
        if self.points.len() == MAX_POINTS || self.pulses.len() == MAX_PULSES {
            self.end_tone();
            (self.start_s, self.n_own) = (last_s, 1);
        }
        self.points.push(point);
        self.follow_pitch(point.time_s - last_s);
    }

    /// Moves the tone's pitch on to the newest point, or ends the tone where another note has begun.
    fn follow_pitch(&mut self, step_s: f64) {
        let n = self.points.len();
        let midi = self.points[n - 1].midi;
        if (midi - self.midi).abs() <= OTHER_NOTE {
            self.midi += (step_s / PITCH_S).min(1.0) * (midi - self.midi);
            (self.n_own, self.n_other) = (n, 0);
            return;
        }
        let agrees = self.n_other > 0 && (midi - self.points[n - 2].midi).abs() <= OTHER_NOTE;
        self.n_other = if agrees { self.n_other + 1 } else { 1 };
        if self.n_other < OTHER_NOTE_READINGS {
            return;
        }
        let first = n - self.n_other;
        // Notes too short to be told may lie between the two.
        let start_s = (self.points[first - 1].time_s + self.points[first].time_s) / 2.0;
        let last_own_s = self.points[self.n_own - 1].time_s;
        self.tell(if first == self.n_own { start_s } else { last_own_s });
        self.points.drain(..first);
        let n_before = self.pulses.partition_point(|p| p.time_s < start_s);
        self.pulses.drain(..n_before);
        (self.start_s, self.midi) = (start_s, midi);
        (self.n_own, self.n_other) = (self.points.len(), 0);
    }

    fn end_tone(&mut self) {
        if let Some(last) = self.n_own.checked_sub(1) {
            self.tell(self.points[last].time_s);
        }
        self.points.clear();
        self.pulses.clear();
        (self.n_own, self.n_other) = (0, 0);
    }

    /// Tells of the tone up to its last own point, which ends here.
    fn tell(&mut self, end_s: f64) {
        if end_s - self.start_s < SHORTEST_TONE_S {
            return;
        }
        let points = &self.points[..self.n_own];
        let n_pulses = self.pulses.partition_point(|p| p.time_s < end_s);
        let tone = Tone {
            start_s: self.start_s,
            end_s,
            note_midi: most_frequent_note(points),
            points,
            pulses: &self.pulses[..n_pulses],
        };
        self.finder.find(&tone, &mut self.spans);
        self.hairpins.extend(self.hairpin_finder.find(&tone));
    }
}

/// The note most of the readings count from; the lower of two.
fn most_frequent_note(points: &[Point]) -> u8 {
    let mut counts = [0usize; 128];
    for point in points {
        counts[usize::from(point.note_midi.min(127))] += 1;
    }
    let most = counts.iter().copied().max().unwrap_or(0);
    counts.iter().position(|&n| n == most).unwrap_or(0) as u8
}
