//! The report of a rehearsal as it is printed: ten exercises and twelve players on one page of A4 and of Letter, in either language,
//! nothing cut off; more on several, no row in two. And files brought in on the page, as a person does it.

use super::driver::{Browser, Microphone, check_console, command, programs_or_say_skipped, wait_until};
use super::sheet::{PAPERS, printed};
use crate::report::bring;
use fantoccini::{Client, Locator};
use serde_json::{Value, json};
use windrow_tests::session_file::{EXAMPLE, session_file};
use windrow_tests::{TestServer, new_data_dir};

/// What does not fit into its cell, or hides under another one, a line each.
const CUT_OFF: &str = r"
    const found = [];
    const wide = document.querySelector('main').getBoundingClientRect();
    for (const cell of document.querySelectorAll('main :is(th, td, p, li, h1, h2)')) {
        if (cell.matches('.spoken')) continue;
        const box = cell.getBoundingClientRect();
        if (box.right > wide.right + 1 || box.left < wide.left - 1) found.push(`${cell.textContent.trim()}: beside the page`);
        if (cell.scrollWidth > cell.clientWidth + 1) found.push(`${cell.textContent.trim()}: ${cell.scrollWidth} in ${cell.clientWidth}`);
    }
    for (const row of document.querySelectorAll('main tr')) {
        if (getComputedStyle(row).breakInside !== 'avoid') found.push('a row may be cut');
    }
    for (const head of document.querySelectorAll('main thead')) {
        if (getComputedStyle(head).display !== 'table-header-group') found.push('a head is not repeated');
    }
    return found;";

async fn print_reports(client: Client, server: TestServer) {
    let large = session_file(36, 14).to_string().replace("0000-", "0001-");
    bring(&server, &session_file(12, 10).to_string()).await;
    bring(&server, &large).await;
    client.goto(&server.running().conductor_link()).await.unwrap();
    for language in ["en", "de"] {
        let cookie = format!("document.cookie = 'windrow_language={language}; path=/'");
        client.execute(&cookie, vec![]).await.unwrap();
        for (paper, width, height) in PAPERS {
            for (id, most) in [("0000-example", 1), ("0001-example", 6)] {
                let name = format!("{id} in {language} on {paper}");
                client.goto(&server.url(&format!("/conduct/rehearsals/{id}?paper={paper}"))).await.unwrap();
                let shapes = "return document.querySelectorAll('svg.shape path').length";
                wait_until(10, "shapes", async || match client.execute(shapes, vec![]).await.unwrap() {
                    Value::Number(n) if n.as_u64() > Some(100) => Ok(()),
                    other => Err(other.to_string()),
                })
                .await;
                let pages = printed(&client).await;
                let is_one = pages.len() == 1;
                assert!(is_one == (most == 1) && pages.len() <= most, "{name}: {} pages", pages.len());
                for (w, h) in pages {
                    assert!((w - width).abs() < 1.0 && (h - height).abs() < 1.0, "{name}: {w} by {h} points");
                }
                // As wide as the paper between its margins of 12 mm, at 96 px to the inch.
                let px = json!({
                    "width": ((width / 72.0 - 24.0 / 25.4) * 96.0).floor(), "height": 1000, "deviceScaleFactor": 1,
                    "mobile": false
                });
                command(&client, "Emulation.setDeviceMetricsOverride", px).await;
                command(&client, "Emulation.setEmulatedMedia", json!({"media": "print"})).await;
                let cut_off = client.execute(CUT_OFF, vec![]).await.unwrap();
                command(&client, "Emulation.setEmulatedMedia", json!({"media": ""})).await;
                command(&client, "Emulation.clearDeviceMetricsOverride", json!({})).await;
                assert_eq!(cut_off, json!([]), "{name}");
            }
        }
    }
    check_console(&client).await;
    server.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_report_prints_on_one_page() {
    let Some(programs) = programs_or_say_skipped("the report") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| print_reports(client, server)).await;
}

async fn bring_files(client: Client, server: TestServer) {
    let dir = new_data_dir();
    std::fs::create_dir_all(&dir).unwrap();
    let file = dir.join("two.jsonl");
    let other = EXAMPLE.replace("0000-", "0001-");
    let lines = format!("{}\n{}", EXAMPLE.trim_end(), other);
    std::fs::write(&file, &lines).unwrap();
    client.goto(&server.running().conductor_link()).await.unwrap();
    client.goto(&server.url("/conduct/rehearsals")).await.unwrap();
    let said = async |expected: &str| {
        wait_until(20, expected, async || {
            let text = client.find(Locator::Id("bring-said")).await.unwrap().text().await.unwrap();
            if text.contains(expected) { Ok(()) } else { Err(text) }
        })
        .await;
    };
    for expected in ["2 rehearsals have come, 4 players", "Nothing new: all 2 are here already"] {
        let field = client.find(Locator::Id("files")).await.unwrap();
        field.send_keys(&file.to_string_lossy()).await.unwrap();
        client.find(Locator::Css("#bring button")).await.unwrap().click().await.unwrap();
        said(expected).await;
    }
    client.goto(&server.url("/conduct/rehearsals")).await.unwrap();
    client
        .find(Locator::Css("a[href='/conduct/rehearsals/0001-example']"))
        .await
        .unwrap()
        .click()
        .await
        .unwrap();
    let heading = client.find(Locator::Css("h1")).await.unwrap().text().await.unwrap();
    assert_eq!(heading, "Larkmoor Youth Winds");
    std::fs::remove_dir_all(&dir).unwrap();
    check_console(&client).await;
    server.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn rehearsals_of_another_windrow_are_brought_in_on_the_page() {
    let Some(programs) = programs_or_say_skipped("files of rehearsals") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| bring_files(client, server)).await;
}
