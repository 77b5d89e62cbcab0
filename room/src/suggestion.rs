//! What the room would do next, from what the last run came to; the conductor decides. Pure; knows only results, the exercise
//! and the settings, neither time nor players. The same evidence gives the same words.

use super::care::Tired;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ExerciseNow, NextStep, PlayerResult, Run, Settings, Suggestion, Turns};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Bpm;
use windrow_protocol::voicing::Voicing;

/// So many of the judged matched are a matched section. As a ladder asks unless its plan says otherwise; our own choice.
const MATCHED_SHARE: f64 = 0.75;
/// An exercise without end can be judged after so many bars, and one that was matched for so many stands for two times.
pub(super) const ENOUGH_BARS: f64 = 8.0;
/// From this share on of those who play, players who blend are many; at least two.
const MANY_SHARE: f64 = 1.0 / 3.0;
/// Who could be trusted for so much of the time was heard.
const HEARD_SHARE: f64 = 0.2;

/// The last run, as it is so far.
#[derive(Debug, Clone)]
pub(super) struct Latest {
    pub(super) run: Run,
    /// Bars it lasted.
    pub(super) bars: f64,
}

/// What there is to go by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Situation<'a> {
    pub(super) latest: Option<&'a Latest>,
    pub(super) before: Option<&'a Run>,
    pub(super) exercise: &'a ExerciseNow,
    pub(super) settings: &'a Settings,
    pub(super) tired: Option<Tired>,
}

/// The next step, or nothing where there is no reason for any.
pub(super) fn suggest(s: &Situation<'_>) -> Option<Suggestion> {
    if let Some(tired) = s.tired {
        return Some(rest(tired));
    }
    let latest = s.latest.filter(|l| is_of(&l.run, s.exercise))?;
    let found = Found::of(&latest.run);
    if found.n_playing == 0 {
        return None;
    }
    too_few_judged(s, &found)
        .or_else(|| ladder_apart(s, &found))
        .or_else(|| go_on(s, latest, &found))
        .or_else(|| spread(s, &found))
        .or_else(|| slower(s, &found))
        .or_else(|| few_out(s, &found))
        .or_else(|| again(&found))
}

fn is_of(run: &Run, exercise: &ExerciseNow) -> bool {
    run.exercise == exercise.number && run.name == exercise.name
}

/// A run, counted.
struct Found<'a> {
    /// Who was asked to play.
    n_playing: usize,
    judged: Vec<&'a PlayerResult>,
    n_matched: usize,
    n_blended: usize,
    /// Heard well enough, but for too short a time to say anything.
    n_too_short: usize,
    out: Vec<&'a PlayerResult>,
}

impl<'a> Found<'a> {
    fn of(run: &'a Run) -> Self {
        let playing = run.players.iter().filter(|p| !matches!(p.whole.state, State::Resting | State::Away));
        let (judged, unjudged): (Vec<&PlayerResult>, Vec<&PlayerResult>) =
            playing.partition(|p| !matches!(p.whole.state, State::Blended | State::NotHeard));
        let out = run.section.out.iter();
        Self {
            n_playing: judged.len() + unjudged.len(),
            n_matched: usize::from(run.section.n_matched),
            n_blended: unjudged.iter().filter(|p| p.whole.state == State::Blended).count(),
            n_too_short: unjudged
                .iter()
                .filter(|p| p.whole.state == State::NotHeard && p.whole.trusted.get() >= HEARD_SHARE)
                .count(),
            out: out.filter_map(|chair| judged.iter().copied().find(|p| p.chair == *chair)).collect(),
            judged,
        }
    }

    fn n(&self) -> usize {
        self.judged.len()
    }

    fn is_matched(&self) -> bool {
        self.n() > 0 && self.n_matched as f64 >= MATCHED_SHARE * self.n() as f64
    }

    fn n_in(&self, states: &[State]) -> usize {
        self.judged.iter().filter(|p| states.contains(&p.whole.state)).count()
    }

    /// "seven of eight were matched".
    fn matched_words(&self) -> Phrase {
        Phrase::of("reason-matched").with("who", of(self.n_matched, self.n()))
    }
}

fn rest(tired: Tired) -> Suggestion {
    let reason = match tired {
        Tired::Played(minutes) => Phrase::of("reason-played").with("minutes", minutes),
        Tired::Loud(minutes) => Phrase::of("reason-loud").with("minutes", minutes),
    };
    say(NextStep::Rest, "suggest-rest", reason)
}

fn too_few_judged(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    if 2 * found.n() >= found.n_playing {
        return None;
    }
    let n_unheard = found.n_playing - found.n() - found.n_blended - found.n_too_short;
    if found.n_too_short > n_unheard.max(found.n_blended) {
        let reason = Phrase::of("reason-too-short").with("who", of(found.n_too_short, found.n_playing));
        return Some(say(NextStep::Again, "suggest-longer", reason));
    }
    if n_unheard >= found.n_blended {
        let reason = Phrase::of("reason-not-heard").with("who", of(n_unheard, found.n_playing));
        return Some(say(NextStep::Again, "suggest-microphones", reason));
    }
    let reason = blended_words(s, found);
    if s.settings.turns != Turns::Together {
        return Some(say(NextStep::Again, "suggest-closer", reason));
    }
    Some(match is_one_note(s) {
        true => say(NextStep::Spread, "suggest-spread", reason),
        false => say(NextStep::DownTheLine, "suggest-down-the-line", reason),
    })
}

fn ladder_apart(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let rung = s.exercise.rung?;
    if 2 * found.n_matched >= found.n() {
        return None;
    }
    let reason = found.matched_words();
    match (rung.number, s.settings.slower_bpm) {
        (2.., _) => Some(say(NextStep::StepBack, "suggest-step-back", reason)),
        (_, Some(bpm)) => Some(take_slower(bpm, reason)),
        _ => None,
    }
}

fn go_on(s: &Situation<'_>, latest: &Latest, found: &Found<'_>) -> Option<Suggestion> {
    if !found.is_matched() {
        return None;
    }
    let was_matched =
        s.before.filter(|run| is_of(run, s.exercise)).map(Found::of).is_some_and(|f| f.is_matched());
    let is_long = latest.bars >= ENOUGH_BARS
        && latest.run.section.matched.is_some_and(|share| share.get() >= MATCHED_SHARE);
    let reason = found.matched_words();
    if !was_matched && !is_long {
        return Some(say(NextStep::Again, "suggest-to-be-sure", reason));
    }
    let id = if was_matched { "reason-twice" } else { "reason-most-of-the-time" };
    let reason = Phrase::of(id).with("reason", reason);
    let text = Phrase::of("suggest-next").with("next", s.exercise.next.clone()?);
    Some(Suggestion { step: NextStep::Next, text, reason })
}

fn spread(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let is_many = found.n_blended >= 2 && found.n_blended as f64 >= MANY_SHARE * found.n_playing as f64;
    let is_wanted = is_many && is_one_note(s) && s.settings.turns == Turns::Together;
    is_wanted.then(|| say(NextStep::Spread, "suggest-spread", blended_words(s, found)))
}

fn slower(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let (n_fast, n_slow) = (found.n_in(&[State::Fast]), found.n_in(&[State::Slow]));
    if found.n() < 2 || 2 * (n_fast + n_slow) <= found.n() {
        return None;
    }
    let bpm = s.settings.slower_bpm?;
    let reason = match (n_fast, n_slow) {
        (n, 0) => were(State::Fast, n, found.n()),
        (0, n) => were(State::Slow, n, found.n()),
        (fast, slow) => {
            let both = Phrase::of("reason-fast-and-slow").with("fast", of(fast, found.n()));
            both.with("slow", number(slow))
        }
    };
    Some(take_slower(bpm, reason))
}

fn few_out(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let word = |p: &PlayerResult| {
        Phrase::of("reason-was").with("name", p.name.as_str()).with("state", p.whole.state.phrase())
    };
    match found.out[..] {
        [one] if found.n() > 2 => Some(speak_to(vec![one.name.as_str().into()], word(one))),
        [a, b] if found.n() > 3 => {
            let reason = Phrase::of("reason-both").with("a", word(a)).with("b", word(b));
            Some(match s.settings.turns {
                Turns::Together => say(NextStep::DownTheLine, "suggest-down-the-line", reason),
                _ => speak_to(vec![a.name.as_str().into(), b.name.as_str().into()], reason),
            })
        }
        _ => None,
    }
}

/// Once more, with what most of those have in common who were out.
fn again(found: &Found<'_>) -> Option<Suggestion> {
    let out: Vec<State> = found.out.iter().map(|p| p.whole.state).filter(|&s| s != State::Matched).collect();
    let count = |state: State| out.iter().filter(|&&s| s == state).count();
    let common = State::ALL.into_iter().filter(|&s| 2 * count(s) > found.n()).max_by_key(|&s| count(s));
    let Some(state) = common else {
        return Some(say(NextStep::Again, "suggest-again", found.matched_words()));
    };
    let text = match state {
        State::Shallow => "suggest-again-bigger",
        State::ChokedValleys => "suggest-again-valleys",
        State::PitchLed => "suggest-again-still-jaws",
        State::Straight => "suggest-again-one-puff",
        State::Uneven => "suggest-again-steadily",
        State::Early | State::Late => "suggest-again-hear-the-tick",
        State::Sharp | State::Flat | State::DriftingSharp | State::DriftingFlat => "suggest-tune-first",
        _ => "suggest-again",
    };
    Some(say(NextStep::Again, text, were(state, count(state), found.n())))
}

fn is_one_note(s: &Situation<'_>) -> bool {
    matches!(s.settings.voicing, Voicing::Unison | Voicing::Octaves)
}

fn blended_words(s: &Situation<'_>, found: &Found<'_>) -> Phrase {
    let who = match (found.n_blended, found.n_playing) {
        (n, total) if n == total => everybody(n),
        (n, total) => Phrase::of("some-of").with("n", number(n)).with("total", number(total)),
    };
    let id = if is_one_note(s) { "reason-blended-on-one-note" } else { "reason-blended" };
    Phrase::of(id).with("who", who)
}

fn say(step: NextStep, id: &str, reason: Phrase) -> Suggestion {
    Suggestion { step, text: Phrase::of(id), reason }
}

fn take_slower(bpm: Bpm, reason: Phrase) -> Suggestion {
    let text = Phrase::of("suggest-slower").with("bpm", bpm.mark());
    Suggestion { step: NextStep::Slower, text, reason }
}

fn speak_to(names: Vec<Phrase>, reason: Phrase) -> Suggestion {
    Suggestion { step: NextStep::Again, text: Phrase::of("suggest-speak-to").with("names", names), reason }
}

/// "seven of eight were fast".
fn were(state: State, n: usize, total: usize) -> Phrase {
    Phrase::of("reason-were").with("who", of(n, total)).with("state", state.phrase())
}

/// "seven of eight were", "all eight were", "none of three was".
fn of(n: usize, total: usize) -> Phrase {
    match (n, total) {
        (1, 1) => Phrase::of("were-the-one"),
        (0, 1) => Phrase::of("were-not-the-one"),
        (n, total) if n == total => Phrase::of("were-all").with("all", everybody(n)),
        (0, total) => Phrase::of("were-none").with("total", number(total)),
        (1, total) => Phrase::of("were-one").with("total", number(total)),
        (n, total) => Phrase::of("were-some").with("n", number(n)).with("total", number(total)),
    }
}

/// "both", "all eight".
fn everybody(n: usize) -> Phrase {
    if n == 2 { Phrase::of("everybody-both") } else { Phrase::of("everybody-all").with("n", number(n)) }
}

/// Small numbers in words.
fn number(n: usize) -> Phrase {
    Phrase::of("number").with("n", n)
}

#[cfg(test)]
#[path = "suggestion_tests.rs"]
mod tests;
