//! The program on plans: which there are, what stands in one, what is said of a file, a plan of written music; and the schema that
//! everybody may have.

use std::path::PathBuf;
use std::process::{Command, Output};
use windrow_tests::TestServer;
use windrow_tests::request::{get, post};
use windrow_tests::wasm_sources::project;

/// A directory of the test's own, gone with it.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("windrow-plan-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn file(&self, name: &str, text: &str) -> String {
        let path = self.0.join(name);
        std::fs::write(&path, text).unwrap();
        path.display().to_string()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn plan(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrow_under_test")).arg("plan").args(arguments).output().unwrap()
}

/// What a command prints that ends well.
fn said(arguments: &[&str]) -> String {
    let output = plan(arguments);
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn built_in(name: &str) -> String {
    std::fs::read_to_string(project().join(format!("server/plans/{name}.json"))).unwrap()
}

#[test]
fn the_list_names_every_plan_with_what_it_takes() {
    let list = said(&["list"]);
    for name in ["first-lesson", "first-fortnight", "daily-ten-minutes", "matching-a-section"] {
        assert!(list.contains(&format!("{name}: ")), "{list}");
    }
    assert!(list.contains("takes two weeks, ten minutes a day"), "{list}");
    // 7:05 by its bars and rests.
    assert!(list.contains("9 exercises, 7 minutes when played once"), "{list}");
}

#[test]
fn a_plan_is_shown_to_read() {
    let page = said(&["show", "first-fortnight"]);
    for words in [
        "First fortnight (first-fortnight)",
        "Days 10 to 12",
        "triplets at 60, 63, 66, 69, 72, 76 and 80, 3 bars on each",
        // 60 / 60 x 3 and 80 / 60 x 3.
        "3 to 4 pulses a second",
        "Goal: ",
        "Care: These are breathing drills",
        "Rest: 25 s",
    ] {
        // Lines are broken between words.
        let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(page.contains(words), "\"{words}\" is not in {page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");
    let missing = plan(&["show", "no-such-plan"]);
    assert_eq!(missing.status.code(), Some(1));
    let error = String::from_utf8_lossy(&missing.stderr).into_owned();
    assert!(
        error.contains("there is no plan \"no-such-plan\"") && error.contains("windrow plan list"),
        "{error}"
    );
}

#[test]
fn a_good_file_is_called_good_and_a_bad_one_refused_with_the_place() {
    let folder = Folder::new("check");
    let good = built_in("daily-ten-minutes");
    let file = folder.file("good.json", &good);
    assert_eq!(said(&["check", &file]), format!("{file} is a good plan: 8 exercises, 10 minutes\n"));
    assert!(said(&["show", &file]).starts_with("Daily ten minutes (daily-ten-minutes)\n"));

    let bad = good
        .replace("\"from_bpm\": 60", "\"from_bpm\": 400")
        .replace("\"rest_s\": 15", "\"rest_s\": \"a bit\"");
    let file = folder.file("bad.json", &bad);
    let output = plan(&["check", &file]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        String::from_utf8(output.stdout).unwrap(),
        format!(
            "{file} cannot be played as it is:\n  exercise 1, \"Steady tone\", rest_s: must be a whole number, 0 or \
             more, but is the text \"a bit\"\n  exercise 3, \"Ladder of triplets\", play.ladder.from_bpm: tempo (bpm) \
             must be from 20 to 300, but is 400\n  exercise 7, \"Free\", rest_s: must be a whole number, 0 or more, but \
             is the text \"a bit\"\n"
        )
    );
    // Not doubtful enough to be refused: sixteenths at 120 are 8 pulses a second.
    let fast = folder.file("fast.json", &good.replace("\"bpm\": 72, \"values\"", "\"bpm\": 120, \"values\""));
    let said = said(&["check", &fast]);
    assert!(
        said.contains("to think about: exercise 4, \"Sixteenths at 72\": asks for 8 pulses a second"),
        "{said}"
    );
    let output = plan(&["check", &folder.0.join("nothing.json").display().to_string()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("cannot read"), "{output:?}");
}

#[test]
fn written_music_becomes_a_plan() {
    let folder = Folder::new("import");
    let music = project().join("tests/reference/musicxml/unused.musicxml").display().to_string();
    let out = folder.0.join("line.json").display().to_string();
    let output = plan(&["import", &music, "--out", &out]);
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{told}");
    assert!(told.contains("not as in the file: the other parts: Oboe"), "{told}");
    assert!(told.contains("not as in the file: grace notes: 1 (bar 2)"), "{told}");
    assert!(said(&["check", &out]).contains("is a good plan: 1 exercise"));
    let page = said(&["show", &out]);
    assert!(page.contains("B♭4 for 2 beats") && page.contains("a line of 5 notes, 11 beats at 80"), "{page}");
    // The other part, to standard output.
    let oboe = said(&["import", &music, "--part", "Oboe"]);
    assert!(oboe.contains("\"note\": \"C4\""), "{oboe}");
    let zipped = project().join("tests/reference/musicxml/long-notes.mxl").display().to_string();
    assert!(said(&["import", &zipped]).contains("\"title\": \"Long notes\""));
    let broken = folder.0.join("broken.mxl");
    std::fs::write(&broken, b"PK\x03\x04\xff\xff").unwrap();
    let output = plan(&["import", &broken.display().to_string()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("the compressed file is broken"), "{output:?}");
}

#[tokio::test]
async fn plans_kept_on_a_server_are_listed_and_shown_beside_it() {
    let server = TestServer::start().await;
    let text = built_in("hairpins").replace("\"hairpins\"", "\"our-hairpins\"");
    let form = [("text", text.as_str()), ("file_name", "ours.json")];
    let cookie = server.conductor_cookie();
    let answer = post(server.running().http_addr, "/conduct/plans/import", &cookie, &form).await;
    assert_eq!(answer.status, 303, "{}", answer.text());
    let dir = server.data_dir().display().to_string();
    // While the server runs, as a teacher would.
    let list = said(&["list", "--data", &dir]);
    assert!(list.contains("our-hairpins: Hairpins\n") && list.contains("first-lesson: "), "{list}");
    assert!(said(&["show", "our-hairpins", "--data", &dir]).starts_with("Hairpins (our-hairpins)\n"));
    assert!(!said(&["list"]).contains("our-hairpins"));
    let folder = Folder::new("no-records");
    let output = plan(&["list", "--data", &folder.0.display().to_string()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("there are no records in"), "{output:?}");
    server.stop().await;
}

#[tokio::test]
async fn the_schema_is_printed_and_served() {
    let printed = said(&["schema"]);
    let schema: serde_json::Value = serde_json::from_str(&printed).unwrap();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    let server = TestServer::start().await;
    let answer = get(server.running().http_addr, "/plan-schema.json", &[]).await;
    assert_eq!((answer.status, answer.header("content-type")), (200, "application/schema+json"));
    assert_eq!(answer.text(), printed);
    server.stop().await;
}
