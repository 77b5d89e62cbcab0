//! Records of every earlier version, with rows as that version wrote them, opened by this one: nothing is lost, every page works,
//! and a player finds what was played then.

use std::collections::BTreeMap;
use std::path::PathBuf;
use windrow::Server;
use windrow::store::Store;
use windrow_tests::records::{self, Rows, everything};
use windrow_tests::request::{get, send};
use windrow_tests::{new_data_dir, serve_config};

/// Whose device the fixtures know, from version 3 on.
const TOKEN: &str = "invented token";

/// Rows of `after` without the columns that `before` does not have.
fn as_before(before: &Rows, after: &Rows) -> Rows {
    let Some(first) = before.first() else { return Rows::new() };
    let known = |row: &BTreeMap<String, String>| {
        row.iter()
            .filter(|(name, _)| first.contains_key(*name))
            .map(|(n, v)| (n.clone(), v.clone()))
            .collect()
    };
    let mut rows: Rows = after.iter().map(known).collect();
    rows.sort();
    rows
}

/// Records of that version in a directory of their own.
async fn made(version: i64) -> PathBuf {
    let dir = new_data_dir();
    records::make(&dir, version).await;
    dir
}

/// Tables whose rows a later version has in another one, and what of them.
const MOVED: [(&str, &str, &str); 2] =
    [("serving", "rooms_served", "session_id"), ("room_plan", "taken_plans", "text")];
/// Columns that were moved with them.
const MOVED_COLUMNS: [&str; 2] = ["door_code", "door_seen_ms"];

fn column(rows: &Rows, name: &str) -> Vec<String> {
    rows.iter().map(|row| row[name].clone()).collect()
}

#[tokio::test]
async fn no_row_of_an_earlier_version_is_lost_or_changed() {
    for (version, _) in records::versions().await {
        let dir = made(version).await;
        let mut before = everything(&dir.join(records::FILE)).await;
        assert!(before["pulses"].len() >= 5, "version {version} has rows");
        Store::open(&dir).await.unwrap().close().await;
        let after = everything(&dir.join(records::FILE)).await;
        if version < 11 {
            for (table, now, name) in MOVED {
                let Some(rows) = before.remove(table) else { continue };
                assert_eq!(column(&after[now], name), column(&rows, name), "{table} of version {version}");
            }
            for row in before.get_mut("access_settings").into_iter().flatten() {
                row.retain(|name, _| !MOVED_COLUMNS.contains(&name.as_str()));
            }
        }
        for (table, rows) in &before {
            assert_eq!(as_before(rows, &after[table]), *rows, "{table} of version {version}");
        }
        std::fs::remove_dir_all(dir).unwrap();
    }
}

#[tokio::test]
async fn every_page_works_on_records_of_every_version() {
    for (version, _) in records::versions().await {
        let dir = made(version).await;
        let mut config = serve_config(&dir);
        config.program_key = Some("akeyfortests".to_owned());
        let running = Server::start(config).await.unwrap();
        let cookie = format!("{}=akeyfortests", running.cookie_name());
        // Whatever has a gap in its path asks for something in particular.
        let pages = windrow::route_names()
            .into_iter()
            .filter(|(method, path)| *method == "GET" && path.starts_with("/conduct") && !path.contains('{'));
        let mut n = 0;
        for (_, path) in pages {
            let answer = get(running.http_addr, path, &[("Cookie", &cookie)]).await;
            assert_eq!(answer.status, 200, "{path} of version {version}: {}", answer.text());
            n += 1;
        }
        assert!(n > 10, "{n} pages");
        running.stop().await;
        std::fs::remove_dir_all(dir).unwrap();
    }
}

#[tokio::test]
async fn a_player_finds_what_was_played_under_an_earlier_version() {
    for (version, _) in records::versions().await.into_iter().filter(|(version, _)| *version >= 3) {
        let dir = made(version).await;
        let running = Server::start(serve_config(&dir)).await.unwrap();
        let asks = [("x-windrow-device", TOKEN)];
        let all = send(running.http_addr, "POST", "/mine/all.json", &asks, "").await;
        let all: serde_json::Value = serde_json::from_slice(&all.body).unwrap();
        let session = &all["sessions"][0];
        assert_eq!(session["section"], "Larkmoor Youth Winds", "version {version}: {all}");
        let pulses = session["pulses"].as_array().unwrap();
        // By the fixture; a pack may have rounded to 0.1 ms by now.
        assert_eq!((pulses.len(), &pulses[1]["depth_db"]), (2, &4.5.into()), "version {version}");
        let time_ms = pulses[1]["time_ms"].as_f64().unwrap();
        assert!((time_ms - 60_333.333).abs() <= 0.05, "{time_ms}");
        running.stop().await;
        std::fs::remove_dir_all(dir).unwrap();
    }
}

#[tokio::test]
async fn a_player_takes_along_runs_their_parts_and_room_checks_each_field_explained() {
    let newest = records::versions().await.last().unwrap().0;
    let dir = made(newest).await;
    let running = Server::start(serve_config(&dir)).await.unwrap();
    let all = send(running.http_addr, "POST", "/mine/all.json", &[("x-windrow-device", TOKEN)], "").await;
    let all: serde_json::Value = serde_json::from_slice(&all.body).unwrap();
    let sessions = all["sessions"].as_array().unwrap();
    let of_kind = |kind: &str| {
        let mut found = sessions.iter().filter(|s| s["kind"] == kind && s["runs"][0].is_object());
        found.next().unwrap_or_else(|| panic!("no {kind} with runs: {all}"))
    };
    let rehearsal = of_kind("rehearsal");
    // By the fixture of version 6.
    let (run, part) = (&rehearsal["runs"][0], &rehearsal["stretches"][0]);
    assert_eq!((&run["name"], &run["left_out_ms"]), (&"Triplets".into(), &(-12.5).into()));
    assert_eq!(run["states"], serde_json::json!([[0.0, "matched"]]));
    assert_eq!(run["centres"], serde_json::json!([[1000.0, 2.0]]));
    assert_eq!(
        (&part["held"], &part["bars"], &part["timing_spread_ms"]),
        (&true.into(), &4.0.into(), &18.0.into())
    );
    let check = &rehearsal["room_checks"][0];
    assert_eq!((&check["finding"], &check["own_db"]), (&"clear".into(), &(-18.5).into()));
    let practice = of_kind("practice");
    assert_eq!((&practice["invented"], &practice["stretches"][0]["matched"]), (&true.into(), &1.0.into()));
    assert!(!all.to_string().contains("Tobias"), "nobody else is in it");
    for part in [run, part, check, &run["whole"], &rehearsal["runs"][0]] {
        for field in part.as_object().unwrap().keys().filter(|field| *field != "name") {
            assert!(all["meaning"][field].is_string(), "{field} is explained");
        }
    }
    running.stop().await;
    std::fs::remove_dir_all(dir).unwrap();
}
