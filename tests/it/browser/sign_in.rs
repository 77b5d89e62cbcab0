//! The conductor in a real Chromium: the first passphrase, a mistake, signing out and in, another code. A browser sends its
//! own forms with their origin only if the pages' policy lets it.

use super::driver::{Browser, Microphone, check_console_but, programs_or_say_skipped, wait_until};
use super::text_of;
use fantoccini::{Client, Locator};
use windrow::Server;
use windrow_tests::{new_data_dir, serve_config};

async fn type_into(client: &Client, id: &str, text: &str) {
    client.find(Locator::Id(id)).await.unwrap().send_keys(text).await.unwrap();
}

async fn press(client: &Client, words: &str) {
    let button = format!("//button[normalize-space()='{words}']");
    client.find(Locator::XPath(&button)).await.unwrap().click().await.unwrap();
}

async fn arrive(client: &Client, path: &str) {
    wait_until(10, path, async || {
        let at = client.current_url().await.unwrap();
        if at.path() == path { Ok(()) } else { Err(at.to_string()) }
    })
    .await;
}

async fn heading(client: &Client) -> String {
    client.find(Locator::Css("h1")).await.unwrap().text().await.unwrap()
}

async fn from_first_link_to_another_code(client: Client, first_link: String, at: String) {
    client.goto(&first_link).await.unwrap();
    assert_eq!(heading(&client).await, "Choose a passphrase");
    type_into(&client, "new", "crook").await;
    type_into(&client, "again", "crook").await;
    press(&client, "Keep it and go on").await;
    wait_until(10, "why it was not taken", async || {
        let troubles = client.find_all(Locator::Id("trouble")).await.unwrap();
        if troubles.is_empty() { Err(String::new()) } else { Ok(()) }
    })
    .await;
    assert!(text_of(&client, "trouble").await.starts_with("That has 5 signs, and 10 are needed."));
    let focused = client.active_element().await.unwrap().attr("id").await.unwrap();
    assert_eq!(focused.as_deref(), Some("new"), "where to type again");
    let show = client.find(Locator::Css("button[data-shows=new]")).await.unwrap();
    let kind = async || client.find(Locator::Id("new")).await.unwrap().attr("type").await.unwrap().unwrap();
    show.click().await.unwrap();
    assert_eq!((kind().await.as_str(), show.text().await.unwrap().as_str()), ("text", "Hide"));
    type_into(&client, "new", "crook and bocal").await;
    type_into(&client, "again", "crook and bocal").await;
    press(&client, "Keep it and go on").await;
    arrive(&client, "/conduct").await;

    // The page's socket is let in by the cookie, and follows another code by itself.
    let code = async || client.find(Locator::Css("dd[data-code]")).await.unwrap().text().await.unwrap();
    let before = code().await;
    let rehearsal = client.window().await.unwrap();
    let access = client.new_window(true).await.unwrap().handle;
    client.switch_to_window(access.clone()).await.unwrap();
    client.goto(&format!("{at}/conduct/access")).await.unwrap();
    press(&client, "Another code").await;
    client.switch_to_window(rehearsal.clone()).await.unwrap();
    let after = wait_until(10, "another code", async || {
        let now = code().await;
        if now == before { Err(now) } else { Ok(now) }
    })
    .await;
    wait_until(10, "the pattern of another code", async || {
        let pattern = client.find(Locator::Id("pattern")).await.unwrap();
        let from = pattern.attr("src").await.unwrap().unwrap_or_default();
        if from.ends_with(&after) { Ok(()) } else { Err(from) }
    })
    .await;

    // Signed out in one tab, the other says so by itself.
    client.switch_to_window(access).await.unwrap();
    press(&client, "Sign out here").await;
    arrive(&client, "/sign-in").await;
    client.switch_to_window(rehearsal).await.unwrap();
    wait_until(10, "that nobody is signed in", async || {
        let trouble = text_of(&client, "trouble").await;
        if trouble.contains("not signed in") { Ok(()) } else { Err(trouble) }
    })
    .await;
    client.goto(&format!("{at}/conduct/access")).await.unwrap();
    arrive(&client, "/sign-in").await;
    type_into(&client, "passphrase", "crook and bocal").await;
    press(&client, "Sign in").await;
    arrive(&client, "/conduct/access").await;
    assert_eq!(heading(&client).await, "Access");
    check_console_but(&client, &["/first/"]).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_conductor_signs_in_by_a_passphrase() {
    let Some(programs) = programs_or_say_skipped("signing in") else { return };
    let data_dir = new_data_dir();
    let running = Server::start(serve_config(&data_dir)).await.unwrap();
    let (first_link, at) = (running.first_link.clone().unwrap(), running.conductor_at.clone());
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| from_first_link_to_another_code(client, first_link, at)).await;
    running.stop().await;
    std::fs::remove_dir_all(data_dir).unwrap();
}
