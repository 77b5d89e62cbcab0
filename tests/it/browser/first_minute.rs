//! The first minute as a teacher has it who has just started Windrow and is alone: from an empty data directory to the first
//! page, the imaginary section at a press, its faults in words, and away again without a trace.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use super::text_of;
use crate::imaginary::{SECTION, is_in_records};
use fantoccini::{Client, Locator};
use windrow_protocol::judge::State;
use windrow_tests::TestServer;

async fn is_shown(client: &Client, selector: &str) -> bool {
    client.find(Locator::Css(selector)).await.unwrap().is_displayed().await.unwrap()
}

async fn press(client: &Client, selector: &str) {
    client.find(Locator::Css(selector)).await.unwrap().click().await.unwrap();
}

async fn wait_until_shown(client: &Client, selector: &str) {
    wait_until(20, selector, async || match client.find(Locator::Css(selector)).await {
        Ok(found) if found.is_displayed().await.unwrap_or(false) => Ok(()),
        _ => Err("not shown".to_owned()),
    })
    .await;
}

/// Name and state of every lane.
async fn lanes(client: &Client) -> Vec<(String, String)> {
    let mut lanes = Vec::new();
    for lane in client.find_all(Locator::Css("#lanes [role=option]")).await.unwrap() {
        let mut words = Vec::new();
        for part in [".name", ".word"] {
            let found = lane.find(Locator::Css(part)).await.unwrap();
            words.push(found.text().await.unwrap_or_default());
        }
        lanes.push((words.swap_remove(0), words.swap_remove(0)));
    }
    lanes
}

async fn first_minute(client: Client, server: TestServer) {
    client.goto(server.running().first_link.as_deref().unwrap()).await.unwrap();
    for field in ["new", "again"] {
        client.find(Locator::Id(field)).await.unwrap().send_keys("crook and bocal").await.unwrap();
    }
    let keep = Locator::XPath("//button[normalize-space()='Keep it and go on']");
    client.find(keep).await.unwrap().click().await.unwrap();

    wait_until_shown(&client, "#empty").await;
    assert!(is_shown(&client, "#steps").await, "what to do now, in three steps");
    assert_eq!(client.find_all(Locator::Css("#steps li")).await.unwrap().len(), 3);
    assert!(!is_shown(&client, "#empty-closed").await && !is_shown(&client, "#imaginary").await);

    press(&client, "#try button").await;
    wait_until_shown(&client, "#imaginary").await;
    wait_until_shown(&client, "#lanes [role=option]:nth-child(8)").await;
    let mark = "return getComputedStyle(document.querySelector('#lanes .part'), '::after').content";
    let mark = client.execute(mark, vec![]).await.unwrap();
    assert!(mark.as_str().unwrap().contains("imaginary"), "each lane is marked: {mark}");
    press(&client, "#start").await;
    let expected: Vec<(String, String)> =
        SECTION.iter().map(|(name, state)| ((*name).to_owned(), state.word().to_owned())).collect();
    wait_until(40, "every fault in words", async || {
        let lanes = lanes(&client).await;
        if lanes == expected { Ok(()) } else { Err(format!("{lanes:?}")) }
    })
    .await;
    wait_until(20, "one thing to say to somebody with a fault", async || {
        let said = text_of(&client, "say").await;
        let is_to = |(name, state): &&(&str, State)| *state != State::Matched && said.starts_with(*name);
        if SECTION.iter().any(|player| is_to(&player)) { Ok(()) } else { Err(said) }
    })
    .await;

    press(&client, "#imaginary button").await;
    wait_until_shown(&client, "#empty").await;
    assert!(!is_shown(&client, "#imaginary").await);
    assert!(!is_shown(&client, "#steps").await, "what was done once is not taught again");
    assert!(is_shown(&client, "#try button").await && is_shown(&client, "#pattern").await);
    check_console(&client).await;
    let data_dir = server.stop().await;
    let left: Vec<_> = SECTION.iter().filter(|(name, _)| is_in_records(&data_dir, name)).collect();
    assert!(left.is_empty(), "in the records: {left:?}");
    std::fs::remove_dir_all(data_dir).unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_teacher_alone_looks_around_with_an_imaginary_section() {
    let Some(programs) = programs_or_say_skipped("the first minute") else { return };
    let server = TestServer::start_with(|config| config.program_key = None).await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| first_minute(client, server)).await;
}
