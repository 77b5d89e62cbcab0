//! The roster page by the keyboard: its forms are answered by the page again, and the keyboard goes on where it was.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use fantoccini::{Client, Locator};
use windrow_tests::TestServer;

/// What has the keyboard, once it is that.
async fn wait_for_place(client: &Client, wanted: &str) {
    wait_until(10, wanted, async || {
        // The page may just be leaving.
        let Ok(element) = client.active_element().await else { return Err("no page".to_owned()) };
        let label = element.attr("aria-label").await.ok().flatten().unwrap_or_default();
        if label == wanted { Ok(()) } else { Err(label) }
    })
    .await;
}

async fn add_and_move(client: Client, conductor_url: String, roster_url: String) {
    client.goto(&conductor_url).await.unwrap();
    client.goto(&roster_url).await.unwrap();
    for name in ["Imogen", "Tobias", "Wren"] {
        client.find(Locator::Css(".add .name")).await.unwrap().send_keys(name).await.unwrap();
        let instrument = client.find(Locator::Css(".add .instrument")).await.unwrap();
        instrument.select_by_value("flute").await.unwrap();
        client.find(Locator::Css(".add button")).await.unwrap().click().await.unwrap();
        let row = format!("[aria-label='Save {name}']");
        client.wait().for_element(Locator::Css(&row)).await.unwrap();
        // The next one can be typed at once.
        wait_for_place(&client, "Name of somebody new").await;
    }
    let press = async |label: &str| {
        let button = format!("[aria-label='{label}']");
        client.find(Locator::Css(&button)).await.unwrap().click().await.unwrap();
    };
    press("Wren one chair up").await;
    wait_for_place(&client, "Wren one chair up").await;
    press("Wren one chair up").await;
    // At the top nothing goes further up.
    wait_for_place(&client, "Save Wren").await;
    press("Take Wren off the list").await;
    wait_until(10, "the way back", async || {
        let Ok(element) = client.active_element().await else { return Err("no page".to_owned()) };
        let word = element.text().await.unwrap_or_default();
        if word == "Undo" { Ok(()) } else { Err(word) }
    })
    .await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_keyboard_goes_on_where_it_was() {
    let Some(programs) = programs_or_say_skipped("the roster by the keyboard") else { return };
    let server = TestServer::start().await;
    let conductor_url = server.running().conductor_link();
    let roster_url = server.url("/conduct/roster");
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| add_and_move(client, conductor_url, roster_url)).await;
    server.stop().await;
}
