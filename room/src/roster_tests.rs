//! Tests of who is who: names tapped in the list, devices known from last week, two devices on one name, and what the
//! conductor changes.

use super::desk::{Desk, acked, batch, is_kept, lane, welcome};
use super::event::{
    ConnectionId, Effect, Event, FreshIds, Joining, KnownDevice, Person, RosterChange, Whose,
};
use super::seat::Seat;
use proptest::prelude::*;
use std::collections::BTreeSet;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ConductorSays, Hello, NoticeAnswer, PlayerHears, RefusedReason, SeatNow, Snapshot,
};
use windrow_protocol::units::Name;
use windrow_words::InEnglish as _;

fn person(id: &str, name: &str, instrument: Instrument, part: &str) -> Person {
    Person { person_id: id.to_owned(), name: Name::new(name).unwrap(), instrument, part: part.to_owned() }
}

fn list(people: &[Person]) -> RosterChange {
    RosterChange::List { section: Name::new("Larkmoor Youth Winds").unwrap(), people: people.to_vec() }
}

/// Imogen and Wren on the flute, Hadley on the oboe.
fn three() -> Vec<Person> {
    vec![
        person("imogen", "Imogen", Instrument::Flute, ""),
        person("wren", "Wren", Instrument::Flute, "flute 3"),
        person("hadley", "Hadley", Instrument::Oboe, ""),
    ]
}

fn desk() -> Desk {
    let mut desk = Desk::new();
    change(&mut desk, list(&three()));
    desk
}

fn change(desk: &mut Desk, change: RosterChange) -> Vec<Effect> {
    desk.apply(Event::Roster(change))
}

/// A device that taps a name, with what the records know of it.
fn tap(desk: &mut Desk, connection: u64, person: &str, device: KnownDevice, takes_over: bool) -> Vec<Effect> {
    let token = device.is_known.then(|| format!("old-{connection}"));
    let typed = Hello::new("KF3M7P", Name::new("tapped").unwrap(), Instrument::Flute);
    let hello = Hello { person: (!device.is_known).then(|| person.to_owned()), token, takes_over, ..typed };
    let fresh = FreshIds { player_id: format!("p{connection}"), token: format!("t{connection}") };
    desk.apply(Event::Joined(Box::new(Joining {
        connection: ConnectionId(connection),
        hello,
        fresh,
        device,
        is_imaginary: false,
    })))
}

fn stranger() -> KnownDevice {
    KnownDevice::default()
}

fn owned(person: &str, is_confirmed: bool) -> KnownDevice {
    KnownDevice { is_known: true, person_id: Some(person.to_owned()), is_confirmed, acknowledged: 0 }
}

fn refusal(effects: &[Effect], connection: u64) -> Option<RefusedReason> {
    effects.iter().find_map(|e| match e {
        Effect::Refuse { connection: c, refused } if c.0 == connection => Some(refused.reason),
        _ => None,
    })
}

fn notice(effects: &[Effect], connection: u64) -> Option<&str> {
    effects.iter().find_map(|e| match e {
        Effect::Send { connection: c, message: PlayerHears::Notice { text } } if c.0 == connection => {
            Some(text.as_str())
        }
        _ => None,
    })
}

fn lanes(snapshot: &Snapshot) -> Vec<(u16, &str, &str)> {
    snapshot.lanes.iter().map(|l| (l.chair, l.name.as_str(), l.part.as_str())).collect()
}

#[test]
fn who_taps_a_name_gets_its_chair_and_the_absent_are_no_lanes() {
    let mut desk = desk();
    let effects = tap(&mut desk, 1, "hadley", stranger(), false);
    let welcome = welcome(&effects).unwrap();
    assert_eq!((welcome.chair, welcome.name.as_str(), welcome.part.as_str()), (3, "Hadley", "oboe 1"));
    assert_eq!((welcome.instrument, welcome.token.as_str()), (Instrument::Oboe, "t1"));
    tap(&mut desk, 2, "imogen", stranger(), false);
    let seen = desk.look();
    assert_eq!(lanes(&seen), [(1, "Imogen", "flute 1"), (3, "Hadley", "oboe 1")]);
    assert_eq!((seen.section.n_players, seen.expected), (2, 3), "2 of 3 are in");
    let seats = desk.room.seat_list();
    let is_in: Vec<_> = seats.iter().map(|s| (s.chair, s.part.as_str(), s.is_in)).collect();
    assert_eq!(is_in, [(1, "flute 1", true), (2, "flute 3", false), (3, "oboe 1", true)]);
}

#[test]
fn a_device_known_from_last_week_is_its_player_again_and_keeps_its_token() {
    let mut desk = desk();
    let effects = tap(&mut desk, 1, "", owned("wren", true), false);
    let welcome = welcome(&effects).unwrap();
    assert_eq!((welcome.name.as_str(), welcome.chair, welcome.token.as_str()), ("Wren", 2, "old-1"));
}

#[test]
fn who_taps_another_name_than_last_week_is_another_device() {
    let mut desk = desk();
    let hello = Hello {
        person: Some("imogen".to_owned()),
        token: Some("old-1".to_owned()),
        ..Hello::new("KF3M7P", Name::new("Imogen").unwrap(), Instrument::Flute)
    };
    let fresh = FreshIds { player_id: "p1".to_owned(), token: "t1".to_owned() };
    let joining = Joining {
        connection: ConnectionId(1),
        hello,
        fresh,
        device: owned("wren", true),
        is_imaginary: false,
    };
    let effects = desk.apply(Event::Joined(Box::new(joining)));
    let welcome = welcome(&effects).unwrap();
    assert_eq!((welcome.name.as_str(), welcome.token.as_str()), ("Imogen", "t1"));
}

#[test]
fn the_second_device_on_a_name_is_asked_and_its_owner_moves_without_the_conductor() {
    let mut desk = desk();
    tap(&mut desk, 1, "wren", stranger(), false);
    let effects = tap(&mut desk, 2, "", owned("wren", true), false);
    assert_eq!(refusal(&effects, 2), Some(RefusedReason::NameTaken));
    assert_eq!(refusal(&effects, 1), None, "the first plays on");
    let effects = tap(&mut desk, 2, "", owned("wren", true), true);
    assert_eq!(refusal(&effects, 1), Some(RefusedReason::Replaced));
    assert_eq!(welcome(&effects).unwrap().name.as_str(), "Wren");
    assert_eq!(desk.look().notices, []);
}

#[test]
fn a_strange_second_device_waits_for_the_conductor() {
    for (answer, lanes_after) in [
        (NoticeAnswer::KeepFirst, vec![(2, "Wren", "flute 3")]),
        (NoticeAnswer::SecondTakesOver, vec![(2, "Wren", "flute 3")]),
        (NoticeAnswer::SecondIsNickname, vec![(2, "Wren", "flute 3"), (4, "tapped", "flute 2")]),
    ] {
        let mut desk = desk();
        tap(&mut desk, 1, "wren", stranger(), false);
        let effects = tap(&mut desk, 2, "wren", stranger(), true);
        assert_eq!(refusal(&effects, 2), None);
        assert!(notice(&effects, 2).unwrap().contains("the conductor is asked"));
        assert!(notice(&effects, 1).unwrap().contains("Another device says that it is Wren"));
        let asked = desk.look().notices;
        assert_eq!((asked.len(), asked[0].text.as_str()), (1, "Two devices say they are Wren."));
        let effects = desk.command(ConductorSays::Answer { notice: asked[0].id, answer });
        assert_eq!(lanes(&desk.look()), lanes_after, "{answer:?}");
        assert_eq!(desk.look().notices, []);
        let (first, second) = match answer {
            NoticeAnswer::KeepFirst => (None, Some(RefusedReason::NotYou)),
            NoticeAnswer::SecondTakesOver => (Some(RefusedReason::NotYou), None),
            _ => (None, None),
        };
        assert_eq!((refusal(&effects, 1), refusal(&effects, 2)), (first, second), "{answer:?}");
        let again = desk.command(ConductorSays::Answer { notice: asked[0].id, answer });
        assert!(again.contains(&Effect::CannotDo {
            text: windrow_protocol::phrase::Phrase::of("cannot-answer-settled")
        }));
    }
}

#[test]
fn who_waits_for_a_name_gets_it_when_the_first_leaves() {
    let mut desk = desk();
    tap(&mut desk, 1, "wren", stranger(), false);
    tap(&mut desk, 2, "wren", stranger(), true);
    let effects = desk.apply(Event::Left { connection: ConnectionId(1) });
    assert_eq!(welcome(&effects).unwrap().name.as_str(), "Wren");
    assert_eq!(desk.look().notices, []);
}

#[test]
fn two_who_wait_for_one_name_are_asked_about_one_after_the_other() {
    let mut desk = desk();
    tap(&mut desk, 1, "wren", stranger(), false);
    tap(&mut desk, 2, "wren", stranger(), true);
    tap(&mut desk, 3, "wren", stranger(), true);
    let asked = desk.look().notices;
    let answer = NoticeAnswer::KeepFirst;
    let effects = desk.command(ConductorSays::Answer { notice: asked[0].id, answer });
    assert_eq!(notice(&effects, 1), None, "another still waits");
    let answer = NoticeAnswer::SecondTakesOver;
    let effects = desk.command(ConductorSays::Answer { notice: asked[1].id, answer });
    assert_eq!((welcome(&effects).unwrap().name.as_str(), notice(&effects, 3)), ("Wren", None));
}

#[test]
fn a_claim_falls_when_its_device_goes() {
    let mut desk = desk();
    tap(&mut desk, 1, "wren", stranger(), false);
    tap(&mut desk, 2, "wren", stranger(), true);
    let effects = desk.apply(Event::Left { connection: ConnectionId(2) });
    assert_eq!(notice(&effects, 1), Some(""), "the first is told that it is over");
    assert_eq!(desk.look().notices, []);
}

#[test]
fn equal_nicknames_get_numbers_and_are_told_once() {
    let mut desk = desk();
    let (_, effects) = desk.join_with("Kiki", |_| {});
    assert_eq!(notice(&effects, 1), None);
    let (second, effects) = desk.join_with("kiki", |_| {});
    let seated = welcome(&effects).unwrap();
    assert_eq!((seated.name.as_str(), seated.chair), ("kiki 2", 5));
    assert!(notice(&effects, second.0).unwrap().contains("\u{201c}kiki 2\u{201d}"));
    let (_, effects) = desk.join_with("Wren", |_| {});
    assert_eq!(welcome(&effects).unwrap().name.as_str(), "Wren 2", "one stands in the list");
    // The same device comes back: it is who it was.
    let (_, effects) = desk.join_with("kiki", |h| h.token = Some(seated.token));
    assert_eq!(welcome(&effects).unwrap().name.as_str(), "kiki 2");
}

#[test]
fn a_player_who_is_seated_renamed_and_moved_keeps_what_is_acknowledged_and_drawn() {
    let mut desk = desk();
    let kiki = desk.join("Kiki");
    desk.tell(kiki, batch(1));
    desk.apply(Event::Stored { player_id: "p1".to_owned(), seq: 1 });
    let seated = RosterChange::Seated { player_id: "p1".to_owned(), person_id: "wren".to_owned() };
    let effects = change(&mut desk, seated);
    let told = SeatNow {
        chair: 2,
        name: Name::new("Wren").unwrap(),
        instrument: Instrument::Flute,
        part: "flute 3".to_owned(),
    };
    assert!(
        effects.contains(&Effect::Send { connection: kiki, message: PlayerHears::Seat(told) }),
        "{effects:?}"
    );
    let mut people = three();
    people.swap(0, 1);
    people[0].name = Name::new("Wrenna").unwrap();
    change(&mut desk, list(&people));
    let seen = desk.look();
    assert_eq!(lanes(&seen), [(1, "Wrenna", "flute 3")]);
    assert_eq!(lane(&seen, "Wrenna").pulses.len(), 1);
    assert_eq!(acked(&desk.tell(kiki, batch(1))), Some(1), "still safe");
    assert!(is_kept(&desk.tell(kiki, batch(2))));
    change(&mut desk, list(&people[1..]));
    assert_eq!(lanes(&desk.look()), [(3, "Wrenna", "flute 3")], "off the list, a guest behind it");
}

#[test]
fn nobody_is_seated_on_a_chair_that_is_taken() {
    let mut desk = desk();
    tap(&mut desk, 9, "wren", stranger(), false);
    let (kiki, _) = desk.join_with("Kiki", |_| {});
    let seated = RosterChange::Seated { player_id: "p1".to_owned(), person_id: "wren".to_owned() };
    let effects = change(&mut desk, seated);
    let said = effects.iter().find_map(|e| match e {
        Effect::CannotDo { text } => Some(text.as_str()),
        _ => None,
    });
    assert!(said.as_ref().unwrap().starts_with("Wren is in from another device"), "{said:?}");
    let merged = |from: &str| RosterChange::Merged { from: from.to_owned(), into: "hadley".to_owned() };
    change(&mut desk, merged("wren"));
    let seats = desk.room.seat_list();
    assert!(seats[2].is_in && !seats[1].is_in, "Wren's device is Hadley's now");
    desk.apply(Event::Left { connection: kiki });
}

#[test]
fn a_room_check_does_not_go_on_over_other_chairs() {
    let mut desk = desk();
    tap(&mut desk, 1, "imogen", stranger(), false);
    tap(&mut desk, 2, "hadley", stranger(), false);
    desk.command(ConductorSays::CheckRoom { chairs: Vec::new() });
    let is_running = |desk: &mut Desk| desk.look().check.is_some_and(|check| check.is_running);
    let mut people = three();
    people[1].name = Name::new("Wrenna").unwrap();
    change(&mut desk, list(&people));
    assert!(is_running(&mut desk), "nobody who is in sits elsewhere");
    people.swap(0, 1);
    change(&mut desk, list(&people));
    assert!(!is_running(&mut desk));
    let seen = desk.look();
    assert!(seen.score.is_none() && seen.notices[0].text.starts_with("The room check was stopped"));
}

#[test]
fn who_erased_the_own_records_is_let_go_and_the_conductor_is_told() {
    let mut desk = desk();
    tap(&mut desk, 1, "wren", stranger(), false);
    desk.tell(ConnectionId(1), batch(1));
    let whose = Whose::Person { person_id: "wren".to_owned(), token: None };
    let effects = change(&mut desk, RosterChange::Erased { whose, by_player: true });
    assert_eq!(refusal(&effects, 1), Some(RefusedReason::Erased));
    assert_eq!(desk.tell(ConnectionId(1), batch(2)), [], "nothing more is kept");
    let seen = desk.look();
    assert_eq!((seen.lanes.len(), seen.expected), (0, 2));
    assert_eq!(seen.notices[0].text.as_str(), "Wren has erased what was stored about them.");
    desk.command(ConductorSays::Answer { notice: seen.notices[0].id, answer: NoticeAnswer::Seen });
    assert_eq!(desk.look().notices, []);
}

/// The list that a number stands for: some of four people, in some order.
fn any_list(n: u32) -> Vec<Person> {
    let mut people = vec![
        person("a", "Anouk", Instrument::AltoSax, ""),
        person("b", "Wren", Instrument::Flute, "flute 1"),
        person("c", "Kiki", Instrument::Flute, ""),
        person("d", "Piers", Instrument::Oboe, "oboe 1"),
    ];
    people.rotate_left(n as usize % 4);
    people.truncate(n as usize % 5);
    people
}

proptest! {
    #[test]
    fn whoever_is_who_every_seat_has_its_chair_name_and_device(
        steps in proptest::collection::vec((0u8..10, 0u8..5, 0u32..20), 1..80),
    ) {
        let mut desk = Desk::new();
        let mut next = 100;
        for (kind, who, n) in steps {
            desk.now_us += 1e5;
            let id = ["a", "b", "c", "d", "e"][usize::from(who)].to_owned();
            let other = ["a", "b", "c", "d"][n as usize % 4].to_owned();
            let seat = desk.room.seats().get(n as usize % 7).cloned();
            next += 1;
            match kind {
                0 => drop(change(&mut desk, list(&any_list(n)))),
                1 => drop(tap(&mut desk, next, &id, stranger(), n % 2 == 0)),
                2 => drop(tap(&mut desk, next, "", owned(&id, n % 2 == 0), n % 3 == 0)),
                3 => drop(desk.join_with(["Kiki", "kiki", "Wren", "Rue", "Rue 2"][usize::from(who)], |h| {
                    h.token = seat.map(|s| s.token);
                })),
                4 | 5 => {
                    let Some(connection) = seat.and_then(|s| s.connection) else { continue };
                    desk.apply(Event::Left { connection });
                }
                6 => {
                    let Some(seat) = seat else { continue };
                    change(&mut desk, RosterChange::Seated { player_id: seat.player_id, person_id: id });
                }
                7 if id != other => drop(change(&mut desk, RosterChange::Merged { from: id, into: other })),
                8 => {
                    let whose = match seat {
                        Some(seat) if n % 2 == 0 => Whose::Device(seat.token),
                        _ => Whose::Person { person_id: id, token: None },
                    };
                    change(&mut desk, RosterChange::Erased { whose, by_player: n % 3 == 0 });
                }
                _ => {
                    let Some(notice) = desk.look().notices.first().cloned() else { continue };
                    let answer = notice.answers[n as usize % notice.answers.len()];
                    desk.command(ConductorSays::Answer { notice: notice.id, answer });
                }
            }
            let seats = desk.room.seats();
            prop_assert!(seats.is_sorted_by(|a, b| a.chair < b.chair), "chairs in order, each once");
            let all = |of: &dyn Fn(&Seat) -> Option<String>| {
                let values: Vec<String> = seats.iter().filter_map(of).collect();
                let different: BTreeSet<&String> = values.iter().collect();
                values.len() == different.len()
            };
            prop_assert!(all(&|s| Some(s.player_id.clone())), "a player once");
            prop_assert!(all(&|s| Some(s.token.clone())), "a device once");
            prop_assert!(all(&|s| s.person_id.clone()), "a person once");
            prop_assert!(all(&|s| s.connection.map(|c| c.0.to_string())), "a connection once");
            for seat in seats {
                let person = seat.person_id.as_ref().and_then(|id| desk.room.person(id));
                if let Some(person) = person {
                    prop_assert_eq!((&seat.name, &seat.part), (&person.name, &person.part));
                }
                prop_assert!(!seat.part.is_empty() && seat.chair > 0);
            }
            let n_in = seats.iter().filter(|s| s.connection.is_some()).count();
            prop_assert!(n_in <= desk.room.n_expected(), "no more are in than are expected");
            let listed = desk.room.seat_list();
            prop_assert_eq!(listed.iter().filter(|s| s.is_in).count(), n_in, "everybody who is in is listed");
            for claim in &desk.room.claims {
                let holder = seats.iter().find(|s| s.person_id.as_ref() == Some(&claim.person_id));
                prop_assert!(holder.is_some_and(|s| s.connection.is_some()), "a claim is on a name that is in");
                let is_told = holder.is_some_and(|s| s.notice.starts_with("Another device"));
                prop_assert!(is_told, "whoever is in knows that another waits");
            }
        }
    }
}
