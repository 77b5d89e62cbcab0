//! What a listener would say at a moment of an invented player's pulses: a reading, from those pulses that are certain by then. It is
//! told what sounds and knows no truth behind it. Pure.

use super::playing::hundredths;
use windrow_protocol::messages::{Hearing, Pulse, Reading};
use windrow_protocol::note::Note;
use windrow_protocol::units::{Cents, Decibels, Hertz, Micros, Ratio, Share};

/// A rhythm is looked for in the last seconds of a tone, as by the analysis.
const WINDOW_US: f64 = 4e6;
/// A rhythm is trusted after so many of its pulses (the analysis: 2.4 in the median).
const TRUSTED_AFTER_PULSES: f64 = 2.4;
/// A pulse is over after so many of the times between the last ones: then the tone is straight, or another rhythm has begun.
const OVER_AFTER: f64 = 1.9;
/// Intervals that differ by more than this ratio are two rhythms.
const ANOTHER_RHYTHM: f64 = 1.45;
/// A tone is certain after this.
const CERTAIN_TONE_US: f64 = 0.35e6;
/// Level of a medium loud tone and of a quiet room, dB re full scale: as the simulated sounds have them.
const TONE_DB: f64 = -17.0;
const ROOM_DB: f64 = -72.0;

/// What sounds at a moment.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sounding {
    /// Since when there is a tone; `None` in silence.
    pub(super) tone_us: Option<f64>,
    pub(super) note: Option<Note>,
    /// Pitch at the moment where the tone is straight.
    pub(super) cents: f64,
    /// Louder than a medium loud tone by this, dB.
    pub(super) louder_db: f64,
    /// Whether pulses are asked for, so that a tone without any yet may still get some.
    pub(super) wants_pulses: bool,
    /// Pitch of the last straight tone.
    pub(super) straight_reference_cents: Option<f64>,
}

/// The reading of a moment; `pulses` are those certain by then, in order.
pub(super) fn reading(seq: u32, now_us: f64, sounding: &Sounding, pulses: &[Pulse]) -> Option<Reading> {
    let silence = Reading {
        seq,
        time_us: Micros::clamped(now_us.round())?,
        hearing: Hearing::Silence,
        level_db: Decibels::clamped(ROOM_DB)?,
        note: None,
        cents: None,
        centre_cents: None,
        pulse_rate_hz: None,
        n_pulses: 0,
        depth_db_pp: None,
        swing_cents_pp: None,
        evenness_cv: None,
        drift_cents_per_10s: None,
        straight_reference_cents: None,
        choked_share: None,
        trust: share(0.0),
        trusted: false,
        capture: None,
    };
    let Some(tone_us) = sounding.tone_us else { return Some(silence) };
    let tone = Reading {
        hearing: Hearing::Unclear,
        level_db: Decibels::clamped(hundredths(TONE_DB + sounding.louder_db))?,
        note: sounding.note,
        straight_reference_cents: sounding.straight_reference_cents.and_then(cents),
        trust: share(0.3),
        ..silence
    };
    let rhythm = rhythm(now_us, tone_us, pulses);
    let (Some(first), Some(last)) = (rhythm.first(), rhythm.last()) else {
        return Some(straight(tone, now_us, tone_us, sounding));
    };
    let n = rhythm.len() - 1;
    if n == 0 {
        // One pulse is none yet; what has none soon after it is straight.
        let is_over = now_us - last.time_us.get() > 1.5e6;
        return Some(if is_over { straight(tone, now_us, tone_us, sounding) } else { tone });
    }
    let mean_us = (last.time_us.get() - first.time_us.get()) / n as f64;
    if now_us - last.time_us.get() > OVER_AFTER * mean_us + CERTAIN_TONE_US {
        return Some(straight(tone, now_us, tone_us, sounding));
    }
    let is_trusted = now_us - first.time_us.get() >= TRUSTED_AFTER_PULSES * mean_us;
    Some(pulsed(tone, rhythm, mean_us, is_trusted))
}

fn straight(tone: Reading, now_us: f64, tone_us: f64, sounding: &Sounding) -> Reading {
    let waits_us = if sounding.wants_pulses { 2.0 * CERTAIN_TONE_US } else { CERTAIN_TONE_US };
    if now_us - tone_us < waits_us {
        return tone;
    }
    Reading {
        hearing: Hearing::Straight,
        cents: cents(sounding.cents),
        centre_cents: cents(sounding.cents),
        trust: share(0.95),
        trusted: true,
        ..tone
    }
}

fn pulsed(tone: Reading, rhythm: &[Pulse], mean_us: f64, is_trusted: bool) -> Reading {
    let n = rhythm.len() - 1;
    let intervals_us: Vec<f64> =
        rhythm.windows(2).map(|pair| pair[1].time_us.get() - pair[0].time_us.get()).collect();
    let squares: f64 = intervals_us.iter().map(|us| (us - mean_us).powi(2)).sum();
    let evenness = (n >= 2).then(|| (squares / (n - 1) as f64).sqrt() / mean_us);
    let pitches: Vec<(f64, f64)> =
        rhythm.iter().filter_map(|p| Some((p.time_us.get(), p.mean_cents?.get()))).collect();
    let centre = mean(pitches.iter().map(|p| p.1));
    let n_choked = rhythm.iter().filter(|p| p.choked).count();
    Reading {
        hearing: Hearing::Pulsed,
        cents: rhythm.last().and_then(|p| p.mean_cents),
        centre_cents: centre.and_then(cents),
        pulse_rate_hz: Hertz::clamped((1e10 / mean_us).round() / 1e4),
        n_pulses: u16::try_from(n).unwrap_or(u16::MAX),
        depth_db_pp: middle(rhythm.iter().map(|p| p.depth_db.get())).and_then(Decibels::clamped),
        swing_cents_pp: middle(rhythm.iter().map(|p| p.swing_cents.get())).and_then(cents),
        evenness_cv: evenness.and_then(|cv| Ratio::clamped((cv * 1e4).round() / 1e4)),
        drift_cents_per_10s: slope(&pitches).and_then(|per_us| cents(per_us * 1e7)),
        choked_share: Some(share(n_choked as f64 / rhythm.len() as f64)),
        trust: share(if is_trusted { 0.9 } else { 0.3 }),
        trusted: is_trusted,
        ..tone
    }
}

/// The last pulses of a tone that are one rhythm.
fn rhythm(now_us: f64, tone_us: f64, pulses: &[Pulse]) -> &[Pulse] {
    let from_us = tone_us.max(now_us - WINDOW_US);
    let from = pulses.partition_point(|p| p.time_us.get() < from_us);
    let pulses = &pulses[from..];
    let interval_us = |i: usize| pulses[i + 1].time_us.get() - pulses[i].time_us.get();
    let mut first = pulses.len().saturating_sub(1);
    while first > 0 {
        let so_far = pulses.len() - 1 - first;
        let mean_us = (so_far > 0)
            .then(|| (pulses[pulses.len() - 1].time_us.get() - pulses[first].time_us.get()) / so_far as f64);
        let next_us = interval_us(first - 1);
        if mean_us.is_some_and(|us| next_us > us * ANOTHER_RHYTHM || next_us * ANOTHER_RHYTHM < us) {
            break;
        }
        first -= 1;
    }
    &pulses[first..]
}

fn cents(value: f64) -> Option<Cents> {
    Cents::clamped(hundredths(value))
}

fn share(value: f64) -> Share {
    Share::clamped((value * 1e3).round() / 1e3).expect("a number")
}

pub(super) fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, n) = values.fold((0.0, 0.0), |(sum, n), value| (sum + value, n + 1.0));
    (n > 0.0).then(|| sum / n)
}

pub(super) fn middle(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut values: Vec<f64> = values.collect();
    values.sort_unstable_by(f64::total_cmp);
    let n = values.len();
    (n > 0).then(|| (values[(n - 1) / 2] + values[n / 2]) / 2.0)
}

/// Least-squares slope; `None` under four points.
fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len() as f64;
    let mean_x = mean(points.iter().map(|p| p.0))?;
    let mean_y = mean(points.iter().map(|p| p.1))?;
    let (xy, xx) = points
        .iter()
        .fold((0.0, 0.0), |(xy, xx), (x, y)| (xy + (x - mean_x) * (y - mean_y), xx + (x - mean_x).powi(2)));
    (n >= 4.0 && xx > 0.0).then(|| xy / xx)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TONE: Sounding = Sounding {
        tone_us: Some(0.0),
        note: None,
        cents: 3.0,
        louder_db: 0.0,
        wants_pulses: true,
        straight_reference_cents: None,
    };

    fn pulses(times_s: &[f64]) -> Vec<Pulse> {
        let pulse = |&time_s: &f64| Pulse {
            time_us: Micros::new(1e6 * time_s).unwrap(),
            depth_db: Decibels::new(6.0).unwrap(),
            swing_cents: Cents::new(12.0).unwrap(),
            mean_cents: Cents::new(2.0 * time_s).ok(),
            choked: time_s > 2.1,
        };
        times_s.iter().map(pulse).collect()
    }

    fn at(now_s: f64, times_s: &[f64]) -> Reading {
        reading(1, 1e6 * now_s, &TONE, &pulses(times_s)).unwrap()
    }

    #[test]
    fn a_rhythm_is_a_count_over_time_and_trusted_after_some_pulses() {
        assert!(!at(1.0, &[0.5, 0.75]).trusted);
        let said = at(2.6, &[0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.25]);
        assert!(said.trusted && said.hearing == Hearing::Pulsed);
        assert_eq!((said.pulse_rate_hz.unwrap().get(), said.n_pulses), (4.0, 7));
        assert_eq!((said.evenness_cv.unwrap().get(), said.depth_db_pp.unwrap().get()), (0.0, 6.0));
        // Two cents a second; one of eight is broken.
        assert_eq!(
            (said.drift_cents_per_10s.unwrap().get(), said.choked_share.unwrap().get()),
            (20.0, 0.125)
        );
    }

    #[test]
    fn another_subdivision_begins_another_rhythm() {
        let said = at(2.8, &[0.5, 1.0, 1.5, 1.75, 2.0, 2.25, 2.5]);
        assert_eq!((said.pulse_rate_hz.unwrap().get(), said.n_pulses), (4.0, 4));
    }

    #[test]
    fn without_pulses_a_tone_is_straight_after_a_while_and_without_a_tone_there_is_silence() {
        assert_eq!(at(0.5, &[]).hearing, Hearing::Unclear);
        let said = at(1.0, &[]);
        assert!(said.trusted && said.hearing == Hearing::Straight && said.centre_cents.unwrap().get() == 3.0);
        assert_eq!(at(4.5, &[0.5, 0.75, 1.0, 1.25]).hearing, Hearing::Straight);
        let silent = reading(1, 1e6, &Sounding { tone_us: None, ..TONE }, &[]).unwrap();
        assert_eq!((silent.hearing, silent.trusted), (Hearing::Silence, false));
    }
}
