//! The sheet as it is printed: every plan that comes with Windrow on one page of A4 and of Letter, nothing cut off, on the
//! conductor's page and as a file that stands alone.

use super::driver::{Browser, Microphone, check_console, command, programs_or_say_skipped};
use fantoccini::Client;
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;
use windrow_tests::{TestServer, request};

/// Slug, width and height in points of 1/72 inch: ISO 216 says 210 by 297 mm, Letter is 8.5 by 11 inches.
pub(super) const PAPERS: [(&str, f64, f64); 2] = [("a4", 595.3, 841.9), ("letter", 612.0, 792.0)];
/// A treble clef, one that transposes, and a bass clef.
const INSTRUMENTS: [&str; 3] = ["flute", "alto-sax", "bassoon"];

/// What does not lie within its page, and where a page is higher or wider than it should be, a line each.
const CUT_OFF: &str = r"
    const found = [];
    for (const page of document.querySelectorAll('.page')) {
        const box = page.getBoundingClientRect();
        if (page.scrollHeight > page.clientHeight || page.scrollWidth > page.clientWidth) {
            found.push(`page: ${page.scrollWidth} x ${page.scrollHeight} in ${page.clientWidth} x ${page.clientHeight}`);
        }
        for (const part of page.querySelectorAll('*')) {
            const its = part.getBoundingClientRect();
            const out = Math.max(its.right - box.right, its.bottom - box.bottom, box.left - its.left, box.top - its.top);
            if (out > 1) found.push(`${part.tagName} ${part.textContent.slice(0, 40)}: ${out} px out`);
        }
        const columns = page.querySelector('.columns').getBoundingClientRect();
        const foot = page.querySelector('footer')?.getBoundingClientRect();
        if (foot && foot.top < columns.bottom) found.push(`the log lies ${columns.bottom - foot.top} px over the exercises`);
        for (const picture of page.querySelectorAll('.beside figure, .all-beside figure')) {
            const words = picture.parentElement.querySelector('.words').getBoundingClientRect();
            const over = picture.getBoundingClientRect().right - words.left;
            if (over > 0) found.push(`words ${over} px over a picture`);
        }
    }
    return found;";

pub(super) fn from_base64(text: &str) -> Vec<u8> {
    let value = |sign: u8| match sign {
        b'A'..=b'Z' => sign - b'A',
        b'a'..=b'z' => sign - b'a' + 26,
        b'0'..=b'9' => sign - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let signs: Vec<u8> = text.bytes().filter(|&sign| sign != b'=').map(value).collect();
    let bytes = signs.chunks(4).flat_map(|four| {
        let bits = four.iter().enumerate().fold(0u32, |bits, (i, &v)| bits | u32::from(v) << (18 - 6 * i));
        bits.to_be_bytes()[1..four.len()].to_vec()
    });
    bytes.collect()
}

/// Pages of what the browser prints, each with its width and height in points.
pub(super) async fn printed(client: &Client) -> Vec<(f64, f64)> {
    // By the browser's own protocol, where the page chooses the paper as it does when a person prints.
    let pdf = command(client, "Page.printToPDF", json!({"preferCSSPageSize": true})).await;
    let pdf = from_base64(pdf["data"].as_str().unwrap());
    let text = String::from_utf8_lossy(&pdf);
    let pages = text.matches("/Type /Page\n").count() + text.matches("/Type /Page ").count();
    let boxes: Vec<(f64, f64)> = text
        .split("/MediaBox [")
        .skip(1)
        .map(|rest| {
            let numbers = rest.split(']').next().unwrap().split_whitespace();
            let numbers: Vec<f64> = numbers.map(|number| number.parse().unwrap()).collect();
            (numbers[2] - numbers[0], numbers[3] - numbers[1])
        })
        .collect();
    assert_eq!(pages, boxes.len(), "a page without its size");
    boxes
}

/// Fails unless what is open prints on one page of this size, with nothing cut off.
async fn check_print(client: &Client, name: &str, (paper, width, height): (&str, f64, f64)) {
    let pages = printed(client).await;
    assert_eq!(pages.len(), 1, "{name} on {paper}: {} pages", pages.len());
    let (w, h) = pages[0];
    assert!((w - width).abs() < 1.0 && (h - height).abs() < 1.0, "{name} on {paper}: {w} by {h} points");
    command(client, "Emulation.setEmulatedMedia", json!({"media": "print"})).await;
    let cut_off = client.execute(CUT_OFF, vec![]).await.unwrap();
    command(client, "Emulation.setEmulatedMedia", json!({"media": ""})).await;
    assert_eq!(cut_off, json!([]), "{name} on {paper}");
}

async fn print_all(client: Client, server: TestServer) {
    client.goto(&server.running().conductor_link()).await.unwrap();
    let cookie = server.conductor_cookie();
    let plans = request::get(server.running().http_addr, "/conduct/plans.json", &[("Cookie", &cookie)]).await;
    let plans: Value = serde_json::from_slice(&plans.body).unwrap();
    let names: Vec<&str> =
        plans.as_array().unwrap().iter().map(|plan| plan["name"].as_str().unwrap()).collect();
    assert!(names.len() >= 7, "{names:?}");
    for (i, name) in names.iter().enumerate() {
        for (j, paper) in PAPERS.into_iter().enumerate() {
            // The longest is printed for all of them.
            let all =
                if *name == "first-fortnight" { INSTRUMENTS.as_slice() } else { &[INSTRUMENTS[(i + j) % 3]] };
            for instrument in all {
                let path = format!("/conduct/plans/{name}/sheet?instrument={instrument}&paper={}", paper.0);
                client.goto(&server.url(&path)).await.unwrap();
                check_print(&client, &format!("{name} for {instrument}"), paper).await;
            }
        }
    }
    check_console(&client).await;

    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("sheet.html");
    let mut program = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    program.args(["plan", "sheet", "first-lesson", "--instrument", "bassoon", "--paper", "letter", "--out"]);
    assert!(program.arg(&file).status().unwrap().success());
    client.goto(&format!("file://{}", file.display())).await.unwrap();
    check_print(&client, "the file", PAPERS[1]).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_plans_sheet_prints_on_one_page() {
    let Some(programs) = programs_or_say_skipped("the sheet") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| print_all(client, server)).await;
}
