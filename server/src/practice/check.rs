//! What a practice has to be before it goes to the records: one player's, at a time that can be, nothing twice. What a device calls its
//! player and itself is replaced here by what the server knows. Ranges of single numbers are the types' work. Pure.

use super::{Owner, Practice};
use crate::room::{Binding, Kept, KeptRun};
use std::collections::{BTreeMap, BTreeSet};
use windrow_protocol::judge::State;
use windrow_protocol::messages::PulseBatch;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Target;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::Name;

/// Before this nobody had a Windrow: 1 January 2020.
const EARLIEST_UNIX_MS: i64 = 1_577_836_800_000;
/// A device's calendar may be wrong by so much. Our own choice.
const AHEAD_MS: i64 = 10 * 60_000;
/// Longest practice, server time µs: more breathing drill than anybody should do in a day. Our own choice.
const LONGEST_US: f64 = 6.0 * 3600e6;
/// A time that is told may lie so long before the room's beginning, or behind the end of its run: sound that was heard before.
const SLACK_US: f64 = 60e6;
/// Two runs may share so much: what ends one begins the next.
const OVERLAP_US: f64 = 2e6;
/// Runs of six hours that last half a minute each.
const MAX_RUNS: usize = 720;
/// Of a title or an id.
const MAX_SIGNS: usize = 200;
/// As long as a plan's file may be.
const MAX_PLAN_BYTES: usize = 1024 * 1024;
/// The chair of somebody who plays alone.
const CHAIR: u16 = 1;

/// A practice that can be written down.
#[derive(Debug)]
pub(super) struct Checked {
    /// With the player's row first.
    pub(super) kept: Vec<Kept>,
    /// Of its room's time.
    pub(super) ended_us: i64,
    /// From the first run to the end of the last.
    pub(super) played_unix_ms: (i64, i64),
}

pub(super) fn check(
    practice: Practice,
    owner: &Owner,
    player_id: &str,
    now_unix_ms: i64,
) -> Result<Checked, Phrase> {
    check_head(&practice, now_unix_ms)?;
    let Practice { began_unix_ms, name, instrument, kept, .. } = practice;
    let name = owner.name.clone().unwrap_or(name);
    let player = only_player(&kept)?;
    let mut calibrated = false;
    let (mut rest, mut runs) = (Vec::new(), BTreeMap::new());
    let (mut seqs, mut versions) = (BTreeSet::new(), BTreeSet::new());
    let mut ended_us: f64 = 0.0;
    for one in kept {
        match one {
            Kept::Player { calibrated: is, .. } => calibrated = is,
            Kept::Score { score } => {
                check_time(score.start_us.get(), &mut ended_us)?;
                score.check().map_err(|_| Phrase::of("carried-score"))?;
                if versions.insert(score.version) {
                    rest.push(Kept::Score { score });
                }
            }
            Kept::Pulses { seq, pulses, .. } => {
                if pulses.len() > PulseBatch::MAX {
                    return Err(Phrase::of("carried-batch"));
                }
                for pulse in &pulses {
                    check_time(pulse.time_us.get(), &mut ended_us)?;
                }
                if seqs.insert(seq) {
                    rest.push(Kept::Pulses { player_id: player_id.to_owned(), seq, pulses });
                }
            }
            Kept::Span { mut result, state, .. } => {
                result.timing_ms = sensible(result.timing_ms);
                if seqs.insert(result.seq) {
                    rest.push(Kept::Span { player_id: player_id.to_owned(), result, state });
                }
            }
            Kept::Run(run) => {
                check_time(run.began_us, &mut ended_us)?;
                check_time(run.ended_us, &mut ended_us)?;
                runs.insert(run.told.number, run);
            }
            Kept::Plan { taken_us, title, text } => {
                check_time(taken_us, &mut ended_us)?;
                if title.chars().count() > MAX_SIGNS || text.len() > MAX_PLAN_BYTES {
                    return Err(Phrase::of("carried-plan"));
                }
                rest.push(Kept::Plan { taken_us, title, text });
            }
            // Whoever plays alone has no neighbours.
            Kept::Check { .. } => {}
        }
    }
    if runs.len() > MAX_RUNS {
        return Err(Phrase::of("carried-many-runs").with("n", runs.len()).with("most", MAX_RUNS));
    }
    let runs: Vec<Box<KeptRun>> =
        runs.into_values().map(|run| own(run, &player, player_id, &name)).collect::<Result<_, _>>()?;
    check_order(&runs)?;
    let unix_ms = |us: f64| began_unix_ms + (us / 1e3) as i64;
    if unix_ms(ended_us) > now_unix_ms + AHEAD_MS {
        return Err(Phrase::of("carried-future"));
    }
    let played = (
        runs.first().map_or(0.0, |run| run.began_us),
        runs.iter().map(|run| run.ended_us).fold(0.0, f64::max),
    );
    let first = Kept::Player {
        player_id: player_id.to_owned(),
        chair: CHAIR,
        name: name.as_str().to_owned(),
        instrument,
        calibrated,
        token: owner.token.clone().unwrap_or_default(),
        person_id: owner.person_id.clone(),
        binding: Binding::Person,
    };
    let kept = std::iter::once(first).chain(rest).chain(runs.into_iter().map(Kept::Run)).collect();
    Ok(Checked { kept, ended_us: ended_us as i64, played_unix_ms: (unix_ms(played.0), unix_ms(played.1)) })
}

fn check_head(practice: &Practice, now_unix_ms: i64) -> Result<(), Phrase> {
    let is_id =
        |id: &str| (8..=64).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    if !is_id(&practice.origin_id) {
        return Err(Phrase::of("carried-id"));
    }
    if practice.protocol_version > windrow_protocol::PROTOCOL_VERSION {
        return Err(Phrase::of("carried-newer"));
    }
    if practice.began_unix_ms < EARLIEST_UNIX_MS {
        return Err(Phrase::of("carried-past"));
    }
    if practice.began_unix_ms > now_unix_ms + AHEAD_MS {
        return Err(Phrase::of("carried-future"));
    }
    if practice.plan_title.chars().count() > MAX_SIGNS {
        return Err(Phrase::of("carried-plan"));
    }
    if practice.a4_hz.is_some_and(|a4| !(415.0..=446.0).contains(&a4.get())) {
        return Err(Phrase::of("carried-tuning"));
    }
    Ok(())
}

/// The one player that everything is about.
fn only_player(kept: &[Kept]) -> Result<String, Phrase> {
    let mut players = kept.iter().filter_map(|one| match one {
        Kept::Player { player_id, .. } | Kept::Pulses { player_id, .. } | Kept::Span { player_id, .. } => {
            Some(player_id)
        }
        Kept::Score { .. } | Kept::Run(_) | Kept::Plan { .. } | Kept::Check { .. } => None,
    });
    let player = players.next().ok_or_else(|| Phrase::of("carried-nobody"))?;
    if players.any(|other| other != player) {
        return Err(Phrase::of("carried-several"));
    }
    Ok(player.clone())
}

fn check_time(time_us: f64, ended_us: &mut f64) -> Result<(), Phrase> {
    if !(-SLACK_US..=LONGEST_US).contains(&time_us) {
        return Err(Phrase::of("carried-long").with("hours", LONGEST_US / 3600e6));
    }
    *ended_us = ended_us.max(time_us);
    Ok(())
}

/// A run as its owner's; what does not fit together is refused.
fn own(mut run: Box<KeptRun>, player: &str, player_id: &str, name: &Name) -> Result<Box<KeptRun>, Phrase> {
    let bad = || Phrase::of("carried-run").with("n", run.told.number);
    let lasts_s = (run.ended_us - run.began_us) / 1e6;
    let n_parts = run.told.spans.len();
    let ids = run.told.players.iter().map(|p| &p.player_id);
    let ids = ids
        .chain(run.glance.lanes.iter().map(|l| &l.player_id))
        .chain(run.traces.iter().map(|t| &t.player_id));
    let is_own = ids.chain(run.stretches.iter().map(|s| &s.player_id)).all(|id| id == player);
    let is_alone = run.told.players.len() <= 1
        && run.glance.lanes.len() <= run.glance.bars.len()
        && run.traces.len() <= 1;
    let fits = run.glance.number == run.told.number
        && run.told.number > 0
        && run.glance.asked.len() == n_parts
        && run.told.players.iter().all(|p| p.spans.len() == n_parts)
        && run.glance.lanes.iter().all(|lane| usize::from(lane.bar) < run.glance.bars.len());
    let mut parts = BTreeSet::new();
    let is_stretched = run.stretches.iter().all(|s| {
        usize::from(s.part) < n_parts
            && parts.insert(s.part)
            && (run.began_us - SLACK_US..=run.ended_us + SLACK_US).contains(&s.began_us)
            && (0.0..=1e4).contains(&s.bars)
            && (0.0..=lasts_s + 1.0).contains(&s.asked_s)
            && (0.0..=s.asked_s + 1.0).contains(&s.judged_s)
    });
    let is_music = Timeline::new(run.score.clone()).is_ok() && run.has_possible_numbers();
    if !(lasts_s >= 0.0 && is_own && is_alone && fits && is_stretched && is_music) || run.told.imaginary {
        return Err(bad());
    }
    run.told.is_over = true;
    for one in &mut run.told.players {
        (one.player_id, one.chair, one.name) = (player_id.to_owned(), CHAIR, name.clone());
    }
    for lane in &mut run.glance.lanes {
        (lane.player_id, lane.chair) = (player_id.to_owned(), CHAIR);
    }
    for trace in &mut run.traces {
        trace.player_id = player_id.to_owned();
        trace.left_out_ms = sensible(Some(trace.left_out_ms)).unwrap_or(0.0);
    }
    for stretch in &mut run.stretches {
        stretch.player_id = player_id.to_owned();
        stretch.timing_spread_ms = sensible(stretch.timing_spread_ms);
        stretch.measures.timing_ms = sensible(stretch.measures.timing_ms);
        // What cannot be a rung is none, whatever the device calls it.
        stretch.held &= matches!(stretch.target, Target::Pulses { .. })
            && stretch.bpm_to.is_none()
            && !stretch.loosely
            && stretch.measures.state == State::Matched;
    }
    let measures =
        run.told.players.iter_mut().flat_map(|p| p.spans.iter_mut().flatten().chain([&mut p.whole]));
    measures.for_each(|measures| measures.timing_ms = sensible(measures.timing_ms));
    let section = &mut run.told.section;
    (section.spread_ms, section.mean_ms) = (sensible(section.spread_ms), sensible(section.mean_ms));
    Ok(run)
}

/// Measures of timing have no checked range: an hour off says nothing.
fn sensible(ms: Option<f64>) -> Option<f64> {
    ms.filter(|ms| ms.abs() < 3.6e6)
}

/// Runs follow one another as they are numbered.
fn check_order(runs: &[Box<KeptRun>]) -> Result<(), Phrase> {
    match runs.windows(2).find(|pair| pair[1].began_us < pair[0].ended_us - OVERLAP_US) {
        Some(pair) => {
            let (n, next) = (pair[0].told.number, pair[1].told.number);
            Err(Phrase::of("carried-overlap").with("n", n).with("next", next))
        }
        None => Ok(()),
    }
}
