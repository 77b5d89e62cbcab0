//! Files of rehearsals of any size, made by hand from the example that lies beside the schema: players, exercises and states as they
//! are asked for, times a formula. It must know no code of the program.

use serde_json::{Value, json};

/// The example as it lies beside the schema.
pub const EXAMPLE: &str = include_str!("../../server/records/example.session.json");

/// Invented, longest last: a page has to hold any.
const NAMES: [&str; 14] = [
    "Imogen",
    "Wren",
    "Tobias",
    "Piers",
    "Hadley",
    "Aurelia",
    "Caspian",
    "Marlowe",
    "Ottoline",
    "Peregrine",
    "Rosalind",
    "Evangeline",
    "Thelonius",
    "Maximiliane-Theodora von Hohenfels",
];
const INSTRUMENTS: [(&str, &str); 6] = [
    ("flute", "flute"),
    ("oboe", "oboe"),
    ("clarinet-bb", "clarinet in B flat"),
    ("alto-sax", "alto saxophone"),
    ("bassoon", "bassoon"),
    ("flute", "flute"),
];
const EXERCISES: [(&str, &str); 10] = [
    ("A straight tone", "Straight at 60"),
    ("Quarters", "Quarters at 60"),
    ("Eighths", "Eighths at 60"),
    ("Triplets", "Triplets at 66"),
    ("Sixteenths", "Sixteenths at 60"),
    ("Ladder of triplets", "Triplets at 72"),
    ("Easing in and out", "Triplets at 66"),
    ("Hairpin", "Eighths at 60"),
    ("Line from the concert piece, slow movement", "Triplets at 63"),
    ("Free", "Free at 60"),
];
/// As wide a word as there is stands among them.
const STATES: [&str; 7] =
    ["matched", "fast", "drifting-sharp", "choked-valleys", "matched", "pitch-led", "not-heard"];

/// A player's id.
fn player_id(i: usize) -> String {
    format!("0000-player-{i}")
}

/// What somebody is called.
pub fn name(i: usize) -> String {
    match i / NAMES.len() {
        0 => NAMES[i].to_owned(),
        round => format!("{} {}", NAMES[i % NAMES.len()].split(' ').next().unwrap_or_default(), round + 1),
    }
}

/// A rehearsal of so many players and exercises, each played once, two minutes and a half apart.
///
/// # Panics
/// When the example is no JSON.
pub fn session_file(n_players: usize, n_exercises: usize) -> Value {
    let mut document: Value = serde_json::from_str(EXAMPLE).expect("the example is JSON");
    let session = &mut document["sessions"][0];
    let (a_player, a_run) = (session["players"][0].clone(), session["runs"][0].clone());
    let players: Vec<Value> = (0..n_players)
        .map(|i| {
            let mut player = a_player.clone();
            player["player_id"] = json!(player_id(i));
            player["name"] = json!(name(i));
            player["chair"] = json!(i + 1);
            player["instrument"] = json!(INSTRUMENTS[i % INSTRUMENTS.len()].0);
            player
        })
        .collect();
    session["players"] = json!(players);
    session["runs"] =
        json!((0..n_exercises).map(|number| run(&a_run, n_players, number)).collect::<Vec<_>>());
    document
}

fn run(a_run: &Value, n_players: usize, number: usize) -> Value {
    let mut run = a_run.clone();
    let (name_of, title) = EXERCISES[number % EXERCISES.len()];
    let began_us = 60e6 + number as f64 * 150e6;
    let each = |from: &Value, change: &dyn Fn(usize, &mut Value)| {
        let all = (0..n_players).map(|i| {
            let mut one = from.clone();
            one["player_id"] = json!(player_id(i));
            change(i, &mut one);
            one
        });
        json!(all.collect::<Vec<_>>())
    };
    let state = |i: usize| STATES[(3 * i + 2 * number) % STATES.len()];
    run["began_us"] = json!(began_us);
    // Ninety seconds: a minute between.
    run["ended_us"] = json!(began_us + 90e6);
    run["score"]["start_us"] = json!(began_us);
    run["score"]["spans"][0]["length_beats"] = json!(99);
    run["told"]["number"] = json!(number + 1);
    run["told"]["exercise"] = json!(number + 1);
    run["told"]["name"] = json!(name_of);
    run["told"]["spans"] = json!([title]);
    run["glance"]["number"] = json!(number + 1);
    run["told"]["players"] = each(&a_run["told"]["players"][0], &|i, one| {
        let label = INSTRUMENTS[i % INSTRUMENTS.len()].1;
        one["chair"] = json!(i + 1);
        one["name"] = json!(name(i));
        one["part"] = json!(format!("{label} {}", i / INSTRUMENTS.len() + 1));
        for place in ["/whole/state", "/spans/0/state"] {
            *one.pointer_mut(place).expect("the example has it") = json!(state(i));
        }
    });
    run["glance"]["lanes"] = each(&a_run["glance"]["lanes"][0], &|i, one| one["chair"] = json!(i + 1));
    run["traces"] = each(&a_run["traces"][0], &|_, _| {});
    run["stretches"] = each(&a_run["stretches"][0], &|i, one| {
        one["began_us"] = json!(began_us);
        one["bars"] = json!(24);
        one["held"] = json!(state(i) == "matched");
        one["measures"]["state"] = json!(state(i));
    });
    run
}
