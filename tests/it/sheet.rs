//! A plan's sheet, as the program writes it and as the conductor's page shows it; how it prints is `browser::sheet`'s.

use std::process::{Command, Output};
use windrow_tests::TestServer;
use windrow_tests::request::{Answer, get};

fn sheet(arguments: &[&str]) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    program.args(["plan", "sheet"]).args(arguments).output().unwrap()
}

#[test]
fn the_program_writes_a_page_that_needs_no_other() {
    let output = sheet(&["first-lesson", "--instrument", "bassoon", "--paper", "letter"]);
    assert!(output.status.success());
    let page = String::from_utf8(output.stdout).unwrap();
    assert!(page.starts_with("<!doctype html>"), "{}", &page[..80]);
    for words in ["<h1>First lesson</h1>", "Notes for <b>bassoon</b>", "size: Letter", "Practice, week 2"] {
        assert!(page.contains(words), "{words}");
    }
    // Nothing is loaded: type and style are within.
    for sign in ["http:", "https:", "<script", "<link", "url(\"fonts"] {
        assert!(!page.contains(sign), "{sign}");
    }
}

#[test]
fn what_cannot_be_made_is_refused_with_what_to_do() {
    for (arguments, words) in [
        (&["first-lesson", "--instrument", "kazoo"][..], "alto-sax"),
        (&["first-lesson", "--paper", "a3"][..], "a4 or letter"),
        (&["no-such-plan"][..], "windrow plan list"),
    ] {
        let output = sheet(arguments);
        assert!(!output.status.success(), "{arguments:?}");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.contains(words), "{said}");
    }
}

async fn shown(server: &TestServer, path: &str) -> (u16, String) {
    let cookie = server.conductor_cookie();
    let Answer { status, body, .. } = get(server.running().http_addr, path, &[("Cookie", &cookie)]).await;
    (status, String::from_utf8(body).unwrap())
}

#[tokio::test]
async fn the_conductor_chooses_instrument_and_paper() {
    let server = TestServer::start().await;
    let (status, page) =
        shown(&server, "/conduct/plans/hairpins/sheet?instrument=alto-sax&paper=letter").await;
    assert_eq!(status, 200);
    for words in [
        "Notes for <b>alto sax</b>",
        "/sheet-letter.css\"",
        "<option value=\"alto-sax\" selected>",
        "<option value=\"letter\" selected>",
    ] {
        assert!(page.contains(words), "{words}");
    }
    // What is not chosen, or not known, is concert pitch on A4.
    for query in ["", "?instrument=kazoo&paper=a3"] {
        let (status, page) = shown(&server, &format!("/conduct/plans/hairpins/sheet{query}")).await;
        assert_eq!(status, 200, "{query}");
        assert!(page.contains("Notes for <b>concert pitch</b>"), "{query}");
        assert!(page.contains("/sheet-a4.css\""), "{query}");
    }
    let (status, page) = shown(&server, "/conduct/plans/no-such-plan/sheet").await;
    assert_eq!(status, 404);
    assert!(page.contains("No such plan"), "{page}");
    server.stop().await;
}
