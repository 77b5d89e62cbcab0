//! How devices come in: who a device is, where that player sits, and what is done when two devices are one person. Part of
//! the room's pure rules; knows only the protocol.

use super::claims::Claim;
use super::event::{Binding, ConnectionId, Effect, Joining, Kept};
use super::seat::Seat;
use super::state::{MAX_CHAIRS, Room};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{PlayerHears, Refused, RefusedReason, Welcome};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Name;

/// Where a device is to sit.
enum Place {
    /// A seat that is there, kept with its records.
    Seat(usize),
    /// A person's chair, with records of its own from here on.
    Person(String),
    /// Wherever there is room.
    Guest,
    /// Somebody else is in under that name.
    Taken { person_id: String, is_own: bool },
}

impl Room {
    pub(super) fn join(&mut self, joining: Joining, effects: &mut Vec<Effect>) {
        let is_same = self.is_same_player(&joining);
        match self.place_for(&joining, is_same) {
            Place::Seat(idx) => self.sit_down(idx, joining, is_same, false, effects),
            Place::Person(person_id) => self.seat_person(person_id, joining, is_same, false, effects),
            Place::Guest => self.seat_guest(joining, is_same, effects),
            Place::Taken { person_id, .. } if !joining.hello.takes_over => {
                let text = match self.person(&person_id) {
                    Some(person) => Phrase::of("refused-name-taken").with("name", person.name.as_str()),
                    None => Phrase::of("refused-name-taken-unknown"),
                };
                refuse(joining.connection, RefusedReason::NameTaken, text, effects);
            }
            Place::Taken { person_id, is_own: true } => {
                match self.seats.iter().position(|s| s.person_id.as_deref() == Some(&person_id)) {
                    Some(idx) => self.sit_down(idx, joining, is_same, false, effects),
                    None => self.seat_person(person_id, joining, is_same, false, effects),
                }
            }
            Place::Taken { person_id, is_own: false } => self.claim(person_id, joining, effects),
        }
    }

    /// Whether the token stands for the player that the hello means: who taps another name than the device had is
    /// somebody else, to whom nothing of the first belongs.
    fn is_same_player(&self, joining: &Joining) -> bool {
        let person_of_token = match self.seat_with_token(joining) {
            Some(idx) => self.seats[idx].person_id.as_deref(),
            None => joining.device.person_id.as_deref(),
        };
        let wanted = joining.hello.person.as_deref().filter(|p| self.person(p).is_some());
        wanted.is_none() || wanted == person_of_token
    }

    fn seat_with_token(&self, joining: &Joining) -> Option<usize> {
        let token = joining.hello.token.as_ref()?;
        self.seats.iter().position(|s| s.token == *token)
    }

    fn place_for(&self, joining: &Joining, is_same: bool) -> Place {
        if let (true, Some(idx)) = (is_same, self.seat_with_token(joining)) {
            return Place::Seat(idx);
        }
        let known = joining.device.person_id.as_deref().filter(|_| is_same);
        let wanted = joining.hello.person.as_deref().or(known);
        let Some(person) = wanted.and_then(|id| self.person(id)) else { return Place::Guest };
        let person_id = person.person_id.clone();
        let is_own = is_same && joining.device.is_confirmed && known == Some(person_id.as_str());
        match self.seats.iter().position(|s| s.person_id.as_deref() == Some(&person_id)) {
            Some(idx) if self.seats[idx].connection.is_some() => Place::Taken { person_id, is_own },
            Some(idx) if is_own => Place::Seat(idx),
            _ => Place::Person(person_id),
        }
    }

    /// A person's chair for a device that has no seat here. What another device has played there stays with the records.
    pub(super) fn seat_person(
        &mut self,
        person_id: String,
        joining: Joining,
        is_same: bool,
        is_confirmed: bool,
        effects: &mut Vec<Effect>,
    ) {
        self.seats.retain(|s| s.person_id.as_deref() != Some(&person_id));
        let Some(idx) = self.new_seat(&joining) else { return self.refuse_full(joining.connection, effects) };
        self.seats[idx].person_id = Some(person_id);
        self.sit_down(idx, joining, is_same, is_confirmed, effects);
    }

    /// A chair for somebody who is not in the section's list: a nickname, or a person who is off it or in another section,
    /// whose records stay theirs.
    pub(super) fn seat_guest(&mut self, joining: Joining, is_same: bool, effects: &mut Vec<Effect>) {
        let person_id = joining.device.person_id.clone().filter(|id| {
            is_same
                && self.person(id).is_none()
                && !self.seats.iter().any(|s| s.person_id.as_ref() == Some(id))
        });
        match self.new_seat(&joining) {
            Some(idx) => {
                self.seats[idx].person_id = person_id;
                self.sit_down(idx, joining, is_same, false, effects);
            }
            None => self.refuse_full(joining.connection, effects),
        }
    }

    /// Gives a seat to a device.
    fn sit_down(
        &mut self,
        idx: usize,
        joining: Joining,
        is_same: bool,
        is_confirmed: bool,
        effects: &mut Vec<Effect>,
    ) {
        let Joining { connection, hello, fresh, device, is_imaginary } = joining;
        let old = self.seats[idx].connection.filter(|&old| old != connection);
        if let Some(old) = old {
            let text = Phrase::of("refused-replaced");
            refuse(old, RefusedReason::Replaced, text, effects);
        }
        let is_guest = self.is_guest(&self.seats[idx]);
        let name = is_guest.then(|| self.free_name(idx, &hello.name));
        let seat = &mut self.seats[idx];
        let is_known = is_same && (device.is_known || hello.token.as_ref() == Some(&seat.token));
        seat.token = hello.token.filter(|_| is_known).unwrap_or(fresh.token);
        if is_known {
            seat.acknowledged_seq = seat.acknowledged_seq.max(device.acknowledged);
        }
        if let Some(name) = name {
            seat.notice = numbered_words(&hello.name, &name);
            seat.name = name;
            seat.asked = hello.name;
            if seat.instrument != hello.instrument {
                seat.instrument = hello.instrument;
                seat.part.clear();
            }
        }
        seat.calibrated = hello.calibrated;
        seat.is_imaginary = is_imaginary;
        seat.sit_down(connection);
        let player_id = seat.player_id.clone();
        let person_id = seat.person_id.clone();
        self.order_seats(effects);
        if let Some(person_id) = person_id {
            self.tell_holder(&person_id, effects);
        }
        let seat = self.seats.iter().find(|s| s.player_id == player_id).expect("it has just sat down");
        let binding = if is_confirmed { Binding::Confirmed } else { Binding::Person };
        effects.push(Effect::Keep(kept_player(seat, binding)));
        self.welcome_when_clear(&player_id, effects);
    }

    /// A seat for a new player, at the end, or instead of that of whoever has been away the longest.
    fn new_seat(&mut self, joining: &Joining) -> Option<usize> {
        let idx = if self.seats.len() < MAX_CHAIRS {
            self.seats.len()
        } else {
            let away = self.seats.iter().enumerate().filter(|(_, s)| s.connection.is_none());
            let (idx, _) = away.min_by(|(_, a), (_, b)| a.away_since_us.total_cmp(&b.away_since_us))?;
            self.seats.remove(idx);
            idx
        };
        let (hello, fresh) = (&joining.hello, &joining.fresh);
        let player_id = fresh.player_id.clone();
        let seat = Seat::new(player_id, fresh.token.clone(), 0, hello.name.clone(), hello.instrument);
        self.seats.insert(idx, seat);
        Some(idx)
    }

    fn refuse_full(&self, connection: ConnectionId, effects: &mut Vec<Effect>) {
        let text = Phrase::of("refused-full").with("n", MAX_CHAIRS);
        refuse(connection, RefusedReason::Full, text, effects);
    }

    /// A nickname that nobody else here or in the list has: as typed, or with the lowest free number. Who has one keeps it.
    fn free_name(&self, idx: usize, typed: &Name) -> Name {
        let seat = &self.seats[idx];
        if !seat.part.is_empty() && seat.asked == *typed {
            return seat.name.clone();
        }
        let others = self.seats.iter().enumerate().filter(|&(i, _)| i != idx).map(|(_, s)| &s.name);
        let taken: Vec<String> =
            others.chain(self.roster.iter().map(|p| &p.name)).map(|n| n.as_str().to_lowercase()).collect();
        let numbered = |n: usize| match n {
            1 => Some(typed.clone()),
            n => {
                let number = format!(" {n}");
                let room = Name::MAX_CHARS - number.len();
                let short: String = typed.as_str().chars().take(room).collect();
                Name::new(&format!("{}{number}", short.trim_end())).ok()
            }
        };
        let mut free =
            (1..).filter_map(numbered).filter(|name| !taken.contains(&name.as_str().to_lowercase()));
        free.next().expect("numbers do not end")
    }

    /// "flute 2": the lowest number that nobody else of the instrument has.
    pub(super) fn free_part(instrument: Instrument, is_taken: impl Fn(&str) -> bool) -> String {
        let mut parts = (1..).map(|n: usize| format!("{} {n}", instrument.label()));
        parts.find(|p| !is_taken(p)).expect("numbers do not end")
    }

    /// Welcomes a player once all that was on its way to the records has arrived or failed: a page that was reloaded
    /// numbers on from what it is told here, and told too little it would use the same numbers a second time.
    pub(super) fn welcome_when_clear(&mut self, player_id: &str, effects: &mut Vec<Effect>) {
        let Some(seat) = self.seats.iter_mut().find(|s| s.player_id == player_id) else { return };
        let Some(connection) = seat.connection else { return };
        if !seat.welcome_due || seat.n_on_the_way > 0 {
            return;
        }
        seat.accepted_seq = seat.acknowledged_seq;
        seat.unkept_since_us = None;
        seat.welcome_due = false;
        let message = PlayerHears::Welcome(Welcome {
            player_id: seat.player_id.clone(),
            token: seat.token.clone(),
            chair: seat.chair,
            name: seat.name.clone(),
            instrument: seat.instrument,
            part: seat.part.clone(),
            section: self.section.to_string(),
            a4_hz: self.a4_hz,
            acknowledged: seat.acknowledged_seq,
            score: self.music.score().cloned(),
            exercise: self.music.brief(),
        });
        effects.push(Effect::Send { connection, message });
        if !seat.notice.is_empty() {
            let message = PlayerHears::Notice { text: seat.notice.clone() };
            effects.push(Effect::Send { connection, message });
        }
    }

    /// Somebody who says to be a person that is in from another device: the conductor decides.
    fn claim(&mut self, person_id: String, joining: Joining, effects: &mut Vec<Effect>) {
        let Some(name) = self.person(&person_id).map(|p| p.name.clone()) else { return };
        if self.claims.len() >= Claim::MAX {
            let text = Phrase::of("refused-many-questions");
            return refuse(joining.connection, RefusedReason::NotYou, text, effects);
        }
        let text = Phrase::of("notice-conductor-is-asked").with("name", name.as_str());
        effects.push(Effect::Send { connection: joining.connection, message: PlayerHears::Notice { text } });
        let id = self.next_notice_id();
        self.claims.push(Claim { id, person_id: person_id.clone(), joining });
        self.tell_holder(&person_id, effects);
    }
}

/// What a player whose name got a number reads.
fn numbered_words(typed: &Name, name: &Name) -> Phrase {
    if typed == name {
        return Phrase::default();
    }
    Phrase::of("notice-numbered").with("typed", typed.as_str()).with("name", name.as_str())
}

pub(super) fn refuse(
    connection: ConnectionId,
    reason: RefusedReason,
    text: Phrase,
    effects: &mut Vec<Effect>,
) {
    effects.push(Effect::Refuse { connection, refused: Refused { reason, text } });
}

pub(super) fn kept_player(seat: &Seat, binding: Binding) -> Kept {
    Kept::Player {
        player_id: seat.player_id.clone(),
        chair: seat.chair,
        name: seat.name.to_string(),
        instrument: seat.instrument,
        calibrated: seat.calibrated,
        token: seat.token.clone(),
        person_id: seat.person_id.clone(),
        binding,
    }
}
