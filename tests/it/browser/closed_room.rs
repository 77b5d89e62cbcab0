//! A closed room on a player's page: whoever was in comes back after loading the page anew, somebody new reads what to do.

use super::driver::{Browser, Microphone, check_console_but, programs_or_say_skipped, wait_until};
use super::{join, text_of};
use fantoccini::{Client, Locator};
use windrow_tests::{TestServer, request};

async fn in_and_out(client: Client, server: TestServer) {
    let page = server.url(&format!("/join/{}", server.code()));
    client.goto(&page).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let closed = request::post(addr, "/conduct/access/code", &cookie, &[("what", "close")]).await;
    assert_eq!(closed.status, 303);

    client.refresh().await.unwrap();
    wait_until(20, "Imogen's seat, after loading the page anew", async || {
        let who = text_of(&client, "who").await;
        if who.contains("Imogen, flute") {
            return Ok(());
        }
        for button in client.find_all(Locator::XPath("//button[text()='Listen and join']")).await.unwrap() {
            if button.is_displayed().await.unwrap() {
                button.click().await.unwrap();
            }
        }
        Err(format!("{who:?} {}", text_of(&client, "join-trouble").await))
    })
    .await;

    // Another device: nothing is kept there.
    client.execute("localStorage.clear()", vec![]).await.unwrap();
    client.goto(&page).await.unwrap();
    wait_until(20, "what to do", async || {
        let trouble = text_of(&client, "join-trouble").await;
        if trouble == "The room is closed for now: ask the conductor." { Ok(()) } else { Err(trouble) }
    })
    .await;
    check_console_but(&client, &["/names.json"]).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_closed_room_lets_back_in_who_was_in() {
    let Some(programs) = programs_or_say_skipped("a closed room") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| in_and_out(client, server)).await;
}
