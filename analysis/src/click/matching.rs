//! Where in a stretch of sound one kind of click may lie: a matched filter on the whitened band. Whitening takes out what
//! stands still, as the harmonics of a tone do; what is left of a sweep stays itself. Knows no ticks.

use super::band::{Band, band_of};
use super::explained::autocorrelation;
use super::prediction::{Burg, residual};
use super::sound::{ClickKind, ClickSound, click};
use crate::framing::dot;
use rustfft::num_complex::{Complex, Complex32};
use std::ops::Range;

/// Width of the noise, evenly spread, that every stretch is searched over: 86 dB under full scale. Where a device gates its
/// microphone to digital silence, a click alone would be predicted from its own beginning, and a sixth of all clicks was
/// missed (our own measurement); a room is never as quiet as this.
const FLOOR: f32 = 1.2e-4;

/// Coefficients of the whitening: as many harmonics of a tone as it can take out.
const ORDER: usize = 16;
/// Power below which a stretch holds nothing, re full scale (-100 dB): quieter clicks cannot be heard by anyone.
const NOTHING: f32 = 1e-10;
/// Places closer together than this are one, seconds: the half width of a compressed click.
const PLACE_S: f64 = 0.0005;

/// One kind of click, as the band has it.
#[derive(Debug, Clone)]
pub(crate) struct Template {
    band: Vec<Complex32>,
    of_itself: Vec<Complex<f64>>,
}

impl Template {
    pub(crate) fn new(sound: ClickSound, kind: ClickKind, sample_rate_hz: f64) -> Self {
        let band = band_of(&click(sound, kind, sample_rate_hz), sample_rate_hz);
        Self { of_itself: autocorrelation(&band), band }
    }

    /// The click from its first sample on.
    pub(crate) fn band(&self) -> &[Complex32] {
        &self.band
    }

    /// Its autocorrelation at the lags of a path.
    pub(crate) fn likeness_of_itself(&self) -> &[Complex<f64>] {
        &self.of_itself
    }

    /// Level of this click in the band's samples from its beginning on, RMS over its length, dB re full scale.
    pub(crate) fn level_db(&self, band: &[Complex32]) -> f64 {
        let along: Complex32 = self.band.iter().zip(band).map(|(t, x)| x * t.conj()).sum();
        let own: f32 = self.band.iter().map(|t| t.norm_sqr()).sum();
        // A complex sample of half the amplitude stands for each real one.
        let power = 2.0 * (along.norm() / own).powi(2) * own / self.band.len() as f32;
        10.0 * f64::from(power.max(1e-20)).log10()
    }

    /// Length in samples of the band.
    pub(crate) fn len(&self) -> usize {
        self.band.len()
    }
}

/// A place at which a click may begin.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Place {
    /// In samples of the band from the start of what was searched, with fraction.
    pub(crate) at: f64,
    /// Share of the whitened sound there that the click explains, 0 to 1. Noise reaches 0.3 to 0.5 somewhere in half a
    /// second; a click in silence has over 0.9, in a room 0.4 and more.
    pub(crate) likeness: f32,
}

/// Searches stretches of up to a fixed length. Allocates nothing after its construction.
pub(crate) struct Matcher {
    burg: Burg,
    coefficients: Vec<Complex32>,
    /// The stretch over a floor of noise.
    floored: Vec<Complex32>,
    /// The whitened stretch, and running sums of its power.
    re: Vec<f32>,
    im: Vec<f32>,
    power: Vec<f64>,
    padded: Vec<Complex32>,
    template_re: Vec<f32>,
    template_im: Vec<f32>,
    likeness: Vec<f32>,
    place: usize,
}

impl Matcher {
    /// For stretches of up to `max_len` samples of the band, with templates of up to `max_template`.
    pub(crate) fn new(max_len: usize, max_template: usize, sample_rate_hz: f64) -> Self {
        let band_rate_hz = sample_rate_hz / Band::new(sample_rate_hz).step as f64;
        Self {
            burg: Burg::new(max_len, ORDER),
            coefficients: vec![Complex32::default(); ORDER],
            floored: Vec::with_capacity(max_len),
            re: Vec::with_capacity(max_len),
            im: Vec::with_capacity(max_len),
            power: Vec::with_capacity(max_len + 1),
            padded: Vec::with_capacity(max_template + 2 * ORDER),
            template_re: Vec::with_capacity(max_template + ORDER),
            template_im: Vec::with_capacity(max_template + ORDER),
            likeness: Vec::with_capacity(max_len),
            place: ((PLACE_S * band_rate_hz) as usize).max(1),
        }
    }

    /// Takes in a stretch of the band to search.
    #[cfg_attr(target_arch = "wasm32", inline(never))]
    pub(crate) fn listen_to(&mut self, stretch: &[Complex32]) {
        let mut seed = 1u32;
        let mut throw = || {
            seed ^= seed << 13;
            seed ^= seed >> 17;
            seed ^= seed << 5;
            FLOOR * (seed as f32 / u32::MAX as f32 - 0.5)
        };
        self.floored.clear();
        self.floored.extend(stretch.iter().map(|x| x + Complex32::new(throw(), throw())));
        self.coefficients.copy_from_slice(self.burg.fit(&self.floored));
        self.re.clear();
        self.im.clear();
        self.power.clear();
        self.power.push(0.0);
        let mut sum = 0.0;
        for value in residual(&self.floored, &self.coefficients) {
            self.re.push(value.re);
            self.im.push(value.im);
            sum += f64::from(value.norm_sqr());
            self.power.push(sum);
        }
    }

    /// The best places of a click in the stretch, or in a part of it (in its samples), best first. Fills `places` and says
    /// how many there are.
    #[cfg_attr(target_arch = "wasm32", inline(never))]
    pub(crate) fn find(&mut self, template: &Template, within: Range<usize>, places: &mut [Place]) -> usize {
        self.whiten(template);
        let own = dot(&self.template_re, &self.template_re) + dot(&self.template_im, &self.template_im);
        // The residual begins ORDER samples into the stretch.
        let n_lags = (self.re.len() + 1).saturating_sub(self.template_re.len());
        let last = within.end.saturating_sub(ORDER).min(n_lags);
        let first = within.start.saturating_sub(ORDER).min(last);
        self.likeness.clear();
        for at in first..last {
            let likeness = self.likeness_at(at, own);
            self.likeness.push(likeness);
        }
        self.best(first + ORDER, places)
    }

    /// Share of the whitened sound at a place that the whitened template, of energy `own`, explains.
    fn likeness_at(&self, at: usize, own: f32) -> f32 {
        let len = self.template_re.len();
        let (re, im) = (&self.re[at..at + len], &self.im[at..at + len]);
        let along = dot(re, &self.template_re) + dot(im, &self.template_im);
        let across = dot(im, &self.template_re) - dot(re, &self.template_im);
        let power = (self.power[at + len] - self.power[at]) as f32 + NOTHING * len as f32;
        (along * along + across * across) / (own * power)
    }

    /// The template through the same whitening; its first samples, before which there was silence, stay in.
    fn whiten(&mut self, template: &Template) {
        self.padded.clear();
        self.padded.extend(std::iter::repeat_n(Complex32::default(), ORDER));
        self.padded.extend_from_slice(&template.band);
        self.template_re.clear();
        self.template_im.clear();
        for value in residual(&self.padded, &self.coefficients) {
            self.template_re.push(value.re);
            self.template_im.push(value.im);
        }
    }

    fn best(&self, begins_at: usize, places: &mut [Place]) -> usize {
        let mut n = 0;
        let reach = self.place;
        for (at, &likeness) in self.likeness.iter().enumerate() {
            let around = &self.likeness[at.saturating_sub(reach)..(at + reach + 1).min(self.likeness.len())];
            let is_peak = around.iter().all(|&other| other <= likeness);
            let worst = if n < places.len() { 0.0 } else { places[n - 1].likeness };
            if !is_peak || likeness <= worst {
                continue;
            }
            let rank = places[..n].iter().position(|p| p.likeness < likeness).unwrap_or(n);
            n = (n + 1).min(places.len());
            places.copy_within(rank..n - 1, rank + 1);
            places[rank] = Place { at: (begins_at + at) as f64 + self.top(at), likeness };
        }
        n
    }

    /// Where the peak at `at` has its top, from a parabola through its neighbours.
    fn top(&self, at: usize) -> f64 {
        if at == 0 || at + 1 >= self.likeness.len() {
            return 0.0;
        }
        let [a, b, c] = [at - 1, at, at + 1].map(|i| f64::from(self.likeness[i]).sqrt());
        let bend = a - 2.0 * b + c;
        if bend < 0.0 { (0.5 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 }
    }
}
