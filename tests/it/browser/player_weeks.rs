//! A player's weeks in a browser: the player's own page asks with the device's token and shows them, and both pages print on one page
//! of A4 and of Letter, with a year of weeks and everything in it.

use super::driver::{Browser, Microphone, check_console, command, programs_or_say_skipped, wait_until};
use super::sheet::from_base64;
use crate::weeks::{Of, Week, add, write};
use fantoccini::{Client, Locator};
use serde_json::json;
use windrow_protocol::instrument::Instrument;
use windrow_tests::{Player, TestServer};

/// Width and height in inches: ISO 216 says 210 by 297 mm, Letter is 8.5 by 11 inches.
const PAPERS: [(&str, f64, f64); 2] = [("A4", 8.27, 11.69), ("Letter", 8.5, 11.0)];

/// Ten rungs, from the slowest to the fastest, and one more that was tried.
const RUNGS: [&[(f64, bool)]; 12] = [
    &[(52.0, true)],
    &[(54.0, true)],
    &[(56.0, true)],
    &[(58.0, true), (60.0, false)],
    &[(60.0, true)],
    &[(63.0, true)],
    &[(66.0, true)],
    &[(69.0, true)],
    &[(72.0, true)],
    &[(76.0, true)],
    &[(76.0, true), (80.0, false)],
    &[(76.0, true), (80.0, false)],
];

async fn n_pages(client: &Client, (width, height): (f64, f64)) -> usize {
    let paper = json!({"paperWidth": width, "paperHeight": height, "preferCSSPageSize": false,
        "marginTop": 0.4, "marginBottom": 0.4, "marginLeft": 0.4, "marginRight": 0.4});
    let pdf = from_base64(command(client, "Page.printToPDF", paper).await["data"].as_str().unwrap());
    let text = String::from_utf8_lossy(&pdf);
    text.matches("/Type /Page\n").count() + text.matches("/Type /Page ").count()
}

/// What is wider than the page it is printed on, or lies outside.
const CUT_OFF: &str = r"
    const width = document.documentElement.clientWidth;
    return [...document.querySelectorAll('main *')]
        .filter((part) => part.checkVisibility() && !part.closest('.spoken'))
        .map((part) => [part.tagName, part.getBoundingClientRect()])
        .filter(([, box]) => box.right > width + 1 || box.left < -1)
        .map(([name, box]) => `${name}: ${box.left} to ${box.right} of ${width}`);";

async fn check_print(client: &Client, name: &str) {
    for (paper, width, height) in PAPERS {
        assert_eq!(n_pages(client, (width, height)).await, 1, "{name} on {paper}");
    }
    // As wide as A4 within its margins, in CSS px of 1/96 inch.
    let metrics = json!({"width": 718, "height": 1000, "deviceScaleFactor": 1, "mobile": false});
    command(client, "Emulation.setDeviceMetricsOverride", metrics).await;
    command(client, "Emulation.setEmulatedMedia", json!({"media": "print"})).await;
    let cut_off = client.execute(CUT_OFF, vec![]).await.unwrap();
    command(client, "Emulation.setEmulatedMedia", json!({"media": ""})).await;
    command(client, "Emulation.clearDeviceMetricsOverride", json!({})).await;
    assert_eq!(cut_off, json!([]), "{name}");
}

async fn walk(client: Client, server: TestServer) {
    let person = add(&server, "Wren").await;
    let hello = windrow_tests::hello(server.code(), "tapped", Instrument::Flute);
    let hello = windrow_protocol::messages::Hello { person: Some(person.clone()), ..hello };
    let wren = Player::join_as(&server, hello).await;
    let weeks: Vec<Week> = (0..).zip(RUNGS).map(|(n, rungs)| Week::rehearsal(11 - n, rungs)).collect();
    write(&server, Of::Person(&person), "Wren", &weeks).await;

    client.goto(&server.url("/mine/weeks")).await.unwrap();
    wait_until(10, "a strange device is told so", async || {
        let nothing = client.find(Locator::Id("nothing")).await.unwrap();
        if nothing.is_displayed().await.unwrap() { Ok(()) } else { Err(String::new()) }
    })
    .await;
    let keep = "const [token, done] = arguments;
        import('/static/kept.js').then(({ keep }) => { keep('device-token', token); done(); });";
    client.execute_async(keep, vec![json!(wren.welcome.token)]).await.unwrap();
    client.goto(&server.url("/mine/weeks?pulses=3")).await.unwrap();
    let shown = client.wait().for_element(Locator::Css("#weeks[data-shown]")).await.unwrap();
    let text = shown.text().await.unwrap();
    for said in ["Wren, flute 1", "Next: triplets at 80", "Rung held, triplets", "80 tried, not held yet"] {
        assert!(text.contains(said), "no \"{said}\" in {text}");
    }
    check_print(&client, "the player's page").await;

    client.goto(&server.running().conductor_link()).await.unwrap();
    client.goto(&server.url(&format!("/conduct/weeks/{person}"))).await.unwrap();
    client.wait().for_element(Locator::Css("figure.stair svg")).await.unwrap();
    check_print(&client, "the conductor's page").await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_players_weeks_are_shown_and_print_on_one_page() {
    let Some(programs) = programs_or_say_skipped("a player's weeks") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| walk(client, server)).await;
}
