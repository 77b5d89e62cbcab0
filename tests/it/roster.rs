//! The roster as pages, devices and records meet it: names to tap, files in and out, two devices on one name, devices that
//! are known next week.

use tokio_tungstenite::tungstenite::Message;
use windrow::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ConductorSays, Hello, NoticeAnswer, PlayerHears, PlayerSays, RefusedReason,
};
use windrow_tests::request::{Answer, get, post};
use windrow_tests::{Conductor, Player, TestServer, hello};

/// Forty players with three lines that are wrong, as a spreadsheet saves them.
fn forty_with_three_bad() -> String {
    let instruments = ["flute", "oboe", "alto sax", "bassoon", "clarinet in B flat"];
    let mut text = "\u{feff}section,chair,name,instrument,part,e-mail\r\n".to_owned();
    for n in 1..=40 {
        let (name, instrument) = match n {
            11 => ("Player 11".to_owned(), "kazoo"),
            22 => (String::new(), "flute"),
            33 => ("Player 30".to_owned(), "oboe"),
            n => (format!("Player {n}"), instruments[n % 5]),
        };
        text.push_str(&format!("Larkmoor Youth Winds,{n},{name},{instrument},,x@example.org\r\n"));
    }
    text
}

async fn change(server: &TestServer, form: &[(&str, &str)]) -> Answer {
    post(server.running().http_addr, "/conduct/roster", &server.conductor_cookie(), form).await
}

async fn add(server: &TestServer, people: &[(&str, &str)]) {
    for (name, instrument) in people {
        let done = change(server, &[("do", "add"), ("name", name), ("instrument", instrument)]).await;
        assert_eq!(done.status, 303, "{}", done.text());
    }
}

async fn json(server: &TestServer, path: &str) -> Vec<serde_json::Value> {
    let cookie = server.conductor_cookie();
    let answer = get(server.running().http_addr, path, &[("Cookie", &cookie)]).await;
    assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"), "{path}");
    serde_json::from_slice(&answer.body).unwrap()
}

/// The id of somebody in the list.
async fn person(server: &TestServer, name: &str) -> String {
    let names = json(server, &format!("/join/{}/names.json", server.code())).await;
    let found =
        names.iter().find(|n| n["name"] == name).unwrap_or_else(|| panic!("{name} is not in {names:?}"));
    found["person_id"].as_str().unwrap().to_owned()
}

fn tapped(server: &TestServer, person: &str) -> Hello {
    Hello { person: Some(person.to_owned()), ..hello(server.code(), "tapped", Instrument::Flute) }
}

fn text(says: &PlayerSays) -> Message {
    Message::text(serde_json::to_string(says).unwrap())
}

#[tokio::test]
async fn a_roster_of_forty_is_shown_by_line_before_it_is_imported_and_updated_the_second_time() {
    let server = TestServer::start().await;
    let csv = forty_with_three_bad();
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let preview = post(addr, "/conduct/roster/import", &cookie, &[("csv", &csv)]).await;
    assert_eq!(preview.status, 200);
    let page = preview.text();
    for words in [
        "37 lines can be imported, 3 cannot",
        "37 new, 0 there already",
        "line 12: the instrument \u{201c}kazoo\u{201d} is not one of piccolo, flute,",
        "line 23: the name is empty",
        "line 34: Player 30 is in Larkmoor Youth Winds already, on line 31",
        "Not used: \u{201c}e-mail\u{201d}",
    ] {
        assert!(page.contains(words), "{words} is missing in {page}");
    }
    let names = format!("/join/{}/names.json", server.code());
    assert_eq!(json(&server, &names).await.len(), 0, "nothing is changed yet");
    let sure = [("csv", csv.as_str()), ("sure", "yes")];
    assert_eq!(post(addr, "/conduct/roster/import", &cookie, &sure).await.status, 303);
    let there = json(&server, &names).await;
    assert_eq!(there.len(), 37);
    let expected =
        serde_json::json!({"name": "Player 1", "instrument": "oboe", "part": "oboe 1", "is_in": false});
    for (field, value) in expected.as_object().unwrap() {
        assert_eq!(there[0][field], *value);
    }
    assert_eq!(there[0].as_object().unwrap().len(), 5, "and the id; nothing else is told");
    let mut conductor = Conductor::open(&server).await;
    let seen = conductor.see(|s| (s.expected == 37).then_some((s.lanes.len(), s.section.n_players))).await;
    assert_eq!(seen, (0, 0), "the absent are no lanes");
    let again = post(addr, "/conduct/roster/import", &cookie, &[("csv", &csv)]).await;
    assert!(again.text().contains("0 new, 37 there already"), "{}", again.text());
    assert_eq!(post(addr, "/conduct/roster/import", &cookie, &sure).await.status, 303);
    assert_eq!(json(&server, &names).await.len(), 37, "updated, not doubled");
    let export = get(addr, "/conduct/roster.csv", &[("Cookie", &cookie)]).await;
    assert_eq!(export.text().lines().count(), 38);
}

#[tokio::test]
async fn who_taps_a_name_is_that_person_and_so_is_the_device_next_week() {
    let server = TestServer::start().await;
    add(&server, &[("Imogen", "flute"), ("Wren", "flute"), ("Hadley", "oboe")]).await;
    let wren = person(&server, "Wren").await;
    let player = Player::join_as(&server, tapped(&server, &wren)).await;
    let welcome = &player.welcome;
    assert_eq!((welcome.name.as_str(), welcome.part.as_str(), welcome.chair), ("Wren", "flute 2", 2));
    let token = welcome.token.clone();
    drop(player);
    let data_dir = server.stop().await;
    let server = TestServer::start_in(data_dir).await;
    let back = Hello { token: Some(token.clone()), ..hello(server.code(), "Wren", Instrument::Oboe) };
    let player = Player::join_as(&server, back).await;
    let welcome = &player.welcome;
    assert_eq!((welcome.name.as_str(), welcome.instrument), ("Wren", Instrument::Flute));
    assert_eq!((welcome.chair, &welcome.token), (2, &token), "the same token for good");
    let who = windrow_tests::request::send(
        server.running().http_addr,
        "POST",
        "/mine/who.json",
        &[("x-windrow-device", &token)],
        "",
    )
    .await;
    let who: serde_json::Value = serde_json::from_slice(&who.body).unwrap();
    assert_eq!((&who["name"], &who["part"]), (&"Wren".into(), &"flute 2".into()));
}

#[tokio::test]
async fn two_devices_on_one_name_are_settled_by_the_conductor() {
    let server = TestServer::start().await;
    add(&server, &[("Wren", "flute")]).await;
    let wren = person(&server, "Wren").await;
    let mut first = Player::join_as(&server, tapped(&server, &wren)).await;
    let (refused, code) =
        Player::refused(&server, vec![text(&PlayerSays::Hello(tapped(&server, &wren)))]).await;
    assert_eq!((refused.reason, code), (RefusedReason::NameTaken, RefusedReason::NameTaken.close_code()));
    assert_eq!(english(&refused.text), "Wren is in from another device. Is that you as well?");
    let mut conductor = Conductor::open(&server).await;
    let second = Hello { takes_over: true, ..tapped(&server, &wren) };
    let (second, ()) = tokio::join!(Player::join_as_told(&server, second), async {
        let notice = conductor.see(|s| s.notices.first().cloned()).await;
        assert_eq!(english(&notice.text), "Two devices say they are Wren.");
        let answer = NoticeAnswer::SecondTakesOver;
        conductor.command(ConductorSays::Answer { notice: notice.id, answer }).await;
    });
    assert_eq!(second.welcome.name.as_str(), "Wren");
    let told = first
        .hear(|m| match m {
            PlayerHears::Notice { text } if !text.is_empty() => Some(text),
            _ => None,
        })
        .await;
    assert!(english(&told).contains("Another device says that it is Wren"), "{told:?}");
    assert_eq!(first.hear_refusal().await.0.reason, RefusedReason::NotYou);
    conductor.see(|s| (s.notices.is_empty() && s.section.n_players == 1).then_some(())).await;
}

#[tokio::test]
async fn what_the_conductor_changes_is_in_the_running_room_at_once() {
    let server = TestServer::start().await;
    add(&server, &[("Imogen", "flute"), ("Wren", "flute")]).await;
    let mut kiki = Player::join(&server, "Kiki", Instrument::Oboe).await;
    let mut conductor = Conductor::open(&server).await;
    conductor.see_lane("Kiki", |l| l.chair == 3).await;
    let wren = person(&server, "Wren").await;
    let player_id = kiki.welcome.player_id.clone();
    let seat = [("do", "seat"), ("player_id", player_id.as_str()), ("person_id", wren.as_str())];
    assert_eq!(change(&server, &seat).await.status, 303);
    conductor.see_lane("Wren", |l| l.chair == 2 && l.instrument == Instrument::Flute).await;
    let told = kiki
        .hear(|m| match m {
            PlayerHears::Seat(seat) => Some(seat),
            _ => None,
        })
        .await;
    assert_eq!((told.name.as_str(), told.part.as_str()), ("Wren", "flute 2"));
    let edit = [
        ("do", "edit"),
        ("person_id", wren.as_str()),
        ("name", "Wrenna"),
        ("instrument", "piccolo"),
        ("part", "piccolo"),
    ];
    assert_eq!(change(&server, &edit).await.status, 303);
    conductor.see_lane("Wrenna", |l| l.part == "piccolo").await;
    assert_eq!(change(&server, &[("do", "up"), ("person_id", &wren)]).await.status, 303);
    conductor.see_lane("Wrenna", |l| l.chair == 1).await;
    let first = change(&server, &[("do", "up"), ("person_id", &wren)]).await;
    assert_eq!(first.status, 422);
    assert!(first.text().contains("Wrenna has the first chair already"), "{}", first.text());
    assert_eq!(change(&server, &[("do", "remove"), ("person_id", &wren)]).await.status, 303);
    conductor.see_lane("Wrenna", |l| l.chair == 2).await;
    assert_eq!(change(&server, &[("do", "restore"), ("person_id", &wren)]).await.status, 303);
    assert_eq!(json(&server, "/conduct/seats.json").await.len(), 2);
    let added = change(&server, &[("do", "add"), ("name", "WRENNA"), ("instrument", "flute")]).await;
    assert_eq!(added.status, 422);
    assert!(added.text().contains("WRENNA is in this list already"), "{}", added.text());
    assert!(added.text().contains("value=\"WRENNA\""), "what was typed stands there still");
}

#[tokio::test]
async fn two_entries_of_one_player_are_made_one() {
    let server = TestServer::start().await;
    add(&server, &[("Wren", "flute"), ("Wren P.", "flute")]).await;
    let (from, into) = (person(&server, "Wren P.").await, person(&server, "Wren").await);
    let player = Player::join_as(&server, tapped(&server, &from)).await;
    let merge = [("do", "merge"), ("person_id", from.as_str()), ("into", into.as_str())];
    assert_eq!(change(&server, &merge).await.status, 303);
    let mut conductor = Conductor::open(&server).await;
    conductor.see_lane("Wren", |l| l.player_id == player.welcome.player_id && l.chair == 1).await;
    let seats = json(&server, "/conduct/seats.json").await;
    assert_eq!((seats.len(), &seats[0]["is_in"]), (1, &true.into()));
}

#[tokio::test]
async fn another_section_comes_into_the_room_and_the_first_is_kept() {
    let server = TestServer::start().await;
    add(&server, &[("Wren", "flute")]).await;
    assert_eq!(change(&server, &[("do", "choose"), ("section", "Sax choir")]).await.status, 303);
    let mut conductor = Conductor::open(&server).await;
    conductor.see(|s| (s.section_name == "Sax choir" && s.expected == 0).then_some(())).await;
    add(&server, &[("Piers", "alto sax")]).await;
    let back = change(&server, &[("do", "choose"), ("section", "Larkmoor Youth Winds")]).await;
    assert_eq!(back.status, 303);
    person(&server, "Wren").await;
    assert_eq!(json(&server, "/conduct/seats.json").await.len(), 1);
}

#[tokio::test]
async fn names_are_for_those_who_have_the_code() {
    let server = TestServer::start().await;
    add(&server, &[("Wren", "flute")]).await;
    let wrong = get(server.running().http_addr, "/join/CCCCCC/names.json", &[]).await;
    assert_eq!(wrong.status, 404);
    assert!(!wrong.text().contains("Wren"));
    for path in ["/conduct/roster", "/conduct/roster.csv", "/conduct/seats.json"] {
        let closed = get(server.running().http_addr, path, &[]).await;
        assert!(!closed.text().contains("Wren") && closed.status != 200, "{path}: {}", closed.status);
    }
}

#[tokio::test]
async fn python_reads_what_is_exported_and_what_it_writes_is_imported() {
    let server = TestServer::start().await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    add(&server, &[("Hadley, \"junior\"", "oboe"), ("=1+1", "flute"), ("Zo\u{eb}", "clarinet in B flat")])
        .await;
    let exported = get(addr, "/conduct/roster.csv", &[("Cookie", &cookie)]).await.text();
    // Reads the file, checks what a spreadsheet would see, and writes it again with another name and semicolons.
    let program = "import csv, io, sys\n\
        rows = list(csv.reader(io.StringIO(sys.stdin.buffer.read().decode('utf-8-sig'), newline='')))\n\
        assert rows[0] == ['section', 'chair', 'name', 'instrument', 'part'], rows\n\
        assert [r[2] for r in rows[1:]] == ['Hadley, \"junior\"', \"'=1+1\", 'Zo\\u00eb'], rows\n\
        rows[1][2] = 'Hadley; senior\\nor so'.replace('\\n', ' ')\n\
        out = io.StringIO(newline='')\n\
        csv.writer(out, delimiter=';').writerows(rows)\n\
        sys.stdout.buffer.write(out.getvalue().encode('utf-8'))\n";
    let mut python = match std::process::Command::new("python3")
        .args(["-c", program])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
    {
        Ok(python) => python,
        Err(error) => return eprintln!("skipped: no python3 ({error})"),
    };
    std::io::Write::write_all(&mut python.stdin.take().unwrap(), exported.as_bytes()).unwrap();
    let done = python.wait_with_output().unwrap();
    assert!(done.status.success());
    let csv = String::from_utf8(done.stdout).unwrap();
    let preview = post(addr, "/conduct/roster/import", &cookie, &[("csv", &csv)]).await.text();
    assert!(preview.contains("3 lines can be imported") && preview.contains("1 new, 2 there"), "{preview}");
    assert!(preview.contains("Hadley; senior or so"), "{preview}");
}

fn windrow_roster(arguments: &[&str], data_dir: &std::path::Path) -> (bool, String) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    let done = command.arg("roster").args(arguments).arg("--data").arg(data_dir).output().unwrap();
    let said = [done.stdout, done.stderr].concat();
    (done.status.success(), String::from_utf8(said).unwrap())
}

#[tokio::test]
async fn the_program_imports_and_exports_as_the_page_does() {
    let server = TestServer::start().await;
    let data_dir = server.stop().await;
    let file = data_dir.join("forty.csv");
    std::fs::write(&file, forty_with_three_bad()).unwrap();
    let path = file.to_str().unwrap();
    let (is_fine, said) = windrow_roster(&["import", path, "--dry-run"], &data_dir);
    assert!(!is_fine && said.contains("line 12: the instrument") && said.contains("line 34:"), "{said}");
    assert!(said.contains("37 would be new, 0 brought up to date; nothing was changed."), "{said}");
    let (_, said) = windrow_roster(&["import", path], &data_dir);
    assert!(said.contains("37 new, 0 brought up to date."), "{said}");
    let (is_fine, exported) = windrow_roster(&["export"], &data_dir);
    assert!(is_fine && exported.lines().count() == 38, "{exported}");
    std::fs::write(&file, &exported).unwrap();
    let (is_fine, said) = windrow_roster(&["import", path], &data_dir);
    assert!(is_fine && said.contains("0 new, 37 brought up to date."), "{said}");
    assert_eq!(windrow_roster(&["export"], &data_dir).1, exported, "nothing has changed by that");
    std::fs::write(&file, "name\nWren\n").unwrap();
    let (is_fine, said) = windrow_roster(&["import", path], &data_dir);
    assert!(!is_fine && said.contains("line 1: the header must name"), "{said}");
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test]
async fn a_server_that_runs_notices_what_the_program_has_imported() {
    let server = TestServer::start().await;
    let file = server.data_dir().join("two.csv");
    std::fs::write(&file, "section,name,instrument\nLarkmoor Youth Winds,Wren,flute\nReeds,Piers,oboe\n")
        .unwrap();
    let (is_fine, said) = windrow_roster(&["import", file.to_str().unwrap()], server.data_dir());
    assert!(is_fine, "{said}");
    let mut conductor = Conductor::open(&server).await;
    conductor.see(|s| (s.expected == 1).then_some(())).await;
    person(&server, "Wren").await;
}
