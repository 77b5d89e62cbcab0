//! A player's page whose room is gone for another: a server started again with its room closed has another code. What the page
//! said of the lost connection goes, and so does what it had kept for the room before.

use super::driver::{Browser, Microphone, programs_or_say_skipped, wait_until};
use super::{join, text_of};
use fantoccini::{Client, Locator};
use windrow::{Running, Server};
use windrow_tests::request::post;
use windrow_tests::{new_data_dir, serve_config};

async fn from_one_room_to_the_next(client: Client, first: Running, config: windrow::config::ServerConfig) {
    let at = first.http_addr;
    client.goto(&format!("http://{at}/")).await.unwrap();
    join(&client, &first.code, "Imogen").await;
    wait_until(20, "Imogen's seat", async || {
        let who = text_of(&client, "who").await;
        if who.contains("Imogen") { Ok(()) } else { Err(who) }
    })
    .await;
    let key = first.key.clone().unwrap();
    let cookie = format!("{}={key}", first.cookie_name());
    assert_eq!(post(at, "/conduct/access/code", &cookie, &[("what", "close")]).await.status, 303);
    let code = first.code.clone();
    first.stop().await;
    wait_until(20, "that the room is lost", async || {
        let said = text_of(&client, "notice-text").await;
        if said.contains("The room cannot be reached") { Ok(()) } else { Err(said) }
    })
    .await;
    let second = Server::start(windrow::config::ServerConfig {
        reach: windrow::config::ReachConfig::plain_http(at),
        ..config
    })
    .await
    .unwrap();
    assert_ne!(second.code, code);
    wait_until(30, "that the code is asked for", async || {
        let trouble = text_of(&client, "join-trouble").await;
        if trouble.starts_with("No rehearsal has the code") { Ok(()) } else { Err(trouble) }
    })
    .await;
    client.find(Locator::Id("code")).await.unwrap().clear().await.unwrap();
    client.find(Locator::Id("code")).await.unwrap().send_keys(&second.code).await.unwrap();
    client.find(Locator::Id("go-in")).await.unwrap().click().await.unwrap();
    wait_until(20, "a known device", async || {
        let button = client.find(Locator::Id("join")).await.unwrap();
        if button.is_displayed().await.unwrap() { Ok(()) } else { Err(String::new()) }
    })
    .await;
    client.find(Locator::Id("join")).await.unwrap().click().await.unwrap();
    wait_until(20, "the seat in the other room", async || {
        let is_in = client.find(Locator::Id("play-view")).await.unwrap().is_displayed().await.unwrap();
        let said = text_of(&client, "notice-text").await;
        if is_in && !said.contains("cannot be reached") { Ok(()) } else { Err(said) }
    })
    .await;
    second.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_finds_into_another_room() {
    let Some(programs) = programs_or_say_skipped("another room") else { return };
    let dir = new_data_dir();
    let config = || {
        let program_key = Some("keyforthesetworooms".to_owned());
        windrow::config::ServerConfig { program_key, ..serve_config(&dir) }
    };
    let first = Server::start(config()).await.unwrap();
    let next = config();
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| from_one_room_to_the_next(client, first, next)).await;
    std::fs::remove_dir_all(dir).unwrap();
}
