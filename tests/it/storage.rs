//! What is acknowledged survives: a proper end, and a server that is killed without warning.

use std::path::{Path, PathBuf};
use std::process::Command;
use windrow::store::{PlayerRow, Store};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{Hello, PlayerSays, SpanResult};
use windrow_protocol::units::Hertz;
use windrow_tests::process::Process;
use windrow_tests::{Player, TestServer, batch, hello};

fn span_result(seq: u32) -> PlayerSays {
    PlayerSays::SpanResult(SpanResult {
        seq,
        score_version: 1,
        span_idx: 0,
        n_pulses: 12,
        pulse_rate_hz: Some(Hertz::new(3.3).unwrap()),
        depth_db_pp: None,
        swing_cents_pp: None,
        centre_cents: None,
        evenness_cv: None,
        timing_ms: Some(-4.0),
    })
}

async fn players(data_dir: &Path) -> Vec<PlayerRow> {
    let store = Store::open(data_dir).await.unwrap();
    let players = store.players().await.unwrap();
    store.close().await;
    players
}

#[tokio::test]
async fn a_proper_end_keeps_what_was_acknowledged() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.say(&batch(2, 2)).await;
    imogen.say(&span_result(3)).await;
    imogen.hear_ack(3).await;
    let data_dir = server.stop().await;
    let rows = players(&data_dir).await;
    assert_eq!(rows.len(), 1);
    assert_eq!((rows[0].name.as_str(), rows[0].instrument.as_str(), rows[0].chair), ("Imogen", "flute", 1));
    assert_eq!((rows[0].n_pulses, rows[0].n_spans), (5, 1));
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn what_is_sent_twice_is_kept_once_and_acknowledged_again() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    let token = Some(imogen.welcome.token.clone());
    drop(imogen);
    let greeting = Hello { token, ..hello(server.code(), "Imogen", Instrument::Flute) };
    let mut imogen = Player::join_as(&server, greeting).await;
    assert_eq!(imogen.welcome.acknowledged, 1);
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    imogen.say(&batch(2, 1)).await;
    imogen.hear_ack(2).await;
    let data_dir = server.stop().await;
    assert_eq!(players(&data_dir).await[0].n_pulses, 4);
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn the_records_open_again_for_the_next_rehearsal() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    let first_code = server.code().to_owned();
    let data_dir = server.stop().await;
    let server = TestServer::start_in(data_dir).await;
    assert_eq!(server.code(), first_code, "the rehearsal goes on");
    let _tobias = Player::join(&server, "Tobias", Instrument::Bassoon).await;
    let data_dir = server.stop().await;
    let names: Vec<_> = players(&data_dir).await.into_iter().map(|p| p.name).collect();
    assert_eq!(names, ["Imogen", "Tobias"]);
    std::fs::remove_dir_all(data_dir).unwrap();
}

/// Starts `windrow serve` on free ports.
fn serve(data_dir: &Path) -> Process {
    Process::serve(Path::new(PROGRAM), data_dir)
}

const PROGRAM: &str = env!("CARGO_BIN_EXE_windrow_under_test");

/// The same through another program, such as one that starts it in a network of its own.
pub(super) fn serve_with(starter: &mut Command, data_dir: &Path, options: &[&str]) -> Process {
    Process::start(starter.args([PROGRAM, "serve"]).args(options), data_dir)
}

#[tokio::test]
async fn a_server_that_is_killed_loses_nothing_it_acknowledged() {
    let data_dir: PathBuf = std::env::temp_dir().join(format!("windrow-test-killed-{}", std::process::id()));
    let mut process = serve(&data_dir);
    let url = format!("ws://{}/ws/player", process.http_addr);
    let mut players_here = Vec::new();
    for name in ["Imogen", "Tobias"] {
        players_here.push(Player::join_at(&url, hello(&process.code, name, Instrument::Flute)).await);
    }
    for seq in 1..=20 {
        for player in &mut players_here {
            player.say(&batch(seq, 4)).await;
        }
    }
    for player in &mut players_here {
        player.hear_ack(15).await;
    }
    process.kill();
    let rows = players(&data_dir).await;
    assert_eq!(rows.len(), 2);
    for row in &rows {
        assert!(row.n_pulses >= 15 * 4, "{row:?}");
    }
    // The next start finds its records and its certificate.
    let certificate = std::fs::read(data_dir.join("certificate/server.pem")).unwrap();
    let again = serve(&data_dir);
    assert_eq!(again.code, process.code, "the rehearsal goes on");
    assert_eq!(std::fs::read(data_dir.join("certificate/server.pem")).unwrap(), certificate);
    drop(again);
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[cfg(unix)]
#[tokio::test]
async fn the_data_directory_is_for_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let server = TestServer::start().await;
    let mode = std::fs::metadata(server.data_dir()).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o700, "names of players are in it");
}
