//! Whom the conductor is told to speak to: how urgent, how long, whose turn, and when to several at once. A beat is a second
//! here, so a bar is four seconds.

use super::say::{Heard, SayChoice, To};
use windrow_protocol::instrument::Instrument::{self, Flute, Oboe};
use windrow_protocol::judge::State::{self, Blended, ChokedValleys, Fast, Late, Matched, Shallow, Slow};

const SECOND: f64 = 1e6;

type Player = (&'static str, Instrument, State);

/// Looks every 200 ms from one second to another, and gives to whom it was said at the end.
fn listen(choice: &mut SayChoice, players: &[Player], from_s: u32, to_s: u32) -> Option<(To, Vec<String>)> {
    let heard: Vec<_> = players
        .iter()
        .map(|&(player_id, instrument, state)| Heard { player_id, instrument, state })
        .collect();
    let mut last = None;
    for i in from_s * 5..to_s * 5 {
        let said = choice.choose(&heard, SECOND, f64::from(i) * 0.2 * SECOND);
        last = said.map(|said| (said.to, said.player_ids.clone()));
    }
    last
}

fn one(id: &str) -> Option<(To, Vec<String>)> {
    Some((To::One, vec![id.to_owned()]))
}

#[test]
fn the_most_urgent_is_spoken_to_first_and_nobody_twice_before_the_others() {
    let players = [
        ("imogen", Flute, Late),
        ("tobias", Flute, ChokedValleys),
        ("wren", Oboe, Shallow),
        ("piers", Oboe, Matched),
    ];
    let mut choice = SayChoice::default();
    let mut names = Vec::new();
    for i in 0..4u32 {
        names.push(listen(&mut choice, &players, 16 * i, 16 * (i + 1)).unwrap().1.remove(0));
    }
    assert_eq!(names, ["tobias", "wren", "imogen", "tobias"]);
}

#[test]
fn a_passing_fault_waits_for_one_that_has_lasted_a_bar() {
    let mut choice = SayChoice::default();
    let quiet = [("imogen", Flute, Matched), ("tobias", Flute, Late), ("wren", Oboe, Matched)];
    assert_eq!(listen(&mut choice, &quiet, 0, 10), one("tobias"));
    let better = [("imogen", Flute, Matched), ("tobias", Flute, Matched), ("wren", Oboe, Late)];
    assert_eq!(listen(&mut choice, &better, 10, 16), one("wren"));
    // At once there is a more urgent one, but it is new; the older one keeps its turn.
    let two = [("imogen", Flute, ChokedValleys), ("tobias", Flute, Matched), ("wren", Oboe, Late)];
    assert_eq!(listen(&mut choice, &two, 16, 18), one("wren"));
    assert_eq!(listen(&mut choice, &two, 18, 32), one("imogen"));
}

#[test]
fn what_is_put_right_is_said_no_more() {
    let mut choice = SayChoice::default();
    let wrong = [("imogen", Flute, Matched), ("wren", Oboe, Fast)];
    assert_eq!(listen(&mut choice, &wrong, 0, 5), one("wren"));
    let right = [("imogen", Flute, Matched), ("wren", Oboe, Matched)];
    assert_eq!(listen(&mut choice, &right, 5, 6), None);
    // Another fault of the same player is another thing to say.
    let other = [("imogen", Flute, Matched), ("wren", Oboe, Shallow)];
    assert_eq!(listen(&mut choice, &other, 6, 7), one("wren"));
}

#[test]
fn an_instrument_is_spoken_to_as_one_where_all_of_its_players_share_the_fault() {
    let players = [
        ("imogen", Flute, Fast),
        ("tobias", Flute, Fast),
        ("sorrel", Oboe, Matched),
        ("piers", Oboe, Matched),
        ("wren", Oboe, Matched),
    ];
    let both = Some((To::Instrument(Flute), vec!["imogen".to_owned(), "tobias".to_owned()]));
    assert_eq!(listen(&mut SayChoice::default(), &players, 0, 5), both);
    // One who is not heard well enough to be judged does not stand in the way; one who plays well does.
    let mut with_blended = players.to_vec();
    with_blended.push(("maeve", Flute, Blended));
    assert_eq!(listen(&mut SayChoice::default(), &with_blended, 0, 5), both);
    let mut with_matched = players.to_vec();
    with_matched.push(("maeve", Flute, Matched));
    assert_eq!(listen(&mut SayChoice::default(), &with_matched, 0, 5), one("imogen"));
}

#[test]
fn everyone_is_spoken_to_where_half_of_those_who_can_be_judged_share_the_fault() {
    let mut players = vec![
        ("imogen", Flute, Slow),
        ("sorrel", Oboe, Slow),
        ("tobias", Flute, ChokedValleys),
        ("piers", Oboe, Matched),
        ("callum", Oboe, Blended),
    ];
    let mut choice = SayChoice::default();
    let both = Some((To::Everyone, vec!["imogen".to_owned(), "sorrel".to_owned()]));
    assert_eq!(listen(&mut choice, &players, 0, 16), both);
    // Then it is the turn of whoever was not meant.
    assert_eq!(listen(&mut choice, &players, 16, 32), one("tobias"));
    players.push(("maeve", Oboe, Matched));
    assert_eq!(listen(&mut SayChoice::default(), &players, 0, 5), one("tobias"), "two of five are not half");
    assert_eq!(
        listen(&mut SayChoice::default(), &players[..2], 0, 5),
        one("imogen"),
        "two players are called by name"
    );
}

#[test]
fn after_a_rest_the_line_begins_anew_and_remembers_whose_turn_it_was() {
    let players = [("imogen", Flute, Fast), ("wren", Oboe, Shallow)];
    let mut choice = SayChoice::default();
    assert_eq!(listen(&mut choice, &players, 0, 5), one("imogen"));
    choice.rest();
    assert_eq!(listen(&mut choice, &players, 8, 10), one("wren"));
}
