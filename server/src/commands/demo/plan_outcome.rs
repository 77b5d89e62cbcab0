//! A whole plan's results, as a table or as lines of JSON. The names of the fields are what scripts rely on. Must not know how a
//! state came about.

use super::leader::OPEN_BARS;
use super::whole_plan::Rehearsal;
use crate::commands::columns::{columns, quantity, signed};
use crate::player::{Habit, larkmoor};
use crate::room::{Lesson, Piece};
use crate::words::english;
use serde::Serialize;
use std::io::Write;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{PlayerResult, Results, Run, SectionResult};
use windrow_protocol::units::{Cents, Decibels, Hertz, Name, Ratio, Share};

/// One player in one exercise. What cannot be told is null.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct PlanOutcome {
    /// Name.
    player: String,
    /// Such as "flute 2".
    part: String,
    /// Place of the exercise in the plan, from 1.
    exercise: u16,
    /// Its name.
    exercise_name: String,
    /// The state the sound was made to have for most of it.
    intended: &'static str,
    /// The state that stood longest.
    state: &'static str,
    /// Whether at least half of it could be judged.
    trusted: bool,
    /// The share of it that could be.
    trusted_share: f64,
    /// The share of what was judged in which the player was matched.
    matched_share: Option<f64>,
    /// Pulses found.
    n_pulses: u32,
    /// Pulses a second.
    pulse_rate_hz: Option<f64>,
    /// Pulses a beat.
    pulses_per_beat: Option<f64>,
    /// Pulse minus tick, median.
    timing_ms: Option<f64>,
    /// Peak over valley.
    depth_db_pp: Option<f64>,
    /// Excursion of the pitch, peak to peak.
    swing_cents_pp: Option<f64>,
    /// Pitch centre, cents from the note.
    centre_cents: Option<f64>,
    /// Pitch centre at the end minus at the beginning.
    drift_cents: Option<f64>,
    /// Coefficient of variation of the intervals.
    evenness_cv: Option<f64>,
}

impl PlanOutcome {
    fn new(run: &Run, result: &PlayerResult, intended: State) -> Self {
        let whole = &result.whole;
        Self {
            player: result.name.as_str().to_owned(),
            part: result.part.clone(),
            exercise: run.exercise,
            exercise_name: english(&run.name),
            intended: intended.word(),
            state: whole.state.word(),
            trusted: whole.trusted.get() >= 0.5,
            trusted_share: to_digits(whole.trusted.get(), 4),
            matched_share: digits(whole.matched.map(Share::get), 4),
            n_pulses: whole.n_pulses,
            pulse_rate_hz: digits(whole.pulse_rate_hz.map(Hertz::get), 4),
            pulses_per_beat: digits(whole.pulses_per_beat.map(Ratio::get), 4),
            timing_ms: digits(whole.timing_ms, 2),
            depth_db_pp: digits(whole.depth_db_pp.map(Decibels::get), 3),
            swing_cents_pp: digits(whole.swing_cents_pp.map(Cents::get), 3),
            centre_cents: digits(whole.centre_cents.map(Cents::get), 3),
            drift_cents: digits(whole.drift_cents.map(Cents::get), 3),
            evenness_cv: digits(whole.evenness_cv.map(Ratio::get), 4),
        }
    }

    fn to_json(&self) -> String {
        serde_json::to_string(self).expect("numbers and text always have a JSON form")
    }

    fn row(&self) -> Vec<String> {
        vec![
            self.player.clone(),
            self.part.clone(),
            self.intended.to_owned(),
            self.state.to_owned(),
            percent(Some(self.trusted_share)),
            percent(self.matched_share),
            quantity(self.pulse_rate_hz, 2, "Hz"),
            quantity(self.pulses_per_beat, 2, ""),
            signed(self.timing_ms, 0, "ms"),
            quantity(self.depth_db_pp, 1, "dB"),
            quantity(self.swing_cents_pp, 0, "cents"),
            signed(self.centre_cents, 0, "cents"),
            signed(self.drift_cents, 0, "cents"),
            percent(self.evenness_cv),
        ]
    }
}

const HEAD: [&str; 14] = [
    "player",
    "part",
    "intended",
    "state",
    "trusted",
    "matched",
    "pulses",
    "a beat",
    "timing",
    "depth",
    "swing",
    "centre",
    "drift",
    "uneven by",
];

/// Digits enough for a tenth of what the analysis can tell.
fn digits(value: Option<f64>, n: i32) -> Option<f64> {
    value.filter(|v| v.is_finite()).map(|v| to_digits(v, n))
}

fn to_digits(value: f64, n: i32) -> f64 {
    let steps = 10f64.powi(n);
    // Adding nought turns a negative nought into a plain one.
    (value * steps).round() / steps + 0.0
}

fn percent(share: Option<f64>) -> String {
    quantity(share.map(|share| 100.0 * share), 0, "%")
}

/// The section as one.
fn section_words(section: &SectionResult) -> String {
    let SectionResult { n_judged, n_matched, .. } = section;
    let out: Vec<String> = section.out.iter().map(u16::to_string).collect();
    let words = [
        Some(format!("{n_matched} of {n_judged} who could be judged matched in the end")),
        section.matched.map(|share| format!("{:.0} % of the judged time matched", 100.0 * share.get())),
        section.together.map(|share| format!("togetherness {:.2}", share.get())),
        section
            .mean_ms
            .zip(section.spread_ms)
            .map(|(mean, spread)| format!("{mean:+.0} ms, spread {spread:.0} ms")),
        (!out.is_empty()).then(|| format!("out for most of it: chairs {}", out.join(", "))),
    ];
    words.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// How often what was intended was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Count {
    of: u32,
    found: u32,
    blended: u32,
    unheard: u32,
    wrong: u32,
}

impl Count {
    fn add(&mut self, outcome: &PlanOutcome) {
        self.of += 1;
        let place = match outcome.state {
            state if state == outcome.intended => &mut self.found,
            state if state == State::Blended.word() => &mut self.blended,
            state if state == State::NotHeard.word() => &mut self.unheard,
            _ => &mut self.wrong,
        };
        *place += 1;
    }

    fn words(&self) -> String {
        let Self { found, blended, unheard, wrong, .. } = self;
        format!("{found} found, {blended} blended, {unheard} not heard, {wrong} called something else")
    }
}

/// The last time through each exercise, in playing order.
fn last_runs(results: &Results) -> impl Iterator<Item = &Run> {
    let is_last = |i: usize, run: &Run| results.runs[i + 1..].iter().all(|r| r.exercise != run.exercise);
    results.runs.iter().enumerate().filter(move |(i, run)| is_last(*i, run)).map(|(_, run)| run)
}

/// Everybody in every exercise, in playing order: as in the last time through it.
pub(super) fn of_all(lesson: &Lesson, results: &Results) -> Vec<PlanOutcome> {
    let players = larkmoor::players();
    let habit = |name: &Name| players.iter().find(|p| p.name == *name).map(|p| p.habit);
    let of_run = |run: &Run| {
        let piece = lesson.pieces.get(usize::from(run.exercise) - 1);
        let intended = |result: &PlayerResult| match (habit(&result.name), piece) {
            (Some(habit), Some(piece)) => intended(habit, piece, lesson.beats_per_bar),
            _ => State::NotHeard,
        };
        let outcomes = run.players.iter().map(|result| PlanOutcome::new(run, result, intended(result)));
        outcomes.collect::<Vec<_>>()
    };
    last_runs(results).flat_map(of_run).collect()
}

fn intended(habit: Habit, piece: &Piece, beats_per_bar: u8) -> State {
    habit.intended_in(&piece.spans, &piece.bands, OPEN_BARS * f64::from(beats_per_bar))
}

/// A line of JSON for each player and exercise; or a table for each exercise, what was found of what was intended, and how
/// long it took.
pub(super) fn print(outcomes: &[PlanOutcome], rehearsal: &Rehearsal, json: bool) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    if json {
        for outcome in outcomes {
            writeln!(out, "{}", outcome.to_json())?;
        }
        return out.flush();
    }
    let (mut with_fault, mut without) = (Count::default(), Count::default());
    for run in last_runs(&rehearsal.results) {
        writeln!(out, "{}. {}", run.exercise, english(&run.name))?;
        let of_run: Vec<&PlanOutcome> = outcomes.iter().filter(|o| o.exercise == run.exercise).collect();
        let head = HEAD.map(str::to_owned).to_vec();
        let rows: Vec<_> = std::iter::once(head).chain(of_run.iter().map(|o| o.row())).collect();
        write!(out, "{}", columns(&rows))?;
        writeln!(out, "section: {}", section_words(&run.section))?;
        if let Some(suggestion) = rehearsal.suggestions.get(&run.exercise) {
            writeln!(out, "suggestion: {} ({})", english(&suggestion.text), english(&suggestion.reason))?;
        }
        writeln!(out)?;
        for outcome in of_run {
            let is_matched = outcome.intended == State::Matched.word();
            if is_matched { without.add(outcome) } else { with_fault.add(outcome) }
        }
    }
    writeln!(out, "With a fault, {} times: {}.", with_fault.of, with_fault.words())?;
    writeln!(out, "Without one, {} times: {}.", without.of, without.words())?;
    let (lasted_s, took_s) = (rehearsal.lasted.as_secs_f64(), rehearsal.took.as_secs_f64());
    let minutes = (lasted_s / 60.0).floor();
    writeln!(
        out,
        "The rehearsal lasted {minutes:.0} min {:.0} s and was played in {took_s:.1} s: {:.1} times as fast.",
        lasted_s - 60.0 * minutes,
        lasted_s / took_s
    )?;
    out.flush()
}
