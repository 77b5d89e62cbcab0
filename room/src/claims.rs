//! What the conductor should know or decide about who is who: two devices on one name, somebody who erased what was stored.
//! Part of the room's pure rules.

use super::event::{Binding, ConnectionId, Effect, Joining};
use super::joining::{kept_player, refuse};
use super::state::Room;
use windrow_protocol::messages::{Notice, NoticeAnswer, PlayerHears, RefusedReason};
use windrow_protocol::phrase::Phrase;

/// A device that waits to be told whether it may be a person who is in from another one.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Claim {
    pub(super) id: u32,
    pub(super) person_id: String,
    pub(super) joining: Joining,
}

impl Claim {
    /// Claims that wait at a time: nobody answers more.
    pub(super) const MAX: usize = 16;
}

/// Notices kept: older ones go.
const MAX_NOTICES: usize = 16;

impl Room {
    pub(super) fn next_notice_id(&mut self) -> u32 {
        self.last_notice_id = self.last_notice_id.wrapping_add(1);
        self.last_notice_id
    }

    /// Says something to the conductor that has to be read once.
    pub(super) fn tell_conductor(&mut self, text: Phrase) {
        let id = self.next_notice_id();
        if self.notices.len() == MAX_NOTICES {
            self.notices.remove(0);
        }
        self.notices.push(Notice { id, text, answers: vec![NoticeAnswer::Seen] });
    }

    /// Everything that waits for the conductor: what fails, then the oldest first.
    pub(super) fn notices(&self) -> Vec<Notice> {
        let claims = self.claims.iter().map(|claim| {
            let person = self.person(&claim.person_id);
            let text = match person {
                Some(person) => Phrase::of("notice-two-devices").with("name", person.name.as_str()),
                None => Phrase::of("notice-two-devices-unknown"),
            };
            Notice {
                id: claim.id,
                text,
                answers: vec![
                    NoticeAnswer::KeepFirst,
                    NoticeAnswer::SecondTakesOver,
                    NoticeAnswer::SecondIsNickname,
                ],
            }
        });
        let mut all: Vec<Notice> = claims.chain(self.notices.iter().cloned()).collect();
        all.sort_by_key(|n| n.id);
        self.troubles.iter().map(|(_, notice)| notice.clone()).chain(all).collect()
    }

    /// Carries out the conductor's answer.
    pub(super) fn answer(
        &mut self,
        id: u32,
        answer: NoticeAnswer,
        effects: &mut Vec<Effect>,
    ) -> Result<(), Phrase> {
        if let Some(idx) = self.notices.iter().position(|n| n.id == id) {
            self.notices.remove(idx);
            return Ok(());
        }
        let Some(idx) = self.claims.iter().position(|c| c.id == id) else {
            return Err(Phrase::of("cannot-answer-settled"));
        };
        if answer == NoticeAnswer::Seen {
            return Err(Phrase::of("cannot-answer-choose"));
        }
        let Claim { person_id, joining, .. } = self.claims.remove(idx);
        match answer {
            NoticeAnswer::SecondTakesOver => {
                self.turn_out(&person_id, effects);
                self.seat_person(person_id.clone(), joining, false, true, effects);
            }
            NoticeAnswer::SecondIsNickname => self.seat_guest(joining, false, effects),
            NoticeAnswer::KeepFirst | NoticeAnswer::Seen => {
                let text = Phrase::of("refused-already-in");
                refuse(joining.connection, RefusedReason::NotYou, text, effects);
            }
        }
        self.tell_holder(&person_id, effects);
        Ok(())
    }

    /// Whoever sits on a person's chair was somebody else: what was recorded there is not that person's.
    fn turn_out(&mut self, person_id: &str, effects: &mut Vec<Effect>) {
        let Some(idx) = self.seats.iter().position(|s| s.person_id.as_deref() == Some(person_id)) else {
            return;
        };
        let mut seat = self.seats.remove(idx);
        seat.person_id = None;
        effects.push(Effect::Keep(kept_player(&seat, Binding::Nobody)));
        if let Some(connection) = seat.connection {
            let text = Phrase::of("refused-given-away");
            refuse(connection, RefusedReason::NotYou, text, effects);
        }
    }

    /// Tells the device that is in under a person's name whether another one waits for that name.
    pub(super) fn tell_holder(&mut self, person_id: &str, effects: &mut Vec<Effect>) {
        let is_claimed = self.claims.iter().any(|c| c.person_id == person_id);
        let Some(seat) = self.seats.iter_mut().find(|s| s.person_id.as_deref() == Some(person_id)) else {
            return;
        };
        let text = if is_claimed {
            Phrase::of("notice-claimed").with("name", seat.name.as_str())
        } else {
            Phrase::default()
        };
        if seat.notice == text {
            return;
        }
        seat.notice.clone_from(&text);
        if let Some(connection) = seat.connection.filter(|_| !seat.welcome_due) {
            effects.push(Effect::Send { connection, message: PlayerHears::Notice { text } });
        }
    }

    /// A connection that is gone: a claim it made falls, and claims on its player's name hold.
    pub(super) fn forget_connection(&mut self, connection: ConnectionId, effects: &mut Vec<Effect>) {
        if let Some(idx) = self.claims.iter().position(|c| c.joining.connection == connection) {
            let claim = self.claims.remove(idx);
            self.tell_holder(&claim.person_id, effects);
        }
        self.settle_free_claims(effects);
    }

    /// Lets in whoever claims a name that nobody is in under any more.
    pub(super) fn settle_free_claims(&mut self, effects: &mut Vec<Effect>) {
        let is_in = |room: &Self, person_id: &str| {
            room.seats.iter().any(|s| s.connection.is_some() && s.person_id.as_deref() == Some(person_id))
        };
        while let Some(idx) = self.claims.iter().position(|c| !is_in(self, &c.person_id)) {
            let claim = self.claims.remove(idx);
            self.join(claim.joining, effects);
        }
    }
}
