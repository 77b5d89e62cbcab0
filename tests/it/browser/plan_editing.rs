//! A plan in a real browser: copied, a tempo changed, an exercise renamed and moved, a mistake shown at its field, saved, used, and
//! started with two players. A second tab that edits the same plan is told.

use super::driver::{Browser, Microphone, check_console_but, programs_or_say_skipped, wait_until};
use super::text_of;
use fantoccini::elements::Element;
use fantoccini::{Client, Locator};
use std::time::Duration;
use windrow_protocol::instrument::Instrument;
use windrow_tests::{Player, TestServer};

const NEW_NAME: &str = "Air first";

async fn find(client: &Client, selector: &str) -> Element {
    found(client, Locator::Css(selector)).await
}

/// Once it is there: the editor makes an exercise's fields when they are opened, which the browser tells a moment later.
async fn found(client: &Client, what: Locator<'_>) -> Element {
    let waited = client.wait().at_most(Duration::from_secs(10)).for_element(what).await;
    waited.unwrap_or_else(|e| panic!("{what:?}: {e}"))
}

/// The field of an exercise's own fields with this label.
async fn field(client: &Client, exercise: usize, label: &str) -> Element {
    let within =
        format!("//ol[@id='exercises']/li[{exercise}]//label[text()='{label}']/following-sibling::input");
    found(client, Locator::XPath(&within)).await
}

async fn saved(client: &Client, expected: &str) {
    wait_until(10, expected, async || match text_of(client, "saved").await {
        text if text.starts_with(expected) => Ok(()),
        text => Err(text),
    })
    .await;
}

async fn names(client: &Client) -> Vec<String> {
    let mut names = Vec::new();
    for heading in client.find_all(Locator::Css("#exercises h3")).await.unwrap() {
        names.push(heading.text().await.unwrap());
    }
    names
}

async fn edit_and_use(client: Client, conductor_url: String, plans_url: String) {
    client.goto(&conductor_url).await.unwrap();
    client.goto(&plans_url).await.unwrap();
    find(&client, "[aria-label='Copy and edit: First lesson']").await.click().await.unwrap();
    wait_until(10, "the editor", async || match text_of(&client, "title").await {
        title if title == "Edit \u{201c}First lesson, my copy\u{201d}" => Ok(()),
        title => Err(title),
    })
    .await;
    find(&client, "#exercises li:nth-child(3) h3").await;
    let before = names(&client).await;
    assert!(before.len() > 2, "{before:?}");
    let edit_url = client.current_url().await.unwrap();

    // The second exercise gets another name, and comes first.
    find(&client, "#exercises li:nth-child(2) summary").await.click().await.unwrap();
    let name = field(&client, 2, "Name").await;
    name.clear().await.unwrap();
    name.send_keys(NEW_NAME).await.unwrap();
    find(&client, "#exercises li:nth-child(2) [data-does=up]").await.click().await.unwrap();
    let after = names(&client).await;
    assert_eq!(after[0], format!("1. {NEW_NAME}"));
    assert_eq!(after[1].trim_start_matches("2. "), before[0].trim_start_matches("1. "));

    // A tempo no metronome has is said at its field, which has the keyboard then.
    let tempo = field(&client, 1, "Tempo").await;
    tempo.clear().await.unwrap();
    tempo.send_keys("400").await.unwrap();
    find(&client, "#save").await.click().await.unwrap();
    saved(&client, "Not saved: one thing is not right yet.").await;
    let active = client.active_element().await.unwrap();
    assert_eq!(active.attr("aria-invalid").await.unwrap().as_deref(), Some("true"));
    assert_eq!(active.element_id(), tempo.element_id());
    let complaint = text_of(&client, "complaints").await;
    assert!(complaint.contains(NEW_NAME) && complaint.contains("400"), "{complaint}");
    assert!(complaint.contains("Tempo:") && !complaint.contains("bpm:"), "called as its field: {complaint}");
    tempo.clear().await.unwrap();
    tempo.send_keys("72").await.unwrap();

    // What is removed comes back.
    find(&client, "#exercises li:nth-child(3) [data-does=off]").await.click().await.unwrap();
    assert_eq!(names(&client).await.len(), before.len() - 1);
    find(&client, "#undo").await.click().await.unwrap();
    assert_eq!(names(&client).await, after);

    // Another tab opens the plan before it is saved here, and saves later.
    let tab = client.window().await.unwrap();
    let other = client.new_window(true).await.unwrap().handle;
    client.switch_to_window(other.clone()).await.unwrap();
    client.goto(edit_url.as_str()).await.unwrap();
    client.switch_to_window(tab.clone()).await.unwrap();
    find(&client, "#save").await.click().await.unwrap();
    saved(&client, "Saved.").await;
    client.switch_to_window(other).await.unwrap();
    find(&client, "#exercises li:nth-child(1) [data-does=down]").await.click().await.unwrap();
    find(&client, "#save").await.click().await.unwrap();
    saved(&client, "This plan was changed from another page").await;
    find(&client, "#save-copy").await.click().await.unwrap();
    wait_until(10, "the copy", async || match client.current_url().await.unwrap() {
        url if url != edit_url => Ok(()),
        url => Err(url.to_string()),
    })
    .await;
    find(&client, "#exercises li:nth-child(2) h3").await;
    assert_eq!(names(&client).await[1].trim_start_matches("2. "), before[0].trim_start_matches("1. "));

    client.switch_to_window(tab).await.unwrap();
    find(&client, "#save-use").await.click().await.unwrap();
    wait_until(20, "two lanes", async || {
        let lanes = client.find_all(Locator::Css("#lanes [role=option]")).await.unwrap();
        if lanes.len() == 2 { Ok(()) } else { Err(format!("{} lanes", lanes.len())) }
    })
    .await;
    find(&client, "#plan-open").await.click().await.unwrap();
    assert_eq!(text_of(&client, "plan-title").await, "First lesson, my copy");
    let now = find(&client, "#exercises [aria-current]").await;
    assert_eq!(now.text().await.unwrap(), format!("1. {NEW_NAME}"));
    find(&client, "#plan form button").await.click().await.unwrap();
    find(&client, "#start").await.click().await.unwrap();
    wait_until(10, "the new exercise", async || {
        let (place, start) = (text_of(&client, "place").await, text_of(&client, "start-label").await);
        if place.contains(NEW_NAME) && start == "Stop" { Ok(()) } else { Err(format!("{place} {start}")) }
    })
    .await;
    check_console_but(&client, &["status of 422", "status of 412"]).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_plan_is_copied_edited_and_played() {
    let Some(programs) = programs_or_say_skipped("editing a plan") else { return };
    let server = TestServer::start().await;
    let _imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let _tobias = Player::join(&server, "Tobias", Instrument::Oboe).await;
    let (conductor_url, plans_url) = (server.running().conductor_link(), server.url("/conduct/plans"));
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| edit_and_use(client, conductor_url, plans_url)).await;
    server.stop().await;
}
