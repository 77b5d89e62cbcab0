//! The section over weeks: who moved, who is stuck, who was away, and what to plan next, with the reason. Every player counts
//! once, with the instrument played last; practice at home is told apart and decides nothing. Pure.

use super::calendar::IsoWeek;
use super::next::{AWAY_WEEKS, RECENT_WEEKS, STUCK_WEEKS, against};
use super::played::Where;
use super::rung::Rung;
use super::week::{Attempt, Week};
use std::collections::BTreeMap;
use windrow_protocol::judge::State;
use windrow_protocol::messages::Practise;

/// Somebody moved who holds more than so many weeks ago. A month of rehearsals; our own choice.
const AGO_WEEKS: i64 = 4;
/// Who was in within so many weeks counts when the next rehearsal is planned. Our own choice.
const PRESENT_WEEKS: i64 = 4;
/// One in so many stuck at something keeps the section where it is. Our own choice.
const STUCK_PART: usize = 3;

/// A rung that somebody tries and does not come to hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stuck {
    pub(crate) rung: Rung,
    /// Of the recent ones.
    pub(crate) n_weeks: usize,
    /// What stood in the way when it was tried last.
    pub(crate) in_the_way: Option<State>,
}

/// How a player stands at the section's newest rehearsal.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Now {
    /// The highest rung held in rehearsals.
    pub(crate) reached: Option<Rung>,
    /// The same [`AGO_WEEKS`] ago.
    pub(crate) before: Option<Rung>,
    /// Whether the first rehearsal was later than that.
    pub(crate) is_new: bool,
    pub(crate) stuck: Option<Stuck>,
    /// Weeks with a rehearsal since the last one with this player in it.
    pub(crate) n_missed: usize,
    /// Whether this player counts for what is planned.
    pub(crate) is_present: bool,
    /// Held at home lately, where that is more.
    pub(crate) at_home: Option<Rung>,
}

impl Now {
    /// Holds a faster one than before. Of two with the same rate nothing says which is harder.
    pub(crate) fn has_moved(&self) -> bool {
        match (self.reached, self.before) {
            (Some(now), Some(before)) => now.rate_hz() > before.rate_hz(),
            (now, before) => now > before,
        }
    }
}

/// What to plan for the section.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PlanNext {
    /// Absent where there is nothing to go by, or nothing faster to lead to.
    pub(crate) rung: Option<Rung>,
    pub(crate) why: PlanWhy,
    /// Against what stood in the way of most.
    pub(crate) help: Option<Help>,
}

/// The reason, one for each rule. `n_of` counts who was in lately.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum PlanWhy {
    /// Nothing was tried yet.
    Nothing,
    /// There was no rehearsal for a while.
    AfterBreak { n_weeks: i64, held: Option<Rung> },
    /// Less than half hold any rung.
    Begin { n_hold: usize, n_of: usize },
    /// Half or more hold a rung, but too many are stuck above it.
    Stay { held: Rung, n_stuck: usize, n_of: usize },
    /// Half or more hold a rung: the next one.
    Onwards { held: Rung, n_hold: usize, n_of: usize },
    /// The same, and nothing faster is a vibrato.
    Musical { held: Rung, n_hold: usize, n_of: usize },
}

/// What stood in the way of most, and what helps.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Help {
    pub(crate) state: State,
    pub(crate) n_players: usize,
    pub(crate) practise: Practise,
}

/// Weeks in which anybody was in a rehearsal, the oldest first.
fn rehearsal_weeks(members: &[Vec<Week>]) -> Vec<IsoWeek> {
    let rehearsed = members.iter().flatten().filter(|w| w.rehearsal.is_some()).map(|w| w.week);
    let mut weeks: Vec<IsoWeek> = rehearsed.collect();
    weeks.sort_unstable();
    weeks.dedup();
    weeks
}

/// How each player stands.
pub(crate) fn now(members: &[Vec<Week>]) -> Vec<Now> {
    let rehearsed = rehearsal_weeks(members);
    let Some(newest) = rehearsed.last().copied() else {
        return members.iter().map(|weeks| stands(weeks, None, 0)).collect();
    };
    let stand = |weeks: &Vec<Week>| {
        let last = weeks.iter().rfind(|w| w.rehearsal.is_some()).map(|w| w.week);
        let n_missed = rehearsed.iter().filter(|week| last.is_none_or(|last| **week > last)).count();
        stands(weeks, Some(newest), n_missed)
    };
    members.iter().map(stand).collect()
}

fn stands(weeks: &[Week], newest: Option<IsoWeek>, n_missed: usize) -> Now {
    let held_up_to = |up_to: Option<IsoWeek>| {
        weeks.iter().filter(|w| up_to.is_none_or(|up_to| w.week <= up_to)).filter_map(Week::held).max()
    };
    let ago = newest.map(|week| week.plus(-AGO_WEEKS));
    let rehearsed = || weeks.iter().filter(|w| w.rehearsal.is_some()).map(|w| w.week);
    let reached = held_up_to(None);
    let recent = recent(weeks, newest);
    let before = ago.and_then(|ago| held_up_to(Some(ago)));
    let is_new = ago.is_some_and(|ago| rehearsed().all(|week| week > ago));
    // Who came to another rung meanwhile is not stuck, whatever else was tried on the way.
    let is_moving = !is_new && reached > before;
    Now {
        reached,
        before,
        is_new,
        stuck: stuck(weeks, &recent).filter(|_| !is_moving),
        n_missed,
        is_present: newest.is_some_and(|newest| rehearsed().any(|week| newest.since(week) < PRESENT_WEEKS)),
        at_home: recent.iter().filter_map(|w| w.held_at_home()).max().filter(|rung| Some(*rung) > reached),
    }
}

fn recent(weeks: &[Week], newest: Option<IsoWeek>) -> Vec<&Week> {
    let is_recent = |w: &&Week| newest.is_some_and(|newest| newest.since(w.week) < RECENT_WEEKS);
    weeks.iter().filter(is_recent).collect()
}

/// Tried in rehearsals of a week and not held.
fn not_held(week: &Week) -> impl Iterator<Item = &Attempt> {
    week.attempts_at(Where::Rehearsal).filter(|a| !a.held)
}

/// What was tried in the most recent weeks of all that was never held, nor anything faster of the same subdivision.
fn stuck(weeks: &[Week], recent: &[&Week]) -> Option<Stuck> {
    let held: Vec<Rung> = weeks
        .iter()
        .flat_map(|w| w.attempts_at(Where::Rehearsal))
        .filter(|a| a.held)
        .map(|a| a.rung)
        .collect();
    let is_behind = |rung: Rung| held.iter().any(|h| h.per_beat == rung.per_beat && *h >= rung);
    let mut tried: BTreeMap<Rung, Stuck> = BTreeMap::new();
    for attempt in recent.iter().flat_map(|w| not_held(w)).filter(|a| !is_behind(a.rung)) {
        let nothing = Stuck { rung: attempt.rung, n_weeks: 0, in_the_way: None };
        let stuck = tried.entry(attempt.rung).or_insert(nothing);
        stuck.n_weeks += 1;
        stuck.in_the_way = attempt.in_the_way.or(stuck.in_the_way);
    }
    // Of several the lowest: it comes first in the order, and in the way of the others.
    let mut most: Option<Stuck> = None;
    for stuck in tried.into_values().filter(|stuck| stuck.n_weeks >= STUCK_WEEKS) {
        if most.is_none_or(|most| stuck.n_weeks > most.n_weeks) {
            most = Some(stuck);
        }
    }
    most
}

/// What to plan next, by how everybody stands; `now` as [`now`] gives it for the same players.
pub(crate) fn plan_next(members: &[Vec<Week>], now: &[Now], today: IsoWeek) -> PlanNext {
    let Some(newest) = rehearsal_weeks(members).last().copied() else {
        return PlanNext { rung: None, why: PlanWhy::Nothing, help: None };
    };
    let present: Vec<(&Vec<Week>, &Now)> = members.iter().zip(now).filter(|(_, n)| n.is_present).collect();
    let n_of = present.len();
    let held = common(&present);
    let to = |rung: Option<Rung>, why| {
        let help = rung.or(held).and_then(|rung| help(&present, newest, rung));
        PlanNext { rung, why, help }
    };
    let n_weeks = today.since(newest);
    if n_weeks >= AWAY_WEEKS {
        let rung = held.unwrap_or_else(Rung::first).slower();
        return to(Some(rung), PlanWhy::AfterBreak { n_weeks, held });
    }
    let Some(held) = held else {
        let n_hold = present.iter().filter(|(_, n)| n.reached.is_some()).count();
        return to(Some(Rung::first()), PlanWhy::Begin { n_hold, n_of });
    };
    let n_hold = present.iter().filter(|(_, n)| n.reached >= Some(held)).count();
    let n_stuck = present.iter().filter(|(_, n)| n.stuck.is_some_and(|stuck| stuck.rung > held)).count();
    if n_stuck * STUCK_PART >= n_of {
        return to(Some(held), PlanWhy::Stay { held, n_stuck, n_of });
    }
    match held.next() {
        Some(next) => to(Some(next), PlanWhy::Onwards { held, n_hold, n_of }),
        None => to(None, PlanWhy::Musical { held, n_hold, n_of }),
    }
}

/// The highest rung that half of them or more hold.
fn common(present: &[(&Vec<Week>, &Now)]) -> Option<Rung> {
    let mut reached: Vec<Option<Rung>> = present.iter().map(|(_, now)| now.reached).collect();
    reached.sort_unstable_by(|a, b| b.cmp(a));
    reached.get(reached.len().div_ceil(2).checked_sub(1)?).copied().flatten()
}

/// Each player's latest difficulty counts once; one that a single player has is no matter of the section's.
fn help(present: &[(&Vec<Week>, &Now)], newest: IsoWeek, rung: Rung) -> Option<Help> {
    let latest = |weeks: &Vec<Week>| {
        let recent = recent(weeks, Some(newest));
        recent.into_iter().rev().flat_map(not_held).find_map(|a| a.in_the_way)
    };
    let found: Vec<State> = present.iter().filter_map(|(weeks, _)| latest(weeks)).collect();
    let count = |state: State| found.iter().filter(|f| **f == state).count();
    let mut most: Option<(State, usize)> = None;
    for state in State::ALL {
        if most.is_none_or(|(_, n)| count(state) > n) {
            most = Some((state, count(state)));
        }
    }
    let (state, n_players) = most.filter(|(_, n)| *n >= 2)?;
    Some(Help { state, n_players, practise: against(state, rung) })
}

#[cfg(test)]
#[path = "section_tests.rs"]
mod tests;
