//! The imaginary section in a room: it shows how things go while nobody real is in, nothing of it is kept, and once it is gone
//! the room is as it was before. Part of the room's pure rules; what its players play is not its concern.

use super::event::{Effect, Joining, Kept};
use super::lesson::Lesson;
use super::music::Music;
use super::state::Room;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::phrase::Phrase;

/// What a room goes back to when the imaginary section has gone.
#[derive(Debug, Clone)]
pub(super) struct Before {
    music: Music,
    last_notice_id: u32,
}

impl Room {
    /// Whether those who are in are imaginary. Never both: where one real player comes, all of them go.
    pub(super) fn has_imaginary(&self) -> bool {
        self.before_imaginary.is_some()
    }

    /// Lets a device in, and the imaginary section out where the device is real.
    pub(super) fn come_in(&mut self, joining: Joining, now_us: f64, effects: &mut Vec<Effect>) {
        if !joining.is_imaginary {
            if self.has_imaginary() {
                self.send_imaginary_away(now_us, effects);
                self.tell_conductor(Phrase::of("notice-imaginary-left"));
            }
            return self.join(joining, effects);
        }
        if self.n_present() > 0 {
            return effects.push(Effect::Disconnect { connection: joining.connection });
        }
        if self.before_imaginary.is_none() {
            let before = Before { music: self.music.clone(), last_notice_id: self.last_notice_id };
            self.before_imaginary = Some(Box::new(before));
        }
        self.join(joining, effects);
    }

    /// A plan that was taken while the imaginary section is here stays when it goes.
    pub(super) fn begin_from_here(&mut self) {
        if let Some(before) = &mut self.before_imaginary {
            before.music = self.music.clone();
        }
    }

    /// Lets the imaginary section play a plan.
    ///
    /// # Errors
    /// A sentence where it is not here, or plays.
    pub(super) fn lend(&mut self, lesson: Lesson, now_us: f64) -> Result<(), Phrase> {
        if !self.has_imaginary() {
            return Err(Phrase::of("cannot-lend-gone"));
        }
        self.music.take_plan(lesson, now_us)
    }

    /// The imaginary section goes, with its music and all that was heard of it.
    pub(super) fn send_imaginary_away(&mut self, now_us: f64, effects: &mut Vec<Effect>) {
        let Some(before) = self.before_imaginary.take() else { return };
        // There is nothing that could keep music from being stopped now.
        let _ = self.command(ConductorSays::Stop { at: Moment::Now }, now_us, effects);
        self.music.go_back_to(before.music);
        // What was said of their rehearsal says nothing of the next.
        self.notices.retain(|notice| notice.id <= before.last_notice_id);
        let (gone, stay): (Vec<_>, Vec<_>) = self.seats.drain(..).partition(|seat| seat.is_imaginary);
        self.seats = stay;
        for seat in gone {
            self.check.forget(&seat.player_id);
            self.forget_outcomes(&seat.player_id);
            effects.extend(seat.connection.map(|connection| Effect::Disconnect { connection }));
        }
        self.forget_imaginary_outcomes();
        self.order_seats(effects);
    }

    /// While the imaginary section is here nothing that it plays, and nothing of its players, goes to the records.
    pub(super) fn keep_nothing_imaginary(&self, effects: &mut Vec<Effect>) {
        if !self.has_imaginary() {
            return;
        }
        let is_imaginary =
            |player_id: &str| self.seats.iter().any(|s| s.player_id == player_id && s.is_imaginary);
        effects.retain(|effect| match effect {
            Effect::Keep(Kept::Score { .. }) => false,
            Effect::Keep(
                Kept::Player { player_id, .. }
                | Kept::Pulses { player_id, .. }
                | Kept::Span { player_id, .. },
            ) => !is_imaginary(player_id),
            _ => true,
        });
    }
}
