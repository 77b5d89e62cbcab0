//! Time asked, trusted and judged in each part of an exercise. Where a part was too short for the room's running verdict, its
//! pulses are judged as a whole. Pure; knows only the protocol.

use super::heard::{Asked, Heard, Standing};
use super::measures::{Music, Part, figures, has_pulses, pulses_of};
use windrow_protocol::judge::{self, Evidence, State, judge};
use windrow_protocol::messages::Measures;
use windrow_protocol::score::{Span, Target};
use windrow_protocol::units::{Cents, Decibels, Ratio};

/// The running verdict waits until a rate rests on a part's own pulses, which takes longer than a bar of quarters lasts, and it
/// knows no timing before the fourth. Where it says nothing for half of the time or more that was asked, or where a part has
/// fewer pulses than twice those that it looks at, the part is judged by all its pulses, if a quarter of the time could be
/// trusted (a rhythm is only after two and a half pulses). Our own choice.
const RUNNING_SHARE: f64 = 0.5;
const RUNNING_PULSES: u32 = 16;
const TRUSTED_SHARE: f64 = 0.25;

/// A part's time.
pub(super) fn of_part(music: Music<'_>, part: &Part, heard: &Heard) -> Asked {
    let mut all = running(part, heard);
    if let Some(state) = by_pulses(music, part, heard, &all) {
        all.standing = Standing::of_one(state, all.trusted_us);
    }
    all
}

/// A part's time as the running verdict has it.
fn running(part: &Part, heard: &Heard) -> Asked {
    let mut all = Asked::default();
    for asked in part.spans.iter().filter_map(|span| heard.spans.get(span)) {
        all.add(asked);
    }
    all
}

/// The time of a whole exercise. Where it asks for vibrato in some parts, the verdict is that on those: who keeps a straight
/// tone before it is not matched for that.
pub(super) fn of_whole(music: Music<'_>, parts: &[Part], heard: &Heard) -> Asked {
    let (mut all, mut vibrato) = (Asked::default(), Asked::default());
    for part in parts {
        let of_part = of_part(music, part, heard);
        all.add(&of_part);
        if is_vibrato(music, part) {
            vibrato.add(&of_part);
        }
    }
    if vibrato.standing.judged_us() > 0.0 {
        (all.standing, all.about_us) = (vibrato.standing, vibrato.about_us);
    }
    all
}

fn is_vibrato(music: Music<'_>, part: &Part) -> bool {
    music.span(part.spans[0]).target != Target::Straight
}

/// What the last part that could be judged came to by its end; one that asks for vibrato, where any does.
pub(super) fn in_the_end(music: Music<'_>, parts: &[Part], heard: &Heard) -> Option<State> {
    let any = parts.iter().any(|part| is_vibrato(music, part));
    let asked = parts.iter().enumerate().rev().filter(|(_, part)| !any || is_vibrato(music, part));
    let (idx, state) = asked
        .into_iter()
        .find_map(|(idx, part)| Some((idx, of_part(music, part, heard).standing.longest()?)))?;
    let is_last = idx + 1 == parts.len()
        && by_pulses(music, &parts[idx], heard, &running(&parts[idx], heard)).is_none();
    heard.lately().filter(|_| is_last).or(Some(state))
}

/// The verdict on a part's pulses as a whole, where that is to be preferred.
fn by_pulses(music: Music<'_>, part: &Part, heard: &Heard, all: &Asked) -> Option<State> {
    if all.asked_us <= 0.0 || all.trusted_us < TRUSTED_SHARE * all.asked_us {
        return None;
    }
    let span = music.span(part.spans[0]);
    let is_running = all.standing.judged_us() > RUNNING_SHARE * all.asked_us;
    if is_running && (!is_vibrato(music, part) || has_pulses(music, part, heard, all, RUNNING_PULSES)) {
        return None;
    }
    let m = figures(music, &[part], heard, all);
    let pulses = pulses_of(music, &[part], heard);
    let enough = u32::from(music.bands.rate_pulses);
    // A tone with one or two pulses is neither straight nor pulsed, and one with pulses that are still on their way is not straight.
    let is_pulsed = m.n_pulses >= enough;
    let is_straight = m.n_pulses == 0 && all.n_pulsed == 0 && m.centre_cents.is_some();
    if !is_pulsed && !is_straight {
        return None;
    }
    let n_choked = pulses.iter().filter(|(_, p)| p.choked).count();
    let evidence = Evidence {
        present: true,
        heard: true,
        trusted: true,
        pulsed: is_pulsed,
        n_pulses: u16::try_from(m.n_pulses).unwrap_or(u16::MAX),
        pulse_rate_hz: rate_at_first_tempo(span, &m),
        depth_db: m.depth_db_pp.map(Decibels::get),
        swing_cents: m.swing_cents_pp.map(Cents::get),
        centre_cents: m.centre_cents.map(Cents::get),
        straight_reference_cents: m
            .centre_cents
            .zip(m.from_straight_cents)
            .map(|(centre, from)| centre.get() - from.get()),
        evenness_cv: m.evenness_cv.map(Ratio::get),
        choked_share: is_pulsed.then(|| n_choked as f64 / pulses.len().max(1) as f64),
        timing_ms: m.timing_ms,
        levels_changed: heard.levels_changed,
        ..Evidence::default()
    };
    Some(judge(&evidence, &judge::Asked::of(span, span.bpm.get()), &music.bands))
}

/// The rate as it would be at the span's first tempo, which it is held against: a tempo may change on the way.
fn rate_at_first_tempo(span: &Span, m: &Measures) -> Option<f64> {
    match span.target {
        Target::Pulses { .. } => m.pulses_per_beat.map(|n| n.get() * span.bpm.get() / 60.0),
        _ => m.pulse_rate_hz.map(f64::from),
    }
}
