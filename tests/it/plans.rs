//! Plans as pages and scripts meet them: copied, brought in, refused with the places named, changed from two pages, used, and
//! still in the room after the server was started again.

use serde_json::{Value, json};
use windrow::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::ConductorSays;
use windrow_tests::request::{Answer, get, post, put};
use windrow_tests::{Conductor, Player, TestServer};

/// A plan of two exercises.
fn plan(name: &str) -> Value {
    json!({
        "format": "windrow-plan", "version": 1, "name": name, "title": "Wednesday", "takes": "one evening",
        "exercises": [
            {"title": "Begin straight", "play": {"straight": {"bpm": 60, "bars": 2}}},
            {"title": "Up the ladder", "goal": "Six marks.", "rest_s": 30,
             "play": {"ladder": {"from_bpm": 60, "to_bpm": 72, "value": "triplets", "bars_per_rung": 4}}}
        ]
    })
}

async fn form(server: &TestServer, path: &str, fields: &[(&str, &str)]) -> Answer {
    post(server.running().http_addr, path, &server.conductor_cookie(), fields).await
}

async fn ask(server: &TestServer, path: &str) -> Answer {
    let cookie = server.conductor_cookie();
    get(server.running().http_addr, path, &[("Cookie", &cookie)]).await
}

async fn put_plan(server: &TestServer, plan: &Value, headers: &[(&str, &str)]) -> Answer {
    let path = format!("/conduct/plans/{}.json", plan["name"].as_str().unwrap());
    put(server.running().http_addr, &path, &server.conductor_cookie(), headers, &plan.to_string()).await
}

fn json_of(answer: &Answer) -> Value {
    assert_eq!(answer.header("cache-control"), "no-store");
    serde_json::from_slice(&answer.body).unwrap_or_else(|e| panic!("{e}: {}", answer.text()))
}

/// Names of the plans that did not come with the program.
async fn own(server: &TestServer) -> Vec<String> {
    let all = json_of(&ask(server, "/conduct/plans.json").await);
    let own = all.as_array().unwrap().iter().filter(|plan| plan["is_built_in"] == false);
    own.map(|plan| plan["name"].as_str().unwrap().to_owned()).collect()
}

#[tokio::test]
async fn a_plan_that_came_with_the_program_is_copied_and_the_copy_is_one_s_own() {
    let server = TestServer::start().await;
    let all = json_of(&ask(&server, "/conduct/plans.json").await);
    assert!(all.as_array().unwrap().len() >= 7, "{all}");
    let first = ask(&server, "/conduct/plans/first-lesson.json").await;
    assert!(first.header("content-disposition").contains("filename=\"first-lesson.json\""));
    let refused = put_plan(&server, &json_of(&first), &[]).await;
    assert_eq!(refused.status, 422);
    assert!(refused.text().contains("copy it, then change the copy"), "{}", refused.text());
    let copied = form(&server, "/conduct/plans", &[("do", "copy"), ("name", "first-lesson")]).await;
    assert_eq!((copied.status, copied.header("location")), (303, "/conduct/plans/first-lesson-2/edit"));
    let page = ask(&server, "/conduct/plans/first-lesson-2/edit").await;
    assert_eq!(page.status, 200);
    assert!(page.text().contains("my copy"), "{}", page.text());
    assert_eq!(own(&server).await, ["first-lesson-2"]);
    let away = form(&server, "/conduct/plans/delete", &[("name", "first-lesson-2")]).await;
    assert!(away.status == 200 && away.text().contains("It cannot be brought back"), "{}", away.text());
    assert_eq!(own(&server).await.len(), 1, "only asked yet");
    let sure = [("name", "first-lesson-2"), ("sure", "yes")];
    assert_eq!(form(&server, "/conduct/plans/delete", &sure).await.status, 303);
    assert!(own(&server).await.is_empty());
    let built_in = form(&server, "/conduct/plans/delete", &[("name", "first-lesson"), ("sure", "yes")]).await;
    assert_eq!(built_in.status, 422, "what came with the program stays");
}

#[tokio::test]
async fn a_bad_file_is_refused_with_every_place_and_what_was_typed_stays() {
    let server = TestServer::start().await;
    let mut bad = plan("wednesday");
    bad["exercises"][1]["play"]["ladder"]["to_bpm"] = json!(50);
    bad["exercises"][0]["play"]["straight"]["bpm"] = json!(400);
    let text = bad.to_string();
    let fields = [("text", text.as_str()), ("file_name", "wednesday.json")];
    let refused = form(&server, "/conduct/plans/import", &fields).await;
    assert_eq!(refused.status, 422);
    let page = refused.text();
    for words in ["wednesday.json", "Begin straight", "Up the ladder", "to_bpm", "nothing was changed"] {
        assert!(page.contains(words), "{words} is missing in {page}");
    }
    assert!(page.contains("windrow-plan"), "what was typed stands there still");
    assert!(own(&server).await.is_empty());
    let told = put_plan(&server, &bad, &[]).await;
    assert_eq!(told.status, 422);
    let told = json_of(&told);
    let places: Vec<_> = told["complaints"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| (c["exercise"].as_u64().unwrap(), c["field"].as_str().unwrap()))
        .collect();
    assert_eq!(places, [(0, "play.straight.bpm"), (1, "play.ladder.to_bpm")], "{told}");
    let good = plan("wednesday").to_string();
    assert_eq!(form(&server, "/conduct/plans/import", &[("text", &good)]).await.status, 303);
    assert_eq!(form(&server, "/conduct/plans/import", &[("text", &good)]).await.status, 303);
    assert_eq!(own(&server).await, ["wednesday", "wednesday-2"], "the second does not write over the first");
}

#[tokio::test]
async fn of_two_pages_that_edit_one_plan_the_later_one_is_told() {
    let server = TestServer::start().await;
    let none = put_plan(&server, &plan("wednesday"), &[("If-Match", "*")]).await;
    assert_eq!(none.status, 412, "there is none to change");
    let new = put_plan(&server, &plan("wednesday"), &[("If-None-Match", "*")]).await;
    assert_eq!((new.status, new.header("etag")), (200, "\"1\""));
    let again = put_plan(&server, &plan("wednesday"), &[("If-None-Match", "*")]).await;
    assert_eq!(again.status, 412, "there is one already");
    let tag = ask(&server, "/conduct/plans/wednesday.json").await.header("etag").to_owned();
    let mut one = plan("wednesday");
    one["title"] = json!("One page's");
    assert_eq!(put_plan(&server, &one, &[("If-Match", &tag)]).await.status, 200);
    let mut other = plan("wednesday");
    other["title"] = json!("The other page's");
    let told = put_plan(&server, &other, &[("If-Match", &tag)]).await;
    assert_eq!(told.status, 412);
    assert!(told.text().contains("changed from another page"), "{}", told.text());
    let kept = json_of(&ask(&server, "/conduct/plans/wednesday.json").await);
    assert_eq!(kept["title"], "One page's");
    let text = other.to_string();
    let by_form = form(&server, "/conduct/plans/wednesday/edit", &[("text", &text), ("version", "1")]).await;
    assert_eq!(by_form.status, 422);
    assert!(
        by_form.text().contains("The other page&#x27;s") || by_form.text().contains("The other page&#39;s")
    );
    let by_form = form(&server, "/conduct/plans/wednesday/edit", &[("text", &text), ("version", "2")]).await;
    assert_eq!((by_form.status, by_form.header("location")), (303, "/conduct/plans"));
    let stranger = windrow_tests::request::send(
        server.running().http_addr,
        "PUT",
        "/conduct/plans/wednesday.json",
        &[("Cookie", &server.conductor_cookie()), ("Origin", "https://elsewhere.example")],
        &plan("wednesday").to_string(),
    )
    .await;
    assert_eq!(stranger.status, 403);
}

#[tokio::test]
async fn a_plan_that_is_used_is_in_the_room_and_still_there_after_a_restart() {
    let server = TestServer::start().await;
    assert_eq!(put_plan(&server, &plan("wednesday"), &[]).await.status, 200);
    let used = form(&server, "/conduct/plans", &[("do", "use"), ("name", "wednesday")]).await;
    assert_eq!((used.status, used.header("location")), (303, "/conduct"));
    let mut conductor = Conductor::open(&server).await;
    let names = conductor
        .see(|s| {
            (s.exercise.plan == "Wednesday").then(|| (s.exercise.names.clone(), s.exercise.brief.clone()))
        })
        .await;
    assert_eq!(
        (names.0, english(&names.1.name).as_str()),
        (vec!["Begin straight".into(), "Up the ladder".into()], "Begin straight")
    );
    let _player = Player::join(&server, "Imogen", Instrument::Flute).await;
    conductor.command(ConductorSays::Start).await;
    conductor.see(|s| s.score.is_some().then_some(())).await;
    let busy = form(&server, "/conduct/plans", &[("do", "use"), ("name", "first-lesson")]).await;
    assert_eq!(busy.status, 422);
    assert!(busy.text().contains("The music is playing: stop it first"), "{}", busy.text());
    let page = ask(&server, "/conduct/plans").await.text();
    assert!(page.contains("in the room"), "{page}");
    let mut changed = plan("wednesday");
    changed["title"] = json!("Thursday");
    assert_eq!(put_plan(&server, &changed, &[]).await.status, 200);
    let page = ask(&server, "/conduct/plans").await.text();
    assert!(page.contains("in the room as it was before it was changed here"), "{page}");
    // Whatever becomes of the plan on the shelf, the rehearsal has what was taken.
    let sure = [("name", "wednesday"), ("sure", "yes")];
    assert_eq!(form(&server, "/conduct/plans/delete", &sure).await.status, 303);
    let server = TestServer::start_in(server.stop().await).await;
    let mut conductor = Conductor::open(&server).await;
    let now = conductor.see(|s| (s.exercise.plan == "Wednesday").then(|| s.exercise.clone())).await;
    assert_eq!(
        (now.number, now.of, now.next.as_ref().map(english).as_deref()),
        (1, 2, Some("Up the ladder"))
    );
}

#[tokio::test]
async fn a_line_of_music_becomes_a_plan_and_what_is_left_out_is_named() {
    let server = TestServer::start().await;
    // Written by music21; `tests/reference/make_music.py` says what it holds.
    let text = include_str!("../reference/musicxml/unused.musicxml");
    let fields = [("text", text), ("file_name", "unused.musicxml")];
    let done = form(&server, "/conduct/plans/import", &fields).await;
    assert_eq!(done.status, 200, "{}", done.text());
    assert!(done.text().contains("Left out"), "{}", done.text());
    let names = own(&server).await;
    assert_eq!(names.len(), 1);
    let kept = json_of(&ask(&server, &format!("/conduct/plans/{}.json", names[0])).await);
    assert!(kept["exercises"][0]["play"]["music"]["notes"].as_array().is_some_and(|notes| !notes.is_empty()));
    // The same program's compressed file, as the page sends it.
    let bytes = include_bytes!("../reference/musicxml/long-notes.mxl");
    let packed: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    let fields = [("packed", packed.as_str()), ("file_name", "long-notes.mxl")];
    let done = form(&server, "/conduct/plans/import", &fields).await;
    assert_eq!(done.status, 200, "{}", done.text());
    let broken =
        form(&server, "/conduct/plans/import", &[("text", "<score-partwise>"), ("file_name", "x.xml")]).await;
    assert_eq!(broken.status, 422);
    assert!(broken.text().contains("x.xml"), "{}", broken.text());
    assert_eq!(own(&server).await.len(), 2);
}

#[tokio::test]
async fn what_is_doubtful_is_kept_and_said() {
    let server = TestServer::start().await;
    let mut fast = plan("wednesday");
    // 120 / 60 x 4 = 8 pulses a second.
    fast["exercises"][0]["play"] = json!({"pulses": {"bpm": 120, "values": ["sixteenths"], "times": 4}});
    let told = put_plan(&server, &fast, &[]).await;
    assert_eq!(told.status, 200);
    let told = json_of(&told);
    assert!(told["doubts"][0].as_str().is_some_and(|text| text.contains("Begin straight")), "{told}");
}
