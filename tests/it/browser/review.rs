//! The rehearsal afterwards in a real browser, by keyboard: the strip is drawn, a field opens its run, the run plays, its figures
//! stand below, and the way back leads to the field.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use super::text_of;
use crate::results::play_a_run;
use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::key::Key;
use fantoccini::{Client, Locator};
use serde_json::Value;
use windrow_tests::TestServer;

/// Presses a key where the focus is.
async fn press(client: &Client, key: Key) {
    let value = char::from(key);
    let keys =
        KeyActions::new("keys".to_owned()).then(KeyAction::Down { value }).then(KeyAction::Up { value });
    client.perform_actions(keys).await.unwrap();
}

async fn ask(client: &Client, script: &str) -> Value {
    client.execute(&format!("return {script}"), vec![]).await.unwrap()
}

async fn is_so(client: &Client, what: &str, script: &str) {
    wait_until(10, what, async || match ask(client, script).await {
        Value::Bool(true) => Ok(()),
        other => Err(other.to_string()),
    })
    .await;
}

/// How many paths of a kind are drawn in the field of a player.
fn drawn(player: &str, path: &str) -> String {
    format!(
        "[...document.querySelectorAll('a.field')].filter((f) => f.textContent.includes('{player}'))[0]\
         ?.querySelector('path.{path}')?.getAttribute('d').match(/M/g).length"
    )
}

async fn look_back(client: Client, link: String, page: String) {
    client.goto(&link).await.unwrap();
    client.goto(&page).await.unwrap();
    is_so(&client, "the strip", "document.querySelector('table.strip')?.dataset.drawn === 'true'").await;
    // The second bar, 2 to 4 s: sixteenths at 120 are 16; of Wren's 32 pulses, 8.8 a second, the last 14 lie there.
    let strip = ask(&client, "document.querySelector('.strip tbody').innerHTML").await;
    let of = async |player| ask(&client, &drawn(player, "marks")).await.as_u64();
    let (Some(imogen), Some(wren)) = (of("Imogen").await, of("Wren").await) else {
        panic!("no marks: {strip}")
    };
    assert_eq!((imogen, wren), (16, 14), "{strip}");
    let shapes =
        ask(&client, "[...document.querySelectorAll('a.field .shape')].map((s) => s.dataset.shape).join()");
    assert_eq!(shapes.await, "fast", "a shape only where it did not match");

    // Tab comes to one field, the arrow keys go on, Enter opens.
    ask(&client, "document.querySelector('.strip-scroll').focus()").await;
    press(&client, Key::Tab).await;
    press(&client, Key::Down).await;
    let focused = ask(&client, "document.activeElement.textContent").await;
    assert!(focused.as_str().unwrap().contains("Wren, 1. Sixteenths"), "{focused}");
    press(&client, Key::Enter).await;
    is_so(&client, "the run", "!document.getElementById('replay-raster').hidden").await;
    assert!(text_of(&client, "replay-title").await.starts_with("Run 1: Sixteenths"));
    is_so(&client, "the focus on Play", "document.activeElement.id === 'replay-play'").await;
    let ink = "(() => { const c = document.getElementById('replay-canvas'); \
               return c.getContext('2d').getImageData(0, 0, c.width, c.height).data.some((v) => v > 0) })()";
    is_so(&client, "a drawn raster", ink).await;

    let place = "document.getElementById('replay-now').style.transform";
    let at_first = ask(&client, place).await;
    let label = |word: &str| format!("document.getElementById('replay-play').textContent === '{word}'");
    press(&client, Key::Space).await;
    is_so(&client, "the rule runs", &format!("{place} !== {at_first}")).await;
    // States stand as they came: Wren's evidence takes some pulses.
    let state = "document.querySelector('#replay-players li:nth-child(2) .word').textContent === 'fast'";
    is_so(&client, "Wren becomes fast", state).await;
    is_so(&client, "the end, where it stops by itself", &label("Play")).await;
    for _ in 0..8 {
        press(&client, Key::Left).await;
    }
    assert!(text_of(&client, "replay-bar").await.starts_with("bar 1,"));
    press(&client, Key::Right).await;
    assert!(text_of(&client, "replay-bar").await.starts_with("bar 2,"));
    press(&client, Key::Space).await;
    is_so(&client, "Pause", &label("Pause")).await;
    press(&client, Key::Space).await;
    is_so(&client, "Play", &label("Play")).await;

    client.find(Locator::Css("#replay-figures summary")).await.unwrap().click().await.unwrap();
    assert!(text_of(&client, "replay-table").await.contains("8.80"));
    press(&client, Key::Escape).await;
    is_so(&client, "closed", "!document.getElementById('replay').open").await;
    let focused = ask(&client, "document.activeElement.textContent").await;
    assert!(focused.as_str().unwrap().contains("Wren, 1. Sixteenths"), "{focused}");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_rehearsal_is_looked_through_by_keyboard() {
    let Some(programs) = programs_or_say_skipped("the rehearsal afterwards") else { return };
    let server = TestServer::start().await;
    let _here = play_a_run(&server).await;
    let (link, page) = (server.running().conductor_link(), server.url("/conduct/results"));
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| look_back(client, link, page)).await;
    server.stop().await;
}
