//! Spans and hairpins as they are printed. The names of the fields are what scripts rely on and do not change; new ones
//! may be added. Must not know how anything was measured.

use super::record::{digits, to_digits};
use super::summary::Beat;
use serde::Serialize;
use windrow_analysis::{Hairpin, Span, SpanKind};
use windrow_protocol::note::Note;

/// Pulses to a beat that exercises ask for: quarters, eighths, triplets, sixteenths, sextuplets.
const SUBDIVISIONS: [u8; 5] = [1, 2, 3, 4, 6];
/// A rate further than this from every subdivision is none of them: twice what a matched rate may be off (3 %).
const NEAR_SUBDIVISION: f64 = 0.06;

/// A stretch of one behaviour. Fields that cannot be told are null.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct SpanRecord {
    pub(super) start_s: f64,
    pub(super) end_s: f64,
    /// straight, pulsed, growing, shrinking or unclear.
    pub(super) kind: &'static str,
    /// Sounding note that the cents of this span count from.
    pub(super) note: Option<String>,
    pub(super) centre_cents: Option<f64>,
    pub(super) n_pulses: usize,
    pub(super) pulse_rate_hz: Option<f64>,
    pub(super) depth_db_pp: Option<f64>,
    pub(super) swing_cents_pp: Option<f64>,
    /// How the pulses came to this size; null where they did not change.
    pub(super) ease: Option<EaseRecord>,
    /// With a tempo alone: there even if null.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) pulses_per_beat: Option<Option<u8>>,
}

/// How the size of the pulses changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct EaseRecord {
    /// From 10 % to 90 % of the way.
    pub(super) time_s: f64,
    /// In less than the time of a pulse.
    pub(super) abrupt: bool,
}

/// How rate and depth follow the loudness.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct HairpinRecord {
    pub(super) start_s: f64,
    pub(super) end_s: f64,
    pub(super) n_pulses: usize,
    pub(super) loudness_range_db: f64,
    /// Rank correlations with the loudness, -1 to 1.
    pub(super) rate_correlation: Option<f64>,
    pub(super) depth_correlation: Option<f64>,
    /// Where each turns from rising to falling.
    pub(super) loudness_turn_s: Option<f64>,
    pub(super) rate_turn_s: Option<f64>,
    pub(super) depth_turn_s: Option<f64>,
}

impl SpanRecord {
    pub(super) fn new(span: &Span, duration_s: f64, beat: Option<&Beat>) -> Self {
        Self {
            start_s: to_digits(span.start_s.clamp(0.0, duration_s), 3),
            end_s: to_digits(span.end_s.clamp(0.0, duration_s), 3),
            kind: word(span.kind),
            note: Note::from_midi(i32::from(span.note_midi)).map(|note| note.to_string()),
            centre_cents: digits(span.centre_cents, 3),
            n_pulses: span.n_pulses,
            pulse_rate_hz: digits(span.pulse_rate_hz, 4),
            depth_db_pp: digits(span.depth_db_pp, 3),
            swing_cents_pp: digits(span.swing_cents_pp, 3),
            ease: span.ease.map(|e| EaseRecord { time_s: to_digits(e.time_s, 3), abrupt: e.abrupt }),
            pulses_per_beat: beat.map(|beat| pulses_per_beat(span.pulse_rate_hz?, beat.bpm.get())),
        }
    }
}

impl HairpinRecord {
    /// The hairpin of the tone with the most pulses on the note; `None` without one.
    pub(super) fn of_note(hairpins: &[Hairpin], note: Option<Note>) -> Option<Self> {
        let is_on = |h: &&Hairpin| note.is_none_or(|note| note.midi() == h.note_midi);
        let h = hairpins.iter().filter(is_on).max_by_key(|h| h.n_pulses)?;
        Some(Self {
            start_s: to_digits(h.start_s, 3),
            end_s: to_digits(h.end_s, 3),
            n_pulses: h.n_pulses,
            loudness_range_db: to_digits(h.loudness_range_db, 2),
            rate_correlation: digits(h.rate_correlation, 3),
            depth_correlation: digits(h.depth_correlation, 3),
            loudness_turn_s: digits(h.loudness_turn_s, 3),
            rate_turn_s: digits(h.rate_turn_s, 3),
            depth_turn_s: digits(h.depth_turn_s, 3),
        })
    }
}

fn word(kind: SpanKind) -> &'static str {
    match kind {
        SpanKind::Straight => "straight",
        SpanKind::Pulsed => "pulsed",
        SpanKind::Growing => "growing",
        SpanKind::Shrinking => "shrinking",
        SpanKind::Unclear => "unclear",
    }
}

/// The subdivision a rate is nearest to, if it is near enough.
fn pulses_per_beat(rate_hz: f64, bpm: f64) -> Option<u8> {
    let per_beat = rate_hz * 60.0 / bpm;
    let off = |n: u8| (per_beat / f64::from(n) - 1.0).abs();
    let nearest = SUBDIVISIONS.into_iter().min_by(|&a, &b| off(a).total_cmp(&off(b)))?;
    (off(nearest) <= NEAR_SUBDIVISION).then_some(nearest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::PerBeat;
    use windrow_protocol::units::Bpm;

    #[test]
    fn a_rate_is_named_by_the_subdivision_it_is_near() {
        // Rate in Hz = bpm / 60 * pulses per beat.
        for (rate_hz, bpm, expected) in [
            (2.0, 60.0, Some(2)),
            (3.17, 60.0, Some(3)),
            (3.19, 60.0, None),
            (4.8, 72.0, Some(4)),
            (5.0, 60.0, None),
            (6.3, 60.0, Some(6)),
            (0.95, 60.0, Some(1)),
            (0.93, 60.0, None),
            (40.0, 60.0, None),
        ] {
            assert_eq!(pulses_per_beat(rate_hz, bpm), expected, "{rate_hz} Hz at {bpm}");
        }
    }

    #[test]
    fn a_straight_span_has_no_subdivision_and_without_a_tempo_nobody_asks() {
        let span = Span {
            start_s: -0.02,
            end_s: 2.031,
            kind: SpanKind::Straight,
            note_midi: 66,
            centre_cents: Some(-3.25),
            n_pulses: 0,
            pulse_rate_hz: None,
            depth_db_pp: None,
            swing_cents_pp: None,
            ease: None,
        };
        let json = serde_json::to_string(&SpanRecord::new(&span, 2.0, None)).unwrap();
        assert_eq!(
            json,
            "{\"start_s\":0.0,\"end_s\":2.0,\"kind\":\"straight\",\"note\":\"F#4\",\"centre_cents\":-3.25,\
             \"n_pulses\":0,\"pulse_rate_hz\":null,\"depth_db_pp\":null,\"swing_cents_pp\":null,\"ease\":null}"
        );
        let beat = Beat { bpm: Bpm::new(60.0).unwrap(), per_beat: PerBeat::new(2).unwrap(), beat_at_s: None };
        let json = serde_json::to_string(&SpanRecord::new(&span, 2.0, Some(&beat))).unwrap();
        assert!(json.ends_with("\"ease\":null,\"pulses_per_beat\":null}"), "{json}");
    }

    #[test]
    fn the_hairpin_is_that_of_the_longest_tone_of_the_note() {
        let hairpin = |note_midi: u8, n_pulses: usize| Hairpin {
            start_s: 1.0,
            end_s: 5.0,
            note_midi,
            n_pulses,
            loudness_range_db: 6.0,
            rate_correlation: None,
            depth_correlation: Some(0.5),
            loudness_turn_s: None,
            rate_turn_s: None,
            depth_turn_s: None,
        };
        let hairpins = [hairpin(69, 9), hairpin(69, 20), hairpin(71, 40)];
        let of = |midi: i32| HairpinRecord::of_note(&hairpins, Note::from_midi(midi)).map(|h| h.n_pulses);
        assert_eq!((of(69), of(71), of(60)), (Some(20), Some(40), None));
    }
}
