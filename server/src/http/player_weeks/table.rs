//! The charts' figures as rows, the newest week first; practice at home has rows of its own.

use super::columns::Column;
use crate::http::results_words::{decimals, signed};
use crate::http::week_words::rung_beside;
use crate::weeks::{Figures, Rung};
use crate::words::Words;
use windrow_protocol::score::PerBeat;

/// Where nothing was measured.
const NOTHING: &str = "\u{2013}";

/// One week in one place.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) week: String,
    /// The same by ISO 8601.
    pub(super) week_in_full: String,
    pub(super) place: String,
    /// In the order of the table's columns.
    pub(super) figures: [String; 16],
}

/// Two rows a week at most.
pub(super) fn rows(words: Words, columns: &[Column<'_>], per_beat: Option<PerBeat>) -> Vec<Row> {
    let mut rows = Vec::new();
    for column in columns.iter().rev() {
        let Some(all) = column.all else { continue };
        let places = [
            ("weeks-in-rehearsal", &all.rehearsal, column.alike.and_then(|w| w.rehearsal.as_ref())),
            ("weeks-at-home", &all.home, column.alike.and_then(|w| w.home.as_ref())),
        ];
        for (place, all, alike) in places {
            let Some(all) = all else { continue };
            rows.push(Row {
                week: column.label.week.clone(),
                week_in_full: column.week.in_full(),
                place: words.say(place),
                figures: figures(words, all, alike, per_beat),
            });
        }
    }
    rows
}

fn figures(words: Words, all: &Figures, alike: Option<&Figures>, per_beat: Option<PerBeat>) -> [String; 16] {
    let told = |value: Option<String>| value.unwrap_or_else(|| NOTHING.to_owned());
    let of = |value: fn(&Figures) -> Option<f64>| alike.and_then(value);
    let plain = |value: Option<f64>, n| told(value.map(|v| decimals(words, v, n)));
    let with_sign = |value: Option<f64>, n| told(value.map(|v| signed(words, v, n)));
    let percent = |value: Option<f64>| value.map(|share| 100.0 * share);
    // The pulses chosen stand above the table already.
    let named = |rung: Option<Rung>| {
        told(rung.map(|rung| rung_beside(words, rung, per_beat.map(|per_beat| Rung { per_beat, ..rung }))))
    };
    [
        named(alike.and_then(|f| f.held)),
        named(alike.and_then(|f| f.tried)),
        plain(Some(all.asked_s / 60.0), 0),
        plain(Some(all.judged_s / 60.0), 0),
        plain(percent(all.matched), 0),
        with_sign(of(|f| f.timing_ms), 0),
        plain(of(|f| f.timing_spread_ms), 0),
        with_sign(percent(of(|f| f.rate_off)), 1),
        plain(percent(of(|f| f.evenness_cv)), 0),
        plain(of(|f| f.depth_db_pp), 1),
        plain(of(|f| f.swing_cents_pp), 0),
        with_sign(all.pulsing.centre_cents, 0),
        with_sign(all.straight.centre_cents, 0),
        with_sign(all.from_straight_cents, 0),
        with_sign(all.pulsing.drift_cents, 0),
        with_sign(all.straight.drift_cents, 0),
    ]
}
