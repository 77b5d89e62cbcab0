//! How a simulated player plays: what is wrong with the pulses, as numbers. Only the sound is made from it; it never
//! goes over a socket.

use windrow_protocol::judge::{Asked, Bands, Evidence, State, judge};
use windrow_protocol::score::{Span, Target};

/// A way of playing vibrato.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Habit {
    /// With the beat, deep enough, in tune.
    Matched,
    /// More pulses than asked for.
    Fast,
    /// Fewer pulses than asked for.
    Slow,
    /// The pitch rises while vibrating.
    DriftingSharp,
    /// Pulses too small to be heard in a hall.
    Shallow,
    /// The air stops in the valleys.
    ChokedValleys,
    /// The jaw moves the pitch instead of the air.
    PitchLed,
    /// After the tick.
    Late,
    /// The same vibrato whatever is asked for: there at once where it should grow, no larger in a crescendo.
    Unvarying,
}

/// What a player does where the music asks vibrato to grow and to fade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Follows {
    /// As it is written.
    TheMusic,
    /// It is always there, and always the same.
    Nothing,
}

/// The numbers of a habit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Manner {
    /// Pulses played for each one asked for.
    pub(super) rate_ratio: f64,
    /// Peak over valley, dB.
    pub(super) depth_db: f64,
    /// Excursion of the pitch, cents peak to peak.
    pub(super) swing_cents: f64,
    /// Whether the pitch only falls from the note, as with the jaw, instead of going to both sides.
    pub(super) falls_only: bool,
    /// Valleys lower than this below the peak are silent, dB.
    pub(super) breaks_below_db: f64,
    /// After the tick, ms, and never more than this share of the time between ticks: at half of it, late would be early.
    pub(super) late_ms: f64,
    pub(super) late_of_period: f64,
    /// Rise of the pitch while vibrating, cents a second, and where it ends.
    pub(super) drift_cents_per_s: f64,
    pub(super) drift_up_to_cents: f64,
    /// Where vibrato is to grow and to fade.
    pub(super) follows: Follows,
}

/// A good student vibrato: 6 dB, a little pitch with it.
const GOOD: Manner = Manner {
    rate_ratio: 1.0,
    depth_db: 6.5,
    swing_cents: 12.0,
    falls_only: false,
    breaks_below_db: f64::INFINITY,
    late_ms: 0.0,
    late_of_period: 0.0,
    drift_cents_per_s: 0.0,
    drift_up_to_cents: 0.0,
    follows: Follows::TheMusic,
};

impl Habit {
    /// The state a listener with perfect ears finds, longest of all, in an exercise of these spans that is judged by these
    /// bands: who is late is matched where nothing measures the pulses, and whoever plays a straight tone straight. A span
    /// without end counts as `open_beats`. Of two that take as long the fault is told.
    pub fn intended_in(self, spans: &[Span], bands: &Bands, open_beats: f64) -> State {
        let mut times: Vec<(State, f64)> = Vec::new();
        for span in spans.iter().filter(|span| span.target.sounds()) {
            let state = self.intended_at(span, bands);
            let seconds = 60.0 / span.bpm.get() * span.length_beats.map_or(open_beats, |l| l.get());
            match times.iter_mut().find(|(known, _)| *known == state) {
                Some((_, sum)) => *sum += seconds,
                None => times.push((state, seconds)),
            }
        }
        let longest = times.into_iter().max_by(|(a, a_s), (b, b_s)| {
            a_s.total_cmp(b_s).then((*a != State::Matched).cmp(&(*b != State::Matched)))
        });
        longest.map_or(State::Resting, |(state, _)| state)
    }

    /// The same in one span, from the numbers of the habit.
    fn intended_at(self, span: &Span, bands: &Bands) -> State {
        let m = self.manner();
        let asked = Asked::of(span, span.bpm.get());
        // Where vibrato is to grow or to fade, half-way.
        let eased = span.ease.map_or(1.0, |ease| (f64::from(ease.from) + f64::from(ease.to)) / 2.0);
        let share = if m.follows == Follows::TheMusic { eased } else { 1.0 };
        let pulsed = matches!(span.target, Target::Pulses { .. } | Target::Free);
        let evidence = Evidence {
            present: true,
            heard: true,
            trusted: true,
            pulsed,
            n_pulses: u16::MAX,
            pulse_rate_hz: asked.pulse_rate_hz.map(|hz| m.rate_ratio * hz),
            depth_db: Some(share * m.depth_db),
            swing_cents: Some(share * m.swing_cents),
            choked_share: Some(if share * m.depth_db > m.breaks_below_db { 1.0 } else { 0.0 }),
            timing_ms: asked.pulse_rate_hz.map(|hz| m.late_ms.min(1000.0 * m.late_of_period / hz)),
            // Of the pulses nothing is left in a straight tone.
            drift_cents_per_10s: Some(10.0 * m.drift_cents_per_s).filter(|_| pulsed),
            ..Evidence::default()
        };
        judge(&evidence, &asked, bands)
    }

    /// The state a listener should find where pulses are measured. Vibrato that does not grow is no fault of the moment: what became of an ease or a
    /// hairpin is told afterwards.
    pub fn intended(self) -> State {
        match self {
            Habit::Matched | Habit::Unvarying => State::Matched,
            Habit::Fast => State::Fast,
            Habit::Slow => State::Slow,
            Habit::DriftingSharp => State::DriftingSharp,
            Habit::Shallow => State::Shallow,
            Habit::ChokedValleys => State::ChokedValleys,
            Habit::PitchLed => State::PitchLed,
            Habit::Late => State::Late,
        }
    }

    /// Each lies well beyond the default bands, and within what players do.
    pub(super) fn manner(self) -> Manner {
        match self {
            Habit::Matched => GOOD,
            Habit::Fast => Manner { rate_ratio: 1.09, ..GOOD },
            Habit::Slow => Manner { rate_ratio: 0.91, ..GOOD },
            // Just over a quarter tone, where a player would notice at last.
            Habit::DriftingSharp => Manner { drift_cents_per_s: 1.4, drift_up_to_cents: 56.0, ..GOOD },
            Habit::Shallow => Manner { depth_db: 1.8, swing_cents: 6.0, ..GOOD },
            Habit::ChokedValleys => Manner { depth_db: 36.0, breaks_below_db: 30.0, ..GOOD },
            Habit::PitchLed => Manner { depth_db: 1.5, swing_cents: 60.0, falls_only: true, ..GOOD },
            Habit::Late => Manner { late_ms: 90.0, late_of_period: 0.3, ..GOOD },
            Habit::Unvarying => Manner { follows: Follows::Nothing, ..GOOD },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::{Ease, PerBeat};
    use windrow_protocol::units::{Beats, Bpm, Share};

    const ALL: [Habit; 9] = [
        Habit::Matched,
        Habit::Fast,
        Habit::Slow,
        Habit::DriftingSharp,
        Habit::Shallow,
        Habit::ChokedValleys,
        Habit::PitchLed,
        Habit::Late,
        Habit::Unvarying,
    ];

    fn span(target: Target, beats: f64) -> Span {
        Span::new(Bpm::new(72.0).unwrap(), target).lasting(Beats::new(beats).unwrap())
    }

    fn pulses(per_beat: u8) -> Target {
        Target::Pulses { per_beat: PerBeat::new(per_beat).unwrap() }
    }

    #[test]
    fn what_is_wrong_depends_on_what_is_asked() {
        let intended = |spans: &[Span]| ALL.map(|habit| habit.intended_in(spans, &Bands::default(), 32.0));
        let by_habit = ALL.map(Habit::intended);
        for per_beat in [1, 2, 3, 4, 6] {
            assert_eq!(intended(&[span(pulses(per_beat), 16.0)]), by_habit, "{per_beat} to the beat");
        }
        assert_eq!(intended(&[span(Target::Straight, 16.0)]), [State::Matched; 9]);
        assert_eq!(intended(&[span(Target::Rest, 16.0)]), [State::Resting; 9]);
        // Nothing measures a free vibrato, but everything else is heard in it.
        let unmeasured = by_habit.map(|state| match state {
            State::Fast | State::Slow | State::Late => State::Matched,
            other => other,
        });
        assert_eq!(intended(&[span(Target::Free, 16.0)]), unmeasured);
    }

    #[test]
    fn what_takes_longest_is_told_and_of_equals_the_fault() {
        let fast = |straight_beats, pulsed_beats| {
            let spans = [span(Target::Straight, straight_beats), span(pulses(3), pulsed_beats)];
            Habit::Fast.intended_in(&spans, &Bands::default(), 32.0)
        };
        assert_eq!(
            (fast(9.0, 8.0), fast(8.0, 9.0), fast(8.0, 8.0)),
            (State::Matched, State::Fast, State::Fast)
        );
    }

    #[test]
    fn who_is_to_begin_softly_is_not_shallow_and_a_felt_measure_is_not_late() {
        let share = |value| Share::new(value).unwrap();
        let growing = Span { ease: Some(Ease { from: share(0.0), to: share(1.0) }), ..span(pulses(3), 8.0) };
        let felt = Span { loosely: true, ..span(pulses(3), 8.0) };
        let intended = |habit: Habit, span: &Span| {
            habit.intended_in(std::slice::from_ref(span), &Bands::default(), 32.0)
        };
        assert_eq!(intended(Habit::Shallow, &growing), State::Matched);
        assert_eq!(intended(Habit::PitchLed, &growing), State::Matched, "half of 60 cents is not over 30");
        assert_eq!(intended(Habit::Fast, &growing), State::Fast);
        assert_eq!(intended(Habit::Late, &felt), State::Matched);
    }

    #[test]
    fn wider_bands_forgive() {
        let spans = [span(pulses(2), 16.0)];
        let wide = Bands { rate_share: 0.1, timing_ms: 120.0, timing_of_period: 0.5, ..Bands::default() };
        assert_eq!(Habit::Fast.intended_in(&spans, &wide, 32.0), State::Matched);
        assert_eq!(Habit::Late.intended_in(&spans, &wide, 32.0), State::Matched);
        assert_eq!(Habit::Shallow.intended_in(&spans, &wide, 32.0), State::Shallow);
    }
}
