//! Finds each pulse in the tracks of a tone whose rhythm is known: peak, valleys, depth, swing, mean pitch. Times are
//! frame numbers with fraction. Whether the rhythm may be believed is for the analyser to say.

use crate::framing::dot;
use crate::modulation::Modulation;
use crate::peak::sharper_peak;
use crate::rhythm::{LEVEL_UNIT_DB, PITCH_UNIT_CENTS, Rhythm};

/// Valleys deeper than this under the peak are choked.
const CHOKED_DB: f64 = 24.0;
/// Half-width of the smoothing before peaks are looked for, in periods.
const SMOOTH_PERIODS: f64 = 0.18;
/// Half-width of the parabola through a peak, in periods.
const PEAK_PERIODS: f64 = 0.12;
/// A turn of the track counts when it comes back by this share of the modulation.
const TURN_SHARE: f64 = 0.3;
/// A valley further before a peak than this is another pulse's, in periods.
const LONGEST_RISE_PERIODS: f64 = 1.2;
/// Where level and pitch swing about equally, the air leads: pitch takes over when it swings this much more (in
/// just noticeable units).
const PITCH_LEADS: f64 = 2.0;
/// Among echoes and others, already from here.
const PITCH_LEADS_CROWDED: f64 = 1.0;
/// Level under the loudest at which peaks stop mattering, dB.
const RANGE_DB: f64 = 26.0;
/// Pulses that must agree about where in them the peak lies, and how closely: median deviation over median.
const SHIFTS_MIN: usize = 3;
const SHIFT_AGREEMENT: f64 = 0.5;
/// Most pulses in one look.
const CAPACITY: usize = 64;

/// A pulse in the tracks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FoundPulse {
    /// Peak, as a frame number with fraction.
    pub(crate) frame: f64,
    pub(crate) depth_db: f64,
    pub(crate) swing_cents: f64,
    /// MIDI note number with fraction.
    pub(crate) mean_midi: Option<f64>,
    /// The highest within half a period of the peak, likewise.
    pub(crate) top_midi: Option<f64>,
    /// Depth of the valley before it, dB; `None` where the tracks do not reach back.
    pub(crate) valley_before_db: Option<f64>,
    /// Whether the tone broke in that valley.
    pub(crate) broke_before: bool,
    /// Whether the valley after it lies within the tracks.
    pub(crate) closed: bool,
}

/// Finds pulses; owns its working space.
pub(crate) struct PulseFinder {
    lead: Vec<f64>,
    smooth: Vec<f64>,
    kernel: Vec<f64>,
    /// Peaks and, between them, valleys: index and whether it is a peak.
    turns: Vec<(usize, bool)>,
    shifts: Vec<f64>,
    found: Vec<FoundPulse>,
}

impl PulseFinder {
    pub(crate) fn new() -> Self {
        Self {
            lead: Vec::with_capacity(crate::modulation::CAPACITY),
            smooth: Vec::with_capacity(crate::modulation::CAPACITY),
            kernel: Vec::with_capacity(crate::modulation::CAPACITY),
            turns: Vec::with_capacity(2 * CAPACITY + 2),
            shifts: Vec::with_capacity(CAPACITY),
            found: Vec::with_capacity(CAPACITY),
        }
    }

    /// What the last [`PulseFinder::find`] found, oldest first.
    pub(crate) fn found(&self) -> &[FoundPulse] {
        &self.found
    }

    /// Size of the modulation whether it repeats or not: from the tenth to the ninetieth percentile, dB and cents.
    pub(crate) fn sizes(&mut self, tracks: &Modulation) -> (f64, f64) {
        let mut size = |track: &[f64]| {
            self.lead.clear();
            self.lead.extend_from_slice(track);
            if track.is_empty() {
                return 0.0;
            }
            let last = (track.len() - 1) as f64;
            let mut at =
                |share: f64| *self.lead.select_nth_unstable_by((share * last) as usize, f64::total_cmp).1;
            at(0.9) - at(0.1)
        };
        (size(tracks.level_db()), size(tracks.cents()))
    }

    /// Finds the pulses in the last `stretch` frames, oldest first.
    pub(crate) fn find(&mut self, tracks: &Modulation, rhythm: &Rhythm, stretch: usize) -> &[FoundPulse] {
        let start = tracks.len() - stretch.min(tracks.len());
        let by_air = is_by_air(rhythm.depth_db, rhythm.swing_cents, tracks.crowding());
        let track = if by_air { tracks.level_db() } else { tracks.cents() };
        self.lead.clear();
        if by_air {
            let loudest = track[start..].iter().copied().fold(f64::MIN, f64::max);
            self.lead.extend(track[start..].iter().map(|db| db.max(loudest - RANGE_DB)));
        } else {
            self.lead.extend_from_slice(&track[start..]);
        }
        let size = if by_air { rhythm.depth_db } else { rhythm.swing_cents };
        smooth(&self.lead, (SMOOTH_PERIODS * rhythm.period).max(2.0), &mut self.kernel, &mut self.smooth);
        turns(&self.smooth, TURN_SHARE * size, &mut self.turns);
        self.found.clear();
        for k in 0..self.turns.len() {
            let (idx, is_peak) = self.turns[k];
            if !is_peak || self.found.len() == CAPACITY {
                continue;
            }
            let Some(peak) = top_of(&self.smooth, idx, (PEAK_PERIODS * rhythm.period).max(2.0)) else {
                continue;
            };
            // The stretch may begin half-way up to the peak: its first frame is no valley. Nor is one long before it.
            let is_own = |v: &usize| *v > 1 && peak - (*v as f64) < LONGEST_RISE_PERIODS * rhythm.period;
            let before = k.checked_sub(1).map(|j| self.turns[j].0).filter(is_own).map(|v| v + start);
            if before.is_none()
                && !rises_to(track, peak + start as f64, 0.5 * rhythm.period, TURN_SHARE * size)
            {
                continue;
            }
            let after = self.turns.get(k + 1).map(|t| t.0 + start);
            self.found.push(measure(tracks, peak + start as f64, before, after, rhythm.period));
        }
        let first = tracks.first_frame() as f64 + start as f64;
        let shift = self.shift(first, rhythm.period, size);
        self.found.iter_mut().for_each(|pulse| pulse.frame += shift);
        &self.found
    }

    /// How far the true peaks lie from those found, where the pulses agree about it: noise moves each its own way.
    fn shift(&mut self, first_frame: f64, period: f64, size: f64) -> f64 {
        self.shifts.clear();
        for pulse in &self.found {
            let top = pulse.frame - first_frame;
            self.shifts.push(sharper_peak(&self.lead, top, period, size).map_or(0.0, |peak| peak - top));
        }
        if self.shifts.len() < SHIFTS_MIN {
            return 0.0;
        }
        let middle = self.shifts.len() / 2;
        let shift = *self.shifts.select_nth_unstable_by(middle, f64::total_cmp).1;
        self.shifts.iter_mut().for_each(|s| *s = (*s - shift).abs());
        let apart = *self.shifts.select_nth_unstable_by(middle, f64::total_cmp).1;
        if apart < SHIFT_AGREEMENT * shift.abs() { shift } else { 0.0 }
    }
}

/// Whether the air leads a modulation of this size, or else the pitch. Where the harmonics' levels go ways of their own, a
/// swinging pitch moves them through the room's echoes, and that depth is not the player's.
pub(crate) fn is_by_air(depth_db: f64, swing_cents: f64, crowding: f64) -> bool {
    let leads = PITCH_LEADS + crowding * (PITCH_LEADS_CROWDED - PITCH_LEADS);
    depth_db / LEVEL_UNIT_DB * leads >= swing_cents / PITCH_UNIT_CENTS
}

/// Measures the pulse with its peak at `peak` between the valleys `before` and `after` (indices into the tracks).
fn measure(
    tracks: &Modulation,
    peak: f64,
    before: Option<usize>,
    after: Option<usize>,
    period: f64,
) -> FoundPulse {
    let n = tracks.len();
    let clip = |x: f64| (x.round().max(0.0) as usize).min(n - 1);
    let level = tracks.level_db();
    let top = max_of(&level[clip(peak - 0.3 * period)..=clip(peak + 0.3 * period)]);
    // The valley of the level lies near that of the leading track.
    let valley = |v: usize| min_of(&level[clip(v as f64 - 0.25 * period)..=clip(v as f64 + 0.25 * period)]);
    let valley_before_db = before.map(|v| top - valley(v));
    let valley_after_db = after.map(|v| top - valley(v));
    let depth_db = match (valley_before_db, valley_after_db) {
        // A tone's start or end is no valley: where the two differ that much, the smaller is the pulse's.
        (Some(a), Some(b)) if (a - b).abs() > 6.0 => a.min(b),
        (Some(a), Some(b)) => (a + b) / 2.0,
        (a, b) => a.or(b).unwrap_or(0.0),
    };
    let (from, to) = (clip(peak - 0.5 * period), clip(peak + 0.5 * period));
    let sounding = || (from..=to).filter(|&i| tracks.voiced()[i]).map(|i| tracks.cents()[i]);
    let highest_cents = sounding().reduce(f64::max);
    let swing_cents = highest_cents.zip(sounding().reduce(f64::min)).map_or(0.0, |(high, low)| high - low);
    let edges =
        (before.map_or(peak - 0.5 * period, |v| v as f64), after.map_or(peak + 0.5 * period, |v| v as f64));
    let unvoiced_before = before.map_or(0, |v| {
        (clip(v as f64 - 0.3 * period)..=clip(v as f64 + 0.3 * period))
            .filter(|&i| !tracks.voiced()[i])
            .count()
    });
    FoundPulse {
        frame: tracks.first_frame() as f64 + peak,
        depth_db,
        swing_cents,
        mean_midi: tracks.mean_midi(edges.0, edges.1),
        top_midi: highest_cents.map(|cents| tracks.base_midi() + cents / 100.0),
        valley_before_db,
        broke_before: valley_before_db.is_some_and(|d| d > CHOKED_DB) || unvoiced_before > 2,
        closed: after.is_some(),
    }
}

fn max_of(x: &[f64]) -> f64 {
    x.iter().copied().fold(f64::MIN, f64::max)
}

fn min_of(x: &[f64]) -> f64 {
    x.iter().copied().fold(f64::MAX, f64::min)
}

/// Weighted running mean with a raised-cosine weight.
fn smooth(track: &[f64], half_width: f64, kernel: &mut Vec<f64>, out: &mut Vec<f64>) {
    let reach = half_width.ceil() as usize;
    kernel.clear();
    kernel.extend((0..=2 * reach).map(|k| {
        let d = (k as f64 - reach as f64) / (half_width + 1.0);
        0.5 + 0.5 * (std::f64::consts::PI * d).cos()
    }));
    let whole: f64 = kernel.iter().sum();
    out.clear();
    for i in 0..track.len() {
        let from = i.saturating_sub(reach);
        let near = &track[from..(i + reach + 1).min(track.len())];
        let weights = &kernel[from + reach - i..][..near.len()];
        let weight = if near.len() == kernel.len() { whole } else { weights.iter().sum() };
        out.push(dot(near, weights) / weight);
    }
}

/// Turning points of a track, peaks and valleys in turn: a direction is believed once the track has gone `threshold`
/// against it.
fn turns(track: &[f64], threshold: f64, out: &mut Vec<(usize, bool)>) {
    out.clear();
    let (mut high, mut low) = (0usize, 0usize);
    let mut rising: Option<bool> = None;
    for i in 0..track.len() {
        if track[i] > track[high] {
            high = i;
        }
        if track[i] < track[low] {
            low = i;
        }
        if rising != Some(false) && track[high] - track[i] > threshold {
            if out.len() < out.capacity() {
                out.push((high, true));
            }
            rising = Some(false);
            (low, high) = (i, i);
        } else if rising != Some(true) && track[i] - track[low] > threshold {
            if out.len() < out.capacity() {
                out.push((low, false));
            }
            rising = Some(true);
            (low, high) = (i, i);
        }
    }
}

/// Whether the track rises to a peak by `threshold` within the `reach` before it; true where it does not go back that
/// far. The end of a straight stretch falls like a pulse's peak, but nothing rises to it.
fn rises_to(track: &[f64], peak: f64, reach: f64, threshold: f64) -> bool {
    let before = peak - reach;
    before < 0.0 || track[peak as usize] - track[before as usize] > threshold
}

/// Top of the least-squares parabola around a maximum; `None` at the track's ends, which are no peaks.
fn top_of(track: &[f64], idx: usize, half_width: f64) -> Option<f64> {
    let reach = (half_width.round() as usize).max(1);
    if idx < 2 || idx + 2 >= track.len() {
        return None;
    }
    let reach = reach.min(idx).min(track.len() - 1 - idx);
    let (mut s2, mut s4, mut y0, mut y1, mut y2) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let count = (2 * reach + 1) as f64;
    for (k, y) in track[idx - reach..=idx + reach].iter().enumerate() {
        let x = k as f64 - reach as f64;
        s2 += x * x;
        s4 += x.powi(4);
        y0 += y;
        y1 += x * y;
        y2 += x * x * y;
    }
    let curve = (count * y2 - s2 * y0) / (count * s4 - s2 * s2);
    let slope = y1 / s2;
    let offset = if curve < 0.0 { (-slope / (2.0 * curve)).clamp(-half_width, half_width) } else { 0.0 };
    Some(idx as f64 + offset)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::modulation::ToneFrame;
    use crate::unflatten::Unflatten;
    use std::f64::consts::TAU;

    /// Tracks of a pulse with the given shape in dB and in semitones.
    fn tracks(n: usize, db: impl Fn(f64) -> f64, midi: impl Fn(f64) -> f64) -> Modulation {
        let frames: Vec<ToneFrame> = (0..n)
            .map(|i| {
                let level = 10f64.powf(db(i as f64) / 20.0);
                ToneFrame {
                    level,
                    shared_level: level,
                    midi: Some(midi(i as f64)),
                    apart: Default::default(),
                }
            })
            .collect();
        // A window that flattens nothing.
        let filter = Unflatten::for_level(0.005, 1e-9);
        let mut modulation = Modulation::new();
        modulation.fill(&frames, 1000, &filter, &filter);
        modulation
    }

    #[test]
    fn peaks_depth_swing_and_mean_of_sinusoidal_pulses() {
        let period = 47.3;
        let wave = |i: f64| (TAU * (i - 10.0) / period).cos();
        let tracks = tracks(400, |i| -20.0 + 3.0 * wave(i), |i| 60.1 + 0.1 * wave(i));
        let rhythm = Rhythm { period, clarity: 1.0, depth_db: 6.0, swing_cents: 20.0, n_periods: 8.0 };
        let mut finder = PulseFinder::new();
        let found = finder.find(&tracks, &rhythm, 400);
        assert_eq!(found.len(), 8);
        // The first peak is ten frames from the edge, where the smoothing is lopsided.
        for (k, pulse) in found.iter().enumerate().skip(1) {
            let truth = 1010.0 + (k as f64 + if found[0].frame > 1030.0 { 1.0 } else { 0.0 }) * period;
            assert!((pulse.frame - truth).abs() < 0.3, "{k}: {} for {truth}", pulse.frame);
            assert!((pulse.depth_db - 6.0).abs() < 0.15, "{pulse:?}");
            assert!((pulse.swing_cents - 20.0).abs() < 0.6, "{pulse:?}");
            assert!(!pulse.broke_before);
        }
        for pulse in &found[1..7] {
            assert!((pulse.mean_midi.unwrap() - 60.1).abs() < 0.005, "{pulse:?}");
        }
    }

    #[test]
    fn choked_valleys_are_said() {
        let period = 60.0;
        let tracks = tracks(400, |i| if (i / period).fract() < 0.4 { -10.0 } else { -50.0 }, |_| 60.0);
        let rhythm = Rhythm { period, clarity: 1.0, depth_db: 30.0, swing_cents: 0.0, n_periods: 6.0 };
        let mut finder = PulseFinder::new();
        let found = finder.find(&tracks, &rhythm, 400);
        assert!(found.len() >= 5 && found[1..].iter().all(|p| p.broke_before), "{found:?}");
    }
}
