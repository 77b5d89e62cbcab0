//! The lanes on the conductor's page, by keyboard: one is chosen and opened, another order is taken, and the wall shows in a
//! window of its own what everybody may see. Must not know how the raster is drawn.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use super::text_of;
use fantoccini::key::Key;
use fantoccini::{Client, Locator};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::ConductorSays;
use windrow_tests::{Conductor, Player, TestServer};

async fn press(client: &Client, keys: &str) {
    client.active_element().await.unwrap().send_keys(keys).await.unwrap();
}

async fn key(client: &Client, key: Key) {
    press(client, &String::from(char::from(key))).await;
}

async fn reads(client: &Client, id: &str, expected: &str) {
    wait_until(10, expected, async || match text_of(client, id).await {
        text if text == expected => Ok(()),
        text => Err(text),
    })
    .await;
}

async fn is_shown(client: &Client, id: &str) -> bool {
    client.find(Locator::Id(id)).await.unwrap().is_displayed().await.unwrap()
}

/// What stands in the lanes from the first to the last, read from their parts as they are seen.
async fn labels(client: &Client, class: &str) -> Vec<String> {
    let found = client.find_all(Locator::Css(&format!("#lanes .{class}"))).await.unwrap();
    let mut texts = Vec::new();
    for element in found {
        texts.push(element.text().await.unwrap());
    }
    texts
}

async fn open_one_by_keyboard(client: &Client) {
    wait_until(10, "two lanes", async || match labels(client, "name").await {
        names if names == ["Imogen", "Wren"] => Ok(()),
        names => Err(format!("{names:?}")),
    })
    .await;
    client.execute("document.getElementById('lanes').focus()", vec![]).await.unwrap();
    key(client, Key::Down).await;
    key(client, Key::Down).await;
    key(client, Key::Enter).await;
    reads(client, "opened-title", "Wren, the last minute").await;
    assert_eq!(text_of(client, "opened-chair").await, "chair 2, alto sax 1");
    let start = client.find(Locator::Id("start")).await.unwrap();
    assert!(start.is_displayed().await.unwrap(), "the controls stay within reach");
    // The arrows go on to the other player, and what is open follows.
    key(client, Key::Up).await;
    reads(client, "opened-title", "Imogen, the last minute").await;
    key(client, Key::Escape).await;
    assert!(!is_shown(client, "opened").await);
    let focused = client.active_element().await.unwrap().attr("id").await.unwrap();
    assert_eq!(focused.as_deref(), Some("lanes"), "the focus is back where it was");
}

/// With so few players the lanes do not fill the page, and the lines of pitch, drawn on one sheet, must not be stretched over it.
async fn pitch_lines_stand_beside_their_lanes(client: &Client) {
    let asked = "const box = (element) => element.getBoundingClientRect();
        const pitch = document.getElementById('pitch-canvas');
        const lanes = [...document.querySelectorAll('#lanes [role=option]')].map(box);
        return [
            box(pitch).top - lanes[0].top,
            box(pitch).bottom - lanes.at(-1).bottom,
            pitch.height / devicePixelRatio - box(pitch).height,
        ];";
    let off_px: Vec<f64> =
        serde_json::from_value(client.execute(asked, vec![]).await.unwrap()).expect("three numbers");
    assert!(off_px.iter().all(|px| px.abs() < 2.0), "{off_px:?}");
}

async fn another_order(client: &Client) {
    assert!(!text_of(client, "heard").await.contains("worst first"));
    press(client, "o").await;
    wait_until(10, "the order in words", async || match text_of(client, "heard").await {
        text if text.contains("worst first") => Ok(()),
        text => Err(text),
    })
    .await;
    // Imogen rests, Wren's device hears nothing: that wants a word sooner.
    wait_until(10, "Wren first", async || match labels(client, "name").await {
        names if names == ["Wren", "Imogen"] => Ok(()),
        names => Err(format!("{names:?}")),
    })
    .await;
}

async fn the_wall(client: &Client, url: &str) {
    client.goto(&format!("{url}?wall")).await.unwrap();
    wait_until(10, "parts on the wall", async || match labels(client, "part").await {
        parts if parts.iter().map(|part| part.to_lowercase()).eq(["flute 1", "alto sax 1"]) => Ok(()),
        parts => Err(format!("{parts:?}")),
    })
    .await;
    // Not even where only a screen reader finds it; the controls, with the notes of single chairs, are not there for anybody.
    let asked = "return document.body.innerText + document.getElementById('raster').textContent";
    let all = client.execute(asked, vec![]).await.unwrap().to_string();
    for name in ["Imogen", "Wren"] {
        assert!(!all.contains(name), "the wall names {name}");
    }
    assert!(!is_shown(client, "start").await && is_shown(client, "tally").await);
    press(client, "t").await;
    assert!(!is_shown(client, "tally").await);
    press(client, "l").await;
    wait_until(10, "initials", async || match labels(client, "part").await {
        parts if parts == ["I", "W"] => Ok(()),
        parts => Err(format!("{parts:?}")),
    })
    .await;
    // No key of the wall starts the music.
    press(client, " ").await;
    press(client, "d").await;
    let far =
        client.execute("return getComputedStyle(document.documentElement).fontSize", vec![]).await.unwrap();
    assert_eq!(far.as_str(), Some("20px"), "a quarter larger than 16 px");
}

async fn look(client: Client, link: String, url: String, mut room: Conductor) {
    client.goto(&link).await.unwrap();
    open_one_by_keyboard(&client).await;
    pitch_lines_stand_beside_their_lanes(&client).await;
    another_order(&client).await;
    the_wall(&client, &url).await;
    let is_silent = room.see(|s| Some(s.score.is_none())).await;
    assert!(is_silent, "the music plays");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn lanes_open_by_keyboard_and_the_wall_names_nobody() {
    let Some(programs) = programs_or_say_skipped("the lanes of the conductor's page") else { return };
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let _wren = Player::join(&server, "Wren", Instrument::AltoSax).await;
    imogen.say(&windrow_protocol::messages::PlayerSays::Rest { resting: true }).await;
    let mut room = Conductor::open(&server).await;
    room.command(ConductorSays::SetCountIn { bars: 1 }).await;
    let (link, url) = (server.running().conductor_link(), server.url("/conduct"));
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| look(client, link, url, room)).await;
    server.stop().await;
}
