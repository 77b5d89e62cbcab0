//! What a plan does by itself: the rest after an exercise and the next one's count-in, a ladder that waits for the section or
//! steps back, and notes for whoever comes late. Pure; knows only the protocol.

use super::super::course::Course;
use super::super::exercise::Place;
use super::{Changed, LEAD_US, Music};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Flow, GoOn, Moment};
use windrow_protocol::score::Target;

/// The section has to be matched for so many bars on end before a ladder goes on.
const MATCHED_BARS: f64 = 1.0;
/// A section has fallen apart when fewer than this share have been matched for so many bars, in a rung that has lasted for some
/// bars. These and the next are our own choice.
const APART_SHARE: f64 = 0.25;
const APART_BARS: f64 = 2.0;
const APART_AFTER_BARS: f64 = 4.0;
/// Beats before a rung's end at which it is decided whether it is held.
const DECIDED_BEATS: f64 = 2.0;

/// How many of those who play are matched.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    n_playing: usize,
    n_judged: usize,
    n_matched: usize,
}

impl Tally {
    /// Of everybody who is in and does not rest.
    pub(crate) fn of(states: impl Iterator<Item = State>) -> Self {
        let mut tally = Self::default();
        for state in states {
            let is_judged = !matches!(state, State::Away | State::Resting | State::NotHeard | State::Blended);
            tally.n_playing += 1;
            tally.n_judged += usize::from(is_judged);
            tally.n_matched += usize::from(state == State::Matched);
        }
        tally
    }

    /// Share of those who can be judged; `None` where that is not even half of those who play.
    fn matched(self) -> Option<f64> {
        let is_enough = self.n_judged > 0 && 2 * self.n_judged >= self.n_playing;
        is_enough.then(|| self.n_matched as f64 / self.n_judged as f64)
    }
}

/// The silence after an exercise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rest {
    /// When the next exercise's count-in begins.
    pub(super) until_us: f64,
    pub(super) next: usize,
}

/// How it stands on a rung.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Climbing {
    rung: Option<usize>,
    since_us: f64,
    matched_since_us: Option<f64>,
    apart_since_us: Option<f64>,
    /// It goes on at the next bar line, or at its end, whatever happens.
    is_let_go: bool,
}

impl Climbing {
    pub(super) fn let_go(&mut self) {
        self.is_let_go = true;
    }

    fn look(&mut self, rung: usize, is_matched: bool, is_apart: bool, now_us: f64) {
        if self.rung != Some(rung) {
            *self = Self { rung: Some(rung), since_us: now_us, ..Self::default() };
        }
        let since = |was: Option<f64>, is: bool| is.then(|| was.unwrap_or(now_us));
        self.matched_since_us = since(self.matched_since_us, is_matched);
        self.apart_since_us = since(self.apart_since_us, is_apart);
    }
}

impl Music {
    /// After an exercise that has come to its end: where the next one follows by itself, its rest begins.
    pub(super) fn begin_rest(&mut self, now_us: f64) {
        let Some(course) = self.course.as_ref().filter(|c| !c.is_check) else { return };
        let next = self.present + 1;
        if self.flow == Flow::Wait || self.stops_after || next >= self.book.exercises.len() {
            return;
        }
        let end_us = course.timeline.end_beat().map_or(now_us, |end| course.timeline.time_of(end));
        let rest_us = 1e6 * f64::from(self.present().rest_s);
        self.rest = Some(Rest { until_us: (end_us + rest_us).max(now_us + LEAD_US), next });
    }

    /// Counts in to the next exercise when the rest is over.
    pub(super) fn end_rest(&mut self, now_us: f64) -> bool {
        let Some(rest) = self.rest.filter(|rest| now_us + LEAD_US >= rest.until_us) else { return false };
        self.rest = None;
        self.present = rest.next;
        self.line_up(rest.next);
        self.play_from(Place::start_of(rest.next), now_us).is_ok_and(|is_changed| is_changed)
    }

    /// Holds a rung that waits, lets it go once the section is matched, and steps back when the section falls apart.
    pub(super) fn climb(&mut self, section: Tally, now_us: f64) -> bool {
        let Some((rung, left_beats)) = self.on_rung(now_us) else {
            self.climbing = Climbing::default();
            return false;
        };
        let ladder = self.present().ladder().expect("what has rungs is a ladder").clone();
        let share = section.matched();
        let is_matched = share.is_some_and(|share| share >= f64::from(ladder.matched));
        let is_apart = share.is_some_and(|share| share < APART_SHARE);
        self.climbing.look(rung, is_matched, is_apart, now_us);
        let Climbing { since_us, matched_since_us, apart_since_us, is_let_go, .. } = self.climbing;
        let is_held = self.playing(now_us).is_some_and(|c| c.is_held);
        let bar_us = f64::from(self.book.beats_per_bar) * self.now(now_us).beat_us;
        let stands = |since: Option<f64>, bars: f64| since.is_some_and(|s| now_us - s >= bars * bar_us);
        let changed = if ladder.step_back
            && rung > 0
            && stands(apart_since_us, APART_BARS)
            && stands(Some(since_us), APART_AFTER_BARS)
        {
            self.step_back(now_us)
        } else if is_let_go {
            Ok(false)
        } else if is_held {
            match ladder.go_on {
                GoOn::WhenMatched if stands(matched_since_us, MATCHED_BARS) => self.go_on(now_us),
                _ => Ok(false),
            }
        } else {
            let is_near = left_beats.is_some_and(|left| left <= DECIDED_BEATS);
            match ladder.go_on {
                GoOn::WhenMatched if is_near && !stands(matched_since_us, MATCHED_BARS) => self.hold(now_us),
                GoOn::ByHand if is_near => self.hold(now_us),
                _ => Ok(false),
            }
        };
        // What cannot be done just now, such as at the very end, is not missed: the conductor is there.
        changed.unwrap_or(false)
    }

    /// The rung that is being played by all together, and the beats that are left of it; `None` in rests and count-ins.
    fn on_rung(&self, now_us: f64) -> Option<(usize, Option<f64>)> {
        let course = self.playing(now_us).filter(|c| !c.is_check)?;
        let beat = course.timeline.beat_at(now_us);
        let place = course.place_at(beat).filter(|p| beat >= 0.0 && p.exercise == self.present)?;
        let (span, first_beat) = course.span_at(beat)?;
        let is_rung = span.target.sounds() && span.target != Target::CountIn && span.turn.is_empty();
        let rung = self.present().rung_of(place.span).filter(|_| is_rung)?;
        Some((rung, span.length_beats.map(|length| first_beat + length.get() - beat)))
    }

    /// Goes back to an earlier place of the exercise at the next bar line, counted in.
    pub(super) fn turn_back_to(&mut self, place: Place, now_us: f64) -> Changed {
        let wishes = self.book.exercises[place.exercise].wishes;
        let rest = self.book.rest(place, &self.notes.wished(&wishes));
        let back = self.book.counted_in(place, rest);
        let course = self.playing(now_us).expect("there is music to turn back in");
        let draft = course.draft_until(course.line(now_us, Moment::Bar)).then(back);
        let notes = self.notes.clone();
        let course = self.announce(draft)?;
        course.take_notes(notes, wishes);
        (course.is_held, course.queued) = (false, None);
        self.climbing = Climbing::default();
        Ok(true)
    }

    /// Whoever came after the start gets a note; all others keep theirs.
    pub(super) fn give_latecomers_notes(&mut self, now_us: f64) -> bool {
        let seated = &self.notes.seated;
        let goes_on = |c: &&mut Course| !c.is_check && !c.is_over(now_us) && !c.is_ending(now_us);
        let Some(course) = self.course.as_mut().filter(goes_on) else { return false };
        let draft = course.draft_with_latecomers(seated);
        draft.is_some_and(|draft| self.announce(draft).is_ok())
    }
}
