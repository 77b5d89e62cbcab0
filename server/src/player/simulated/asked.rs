//! What the music asks of one player at one beat: how far apart pulses lie, how loud it is, how much vibrato, where phrases
//! end. Pure; knows the score alone and no sound.

use windrow_protocol::score::{Dynamic, PerBeat, Span, Target};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::Beats;

pub(crate) use super::super::habit::Follows;

/// Everyone breathes in the last beat of each phrase of so many bars, and begins anew.
const PHRASE_BARS: f64 = 12.0;
/// Pulses a second where the score leaves them free: the middle of what listeners like (common practice, no source).
const FREE_RATE_HZ: f64 = 4.5;
/// The same in a hairpin, at pianissimo and at fortissimo, and the vibrato's share of its usual size there: our own choice.
const HAIRPIN_RATES_HZ: (f64, f64) = (4.0, 6.0);
const HAIRPIN_SHARES: (f64, f64) = (0.6, 1.4);
/// From one dynamic mark to the next, dB; our own choice.
const DB_PER_MARK: f64 = 4.0;
/// A beat that is this near to the next span belongs to it: positions carry rounding.
const NEARLY: f64 = 1e-6;

/// One beat of the music.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked<'a> {
    pub(crate) span: Option<&'a Span>,
    /// First beat of the span.
    span_start: f64,
    /// How much of the span has been played, 0 to 1; 0 where it goes on without end.
    share: f64,
}

impl<'a> Asked<'a> {
    /// At a beat; before the music as at its first, past its end nothing.
    pub(crate) fn at(music: &'a Timeline, beat: f64) -> Self {
        let beat = (beat + NEARLY).max(0.0);
        let Some(span_idx) = music.span_index_at(beat) else {
            return Self { span: None, span_start: 0.0, share: 0.0 };
        };
        let span = &music.score().spans[span_idx];
        let span_start = music.span_start(span_idx).unwrap_or(0.0);
        let length = span.length_beats.map(Beats::get).filter(|&length| length > 0.0);
        let share = length.map_or(0.0, |length| ((beat - span_start) / length).clamp(0.0, 1.0));
        Self { span: Some(span), span_start, share }
    }

    pub(crate) fn target(&self) -> Option<Target> {
        self.span.map(|span| span.target)
    }

    /// Whether the measure is felt, not kept.
    pub(crate) fn is_loose(&self) -> bool {
        self.span.is_some_and(|span| span.loosely)
    }

    /// Beats from one pulse to the next; of a tone without pulses, a beat.
    pub(crate) fn step(&self, follows: Follows) -> f64 {
        match self.span {
            Some(Span { target: Target::Pulses { per_beat }, .. }) => 1.0 / beats_of(*per_beat),
            Some(span @ Span { target: Target::Free, .. }) => {
                let hairpin = self.hairpin().filter(|_| follows == Follows::TheMusic);
                let rate_hz = hairpin.map_or(FREE_RATE_HZ, |loudness| between(HAIRPIN_RATES_HZ, loudness));
                span.bpm_after(self.share * span.length_beats.map_or(0.0, Beats::get)) / 60.0 / rate_hz
            }
            _ => 1.0,
        }
    }

    /// The tick after a beat of this span, ticks being `step` beats apart.
    pub(crate) fn next_tick(&self, beat: f64, step: f64) -> f64 {
        self.span_start + (((beat - self.span_start) / step + NEARLY).floor() + 1.0) * step
    }

    /// How much of the usual vibrato is asked for: less while it grows or fades. A hairpin that says nothing of that has less
    /// where it is soft and more where it is loud.
    pub(crate) fn vibrato(&self, follows: Follows) -> f64 {
        if follows == Follows::Nothing {
            return 1.0;
        }
        let eased = self.span.and_then(|span| span.ease).map(|ease| f64::from(ease.at(self.share)));
        let swelled = || self.hairpin().map(|loudness| between(HAIRPIN_SHARES, loudness));
        eased.or_else(swelled).unwrap_or(1.0)
    }

    /// Level against mezzo-forte, dB.
    pub(crate) fn level_db(&self) -> f64 {
        self.mark().map_or(0.0, |mark| DB_PER_MARK * (mark - f64::from(Dynamic::Mf as u8)))
    }

    /// Where dynamics change on the way: how loud it is, 0 at pianissimo to 1 at fortissimo.
    fn hairpin(&self) -> Option<f64> {
        let changes = self.span.and_then(|span| span.dynamics).is_some_and(|d| d.from != d.to);
        self.mark().filter(|_| changes).map(|mark| mark / f64::from(Dynamic::Ff as u8))
    }

    /// The dynamic mark as a number, pianissimo being 0, with what lies between two.
    fn mark(&self) -> Option<f64> {
        let dynamics = self.span.and_then(|span| span.dynamics)?;
        Some(between((f64::from(dynamics.from as u8), f64::from(dynamics.to as u8)), self.share))
    }
}

fn beats_of(per_beat: PerBeat) -> f64 {
    f64::from(per_beat.get())
}

fn between((from, to): (f64, f64), share: f64) -> f64 {
    from + (to - from) * share
}

/// Beats of a phrase.
pub(crate) fn phrase_beats(music: &Timeline) -> f64 {
    PHRASE_BARS * f64::from(music.score().beats_per_bar)
}

/// Beats since the phrase began; phrases are counted from the exercise's first bar.
pub(crate) fn beat_in_phrase(music: &Timeline, beat: f64) -> f64 {
    let bars = f64::from(music.bar_at(beat) - 1);
    let since_the_first = bars * f64::from(music.score().beats_per_bar) + beat - music.bar_line_at(beat);
    since_the_first.rem_euclid(phrase_beats(music))
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::{Dynamics, Ease, Score, TickFrom};
    use windrow_protocol::units::{Bpm, Micros, Share};

    /// Eight beats at 60, from a quarter of the vibrato to all of it or from piano to forte, and eight without end.
    fn music(change: impl Fn(&mut Span)) -> Timeline {
        let free = Span::new(Bpm::new(60.0).unwrap(), Target::Free);
        let mut first = free.clone().lasting(Beats::new(8.0).unwrap());
        change(&mut first);
        let (start_us, tick) = (Micros::new(0.0).unwrap(), TickFrom::Nobody);
        Timeline::new(Score { version: 1, start_us, beats_per_bar: 4, tick, spans: vec![first, free] })
            .unwrap()
    }

    fn check(music: &Timeline, beat: f64, follows: Follows, expected: (f64, f64, f64)) {
        let asked = Asked::at(music, beat);
        let found = (1.0 / asked.step(follows), asked.vibrato(follows), asked.level_db());
        for (found, expected) in [(found.0, expected.0), (found.1, expected.1), (found.2, expected.2)] {
            assert!((found - expected).abs() < 1e-4, "beat {beat}: {found} instead of {expected}");
        }
    }

    #[test]
    fn a_free_hairpin_is_followed_in_rate_size_and_level() {
        let swelling = music(|span| span.dynamics = Some(Dynamics { from: Dynamic::P, to: Dynamic::F }));
        // Of the five steps from pp to ff, p is the first and f the fourth; mf, the third, is the level's nought.
        check(&swelling, 0.0, Follows::TheMusic, (4.4, 0.76, -8.0));
        check(&swelling, 4.0, Follows::TheMusic, (5.0, 1.0, -2.0));
        check(&swelling, 7.999_99, Follows::TheMusic, (5.6, 1.24, 4.0));
        check(&swelling, 9.0, Follows::TheMusic, (4.5, 1.0, 0.0));
        check(&swelling, 7.999_99, Follows::Nothing, (4.5, 1.0, 4.0));
    }

    #[test]
    fn vibrato_grows_as_far_as_it_is_asked_to() {
        let share = |value| Share::new(value).unwrap();
        let growing = music(|span| span.ease = Some(Ease { from: share(0.25), to: share(1.0) }));
        check(&growing, 0.0, Follows::TheMusic, (4.5, 0.25, 0.0));
        check(&growing, 4.0, Follows::TheMusic, (4.5, 0.625, 0.0));
        check(&growing, 0.0, Follows::Nothing, (4.5, 1.0, 0.0));
        check(&growing, 9.0, Follows::TheMusic, (4.5, 1.0, 0.0));
    }
}
