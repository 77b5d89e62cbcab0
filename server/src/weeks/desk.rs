//! Stretches for the tests, made up a few words at a time.

use super::{Asked, IsoWeek, Played, Rung, Where};
use crate::roster::dates::DAY_MS;
use windrow_protocol::judge::State;
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::Bpm;

/// A week in the middle of nowhere; weeks of tests are counted from it.
pub(crate) fn week(n: i64) -> IsoWeek {
    IsoWeek::of_unix_ms(20_000 * DAY_MS).plus(n)
}

pub(crate) fn rung(per_beat: u8, bpm: f64) -> Rung {
    Rung { per_beat: PerBeat::new(per_beat).unwrap(), bpm: Bpm::new(bpm).unwrap() }
}

/// Eight bars of four beats of a rung in a rehearsal, matched and held, in the middle of a week.
pub(crate) fn held(n_week: i64, per_beat: u8, bpm: f64) -> Played {
    let s = 32.0 * 60.0 / bpm;
    Played {
        began_unix_ms: week(n_week).begins_unix_ms() + 3 * DAY_MS,
        place: Where::Rehearsal,
        invented: false,
        instrument: "flute".into(),
        asked: Asked::Pulses(PerBeat::new(per_beat).unwrap()),
        bpm: Bpm::new(bpm).unwrap(),
        is_steady: true,
        bars: 8.0,
        asked_s: s,
        judged_s: 0.75 * s,
        held: true,
        state: State::Matched,
        matched: Some(0.9),
        pulse_rate_hz: Some(bpm / 60.0 * f64::from(per_beat)),
        timing_ms: None,
        timing_spread_ms: None,
        depth_db_pp: Some(6.0),
        swing_cents_pp: None,
        centre_cents: None,
        drift_cents: None,
        from_straight_cents: None,
        evenness_cv: None,
    }
}

/// The same, a third matched and not held.
pub(crate) fn tried(n_week: i64, per_beat: u8, bpm: f64, state: State) -> Played {
    Played { held: false, state, matched: Some(0.3), ..held(n_week, per_beat, bpm) }
}

/// The same as a straight tone.
pub(crate) fn straight(n_week: i64) -> Played {
    Played {
        asked: Asked::Straight,
        held: false,
        pulse_rate_hz: None,
        depth_db_pp: None,
        ..held(n_week, 1, 60.0)
    }
}

pub(crate) fn at_home(played: Played) -> Played {
    Played { place: Where::Home, ..played }
}
