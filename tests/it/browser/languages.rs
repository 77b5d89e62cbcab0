//! Another language by a press: the page stays, what was typed stays, and the next page remembers. A browser that asks for
//! German gets it without a press.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use fantoccini::{Client, Locator};
use windrow_tests::TestServer;
use windrow_tests::request::get;

/// Waits for the page in that language with that heading: after a press it is loaded anew, and what was found may be gone.
async fn wait_for(client: &Client, language: &str, heading: &str) {
    wait_until(10, heading, async || {
        let script = "return [document.documentElement.lang, document.querySelector('main:not([hidden]) h1')?.textContent ?? '']";
        match client.execute(script, vec![]).await {
            Ok(seen) if seen == serde_json::json!([language, heading]) => Ok(()),
            Ok(seen) => Err(seen.to_string()),
            Err(error) => Err(error.to_string()),
        }
    })
    .await;
}

async fn change_the_language(client: Client, join: String, mine: String) {
    client.goto(&join).await.unwrap();
    wait_for(&client, "en-GB", "Join the room").await;
    client.find(Locator::Id("code")).await.unwrap().send_keys("KF3").await.unwrap();
    client.find(Locator::Css(".languages button")).await.unwrap().click().await.unwrap();
    wait_for(&client, "de", "In den Raum").await;
    assert_eq!(client.current_url().await.unwrap().as_str(), join);
    wait_until(10, "what was typed", async || {
        let typed = client.execute("return document.getElementById('code')?.value", vec![]).await;
        if typed.as_ref().is_ok_and(|typed| typed == "KF3") { Ok(()) } else { Err(format!("{typed:?}")) }
    })
    .await;
    client.goto(&mine).await.unwrap();
    wait_for(&client, "de", "Was \u{fc}ber mich gespeichert ist").await;
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
