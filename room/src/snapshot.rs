//! The picture of a room that the conductor's page draws. Pure; reads seats and music and changes nothing.

use super::music::Music;
use super::sayings::{self, Facts};
use super::seat::{Seat, offsets_since};
use super::state::Room;
use super::statistics;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{CheckNow, Lane, LanePulse, Say, SectionNow, Snapshot};
use windrow_protocol::units::{Cents, Decibels, Hertz, Micros, Share};

/// Beats of pulses a page gets: four bars of four, twice what it draws, so that a page turn never lacks any.
const PULSE_BEATS: f64 = 16.0;
/// Beats the togetherness and the pitch tail look back on.
const RECENT_BEATS: f64 = 8.0;

pub(super) fn snapshot(room: &Room, say: Option<Say>, now_us: f64) -> Snapshot {
    let music = room.music();
    Snapshot {
        time_us: micros(now_us),
        code: room.code().to_owned(),
        door: room.door(),
        section_name: room.section().to_owned(),
        title: music.title(now_us),
        settings: music.settings(now_us),
        exercise: music.exercise_now(now_us),
        score: music.score().cloned(),
        lanes: room.seats().iter().map(|seat| lane(seat, music, now_us)).collect(),
        section: section(room.seats(), music, now_us),
        say,
        suggestion: room.suggestion(),
        results: room.outcomes.runs.version(),
        turn: music.turn(now_us).to_vec(),
        check: (room.check().version() > 0).then(|| CheckNow {
            version: room.check().version(),
            is_running: music.is_check(now_us),
            chair: music.turn(now_us).first().copied().filter(|_| music.is_check(now_us)),
        }),
        expected: count(room.n_expected()),
        notices: room.notices(),
        imaginary: room.has_imaginary(),
    }
}

/// What the words about a player are made from.
pub(super) fn facts(seat: &Seat, music: &Music, now_us: f64) -> Facts {
    let now = music.now(now_us);
    let reading = seat.trusted_reading(now_us);
    let pulse_rate_hz = reading.and_then(|r| r.pulse_rate_hz).map(Hertz::get);
    Facts {
        pulses_per_beat: pulse_rate_hz.filter(|_| now.since_us.is_some()).map(|hz| hz * now.beat_us / 1e6),
        pulse_rate_hz,
        centre_cents: reading.and_then(|r| r.centre_cents).map(Cents::get),
        drift_cents_per_10s: reading.and_then(|r| r.drift_cents_per_10s).map(Cents::get),
        depth_db: reading.and_then(|r| r.depth_db_pp).map(Decibels::get),
        swing_cents: reading.and_then(|r| r.swing_cents_pp).map(Cents::get),
        evenness_cv: reading.and_then(|r| r.evenness_cv).map(f64::from),
        timing_ms: seat.timing_ms,
        choked: seat.choked_of_last(),
        microphone: seat.microphone,
    }
}

fn lane(seat: &Seat, music: &Music, now_us: f64) -> Lane {
    let reading = seat.fresh_reading(now_us);
    let trusted = seat.trusted_reading(now_us);
    let now = music.now(now_us);
    let beat_us = now.beat_us;
    let state = seat.state();
    Lane {
        player_id: seat.player_id.clone(),
        chair: seat.chair,
        name: seat.name.clone(),
        instrument: seat.instrument,
        part: seat.part.clone(),
        state,
        evidence: sayings::evidence(state, now.asked.target, &facts(seat, music, now_us)),
        trusted: trusted.is_some(),
        microphone: seat.microphone,
        capture: reading.and_then(|r| r.capture),
        gain_control_on: seat.gain_control_on,
        check: seat.check.clone(),
        over_line: seat.over_line,
        calibrated: seat.calibrated,
        note: reading.and_then(|r| r.note),
        pulse_rate_hz: trusted.and_then(|r| r.pulse_rate_hz),
        centre_cents: trusted.and_then(|r| r.centre_cents),
        depth_db_pp: trusted.and_then(|r| r.depth_db_pp),
        swing_cents_pp: trusted.and_then(|r| r.swing_cents_pp),
        timing_ms: seat.timing_ms,
        pulses: seat
            .comparable_pulses()
            .filter(|p| now_us - p.time_us.get() <= PULSE_BEATS * beat_us)
            .map(|p| LanePulse { time_us: p.time_us, depth_db: p.depth_db, choked: p.choked })
            .collect(),
        centre_tail: seat
            .centre_tail
            .iter()
            .copied()
            .filter(|&(time_us, _)| now_us - time_us <= RECENT_BEATS * beat_us)
            .collect(),
    }
}

fn section(seats: &[Seat], music: &Music, now_us: f64) -> SectionNow {
    let heard: Vec<&Seat> = seats.iter().filter(|s| s.trusted_reading(now_us).is_some()).collect();
    let now = music.now(now_us);
    let together = music.timeline().zip(now.first_pulse_us()).filter(|_| heard.len() >= 2).and_then(
        |(timeline, since_us)| {
            let since_us = since_us.max(now_us - RECENT_BEATS * now.beat_us);
            let offsets: Vec<_> =
                heard.iter().flat_map(|s| offsets_since(s.comparable_pulses(), timeline, since_us)).collect();
            statistics::together(&offsets)
        },
    );
    SectionNow {
        n_players: count(seats.iter().filter(|s| s.is_in()).count()),
        n_heard: count(heard.len()),
        n_matched: count(seats.iter().filter(|s| s.state() == State::Matched).count()),
        together: together.and_then(|t| Share::clamped(t.resultant)),
        spread_ms: together.and_then(|t| t.spread_ms),
        mean_ms: together.map(|t| t.mean_ms),
    }
}

fn count(n: usize) -> u16 {
    u16::try_from(n).expect("a room has at most 256 seats, a list at most 240 people")
}

fn micros(time_us: f64) -> Micros {
    Micros::clamped(time_us).expect("server time is a number")
}
