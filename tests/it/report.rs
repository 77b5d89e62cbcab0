//! Rehearsals that are over: the list, the report of one, and its results to look through again.

use serde_json::Value;
use windrow_protocol::messages::{Replay, Results, Review};
use windrow_tests::TestServer;
use windrow_tests::request::{Answer, get, send};
use windrow_tests::session_file::{EXAMPLE, session_file};

async fn fetch(server: &TestServer, path: &str) -> Answer {
    get(server.running().http_addr, path, &[("Cookie", &server.conductor_cookie())]).await
}

/// A rehearsal as it would be after a section has played it.
pub(crate) async fn bring(server: &TestServer, document: &str) {
    let addr = server.running().http_addr;
    let (origin, cookie) = (format!("http://{addr}"), server.conductor_cookie());
    let headers =
        [("Origin", origin.as_str()), ("Cookie", cookie.as_str()), ("Content-Type", "application/json")];
    let answer = send(addr, "POST", "/conduct/rehearsals/import", &headers, document).await;
    assert_eq!(answer.status, 200, "{}", answer.text());
}

/// Fails with everything that a page lacks.
fn has_all(page: &str, words: &[&str]) {
    let missing: Vec<&&str> = words.iter().filter(|words| !page.contains(**words)).collect();
    assert!(missing.is_empty(), "{missing:?} is not in {page}");
}

#[tokio::test]
async fn the_list_names_what_there_is_and_keeps_practice_apart() {
    let server = TestServer::start().await;
    bring(&server, &session_file(3, 4).to_string()).await;
    let at_home = EXAMPLE
        .replace("\"kind\":\"rehearsal\"", "\"kind\":\"practice\"")
        .replace("0000-", "0001-")
        .replace("2026-11-25", "2025-11-25")
        .replace("\"invented\":true", "\"invented\":false");
    bring(&server, &at_home).await;

    // The newest year first.
    let page = fetch(&server, "/conduct/rehearsals").await.text();
    // Four runs of ninety seconds with a minute between: nine minutes.
    has_all(
        &page,
        &[
            "datetime=\"2026-11-25T18:01:00Z\"",
            "9 minutes",
            ">invented<",
            "<td class=\"n\">3</td><td class=\"n\">4</td>",
        ],
    );
    assert!(!page.contains("0001-example") && page.contains("year=2025"), "{page}");
    let page = fetch(&server, "/conduct/rehearsals?year=2025").await.text();
    has_all(&page, &["Practice and recordings", "practice at home: Tobias, Wren", "0001-example"]);
    assert!(!page.contains("0000-example"), "{page}");
    server.stop().await;
}

#[tokio::test]
async fn a_report_says_what_was_played_and_what_each_one_needs() {
    let server = TestServer::start().await;
    bring(&server, EXAMPLE).await;
    let page = fetch(&server, "/conduct/rehearsals/0000-example").await.text();
    has_all(
        &page,
        &[
            "<title>2026-11-25 Larkmoor Youth Winds, report</title>",
            "Invented: nobody played this.",
            "One run, less than a minute of playing",
            "2 players",
            // Fourteen and a half seconds.
            "<td>Triplets at 66</td><td class=\"n\">1</td><td class=\"n\">0:15</td>",
            "1 of 2",
            "0.75",
            "<td class=\"held\">triplets at 66</td>",
            "<td class=\"held\">none yet</td>",
            // Fast at triplets at 66, and a mark below that is 63; whoever held it plays it once more.
            "<b>triplets at 66</b> triplets at 63, then 66",
            "<b>triplets at 66</b> triplets at 63</td>",
            "data-state=\"fast\"",
            "<li>Triplets</li>",
            "Whoever feels light-headed stops",
            "session.json",
        ],
    );
    let letter = fetch(&server, "/conduct/rehearsals/0000-example?paper=letter").await.text();
    has_all(&letter, &["sheet-letter.css"]);
    let gone = fetch(&server, "/conduct/rehearsals/nothing").await;
    assert_eq!(gone.status, 404);
    has_all(&gone.text(), &["No such rehearsal", "/conduct/rehearsals"]);
    server.stop().await;
}

#[tokio::test]
async fn a_past_rehearsal_is_looked_through_like_a_present_one() {
    let server = TestServer::start().await;
    bring(&server, EXAMPLE).await;
    let at = "/conduct/rehearsals/0000-example/results";
    let page = fetch(&server, at).await.text();
    has_all(
        &page,
        &[
            "data-past=\"true\"",
            "data-source=\"/conduct/rehearsals/0000-example/results\"",
            "1. Triplets",
            "2 Tobias (fast)",
        ],
    );
    let example: Value = serde_json::from_str(EXAMPLE).unwrap();
    let run = &example["sessions"][0]["runs"][0];
    let results: Results = serde_json::from_str(&fetch(&server, &format!("{at}.json")).await.text()).unwrap();
    let told = serde_json::to_value(&results.runs[0]).unwrap();
    assert_eq!(told["players"], run["told"]["players"]);
    let review: Review =
        serde_json::from_str(&fetch(&server, &format!("{at}/review.json")).await.text()).unwrap();
    assert_eq!((review.runs[0].lanes.len(), review.runs[0].fold[24]), (2, 90));
    let raster = fetch(&server, &format!("{at}/1/raster.json")).await;
    let replay: Replay = serde_json::from_str(&raster.text()).unwrap();
    let sent = example["sessions"][0]["players"][1]["pulses"]["time_us"].as_array().unwrap().len();
    assert_eq!((replay.lanes[1].name.as_str(), replay.lanes[1].marks.len()), ("Tobias", sent));
    // 3.63 pulses a second, kept to a tenth of a millisecond.
    assert!((replay.lanes[1].marks[2].0 - 2e3 / 3.63).abs() < 0.11, "{:?}", replay.lanes[1].marks[2]);
    assert_eq!(fetch(&server, &format!("{at}/2/raster.json")).await.status, 404);
    server.stop().await;
}

#[tokio::test]
async fn what_stands_in_the_files_is_told_to_everybody() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    let page = get(addr, "/records-format", &[]).await;
    has_all(&page.text(), &["<code>timing_spread_ms</code>", "<code>mean_cents</code>", "RFC 4180"]);
    let schema = get(addr, "/session-schema.json", &[]).await;
    assert_eq!(schema.header("content-type"), "application/schema+json");
    let schema: Value = serde_json::from_slice(&schema.body).unwrap();
    assert_eq!(schema["$id"], "urn:windrow:session:1");
    server.stop().await;
}
