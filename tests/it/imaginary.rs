//! The imaginary section over http: it comes at a press, plays what the conductor starts, leaves nothing behind, and goes at
//! another press, when somebody real comes, or with the server. Its sound is made and heard in real time.

use std::path::Path;
use windrow::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Results, Snapshot};
use windrow_tests::request::{get, post};
use windrow_tests::{Conductor, Player, TestServer};

/// Everybody of the section with what is wrong with the pulses, in chair order.
pub(crate) const SECTION: [(&str, State); 8] = [
    ("Imogen", State::Matched),
    ("Tobias", State::Late),
    ("Wren", State::Fast),
    ("Hadley", State::DriftingSharp),
    ("Sorrel", State::Shallow),
    ("Piers", State::PitchLed),
    ("Anouk", State::ChokedValleys),
    ("Callum", State::Matched),
];

async fn ask(server: &TestServer, form: &[(&str, &str)]) -> (u16, String) {
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let answer = post(addr, "/conduct/imaginary", &cookie, form).await;
    (answer.status, if answer.status == 303 { answer.header("location").to_owned() } else { answer.text() })
}

async fn page(server: &TestServer, path: &str) -> String {
    let cookie = server.conductor_cookie();
    let answer = get(server.running().http_addr, path, &[("Cookie", &cookie)]).await;
    assert_eq!(answer.status, 200, "{path}");
    answer.text()
}

async fn come(server: &TestServer, conductor: &mut Conductor) {
    assert_eq!(ask(server, &[("do", "come")]).await, (303, "/conduct".to_owned()));
    conductor.see(|room| (room.section.n_players == 8).then_some(())).await;
}

fn is_empty(room: &Snapshot) -> Option<()> {
    (room.lanes.is_empty() && !room.imaginary && room.score.is_none()).then_some(())
}

/// Whether these bytes stand in a file of the records.
pub(crate) fn is_in_records(data_dir: &Path, bytes: &str) -> bool {
    let files = std::fs::read_dir(data_dir).unwrap().map(|entry| entry.unwrap().path());
    let mut records = files.filter(|path| path.is_file()).map(|path| std::fs::read(path).unwrap());
    records.any(|file| file.windows(bytes.len()).any(|found| found == bytes.as_bytes()))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn it_shows_every_fault_and_leaves_nothing_behind() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    come(&server, &mut conductor).await;
    let room = conductor.see(|room| (english(&room.exercise.name) == "Triplets").then(|| room.clone())).await;
    assert!(room.imaginary && room.score.is_none(), "nothing plays before the conductor starts it");
    conductor.command(ConductorSays::Start).await;
    let is_told = |room: &Snapshot| {
        SECTION
            .iter()
            .zip(&room.lanes)
            .all(|((name, state), lane)| lane.name.as_str() == *name && lane.state == *state)
    };
    conductor.see(|room| is_told(room).then_some(())).await;
    conductor.see(|room| (room.results > 0).then_some(())).await;
    let results: Results = serde_json::from_str(&page(&server, "/conduct/results.json").await).unwrap();
    assert!(results.runs.iter().all(|run| run.imaginary && run.players.len() == 8), "{results:?}");
    assert!(page(&server, "/conduct/results").await.contains("Imaginary players: what they played"));
    assert_eq!(page(&server, "/conduct/seats.json").await, "[]");
    assert!(!page(&server, "/conduct/roster").await.contains("Imogen"));

    assert_eq!(ask(&server, &[("do", "leave")]).await, (303, "/conduct".to_owned()));
    let room = conductor.see(|room| is_empty(room).map(|()| room.clone())).await;
    assert_eq!(english(&room.exercise.name), "Quarters", "the room is where it was");
    let results: Results = serde_json::from_str(&page(&server, "/conduct/results.json").await).unwrap();
    assert!(results.runs.is_empty(), "{results:?}");
    assert!(!page(&server, "/conduct/results").await.contains("Imaginary"));
    // What is written is what was written before the server has stopped.
    let data_dir = server.stop().await;
    let names: Vec<_> = SECTION.iter().filter(|(name, _)| is_in_records(&data_dir, name)).collect();
    assert!(names.is_empty(), "{names:?}");
    assert!(
        is_in_records(&data_dir, "Larkmoor Youth Winds"),
        "the section's own name is there, so this can be found"
    );
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn it_makes_way_for_the_first_real_player() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    come(&server, &mut conductor).await;
    conductor.command(ConductorSays::Start).await;
    conductor.see(|room| room.score.is_some().then_some(())).await;
    let wren = Player::join(&server, "Wren", Instrument::Flute).await;
    let seat = (wren.welcome.name.as_str(), wren.welcome.chair, wren.welcome.score.is_some());
    assert_eq!(seat, ("Wren", 1, false), "the name is free, and so is the first chair");
    let room = conductor.see(|room| (!room.imaginary).then(|| room.clone())).await;
    assert_eq!(room.lanes.len(), 1);
    let (status, text) = ask(&server, &[("do", "come")]).await;
    assert_eq!(status, 409);
    assert!(text.contains("never sits among real players"), "{text}");
    assert_eq!(ask(&server, &[("plan", "hairpins")]).await.0, 409);
    let room = conductor.see(|room| Some(room.clone())).await;
    assert_eq!(room.exercise.plan, "", "nor is the plan taken then");
    server.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn it_plays_a_plan_and_ends_with_the_server() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    come(&server, &mut conductor).await;
    conductor.command(ConductorSays::Start).await;
    conductor.see(|room| room.score.is_some().then_some(())).await;
    // Also while they play something else, and twice.
    for plan in ["first-lesson", "hairpins"] {
        assert_eq!(ask(&server, &[("plan", plan)]).await.0, 303);
    }
    let is_there = |room: &Snapshot| room.exercise.plan == "Hairpins" && room.section.n_players == 8;
    let room = conductor.see(|room| is_there(room).then(|| room.clone())).await;
    assert_eq!((room.exercise.number, room.lanes.len()), (1, 8));
    assert_eq!(ask(&server, &[("do", "leave")]).await.0, 303);
    conductor.see(|room| (is_empty(room).is_some() && room.exercise.plan.is_empty()).then_some(())).await;
    come(&server, &mut conductor).await;
    assert_eq!(ask(&server, &[("plan", "no-such-plan")]).await.0, 503);
    assert_eq!(ask(&server, &[("do", "dance")]).await.0, 422);
    server.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn it_comes_in_by_no_door() {
    let server = TestServer::start().await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let closed = post(addr, "/conduct/access/code", &cookie, &[("what", "close")]).await;
    assert_eq!(closed.status, 303);
    let mut conductor = Conductor::open(&server).await;
    conductor.see(|room| (room.door != Default::default()).then_some(())).await;
    come(&server, &mut conductor).await;
    let health = get(addr, "/healthz", &[]).await.text();
    assert!(health.contains("\"players\":0"), "nobody who keeps the door open: {health}");
    server.stop().await;
}
