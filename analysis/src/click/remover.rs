//! Takes the product's own ticks out of a microphone's samples before anybody listens to them. Who uses it says at which
//! samples ticks are emitted; how late they come is found here. Knows no scores and no clocks.
//!
//! Only the band that clicks live in is touched, and only while one sounds. Samples come out a little later than they went
//! in, so that a gap can be filled from both its sides; none are added or lost, so times counted in samples stay true.

use super::band::BandStream;
use super::explained::Explainer;
use super::fill::Filler;
use super::finder::{ClickPath, Emitted, Finder, PATHS};
use super::sound::{ClickKind, ClickSound};
use crate::framing::History;
use rustfft::num_complex::Complex32;

/// A click's path may begin this much before the known delay, seconds.
const BEFORE_S: f64 = 0.001;
/// Length of a click with its path, seconds, at most: what [`Explainer::len`] comes to.
const WHOLE_S: f64 = 0.0215;
/// What a gap is filled from, on each side, seconds.
const BESIDE_S: f64 = 0.02;
/// Samples are held back this long, seconds: a gap, its far side, and twice the band's filter.
const HOLD_S: f64 = 0.048;
/// Sound that is kept for the search, seconds: all delays and the click.
const KEEP_S: f64 = 0.6;
/// Ticks are looked at this often, in samples of the band: about each millisecond.
const LOOK_EVERY: u64 = 8;
/// Most ticks under way. At 15 a second it is over three seconds of them.
const MOST_TICKS: usize = 48;

/// Samples taken in before some are given out.
const BLOCK: usize = 256;

#[derive(Debug, Clone, Copy)]
struct Tick {
    emitted: Emitted,
    is_looked_for: bool,
    is_hidden: [bool; PATHS],
}

/// Hides ticks in a stream. Allocates nothing after its construction.
pub struct ClickRemover {
    sample_rate_hz: f64,
    is_on: bool,
    /// Samples that went in before the present stretch.
    base: u64,
    n_in: u64,
    n_out: u64,
    hold: u64,
    sound: History<f32>,
    band: BandStream,
    /// The band after what was hidden.
    clean: History<Complex32>,
    finder: Finder,
    filler: Filler,
    explainer: Explainer,
    removed: Vec<Complex32>,
    ticks: Vec<Tick>,
}

impl ClickRemover {
    /// For a stream of this sample rate, 8,000 to 192,000 Hz.
    pub fn new(sample_rate_hz: f64) -> Self {
        let band = BandStream::new(sample_rate_hz, KEEP_S);
        let in_band = |seconds: f64| (seconds * sample_rate_hz / band.band().step as f64) as usize;
        let gap = in_band(BEFORE_S + WHOLE_S) + 2;
        let hold = (HOLD_S * sample_rate_hz) as u64;
        Self {
            sample_rate_hz,
            is_on: false,
            base: 0,
            n_in: 0,
            n_out: 0,
            hold,
            sound: History::new(hold as usize + BLOCK),
            clean: History::new(in_band(2.0 * HOLD_S)),
            finder: Finder::new(sample_rate_hz),
            filler: Filler::new(in_band(BESIDE_S) + 2, gap),
            explainer: Explainer::new(),
            removed: Vec::with_capacity(gap),
            ticks: Vec::with_capacity(MOST_TICKS),
            band,
        }
    }

    /// Switches hiding on, before the first tick is announced. From the next sample on, samples are held back.
    pub fn start(&mut self) {
        if !self.is_on {
            self.is_on = true;
            self.base = self.n_in;
            self.band.restart();
            self.clean.restart_at(0);
            self.sound.restart_at(0);
            self.ticks.clear();
            self.finder.restart();
        }
    }

    /// Announces a tick, by the number of its sample, with fraction, counted from the first one pushed: before that sample
    /// has come, each tick once, in order, and no more than three seconds ahead. While hiding is off nothing happens.
    pub fn tick(&mut self, position: f64, kind: ClickKind) {
        if !position.is_finite() || !self.is_on {
            return;
        }
        if self.ticks.len() == MOST_TICKS {
            self.ticks.remove(0);
        }
        let emitted = Emitted { position: position - self.base as f64, kind };
        self.ticks.push(Tick { emitted, is_looked_for: false, is_hidden: [false; PATHS] });
    }

    /// Whether samples are held back and ticks are looked for.
    pub fn is_on(&self) -> bool {
        self.is_on
    }

    /// Switches hiding off, as when the music is over, and gives out what was held back. Known delays are kept.
    pub fn stop(&mut self, out: &mut impl FnMut(&[f32])) {
        if self.is_on {
            self.is_on = false;
            out(self.sound.range(self.n_out - self.base, self.n_in - self.base));
            self.n_out = self.n_in;
        }
    }

    /// The ways on which ticks are known to reach the microphone.
    pub fn paths(&self) -> impl Iterator<Item = ClickPath> + '_ {
        self.finder.paths().iter().flatten().copied()
    }

    /// Takes in samples and gives out, in order, those that are ready.
    pub fn push(&mut self, samples: &[f32], out: &mut impl FnMut(&[f32])) {
        if !self.is_on {
            self.n_in += samples.len() as u64;
            self.n_out = self.n_in;
            out(samples);
            return;
        }
        for block in samples.chunks(BLOCK) {
            for &sample in block {
                let sample = if sample.is_finite() { sample.clamp(-16.0, 16.0) } else { 0.0 };
                self.sound.push(sample);
                self.n_in += 1;
                if self.band.push(sample) {
                    let newest = self.band.samples().tail(1)[0];
                    self.clean.push(newest);
                    if self.clean.end() % LOOK_EVERY == 0 {
                        self.look_at_ticks();
                    }
                }
            }
            let ready = self.n_in.saturating_sub(self.hold).max(self.n_out);
            out(self.sound.range(self.n_out - self.base, ready - self.base));
            self.n_out = ready;
        }
    }

    fn look_at_ticks(&mut self) {
        let end = self.clean.end();
        for i in 0..self.ticks.len() {
            let tick = self.ticks[i];
            for path_idx in 0..PATHS {
                let Some(path) = self.finder.paths()[path_idx] else { continue };
                let at_s = tick.emitted.position / self.sample_rate_hz + path.delay_ms / 1000.0;
                if !tick.is_hidden[path_idx] && end >= self.in_band(at_s + WHOLE_S + BESIDE_S) {
                    self.ticks[i].is_hidden[path_idx] = true;
                    self.hide(at_s, (path.sound, tick.emitted.kind));
                    // The ticks between are softer and as late as the others.
                    if tick.emitted.kind != ClickKind::Between {
                        self.finder.follow(path_idx, tick.emitted, self.band.samples());
                    }
                }
            }
            if !tick.is_looked_for && end > self.finder.complete_at(tick.emitted) {
                self.ticks[i].is_looked_for = true;
                let others = self.ticks.iter().map(|t| t.emitted);
                self.finder.look(tick.emitted, others, self.band.samples());
            }
        }
        // Those that are over are kept a while, since they tell whether later ones stand alone.
        let kept_from = (end as f64 * self.band.band().step as f64) - 2.0 * self.sample_rate_hz;
        self.ticks.retain(|t| t.emitted.position > kept_from);
    }

    fn in_band(&self, time_s: f64) -> u64 {
        (time_s * self.sample_rate_hz / self.band.band().step as f64).max(0.0) as u64
    }

    /// Takes out a click that begins at this time.
    fn hide(&mut self, at_s: f64, template_of: (ClickSound, ClickKind)) {
        let template = self.finder.template(template_of.0, template_of.1);
        let (step, delay) = (self.band.band().step as u64, self.band.band().delay as u64);
        let from = self.in_band(at_s - BEFORE_S);
        let to = from + Explainer::len(template) as u64;
        let sound_from = (from * step).saturating_sub(delay);
        // Too late for a delay that has just been found: its samples are out.
        if sound_from < self.n_out - self.base {
            return;
        }
        let beside = self.in_band(BESIDE_S);
        let before = self.clean.range(from.saturating_sub(beside), from);
        let after = self.clean.range(to, to + beside);
        self.removed.clear();
        self.removed.extend(self.filler.between(before, after, (to - from) as usize));
        let gap = self.clean.range_mut(from, to);
        if gap.is_empty() {
            return;
        }
        for (removed, old) in self.removed.iter_mut().zip(gap.iter()) {
            *removed = *old - *removed;
        }
        self.explainer.keep_click(template, &mut self.removed);
        for (removed, old) in self.removed.iter().zip(gap) {
            *old -= removed;
        }
        let sound_to = (to * step + delay).min(self.sound.end());
        let offset = sound_from as i64 - (from * step) as i64;
        let sound = self.sound.range_mut(sound_from, sound_to);
        self.band.band().add_sound(&self.removed, offset, -1.0, sound);
    }
}
