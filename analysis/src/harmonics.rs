//! Follows the harmonics of one note: level and exact pitch many times a second. Knows one reference pitch and a
//! window of samples; whether there is a tone, and which, is decided elsewhere.
//!
//! Each harmonic is correlated with a windowed complex tone at the frequency it had last. The magnitude gives its level,
//! the advance of the phase from frame to frame its frequency. Frequencies from phase advance add up to the true
//! number of cycles, so their mean over time is unbiased however level and pitch are modulated together.

use crate::framing::{dot, sinc};
use std::f64::consts::{PI, TAU};

/// Most harmonics followed at once, the strongest.
pub(crate) const MAX_FOLLOWED: usize = 12;
/// Harmonics looked at when choosing.
const MAX_HARMONIC: usize = 40;
/// Harmonics this far below the strongest are not followed, dB.
const FOLLOWED_RANGE_DB: f64 = 35.0;
/// Window of a note in the middle. At 8 pulses a second it flattens by 7 per cent, which is corrected.
const WINDOW_S: f64 = 0.040;
/// Above this pitch the window shrinks with the period, so that the swing of a high note stays within its main lobe,
const SHRINKS_FROM_HZ: f64 = 500.0;
/// down to this length.
const WINDOW_MIN_S: f64 = 0.016;
/// How fast the frequency that is looked at follows the one found, for a window of [`WINDOW_S`]. Where the level rises
/// or falls within a window, its centre of gravity shifts, and a change of the frequency looked at appears as a phase:
/// following at once would feed that back and run away. The shift grows with the window's square.
const FOLLOW: f64 = 0.4;
/// Slowest following.
const FOLLOW_MIN: f64 = 0.08;
/// Shortest window in periods: with a Hann window of three periods the neighbouring harmonics fall on its zeros.
const WINDOW_MIN_PERIODS: f64 = 3.0;
/// Lowest reference pitch, sizes the buffers.
const LOWEST_HZ: f64 = 27.0;
/// How far a tone may leave its reference before it counts as another note, cents.
const LEASH_CENTS: f64 = 350.0;
/// Weight of a harmonic's frequency grows with its number squared (its phase moves that much faster) up to this one;
/// above, neighbours and smoothing eat the gain.
const WEIGHT_HARMONIC_MAX: f64 = 6.0;
/// Time over which a harmonic's disagreement with the others is taken, seconds,
const MISFIT_S: f64 = 0.3;
/// and a disagreement too small to matter, cents.
const MISFIT_FLOOR_CENTS: f64 = 1.0;
/// Wavering, in Hz, that halves a harmonic's part in the shared level: a tone of a neighbour, ten or twenty hertz aside
/// and half as loud, makes as much (our own measurement).
const WAVERING_HZ: f64 = 5.0;
/// Level under its loudness below which a harmonic's level is noise, dB.
const LOWEST_DB: f64 = -50.0;
/// A harmonic this far from the others has jumped, cents.
const JUMP_CENTS: f64 = 60.0;
/// A ratio of e in cents, 1200 / ln 2.
const CENTS_PER_NEPER: f64 = 1200.0 / std::f64::consts::LN_2;
/// How fast a harmonic's loudness is forgotten, seconds.
const LOUDNESS_S: f64 = 1.0;

/// One harmonic's pitch beside that of all. The weight is the fourth root of its loudness: a strong harmonic that slips a
/// cycle must not outvote the weaker ones that agree.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Apart {
    pub(crate) cents: f32,
    pub(crate) weight: f32,
}

/// One frame of the followed tone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// RMS level of the followed harmonics, linear (a sine of amplitude 1 has 0.707).
    pub(crate) level: f64,
    /// RMS level of the whole sound in the window, linear.
    pub(crate) sound_level: f64,
    /// What the harmonics' levels do together: the mean of their changes in dB added up, and made linear (its scale means
    /// nothing). The player moves all of them alike; a neighbour's tone and the room's echoes meet each with another
    /// phase, and average out. Harmonics that a neighbour's tone makes waver count less.
    pub(crate) shared_level: f64,
    /// Pitch relative to the reference, cents, averaged over the hop that ends at this frame's centre.
    pub(crate) advance_cents: f64,
    /// The same of each harmonic by itself, relative to that; and what each counts. Nought beyond those followed.
    pub(crate) apart: [Apart; MAX_FOLLOWED],
    /// How far the harmonics disagree about it, cents (weighted standard deviation).
    pub(crate) spread_cents: f64,
}

impl Frame {
    /// Share of the sound's power that the followed harmonics have, at most 1.
    pub(crate) fn share(&self) -> f64 {
        (self.level / self.sound_level.max(1e-9)).powi(2).min(1.0)
    }
}

/// Response of a Hann window of length `length_s` at a frequency off its centre, relative to the centre.
pub(crate) fn hann_response(off_hz: f64, length_s: f64) -> f64 {
    let x = (off_hz * length_s).abs();
    if (x - 1.0).abs() < 1e-6 { 0.5 } else { sinc(x) / (1.0 - x * x) }
}

#[derive(Clone, Copy, Default)]
struct Follower {
    harmonic: f64,
    phase: f64,
    level: f64,
    /// Recent largest level.
    loudness: f64,
    /// How far its pitch has lately been from that of the others, cents squared.
    misfit: f64,
}

/// Demodulates the strongest harmonics of a tone, following its pitch.
pub(crate) struct Harmonics {
    rate_hz: f64,
    hop: usize,
    reference_hz: f64,
    window: Vec<f32>,
    windowed: Vec<f32>,
    followers: [Follower; MAX_FOLLOWED],
    n_followed: usize,
    /// Pitch looked at, relative to the reference, cents: follows the pitch found.
    followed_cents: f64,
    /// Changes of the shared level since the retune, added up (natural logarithm).
    shared_log: f64,
    has_phase: bool,
}

impl Harmonics {
    pub(crate) fn new(rate_hz: f64, hop: usize) -> Self {
        let longest = window_samples(LOWEST_HZ, rate_hz);
        Self {
            rate_hz,
            hop,
            reference_hz: 0.0,
            window: Vec::with_capacity(longest),
            windowed: vec![0.0; longest],
            followers: [Follower::default(); MAX_FOLLOWED],
            n_followed: 0,
            followed_cents: 0.0,
            shared_log: 0.0,
            has_phase: false,
        }
    }

    /// Longest window of any reference pitch, samples.
    pub(crate) fn longest_window(&self) -> usize {
        window_samples(LOWEST_HZ, self.rate_hz)
    }

    /// Window for a reference pitch, samples (even).
    pub(crate) fn window_for(&self, reference_hz: f64) -> usize {
        window_samples(reference_hz, self.rate_hz)
    }

    /// Pitch that frames count their cents from, Hz.
    pub(crate) fn reference_hz(&self) -> f64 {
        self.reference_hz
    }

    /// Window in use, samples.
    pub(crate) fn window(&self) -> usize {
        self.window.len()
    }

    /// Takes a new reference and chooses the harmonics that are strong in `samples` (a window's length for this
    /// reference). The next frame has no phase to compare with. Gives the level of the harmonics chosen.
    pub(crate) fn retune(&mut self, reference_hz: f64, samples: &[f32]) -> f64 {
        self.reference_hz = reference_hz;
        let n = self.window_for(reference_hz);
        // The Hann window sums to n/2; a sine of amplitude 1 is to give 1.
        self.window.clear();
        self.window.extend(
            (0..n).map(|j| (4.0 / n as f64 * (PI * (j as f64 + 0.5) / n as f64).sin().powi(2)) as f32),
        );
        let n_possible = self.n_possible();
        let mut strengths = [(0f64, 0f64); MAX_HARMONIC];
        self.apply_window(samples);
        for (i, slot) in strengths.iter_mut().enumerate().take(n_possible) {
            let harmonic = (i + 1) as f64;
            let (re, im) = self.correlate(harmonic * reference_hz);
            *slot = (re.hypot(im), harmonic);
        }
        let found = &mut strengths[..n_possible];
        found.sort_unstable_by(|a, b| b.0.total_cmp(&a.0));
        let floor = found[0].0 * 10f64.powf(-FOLLOWED_RANGE_DB / 20.0);
        self.n_followed = found.iter().take(MAX_FOLLOWED).filter(|s| s.0 >= floor).count().max(1);
        for (follower, &(_, harmonic)) in self.followers.iter_mut().zip(found.iter()) {
            *follower = Follower { harmonic, ..Follower::default() };
        }
        self.followed_cents = 0.0;
        self.shared_log = 0.0;
        self.has_phase = false;
        (found.iter().take(self.n_followed).map(|s| s.0 * s.0).sum::<f64>() / 2.0).sqrt()
    }

    /// Chooses the harmonics anew from the window last given to [`Harmonics::frame`]: those of an attack are not those
    /// of the tone. The shared level goes on as it was.
    pub(crate) fn choose_again(&mut self) {
        let present_hz = self.present_hz();
        let n_possible = self.n_possible();
        let mut found = [Follower::default(); MAX_HARMONIC];
        for (i, slot) in found.iter_mut().enumerate().take(n_possible) {
            let harmonic = (i + 1) as f64;
            let (re, im) = self.correlate(harmonic * present_hz);
            let level = re.hypot(im);
            *slot = Follower { harmonic, phase: im.atan2(re), level, loudness: level, misfit: 0.0 };
            if let Some(known) = self.followers[..self.n_followed].iter().find(|f| f.harmonic == harmonic) {
                (slot.loudness, slot.misfit) = (known.loudness, known.misfit);
            }
        }
        let found = &mut found[..n_possible];
        found.sort_unstable_by(|a, b| b.loudness.total_cmp(&a.loudness));
        let floor = found[0].loudness * 10f64.powf(-FOLLOWED_RANGE_DB / 20.0);
        self.n_followed = found.iter().take(MAX_FOLLOWED).filter(|f| f.loudness >= floor).count().max(1);
        let n_followed = self.n_followed;
        self.followers[..n_followed].copy_from_slice(&found[..n_followed]);
    }

    fn present_hz(&self) -> f64 {
        self.reference_hz * (self.followed_cents / 1200.0).exp2()
    }

    fn n_possible(&self) -> usize {
        ((0.46 * self.rate_hz / self.reference_hz) as usize).clamp(1, MAX_HARMONIC)
    }

    /// Demodulates the window `samples`, which must start one hop after the last one's. `None` for the first window
    /// after a retune, which has nothing to compare its phase with.
    pub(crate) fn frame(&mut self, samples: &[f32]) -> Option<Frame> {
        let mut advances = [(0f64, 0f64); MAX_FOLLOWED];
        let mut power = 0.0;
        let mut changes = (0.0, 0.0);
        let mut turns = [0f64; MAX_FOLLOWED];
        let hop_s = self.hop as f64 / self.rate_hz;
        let length_s = self.window.len() as f64 / self.rate_hz;
        let present_hz = self.present_hz();
        let n_followed = self.n_followed;
        self.apply_window(samples);
        for (i, advance) in advances.iter_mut().enumerate().take(n_followed) {
            let Follower { harmonic, phase: last_phase, level: last_level, misfit, .. } = self.followers[i];
            // The phase at the window's centre does not depend on the frequency it is looked at with, so that one may
            // follow the pitch: a high harmonic of a swinging tone would leave a fixed window.
            let harmonic_hz = harmonic * present_hz;
            let (re, im) = self.correlate(harmonic_hz);
            let phase = im.atan2(re);
            let level = re.hypot(im);
            // The phase is known only up to whole turns: take the turn nearest to going on as before.
            let expected = TAU * hop_s * harmonic_hz;
            let step = phase - last_phase - expected;
            let off_hz = (step - TAU * (step / TAU).round()) / (TAU * hop_s);
            let ratio = (1.0 + off_hz / harmonic_hz).max(0.5);
            let cents = self.followed_cents + 1200.0 * ratio.log2();
            let size = level.min(last_level) * harmonic.min(WEIGHT_HARMONIC_MAX);
            *advance = (cents, size.powi(2) / (misfit + MISFIT_FLOOR_CENTS.powi(2)));
            // A harmonic off the frequency it was looked at with sits on the window's slope.
            let response = hann_response(off_hz.clamp(-0.9 / length_s, 0.9 / length_s), length_s);
            turns[i] = self.followed_cents + CENTS_PER_NEPER * off_hz / harmonic_hz;
            let follower = &mut self.followers[i];
            follower.phase = phase;
            follower.level = level / response;
            power += follower.level.powi(2) / 2.0;
            let floor = follower.loudness.max(1e-9) * 10f64.powf(LOWEST_DB / 20.0);
            let change = (follower.level.max(floor) / last_level.max(floor)).ln();
            let wavering_hz = misfit.sqrt() * harmonic_hz * std::f64::consts::LN_2 / 1200.0;
            let weight = 1.0 / (1.0 + (wavering_hz / WAVERING_HZ).powi(2));
            changes.0 += weight * change;
            changes.1 += weight;
        }
        if !self.has_phase {
            self.has_phase = true;
            return None;
        }
        let advances = &advances[..n_followed];
        let (advance_cents, spread_cents) = agree(advances);
        self.note_misfits(advances, hop_s);
        let follow = (FOLLOW * (WINDOW_S / length_s).powi(2)).clamp(FOLLOW_MIN, 1.0);
        self.followed_cents = (self.followed_cents + follow * (advance_cents - self.followed_cents))
            .clamp(-LEASH_CENTS, LEASH_CENTS);
        self.shared_log += changes.0 / changes.1;
        let shared_level = self.shared_log.exp();
        // The squares of the window add up to 6/n.
        let windowed = &self.windowed[..self.window.len()];
        let sound_level = (f64::from(dot(windowed, windowed)) * windowed.len() as f64 / 6.0).sqrt();
        let mut apart = [Apart::default(); MAX_FOLLOWED];
        for (i, slot) in apart.iter_mut().enumerate().take(n_followed) {
            // Where echoes make the phase jump, only turns add up to the cycles gone by; their logarithms do not.
            let near = advances[i].0 - advance_cents;
            let cents = if near.abs() < JUMP_CENTS { near } else { turns[i] - advance_cents };
            *slot = Apart { cents: cents as f32, weight: self.followers[i].loudness.sqrt().sqrt() as f32 };
        }
        Some(Frame { level: power.sqrt(), sound_level, shared_level, advance_cents, apart, spread_cents })
    }

    /// Each harmonic is held against the mean of the others, so that a strong one which is somebody else's does not
    /// prove itself right. The valleys of the pulses hardly count.
    fn note_misfits(&mut self, advances: &[(f64, f64)], hop_s: f64) {
        let total = advances.iter().fold((0.0, 0.0), |sum, a| (sum.0 + a.0 * a.1, sum.1 + a.1));
        for (follower, &(cents, weight)) in self.followers.iter_mut().zip(advances) {
            follower.loudness = follower.level.max(follower.loudness * (1.0 - hop_s / LOUDNESS_S));
            let others = total.1 - weight;
            if others > 1e-6 * total.1 && others > 0.0 {
                let apart = (cents - (total.0 - cents * weight) / others).clamp(-200.0, 200.0);
                let counts = (follower.level / follower.loudness.max(1e-12)).powi(2);
                follower.misfit += counts * hop_s / MISFIT_S * (apart.powi(2) - follower.misfit);
            }
        }
    }

    /// What two windows, one hop apart, hold of a note nobody was heard to play yet.
    pub(crate) fn glance(&mut self, reference_hz: f64, earlier: &[f32], later: &[f32]) -> Option<Frame> {
        self.retune(reference_hz, earlier);
        self.frame(earlier);
        self.frame(later)
    }

    /// The tone was lost: expect it back at this distance from the reference, in cents.
    pub(crate) fn expect_back_at(&mut self, cents: f64) {
        self.followed_cents = cents.clamp(-LEASH_CENTS, LEASH_CENTS);
    }

    fn apply_window(&mut self, samples: &[f32]) {
        for ((out, &x), &w) in self.windowed.iter_mut().zip(samples).zip(&self.window) {
            *out = x * w;
        }
    }

    /// Correlates the windowed samples with a complex tone whose phase is nought at the window's centre. In blocks:
    /// one short table of the tone serves them all, turned on from block to block.
    fn correlate(&self, hz: f64) -> (f64, f64) {
        const BLOCK: usize = 64;
        let n = self.window.len();
        let omega = TAU * hz / self.rate_hz;
        let (mut cos, mut sin) = ([1f32; BLOCK], [0f32; BLOCK]);
        // Each turn doubles what is there of the table: six roundings in all.
        let (mut turn_sin, mut turn_cos) = omega.sin_cos();
        let mut filled = 1;
        while filled < BLOCK {
            let (s, c) = (turn_sin as f32, turn_cos as f32);
            let ((cos, more_cos), (sin, more_sin)) = (cos.split_at_mut(filled), sin.split_at_mut(filled));
            for i in 0..filled {
                (more_cos[i], more_sin[i]) = (cos[i] * c - sin[i] * s, sin[i] * c + cos[i] * s);
            }
            (turn_sin, turn_cos) = (2.0 * turn_sin * turn_cos, turn_cos * turn_cos - turn_sin * turn_sin);
            filled *= 2;
        }
        let (block_sin, block_cos) = (turn_sin, turn_cos);
        let (mut turn_sin, mut turn_cos) = (omega * (0.5 - n as f64 / 2.0)).sin_cos();
        let (mut re, mut im) = (0f64, 0f64);
        for block in self.windowed[..n].chunks(BLOCK) {
            let a = f64::from(dot(block, &cos[..block.len()]));
            let b = -f64::from(dot(block, &sin[..block.len()]));
            // (a + ib) e^{-i turn}
            re += a * turn_cos + b * turn_sin;
            im += b * turn_cos - a * turn_sin;
            (turn_sin, turn_cos) =
                (turn_sin * block_cos + turn_cos * block_sin, turn_cos * block_cos - turn_sin * block_sin);
        }
        (re, im)
    }
}

fn window_samples(reference_hz: f64, rate_hz: f64) -> usize {
    let middle_s = (WINDOW_S * SHRINKS_FROM_HZ / reference_hz).clamp(WINDOW_MIN_S, WINDOW_S);
    let seconds = middle_s.max(WINDOW_MIN_PERIODS / reference_hz);
    2 * (seconds * rate_hz / 2.0).ceil() as usize
}

/// Weighted mean and spread of the harmonics' pitches; those far from the others (a neighbour's tone, noise) are left
/// out.
fn agree(advances: &[(f64, f64)]) -> (f64, f64) {
    let mut limit = f64::INFINITY;
    let mut centre = 0.0;
    let mut spread = 0.0;
    for _ in 0..3 {
        let kept = || advances.iter().filter(|a| (a.0 - centre).abs() <= limit);
        let weight: f64 = kept().map(|a| a.1).sum();
        if weight <= 0.0 {
            return (centre, spread);
        }
        let mean = kept().map(|a| a.0 * a.1).sum::<f64>() / weight;
        let variance = kept().map(|a| a.1 * (a.0 - mean).powi(2)).sum::<f64>() / weight;
        (centre, spread) = (mean, variance.sqrt());
        limit = (2.0 * spread).max(3.0);
    }
    (centre, spread)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signals::{Moment, Timbre, render};
    use crate::tuning::midi_to_hz;

    /// Largest error of the mean pitch (cents) and of the level (dB) over steady tones 17 cents above the reference.
    fn worst(timbre: &Timbre) -> (f64, f64) {
        let (rate, hop) = (24_000.0, 120);
        let mut harmonics = Harmonics::new(rate, hop);
        let mut worst = (0f64, 0f64);
        for midi in 22..=108 {
            let f0_hz = midi_to_hz(f64::from(midi), 440.0);
            let reference = f0_hz * (-17.0f64 / 1200.0).exp2();
            let sound = render(rate, timbre.clone(), -200.0, 1, 0.5, |_| Moment { f0_hz, gain: 0.5 });
            let window = harmonics.window_for(reference);
            harmonics.retune(reference, &sound[..window]);
            // The first frames still move from the reference to the tone.
            let frames = (0..70).filter_map(|k| harmonics.frame(&sound[k * hop..][..window])).skip(9);
            let (mut sum, mut n) = (0.0, 0.0);
            for frame in frames {
                sum += frame.advance_cents;
                n += 1.0;
                worst.1 = worst.1.max((20.0 * (frame.level / (0.5 / 2f64.sqrt())).log10()).abs());
            }
            worst.0 = worst.0.max((sum / n - 17.0).abs());
        }
        worst
    }

    #[test]
    fn exact_pitch_and_level_of_steady_tones() {
        let (cents, db) = worst(&Timbre::sine());
        assert!(cents < 0.05 && db < 0.02, "sine: {cents} cents, {db} dB");
        let (cents, _) = worst(&Timbre::falling(6));
        assert!(cents < 0.1, "six harmonics: {cents} cents");
    }

    #[test]
    fn the_window_flattens_as_the_formula_says() {
        // Hann window: sinc(x) / (1 - x^2); at x = 0.5 that is (2/pi) / 0.75.
        assert!((hann_response(12.5, 0.04) - 2.0 / PI / 0.75).abs() < 1e-12);
        assert_eq!(hann_response(0.0, 0.04), 1.0);
        assert!(hann_response(2.0 / 0.04, 0.04).abs() < 1e-12);
    }
}
