//! Names and texts that are markup, formulas or tricks of a terminal, everywhere where somebody may write one: they are shown as
//! they were typed, on every page and in every file, and do nothing there. `browser::injected` looks at the same pages as a
//! browser builds them.

use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::process::Command;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Hello};
use windrow_protocol::units::Name;
use windrow_tests::request::{Answer, get, post, put, send};
use windrow_tests::session_file::EXAMPLE;
use windrow_tests::{Conductor, Player, TestServer, batch, hello};

/// What an element that came out of a name would be; no page of ours has one.
pub(crate) const INJECTED: &str = "<i class=inj>";

/// Names of people, at most 40 signs: out of text, attributes, scripts, comments, styles, SVG, JSON in a page.
pub(crate) const NAMES: [&str; 8] = [
    "<i class=inj>Wren</i>",
    "\"><i class=inj>",
    "'><i class=inj>",
    "</script><i class=inj>",
    "</title></textarea><i class=inj>",
    "--><i class=inj>]]>",
    "<svg onload=alert(1)><i class=inj>",
    "{{7*7}}${7*7}<i class=inj>&lt;&#x22;",
];
/// What a spreadsheet would reckon with (OWASP, "CSV Injection", from memory).
const FORMULAS: [&str; 6] =
    ["=1+2", "+1+2", "-1+2", "@SUM(1)", "=HYPERLINK(\"//e.example\";\"x\")", "'=cmd|' /C calc'!A0"];
const SECTION: &str = "</title><i class=inj>";

fn plan(title: &str) -> Value {
    let text = format!("{title} \u{1b}[31m \u{202e}");
    json!({
        "format": "windrow-plan", "version": 1, "name": "injected", "title": title, "about": text, "takes": text,
        "beats_per_bar": 4,
        "exercises": [{
            "title": title, "part": title, "play": {"pulses": {"bpm": 60, "values": ["quarters"], "each": "bar", "times": 2}},
            "say": text, "goal": text, "cautions": [text, text], "rest_s": 5,
        }],
    })
}

/// The example of a rehearsal with such names in every text that is somebody's.
fn rehearsal() -> String {
    let mut document: Value = serde_json::from_str(EXAMPLE).unwrap();
    let session = &mut document["sessions"][0];
    session["section_name"] = SECTION.into();
    // The first two have played.
    let names = [&[NAMES[0], FORMULAS[0]], &NAMES[1..], &FORMULAS[1..]].concat();
    let player = session["players"][0].clone();
    for (i, name) in names.iter().enumerate().skip(2) {
        let mut another = player.clone();
        another["player_id"] = format!("0000-{i}").into();
        another["chair"] = (i + 1).into();
        session["players"].as_array_mut().unwrap().push(another);
        assert!(name.chars().count() <= 40, "{name}");
    }
    for (player, name) in session["players"].as_array_mut().unwrap().iter_mut().zip(&names) {
        player["name"] = (*name).into();
    }
    for run in session["runs"].as_array_mut().unwrap() {
        run["told"]["name"] = NAMES[3].into();
    }
    document.to_string()
}

/// A server in which everything that somebody may name is called such things, and its pages.
pub(crate) async fn filled() -> (TestServer, Vec<String>) {
    let server = TestServer::start_with(|config| config.sections = vec![Name::new(SECTION).unwrap()]).await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    for name in NAMES.into_iter().chain(FORMULAS) {
        let form = [("do", "add"), ("name", name), ("instrument", "flute")];
        assert_eq!(post(addr, "/conduct/roster", &cookie, &form).await.status, 303, "{name}");
    }
    let kept = put(addr, "/conduct/plans/injected.json", &cookie, &[], &plan(NAMES[3]).to_string()).await;
    assert_eq!(kept.status, 200, "{}", kept.text());
    for act in ["use", "copy"] {
        let form = [("do", act), ("name", "injected")];
        assert_eq!(post(addr, "/conduct/plans", &cookie, &form).await.status, 303);
    }
    let origin = server.url("");
    let headers =
        [("Origin", origin.as_str()), ("Cookie", cookie.as_str()), ("Content-Type", "application/json")];
    let taken = send(addr, "POST", "/conduct/rehearsals/import", &headers, &rehearsal()).await;
    assert_eq!(taken.status, 200, "{}", taken.text());
    // Somebody is in who is called so, and has played.
    let mut player = Player::join_as(&server, hello(server.code(), NAMES[1], Instrument::Oboe)).await;
    player.say(&batch(1, 3)).await;
    player.hear_ack(1).await;
    let mut conductor = Conductor::open(&server).await;
    conductor.command(ConductorSays::Start).await;
    conductor.see(|s| s.score.is_some().then_some(())).await;
    let people = get(addr, &format!("/join/{}/names.json", server.code()), &[]).await;
    let people: Vec<Value> = serde_json::from_slice(&people.body).unwrap();
    let person = people[0]["person_id"].as_str().unwrap();
    let tapped =
        Hello { person: Some(person.to_owned()), ..hello(server.code(), "tapped", Instrument::Flute) };
    Player::join_as(&server, tapped).await;
    let mut paths = BTreeSet::new();
    for (_, route) in windrow::route_names()
        .into_iter()
        .filter(|(method, path)| *method == "GET" && !path.contains("/heard"))
    {
        paths.insert(
            route
                .replace("{code}", server.code())
                .replace("{*path}", "base.css")
                .replace("{id}", "0000-example")
                .replace("{run}", "1")
                .replace("{person_id}", person)
                .replace(
                    "/plans/{name}",
                    if route.ends_with("{name}") { "/plans/injected.json" } else { "/plans/injected" },
                )
                .replace(['{', '}'], ""),
        );
    }
    (server, paths.into_iter().collect())
}

async fn fetch(server: &TestServer, path: &str) -> Answer {
    get(server.running().http_addr, path, &[("Cookie", &server.conductor_cookie())]).await
}

#[tokio::test]
async fn names_that_are_markup_are_text_on_every_page() {
    let (server, paths) = filled().await;
    let mut n_shown = 0;
    for path in &paths {
        let answer = fetch(&server, path).await;
        let kind = answer.header("content-type").to_owned();
        let text = answer.text();
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        let is_markup = ["text/html", "image/svg+xml"].iter().any(|markup| kind.starts_with(markup));
        assert!(
            is_markup || !kind.is_empty() || text.is_empty(),
            "{path} has no type, which a browser would guess"
        );
        if is_markup {
            assert!(!text.contains(INJECTED) && !text.contains("<svg onload"), "{path}: {text}");
            // Shown as they are, so that this can fail: somewhere in text, or in the data of a script.
            n_shown += usize::from(text.contains("class=inj"));
        } else if text.contains(INJECTED) {
            let is_data = ["application/json", "text/csv", "application/jsonl", "application/manifest+json"];
            assert!(is_data.iter().any(|data| kind.starts_with(data)), "{path}: {kind}");
        }
    }
    assert!(n_shown >= 12, "{n_shown} pages show such a name");
}

/// What a page shows of a name that was refused, of a file's name, of an address.
#[tokio::test]
async fn what_is_refused_is_shown_as_text_as_well() {
    let server = TestServer::start().await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let long = format!("{INJECTED}{}", "x".repeat(100));
    for (path, form) in [
        ("/conduct/roster", vec![("do", "add"), ("name", long.as_str()), ("instrument", INJECTED)]),
        ("/conduct/roster", vec![("do", "choose"), ("section", long.as_str())]),
        ("/conduct/roster", vec![("do", INJECTED)]),
        ("/conduct/roster/import", vec![("csv", "name,instrument\n<i class=inj>,<i class=inj>\n\"")]),
        ("/conduct/plans/import", vec![("text", INJECTED), ("file_name", "<i class=inj>.json")]),
        (
            "/conduct/plans/import",
            vec![
                ("text", "<score-partwise><i class=inj></i></score-partwise>"),
                ("file_name", "<i class=inj>.musicxml"),
            ],
        ),
        ("/conduct/plans", vec![("do", "use"), ("name", INJECTED)]),
        (
            "/conduct/plans/first-lesson/edit",
            vec![("text", "{\"title\": \"</textarea><i class=inj>\"}"), ("version", "0")],
        ),
        ("/conduct/rehearsals/import", vec![("text", "{\"<i class=inj>\": 1}")]),
        ("/sign-in", vec![("passphrase", INJECTED), ("to", INJECTED)]),
        ("/language", vec![("to", INJECTED)]),
    ] {
        let answer = post(addr, path, &cookie, &form).await;
        assert!(
            (300..500).contains(&answer.status) || path.ends_with("roster/import"),
            "{path}: {}",
            answer.status
        );
        assert!(!answer.text().contains(INJECTED), "{path}: {}", answer.text());
    }
    for path in [
        "/join/%3Ci%20class=inj%3E",
        "/sign-in?to=%22%3E%3Ci%20class=inj%3E",
        "/%3Ci%20class=inj%3E",
        "/conduct/plans/%3Ci%20class=inj%3E",
        "/welcome?code=%3Ci%20class=inj%3E&device=%3Ci%20class=inj%3E",
        "/conduct/weeks?from=%3Ci%20class=inj%3E",
        "/?code=%22%3E%3Ci%20class=inj%3E",
    ] {
        for accept in ["text/html", "application/json"] {
            let answer = get(addr, path, &[("Cookie", &cookie), ("Accept", accept)]).await;
            assert!(!answer.text().contains(INJECTED), "{path}: {}", answer.text());
        }
    }
}

/// The fields of a table (RFC 4180), quotes taken off.
fn fields(csv: &str) -> Vec<String> {
    let (mut fields, mut field, mut is_quoted) = (Vec::new(), String::new(), false);
    let mut signs = csv.trim_start_matches('\u{feff}').chars().peekable();
    while let Some(sign) = signs.next() {
        match sign {
            '"' if is_quoted && signs.peek() == Some(&'"') => field.extend(signs.next()),
            '"' => is_quoted = !is_quoted,
            ',' | '\r' | '\n' if !is_quoted => fields.push(std::mem::take(&mut field)),
            sign => field.push(sign),
        }
    }
    fields
}

#[tokio::test]
async fn no_name_is_a_formula_in_a_table() {
    let (server, _) = filled().await;
    for path in [
        "/conduct/roster.csv",
        "/conduct/rehearsals/0000-example/results.csv",
        "/conduct/rehearsals/0000-example/pulses.csv",
        "/conduct/rehearsals/all/results.csv",
    ] {
        let answer = fetch(&server, path).await;
        assert_eq!(answer.status, 200, "{path}");
        assert!(answer.header("content-disposition").starts_with("attachment"), "{path}");
        let fields = fields(&answer.text());
        let is_number = |field: &str| field.parse::<f64>().is_ok();
        let bad: Vec<_> = fields
            .iter()
            .filter(|f| f.starts_with(['=', '+', '-', '@', '\t', '\r']) && !is_number(f))
            .collect();
        assert!(bad.is_empty(), "{path}: {bad:?}");
        assert!(fields.iter().any(|field| field.contains("1+2")), "{path} has the names at all");
    }
}

/// Direction marks and codes for terminals: no name has one, and no text of a plan brings one to a terminal.
#[tokio::test]
async fn nothing_of_a_name_or_a_plan_moves_a_terminal_s_cursor() {
    let server = TestServer::start().await;
    let nasty = "W\u{1b}[2Jr\u{7}e\u{9b}n\u{202e}\r\n\u{0}";
    let name = serde_json::to_value(hello(server.code(), "Wren", Instrument::Oboe)).unwrap();
    let mut name = name;
    name["name"] = nasty.into();
    let player = Player::join_as(&server, serde_json::from_value(name).unwrap()).await;
    assert_eq!(player.welcome.name.as_str(), "W[2Jren");
    let file = server.data_dir().join("nasty.json");
    let mut plan = plan("Injected");
    for at in ["/title", "/about", "/exercises/0/title", "/exercises/0/say", "/exercises/0/cautions/0"] {
        *plan.pointer_mut(at).unwrap() = nasty.into();
    }
    plan["exercises"][0][nasty] = json!(nasty);
    std::fs::write(&file, plan.to_string()).unwrap();
    let program = env!("CARGO_BIN_EXE_windrow_under_test");
    for arguments in [
        vec!["plan", "check"],
        vec!["plan", "show"],
        vec!["demo", "--headless", "--plan"],
        vec!["records", "import"],
    ] {
        let file = file.to_str().unwrap();
        let said = Command::new(program)
            .args(&arguments)
            .arg(file)
            .env("WINDROW_DATA", server.data_dir().join("other"))
            .output()
            .unwrap();
        let said = [said.stdout, said.stderr].concat();
        let moves = |&b: &u8| b.is_ascii_control() && !b"\n\t".contains(&b);
        let text = String::from_utf8_lossy(&said).into_owned();
        assert!(!said.iter().any(moves) && !text.contains(['\u{9b}', '\u{202e}']), "{arguments:?}: {text:?}");
    }
}
