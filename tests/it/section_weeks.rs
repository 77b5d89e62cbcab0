//! The section over weeks as a conductor reads it, with weeks of records written straight into the database.

use crate::weeks::{Of, Week, add, records, write};
use windrow_tests::TestServer;
use windrow_tests::request::{Answer, get, post};

const HELD_60: &[(f64, bool)] = &[(60.0, true)];
const TRIED_63: &[(f64, bool)] = &[(63.0, false)];

async fn page(server: &TestServer, query: &str) -> String {
    let (cookie, path) = (server.conductor_cookie(), format!("/conduct/weeks{query}"));
    let answer = get(server.running().http_addr, &path, &[("Cookie", &cookie)]).await;
    assert_eq!(answer.status, 200);
    answer.text()
}

#[track_caller]
fn reads(page: &str, texts: &[&str]) {
    for text in texts {
        assert!(page.contains(text), "no \"{text}\" in {page}");
    }
}

async fn three(server: &TestServer) -> String {
    let wren = add(server, "Wren").await;
    let weeks = [Week::rehearsal(6, HELD_60), Week::rehearsal(1, &[(63.0, true)])];
    write(server, Of::Person(&wren), "Wren", &weeks).await;
    let teal = add(server, "Teal").await;
    let tried = [3, 2, 1].map(|ago| Week::rehearsal(ago, TRIED_63));
    let weeks = [&[Week::rehearsal(6, HELD_60)][..], &tried].concat();
    write(server, Of::Person(&teal), "Teal", &weeks).await;
    let lark = add(server, "Lark").await;
    let weeks = [Week::rehearsal(6, HELD_60), Week::rehearsal(3, HELD_60)];
    write(server, Of::Person(&lark), "Lark", &weeks).await;
    wren
}

#[tokio::test]
async fn the_conductor_reads_who_moved_who_is_stuck_who_was_away_and_what_to_plan() {
    let server = TestServer::start().await;
    let wren = three(&server).await;
    let page = page(&server, "").await;
    reads(
        &page,
        &[
            "6 weeks, 4 with a rehearsal",
            // Two of three hold no more than 60, and one of three is stuck above it.
            "Plan next: triplets at 60",
            "Stay here for now: half of the section holds it, 1 of 3 are stuck above.",
            "Wren: from triplets at 60 to 63",
            "Teal: triplets at 63, tried in 3 weeks; a little sooner",
            "Lark: the last 2 weeks with a rehearsal",
            &format!("href=\"/conduct/weeks/{wren}\""),
            "triplets at 63, 3 weeks: slow",
        ],
    );
    assert_eq!(page.matches("aria-labelledby=\"player-").count(), 3, "a stair a player");
}

#[tokio::test]
async fn how_together_the_section_was_is_shown_week_by_week() {
    let server = TestServer::start().await;
    three(&server).await;
    let pool = records(&server).await;
    // A minute each; 0.84 and 70 % everywhere.
    let figures = "update runs set ended_us = 60000000, together = 0.84, matched = 0.7, spread_ms = 21";
    sqlx::query(figures).execute(&pool).await.unwrap();
    pool.close().await;
    let page = page(&server, "").await;
    reads(&page, &["now 0.84", "now 70 %", "<td>0.84</td><td>21</td><td>70</td>"]);
}

#[tokio::test]
async fn practice_at_home_stands_apart_and_decides_nothing() {
    let server = TestServer::start().await;
    let wren = add(&server, "Wren").await;
    let weeks = [Week::rehearsal(1, HELD_60), Week::at_home(1, &[(72.0, true)])];
    write(&server, Of::Person(&wren), "Wren", &weeks).await;
    let page = page(&server, "").await;
    reads(&page, &["Plan next: triplets at 63", "1 of 1 hold 60: the next mark.", "<td>triplets at 72</td>"]);
    // One rehearsal's run, one player in it; one player at home.
    reads(&page, &["<td>1</td><td>1</td><td>\u{2013}</td><td>\u{2013}</td><td>\u{2013}</td><td>1</td>"]);
}

#[tokio::test]
async fn invented_weeks_say_so() {
    let server = TestServer::start().await;
    let wren = add(&server, "Wren").await;
    write(&server, Of::Person(&wren), "Wren", &[Week { invented: true, ..Week::rehearsal(1, HELD_60) }])
        .await;
    reads(&page(&server, "").await, &["Invented players: nobody played this."]);
}

#[tokio::test]
async fn before_the_first_rehearsal_the_page_says_what_will_be_here_and_offers_the_first_lesson() {
    let server = TestServer::start().await;
    let page = page(&server, "?span=rubbish").await;
    reads(&page, &["After the first rehearsal", "name=\"name\" value=\"first-lesson\""]);
    assert!(!page.contains("<table"), "{page}");
}

async fn make(server: &TestServer, pulses: &str, bpm: &str) -> Answer {
    let form = [("pulses", pulses), ("bpm", bpm)];
    post(server.running().http_addr, "/conduct/weeks/plan", &server.conductor_cookie(), &form).await
}

#[tokio::test]
async fn a_plan_for_the_next_rung_is_made_opened_and_offered_from_then_on() {
    let server = TestServer::start().await;
    let wren = add(&server, "Wren").await;
    // No plan that comes with the program has triplets at 104.
    write(&server, Of::Person(&wren), "Wren", &[Week::rehearsal(1, &[(100.0, true)])]).await;
    reads(&page(&server, "").await, &["Plan next: triplets at 104", "None of the plans has it yet."]);
    let made = make(&server, "3", "104").await;
    assert_eq!((made.status, made.header("location")), (303, "/conduct/plans/triplets-at-104/edit"));
    reads(
        &page(&server, "").await,
        &["name=\"name\" value=\"triplets-at-104\"", "In “Next: triplets at 104”"],
    );
    for (pulses, bpm) in [("0", "66"), ("3", "5"), ("three", "66")] {
        assert_eq!(make(&server, pulses, bpm).await.status, 422, "{pulses} {bpm}");
    }
}
