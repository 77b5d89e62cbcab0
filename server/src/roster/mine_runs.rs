//! What is kept of a player's runs, for that player: each run, each part of it, and what room checks found at the chair, as JSON
//! with units in its names. The words of its fields stand in the catalogue. Pure.

use crate::store::StretchRow;
use crate::words::Words;
use serde_json::{Value, json};
use windrow_protocol::messages::CheckedChair;
use windrow_room::{KeptRun, PastRuns};

/// Runs with one player's lane each.
pub(super) fn runs(runs: &[KeptRun], words: Words) -> Value {
    runs.iter().map(|run| one_run(run, words)).collect()
}

fn one_run(run: &KeptRun, words: Words) -> Value {
    let mut value = json!({
        "number": run.told.number,
        "name": words.phrase(&run.told.name),
        "began_ms": run.began_us / 1e3,
        "ended_ms": run.ended_us / 1e3,
    });
    if let Some(told) = run.told.players.first() {
        value["whole"] = json!(told.whole);
        value["ease_beats"] = json!(told.ease_beats);
        value["hairpin"] = json!(told.hairpin);
    }
    if let Some(trace) = run.traces.first() {
        value["left_out_ms"] = json!(trace.left_out_ms);
    }
    let replay = PastRuns::of(vec![run.clone()]).replay(run.told.number);
    if let Some(lane) = replay.as_ref().and_then(|replay| replay.lanes.first()) {
        value["states"] = lane.states.iter().map(|(ms, state)| json!([ms, state.word()])).collect();
        value["centres"] = json!(lane.centres);
    }
    value
}

/// One part of a run.
pub(super) fn stretch(row: &StretchRow) -> Value {
    json!({
        "run": row.number,
        "part_idx": row.part_idx,
        "began_ms": row.began_us as f64 / 1e3,
        "target": row.target,
        "per_beat": row.per_beat,
        "bpm": row.bpm,
        "bpm_to": row.bpm_to,
        "loosely": row.loosely,
        "bars": row.bars,
        "asked_s": row.asked_s,
        "judged_s": row.judged_s,
        "held": row.held,
        "state": row.state,
        "trusted": row.trusted,
        "matched": row.matched,
        "n_pulses": row.n_pulses,
        "pulse_rate_hz": row.pulse_rate_hz,
        "pulses_per_beat": row.pulses_per_beat,
        "timing_ms": row.timing_ms,
        "timing_spread_ms": row.timing_spread_ms,
        "depth_db_pp": row.depth_db_pp,
        "swing_cents_pp": row.swing_cents_pp,
        "centre_cents": row.centre_cents,
        "drift_cents": row.drift_cents,
        "from_straight_cents": row.from_straight_cents,
        "evenness_cv": row.evenness_cv,
    })
}

/// What room checks found, with when.
pub(super) fn checks(checks: &[(i64, CheckedChair)]) -> Value {
    let check = |(checked_us, chair): &(i64, CheckedChair)| {
        json!({
            "checked_ms": *checked_us as f64 / 1e3,
            "finding": chair.finding,
            "own_db": chair.own_db,
            "noise_db": chair.noise_db,
            "apart_db": chair.apart_db,
        })
    };
    checks.iter().map(check).collect()
}
