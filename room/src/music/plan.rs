//! The plan that is played from: which exercise is present, what the conductor sets against its wishes, and the rungs of a
//! ladder. Pure; knows only the protocol.

use super::super::exercise::{Exercise, Place};
use super::super::lesson::Lesson;
use super::{Changed, Music};
use windrow_protocol::messages::{Brief, Flow, Moment, RungNow, Turns};
use windrow_protocol::note::Note;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::voicing::{Tuning, Voicing};

impl Music {
    /// Plays from another plan from now on.
    ///
    /// # Errors
    /// A sentence while music is playing.
    pub(crate) fn take_plan(&mut self, lesson: Lesson, now_us: f64) -> Result<(), Phrase> {
        if self.is_playing(now_us) {
            return Err(Phrase::of("cannot-take-plan-playing"));
        }
        let Lesson { title, beats_per_bar, pieces, .. } = lesson;
        if pieces.is_empty() {
            return Err(Phrase::of("cannot-take-plan-empty").with("title", title));
        }
        self.plan = title;
        self.book.beats_per_bar = beats_per_bar;
        self.book.exercises = pieces.into_iter().map(Exercise::from).collect();
        (self.present, self.stopped_at, self.course, self.rest) = (0, None, None, None);
        Ok(())
    }

    /// Takes back whatever was set or chosen since `then`; nothing plays.
    pub(crate) fn go_back_to(&mut self, then: Self) {
        // Devices take the higher version for the newer score.
        let version = self.version;
        *self = Self { version, course: None, stopped_at: None, rest: None, ..then };
    }

    /// What the players are told: of the present exercise, in a rest of the one that follows.
    pub(crate) fn brief(&self) -> Brief {
        self.rest.map_or(self.present(), |rest| &self.book.exercises[rest.next]).brief()
    }

    /// The exercise at a place, from 1.
    pub(crate) fn choose(&mut self, exercise: u16, at: Moment, now_us: f64) -> Changed {
        let n_exercises = self.book.exercises.len();
        if !(1..=n_exercises).contains(&usize::from(exercise)) {
            return Err(Phrase::of("cannot-choose").with("exercise", exercise).with("n", n_exercises));
        }
        let place = |n: usize| isize::try_from(n).expect("a plan has few exercises");
        let places = place(usize::from(exercise)) - 1 - place(self.present);
        if places == 0 && !self.is_playing(now_us) {
            self.stopped_at = None;
            return Ok(false);
        }
        self.move_by(places, at, now_us)
    }

    /// Sets the note of the next start, for one chair or for all that have none of their own.
    ///
    /// # Errors
    /// A sentence where the chair's instrument cannot play it.
    pub(crate) fn set_note(&mut self, note: Option<Note>, chair: Option<u16>) -> Changed {
        if let Some((note, chair)) = note.zip(chair) {
            self.notes.check_range(note, chair)?;
        }
        match &mut self.book.exercises[self.present].wishes.note {
            Some(_) if chair.is_none() && note.is_none() => {
                self.book.exercises[self.present].wishes.note = None
            }
            Some(wish) if chair.is_none() => *wish = note.unwrap_or(*wish),
            _ => self.notes.set(note, chair),
        }
        Ok(false)
    }

    /// Sets how the note of the next start is spread over the chairs.
    pub(crate) fn set_voicing(&mut self, voicing: Voicing) -> Changed {
        match &mut self.book.exercises[self.present].wishes.voicing {
            Some(wish) => *wish = voicing,
            None => self.notes.voicing = voicing,
        }
        Ok(false)
    }

    /// Sets where the notes of a chord lie from the next start on.
    pub(crate) fn set_tuning(&mut self, tuning: Tuning) -> Changed {
        match &mut self.book.exercises[self.present].wishes.tuning {
            Some(wish) => *wish = tuning,
            None => self.notes.tuning = tuning,
        }
        Ok(false)
    }

    /// Sets what happens at an exercise's end; a rest that would lead on is just a rest then.
    pub(crate) fn set_flow(&mut self, flow: Flow) -> Changed {
        self.flow = flow;
        self.rest = self.rest.filter(|_| flow == Flow::GoOn);
        Ok(false)
    }

    /// Who plays when in an exercise.
    pub(super) fn turns_of(&self, exercise: usize) -> Turns {
        self.book.exercises[exercise].wishes.turns.unwrap_or(self.turns)
    }

    /// Where in the ladder the music is, or would begin.
    pub(super) fn rung_now(&self, now_us: f64) -> Option<RungNow> {
        let exercise = self.present();
        let ladder = exercise.ladder()?;
        let playing = self.playing(now_us).and_then(|c| c.place_at(c.timeline.beat_at(now_us)));
        let place = playing.filter(|p| p.exercise == self.present).or(self.stopped_at);
        let rung = place.map_or(Some(0), |place| exercise.rung_of(place.span))?;
        let count =
            |n: usize| u16::try_from(n).expect("a ladder has at most as many rungs as there are marks");
        Some(RungNow { number: count(rung + 1), of: count(ladder.rungs.len()), go_on: ladder.go_on })
    }

    /// One rung back, counted in.
    pub(crate) fn step_back(&mut self, now_us: f64) -> Changed {
        let exercise = self.present();
        if exercise.ladder().is_none() {
            return Err(Phrase::of("cannot-step-back-no-ladder"));
        }
        let rung = self.rung_now(now_us).map_or(0, |rung| usize::from(rung.number) - 1);
        let back = rung.checked_sub(1).and_then(|rung| exercise.span_of_rung(rung));
        let Some(span) = back else {
            return Err(Phrase::of("cannot-step-back-first"));
        };
        let place = Place { exercise: self.present, span, beats: 0.0 };
        match self.playing(now_us).filter(|c| !c.is_ending(now_us)) {
            Some(_) => self.turn_back_to(place, now_us),
            None => self.play_from(place, now_us),
        }
    }
}
