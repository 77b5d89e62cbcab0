//! The music of a room: what a conductor commands, when it takes effect, and what is asked of the players. Pure; knows only
//! the protocol.

use super::book::{Book, Draft, Notes};
use super::course::{Course, Heading, TooManyChanges};
use super::exercise::{Exercise, Place};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::{Asked, Bands};
use windrow_protocol::messages::{ExerciseNow, Flow, Moment, Settings, Turns};
use windrow_protocol::metronome::Step;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{PerBeat, Score, Span, Target, TickFrom};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Bpm, Micros};

/// From the command to the first beat of the count-in: time for the fact to reach every device over a busy Wi-Fi. Our
/// own choice: several times the delay of a room's network, short enough that a start still feels immediate.
const LEAD_US: f64 = 600_000.0;
/// A score that has come to its end is taken away after this: devices tell of its last span 1.5 s past its end.
const AFTER_THE_END_US: f64 = 2e6;
/// The exercise a new room begins with: quarters.
const FIRST_EXERCISE: usize = 1;

/// What becomes of a count-in that has begun when the exercise changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Recount {
    Anew,
    AsItIs,
}

mod flow;
mod now;
mod performed;
mod plan;
mod turns;

pub(super) use flow::Tally;
use flow::{Climbing, Rest};
pub(super) use now::Now;
pub(super) use performed::Performed;

/// Book, settings and score.
#[derive(Debug, Clone)]
pub(super) struct Music {
    book: Book,
    /// The exercise that is played or comes next, and that a start plays.
    present: usize,
    /// Title of the plan; empty for the warm-up.
    plan: String,
    /// What the next start takes over, but for what its exercise wishes.
    notes: Notes,
    turns: Turns,
    flow: Flow,
    /// The silence after an exercise, where the next one follows by itself.
    rest: Option<Rest>,
    /// The conductor has stopped what is still played to its end: nothing follows.
    stops_after: bool,
    climbing: Climbing,
    /// Chairs that are in and not resting.
    line: Vec<u16>,
    tick: TickFrom,
    course: Option<Course>,
    /// Where to go on after a stop.
    stopped_at: Option<Place>,
    /// Version of the last score made, 0 before the first. Goes on across stops, so a late message is never mistaken
    /// for a new one.
    version: u32,
}

/// Whether the score changed, or a sentence for the conductor on why the command cannot be carried out.
pub(super) type Changed = Result<bool, Phrase>;

impl Music {
    /// A section that is new to this: quarters at 60, four beats in a bar, one bar counted in.
    pub(super) fn new() -> Self {
        Self {
            book: Book { exercises: Exercise::warm_up(), beats_per_bar: 4, count_in_bars: 1 },
            present: FIRST_EXERCISE,
            plan: String::new(),
            notes: Notes::default(),
            turns: Turns::default(),
            flow: Flow::default(),
            rest: None,
            stops_after: false,
            climbing: Climbing::default(),
            line: Vec::new(),
            tick: TickFrom::default(),
            course: None,
            stopped_at: None,
            version: 0,
        }
    }

    pub(super) fn timeline(&self) -> Option<&Timeline> {
        self.course.as_ref().map(|c| &c.timeline)
    }

    pub(super) fn score(&self) -> Option<&Score> {
        self.timeline().map(Timeline::score)
    }

    /// What is played or counted in; a score past its end is not.
    fn playing(&self, now_us: f64) -> Option<&Course> {
        self.course.as_ref().filter(|c| !c.is_over(now_us))
    }

    pub(super) fn is_playing(&self, now_us: f64) -> bool {
        self.playing(now_us).is_some()
    }

    pub(super) fn settings(&self, now_us: f64) -> Settings {
        let span = self.written(now_us);
        let notes = self.notes.wished(&self.present().wishes);
        Settings {
            bpm: span.bpm,
            slower_bpm: Step::Slower.from(span.bpm),
            faster_bpm: Step::Faster.from(span.bpm),
            beats_per_bar: self.book.beats_per_bar,
            target: span.target,
            count_in_bars: self.book.count_in_bars,
            note: notes.all,
            notes: notes.chairs,
            voicing: notes.voicing,
            tuning: notes.tuning,
            turns: self.turns_of(self.present),
            flow: self.flow,
            tick: self.tick,
        }
    }

    pub(super) fn exercise_now(&self, now_us: f64) -> ExerciseNow {
        let count = |n: usize| u16::try_from(n).expect("a room has a handful of exercises");
        ExerciseNow {
            name: self.present().name(),
            plan: self.plan.clone(),
            brief: self.present().brief(),
            next: self.book.exercises.get(self.present + 1).map(Exercise::name),
            rest_s: if self.present + 1 < self.book.exercises.len() { self.present().rest_s } else { 0 },
            names: self.book.exercises.iter().map(Exercise::name).collect(),
            rung: self.rung_now(now_us),
            rest_until_us: self.rest.and_then(|rest| Micros::clamped(rest.until_us)),
            number: count(self.present + 1),
            of: count(self.book.exercises.len()),
            has_end: self.present().has_end(),
            held: self.playing(now_us).is_some_and(|c| c.is_held),
            can_go_on: self.playing(now_us).map_or(self.stopped_at.is_some(), |c| c.is_held),
        }
    }

    fn present(&self) -> &Exercise {
        &self.book.exercises[self.present]
    }

    /// The span as written that is played, or that a start would play.
    fn written(&self, now_us: f64) -> &Span {
        let playing = self.playing(now_us).and_then(|c| c.place_at(c.timeline.beat_at(now_us)));
        // Where another exercise follows at the next bar line, its settings are the ones to change.
        let place = playing.filter(|p| p.exercise == self.present).or(self.stopped_at);
        self.book.span(place.unwrap_or(Place::start_of(self.present)))
    }

    /// Counts in and plays the present exercise from its start; during a rest the one that would come after it.
    pub(super) fn start(&mut self, now_us: f64) -> Changed {
        self.present = self.rest.take().map_or(self.present, |rest| rest.next);
        if self.is_playing(now_us) {
            return Err(Phrase::of("cannot-start-playing"));
        }
        self.line_up(self.present);
        self.play_from(Place::start_of(self.present), now_us)
    }

    /// Ends the music.
    pub(super) fn stop(&mut self, at: Moment, now_us: f64) -> Changed {
        (self.rest, self.stops_after) = (None, true);
        let Some(course) = self.playing(now_us).filter(|c| !c.is_check) else {
            return Ok(self.course.take().is_some());
        };
        if at == Moment::Exercise {
            return match self.present().has_end() {
                true => self.go_on_differently(now_us, false, None),
                false => Err(Phrase::of("cannot-stop-at-end")),
            };
        }
        let beat = match at {
            Moment::Now => course.timeline.beat_at(now_us),
            _ => course.line(now_us, at),
        };
        // Where another exercise was to follow, it is begun with.
        let place = course.place_at(beat).filter(|place| place.exercise == self.present);
        let stopped_at = place.map(|place| self.book.bar_of(place));
        if at == Moment::Now || beat <= 0.0 {
            self.course = None;
        } else {
            self.announce(course.draft_until(beat))?;
        }
        self.stopped_at = stopped_at;
        Ok(true)
    }

    /// Lets a held span end at the next bar line, or goes on in the bar in which the music was stopped.
    pub(super) fn go_on(&mut self, now_us: f64) -> Changed {
        let Some(course) = self.playing(now_us) else {
            let nothing = || Phrase::of("cannot-go-on-nothing");
            return self.play_from(self.stopped_at.ok_or_else(nothing)?, now_us);
        };
        let line = course.line_in(self.present, now_us, Moment::Bar);
        if course.is_held && !course.has_begun_by(line) {
            // Nothing of it would be heard: it is played as it is written.
            let changed = self.go_on_differently(now_us, false, course.queued);
            self.climbing.let_go();
            return changed;
        }
        let draft = course.draft_letting_go(line, &self.book);
        let Some(draft) = draft.filter(|_| course.is_held) else {
            return Err(Phrase::of("cannot-go-on-already"));
        };
        self.announce(draft)?.is_held = false;
        self.climbing.let_go();
        Ok(true)
    }

    /// Keeps the span that is played going until [`Music::go_on`].
    pub(super) fn hold(&mut self, now_us: f64) -> Changed {
        let nothing = || Phrase::of("cannot-hold-nothing");
        let course = self.playing(now_us).ok_or_else(nothing)?;
        match course.this_place(self.present, now_us).map(|place| self.book.span(place)) {
            Some(span) if span.length_beats.is_none() => Err(Phrase::of("cannot-hold-endless")),
            _ => self.go_on_differently(now_us, true, course.queued),
        }
    }

    /// From the exercise's start.
    pub(super) fn again(&mut self, at: Moment, now_us: f64) -> Changed {
        self.turn_to(self.present, at, now_us)
    }

    /// The exercise so many places further on.
    pub(super) fn move_by(&mut self, places: isize, at: Moment, now_us: f64) -> Changed {
        let idx = self.present.checked_add_signed(places).filter(|&i| i < self.book.exercises.len());
        let Some(idx) = idx else {
            return Err(Phrase::of(if places > 0 {
                "cannot-last-exercise"
            } else {
                "cannot-first-exercise"
            }));
        };
        if self.is_playing(now_us) || self.rest.take().is_some() {
            return self.turn_to(idx, at, now_us);
        }
        self.present = idx;
        self.stopped_at = None;
        Ok(self.course.take().is_some())
    }

    /// Plays an exercise from its start, counted in, from a moment on.
    fn turn_to(&mut self, exercise: usize, at: Moment, now_us: f64) -> Changed {
        self.line_up(exercise);
        let goes_on = |c: &&Course| at != Moment::Now && !c.is_ending(now_us);
        let Some(course) = self.playing(now_us).filter(goes_on) else {
            self.present = exercise;
            return self.play_from(Place::start_of(exercise), now_us);
        };
        if at == Moment::Exercise {
            return match self.present().has_end() {
                true => self.go_on_differently(now_us, false, Some(exercise)),
                false => Err(Phrase::of("cannot-turn-at-end")),
            };
        }
        let draft = course.draft_turning_to(exercise, course.line(now_us, at), &self.book, &self.notes);
        let (notes, wishes) = (self.notes.clone(), self.book.exercises[exercise].wishes);
        let course = self.announce(draft)?;
        course.take_notes(notes, wishes);
        (course.is_held, course.queued) = (false, None);
        self.present = exercise;
        (self.climbing, self.stops_after) = (Climbing::default(), false);
        Ok(true)
    }

    /// Sets the tempo of the span that is played.
    pub(super) fn set_tempo(&mut self, bpm: Bpm, at: Moment, now_us: f64) -> Changed {
        self.edit(at, now_us, Recount::Anew, |exercise, span| {
            exercise.set_tempo(span, bpm);
            Ok(())
        })
    }

    /// Takes the exercise a metronome step slower or faster.
    pub(super) fn step(&mut self, step: Step, at: Moment, now_us: f64) -> Changed {
        self.edit(at, now_us, Recount::Anew, |exercise, _| exercise.step(step))
    }

    /// Sets the pulses per beat, `None` for a straight tone.
    pub(super) fn set_per_beat(&mut self, per_beat: Option<PerBeat>, at: Moment, now_us: f64) -> Changed {
        self.edit(at, now_us, Recount::AsItIs, |exercise, _| {
            exercise.set_per_beat(per_beat);
            Ok(())
        })
    }

    /// Sets the bars counted in at the next start.
    pub(super) fn set_count_in(&mut self, bars: u8) -> Changed {
        if bars > 2 {
            return Err(Phrase::of("cannot-count-in").with("bars", bars));
        }
        self.book.count_in_bars = bars;
        Ok(false)
    }

    /// Who is in at the next start; `line` are those of them who do not rest.
    pub(super) fn seat(&mut self, chairs: Vec<(u16, Instrument)>, line: Vec<u16>) {
        self.notes.seated = chairs;
        self.line = line;
    }

    /// Sets who makes the tick heard, at once.
    pub(super) fn set_tick(&mut self, tick: TickFrom) -> Changed {
        self.tick = tick;
        let Some(course) = self.course.as_ref().filter(|c| c.timeline.score().tick != tick) else {
            return Ok(false);
        };
        self.announce(course.draft())?;
        Ok(true)
    }

    /// Takes note of what time alone has changed, before a command and now and then: an exercise that begins by itself, a
    /// score that has come to its end, a ladder's next rung, a rest that is over. Whether the score is another because of it.
    pub(super) fn pass(&mut self, section: Tally, now_us: f64) -> bool {
        let mut is_changed = self.give_latecomers_notes(now_us);
        is_changed |= self.climb(section, now_us);
        is_changed |= self.pass_on(now_us);
        is_changed | self.end_rest(now_us)
    }

    fn pass_on(&mut self, now_us: f64) -> bool {
        let Some(course) = &mut self.course else { return false };
        // From where a command given now could change it.
        if course.has_queue_begun(course.earliest_beat(now_us)) {
            self.present = course.queued.take().unwrap_or(self.present);
            let wishes = self.book.exercises[self.present].wishes;
            course.take_notes(self.notes.clone(), wishes);
        }
        let has_ended = course.is_over(now_us - AFTER_THE_END_US);
        if has_ended {
            self.begin_rest(now_us);
            self.course = None;
        }
        has_ended
    }

    /// What is asked at a time. While nothing is played, and during the count-in, that is nothing.
    pub(super) fn now(&self, now_us: f64) -> Now {
        let course = self.course.as_ref();
        let beat = course.map_or(0.0, |c| c.timeline.beat_at(now_us));
        let bpm = course.map_or(self.written(now_us).bpm.get(), |c| c.timeline.bpm_at(beat));
        let asked = course.filter(|_| beat >= 0.0).and_then(|course| {
            let (span, first_beat) = course.span_at(beat)?;
            (span.target != Target::CountIn).then(|| (course.timeline.time_of(first_beat), span))
        });
        let bar_beats = f64::from(self.book.beats_per_bar);
        let is_long_rest = |(_, span): (f64, &Span)| {
            span.target == Target::Rest && span.length_beats.is_none_or(|l| l.get() >= bar_beats)
        };
        Now {
            asked: asked.map_or(Asked::NOTHING, |(_, span)| Asked::of(span, bpm)),
            beat_us: 60e6 / bpm,
            since_us: asked.map(|(since_us, _)| since_us),
            is_gradual: asked.is_some_and(|(_, span)| span.bpm_to.is_some()),
            waits: false,
            rests: self.rest.is_some()
                || course.is_some_and(|c| !c.is_check) && asked.is_some_and(is_long_rest),
            bands: course
                .and_then(|c| c.place_at(beat))
                .map_or_else(Bands::default, |place| self.book.exercises[place.exercise].bands),
        }
    }

    /// Title of what is played, or of what a start would play: "Triplets at 66", "Eighths, 60 to 80".
    pub(super) fn title(&self, now_us: f64) -> Phrase {
        if self.is_check(now_us) {
            return Phrase::of("title-room-check");
        }
        let playing = self.timeline().and_then(|t| t.span_at(t.beat_at(now_us)));
        let span = playing.filter(|s| s.target != Target::CountIn).unwrap_or_else(|| self.written(now_us));
        span.title()
    }

    /// Changes the exercise, and the music from a moment on; at the moment "exercise", only the exercise. During the
    /// count-in a new tempo counts in anew: the bar that has begun would otherwise change its speed behind the players'
    /// backs.
    fn edit(
        &mut self,
        at: Moment,
        now_us: f64,
        recount: Recount,
        change: impl FnOnce(&mut Exercise, usize) -> Result<(), Phrase>,
    ) -> Changed {
        let course = self.playing(now_us).filter(|c| !c.is_ending(now_us));
        let line = course.map(|course| match at {
            Moment::Exercise => course.timeline.beat_at(now_us),
            _ => course.line_in(self.present, now_us, at),
        });
        let place = course.zip(line).map_or(self.stopped_at, |(course, line)| course.place_at(line));
        let place = place.unwrap_or(Place::start_of(self.present));
        let mut book = self.book.clone();
        change(&mut book.exercises[place.exercise], place.span)?;
        if book == self.book {
            return Ok(false);
        }
        let counts_in = course.is_some_and(|c| c.counts_in_at(c.earliest_beat(now_us)));
        let draft = course.zip(line).and_then(|(course, line)| course.draft_from(line, &book));
        match draft.filter(|_| at != Moment::Exercise) {
            Some(_) if counts_in && recount == Recount::Anew => {
                self.book = book;
                self.play_from(place, now_us)
            }
            Some(draft) => {
                self.announce(draft)?;
                self.book = book;
                Ok(true)
            }
            None => {
                self.book = book;
                Ok(false)
            }
        }
    }

    /// Lets the music go on otherwise after the span that is played.
    fn go_on_differently(&mut self, now_us: f64, is_held: bool, queued: Option<usize>) -> Changed {
        let Some(mut course) = self.playing(now_us).filter(|c| !c.is_ending(now_us)).cloned() else {
            return Err(Phrase::of("cannot-ending"));
        };
        if (course.is_held, course.queued) == (is_held, queued) {
            return Ok(false);
        }
        (course.is_held, course.queued) = (is_held, queued);
        let Some(draft) = course.draft_going_on(self.present, now_us, &self.book) else {
            return Ok(false);
        };
        let course = self.announce(draft)?;
        (course.is_held, course.queued) = (is_held, queued);
        Ok(true)
    }

    /// Counts in and plays from a place, as soon as everybody can know of it.
    fn play_from(&mut self, place: Place, now_us: f64) -> Changed {
        let start_us = Micros::clamped(now_us + LEAD_US).expect("server time is a number");
        let wishes = self.book.exercises[place.exercise].wishes;
        let rest = self.book.rest(place, &self.notes.wished(&wishes));
        let draft = self.book.counted_in(place, rest);
        let heading = self.heading(start_us);
        let course = Course::new(heading, draft, self.notes.clone(), wishes).map_err(too_many)?;
        self.version = course.timeline.score().version;
        self.course = Some(course);
        (self.stopped_at, self.rest, self.climbing) = (None, None, Climbing::default());
        self.stops_after = false;
        Ok(true)
    }

    /// Makes other spans the ones that are played.
    fn announce(&mut self, draft: Draft) -> Result<&mut Course, Phrase> {
        let course = self.course.as_ref().expect("there is music to change");
        let heading = self.heading(course.timeline.score().start_us);
        let course = course.redrafted(heading, draft).map_err(too_many)?;
        self.version = course.timeline.score().version;
        Ok(self.course.insert(course))
    }

    fn heading(&self, start_us: Micros) -> Heading {
        Heading {
            version: self.version + 1,
            start_us,
            beats_per_bar: self.book.beats_per_bar,
            tick: self.tick,
        }
    }
}

fn too_many(_: TooManyChanges) -> Phrase {
    Phrase::of("cannot-too-many-changes")
}

#[cfg(test)]
mod tests;
