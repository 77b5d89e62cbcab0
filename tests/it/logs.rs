//! What the program says to its log at its finest while a rehearsal is played: lines for whoever looks after it, and nothing of anybody. The
//! program runs as a process, so nothing that any thread says is missed.

use std::fs::File;
use std::path::Path;
use std::process::Command;
use windrow_protocol::instrument::Instrument;
use windrow_tests::process::Process;
use windrow_tests::request::{get, post};
use windrow_tests::{Conductor, Player, batch, hello, new_data_dir};

const PROGRAM: &str = env!("CARGO_BIN_EXE_windrow_under_test");
const NAME: &str = "Quillfeather";
const PASSPHRASE: &str = "seven tired herons";

/// Plays a little with everything personal in it, and gives back the log and what must not be there.
async fn log_of_a_rehearsal(format: &str) -> (String, Vec<String>) {
    let data_dir = new_data_dir();
    let log = data_dir.with_extension("log");
    let mut command = Command::new(PROGRAM);
    command.args(["serve", "--http", "127.0.0.1:0", "--no-https", "--section", "Larkmoor"]);
    command.env("WINDROW_LOG", "trace").env("WINDROW_LOG_FORMAT", format).stderr(File::create(&log).unwrap());
    let mut server = Process::start(&mut command, &data_dir);
    let (addr, key, code) = (server.http_addr.clone(), server.key().to_owned(), server.code.clone());
    let player_url = format!("ws://{addr}/ws/player");
    let mut conductor = Conductor::open_at(&format!("ws://{addr}/ws/conductor?key={key}")).await;
    let mut player = Player::join_at(&player_url, hello(&code, NAME, Instrument::Flute)).await;
    conductor.see_lane(NAME, |_| true).await;
    player.say(&batch(1, 3)).await;
    player.hear_ack(1).await;
    let token = player.welcome.token.clone();
    // Messages that cannot be read, with what somebody wrote in them: the reason is in the refusal.
    let unreadable = format!("{{\"type\":\"{NAME}\",\"token\":\"{token}\"}}");
    player.say_raw(tokio_tungstenite::tungstenite::Message::text(unreadable)).await;
    player.hear_refusal().await;
    conductor
        .say_raw(tokio_tungstenite::tungstenite::Message::text(format!("{{\"type\":\"{NAME}\"}}")))
        .await;
    let socket_addr = addr.parse().unwrap();
    assert_eq!(post(socket_addr, "/sign-in", "", &[("passphrase", PASSPHRASE)]).await.status, 403);
    assert_eq!(get(socket_addr, &format!("/join/{code}/names.json"), &[]).await.status, 200);
    assert_eq!(get(socket_addr, "/first/a-link-that-was-good", &[]).await.status, 410);
    let again = Player::join_at(&player_url, hello(&code, NAME, Instrument::Flute)).await;
    drop((again, conductor));
    server.kill();
    let said = std::fs::read_to_string(&log).unwrap();
    std::fs::remove_file(log).unwrap();
    let data = data_dir.display().to_string();
    std::fs::remove_dir_all(data_dir).unwrap();
    let personal =
        [NAME, &token, &key, &code, PASSPHRASE, "herons", "a-link-that", "127.0.0.1", "Larkmoor", &data];
    (said, personal.map(str::to_owned).to_vec())
}

fn names_nobody(said: &str, personal: &[String]) {
    for part in personal {
        let line = said.lines().find(|line| line.to_lowercase().contains(&part.to_lowercase()));
        assert_eq!(line, None, "{part}");
    }
    for part in ["serving", "a player's connection was refused", "a wrong passphrase was given"] {
        assert!(said.contains(part), "the log is caught: {part} in\n{said}");
    }
}

#[tokio::test]
async fn a_log_as_text_names_nobody() {
    let (said, personal) = log_of_a_rehearsal("text").await;
    names_nobody(&said, &personal);
    let levels = [" ERROR ", "  WARN ", "  INFO ", " DEBUG ", " TRACE "];
    for line in said.lines() {
        assert!(levels.iter().any(|level| line[24..].starts_with(level)), "{line}");
    }
}

#[tokio::test]
async fn a_log_as_json_names_nobody_and_is_an_object_a_line() {
    let (said, personal) = log_of_a_rehearsal("json").await;
    names_nobody(&said, &personal);
    for line in said.lines() {
        let object: serde_json::Value = serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}"));
        for field in ["time", "level", "target", "message"] {
            assert!(object[field].is_string(), "{field} in {line}");
        }
        assert!(object["target"].as_str().unwrap().starts_with("windrow"), "{line}");
    }
}

/// Every place where something is logged, and what it may tell: the reason of a refusal, what the system or the database
/// answered, how many and how long.
#[test]
fn what_is_logged_is_a_few_harmless_fields() {
    let allowed =
        ["error", "reason", "n", "wait_s", "faults", "version", "http", "https", "at", "why", "room", "file"];
    let source = windrow_tests::wasm_sources::project().join("server/src");
    let mut n_events = 0;
    let mut waiting = vec![source];
    while let Some(path) = waiting.pop() {
        if path.is_dir() {
            waiting.extend(std::fs::read_dir(&path).unwrap().map(|entry| entry.unwrap().path()));
            continue;
        }
        // Its tests log on purpose what nothing else may.
        if path.extension().is_none_or(|kind| kind != "rs") || path.ends_with(Path::new("src/log.rs")) {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        for level in ["error", "warn", "info", "debug", "trace"] {
            for (at, _) in text.match_indices(&format!("tracing::{level}!(")) {
                n_events += 1;
                let call = &text[at..];
                let fields = call.split_once('(').unwrap().1.split('"').next().unwrap();
                for field in fields.split(',').map(str::trim).filter(|field| !field.is_empty()) {
                    let name = field.split('=').next().unwrap().trim().trim_start_matches(['%', '?']);
                    assert!(allowed.contains(&name), "{}: {name} is logged: {fields}", path.display());
                }
                let message = call.split('"').nth(1).unwrap();
                assert!(!message.contains('{'), "{}: a gap in {message}", path.display());
            }
        }
    }
    assert!(n_events > 40, "the calls are found: {n_events}");
}
