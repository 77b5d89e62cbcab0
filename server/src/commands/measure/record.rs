//! A summary as it is printed: one JSON object for programs. The names of its fields are what scripts rely on and do not
//! change; new ones may be added. Must not know how anything was measured.

use super::span_record::{HairpinRecord, SpanRecord};
use super::summary::{Question, Summary};
use super::track::{Row, track};
use serde::Serialize;
use std::path::Path;
use windrow_analysis::{Hairpin, Reading, Span};

/// All that was heard in a file.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heard {
    pub(super) summary: Summary,
    pub(super) readings: Vec<Reading>,
    pub(super) spans: Vec<Span>,
    pub(super) hairpins: Vec<Hairpin>,
}

/// One file's results. Fields that cannot be told are null.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Record {
    pub(super) file: String,
    pub(super) duration_s: f64,
    pub(super) sample_rate_hz: u32,
    pub(super) a4_hz: f64,
    /// Sounding note the cents count from.
    pub(super) note: Option<String>,
    /// The pitch centre.
    pub(super) f0_hz: Option<f64>,
    pub(super) centre_cents: Option<f64>,
    /// The upper envelope of the pitch, cents from the note.
    pub(super) upper_cents: Option<f64>,
    /// Null for a straight tone; like all of the pulses, null (no times) where not `trusted`.
    pub(super) pulse_rate_hz: Option<f64>,
    pub(super) depth_db_pp: Option<f64>,
    pub(super) swing_cents_pp: Option<f64>,
    pub(super) evenness_cv: Option<f64>,
    pub(super) drift_cents_per_10s: Option<f64>,
    pub(super) pulse_times_s: Vec<f64>,
    pub(super) state: &'static str,
    pub(super) trusted: bool,
    pub(super) first_trusted_s: Option<f64>,
    pub(super) microphone: Microphone,
    /// With a tempo alone: there even if null.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub(super) against_the_beat: Option<AgainstTheBeat>,
    /// Every note of the file, in order of time.
    pub(super) spans: Vec<SpanRecord>,
    /// Of the longest tone of the file's note; null where there are too few pulses or too little loudness.
    pub(super) hairpin: Option<HairpinRecord>,
    /// Where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) track: Option<Vec<Row>>,
}

/// What the way from the microphone to the file did to the sound.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Microphone {
    /// Share of the samples that are clipped, in the worst five seconds.
    pub(super) clipped_share: f64,
    /// Whether that is enough to change what is heard.
    #[serde(skip)]
    pub(super) clips: bool,
    /// Where the sound ends like a wall; null where it does not.
    pub(super) band_hz: Option<f64>,
    /// Whether the level is turned up in pauses and down in tones.
    pub(super) gain_riding: bool,
}

impl Microphone {
    /// What is wrong with it; empty where nothing is.
    pub(super) fn in_words(&self) -> String {
        let words = [
            self.clips.then(|| "clips".to_owned()),
            self.band_hz.map(|hz| format!("ends at {:.0} kHz", hz / 1000.0)),
            self.gain_riding.then(|| "gain rides".to_owned()),
        ];
        words.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

/// What is known only with a tempo.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct AgainstTheBeat {
    /// Median of pulse minus tick, ms.
    pub(super) timing_ms: Option<f64>,
    /// Scatter around it, ms.
    pub(super) spread: Option<f64>,
}

impl Record {
    pub(super) fn new(path: &Path, question: &Question, heard: &Heard) -> Self {
        let s = &heard.summary;
        let span = |span: &Span| SpanRecord::new(span, s.duration_s, question.beat.as_ref());
        // Digits enough for a tenth of what the analysis can tell.
        Self {
            file: path.to_string_lossy().into_owned(),
            duration_s: to_digits(s.duration_s, 4),
            sample_rate_hz: s.sample_rate_hz,
            a4_hz: question.a4_hz,
            note: s.note.map(|note| note.to_string()),
            f0_hz: digits(s.f0_hz, 4),
            centre_cents: digits(s.centre_cents, 3),
            upper_cents: digits(s.upper_cents, 3),
            pulse_rate_hz: digits(s.pulse_rate_hz, 4),
            depth_db_pp: digits(s.depth_db_pp, 3),
            swing_cents_pp: digits(s.swing_cents_pp, 3),
            evenness_cv: digits(s.evenness_cv, 4),
            drift_cents_per_10s: digits(s.drift_cents_per_10s, 3),
            pulse_times_s: s.pulse_times_s.iter().map(|&t| to_digits(t, 4)).collect(),
            state: s.state.word(),
            trusted: s.trusted,
            first_trusted_s: digits(s.first_trusted_s, 4),
            microphone: Microphone {
                clipped_share: to_digits(s.capture.clipped_share, 4),
                clips: s.capture.clips(),
                band_hz: s.capture.band_hz,
                gain_riding: s.capture.gain_riding,
            },
            against_the_beat: question.beat.map(|_| AgainstTheBeat {
                timing_ms: digits(s.timing_ms, 2),
                spread: digits(s.spread_ms, 2),
            }),
            spans: heard.spans.iter().map(span).collect(),
            hairpin: HairpinRecord::of_note(&heard.hairpins, s.note),
            track: None,
        }
    }

    /// Adds the track.
    pub(super) fn add_track(&mut self, heard: &Heard) {
        let rows = track(&heard.readings, heard.summary.duration_s, heard.summary.note);
        let rounded = |(t, level_db, cents, rate_hz): Row| {
            (t, digits(level_db, 2), digits(cents, 2), digits(rate_hz, 4))
        };
        self.track = Some(rows.into_iter().map(rounded).collect());
    }

    /// One line.
    pub(super) fn to_json(&self) -> String {
        serde_json::to_string(self).expect("numbers and text always have a JSON form")
    }
}

pub(super) fn digits(value: Option<f64>, n: i32) -> Option<f64> {
    value.filter(|v| v.is_finite()).map(|v| to_digits(v, n))
}

pub(super) fn to_digits(value: f64, n: i32) -> f64 {
    let steps = 10f64.powi(n);
    // Adding nought turns a negative nought into a plain one.
    (value * steps).round() / steps + 0.0
}
