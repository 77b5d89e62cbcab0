//! What was made up against what came out: through a room with its usual rules, held against the skill behind each player.

use super::{InventedSession, Season, Skill};
use crate::room::Kept;
use crate::store::SessionKind;
use crate::words::Language;
use std::collections::{BTreeSet, HashMap};
use windrow_protocol::score::Target;
use windrow_room::Stretch;

fn season(n_weeks: u16, n_people: u16, seed: u64) -> Season {
    // 16 April 2026, four in the afternoon.
    Season { n_weeks, n_people, seed, last_unix_ms: 1_776_355_200_000, language: Language::English }
}

fn sessions(season: Season) -> Vec<InventedSession> {
    let person_ids = (0..season.n_people).map(|i| format!("person-{i}")).collect();
    let mut weeks = season.weeks(person_ids);
    std::iter::from_fn(|| weeks.next_week().unwrap()).flatten().collect()
}

fn stretches(session: &InventedSession) -> impl Iterator<Item = &Stretch> {
    let runs = session.kept.iter().filter_map(|kept| match kept {
        Kept::Run(run) => Some(run),
        _ => None,
    });
    runs.flat_map(|run| &run.stretches)
}

/// Pulses a second of a rung: a steady measured stretch of at least four bars.
fn rung_hz(stretch: &Stretch) -> Option<f64> {
    let Target::Pulses { per_beat } = stretch.target else { return None };
    let is_rung = stretch.bpm_to.is_none() && !stretch.loosely && stretch.bars > 3.99;
    is_rung.then(|| stretch.bpm.get() / 60.0 * f64::from(per_beat.get()))
}

/// Whether nothing but rate is the matter with somebody, well within the usual bands.
fn is_without_fault(skill: &Skill, asked_hz: f64) -> bool {
    skill.depth_db > 3.6
        && skill.swing_cents < 26.0
        && skill.choked_share < 0.15
        && skill.late_ms.abs() < 30.0
        && skill.drift_cents < 8.0
        && skill.scatter_ms / 1000.0 * asked_hz < 0.12
}

#[test]
fn the_same_seed_gives_the_same_weeks_and_another_does_not() {
    let first = sessions(season(2, 3, 7));
    assert!(first == sessions(season(2, 3, 7)));
    assert!(first != sessions(season(2, 3, 8)));
    // More weeks go on from the same ones.
    let ids: BTreeSet<_> = first.iter().map(|session| session.session_id.clone()).collect();
    assert_eq!(ids.len(), first.len());
}

#[test]
fn what_the_players_were_made_to_be_comes_out_of_the_room() {
    let sessions = sessions(season(4, 12, 1));
    let (mut n_kept, mut n_beyond, mut n_held) = (0, 0, 0);
    let (mut rates, mut spreads, mut depths) = (Vec::new(), Vec::new(), Vec::new());
    for session in &sessions {
        let skills: HashMap<&str, &Skill> =
            session.truths.iter().map(|truth| (truth.player_id.as_str(), &truth.skill)).collect();
        for stretch in stretches(session) {
            let (skill, Some(asked_hz)) = (skills[stretch.player_id.as_str()], rung_hz(stretch)) else {
                continue;
            };
            let Some(found_hz) = stretch.measures.pulse_rate_hz else { continue };
            let played_hz = skill.played_hz(asked_hz);
            rates.push((found_hz.get() / played_hz - 1.0).abs());
            depths.extend(stretch.measures.depth_db_pp.map(|db| (db.get() / skill.depth_db - 1.0).abs()));
            if skill.keeps(asked_hz) && is_without_fault(skill, asked_hz) {
                n_kept += 1;
                n_held += usize::from(stretch.held);
                spreads.extend(stretch.timing_spread_ms.map(|ms| ms / skill.scatter_ms));
            }
            if played_hz < 0.95 * asked_hz {
                n_beyond += 1;
                assert!(
                    !stretch.held,
                    "{asked_hz} Hz were held by somebody who comes to {played_hz}: {stretch:?}"
                );
            }
        }
    }
    assert!(n_kept >= 60 && n_beyond >= 60, "{n_kept} {n_beyond}");
    let middle = |mut of: Vec<f64>| {
        of.sort_by(f64::total_cmp);
        (of[of.len() / 2], of[of.len() * 95 / 100])
    };
    // The error of a rate over n pulses is the scatter of its two ends: 45 ms over four bars of two seconds and more is under 1 %.
    let (rate, rate_95) = middle(rates);
    assert!(rate < 0.005 && rate_95 < 0.03, "{rate} {rate_95}");
    // A deviation from some thirty pulses that hang together scatters by a quarter.
    let (spread, spread_95) = middle(spreads);
    assert!((0.85..1.15).contains(&spread) && spread_95 < 1.6, "{spread} {spread_95}");
    // The middle of pulses that scatter by 8 %.
    let (depth, depth_95) = middle(depths);
    assert!(depth < 0.02 && depth_95 < 0.06, "{depth} {depth_95}");
    assert!(n_held * 10 >= n_kept * 9, "{n_held} of {n_kept} rungs that the player kept with were held");
}

#[test]
fn somebody_comes_in_the_fifth_week_and_somebody_practises_at_home() {
    let sessions = sessions(season(5, 12, 1));
    let weeks_of = |name: &str, kind: SessionKind| -> Vec<u16> {
        let of_kind = sessions.iter().filter(|session| session.kind == kind);
        of_kind.filter(|s| s.truths.iter().any(|t| t.name == name)).map(|s| s.week).collect()
    };
    assert_eq!(weeks_of("Odette", SessionKind::Rehearsal), [5]);
    assert!(weeks_of("Callum", SessionKind::Rehearsal).iter().all(|week| ![3, 4].contains(week)));
    assert_eq!(weeks_of("Jasper", SessionKind::Practice), [1, 1, 2, 2, 3, 3, 4, 4, 5, 5]);
    assert!(sessions.iter().filter(|s| s.kind == SessionKind::Practice).all(|s| s.truths.len() == 1));
    // Whoever practises gets further than who is stuck.
    let ceiling_hz = |name: &str| {
        let truths = sessions.iter().flat_map(|session| &session.truths).filter(|truth| truth.name == name);
        truths.map(|truth| truth.skill.ceiling_hz).fold(0.0, f64::max)
    };
    assert!(ceiling_hz("Jasper") > ceiling_hz("Maeve") + 1.0);
}
