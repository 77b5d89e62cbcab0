//! What the room would do next, from what the last run came to; the conductor decides. Pure; knows only results, the exercise
//! and the settings, neither time nor players. The same evidence gives the same words.

use super::care::Tired;
use super::results::Latest;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ExerciseNow, NextStep, PlayerResult, Run, Settings, Suggestion, Turns};
use windrow_protocol::voicing::Voicing;

/// So many of the judged matched are a matched section. As a ladder asks unless its plan says otherwise; our own choice.
const MATCHED_SHARE: f64 = 0.75;
/// An exercise without end can be judged after so many bars, and one that was matched for so many stands for two times.
pub(super) const ENOUGH_BARS: f64 = 8.0;
/// From this share on of those who play, players who blend are many; at least two.
const MANY_SHARE: f64 = 1.0 / 3.0;
/// Who could be trusted for so much of the time was heard.
const HEARD_SHARE: f64 = 0.2;

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
    fn matched_words(&self) -> String {
        format!("{} matched", of(self.n_matched, self.n()))
    }
}

fn rest(tired: Tired) -> Suggestion {
    let reason = match tired {
        Tired::Played(minutes) => format!("{minutes} minutes have been played without a rest"),
        Tired::Loud(minutes) => format!("{minutes} minutes of the last half hour were loud"),
    };
    say(NextStep::Rest, "Rest first, for two minutes.", reason)
}

fn too_few_judged(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    if 2 * found.n() >= found.n_playing {
        return None;
    }
    let n_unheard = found.n_playing - found.n() - found.n_blended - found.n_too_short;
    if found.n_too_short > n_unheard.max(found.n_blended) {
        let reason =
            format!("{} heard for too short a time to say more", of(found.n_too_short, found.n_playing));
        return Some(say(NextStep::Again, "Play it once more, and a little longer.", reason));
    }
    if n_unheard >= found.n_blended {
        let reason = format!("{} not heard", of(n_unheard, found.n_playing));
        return Some(say(NextStep::Again, "Look at the microphones, then play it once more.", reason));
    }
    let reason = blended_words(s, found);
    if s.settings.turns != Turns::Together {
        return Some(say(
            NextStep::Again,
            "Move the devices closer to their players, then once more.",
            reason,
        ));
    }
    Some(match is_one_note(s) {
        true => say(NextStep::Spread, "Spread the notes over a chord.", reason),
        false => say(NextStep::DownTheLine, "Hear them one after another.", reason),
    })
}

fn ladder_apart(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let rung = s.exercise.rung?;
    if 2 * found.n_matched >= found.n() {
        return None;
    }
    let reason = found.matched_words();
    match (rung.number, s.settings.slower_bpm) {
        (2.., _) => Some(say(NextStep::StepBack, "Go one rung back.", reason)),
        (_, Some(bpm)) => Some(say(NextStep::Slower, &format!("Take it slower: {}.", bpm.get()), reason)),
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
        return Some(say(NextStep::Again, "Once more, to be sure.", reason));
    }
    let reason = if was_matched {
        format!("{reason}, twice running")
    } else {
        format!("{reason} for most of the time")
    };
    let next = s.exercise.next.as_ref()?;
    Some(say(NextStep::Next, &format!("Go on to \u{201c}{next}\u{201d}."), reason))
}

fn spread(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let is_many = found.n_blended >= 2 && found.n_blended as f64 >= MANY_SHARE * found.n_playing as f64;
    let is_wanted = is_many && is_one_note(s) && s.settings.turns == Turns::Together;
    is_wanted.then(|| say(NextStep::Spread, "Spread the notes over a chord.", blended_words(s, found)))
}

fn slower(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let (n_fast, n_slow) = (found.n_in(&[State::Fast]), found.n_in(&[State::Slow]));
    if found.n() < 2 || 2 * (n_fast + n_slow) <= found.n() {
        return None;
    }
    let bpm = s.settings.slower_bpm?;
    let reason = match (n_fast, n_slow) {
        (n, 0) => format!("{} fast", of(n, found.n())),
        (0, n) => format!("{} slow", of(n, found.n())),
        (fast, slow) => format!("{} fast, {} slow", of(fast, found.n()), number(slow)),
    };
    Some(say(NextStep::Slower, &format!("Take it slower: {}.", bpm.get()), reason))
}

fn few_out(s: &Situation<'_>, found: &Found<'_>) -> Option<Suggestion> {
    let word = |p: &PlayerResult| format!("{} was {}", p.name, p.whole.state.word());
    match found.out[..] {
        [one] if found.n() > 2 => {
            let text = format!("Speak to {}, then play it once more.", one.name);
            Some(say(NextStep::Again, &text, word(one)))
        }
        [a, b] if found.n() > 3 => {
            let reason = format!("{}, {}", word(a), word(b));
            Some(match s.settings.turns {
                Turns::Together => say(NextStep::DownTheLine, "Hear them one after another.", reason),
                _ => {
                    let text = format!("Speak to {} and {}, then play it once more.", a.name, b.name);
                    say(NextStep::Again, &text, reason)
                }
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
        return Some(say(NextStep::Again, "Play it once more.", found.matched_words()));
    };
    let text = match state {
        State::Shallow => "Once more, with bigger pulses.",
        State::ChokedValleys => "Once more, with some air in the valleys.",
        State::PitchLed => "Once more, with still jaws: the air makes the pulse.",
        State::Straight => "Once more: one puff of air on each tick.",
        State::Uneven => "Once more, as steadily as can be.",
        State::Early | State::Late => "Once more: hear the tick first, then swell to it.",
        State::Sharp | State::Flat | State::DriftingSharp | State::DriftingFlat => {
            "Tune a straight note, then once more."
        }
        _ => "Play it once more.",
    };
    Some(say(NextStep::Again, text, format!("{} {}", of(count(state), found.n()), state.word())))
}

fn is_one_note(s: &Situation<'_>) -> bool {
    matches!(s.settings.voicing, Voicing::Unison | Voicing::Octaves)
}

fn blended_words(s: &Situation<'_>, found: &Found<'_>) -> String {
    let place = if is_one_note(s) { " on one note" } else { "" };
    let who = match (found.n_blended, found.n_playing) {
        (n, total) if n == total => everybody(n),
        (n, total) => format!("{} of {}", number(n), number(total)),
    };
    format!("{who} could not be told from their neighbours{place}")
}

fn say(step: NextStep, text: &str, reason: String) -> Suggestion {
    Suggestion { step, text: text.to_owned(), reason }
}

/// "seven of eight were", "all eight were", "none of three was".
fn of(n: usize, total: usize) -> String {
    match (n, total) {
        (1, 1) => "the one who was heard was".to_owned(),
        (0, 1) => "the one who was heard was not".to_owned(),
        (n, total) if n == total => format!("{} were", everybody(n)),
        (0, total) => format!("none of {} was", number(total)),
        (1, total) => format!("one of {} was", number(total)),
        (n, total) => format!("{} of {} were", number(n), number(total)),
    }
}

/// "both", "all eight".
fn everybody(n: usize) -> String {
    if n == 2 { "both".to_owned() } else { format!("all {}", number(n)) }
}

/// Small numbers in words.
fn number(n: usize) -> String {
    const WORDS: [&str; 13] = [
        "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    WORDS.get(n).map_or_else(|| n.to_string(), |word| (*word).to_owned())
}

#[cfg(test)]
#[path = "suggestion_tests.rs"]
mod tests;
