//! Rehearsals as files: out of one server, into another and out again, over http and by the command; what is refused, and that
//! nothing comes twice or by halves. The files are made by hand from the example beside the schema.

use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::process::Command;
use windrow_tests::request::{Answer, get, send};
use windrow_tests::session_file::{EXAMPLE, session_file};
use windrow_tests::{TestServer, new_data_dir};

async fn fetch(server: &TestServer, path: &str) -> Answer {
    get(server.running().http_addr, path, &[("Cookie", &server.conductor_cookie())]).await
}

async fn bring(server: &TestServer, document: &str) -> (u16, Value) {
    let addr = server.running().http_addr;
    let origin = format!("http://{addr}");
    let cookie = server.conductor_cookie();
    let headers =
        [("Origin", origin.as_str()), ("Cookie", cookie.as_str()), ("Content-Type", "application/json")];
    let answer = send(addr, "POST", "/conduct/rehearsals/import", &headers, document).await;
    (answer.status, serde_json::from_slice(&answer.body).unwrap_or_default())
}

/// A measure that could not be told may be absent or null.
fn without_nulls(value: &Value) -> Value {
    match value {
        Value::Object(fields) => {
            let kept = fields.iter().filter(|(_, value)| !value.is_null());
            Value::Object(kept.map(|(name, value)| (name.clone(), without_nulls(value))).collect())
        }
        Value::Array(items) => Value::Array(items.iter().map(without_nulls).collect()),
        Value::Number(number) => json!(number.as_f64()),
        other => other.clone(),
    }
}

/// The rows of a table by the names of its columns; fields of these files hold no line ends.
fn rows(csv: &str) -> Vec<BTreeMap<String, String>> {
    let mut lines = csv.strip_prefix('\u{feff}').expect("the mark of UTF-8").split_terminator("\r\n");
    let head: Vec<&str> = lines.next().unwrap().split(',').collect();
    let row = |line: &str| {
        head.iter().map(|name| (*name).to_owned()).zip(line.split(',').map(str::to_owned)).collect()
    };
    lines.map(row).collect()
}

#[tokio::test]
async fn a_rehearsal_goes_from_one_windrow_to_another_and_comes_back_the_same() {
    let (here, there) = (TestServer::start().await, TestServer::start().await);
    let sent = session_file(5, 3);
    let (status, said) = bring(&here, &sent.to_string()).await;
    assert_eq!((status, &said), (200, &json!({"new": 1, "here": 0, "players": 5, "known": 0})));

    let first = fetch(&here, "/conduct/rehearsals/0000-example/session.json").await;
    assert_eq!((first.status, first.header("content-type")), (200, "application/json"));
    assert!(first.header("content-disposition").contains("windrow-2026-11-25-everything.json"));
    let exported: Value = serde_json::from_slice(&first.body).unwrap();
    assert_eq!(without_nulls(&exported["sessions"]), without_nulls(&sent["sessions"]));

    let (status, said) = bring(&there, &first.text()).await;
    assert_eq!((status, &said["new"]), (200, &json!(1)));
    let second = fetch(&there, "/conduct/rehearsals/0000-example/session.json").await;
    assert_eq!(second.text(), first.text(), "no id has to differ: none is made anew");

    // Neither where it came from nor where it went is it taken twice.
    for server in [&here, &there] {
        let (status, said) = bring(server, &first.text()).await;
        assert_eq!((status, said), (200, json!({"new": 0, "here": 1, "players": 0, "known": 0})));
    }
    for table in ["results.csv", "pulses.csv"] {
        let [one, all] = ["0000-example", "all"].map(|id| format!("/conduct/rehearsals/{id}/{table}"));
        let (one, all) = (fetch(&there, &one).await, fetch(&there, &all).await);
        assert_eq!(one.header("content-type"), "text/csv; charset=utf-8; header=present");
        assert_eq!(one.text(), all.text(), "{table}");
    }
    let lines = fetch(&there, "/conduct/rehearsals/all/sessions.jsonl").await.text();
    assert_eq!(lines, first.text());
    here.stop().await;
    there.stop().await;
}

#[tokio::test]
async fn tables_hold_what_the_document_holds() {
    let server = TestServer::start().await;
    let sent = session_file(4, 2);
    bring(&server, &sent.to_string()).await;
    let session = &sent["sessions"][0];

    let results = rows(&fetch(&server, "/conduct/rehearsals/0000-example/results.csv").await.text());
    assert_eq!(results.len(), 4 * 2);
    for (run, told) in session["runs"].as_array().unwrap().iter().zip(results.chunks(4)) {
        for (stretch, row) in run["stretches"].as_array().unwrap().iter().zip(told) {
            let number = |name: &str| row[name].parse::<f64>().unwrap();
            assert_eq!(row["player_id"], stretch["player_id"].as_str().unwrap());
            assert_eq!(row["exercise_name"], run["told"]["name"].as_str().unwrap());
            assert_eq!(row["state"], stretch["measures"]["state"].as_str().unwrap());
            for (column, path) in [
                ("bpm", "/bpm"),
                ("bars", "/bars"),
                ("judged_s", "/judged_s"),
                ("timing_spread_ms", "/timing_spread_ms"),
                ("trusted_share", "/measures/trusted"),
                ("pulse_rate_hz", "/measures/pulse_rate_hz"),
                ("depth_db_pp", "/measures/depth_db_pp"),
                ("drift_cents", "/measures/drift_cents"),
                ("evenness_cv", "/measures/evenness_cv"),
            ] {
                assert_eq!(number(column), stretch.pointer(path).unwrap().as_f64().unwrap(), "{column}");
            }
        }
    }
    let pulses = rows(&fetch(&server, "/conduct/rehearsals/0000-example/pulses.csv").await.text());
    let players = session["players"].as_array().unwrap();
    let sent_s: Vec<f64> = players
        .iter()
        .flat_map(|player| player["pulses"]["time_us"].as_array().unwrap())
        .map(|us| us.as_f64().unwrap() / 1e6)
        .collect();
    let told_s: Vec<f64> = pulses.iter().map(|row| row["time_s"].parse().unwrap()).collect();
    assert_eq!(told_s, sent_s);

    let nameless = fetch(&server, "/conduct/rehearsals/0000-example/results.csv?names=no").await;
    assert!(nameless.header("content-disposition").contains("without-names"));
    assert!(!nameless.text().contains("Wren") && nameless.text().contains("chair 2"));
    server.stop().await;
}

#[tokio::test]
async fn people_are_found_again_by_name_and_instrument() {
    let server = TestServer::start().await;
    let cookie = server.conductor_cookie();
    let csv =
        "section,name,instrument\nLarkmoor Youth Winds,Wren,flute\nLarkmoor Youth Winds,Tobias,bassoon\n";
    let form = [("csv", csv), ("sure", "yes")];
    let answer =
        windrow_tests::request::post(server.running().http_addr, "/conduct/roster/import", &cookie, &form)
            .await;
    assert_eq!(answer.status, 303);
    // Tobias plays the oboe there: he may be somebody else.
    let (_, said) = bring(&server, EXAMPLE).await;
    assert_eq!(said, json!({"new": 1, "here": 0, "players": 2, "known": 1}));
    let told: Value =
        serde_json::from_slice(&fetch(&server, "/conduct/rehearsals/0000-example/session.json").await.body)
            .unwrap();
    let known: Vec<(bool, &str)> = told["sessions"][0]["players"]
        .as_array()
        .unwrap()
        .iter()
        .map(|player| (player["person_id"].is_string(), player["name"].as_str().unwrap()))
        .collect();
    assert_eq!(known, [(true, "Wren"), (false, "Tobias")]);
    server.stop().await;
}

#[tokio::test]
async fn what_is_wrong_is_refused_whole_with_its_place() {
    let server = TestServer::start().await;
    let mut second: Value = serde_json::from_str(EXAMPLE).unwrap();
    let mut session = second["sessions"][0].clone();
    session["session_id"] = json!("0000-second");
    session["origin_id"] = json!("0000-second");
    // Its players are those of the first session, and a player is of one session.
    second["sessions"].as_array_mut().unwrap().push(session);
    for (document, expected) in [
        (
            EXAMPLE.replace("\"chair\":2,\"calibrated\"", "\"chair\":0,\"calibrated\""),
            "player 2, chair: chairs count from 1",
        ),
        (EXAMPLE[..5000].to_owned(), "the file ends too early"),
        (second.to_string(), "session 2, player 1, player_id: 0000-wren stands here twice"),
        ("name;instrument".to_owned(), "no file of rehearsals"),
    ] {
        let (status, said) = bring(&server, &document).await;
        let why = said["why"].as_str().unwrap_or_default();
        assert!(status == 422 && why.contains(expected), "{status} {said}");
    }
    let nothing = fetch(&server, "/conduct/rehearsals/0000-example/session.json").await;
    assert_eq!(nothing.status, 404, "nothing is half there");
    let listed = fetch(&server, "/conduct/rehearsals").await.text();
    assert!(listed.contains("Each rehearsal will stand here"), "{listed}");
    server.stop().await;
}

fn windrow(arguments: &[&str]) -> (bool, String) {
    let done = Command::new(env!("CARGO_BIN_EXE_windrow_under_test")).args(arguments).output().unwrap();
    let said = [&done.stdout[..], &done.stderr[..]].concat();
    (done.status.success(), String::from_utf8_lossy(&said).into_owned())
}

#[tokio::test]
async fn the_command_writes_and_takes_in_while_a_server_runs() {
    let server = TestServer::start().await;
    let dir = new_data_dir();
    std::fs::create_dir_all(&dir).unwrap();
    let path = |name: &str| dir.join(name).to_string_lossy().into_owned();
    let data = server.data_dir().to_string_lossy().into_owned();
    std::fs::write(path("in.json"), EXAMPLE).unwrap();

    let (is_good, said) = windrow(&["records", "import", &path("in.json"), "--data", &data]);
    assert!(is_good && said.contains("1 new with 2 players"), "{said}");
    let page = fetch(&server, "/conduct/rehearsals").await.text();
    assert!(page.contains("/conduct/rehearsals/0000-example"), "{page}");

    let (is_good, said) = windrow(&["records", "export", &path("out"), "--data", &data]);
    assert!(is_good && said.contains("1 rehearsal written"), "{said}");
    let columns = std::fs::read_to_string(dir.join("out/columns.txt")).unwrap();
    assert!(columns.contains("depth_db_pp (number)\n"), "{columns}");
    let written = std::fs::read_to_string(dir.join("out/2026-11-25-0000-example.json")).unwrap();
    let over_http = fetch(&server, "/conduct/rehearsals/0000-example/session.json").await.text();
    assert_eq!(written, over_http);
    let table = std::fs::read_to_string(dir.join("out/results.csv")).unwrap();
    assert_eq!(table, fetch(&server, "/conduct/rehearsals/all/results.csv").await.text());

    let (is_good, _) = windrow(&["records", "export", &path("all.jsonl"), "--data", &data]);
    assert!(is_good);
    let (is_good, said) = windrow(&["records", "import", &path("all.jsonl"), "--data", &path("new")]);
    assert!(is_good && said.contains("1 new"), "{said}");
    let (is_good, said) = windrow(&["records", "import", &path("all.jsonl"), "--data", &path("new")]);
    assert!(is_good && said.contains("0 new") && said.contains("1 already here"), "{said}");
    std::fs::write(path("bad.json"), EXAMPLE.replace("windrow.session", "other")).unwrap();
    let (is_good, said) = windrow(&["records", "import", &path("bad.json"), "--data", &path("new")]);
    assert!(!is_good && said.contains("nothing was changed"), "{said}");
    std::fs::remove_dir_all(&dir).unwrap();
    server.stop().await;
}
