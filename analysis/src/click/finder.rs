//! How late ticks come to a microphone: the delays at which clicks are heard again and again. It says what it found only
//! when several ticks agree, and never guesses where ticks come so fast that one could be taken for another. Knows
//! samples and ticks, no scores.

use super::band::Band;
use super::matching::{Matcher, Place, Template};
use super::sound::{CLICK_S, ClickKind, ClickSound};
use crate::framing::History;
use rustfft::num_complex::Complex32;

/// Delays that are looked for, seconds. A device's own sound comes 30 to 300 ms late, or early where it claims more delay
/// than it has.
const SEARCH_S: (f64, f64) = (-0.1, 0.4);
/// A tick tells delays for certain only if no other of its sound is nearer than this, seconds.
const ALONE_S: f64 = 0.52;
/// How far a known delay is looked for again, seconds, and how much sound around it is taken for whitening.
const TRACK_S: f64 = 0.003;
const TRACK_AROUND_S: f64 = 0.015;
/// Share of a difference that is taken over at once.
const FOLLOW: f64 = 0.5;
/// Places kept of each look, and looks.
const PLACES: usize = 4;
const LOOKS: usize = 16;
/// A place counts from this likeness on; noise reaches it within the time below about once in ten thousand looks,
const MAYBE: f32 = 0.3;
/// and a delay is known when so many of the last looks agree within this time, seconds, with this likeness in the mean,
/// and at least one of them is at a tick that stands alone: where ticks come fast, the others agree just as well on the
/// distance to the next.
const AGREE: usize = 3;
const AGREE_S: f64 = 0.0015;
const AGREE_LIKENESS: f32 = 0.4;
/// Two delays are two only if further apart than this, seconds; nearer ones are hidden together.
const APART_S: f64 = 0.004;
/// Looks at all delays: one tick in so many, and still fewer while a known delay is heard. Each of so many at first, and of
/// so many when a known delay has not been heard at so many beats, as when headphones are put on.
const SELDOM: u32 = 8;
const SELDOM_WHILE_HEARD: u32 = 24;
const EAGER_AT_FIRST: u32 = 24;
const EAGER_AGAIN: u32 = 8;
const UNHEARD: u32 = 4;
/// Ticks that do not stand alone need not be looked for more often than this, seconds.
const LOOK_EVERY_S: f64 = 0.25;
/// Ticks are not heard while somebody plays loudly, so this says little; but a place is heard from this likeness on.
const HEARD: f32 = 0.2;

/// A tick, in samples of the stream.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Emitted {
    pub(crate) position: f64,
    pub(crate) kind: ClickKind,
}

impl Emitted {
    fn template(self) -> usize {
        template_of(self.kind)
    }
}

/// Bars have a sound of their own; all other ticks have the beats'.
fn template_of(kind: ClickKind) -> usize {
    usize::from(kind != ClickKind::Bar)
}

fn number_of(sound: ClickSound) -> usize {
    usize::from(sound == ClickSound::ALL[1])
}

/// A way from some loudspeaker to the microphone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClickPath {
    /// From the tick to its sound, ms.
    pub delay_ms: f64,
    /// Which sound it is.
    pub sound: ClickSound,
    /// Level of the last click heard, RMS over its length, dB re full scale; too high while others play louder.
    pub level_db: f64,
    unheard: u32,
}

#[derive(Debug, Clone, Copy, Default)]
struct Look {
    is_alone: bool,
    /// Delays, seconds, and likeness, by sound.
    found: [[(f64, f32); PLACES]; 2],
}

/// Most ways that are followed: the device's own, and the conductor's loudspeaker.
pub(crate) const PATHS: usize = 2;

/// Finds and follows delays. Allocates nothing after its construction.
pub(crate) struct Finder {
    sample_rate_hz: f64,
    step: f64,
    matcher: Matcher,
    /// By sound, then bar and beat.
    templates: [[Template; 2]; 2],
    looks: [Look; LOOKS],
    n_looks: u32,
    /// Looks at each tick that are left.
    eager: u32,
    /// Ticks that could have been looked for since the last look.
    passed: u32,
    /// Before this no tick needs to be looked for again unless it stands alone.
    looked_until: f64,
    paths: [Option<ClickPath>; PATHS],
}

impl Finder {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        let step = Band::new(sample_rate_hz).step as f64;
        let of = |sound, kind| Template::new(sound, kind, sample_rate_hz);
        let templates = ClickSound::ALL.map(|s| [of(s, ClickKind::Bar), of(s, ClickKind::Beat)]);
        let longest = (SEARCH_S.1 - SEARCH_S.0 + 3.0 * CLICK_S) * sample_rate_hz / step;
        Self {
            sample_rate_hz,
            step,
            matcher: Matcher::new(longest as usize + 2, templates[0][0].len(), sample_rate_hz),
            templates,
            looks: [Look::default(); LOOKS],
            n_looks: 0,
            eager: EAGER_AT_FIRST,
            passed: 0,
            looked_until: f64::NEG_INFINITY,
            paths: [None; PATHS],
        }
    }

    /// The delays that are known.
    pub(crate) fn paths(&self) -> &[Option<ClickPath>; PATHS] {
        &self.paths
    }

    /// A click as the band has it.
    pub(crate) fn template(&self, sound: ClickSound, kind: ClickKind) -> &Template {
        &self.templates[number_of(sound)][template_of(kind)]
    }

    /// Positions are counted anew from the next sample; what is known stays.
    pub(crate) fn restart(&mut self) {
        self.looked_until = f64::NEG_INFINITY;
    }

    /// The number of the band's sample that must be there before a tick can be looked for at all delays.
    pub(crate) fn complete_at(&self, tick: Emitted) -> u64 {
        ((tick.position + (SEARCH_S.1 + 2.0 * CLICK_S) * self.sample_rate_hz) / self.step).max(0.0) as u64
    }

    /// Looks for a tick at all delays, if it is worth it; `others` are those around it.
    pub(crate) fn look(
        &mut self,
        tick: Emitted,
        others: impl Iterator<Item = Emitted>,
        band: &History<Complex32>,
    ) {
        let near = |other: Emitted| {
            let apart_s = (other.position - tick.position).abs() / self.sample_rate_hz;
            other.template() == tick.template() && apart_s > 1e-6 && apart_s < ALONE_S
        };
        let mut others = others;
        let is_alone = !others.any(near);
        if !is_alone && tick.position < self.looked_until {
            return;
        }
        self.passed += 1;
        let is_settled = self.paths.iter().flatten().any(|path| path.unheard < UNHEARD);
        let is_eager = !is_settled && self.eager > 0;
        if !is_eager && self.passed < if is_settled { SELDOM_WHILE_HEARD } else { SELDOM } {
            return;
        }
        self.eager -= u32::from(is_eager);
        self.passed = 0;
        self.looked_until = tick.position + LOOK_EVERY_S * self.sample_rate_hz;
        let from = ((tick.position + SEARCH_S.0 * self.sample_rate_hz) / self.step).max(0.0) as u64;
        let stretch = band.range(from, self.complete_at(tick));
        if stretch.is_empty() {
            return;
        }
        self.matcher.listen_to(stretch);
        let mut look = Look { is_alone, ..Look::default() };
        for sound in 0..ClickSound::ALL.len() {
            let mut places = [Place::default(); PLACES];
            let n = self.matcher.find(&self.templates[sound][tick.template()], 0..usize::MAX, &mut places);
            for (found, place) in look.found[sound].iter_mut().zip(&places[..n]) {
                let delay = (from as f64 + place.at) * self.step - tick.position;
                *found = (delay / self.sample_rate_hz, place.likeness);
            }
        }
        self.looks[self.n_looks as usize % LOOKS] = look;
        self.n_looks += 1;
        for sound in 0..ClickSound::ALL.len() {
            for (delay_s, likeness) in look.found[sound] {
                if likeness >= MAYBE && self.agreed(sound, delay_s) {
                    self.take(sound, delay_s);
                }
            }
        }
    }

    /// Whether enough of the last looks found this delay.
    fn agreed(&self, sound: usize, delay_s: f64) -> bool {
        let (mut n, mut sum, mut is_certain) = (0, 0.0, false);
        for look in &self.looks {
            let near = look.found[sound].iter().filter(|found| (found.0 - delay_s).abs() <= AGREE_S);
            let best = near.map(|found| found.1).fold(0f32, f32::max);
            if best >= MAYBE {
                n += 1;
                sum += best;
                is_certain |= look.is_alone;
            }
        }
        is_certain && n >= AGREE && sum >= AGREE_LIKENESS * n as f32
    }

    fn take(&mut self, sound: usize, delay_s: f64) {
        let is_known =
            |path: &Option<ClickPath>| path.is_some_and(|p| (p.delay_ms / 1000.0 - delay_s).abs() < APART_S);
        if self.paths.iter().any(is_known) {
            return;
        }
        let found = ClickPath {
            delay_ms: 1000.0 * delay_s,
            sound: ClickSound::ALL[sound],
            level_db: f64::NEG_INFINITY,
            unheard: 0,
        };
        let is_free = |path: &Option<ClickPath>| path.is_none_or(|p| p.unheard >= UNHEARD);
        if let Some(place) = self.paths.iter_mut().find(|path| is_free(path)) {
            *place = Some(found);
        }
    }

    /// Looks for a tick where it is known to come on one way; the band must reach over the click.
    pub(crate) fn follow(&mut self, path_idx: usize, tick: Emitted, band: &History<Complex32>) {
        let Some(mut path) = self.paths[path_idx] else { return };
        let template = &self.templates[number_of(path.sound)][tick.template()];
        let at = (tick.position + path.delay_ms / 1000.0 * self.sample_rate_hz) / self.step;
        let around = TRACK_AROUND_S * self.sample_rate_hz / self.step;
        let from = (at - around).max(0.0) as u64;
        let to = (at as u64 + template.len() as u64 + around as u64).min(band.end());
        let stretch = band.range(from, to);
        if stretch.is_empty() {
            return;
        }
        self.matcher.listen_to(stretch);
        let mut places = [Place::default(); PLACES];
        let reach = TRACK_S * self.sample_rate_hz / self.step;
        let lags = (at - reach - from as f64).max(0.0) as usize..(at + reach - from as f64) as usize + 2;
        let n = self.matcher.find(template, lags, &mut places);
        let near = |p: &&Place| (from as f64 + p.at - at).abs() * self.step <= TRACK_S * self.sample_rate_hz;
        match places[..n].iter().find(near).filter(|p| p.likeness >= HEARD) {
            Some(place) => {
                let error_ms = (from as f64 + place.at - at) * self.step / self.sample_rate_hz * 1000.0;
                path.delay_ms += FOLLOW * error_ms;
                path.unheard = 0;
                path.level_db = template.level_db(&stretch[(place.at.round() as usize).min(stretch.len())..]);
            }
            None => {
                path.unheard = path.unheard.saturating_add(1);
                if path.unheard == UNHEARD {
                    self.eager = EAGER_AGAIN;
                }
            }
        }
        self.paths[path_idx] = Some(path);
    }
}
