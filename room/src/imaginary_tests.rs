//! The imaginary section in a room: nothing of it is kept, it goes when somebody real comes, and then the room is as before.

use super::desk::{Desk, batch, picture, pulsed, welcome};
use super::event::{ConnectionId, Effect, Event, Kept};
use super::flow_tests::lesson;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Moment, Snapshot};
use windrow_protocol::units::Bpm;

/// A room with two imaginary players, and everything that was to be kept of their coming.
fn with_two() -> (Desk, [ConnectionId; 2], Vec<Effect>) {
    let mut desk = Desk::new();
    let (imogen, mut effects) = desk.join_imaginary("Imogen");
    let (wren, more) = desk.join_imaginary("Wren");
    effects.extend(more);
    (desk, [imogen, wren], effects)
}

fn kept(effects: &[Effect]) -> Vec<&Kept> {
    effects.iter().filter_map(|e| if let Effect::Keep(kept) = e { Some(kept) } else { None }).collect()
}

fn names(room: &Snapshot) -> Vec<&str> {
    room.lanes.iter().map(|lane| lane.name.as_str()).collect()
}

fn start(desk: &mut Desk) -> Vec<Effect> {
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    desk.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Bar });
    desk.command(ConductorSays::SetTempo { bpm: Bpm::new(66.0).unwrap(), at: Moment::Bar });
    desk.command(ConductorSays::Start)
}

#[test]
fn they_are_seen_and_judged_and_nothing_of_them_is_kept() {
    let (mut desk, players, mut effects) = with_two();
    assert!(welcome(&effects).is_some(), "they are greeted as anybody");
    effects.extend(start(&mut desk));
    let room = desk.play_all(&players, 8.0, &pulsed());
    for player in players {
        effects.extend(desk.tell(player, batch(1)));
    }
    assert!(kept(&effects).is_empty(), "{:?}", kept(&effects));
    assert!(room.imaginary);
    assert_eq!((names(&room), room.expected), (vec!["Imogen", "Wren"], 2));
    assert_eq!(room.lanes[0].state, State::Matched);
    assert_eq!(desk.room.n_present(), 0, "an open door waits for somebody real");
    assert!(desk.room.seat_list().is_empty(), "nobody is offered for the section's list");
}

#[test]
fn their_runs_are_marked_and_go_with_them() {
    let (mut desk, players, _) = with_two();
    start(&mut desk);
    desk.play_all(&players, 8.0, &pulsed());
    let before = desk.room.results();
    assert!(before.runs.len() == 1 && before.runs[0].imaginary, "{before:?}");
    let effects = desk.apply(Event::SentAway);
    let room = picture(&desk, &effects);
    let after = desk.room.results();
    assert!(after.runs.is_empty() && after.version != before.version, "{after:?}");
    assert_eq!((room.lanes.len(), room.imaginary, room.score, room.suggestion), (0, false, None, None));
    // The first real run is the first.
    let wren = desk.join("Wren");
    start(&mut desk);
    desk.play(wren, 8.0, &pulsed());
    let runs = desk.room.results().runs;
    assert_eq!((runs.len(), runs[0].number, runs[0].imaginary), (1, 1, false));
}

#[test]
fn whoever_is_real_finds_the_room_empty() {
    let (mut desk, players, _) = with_two();
    start(&mut desk);
    desk.play_all(&players, 4.0, &pulsed());
    let (_, effects) = desk.join_with("Wren", |_| {});
    for connection in players {
        assert!(effects.contains(&Effect::Disconnect { connection }), "{effects:?}");
    }
    let room = picture(&desk, &effects);
    assert_eq!((names(&room), room.imaginary, room.score.is_some()), (vec!["Wren"], false, false));
    let welcome = welcome(&effects).unwrap();
    assert_eq!((welcome.name.as_str(), welcome.part.as_str(), welcome.chair), ("Wren", "flute 1", 1));
    assert!(welcome.score.is_none(), "the music was theirs");
    assert_eq!(room.notices.len(), 1, "the conductor is told: {:?}", room.notices);
    assert!(matches!(kept(&effects)[..], [Kept::Player { chair: 1, .. }]), "{:?}", kept(&effects));
    assert!(desk.tell(players[0], batch(2)).is_empty(), "what they still say is not heard");
}

#[test]
fn they_never_sit_among_real_players() {
    let mut desk = Desk::new();
    let wren = desk.join("Wren");
    let (connection, effects) = desk.join_imaginary("Imogen");
    assert_eq!(effects[..1], [Effect::Disconnect { connection }]);
    assert_eq!(names(&desk.look()), ["Wren"]);
    // Whoever was in and is away keeps the chair, and finds it when coming back.
    desk.apply(Event::Left { connection: wren });
    desk.join_imaginary("Imogen");
    assert_eq!(names(&desk.look()), ["Wren", "Imogen"]);
    let (_, effects) = desk.join_with("Wren", |hello| hello.token = Some("t1".to_owned()));
    assert_eq!(names(&picture(&desk, &effects)), ["Wren"]);
    assert_eq!(welcome(&effects).unwrap().player_id, "p1");
}

#[test]
fn when_they_have_gone_the_room_is_as_it_was() {
    let mut desk = Desk::new();
    desk.command(ConductorSays::SetTempo { bpm: Bpm::new(63.0).unwrap(), at: Moment::Bar });
    let before = desk.look();
    desk.join_imaginary("Imogen");
    desk.command(ConductorSays::Choose { exercise: 4, at: Moment::Bar });
    start(&mut desk);
    desk.now_us += 5e6;
    let version = desk.look().score.unwrap().version;
    desk.command(ConductorSays::Stop { at: Moment::Now });
    let effects = desk.apply(Event::SentAway);
    let after = picture(&desk, &effects);
    assert_eq!((after.settings, after.exercise), (before.settings, before.exercise));
    desk.join("Wren");
    desk.command(ConductorSays::Start);
    assert!(desk.look().score.unwrap().version > version, "devices know the newer score by its version");
}

#[test]
fn a_plan_lent_to_them_goes_with_them() {
    let (mut desk, _, _) = with_two();
    let before = desk.look();
    let effects = desk.apply(Event::Lent(Box::new(lesson(2))));
    let lent = picture(&desk, &effects);
    assert_eq!(lent.exercise.plan, lesson(2).title);
    let effects = desk.apply(Event::SentAway);
    let after = picture(&desk, &effects);
    assert_eq!(after.exercise, before.exercise);
    let late = desk.apply(Event::Lent(Box::new(lesson(2))));
    assert!(matches!(late[0], Effect::CannotDo { .. }), "{late:?}");
}

#[test]
fn a_plan_taken_while_they_are_here_stays() {
    let (mut desk, _, _) = with_two();
    desk.take_plan(lesson(2));
    let taken = desk.look();
    desk.command(ConductorSays::Next { at: Moment::Bar });
    let effects = desk.apply(Event::SentAway);
    let after = picture(&desk, &effects);
    assert_eq!(after.exercise, taken.exercise);
    assert_eq!(after.exercise.plan, lesson(2).title);
}

#[test]
fn neither_their_runs_nor_their_room_check_are_kept() {
    for goes_meanwhile in [true, false] {
        let (mut desk, players, _) = with_two();
        start(&mut desk);
        desk.play_all(&players, 12.0, &pulsed());
        desk.command(ConductorSays::Stop { at: Moment::Now });
        desk.command(ConductorSays::CheckRoom { chairs: Vec::new() });
        let seconds = if goes_meanwhile { 4.0 } else { 40.0 };
        desk.play_all(&players, seconds, &pulsed());
        desk.apply(Event::SentAway);
        desk.now_us += 20e6;
        desk.look();
        let kept = desk.take_kept();
        let is_theirs = |kept: &&Kept| !matches!(kept, Kept::Plan { .. });
        assert_eq!(kept.iter().find(is_theirs), None, "gone meanwhile: {goes_meanwhile}");
    }
}

#[test]
fn a_room_check_of_real_players_is_kept_once_it_is_over() {
    let mut desk = Desk::new();
    let wren = desk.join("Wren");
    desk.command(ConductorSays::CheckRoom { chairs: Vec::new() });
    desk.play(wren, 40.0, &pulsed());
    let is_check = |kept: &Kept| matches!(kept, Kept::Check { .. });
    assert_eq!(desk.take_kept().into_iter().filter(is_check).count(), 1);
}
