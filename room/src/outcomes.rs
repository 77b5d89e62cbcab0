//! What a room does about what was played: keeps account of it, minds its players, and says what could come next. Part of the
//! room's pure rules; knows only the protocol.

use super::care::{Activity, Care, Tired};
use super::event::{Effect, Kept};
use super::music::Performed;
use super::results::{KeptRun, Runs};
use super::state::Room;
use super::suggestion::{ENOUGH_BARS, Latest, Situation, suggest};
use windrow_protocol::messages::{Replay, Results, Review, Suggestion, Turns};
use windrow_protocol::score::{Dynamic, Target};
use windrow_protocol::units::Bpm;
use windrow_protocol::voicing::Voicing;

/// While an exercise without end is played, a suggestion stands for so many bars.
const STANDS_BARS: f64 = 4.0;

/// The account a room keeps.
#[derive(Debug, Clone, Default)]
pub(super) struct Outcomes {
    pub(super) runs: Runs,
    care: Care,
    advised: Option<Advised>,
}

/// A suggestion and what it stands on; while that is the same, so are its words.
#[derive(Debug, Clone, PartialEq)]
struct Advised {
    basis: Basis,
    set: Set,
    suggestion: Option<Suggestion>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Basis {
    run: Option<u16>,
    is_over: bool,
    exercise: u16,
    /// Bars played, in steps of [`STANDS_BARS`].
    stretch: u32,
    tired: Option<Tired>,
}

/// What a conductor may have changed since, and with it the reasons.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Set {
    bpm: Bpm,
    target: Target,
    voicing: Voicing,
    turns: Turns,
}

impl Room {
    /// What the section did so far.
    pub fn results(&self) -> Results {
        self.outcomes.runs.told()
    }

    /// The same to look back on.
    pub fn review(&self) -> Review {
        self.outcomes.runs.review()
    }

    /// The raster of a run, while it is kept.
    pub fn replay(&self, number: u16) -> Option<Replay> {
        self.outcomes.runs.replay(number)
    }

    /// Takes runs from the records: the rehearsal goes on that was played before the server was started again. Their times are
    /// moved by so much.
    pub fn take_back(&mut self, kept: Vec<KeptRun>, moved_us: f64) {
        self.outcomes.runs.take_back(kept, moved_us);
    }

    /// What is still to be kept when the room ends.
    pub fn last_kept(&mut self, now_us: f64) -> Vec<Kept> {
        let last = self.outcomes.runs.take_last_kept(now_us);
        last.into_iter().map(|run| Kept::Run(Box::new(run))).collect()
    }

    /// What of the account goes to the records now.
    pub(super) fn keep_runs(&mut self, now_us: f64, effects: &mut Vec<Effect>) {
        let kept = self.outcomes.runs.take_kept(now_us);
        effects.extend(kept.into_iter().map(|run| Effect::Keep(Kept::Run(Box::new(run)))));
    }

    /// Nothing more of a player is kept.
    pub(super) fn forget_outcomes(&mut self, player_id: &str) {
        self.outcomes.runs.forget(player_id);
        // It may name the player.
        self.outcomes.advised = None;
    }

    /// Nothing of what was played before the server was started again is shown any more: in it the same person is another player.
    pub(super) fn forget_earlier_outcomes(&mut self) {
        self.outcomes.runs.forget_taken_back();
    }

    /// Nothing more of what the imaginary section played is kept.
    pub(super) fn forget_imaginary_outcomes(&mut self) {
        self.outcomes.runs.forget_imaginary();
        self.outcomes.advised = None;
    }

    /// Takes account of this moment.
    pub(super) fn keep_account(&mut self, now_us: f64) {
        let performed = self.music.performed();
        // The imaginary do not tire.
        let activity = match &performed {
            Some(performed) if !self.has_imaginary() => activity(performed, now_us),
            _ => Activity::Silent,
        };
        self.outcomes.runs.look(performed, &self.seats, now_us);
        if let Some(text) = self.outcomes.care.look(activity, now_us) {
            self.tell_conductor(text);
        }
        self.advise(now_us);
    }

    /// What could come next.
    pub(super) fn suggestion(&self) -> Option<Suggestion> {
        self.outcomes.advised.as_ref()?.suggestion.clone()
    }

    fn advise(&mut self, now_us: f64) {
        let (exercise, settings) = (self.music.exercise_now(now_us), self.music.settings(now_us));
        let Outcomes { runs, care, advised } = &mut self.outcomes;
        let latest = runs.latest();
        let basis = Basis {
            run: latest.map(|l| l.number),
            is_over: latest.is_none_or(|l| l.is_over),
            exercise: exercise.number,
            stretch: latest.map_or(0.0, |l| (l.bars / STANDS_BARS).floor()) as u32,
            tired: care.tired(),
        };
        let set = Set {
            bpm: settings.bpm,
            target: settings.target,
            voicing: settings.voicing,
            turns: settings.turns,
        };
        let is_playing = self.music.is_playing(now_us);
        let goes_on = !exercise.has_end || exercise.held;
        let is_due = !is_playing || (goes_on && latest.is_some_and(|l| !l.is_over && l.bars >= ENOUGH_BARS));
        if !is_due {
            *advised = None;
            return;
        }
        match advised {
            Some(advised) if advised.basis == basis => {
                // Something was changed: first it has to be played so.
                if advised.set != set && !is_playing {
                    advised.suggestion = None;
                }
            }
            _ => {
                let [last, before] = runs.told_last();
                let last = last.zip(latest).map(|(run, newest)| Latest { run, bars: newest.bars });
                let situation = Situation {
                    latest: last.as_ref(),
                    before: before.as_ref(),
                    exercise: &exercise,
                    settings: &settings,
                    tired: basis.tired,
                };
                *advised = Some(Advised { basis, set, suggestion: suggest(&situation) });
            }
        }
    }
}

fn activity(performed: &Performed<'_>, now_us: f64) -> Activity {
    let timeline = performed.timeline;
    let beat = timeline.beat_at(now_us);
    let Some(idx) = timeline.span_index_at(beat.max(0.0)) else { return Activity::Silent };
    let span = &timeline.score().spans[idx];
    let after = beat.max(0.0) - timeline.span_start(idx).unwrap_or(0.0);
    let loud = span
        .dynamics
        .is_some_and(|_| span.part(after, None).dynamics.is_some_and(|dynamics| dynamics.from >= Dynamic::F));
    let is_pulsed = |target| matches!(target, Target::Pulses { .. });
    // During the count, what it leads to.
    let next = timeline.score().spans[idx..].iter().find(|s| s.target.sounds());
    // Where chairs take turns, most rest.
    let sounds = span.target.sounds() && span.turn.is_empty();
    Activity::Music { sounds, loud, pulsed: next.is_some_and(|s| is_pulsed(s.target)) }
}

#[cfg(test)]
#[path = "outcomes_tests.rs"]
mod tests;
