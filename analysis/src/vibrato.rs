//! The vibrato of one tone now: its tracks, whether they have a rhythm, over which stretch, and the pulses in it. Knows
//! frames and the time between them; which pulses are new and what becomes of them is for the analyser.

use crate::lines::{Line, LineFinder};
use crate::modulation::{CAPACITY, Modulation, ToneFrame};
use crate::pulses::{FoundPulse, PulseFinder, is_by_air};
use crate::reading::TRUSTED_FROM;
use crate::rhythm::{LEVEL_UNIT_DB, PITCH_UNIT_CENTS, Rhythm, RhythmFinder};
use crate::unflatten::Unflatten;

/// Slowest and fastest pulses looked for, Hz.
const RATE_RANGE_HZ: (f64, f64) = (0.75, 9.0);
/// Longest stretch looked back on, seconds.
const LONGEST_STRETCH_S: f64 = 4.2;
/// Shortest stretch in which a rhythm is looked for, seconds.
const SHORTEST_STRETCH_S: f64 = 0.25;
/// Periods that make a stretch long enough for the rate of "now".
const PRESENT_PERIODS: f64 = 7.5;
/// A rhythm this much trusted needs no second look at a shorter stretch.
const CLEAR_TRUST: f64 = 0.8;
/// Trust that a shorter stretch must add to be preferred, and may lose when it is of the present.
const ADDED_TRUST: f64 = 0.2;
const LOST_TRUST: f64 = 0.1;
/// The mean spacing of the pulses may differ from the rhythm's period by this share.
const LARGEST_MISFIT: f64 = 0.2;

/// Pulses too uneven to repeat are counted instead, if there are at least so many
const COUNTED_MIN: usize = 4;
/// of so nearly the same size (coefficient of variation). Where others are heard, sizes beat: of 24 mixtures of five
/// players in unison this lets none through, while it keeps single players whose depth varies by a fifth (our own
/// measurement); twice as much would let most mixtures through,
const COUNTED_SIZE_CV: f64 = 0.15;
/// and the modulation is at least this many times what is just noticeable.
const COUNTED_UNITS: f64 = 2.0;
/// What such a count is worth: enough to be judged by, no more.
const COUNTED_CLARITY: f64 = 0.7;

/// A rhythm and the newest frames it was found in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Look {
    pub(crate) rhythm: Rhythm,
    stretch: usize,
}

/// Finds the vibrato in a tone's frames; owns its working space.
pub(crate) struct Vibrato {
    frame_s: f64,
    tracks: Modulation,
    rhythms: RhythmFinder,
    lines: LineFinder,
    finder: PulseFinder,
}

impl Vibrato {
    pub(crate) fn new(frame_s: f64) -> Self {
        let (slowest_hz, fastest_hz) = RATE_RANGE_HZ;
        Self {
            frame_s,
            tracks: Modulation::new(),
            rhythms: RhythmFinder::new(1.0 / (fastest_hz * frame_s), 1.0 / (slowest_hz * frame_s)),
            lines: LineFinder::new(1.0 / (fastest_hz * frame_s), 1.0 / (slowest_hz * frame_s)),
            finder: PulseFinder::new(),
        }
    }

    /// Takes the last seconds of a tone's frames.
    pub(crate) fn fill(&mut self, frames: &[ToneFrame], first: u64, level: &Unflatten, pitch: &Unflatten) {
        let longest = ((LONGEST_STRETCH_S / self.frame_s) as usize).min(CAPACITY);
        let skip = frames.len().saturating_sub(longest);
        self.tracks.fill(&frames[skip..], first + skip as u64, level, pitch);
    }

    pub(crate) fn tracks(&self) -> &Modulation {
        &self.tracks
    }

    /// Looks for a rhythm: in all of it first; where that shows no clear one, in the newest half, quarter and so on, since
    /// the vibrato may just have begun or changed. A long stretch with a rhythm is narrowed to the present.
    pub(crate) fn look(&mut self) -> Option<Look> {
        let mut best: Option<Look> = None;
        let mut stretch = self.tracks.len();
        while stretch as f64 * self.frame_s >= SHORTEST_STRETCH_S {
            if let Some(rhythm) = self.rhythm_of_last(stretch) {
                if best.is_none_or(|b| rhythm.trust() > b.rhythm.trust() + ADDED_TRUST) {
                    best = Some(Look { rhythm, stretch });
                }
                if rhythm.trust() > CLEAR_TRUST {
                    break;
                }
            }
            stretch /= 2;
        }
        let Some(best) = best.filter(|b| b.rhythm.trust() >= TRUSTED_FROM) else {
            return self.counted().or(best);
        };
        let present = (PRESENT_PERIODS * best.rhythm.period) as usize;
        if present < best.stretch {
            let newer =
                self.rhythm_of_last(present).filter(|r| r.trust() >= best.rhythm.trust() - LOST_TRUST);
            if let Some(rhythm) = newer {
                return Some(Look { rhythm, stretch: present });
            }
        }
        Some(best)
    }

    /// Uneven pulses: they do not repeat, but each is there to be counted.
    fn counted(&mut self) -> Option<Look> {
        let stretch = self.tracks.len();
        let (depth_db, swing_cents) = self.finder.sizes(&self.tracks);
        if depth_db < COUNTED_UNITS * LEVEL_UNIT_DB && swing_cents < COUNTED_UNITS * PITCH_UNIT_CENTS {
            return None;
        }
        let (fastest, slowest) =
            (1.0 / (RATE_RANGE_HZ.1 * self.frame_s), 1.0 / (RATE_RANGE_HZ.0 * self.frame_s));
        // With the smoothing of the fastest pulses first, then with that of what was found.
        let mut rhythm =
            Rhythm { period: 2.0 * fastest, clarity: COUNTED_CLARITY, depth_db, swing_cents, n_periods: 0.0 };
        for _ in 0..2 {
            let found = self.finder.find(&self.tracks, &rhythm, stretch);
            if found.len() < COUNTED_MIN {
                return None;
            }
            rhythm.period = (found[found.len() - 1].frame - found[0].frame) / (found.len() - 1) as f64;
            rhythm.n_periods = found.len() as f64;
        }
        let found = self.finder.find(&self.tracks, &rhythm, stretch);
        let by_air = is_by_air(depth_db, swing_cents, self.tracks.crowding());
        let size_of = |p: &FoundPulse| if by_air { p.depth_db } else { p.swing_cents };
        let in_range = (fastest..slowest).contains(&rhythm.period);
        (in_range && found.len() >= COUNTED_MIN && variation(found.iter().map(size_of)) < COUNTED_SIZE_CV)
            .then_some(Look { rhythm, stretch })
    }

    fn rhythm_of_last(&mut self, stretch: usize) -> Option<Rhythm> {
        let start = self.tracks.len() - stretch;
        self.rhythms.find(&self.tracks.level_db()[start..], &self.tracks.cents()[start..])
    }

    /// The line of a look's rhythm in the spectrum of all that is looked back on.
    pub(crate) fn line(&mut self, look: &Look) -> Option<Line> {
        self.lines.find(self.tracks.level_db(), self.tracks.cents(), look.rhythm.period)
    }

    /// The same in the level of all harmonics summed, in which the strongest of them, the player's own, count most.
    pub(crate) fn summed_line(&mut self, look: &Look) -> Option<Line> {
        self.lines.find(self.tracks.summed_db(), &[], look.rhythm.period)
    }

    /// Finds the pulses of a look, oldest first.
    pub(crate) fn find_pulses(&mut self, look: &Look) -> &[FoundPulse] {
        self.finder.find(&self.tracks, &look.rhythm, look.stretch)
    }

    /// What the last [`Vibrato::find_pulses`] found.
    pub(crate) fn pulses(&self) -> &[FoundPulse] {
        self.finder.found()
    }
}

/// Coefficient of variation.
fn variation(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let n = values.clone().count() as f64;
    let mean = values.clone().sum::<f64>() / n;
    (values.map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt() / mean
}

/// Whether the pulses found lie a period apart. Uneven pulses repeat best at two or three times their spacing; that is
/// not their rate, and what is found then says nothing.
pub(crate) fn is_spaced_as(found: &[FoundPulse], period: f64) -> bool {
    let n = found.len();
    if n < 3 {
        return true;
    }
    let mean = (found[n - 1].frame - found[0].frame) / (n - 1) as f64;
    (mean / period - 1.0).abs() < LARGEST_MISFIT
}
