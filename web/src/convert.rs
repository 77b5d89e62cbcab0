//! From the analyser's numbers to the protocol's checked quantities, field by field. Out-of-range values are brought to
//! the nearest one allowed, values that are not numbers are left out. Must not know sound, sockets or the score.

use crate::asked_note::{AskedNote, Off};
use windrow_analysis as heard;
use windrow_protocol::messages::{Capture, Hearing, Pulse, Reading};
use windrow_protocol::note::Note;
use windrow_protocol::units::{Cents, Decibels, Hertz, Micros, Ratio, Share};

/// A reading as a message, with its place in the count and the server time it speaks for. Cents count from where the tuning
/// wants the note.
pub(crate) fn reading(from: &heard::Reading, off: Off, seq: u32, time_us: f64) -> Option<Reading> {
    let from_wanted = |midi_cents: f64| cents(midi_cents - off.now_cents);
    Some(Reading {
        seq,
        time_us: micros(time_us)?,
        hearing: match from.hearing {
            heard::Hearing::Silence => Hearing::Silence,
            heard::Hearing::Unclear => Hearing::Unclear,
            heard::Hearing::Straight => Hearing::Straight,
            heard::Hearing::Pulsed => Hearing::Pulsed,
        },
        level_db: decibels(from.level_db).unwrap_or(silent()),
        note: from.note_midi.and_then(|midi| Note::from_midi(i32::from(midi))),
        cents: from.cents.and_then(from_wanted),
        centre_cents: from.centre_cents.and_then(from_wanted),
        pulse_rate_hz: from.pulse_rate_hz.and_then(hertz),
        n_pulses: from.n_pulses,
        depth_db_pp: from.depth_db_pp.and_then(decibels),
        swing_cents_pp: from.swing_cents_pp.and_then(cents),
        evenness_cv: from.evenness_cv.and_then(ratio),
        drift_cents_per_10s: from.drift_cents_per_10s.and_then(cents),
        straight_reference_cents: from.straight_reference_cents.and_then(|c| cents(c - off.reference_cents)),
        choked_share: from.choked_share.and_then(share),
        trust: share(from.trust).unwrap_or(nothing()),
        trusted: from.trusted(),
        capture: capture(&from.capture),
    })
}

/// What the microphone's path does, where it does something.
fn capture(from: &heard::Capture) -> Option<Capture> {
    let is_said = from.changes_levels() || from.band_hz.is_some();
    is_said.then(|| Capture {
        clipped_share: share(from.clipped_share).unwrap_or(nothing()),
        clips: from.clips(),
        band_hz: from.band_hz.and_then(hertz),
        gain_riding: from.gain_riding,
    })
}

/// A pulse as a message; its mean pitch counts from `wanted`, where there is such a note.
pub(crate) fn pulse(from: &heard::Pulse, wanted: Option<AskedNote>, time_us: f64) -> Option<Pulse> {
    let from_wanted =
        |midi: f64| wanted.map(|wanted| 100.0 * (midi - f64::from(wanted.note.midi())) - wanted.off_cents);
    Some(Pulse {
        time_us: micros(time_us)?,
        depth_db: decibels(from.depth_db)?,
        swing_cents: cents(from.swing_cents)?,
        mean_cents: from.mean_midi.and_then(from_wanted).and_then(cents),
        choked: from.choked,
    })
}

// Each is rounded to a tenth or less of what the analysis can tell (its budgets: 0.1 cent, 0.1 dB, 2 ms), which halves
// the length of a message.

pub(crate) fn micros(us: f64) -> Option<Micros> {
    Micros::clamped(us.round())
}

pub(crate) fn cents(cents: f64) -> Option<Cents> {
    Cents::clamped(rounded(cents, 100.0))
}

pub(crate) fn decibels(db: f64) -> Option<Decibels> {
    Decibels::clamped(rounded(db, 100.0))
}

pub(crate) fn hertz(hz: f64) -> Option<Hertz> {
    Hertz::clamped(rounded(hz, 10_000.0))
}

pub(crate) fn ratio(x: f64) -> Option<Ratio> {
    Ratio::clamped(rounded(x, 10_000.0))
}

fn share(x: f64) -> Option<Share> {
    Share::clamped(rounded(x, 1000.0))
}

fn rounded(x: f64, steps: f64) -> f64 {
    (x * steps).round() / steps
}

fn silent() -> Decibels {
    Decibels::new(Decibels::LOW).expect("the lowest level is in range")
}

fn nothing() -> Share {
    Share::new(Share::LOW).expect("nothing is in range")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quiet() -> heard::Reading {
        heard::Reading::empty(heard::Hearing::Silence, -70.0, 0.0)
    }

    #[test]
    fn values_that_are_not_numbers_never_reach_a_message() {
        let mut broken = quiet();
        broken.level_db = f64::NEG_INFINITY;
        broken.cents = Some(f64::NAN);
        broken.pulse_rate_hz = Some(f64::INFINITY);
        broken.trust = f64::NAN;
        let said = reading(&broken, Off::default(), 1, 5.0).unwrap();
        assert_eq!(said.cents, None);
        assert_eq!(said.pulse_rate_hz, Hertz::new(Hertz::HIGH).ok());
        assert_eq!(said.level_db.get(), Decibels::LOW);
        assert_eq!(said.trust.get(), 0.0);
        assert!(reading(&quiet(), Off::default(), 1, f64::NAN).is_none());
    }

    #[test]
    fn the_microphone_is_mentioned_where_it_does_something() {
        assert_eq!(reading(&quiet(), Off::default(), 1, 0.0).unwrap().capture, None);
        let bad = heard::Capture { clipped_share: 0.02, band_hz: Some(8_000.0), gain_riding: false };
        let from = heard::Reading { capture: bad, ..quiet() };
        let said = reading(&from, Off::default(), 1, 0.0).unwrap().capture.unwrap();
        assert!(said.clips && said.changes_levels() && !said.gain_riding);
        assert_eq!((said.clipped_share.get(), said.band_hz.map(Hertz::get)), (0.02, Some(8_000.0)));
    }

    #[test]
    fn cents_count_from_where_the_tuning_wants_the_note() {
        let tone = heard::Reading {
            cents: Some(-10.0),
            centre_cents: Some(-12.0),
            straight_reference_cents: Some(1.0),
            ..quiet()
        };
        let off = Off { now_cents: -13.69, reference_cents: 0.0 };
        let said = reading(&tone, off, 1, 0.0).unwrap();
        let of = |cents: Option<Cents>| cents.map(Cents::get);
        assert_eq!((of(said.cents), of(said.centre_cents)), (Some(3.69), Some(1.69)));
        assert_eq!(of(said.straight_reference_cents), Some(1.0));
    }

    #[test]
    fn mean_pitch_of_a_pulse_counts_from_the_note() {
        let from = heard::Pulse {
            time_s: 1.0,
            depth_db: 6.0,
            swing_cents: 8.0,
            mean_midi: Some(69.123),
            top_midi: None,
            valley_db: -6.0,
            choked: false,
        };
        let a4 = |off_cents| Note::from_midi(69).map(|note| AskedNote { note, off_cents });
        assert_eq!(pulse(&from, a4(0.0), 0.0).unwrap().mean_cents.unwrap().get(), 12.3);
        // A just third over F: 13.69 cents lower.
        assert_eq!(pulse(&from, a4(-13.69), 0.0).unwrap().mean_cents.unwrap().get(), 25.99);
        assert_eq!(pulse(&from, None, 0.0).unwrap().mean_cents, None);
    }
}
