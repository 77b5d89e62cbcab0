//! What to do next: one rung and one exercise, with the reason. A table of rules, asked in order; the first that holds
//! decides. Nobody is led more than one metronome mark beyond what was held, nor over the ceiling of a vibrato. Pure.

use super::calendar::IsoWeek;
use super::figures::weighted_median;
use super::played::Where;
use super::rung::Rung;
use super::week::{Attempt, Week};
use windrow_protocol::judge::{Bands, State};
use windrow_protocol::messages::{Practise, PractiseHow};
use windrow_protocol::metronome::Step;
use windrow_protocol::units::Bpm;

/// Weeks back from the newest one that say where a player stands. Our own choice.
pub(super) const RECENT_WEEKS: i64 = 6;
/// After so many weeks without playing one begins lower. Our own choice.
pub(super) const AWAY_WEEKS: i64 = 4;
/// A rung held in so many weeks is held for certain; one can be luck. Our own choice.
const SURE_WEEKS: usize = 2;
/// A rung tried in so many weeks and never held wants something else than trying. Our own choice.
pub(super) const STUCK_WEEKS: usize = 3;
/// Uneven pulses are practised this much slower, as after a rehearsal. Our own choice.
const WELL_SLOWER: f64 = 0.9;
/// Breaths before a rest at home: with a breath every four bars that is under three minutes at 60. Our own choice.
const BREATHS: u8 = 10;

/// What to do next.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Next {
    /// Absent where there is nothing to go by, or no rung is left.
    pub(crate) rung: Option<Rung>,
    pub(crate) why: Why,
    /// Absent where there is nothing to go by.
    pub(crate) home: Option<AtHome>,
}

/// The reason, one for each rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Why {
    /// Nothing was measured yet.
    Nothing,
    /// Straight tones alone were played.
    FirstPulses,
    /// Nothing was played for a while.
    Away { n_weeks: i64, held: Option<Rung> },
    /// Nothing was held, and the lowest rung was tried often.
    TooFast { tried: Rung, n_weeks: usize },
    /// Nothing was held yet.
    NotYet { in_the_way: Option<State> },
    /// The rung after the one held was tried often and not held.
    Stuck { held: Rung, tried: Rung, n_weeks: usize, in_the_way: Option<State> },
    /// Held, with small pulses.
    Deepen { held: Rung, depth_db_pp: f64 },
    /// Held at home already.
    AtHome { held: Rung },
    /// Tried and not held yet.
    TryAgain { held: Rung },
    /// Held in one week.
    OnceMore { held: Rung },
    /// Held in several weeks.
    Onwards { held: Rung, n_weeks: usize },
    /// Held, and nothing faster is a vibrato.
    Musical { held: Rung },
}

/// What to play at home.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AtHome {
    pub(crate) practise: Practise,
    /// How many, and then a rest.
    pub(crate) breaths: u8,
}

/// Where a player stands.
struct Standing<'a> {
    /// The recent weeks in which the player was in a rehearsal; practice at home where there never was one.
    recent: Vec<&'a Week>,
    place: Where,
}

impl<'a> Standing<'a> {
    fn of(weeks: &'a [Week]) -> Self {
        let place = if weeks.iter().any(|w| w.rehearsal.is_some()) { Where::Rehearsal } else { Where::Home };
        let is_there = |w: &&Week| match place {
            Where::Rehearsal => w.rehearsal.is_some(),
            Where::Home => w.home.is_some(),
        };
        let newest = weeks.iter().rfind(is_there).map(|w| w.week);
        let is_recent = |w: &&Week| newest.is_some_and(|newest| newest.since(w.week) < RECENT_WEEKS);
        Self { recent: weeks.iter().filter(is_there).filter(is_recent).collect(), place }
    }

    fn attempts(&self) -> impl Iterator<Item = &'a Attempt> {
        let place = self.place;
        self.recent.iter().flat_map(move |w| w.attempts_at(place))
    }

    fn held(&self) -> Option<Rung> {
        self.attempts().filter(|a| a.held).map(|a| a.rung).max()
    }

    /// The lowest rung above one that was tried and not held.
    fn tried_above(&self, held: Option<Rung>) -> Option<Rung> {
        self.attempts().map(|a| a.rung).filter(|rung| held.is_none_or(|held| *rung > held)).min()
    }

    fn n_weeks(&self, counts: impl Fn(&Attempt) -> bool) -> usize {
        self.recent.iter().filter(|w| w.attempts_at(self.place).any(&counts)).count()
    }

    /// What stood in the way of a rung when it was tried last.
    fn in_the_way(&self, rung: Rung) -> Option<State> {
        let tried = self.attempts().filter(|a| a.rung == rung && !a.held);
        tried.filter_map(|a| a.in_the_way).last()
    }

    /// Middle depth of the weeks in which a rung or a higher one was held.
    fn depth_db_pp(&self, held: Rung) -> Option<f64> {
        let with_it =
            self.recent.iter().filter(|w| w.attempts_at(self.place).any(|a| a.held && a.rung >= held));
        let figures = with_it.filter_map(|w| match self.place {
            Where::Rehearsal => w.rehearsal.as_ref(),
            Where::Home => w.home.as_ref(),
        });
        weighted_median(figures.filter_map(|f| Some((f.depth_db_pp?, f.judged_s))).collect())
    }

    /// The highest rung held at home lately, where that is not where everything was played anyway.
    fn held_at_home(&self, weeks: &[Week]) -> Option<Rung> {
        let first = self.recent.first().filter(|_| self.place == Where::Rehearsal)?.week;
        weeks.iter().filter(|w| w.week >= first).filter_map(Week::held_at_home).max()
    }
}

/// What to do next, by all of a player's weeks with one instrument.
pub(crate) fn next(weeks: &[Week], today: IsoWeek) -> Next {
    let standing = Standing::of(weeks);
    let Some(newest) = weeks.last().map(|w| w.week) else {
        return Next { rung: None, why: Why::Nothing, home: None };
    };
    let held = standing.held();
    let tried = standing.tried_above(held);
    let n_weeks = today.since(newest);
    if n_weeks >= AWAY_WEEKS {
        let rung = held.or(tried).unwrap_or_else(Rung::first).slower();
        return at(rung, Why::Away { n_weeks, held }, slowly(rung));
    }
    match (held, tried) {
        (None, None) => {
            let is_judged = weeks.iter().any(|w| w.rehearsal.iter().chain(&w.home).any(|f| f.judged_s > 0.0));
            if !is_judged {
                return Next { rung: None, why: Why::Nothing, home: None };
            }
            let first = Rung::first();
            at(first, Why::FirstPulses, against(State::Straight, first))
        }
        (None, Some(tried)) => from_below(&standing, tried),
        (Some(held), tried) => from(&standing, held, tried, weeks),
    }
}

/// Nothing is held yet.
fn from_below(standing: &Standing<'_>, tried: Rung) -> Next {
    let n_weeks = standing.n_weeks(|a| a.rung == tried);
    let in_the_way = standing.in_the_way(tried);
    let home = in_the_way.map_or_else(|| slowly(tried), |state| against(state, tried));
    if n_weeks >= STUCK_WEEKS && tried.slower() != tried {
        return at(tried.slower(), Why::TooFast { tried, n_weeks }, home);
    }
    at(tried, Why::NotYet { in_the_way }, home)
}

fn from(standing: &Standing<'_>, held: Rung, tried: Option<Rung>, weeks: &[Week]) -> Next {
    let slower = slowly(held.slower());
    if let Some(depth_db_pp) = standing.depth_db_pp(held).filter(|db| *db < Bands::default().shallow_db) {
        return at(held, Why::Deepen { held, depth_db_pp }, against(State::Shallow, held));
    }
    let n_weeks = standing.n_weeks(|a| a.held && a.rung >= held);
    let Some(next) = held.next() else {
        return Next {
            rung: None,
            why: Why::Musical { held },
            home: Some(AtHome { practise: slower, breaths: BREATHS }),
        };
    };
    if let Some(tried) = tried {
        let in_the_way = standing.in_the_way(tried);
        let home = in_the_way.map_or(slower, |state| against(state, held));
        let n_weeks = standing.n_weeks(|a| a.rung == tried);
        if n_weeks >= STUCK_WEEKS {
            return at(held, Why::Stuck { held, tried, n_weeks, in_the_way }, home);
        }
        if standing.held_at_home(weeks).is_none_or(|at_home| at_home <= held) {
            // What the teacher chose, where it is no faster.
            let rung = if tried.rate_hz() <= next.rate_hz() { tried } else { next };
            return at(rung, Why::TryAgain { held }, home);
        }
    }
    if standing.held_at_home(weeks).is_some_and(|at_home| at_home > held) {
        return at(next, Why::AtHome { held }, slower);
    }
    if n_weeks >= SURE_WEEKS {
        at(next, Why::Onwards { held, n_weeks }, slower)
    } else {
        at(held, Why::OnceMore { held }, slower)
    }
}

fn at(rung: Rung, why: Why, practise: Practise) -> Next {
    Next { rung: Some(rung), why, home: Some(AtHome { practise, breaths: BREATHS }) }
}

/// Without anybody who listens a rung is played as it comes easily.
fn slowly(rung: Rung) -> Practise {
    Practise { how: PractiseHow::Slower, per_beat: Some(rung.per_beat), bpm: Some(rung.bpm), then_bpm: None }
}

/// What helps against a fault, as after a rehearsal.
pub(super) fn against(state: State, rung: Rung) -> Practise {
    let on =
        |how, at: Rung, then_bpm| Practise { how, per_beat: Some(at.per_beat), bpm: Some(at.bpm), then_bpm };
    let simply = |how| Practise { how, per_beat: None, bpm: None, then_bpm: None };
    let (slower, first) = (rung.slower(), Rung::first());
    match state {
        State::Fast | State::Slow => {
            on(PractiseHow::SlowerThenBack, slower, (slower != rung).then_some(rung.bpm))
        }
        State::Uneven => on(PractiseHow::Slower, well_slower(rung), None),
        State::Early | State::Late => on(PractiseHow::WithTick, slower, None),
        State::ChokedValleys => on(PractiseHow::HalfDepth, rung, None),
        State::Shallow => on(PractiseHow::Deep, first, None),
        State::PitchLed => on(PractiseHow::StraightThenPulses, first, None),
        State::DriftingSharp | State::DriftingFlat => simply(PractiseHow::StraightEaseStraight),
        State::Sharp | State::Flat => simply(PractiseHow::TuneThenPulses),
        _ => on(PractiseHow::OneOnEachTick, first, None),
    }
}

/// The highest metronome mark that is slower by a tenth.
fn well_slower(rung: Rung) -> Rung {
    let marks = std::iter::successors(Some(rung.bpm), |&bpm: &Bpm| Step::Slower.from(bpm));
    let aim = WELL_SLOWER * rung.bpm.get();
    let bpm = marks.into_iter().find(|bpm| bpm.get() <= aim);
    bpm.map_or(rung, |bpm| Rung { bpm, ..rung })
}

#[cfg(test)]
#[path = "next_tests.rs"]
mod tests;
