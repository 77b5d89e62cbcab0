//! How late a device's own sound comes back through its microphone: from clicks it played and heard, or from a player who
//! tapped on the microphone with the tick. Arithmetic on a recording; what the page says of it is the page's.

use super::band::BandStream;
use super::matching::{Matcher, Place, Template};
use super::sound::{CLICK_S, ClickKind, ClickSound};
use super::taps::TapWatch;

/// A recording ends at this length, seconds; more is not listened to.
const LONGEST_S: f64 = 24.0;
/// Delays that are looked for, seconds: a map that takes off too much makes them negative; Bluetooth needs a quarter of a
/// second and more (common practice, no source).
const SEARCH_S: (f64, f64) = (-0.1, 0.6);
/// Places that are kept of each click.
const PLACES: usize = 6;
/// Share that the click must explain: so much that noise alone reaches it in few clicks and never at one delay, and so
/// much that it is a click by itself (our own measurement).
const MAYBE: f32 = 0.25;
const SURE: f32 = 0.5;
/// Clicks within this of each other have one delay, seconds.
const TOGETHER_S: f64 = 0.006;
/// Share of the clicks, and number, that must be heard, and the largest standard deviation, ms.
const CLICK_SHARE: f64 = 0.75;
const CLICKS_MIN: usize = 6;
const CLICK_SCATTER_MS: f64 = 3.0;
/// The same for taps: two thirds of them; people tap with a standard deviation of 2 to 4 % of the interval (Repp 2005,
/// from memory), which is 15 to 30 ms at 80 bpm.
const TAP_SHARE: f64 = 0.66;
const TAPS_MIN: usize = 8;
const TAP_SCATTER_MS: f64 = 25.0;
/// A tap is somebody's answer to the tick that lies so far from it at most, seconds. Ahead of it as people are, after it
/// by the device's delay.
const TAP_SEARCH_S: (f64, f64) = (-0.15, 0.4);

/// What is listened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CalibrationMode {
    /// Clicks from the device's own loudspeaker: the sound [`ClickSound::Bright`], kind [`ClickKind::Beat`]. Gaps of at
    /// least 0.8 s, not all equal, so that another device that measures itself in the same room is not taken for this one.
    Loudspeaker,
    /// Taps on the microphone, each with a tick that the player hears; ticks at least 0.6 s apart. People tap ahead of a
    /// tick, by 10 to 80 ms (Repp 2005, from memory), so this is less exact: the delay comes out too short by that.
    Taps,
}

/// How a calibration came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CalibrationStatus {
    /// Good enough to time pulses by.
    Good,
    /// Sound is still awaited: too few ticks are over.
    Waiting,
    /// Nothing that was listened for: the loudspeaker is off or headphones are on; or nobody tapped.
    Nothing,
    /// Some were heard, but too few: too soft, or the room too loud.
    Few,
    /// They were heard, each at another delay: a wireless headset, or a device too busy to play in time; or an unsteady
    /// hand.
    Scattered,
}

impl CalibrationStatus {
    /// The word for it at the wasm door.
    pub fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Waiting => "waiting",
            Self::Nothing => "nothing",
            Self::Few => "few",
            Self::Scattered => "scattered",
        }
    }
}

/// What a calibration found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CalibrationResult {
    /// How it came out.
    pub status: CalibrationStatus,
    /// Median delay from tick to sound, ms; `None` where nothing was found.
    pub delay_ms: Option<f64>,
    /// Standard deviation of the delays, ms; `None` of fewer than two.
    pub scatter_ms: Option<f64>,
    /// Ticks whose sound was found.
    pub n: usize,
    /// Ticks that are over.
    pub n_ticks: usize,
}

/// Listens to a device that measures its own delay. It allocates as the recording grows.
pub struct Calibration {
    mode: CalibrationMode,
    sample_rate_hz: f64,
    n_samples: u64,
    /// Sample positions at which ticks were emitted.
    ticks: Vec<f64>,
    band: BandStream,
    taps: TapWatch,
}

impl Calibration {
    /// For a microphone of this sample rate, 8,000 to 192,000 Hz; others are taken as the nearest of these.
    pub fn new(sample_rate_hz: f64, mode: CalibrationMode) -> Self {
        let sample_rate_hz = if sample_rate_hz.is_finite() { sample_rate_hz.clamp(8e3, 192e3) } else { 48e3 };
        Self {
            mode,
            sample_rate_hz,
            n_samples: 0,
            ticks: Vec::new(),
            band: BandStream::new(sample_rate_hz, LONGEST_S),
            taps: TapWatch::new(sample_rate_hz),
        }
    }

    /// A tick left the device at this position, counted in samples of the microphone from the first one pushed; before or
    /// after that sample has come. Positions that are not finite are passed over.
    pub fn tick(&mut self, sample_position: f64) {
        if sample_position.is_finite() && self.ticks.len() < 100 {
            self.ticks.push(sample_position);
        }
    }

    /// Takes in samples, mono, full scale ±1.
    pub fn push(&mut self, samples: &[f32]) {
        for &sample in samples {
            if self.n_samples as f64 >= LONGEST_S * self.sample_rate_hz {
                return;
            }
            let sample = if sample.is_finite() { sample.clamp(-16.0, 16.0) } else { 0.0 };
            self.n_samples += 1;
            match self.mode {
                CalibrationMode::Loudspeaker => _ = self.band.push(sample),
                CalibrationMode::Taps => self.taps.push(sample),
            }
        }
    }

    /// What has been found so far. Costs a search over the whole recording.
    pub fn result(&self) -> CalibrationResult {
        match self.mode {
            CalibrationMode::Loudspeaker => self.of_clicks(),
            CalibrationMode::Taps => self.of_taps(),
        }
    }

    fn of_clicks(&self) -> CalibrationResult {
        let step = self.band.band().step as f64;
        let band_rate_hz = self.sample_rate_hz / step;
        let template = Template::new(ClickSound::Bright, ClickKind::Beat, self.sample_rate_hz);
        let len = ((SEARCH_S.1 - SEARCH_S.0 + 2.0 * CLICK_S) * band_rate_hz) as usize;
        let mut matcher = Matcher::new(len + 64, template.len(), self.sample_rate_hz);
        // Delay in seconds and likeness of each place, by tick.
        let mut found: Vec<Vec<(f64, f32)>> = Vec::new();
        for &tick in &self.ticks {
            let from = ((tick / self.sample_rate_hz + SEARCH_S.0) * band_rate_hz).max(0.0) as u64;
            let to =
                ((tick / self.sample_rate_hz + SEARCH_S.1 + 2.0 * CLICK_S) * band_rate_hz).max(0.0) as u64;
            if to > self.band.samples().end() {
                continue;
            }
            matcher.listen_to(self.band.samples().range(from, to));
            let mut places = [Place::default(); PLACES];
            let n = matcher.find(&template, 0..usize::MAX, &mut places);
            let good = places[..n].iter().filter(|p| p.likeness >= MAYBE);
            let delay_s = |p: &Place| ((from as f64 + p.at) * step - tick) / self.sample_rate_hz;
            found.push(good.map(|p| (delay_s(p), p.likeness)).collect());
        }
        let n_ticks = found.len();
        let mut delays_ms = at_one_delay(&found);
        if enough(delays_ms.len(), n_ticks, CLICKS_MIN, CLICK_SHARE) {
            return self.summed_up(&mut delays_ms, n_ticks, CLICK_SCATTER_MS);
        }
        // Not at one delay: those that are clicks by themselves.
        let best = found.iter().filter_map(|places| places.first());
        let mut sure_ms: Vec<f64> = best.filter(|p| p.1 >= SURE).map(|p| 1000.0 * p.0).collect();
        if enough(sure_ms.len(), n_ticks, CLICKS_MIN, CLICK_SHARE) {
            return self.summed_up(&mut sure_ms, n_ticks, CLICK_SCATTER_MS);
        }
        // Two that agree by chance are nothing.
        if delays_ms.len() < 3 {
            delays_ms.clear();
        }
        self.too_few(&mut delays_ms, n_ticks, CLICKS_MIN)
    }

    fn of_taps(&self) -> CalibrationResult {
        let heard_s = self.n_samples as f64 / self.sample_rate_hz;
        let over: Vec<f64> = self.ticks.iter().map(|tick| tick / self.sample_rate_hz).collect();
        let over: Vec<f64> = over.into_iter().filter(|tick_s| heard_s >= tick_s + TAP_SEARCH_S.1).collect();
        let mut delays_ms: Vec<f64> = over
            .iter()
            .filter_map(|tick_s| {
                let delays = self.taps.times_s().iter().map(|tap_s| tap_s - tick_s);
                let answers = delays.filter(|d| (TAP_SEARCH_S.0..TAP_SEARCH_S.1).contains(d));
                answers.min_by(|a, b| a.abs().total_cmp(&b.abs())).map(|d| 1000.0 * d)
            })
            .collect();
        if enough(delays_ms.len(), over.len(), TAPS_MIN, TAP_SHARE) {
            // A third may go astray: the rest says how steady the hand is.
            let middle = median(&mut delays_ms);
            let n = ((TAP_SHARE * over.len() as f64).ceil() as usize).max(TAPS_MIN);
            let mut steady = &mut delays_ms[..];
            while steady.len() > n {
                let last = steady.len() - 1;
                let first_is_further = middle - steady[0] > steady[last] - middle;
                steady = if first_is_further { &mut steady[1..] } else { &mut steady[..last] };
            }
            return self.summed_up(steady, over.len(), TAP_SCATTER_MS);
        }
        self.too_few(&mut delays_ms, over.len(), TAPS_MIN)
    }

    fn summed_up(&self, delays_ms: &mut [f64], n_ticks: usize, most_scatter_ms: f64) -> CalibrationResult {
        let scatter_ms = deviation(delays_ms);
        let is_good = scatter_ms.is_some_and(|ms| ms <= most_scatter_ms);
        CalibrationResult {
            status: if is_good { CalibrationStatus::Good } else { CalibrationStatus::Scattered },
            delay_ms: Some(median(delays_ms)),
            scatter_ms,
            n: delays_ms.len(),
            n_ticks,
        }
    }

    fn too_few(&self, delays_ms: &mut [f64], n_ticks: usize, needed: usize) -> CalibrationResult {
        let status = match delays_ms.len() {
            _ if n_ticks < needed => CalibrationStatus::Waiting,
            0 => CalibrationStatus::Nothing,
            _ => CalibrationStatus::Few,
        };
        CalibrationResult {
            status,
            delay_ms: (!delays_ms.is_empty()).then(|| median(delays_ms)),
            scatter_ms: deviation(delays_ms),
            n: delays_ms.len(),
            n_ticks,
        }
    }
}

fn enough(n: usize, of: usize, least: usize, share: f64) -> bool {
    n >= least && n as f64 >= share * of as f64
}

/// The delays, ms, of the largest group of clicks that have nearly the same; each click brings one at most.
fn at_one_delay(found: &[Vec<(f64, f32)>]) -> Vec<f64> {
    let group = |middle_s: f64| -> (f32, Vec<f64>) {
        let near = |places: &Vec<(f64, f32)>| {
            let near = places.iter().filter(|p| (p.0 - middle_s).abs() <= TOGETHER_S);
            near.copied().max_by(|a, b| a.1.total_cmp(&b.1))
        };
        let group: Vec<(f64, f32)> = found.iter().filter_map(near).collect();
        (group.iter().map(|p| p.1).sum(), group.iter().map(|p| 1000.0 * p.0).collect())
    };
    let groups = found.iter().flatten().map(|place| group(place.0));
    groups.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(Vec::new(), |(_, delays_ms)| delays_ms)
}

/// Median; of none it is nought. The values are in order afterwards.
fn median(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    match values.len() {
        0 => 0.0,
        n => (values[(n - 1) / 2] + values[n / 2]) / 2.0,
    }
}

/// Standard deviation of at least two values.
fn deviation(values: &[f64]) -> Option<f64> {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    (values.len() >= 2).then(|| (squares / (n - 1.0)).sqrt())
}
