//! Tests of chairs, reconnecting, and what is acknowledged when.

use super::desk::{Desk, acked, batch, cannot, is_kept, lane, pulsed, welcome};
use super::event::Effect::{Disconnect, Refuse, Send};
use super::event::{Effect, Event, Told};
use super::state::{MAX_CHAIRS, RETRY_US};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Moment, Reading, RefusedReason};
use windrow_protocol::units::Decibels;
use windrow_words::InEnglish as _;

#[test]
fn a_new_player_is_welcomed_with_chair_and_part() {
    let mut desk = Desk::new();
    desk.join("Imogen");
    desk.join_with("Hadley", |h| h.instrument = Instrument::Oboe);
    let (_, effects) = desk.join_with("Tobias", |_| {});
    let welcome = welcome(&effects).unwrap();
    assert_eq!((welcome.chair, welcome.part.as_str(), welcome.acknowledged), (3, "flute 2", 0));
}

#[test]
fn the_same_token_gets_the_same_chair_back_and_a_strange_one_a_new_chair() {
    let mut desk = Desk::new();
    let (first, effects) = desk.join_with("Imogen", |_| {});
    let token = welcome(&effects).unwrap().token;
    desk.apply(Event::Left { connection: first });
    let (_, effects) = desk.join_with("Wren", |h| h.token = Some("forged".to_owned()));
    assert_eq!(welcome(&effects).unwrap().chair, 2);
    let (_, effects) = desk.join_with("Imogen", |h| h.token = Some(token));
    let again = welcome(&effects).unwrap();
    assert_eq!((again.chair, again.player_id.as_str(), again.part.as_str()), (1, "p1", "flute 1"));
}

#[test]
fn a_player_who_changes_the_instrument_changes_the_part() {
    let mut desk = Desk::new();
    let (_, effects) = desk.join_with("Anouk", |_| {});
    let token = welcome(&effects).unwrap().token;
    let (_, effects) = desk.join_with("Anouk", |h| {
        h.token = Some(token);
        h.instrument = Instrument::AltoSax;
    });
    assert_eq!(welcome(&effects).unwrap().part, "alto sax 1");
    let (_, effects) = desk.join_with("Imogen", |_| {});
    assert_eq!(welcome(&effects).unwrap().part, "flute 1", "the number is free again");
}

#[test]
fn a_device_that_is_quiet_is_away_until_it_is_heard_again() {
    let mut desk = Desk::new();
    let wren = desk.join("Wren");
    let after = |desk: &mut Desk, what: Option<bool>| {
        if let Some(is_quiet) = what {
            desk.tell(wren, Told::Quiet { is_quiet });
        }
        // A state stays for a beat before it changes.
        let snapshot = desk.play(wren, 2.0, &pulsed());
        (snapshot.lanes[0].state, snapshot.section.n_players)
    };
    let (heard, _) = after(&mut desk, None);
    assert_ne!(heard, State::Away);
    assert_eq!(after(&mut desk, Some(true)), (State::Away, 0));
    assert_eq!(desk.room.n_present(), 1, "its connection stands, so the door stays as it is");
    assert_eq!(after(&mut desk, Some(false)), (heard, 1));
}

#[test]
fn the_page_that_was_replaced_is_told_and_its_goodbye_changes_nothing() {
    let mut desk = Desk::new();
    let (old, effects) = desk.join_with("Imogen", |_| {});
    let token = welcome(&effects).unwrap().token;
    let (_, effects) = desk.join_with("Imogen", |h| h.token = Some(token));
    let replaced = |e: &Effect| matches!(e, Refuse { connection, refused } if *connection == old && refused.reason == RefusedReason::Replaced);
    assert!(effects.iter().any(replaced), "{effects:?}");
    assert_eq!(desk.apply(Event::Left { connection: old }), []);
    assert_eq!(desk.look().section.n_players, 1);
}

#[test]
fn a_full_room_gives_the_chair_of_who_left_first() {
    let mut desk = Desk::new();
    let connections: Vec<_> = (0..MAX_CHAIRS).map(|i| desk.join(&format!("Player {i}"))).collect();
    let (connection, effects) = desk.join_with("Wren", |_| {});
    let full = |e: &Effect| matches!(e, Refuse { connection: c, refused } if *c == connection && refused.text.contains("256 chairs"));
    assert!(effects.iter().any(full), "{effects:?}");
    for (later, i) in [40, 7].into_iter().enumerate() {
        desk.now_us = 2e6 + later as f64;
        desk.apply(Event::Left { connection: connections[i] });
    }
    let (_, effects) = desk.join_with("Wren", |_| {});
    assert_eq!(welcome(&effects).unwrap().chair, 41);
}

#[test]
fn a_reading_that_was_overtaken_is_passed_over() {
    let mut desk = Desk::new();
    let imogen = desk.join("Imogen");
    let reading = |seq, depth| {
        let depth_db_pp = Some(Decibels::new(depth).unwrap());
        Told::Reading(Box::new(Reading { seq, depth_db_pp, ..pulsed() }))
    };
    desk.tell(imogen, reading(5, 6.0));
    desk.tell(imogen, reading(4, 9.0));
    assert_eq!(lane(&desk.look(), "Imogen").depth_db_pp, Some(Decibels::new(6.0).unwrap()));
}

#[test]
fn a_batch_is_acknowledged_only_when_it_is_safe() {
    let mut desk = Desk::new();
    let imogen = desk.join("Imogen");
    let effects = desk.tell(imogen, batch(1));
    assert!(is_kept(&effects) && acked(&effects).is_none(), "{effects:?}");
    let again = desk.tell(imogen, batch(1));
    assert!(!is_kept(&again) && acked(&again).is_none(), "it is on its way: {again:?}");
    assert_eq!(acked(&desk.apply(Event::Stored { player_id: "p1".to_owned(), seq: 1 })), Some(1));
    let again = desk.tell(imogen, batch(1));
    assert!(!is_kept(&again) && acked(&again) == Some(1), "{again:?}");
    assert_eq!(lane(&desk.look(), "Imogen").pulses.len(), 1, "drawn once");
}

#[test]
fn after_a_lost_batch_nothing_later_is_acknowledged_and_the_device_sends_again() {
    let mut desk = Desk::new();
    let (imogen, effects) = desk.join_with("Imogen", |_| {});
    let token = welcome(&effects).unwrap().token;
    for seq in 1..=3 {
        desk.tell(imogen, batch(seq));
    }
    let p1 = || "p1".to_owned();
    assert_eq!(acked(&desk.apply(Event::Stored { player_id: p1(), seq: 1 })), Some(1));
    desk.apply(Event::NotStored { player_id: p1() });
    assert_eq!(acked(&desk.apply(Event::Stored { player_id: p1(), seq: 3 })), None);
    assert!(!is_kept(&desk.tell(imogen, batch(4))), "a gap would open");
    desk.now_us += RETRY_US;
    assert!(desk.apply(Event::Tick).contains(&Disconnect { connection: imogen }));
    let (imogen, effects) = desk.join_with("Imogen", |h| h.token = Some(token));
    assert_eq!(welcome(&effects).unwrap().acknowledged, 1);
    assert!(is_kept(&desk.tell(imogen, batch(2))));
}

#[test]
fn a_welcome_waits_for_batches_on_their_way_to_the_records() {
    let mut desk = Desk::new();
    let (imogen, effects) = desk.join_with("Imogen", |_| {});
    let token = welcome(&effects).unwrap().token;
    desk.tell(imogen, batch(1));
    desk.apply(Event::Left { connection: imogen });
    let (imogen, effects) = desk.join_with("Imogen", |h| h.token = Some(token));
    assert_eq!(welcome(&effects), None);
    let effects = desk.command(ConductorSays::Start);
    assert!(!effects.iter().any(|e| matches!(e, Send { .. })), "the score comes with the welcome");
    let effects = desk.apply(Event::Stored { player_id: "p1".to_owned(), seq: 1 });
    let welcome = welcome(&effects).unwrap();
    assert_eq!(welcome.acknowledged, 1, "a reloaded page numbers on from here");
    assert!(welcome.score.is_some());
    assert!(is_kept(&desk.tell(imogen, batch(2))));
}

#[test]
fn commands_out_of_range_are_answered_in_words() {
    let mut desk = Desk::new();
    for (command, words) in [
        (
            ConductorSays::SetSubdivision { per_beat: 9, at: Moment::Bar },
            "pulses per beat must be from 1 to 8, but is 9",
        ),
        (ConductorSays::SetCountIn { bars: 3 }, "the count-in must be 0, 1 or 2 bars, but is 3"),
    ] {
        assert_eq!(cannot(&desk.command(command)).unwrap().as_str(), words);
    }
}
