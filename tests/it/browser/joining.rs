//! Joining as a person meets it: the own name among the others, last week's device, two devices on one name, and what is
//! stored shown and erased.

use super::driver::{Browser, Microphone, check_console_but, programs_or_say_skipped, wait_until};
use super::{text_of, write_microphone};
use fantoccini::{Client, Locator};
use std::path::PathBuf;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Hello, NoticeAnswer};
use windrow_tests::request::{get, post};
use windrow_tests::{Conductor, Player, TestServer, hello};

async fn add(server: &TestServer, names: &[&str]) {
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    for name in names {
        let form = [("do", "add"), ("name", name), ("instrument", "flute")];
        assert_eq!(post(addr, "/conduct/roster", &cookie, &form).await.status, 303);
    }
}

async fn click(client: &Client, id: &str) {
    client.find(Locator::Id(id)).await.unwrap().click().await.unwrap();
}

async fn tap(client: &Client, name: &str) {
    let row = format!("//div[@id='names']/label[b='{name}']");
    client.find(Locator::XPath(&row)).await.unwrap().click().await.unwrap();
}

async fn wait_for_text(client: &Client, id: &str, words: &str) {
    wait_until(20, words, async || {
        let text = text_of(client, id).await;
        if text.contains(words) {
            Ok(())
        } else {
            Err(format!("{text:?} {}", text_of(client, "join-trouble").await))
        }
    })
    .await;
}

async fn from_name_to_name(client: Client, server: TestServer) {
    add(&server, &["Imogen", "Wren"]).await;
    let join_url = server.url(&format!("/join/{}", server.code()));
    let mut conductor = Conductor::open(&server).await;

    // Two taps, and one for the microphone, which this browser gives unasked.
    client.goto(&join_url).await.unwrap();
    wait_for_text(&client, "names", "Wren").await;
    assert_eq!(text_of(&client, "join-title").await, "Who are you?");
    click(&client, "join").await;
    wait_for_text(&client, "join-trouble", "Tap your name first").await;
    tap(&client, "Wren").await;
    assert!(text_of(&client, "names").await.contains("that is me"));
    click(&client, "join").await;
    wait_for_text(&client, "who", "Wren, flute 2").await;
    conductor.see_lane("Wren", |lane| lane.chair == 2).await;

    // The page again: the device is known, and no name is asked for.
    client.goto(&join_url).await.unwrap();
    wait_for_text(&client, "join-title", "Welcome back, Wren").await;
    assert_eq!(text_of(&client, "back-step").await, "flute 2");
    click(&client, "join").await;
    wait_for_text(&client, "who", "Wren, flute 2").await;

    // Somebody else takes this device and taps a name that is in.
    let names = get(server.running().http_addr, &format!("/join/{}/names.json", server.code()), &[]).await;
    let names: Vec<serde_json::Value> = serde_json::from_slice(&names.body).unwrap();
    let imogen = names[0]["person_id"].as_str().unwrap().to_owned();
    let phone = Hello { person: Some(imogen), ..hello(server.code(), "Imogen", Instrument::Flute) };
    let phone = Player::join_as(&server, phone).await;
    client.goto(&join_url).await.unwrap();
    wait_for_text(&client, "join-title", "Welcome back, Wren").await;
    click(&client, "not-me").await;
    wait_for_text(&client, "names", "is in").await;
    tap(&client, "Imogen").await;
    click(&client, "join").await;
    wait_for_text(&client, "asked-text", "Imogen is in from another device. Is that you as well?").await;
    click(&client, "move-here").await;
    wait_for_text(&client, "waiting-text", "the conductor is asked").await;
    let notice = conductor.see(|s| s.notices.first().cloned()).await;
    let answer = NoticeAnswer::SecondIsNickname;
    conductor.command(ConductorSays::Answer { notice: notice.id, answer }).await;
    wait_for_text(&client, "who", "Imogen 2, flute").await;
    wait_for_text(&client, "notice-text", "you are \u{201c}Imogen 2\u{201d}").await;
    drop(phone);

    // What is stored is shown, and erased when it was asked twice.
    client.goto(&server.url("/mine")).await.unwrap();
    wait_for_mine(&client, "name", "Imogen 2").await;
    click(&client, "erase").await;
    click(&client, "erase-sure").await;
    wait_for_mine(&client, "done", "It is erased").await;
    client.goto(&join_url).await.unwrap();
    wait_for_text(&client, "join-title", "Who are you?").await;
    // A strange device is told so with a status that browsers write to the console.
    check_console_but(&client, &["404"]).await;
}

async fn wait_for_mine(client: &Client, id: &str, words: &str) {
    wait_until(20, words, async || {
        let text = text_of(client, id).await;
        if text.contains(words) {
            Ok(())
        } else {
            Err(format!("{text:?} {}", text_of(client, "trouble").await))
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_name_is_tapped_known_again_and_shared_kindly() {
    let Some(programs) = programs_or_say_skipped("joining by a name") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("joining.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Plays(&microphone)).await;
    browser.during(|client| from_name_to_name(client, server)).await;
}
