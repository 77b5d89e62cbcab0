//! The section's list in the room: whose chair is where, and what happens to seats when the list changes. Part of the
//! room's pure rules; where the list comes from is not its concern.

use super::event::{Binding, Effect, Person, RosterChange, SeatInfo, Whose};
use super::joining::{kept_player, refuse};
use super::seat::Seat;
use super::state::Room;
use windrow_protocol::messages::{PlayerHears, RefusedReason, SeatNow};
use windrow_protocol::phrase::Phrase;

impl Room {
    pub(super) fn person(&self, person_id: &str) -> Option<&Person> {
        self.roster.iter().find(|p| p.person_id == person_id)
    }

    /// Takes in what the conductor changed about the section, or a player about the own records.
    pub(super) fn change_roster(
        &mut self,
        change: RosterChange,
        now_us: f64,
        effects: &mut Vec<Effect>,
    ) -> Result<(), Phrase> {
        let chairs = self.chairs();
        match change {
            RosterChange::List { section, people } => {
                self.section = section;
                self.roster = with_parts(people);
            }
            RosterChange::Seated { player_id, person_id } => {
                self.seat_as(&player_id, &person_id, effects)?;
            }
            RosterChange::Merged { from, into } => {
                self.merge(&from, &into)?;
                self.tell_holder(&into, effects);
            }
            RosterChange::SentOut { player_id } => self.send_out(&player_id, now_us, effects)?,
            RosterChange::Erased { whose, by_player } => self.erase(&whose, by_player, now_us, effects),
        }
        self.order_seats(effects);
        if self.chairs() != chairs {
            self.end_check_of_other_chairs(now_us, effects);
        }
        self.settle_free_claims(effects);
        Ok(())
    }

    /// Who sits where of those who are in.
    fn chairs(&self) -> Vec<(u16, String)> {
        let in_room = self.seats.iter().filter(|s| s.connection.is_some());
        in_room.map(|s| (s.chair, s.player_id.clone())).collect()
    }

    /// A player who came with a nickname is a person of the list.
    fn seat_as(&mut self, player_id: &str, person_id: &str, effects: &mut Vec<Effect>) -> Result<(), Phrase> {
        let person = self.person(person_id).ok_or_else(|| Phrase::of("cannot-seat-person"))?;
        let name = person.name.clone();
        let idx = self.seats.iter().position(|s| s.player_id == player_id && !s.is_imaginary);
        let idx = idx.ok_or_else(|| Phrase::of("cannot-seat-player"))?;
        let holder = self.seats.iter().position(|s| s.person_id.as_deref() == Some(person_id));
        if holder.is_some_and(|i| i != idx && self.seats[i].connection.is_some()) {
            return Err(Phrase::of("cannot-seat-in-already").with("name", name.as_str()));
        }
        self.seats[idx].person_id = Some(person_id.to_owned());
        effects.push(Effect::Keep(kept_player(&self.seats[idx], Binding::Confirmed)));
        self.tell_holder(person_id, effects);
        // What that person's other device played today is with the records.
        if let Some(old) = holder.filter(|&i| i != idx) {
            self.seats.remove(old);
        }
        Ok(())
    }

    /// Frees somebody's chair. The device's token opens nothing after that; the code does, as long as it is good.
    fn send_out(&mut self, player_id: &str, now_us: f64, effects: &mut Vec<Effect>) -> Result<(), Phrase> {
        let idx = self.seats.iter().position(|s| s.player_id == player_id && !s.is_imaginary);
        let mut seat = self.seats.remove(idx.ok_or_else(|| Phrase::of("cannot-seat-player"))?);
        if let Some(connection) = seat.connection {
            seat.get_up(now_us);
            refuse(connection, RefusedReason::NotYou, Phrase::of("refused-sent-out"), effects);
        }
        Ok(())
    }

    /// Two people of the list are one.
    fn merge(&mut self, from: &str, into: &str) -> Result<(), Phrase> {
        let of = |room: &Self, id: &str| room.seats.iter().position(|s| s.person_id.as_deref() == Some(id));
        let (Some(from_idx), into_idx) = (of(self, from), of(self, into)) else { return Ok(()) };
        let is_in = |room: &Self, idx: usize| room.seats[idx].connection.is_some();
        match into_idx {
            Some(into_idx) if is_in(self, from_idx) && is_in(self, into_idx) => {
                return Err(Phrase::of("cannot-merge-both-in"));
            }
            Some(into_idx) => {
                self.seats[from_idx].person_id = Some(into.to_owned());
                self.seats.remove(if is_in(self, from_idx) { into_idx } else { from_idx });
            }
            None => self.seats[from_idx].person_id = Some(into.to_owned()),
        }
        Ok(())
    }

    /// Lets go of whoever was erased; nothing more of theirs goes to the records.
    fn erase(&mut self, whose: &Whose, by_player: bool, now_us: f64, effects: &mut Vec<Effect>) {
        let is_theirs = |s: &Seat| match whose {
            Whose::Person { person_id, token } => {
                s.person_id.as_ref() == Some(person_id) || Some(&s.token) == token.as_ref()
            }
            Whose::Device(token) => s.token == *token,
        };
        let (gone, stay): (Vec<_>, Vec<_>) = self.seats.drain(..).partition(is_theirs);
        self.seats = stay;
        gone.iter().for_each(|seat| self.forget_outcomes(&seat.player_id));
        self.forget_earlier_outcomes();
        if by_player {
            let name = match whose {
                Whose::Person { person_id, .. } => self.person(person_id).map(|p| p.name.to_string()),
                Whose::Device(_) => None,
            };
            let name = name.or_else(|| gone.first().map(|s| s.name.to_string()));
            self.tell_conductor(match name {
                Some(name) => Phrase::of("notice-erased").with("name", name),
                None => Phrase::of("notice-erased-unknown"),
            });
        }
        for mut seat in gone {
            if let Some(connection) = seat.connection {
                seat.get_up(now_us);
                let text = Phrase::of("refused-erased");
                refuse(connection, RefusedReason::Erased, text, effects);
            }
        }
        if let Whose::Person { person_id, .. } = whose {
            self.roster.retain(|p| p.person_id != *person_id);
        }
    }

    /// Puts the seats into chair order, the list's people on their chairs and everybody else behind them, and tells
    /// whoever sits elsewhere now, or is called otherwise.
    pub(super) fn order_seats(&mut self, effects: &mut Vec<Effect>) {
        let places: Vec<Option<usize>> = self
            .seats
            .iter()
            .map(|s| s.person_id.as_ref().and_then(|id| self.roster.iter().position(|p| p.person_id == *id)))
            .collect();
        let mut guest_chair = self.roster.len();
        for (idx, place) in places.into_iter().enumerate() {
            let before = seat_now(&self.seats[idx]);
            let next = match place {
                Some(place) => {
                    let person = &self.roster[place];
                    SeatNow {
                        chair: chair(place + 1),
                        name: person.name.clone(),
                        instrument: person.instrument,
                        part: person.part.clone(),
                    }
                }
                None => {
                    guest_chair += 1;
                    SeatNow { chair: chair(guest_chair), part: self.guest_part(idx), ..before.clone() }
                }
            };
            let seat = &mut self.seats[idx];
            if next == before {
                continue;
            }
            seat.chair = next.chair;
            seat.name = next.name.clone();
            seat.instrument = next.instrument;
            seat.part.clone_from(&next.part);
            // A new seat is kept and told by whoever made it.
            if before.chair != 0 {
                effects.push(Effect::Keep(kept_player(seat, Binding::Person)));
                if let Some(connection) = seat.connection.filter(|_| !seat.welcome_due) {
                    effects.push(Effect::Send { connection, message: PlayerHears::Seat(next) });
                }
            }
        }
        self.seats.sort_by_key(|s| s.chair);
    }

    /// The part of somebody who is not in the list: the same as before, unless the list has it now.
    fn guest_part(&self, idx: usize) -> String {
        let seat = &self.seats[idx];
        let in_list = |part: &str| self.roster.iter().any(|p| p.part == part);
        if !seat.part.is_empty() && !in_list(&seat.part) {
            return seat.part.clone();
        }
        let others = |part: &str| self.seats.iter().enumerate().any(|(i, s)| i != idx && s.part == part);
        Self::free_part(seat.instrument, |part| in_list(part) || others(part))
    }

    /// Who could be in.
    pub(super) fn n_expected(&self) -> usize {
        if self.has_imaginary() {
            return self.seats.iter().filter(|s| s.is_imaginary).count();
        }
        let is_guest_in = |s: &&Seat| self.is_guest(s) && s.connection.is_some();
        self.roster.len() + self.seats.iter().filter(is_guest_in).count()
    }

    /// Whether somebody is not in the list: a nickname, or a person who was taken off it.
    pub(super) fn is_guest(&self, seat: &Seat) -> bool {
        seat.person_id.as_ref().is_none_or(|id| self.person(id).is_none())
    }

    /// Every chair: the list's, whoever has come or not, and those of real players who are not in the list.
    pub fn seat_list(&self) -> Vec<SeatInfo> {
        let of_person =
            |person: &Person| self.seats.iter().find(|s| s.person_id.as_ref() == Some(&person.person_id));
        let people = self.roster.iter().enumerate().map(|(place, person)| {
            let seat = of_person(person);
            SeatInfo {
                chair: chair(place + 1),
                person_id: Some(person.person_id.clone()),
                player_id: seat.map(|s| s.player_id.clone()),
                name: person.name.clone(),
                instrument: person.instrument,
                part: person.part.clone(),
                is_in: seat.is_some_and(|s| s.connection.is_some()),
            }
        });
        let guests = self.seats.iter().filter(|s| self.is_guest(s) && !s.is_imaginary).map(|s| SeatInfo {
            chair: s.chair,
            person_id: None,
            player_id: Some(s.player_id.clone()),
            name: s.name.clone(),
            instrument: s.instrument,
            part: s.part.clone(),
            is_in: s.connection.is_some(),
        });
        people.chain(guests).collect()
    }
}

fn seat_now(seat: &Seat) -> SeatNow {
    SeatNow {
        chair: seat.chair,
        name: seat.name.clone(),
        instrument: seat.instrument,
        part: seat.part.clone(),
    }
}

fn chair(number: usize) -> u16 {
    u16::try_from(number).expect("a list has at most 240 people, a room at most 256 seats")
}

/// Gives a part to everybody of whom the list says none.
fn with_parts(mut people: Vec<Person>) -> Vec<Person> {
    for idx in 0..people.len() {
        if people[idx].part.is_empty() {
            let part = Room::free_part(people[idx].instrument, |p| people.iter().any(|q| q.part == p));
            people[idx].part = part;
        }
    }
    people
}
