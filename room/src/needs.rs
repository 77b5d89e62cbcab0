//! Who needs what: from all runs of a rehearsal, what stood in each player's way and what to practise next. Pure; knows only
//! results and what was asked, neither time nor seats. Words are the page's.

use super::sayings::urgency;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Measures, Need, PartAsked, PlayerResult, Practise, PractiseHow, Run};
use windrow_protocol::metronome::Step;
use windrow_protocol::score::{PerBeat, Target};
use windrow_protocol::units::Bpm;

/// The last run of a rehearsal counts so many times as much as the first. Our own choice.
const LAST_COUNTS: f64 = 2.0;
/// From this share of what could be judged on faults are worth practising; below it a slip was a slip. Our own choice.
const WORTH_SHARE: f64 = 0.25;
/// From this share of runs on who blended should be heard alone. As for the room's suggestion.
const BLENDED_SHARE: f64 = 1.0 / 3.0;
/// Who could be trusted for so much of the time was heard. As for the room's suggestion.
const HEARD_SHARE: f64 = 0.2;
/// Uneven pulses are practised this much slower. Our own choice.
const WELL_SLOWER: f64 = 0.9;
/// The tempo at which everything begins.
const FIRST_BPM: f64 = 60.0;

/// A run and what each of its parts asked for.
pub(super) type Played<'a> = (&'a Run, &'a [PartAsked]);

/// In chair order of the last run that each was in; nobody of whom there is nothing to say.
pub(super) fn needs(runs: &[Played<'_>]) -> Vec<Need> {
    let mut people: Vec<(u16, &str)> = Vec::new();
    for player in runs.iter().rev().flat_map(|(run, _)| &run.players) {
        if !people.iter().any(|(_, id)| *id == player.player_id) {
            people.push((player.chair, &player.player_id));
        }
    }
    people.sort_unstable();
    people.into_iter().filter_map(|(chair, player_id)| need(runs, chair, player_id)).collect()
}

/// One player in one run.
#[derive(Debug, Clone, Copy)]
struct Turn<'a> {
    result: &'a PlayerResult,
    asked: &'a [PartAsked],
    weight: f64,
}

fn need(runs: &[Played<'_>], chair: u16, player_id: &str) -> Option<Need> {
    let last = runs.len().saturating_sub(1).max(1) as f64;
    let turns: Vec<Turn<'_>> = runs
        .iter()
        .enumerate()
        .filter_map(|(i, (run, asked))| {
            let result = run.players.iter().find(|p| p.player_id == player_id)?;
            Some(Turn { result, asked, weight: 1.0 + (LAST_COUNTS - 1.0) * i as f64 / last })
        })
        .filter(|turn| !matches!(turn.result.whole.state, State::Resting | State::Away))
        .collect();
    let said = |state, practise| Some(Need { player_id: player_id.to_owned(), chair, state, practise });
    if let Some(state) = worst(&turns) {
        return said(state, against(state, &turns));
    }
    let n_in = |state| turns.iter().filter(|t| t.result.whole.state == state).count();
    let n_blended = n_in(State::Blended);
    if n_blended > 0 && n_blended as f64 >= BLENDED_SHARE * turns.len() as f64 {
        return said(State::Blended, simply(PractiseHow::DownTheLine));
    }
    if n_in(State::Matched) > 0 {
        return said(State::Matched, onwards(&turns));
    }
    let is_unheard =
        |t: &&Turn<'_>| t.result.whole.state == State::NotHeard && t.result.whole.trusted.get() < HEARD_SHARE;
    let n_unheard = turns.iter().filter(is_unheard).count();
    (n_unheard > 0 && 2 * n_unheard >= turns.len())
        .then(|| said(State::NotHeard, simply(PractiseHow::Microphone)))
        .flatten()
}

/// The fault that stood longest, if faults are worth practising at all; of two, what a teacher turns to first.
fn worst(turns: &[Turn<'_>]) -> Option<State> {
    let weight = |counts: &dyn Fn(State) -> bool| -> f64 {
        turns.iter().filter(|t| counts(t.result.whole.state)).map(|t| t.weight).sum()
    };
    let faults = weight(&|s| urgency(s).is_some());
    let judged = faults + weight(&|s| s == State::Matched);
    if faults <= 0.0 || faults < WORTH_SHARE * judged {
        return None;
    }
    let of = |state: State| weight(&|s| s == state);
    let all = State::ALL.into_iter().filter(|&s| urgency(s).is_some() && of(s) > 0.0);
    all.max_by(|&a, &b| of(a).total_cmp(&of(b)).then(urgency(b).cmp(&urgency(a))))
}

/// What to practise against a fault, at the value and tempo at which it was shown last.
fn against(state: State, turns: &[Turn<'_>]) -> Practise {
    let Some((per_beat, bpm, target)) = shown_at(state, turns) else { return without_value(state) };
    let value = |how, at: Option<Bpm>, then_bpm| Practise {
        how,
        per_beat: Some(per_beat),
        bpm: at.or(Some(bpm)),
        then_bpm,
    };
    let a_step_slower = Step::Slower.from(bpm);
    match state {
        State::Fast | State::Slow => {
            value(PractiseHow::SlowerThenBack, a_step_slower, a_step_slower.map(|_| bpm))
        }
        State::Uneven if target != Target::Straight => value(PractiseHow::Slower, well_slower(bpm), None),
        State::Early | State::Late => value(PractiseHow::WithTick, a_step_slower, None),
        State::ChokedValleys => value(PractiseHow::HalfDepth, None, None),
        _ => without_value(state),
    }
}

fn without_value(state: State) -> Practise {
    let slow_quarters =
        |how| Practise { how, per_beat: PerBeat::new(1).ok(), bpm: Bpm::new(FIRST_BPM).ok(), then_bpm: None };
    match state {
        State::Shallow => slow_quarters(PractiseHow::Deep),
        State::PitchLed => slow_quarters(PractiseHow::StraightThenPulses),
        State::DriftingSharp | State::DriftingFlat => simply(PractiseHow::StraightEaseStraight),
        State::Sharp | State::Flat => simply(PractiseHow::TuneThenPulses),
        State::Uneven => simply(PractiseHow::Straight),
        State::ChokedValleys => slow_quarters(PractiseHow::HalfDepth),
        _ => slow_quarters(PractiseHow::OneOnEachTick),
    }
}

fn simply(how: PractiseHow) -> Practise {
    Practise { how, per_beat: None, bpm: None, then_bpm: None }
}

/// The highest mark on a metronome that is slower by a tenth.
fn well_slower(bpm: Bpm) -> Option<Bpm> {
    let aim = WELL_SLOWER * bpm.get();
    std::iter::successors(Step::Slower.from(bpm), |&b| Step::Slower.from(b)).find(|b| b.get() <= aim)
}

/// The value, tempo and target of the last part with this state, in the last run that came to it.
fn shown_at(state: State, turns: &[Turn<'_>]) -> Option<(PerBeat, Bpm, Target)> {
    let turn = turns.iter().rev().find(|t| t.result.whole.state == state)?;
    let asked = |(part, measures): (&PartAsked, &Option<Measures>)| {
        let per_beat = part.target.per_beat().or_else(|| PerBeat::new(1).ok())?;
        measures.map(|m| (m.state, (per_beat, part.bpm, part.target)))
    };
    let parts: Vec<_> = turn.asked.iter().zip(&turn.result.spans).filter_map(asked).collect();
    let with_state = parts.iter().rev().find(|(s, _)| *s == state);
    let with_value = || parts.iter().rev().find(|(_, (_, _, target))| target.per_beat().is_some());
    with_state.or_else(with_value).map(|(_, asked)| *asked)
}

/// The fastest that was matched, a step faster.
fn onwards(turns: &[Turn<'_>]) -> Practise {
    let parts = turns.iter().flat_map(|t| t.asked.iter().zip(&t.result.spans));
    let matched = parts.filter(|(_, m)| m.is_some_and(|m| m.state == State::Matched));
    let values = matched.filter_map(|(part, _)| Some((part.target.per_beat()?, part.bpm)));
    let rate = |(per_beat, bpm): &(PerBeat, Bpm)| f64::from(per_beat.get()) * bpm.get();
    let fastest = values.max_by(|a, b| rate(a).total_cmp(&rate(b)));
    let next = fastest.and_then(|(per_beat, bpm)| Some((per_beat, Step::Faster.from(bpm)?)));
    match next {
        Some((per_beat, bpm)) => {
            Practise { how: PractiseHow::Faster, per_beat: Some(per_beat), bpm: Some(bpm), then_bpm: None }
        }
        None => simply(PractiseHow::Next),
    }
}

#[cfg(test)]
#[path = "needs_tests.rs"]
mod tests;
