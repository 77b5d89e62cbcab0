//! A server that is stopped and started again in the middle of a rehearsal: devices come back by themselves.

use windrow::Server;
use windrow::error::StartError;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{Hello, Results};
use windrow_tests::request::{get, post};
use windrow_tests::{Player, TestServer, hello, serve_config};

async fn door(server: &TestServer, what: &str) {
    let addr = server.running().http_addr;
    let done = post(addr, "/conduct/access/code", &server.conductor_cookie(), &[("what", what)]).await;
    assert_eq!(done.status, 303, "{what}");
}

async fn again(server: TestServer) -> TestServer {
    TestServer::start_in(server.stop().await).await
}

#[tokio::test]
async fn a_device_comes_back_with_the_code_and_token_it_had() {
    let server = TestServer::start().await;
    // The list comes to the room with this device: the conductor takes the player in.
    let hadley = Player::join(&server, "Hadley", Instrument::Oboe).await;
    let adopt = [("do", "adopt"), ("player_id", hadley.welcome.player_id.as_str())];
    let cookie = server.conductor_cookie();
    let done = post(server.running().http_addr, "/conduct/roster", &cookie, &adopt).await;
    assert_eq!(done.status, 303);
    let (code, token) = (server.code().to_owned(), hadley.welcome.token.clone());
    let server = again(server).await;
    let back = Hello { token: Some(token.clone()), ..hello(&code, "typed", Instrument::Flute) };
    let player = Player::join_as(&server, back).await;
    assert_eq!((player.welcome.name.as_str(), player.welcome.chair), ("Hadley", 1));
    assert_eq!(player.welcome.token, token);
}

#[tokio::test]
async fn a_changed_code_is_gone_on_with_and_that_of_a_closed_room_is_not() {
    let server = TestServer::start().await;
    let first = server.code().to_owned();
    door(&server, "change").await;
    let server = again(server).await;
    let second = server.code().to_owned();
    assert_ne!(second, first);
    let server = again(server).await;
    assert_eq!(server.code(), second);
    door(&server, "close").await;
    assert_ne!(again(server).await.code(), second, "whoever was kept out has its code");
}

#[tokio::test]
async fn the_section_that_was_in_the_room_last_is_in_it_again() {
    let server = TestServer::start().await;
    let chosen = [("do", "choose"), ("section", "Sax choir")];
    let cookie = server.conductor_cookie();
    assert_eq!(post(server.running().http_addr, "/conduct/roster", &cookie, &chosen).await.status, 303);
    let dir = server.stop().await;
    let config = windrow::config::ServerConfig { sections: Vec::new(), ..serve_config(&dir) };
    let running = Server::start(config).await.unwrap();
    let page = windrow_tests::request::get(running.http_addr, "/", &[]).await;
    assert!(page.text().contains("Sax choir"), "{}", page.text());
    running.stop().await;
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn one_server_at_a_time_has_the_records() {
    let server = TestServer::start().await;
    let refused = Server::start(serve_config(server.data_dir())).await;
    assert!(matches!(refused, Err(StartError::InUse { .. })), "{refused:?}");
    let server = again(server).await;
    Player::join(&server, "Imogen", Instrument::Flute).await;
}

#[tokio::test]
async fn what_was_played_is_on_the_results_page_again() {
    let server = TestServer::start().await;
    let (conductor, players) = crate::results::play_a_run(&server).await;
    let before = results(&server).await;
    assert_eq!(before.runs.len(), 1);
    drop((conductor, players));
    let server = again(server).await;
    let after = results(&server).await;
    assert_eq!(after.runs.len(), 1);
    let told = |results: &Results| {
        let players = results.runs[0].players.iter();
        players.map(|p| (p.name.to_string(), p.whole.state, p.whole.n_pulses)).collect::<Vec<_>>()
    };
    assert_eq!(told(&after), told(&before));
    // What is played now counts on from there.
    let _here = crate::results::play_a_run(&server).await;
    let numbers: Vec<u16> = results(&server).await.runs.iter().map(|run| run.number).collect();
    assert_eq!(numbers, [1, 2]);
}

async fn results(server: &TestServer) -> Results {
    let cookie = server.conductor_cookie();
    let answer = get(server.running().http_addr, "/conduct/results.json", &[("Cookie", &cookie)]).await;
    serde_json::from_str(&answer.text()).unwrap()
}
