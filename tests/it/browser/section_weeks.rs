//! The section over weeks in a browser: twelve players print on one landscape page of A4 and of Letter, and nothing is wider than a
//! phone but the table that moves sideways.

use super::driver::{Browser, Microphone, check_console, command, programs_or_say_skipped};
use super::sheet::from_base64;
use crate::weeks::{Of, Week, add, write};
use fantoccini::{Client, Locator};
use serde_json::json;
use windrow_tests::TestServer;

/// Width and height in inches, upright: ISO 216 says 210 by 297 mm, Letter is 8.5 by 11 inches.
const PAPERS: [(&str, f64, f64); 2] = [("A4", 8.27, 11.69), ("Letter", 8.5, 11.0)];
const NAMES: [&str; 12] = [
    "Anouk", "Bram", "Callum", "Dorothea", "Esme", "Florian", "Greta", "Hadley", "Imogen", "Jasper",
    "Katarina", "Lark",
];

async fn n_pages(client: &Client, (width, height): (f64, f64)) -> usize {
    let paper = json!({"paperWidth": height, "paperHeight": width, "marginTop": 0.4, "marginBottom": 0.4,
        "marginLeft": 0.4, "marginRight": 0.4});
    let pdf = from_base64(command(client, "Page.printToPDF", paper).await["data"].as_str().unwrap());
    let text = String::from_utf8_lossy(&pdf);
    text.matches("/Type /Page\n").count() + text.matches("/Type /Page ").count()
}

/// Everybody moves, is stuck or away, so that all lists are as long as they get.
async fn twelve(server: &TestServer) {
    for (idx, name) in NAMES.into_iter().enumerate() {
        let person = add(server, name).await;
        let early = [11, 9, 7, 5].map(|ago| Week::rehearsal(ago, &[(60.0, true), (63.0, false)]));
        let late: &[Week] = match idx % 3 {
            0 => &[Week::rehearsal(2, &[(66.0, true)]), Week::rehearsal(0, &[(66.0, true), (69.0, false)])],
            1 => &[
                Week::rehearsal(3, &[(63.0, false)]),
                Week::rehearsal(1, &[(63.0, false)]),
                Week::rehearsal(0, &[(63.0, false)]),
            ],
            _ => &[Week::rehearsal(2, &[(60.0, true)])],
        };
        write(server, Of::Person(&person), name, &[&early, late].concat()).await;
    }
}

async fn walk(client: Client, server: TestServer) {
    twelve(&server).await;
    client.goto(&server.running().conductor_link()).await.unwrap();
    client.goto(&server.url("/conduct/weeks")).await.unwrap();
    client.wait().for_element(Locator::Css(".players tbody tr:nth-child(12) svg")).await.unwrap();
    for (paper, width, height) in PAPERS {
        assert_eq!(n_pages(&client, (width, height)).await, 1, "{paper}");
    }
    let metrics = json!({"width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": true});
    command(&client, "Emulation.setDeviceMetricsOverride", metrics).await;
    let wider = client
        .execute("return document.documentElement.scrollWidth - window.innerWidth", vec![])
        .await
        .unwrap();
    command(&client, "Emulation.clearDeviceMetricsOverride", json!({})).await;
    assert_eq!(wider, json!(0), "the page moves sideways on a phone");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_section_of_twelve_prints_on_one_page() {
    let Some(programs) = programs_or_say_skipped("the section over weeks") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| walk(client, server)).await;
}
