//! Another language by a press: the page stays, what was typed stays, and the next page remembers. A browser that asks for
//! German gets it without a press.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use fantoccini::{Client, Locator};
use windrow_tests::TestServer;
use windrow_tests::request::get;

async fn language(client: &Client) -> String {
    client.find(Locator::Css("html")).await.unwrap().attr("lang").await.unwrap().unwrap_or_default()
}

async fn heading(client: &Client) -> String {
    client.find(Locator::Css("main:not([hidden]) h1")).await.unwrap().text().await.unwrap()
}

async fn change_the_language(client: Client, join: String, mine: String) {
    client.goto(&join).await.unwrap();
    assert_eq!(
        (language(&client).await.as_str(), heading(&client).await.as_str()),
        ("en-GB", "Join the room")
    );
    client.find(Locator::Id("code")).await.unwrap().send_keys("KF3").await.unwrap();
    client.find(Locator::Css(".languages button")).await.unwrap().click().await.unwrap();
    wait_until(10, "the other language", async || match language(&client).await {
        tag if tag == "de" => Ok(()),
        tag => Err(tag),
    })
    .await;
    assert_eq!(
        (client.current_url().await.unwrap().as_str(), heading(&client).await.as_str()),
        (&*join, "In den Raum")
    );
    wait_until(10, "what was typed", async || {
        let typed = client.find(Locator::Id("code")).await.unwrap().prop("value").await.unwrap();
        if typed.as_deref() == Some("KF3") { Ok(()) } else { Err(format!("{typed:?}")) }
    })
    .await;
    client.goto(&mine).await.unwrap();
    assert_eq!(heading(&client).await, "Was \u{fc}ber mich gespeichert ist");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_press_changes_the_language_and_loses_nothing() {
    let Some(programs) = programs_or_say_skipped("another language") else { return };
    let server = TestServer::start().await;
    let (join, mine) = (server.url("/"), server.url("/mine"));
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| change_the_language(client, join, mine)).await;
    server.stop().await;
}

#[tokio::test]
async fn a_browser_that_asks_for_german_reads_german_at_once() {
    let server = TestServer::start().await;
    let addr = server.running().http_addr;
    for (asked, tag) in [("de-DE,de;q=0.9,en;q=0.8", "lang=\"de\""), ("fr", "lang=\"en-GB\"")] {
        let page = get(addr, "/", &[("Accept-Language", asked)]).await;
        assert!(page.text().contains(&format!("<html {tag}>")), "{asked}");
    }
    server.stop().await;
}
