//! What a room does about its check: begins it, keeps other commands off meanwhile, shows what was found, and believes devices
//! accordingly. Pure; knows only the protocol.

use super::check::{Sitting, Sounding};
use super::event::{Effect, Kept};
use super::seat::Seat;
use super::state::Room;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::phrase::Phrase;

impl Room {
    /// While a check is running only what does not change the music is allowed, and a stop.
    pub(super) fn mind_the_check(&self, command: &ConductorSays, now_us: f64) -> Result<(), Phrase> {
        let is_free = matches!(
            command,
            ConductorSays::Stop { .. }
                | ConductorSays::SetNote { .. }
                | ConductorSays::SetVoicing { .. }
                | ConductorSays::SetTurns { .. }
                | ConductorSays::SetTuning { .. }
                | ConductorSays::SetFlow { .. }
                | ConductorSays::SetTick { .. }
                | ConductorSays::SetCountIn { .. }
                | ConductorSays::Answer { .. }
                | ConductorSays::Clock(_)
        );
        if is_free || !self.music.is_check(now_us) {
            return Ok(());
        }
        Err(Phrase::of("cannot-check-running"))
    }

    pub(super) fn begin_check(&mut self, chairs: &[u16], now_us: f64) -> Result<bool, Phrase> {
        let is_asked = |seat: &&Seat| chairs.is_empty() || chairs.contains(&seat.chair);
        let asked: Vec<&Seat> =
            self.seats.iter().filter(is_asked).filter(|s| s.connection.is_some()).collect();
        if let Some(chair) = chairs.iter().find(|&&chair| asked.iter().all(|s| s.chair != chair)) {
            return Err(Phrase::of("cannot-check-chair").with("chair", *chair));
        }
        if asked.is_empty() {
            return Err(Phrase::of("cannot-check-nobody"));
        }
        let (chairs, players): (Vec<u16>, Vec<String>) =
            asked.iter().map(|s| (s.chair, s.player_id.clone())).unzip();
        let timeline = self.music.check(&chairs, now_us)?.clone();
        self.check.begin(timeline, players);
        Ok(true)
    }

    /// Chairs have changed: the turns of a check that is running go by chair, so it cannot go on.
    pub(super) fn end_check_of_other_chairs(&mut self, now_us: f64, effects: &mut Vec<Effect>) {
        if !self.check.is_running() {
            return;
        }
        // A check is stopped at any time.
        let _ = self.music.stop(Moment::Now, now_us);
        self.tell_score(effects);
        self.end_check_without_music(now_us, effects);
        self.tell_conductor(Phrase::of("notice-check-stopped"));
    }

    /// A check ends with its music.
    pub(super) fn end_check_without_music(&mut self, now_us: f64, effects: &mut Vec<Effect>) {
        if self.check.is_running() && !self.music.holds_check() {
            self.check.stop();
            self.show_check(effects);
            self.keep_check(now_us, effects);
        }
    }

    pub(super) fn show_check(&self, effects: &mut Vec<Effect>) {
        let sittings: Vec<Sitting<'_>> = self.seats.iter().map(Seat::sitting).collect();
        effects.push(Effect::ShowCheck(Box::new(self.check.picture(&sittings))));
    }

    /// One that is over goes to the records, but for what was heard of the imaginary section, which may be on its way out.
    pub(super) fn keep_check(&self, now_us: f64, effects: &mut Vec<Effect>) {
        if self.seats.iter().any(|seat| seat.is_imaginary) {
            return;
        }
        let sittings: Vec<Sitting<'_>> = self.seats.iter().map(Seat::sitting).collect();
        let found = Box::new(self.check.picture(&sittings));
        effects.push(Effect::Keep(Kept::Check { checked_us: now_us, found }));
    }

    /// Notes on each seat whether its device may be hearing the neighbours, as far as the check tells.
    pub(super) fn mark_covered(&mut self, now_us: f64) {
        let sounding: Vec<(usize, Sounding<'_>)> =
            self.seats.iter().enumerate().filter_map(|(i, s)| Some((i, s.sounding(now_us)?))).collect();
        let (places, sounding): (Vec<usize>, Vec<Sounding<'_>>) = sounding.into_iter().unzip();
        let covered = self.check.covered(&sounding);
        self.seats.iter_mut().for_each(|s| s.is_covered = false);
        for (place, is_covered) in places.into_iter().zip(covered) {
            self.seats[place].is_covered = is_covered;
        }
    }
}
