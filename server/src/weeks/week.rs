//! One player's weeks: what was played in each, in rehearsals and elsewhere apart, and which rungs were tried and held. A week
//! in which nothing was played is not there, and nothing is ever put in its place. Pure.

use super::calendar::IsoWeek;
use super::figures::Figures;
use super::played::{Played, Where};
use super::rung::Rung;
use std::collections::BTreeMap;
use windrow_protocol::judge::State;
use windrow_protocol::score::PerBeat;

/// What one week came to.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Week {
    pub(crate) week: IsoWeek,
    /// Absent where the player was in no rehearsal.
    pub(crate) rehearsal: Option<Figures>,
    /// Practice and recordings; never mixed into the rehearsals' figures.
    pub(crate) home: Option<Figures>,
    /// The lowest first.
    pub(crate) attempts: Vec<Attempt>,
}

/// A rung that was tried in a week.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Attempt {
    pub(crate) rung: Rung,
    pub(crate) place: Where,
    /// At least once.
    pub(crate) held: bool,
    /// The fault that took most of the judged time.
    pub(crate) in_the_way: Option<State>,
}

impl Week {
    /// Of the stretches of one week.
    fn of(week: IsoWeek, played: &[&Played]) -> Self {
        let figures = |place: Where| {
            let there: Vec<&Played> = played.iter().copied().filter(|p| p.place == place).collect();
            (!there.is_empty()).then(|| Figures::of(&there))
        };
        let mut attempts: BTreeMap<(Rung, bool), Vec<&Played>> = BTreeMap::new();
        for p in played {
            if let Some(rung) = p.rung() {
                attempts.entry((rung, p.place == Where::Home)).or_default().push(p);
            }
        }
        let attempts = attempts.into_iter().map(|((rung, _), of_it)| Attempt {
            rung,
            place: of_it[0].place,
            held: of_it.iter().any(|p| p.held),
            in_the_way: in_the_way(&of_it),
        });
        Self {
            week,
            rehearsal: figures(Where::Rehearsal),
            home: figures(Where::Home),
            attempts: attempts.collect(),
        }
    }

    /// The rungs tried in one place.
    pub(crate) fn attempts_at(&self, place: Where) -> impl Iterator<Item = &Attempt> {
        self.attempts.iter().filter(move |a| a.place == place)
    }

    /// The highest rung held in rehearsals.
    pub(crate) fn held(&self) -> Option<Rung> {
        self.rehearsal.as_ref()?.held
    }

    /// The highest rung held elsewhere.
    pub(crate) fn held_at_home(&self) -> Option<Rung> {
        self.home.as_ref()?.held
    }
}

/// The fault that took most time, each stretch's own for what it was not matched.
fn in_the_way(stretches: &[&Played]) -> Option<State> {
    let lost_s = |state: State| -> f64 {
        let with_it = stretches.iter().filter(|p| p.state == state);
        with_it.map(|p| p.judged_s * (1.0 - p.matched.unwrap_or(0.0))).sum()
    };
    let faults = State::ALL.into_iter().filter(|state| is_fault(*state));
    let lost = faults.map(|state| (state, lost_s(state))).filter(|(_, s)| *s > 0.0);
    lost.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(state, _)| state)
}

/// Whether a state is something that can be practised away.
fn is_fault(state: State) -> bool {
    !matches!(state, State::Matched | State::Resting | State::NotHeard | State::Blended | State::Away)
}

/// The weeks in which anything was played, the oldest first.
pub(crate) fn weeks<'a>(played: impl IntoIterator<Item = &'a Played>) -> Vec<Week> {
    let mut by_week: BTreeMap<IsoWeek, Vec<&Played>> = BTreeMap::new();
    for p in played {
        by_week.entry(IsoWeek::of_unix_ms(p.began_unix_ms)).or_default().push(p);
    }
    by_week.into_iter().map(|(week, played)| Week::of(week, &played)).collect()
}

/// The highest rung held in any rehearsal up to each week.
pub(crate) fn reached(weeks: &[Week]) -> Vec<Option<Rung>> {
    let upwards = weeks.iter().scan(None, |highest: &mut Option<Rung>, week| {
        *highest = (*highest).max(week.held());
        Some(*highest)
    });
    upwards.collect()
}

/// Instruments somebody played, the one played last first.
pub(crate) fn instruments(played: &[Played]) -> Vec<&str> {
    let mut last: BTreeMap<&str, i64> = BTreeMap::new();
    for p in played {
        let at = last.entry(&p.instrument).or_insert(p.began_unix_ms);
        *at = p.began_unix_ms.max(*at);
    }
    let mut instruments: Vec<(&str, i64)> = last.into_iter().collect();
    instruments.sort_by_key(|(_, at)| std::cmp::Reverse(*at));
    instruments.into_iter().map(|(instrument, _)| instrument).collect()
}

/// Subdivisions of which rungs were tried, with how long each was asked for, s; the coarsest first.
pub(crate) fn subdivisions<'a>(played: impl IntoIterator<Item = &'a Played>) -> Vec<(PerBeat, f64)> {
    let mut asked_s: BTreeMap<u8, f64> = BTreeMap::new();
    for p in played {
        if let Some(rung) = p.rung() {
            *asked_s.entry(rung.per_beat.get()).or_default() += p.asked_s;
        }
    }
    asked_s.into_iter().filter_map(|(n, s)| Some((PerBeat::new(n).ok()?, s))).collect()
}

#[cfg(test)]
#[path = "week_tests.rs"]
mod tests;
