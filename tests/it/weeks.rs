//! A player's page over weeks: what the player's own devices and the conductor read, with weeks of records written straight into
//! the database, and what nobody else gets to see.

use sqlx::sqlite::{SqliteConnectOptions, SqlitePool, SqlitePoolOptions};
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::Hello;
use windrow_tests::request::{Answer, get, post, send};
use windrow_tests::{Player, TestServer, hello};

const WEEK_MS: i64 = 7 * 86_400_000;

/// What stands in a session's stretches.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Week {
    /// Weeks ago.
    pub(crate) ago: i64,
    /// "rehearsal" or "practice".
    pub(crate) kind: &'static str,
    pub(crate) invented: bool,
    /// Triplets at this tempo for eight bars, and whether they were held; each in a run of its own.
    pub(crate) triplets: &'static [(f64, bool)],
}

impl Week {
    pub(crate) const fn rehearsal(ago: i64, triplets: &'static [(f64, bool)]) -> Self {
        Self { ago, kind: "rehearsal", invented: false, triplets }
    }

    pub(crate) const fn at_home(ago: i64, triplets: &'static [(f64, bool)]) -> Self {
        Self { kind: "practice", ..Self::rehearsal(ago, triplets) }
    }
}

/// Whose records.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Of<'a> {
    Person(&'a str),
    /// A nickname's device, by its token.
    Token(&'a str),
}

pub(crate) async fn records(server: &TestServer) -> SqlitePool {
    let file = server.data_dir().join("windrow.sqlite3");
    let options = SqliteConnectOptions::new().filename(file).busy_timeout(Duration::from_secs(5));
    SqlitePoolOptions::new().max_connections(1).connect_with(options).await.unwrap()
}

/// Writes weeks of somebody.
pub(crate) async fn write(server: &TestServer, of: Of<'_>, name: &str, weeks: &[Week]) {
    let pool = records(server).await;
    let now_ms = SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_millis() as i64;
    let (person, token) = match of {
        Of::Person(person) => (Some(person), None),
        Of::Token(token) => (None, Some(windrow::store::token_sha256(token))),
    };
    for (idx, week) in weeks.iter().enumerate() {
        let (session, player) = (format!("session-{name}-{idx}"), format!("player-{name}-{idx}"));
        sqlx::query(
            "insert into sessions (session_id, code, section_name, a4_hz, time_nought_unix_ms, kind, invented)
             values (?, '', 'Larkmoor Youth Winds', 440, ?, ?, ?)",
        )
        .bind(&session)
        .bind(now_ms - week.ago * WEEK_MS)
        .bind(week.kind)
        .bind(week.invented)
        .execute(&pool)
        .await
        .unwrap();
        sqlx::query(
            "insert into players (player_id, session_id, chair, name, instrument, calibrated, person_id, token_sha256)
             values (?, ?, 1, ?, 'flute', 0, ?, ?)",
        )
        .bind(&player)
        .bind(&session)
        .bind(name)
        .bind(person)
        .bind(&token)
        .execute(&pool)
        .await
        .unwrap();
        for (number, (bpm, held)) in (1..).zip(week.triplets) {
            sqlx::query(
                "insert into runs (session_id, number, began_us, ended_us, is_over, exercise, name, spans, section, glance,
                                   score, n_judged, n_matched)
                 values (?, ?, 0, 1, 1, 1, '', '', '', '', '', 1, 1)",
            )
            .bind(&session)
            .bind(number)
            .execute(&pool)
            .await
            .unwrap();
            sqlx::query(
                "insert into stretches (player_id, number, part_idx, session_id, began_us, target, per_beat, bpm, loosely,
                                        bars, asked_s, judged_s, held, state, trusted, matched, n_pulses, pulse_rate_hz,
                                        timing_spread_ms, depth_db_pp, swing_cents_pp, centre_cents, evenness_cv)
                 values (?1, ?2, 0, ?3, 0, 'pulses', 3, ?4, 0, 8, 30, 24, ?5, ?6, 0.9, ?7, 80, ?4 / 20, 31, 6, 12, 4, 0.1)",
            )
            .bind(&player)
            .bind(number)
            .bind(&session)
            .bind(bpm)
            .bind(held)
            .bind(if *held { "matched" } else { "slow" })
            .bind(if *held { 0.9 } else { 0.4 })
            .execute(&pool)
            .await
            .unwrap();
        }
    }
    pool.close().await;
}

/// Puts somebody into the list and gives their id.
pub(crate) async fn add(server: &TestServer, name: &str) -> String {
    let form = [("do", "add"), ("name", name), ("instrument", "flute")];
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    assert_eq!(post(addr, "/conduct/roster", &cookie, &form).await.status, 303);
    let names = get(addr, &format!("/join/{}/names.json", server.code()), &[]).await;
    let names: Vec<serde_json::Value> = serde_json::from_slice(&names.body).unwrap();
    let found = names.iter().find(|n| n["name"] == name).unwrap();
    found["person_id"].as_str().unwrap().to_owned()
}

fn tapped(server: &TestServer, person: &str) -> Hello {
    Hello { person: Some(person.to_owned()), ..hello(server.code(), "tapped", Instrument::Flute) }
}

async fn part(server: &TestServer, query: &str, token: &str) -> Answer {
    let path = format!("/mine/weeks/part{query}");
    send(server.running().http_addr, "POST", &path, &[("x-windrow-device", token)], "").await
}

async fn conductors(server: &TestServer, person: &str, query: &str) -> Answer {
    let (cookie, path) = (server.conductor_cookie(), format!("/conduct/weeks/{person}{query}"));
    get(server.running().http_addr, &path, &[("Cookie", &cookie)]).await
}

#[track_caller]
fn reads(answer: &Answer, texts: &[&str]) {
    assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"));
    let page = answer.text();
    for text in texts {
        assert!(page.contains(text), "no \"{text}\" in {page}");
    }
}

const HELD_TWICE: [Week; 3] = [
    Week::rehearsal(4, &[(60.0, true)]),
    Week::rehearsal(1, &[(63.0, true)]),
    Week::rehearsal(0, &[(63.0, true)]),
];

#[tokio::test]
async fn a_player_reads_what_was_reached_and_what_comes_next() {
    let server = TestServer::start().await;
    let person = add(&server, "Wren").await;
    let wren = Player::join_as(&server, tapped(&server, &person)).await;
    write(&server, Of::Person(&person), "Wren", &HELD_TWICE).await;
    let other = add(&server, "Hadley").await;
    write(&server, Of::Person(&other), "Hadley", &[Week::rehearsal(0, &[(72.0, true)])]).await;
    let token = &wren.welcome.token;
    let mine = part(&server, "", token).await;
    let said = [
        "<h1>Wren, flute 1</h1>",
        "Next: triplets at 66",
        "Held in 2 weeks lately: 63.",
        "At home: triplets at 60, 10 breaths, then a rest.",
        "triplets at 63 held. Before that it was 60.",
        ">63, since ",
        ">not in<",
        "last: ±31 ms",
    ];
    reads(&mine, &said);
    let page = mine.text();
    assert!(!page.contains("Hadley") && !page.contains(">72<"), "nobody else is on it");
    assert!(!page.contains(" style=") && !page.contains("<script"), "the policy would refuse it");
    // Eight bars are half a minute; the newest week stands first.
    let rows: Vec<&str> = page.split("<tr><th scope=\"row\">").skip(1).collect();
    assert_eq!(rows.len(), 3);
    assert!(rows[0].contains("<td>63</td>") && rows[2].contains("<td>60</td>"), "{rows:?}");
    for strange in ["", "nobody's"] {
        assert_eq!(part(&server, "", strange).await.status, 404);
    }
    let elsewhere = [("x-windrow-device", token.as_str()), ("Origin", "https://elsewhere.example")];
    let refused = send(server.running().http_addr, "POST", "/mine/weeks/part", &elsewhere, "").await;
    assert_eq!(refused.status, 404, "another page's request");
}

#[tokio::test]
async fn a_device_that_is_not_confirmed_sees_only_its_own() {
    let server = TestServer::start().await;
    let person = add(&server, "Wren").await;
    let wren = Player::join_as(&server, tapped(&server, &person)).await;
    write(&server, Of::Person(&person), "Wren", &HELD_TWICE).await;
    drop(wren);
    let mut conductor = windrow_tests::Conductor::open(&server).await;
    conductor.see(|s| (s.section.n_players == 0).then_some(())).await;
    let prankster = Player::join_as(&server, tapped(&server, &person)).await;
    let mine = part(&server, "", &prankster.welcome.token).await;
    reads(
        &mine,
        &["This device is new for this name", "Nothing has been played yet.", "Next: the first rehearsal"],
    );
    assert!(!mine.text().contains("triplets"));
}

#[tokio::test]
async fn a_nicknames_device_has_its_weeks_as_well() {
    let server = TestServer::start().await;
    let nick = Player::join(&server, "Nick", Instrument::Flute).await;
    write(&server, Of::Token(&nick.welcome.token), "Nick", &[Week::rehearsal(0, &[(60.0, false)])]).await;
    let mine = part(&server, "", &nick.welcome.token).await;
    reads(
        &mine,
        &[
            "Nick, flute",
            "Next: triplets at 60",
            "Tried and not held yet: that is how it begins. What helps: a little sooner.",
            "At home: triplets at 58, then 60",
            "60 tried, not held yet",
            "It takes four weeks",
        ],
    );
    assert!(!mine.text().contains("This device is new"));
}

#[tokio::test]
async fn the_conductor_reads_the_same_of_everybody_and_practice_stands_apart() {
    let server = TestServer::start().await;
    let person = add(&server, "Wren").await;
    let weeks = [
        Week::rehearsal(2, &[(63.0, true), (66.0, false)]),
        Week::at_home(1, &[(72.0, true)]),
        Week::rehearsal(0, &[(63.0, true)]),
    ];
    write(&server, Of::Person(&person), "Wren", &weeks).await;
    let page = conductors(&server, &person, "").await;
    reads(
        &page,
        &["Wren, flute 1", "Next: triplets at 66", "More than 63 was held at home already.", ">63, since "],
    );
    let text = page.text();
    let rows: Vec<&str> = text.split("<tr><th scope=\"row\">").skip(1).collect();
    assert_eq!(rows.len(), 3);
    assert!(rows[1].contains(">at home<") && rows[1].contains("<td>72</td>"), "{}", rows[1]);
    assert!(!rows[0].contains(">72<") && !rows[2].contains(">72<"));
    assert_eq!(conductors(&server, "nobody", "").await.status, 404);
    // Nothing played is a page that says what will be here.
    let new = add(&server, "Imogen").await;
    reads(
        &conductors(&server, &new, "").await,
        &["Nothing has been played yet.", "After the first rehearsal"],
    );
    let cookie = server.conductor_cookie();
    let roster = get(server.running().http_addr, "/conduct/roster", &[("Cookie", &cookie)]).await;
    assert!(roster.text().contains(&format!("href=\"/conduct/weeks/{person}\"")));
}

#[tokio::test]
async fn what_was_made_up_says_so() {
    let server = TestServer::start().await;
    let person = add(&server, "Wren").await;
    let made_up = HELD_TWICE.map(|week| Week { invented: true, ..week });
    write(&server, Of::Person(&person), "Wren", &made_up).await;
    reads(&conductors(&server, &person, "").await, &["Invented players: nobody played this."]);
}

#[tokio::test]
async fn a_long_history_is_shown_a_term_at_a_time_and_whole_where_asked() {
    let server = TestServer::start().await;
    let person = add(&server, "Wren").await;
    let weeks: Vec<Week> = (0..60).map(|ago| Week::rehearsal(ago, &[(63.0, true)])).collect();
    write(&server, Of::Person(&person), "Wren", &weeks).await;
    let n_rows = async |query: &str| {
        let page = conductors(&server, &person, query).await;
        assert_eq!(page.status, 200);
        page.text().matches("<tr><th scope=\"row\">").count()
    };
    assert_eq!((n_rows("").await, n_rows("?span=52").await, n_rows("?span=all").await), (12, 52, 60));
    // What is not understood changes nothing.
    assert_eq!(n_rows("?span=-7&pulses=900&instrument=%3Cb%3E").await, 12);
}
