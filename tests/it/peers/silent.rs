//! Who falls silent without a goodbye, as a phone out of the Wi-Fi does: shown as away soon, let go later.

use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::PlayerSays;
use windrow_tests::request::get;
use windrow_tests::{Conductor, Player, TestServer};

/// Pictures of the room, five a second, until the last one that may still show somebody: 40 s, on a machine that compiles something else meanwhile.
const PICTURES: u32 = 400;

/// How many players are connected, as the server says.
async fn n_connected(server: &TestServer) -> u64 {
    let answer = get(server.running().http_addr, "/healthz", &[]).await;
    serde_json::from_slice::<serde_json::Value>(&answer.body).unwrap()["players"].as_u64().unwrap()
}

#[tokio::test]
async fn who_gives_no_sign_of_life_is_away_until_they_do_and_let_go_in_the_end() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut ida = Player::join(&server, "Ida", Instrument::Flute).await;
    ida.read(false);
    conductor.see_lane("Ida", |lane| lane.state == State::NotHeard).await;
    conductor.see_lane("Ida", |lane| lane.state == State::Away).await;
    assert_eq!(n_connected(&server).await, 1, "the connection stands");
    ida.say(&PlayerSays::Rest { resting: true }).await;
    conductor.see_lane("Ida", |lane| lane.state == State::Resting).await;
    for n_seen in 0.. {
        if n_connected(&server).await == 0 {
            break;
        }
        assert!(n_seen < PICTURES, "it is never let go");
        conductor.see(|_| Some(())).await;
    }
    ida.read(true);
    while ida.next().await.is_some() {}
    assert!(!ida.try_say(&PlayerSays::Rest { resting: false }).await, "nobody listens any more");
}
