//! Measures how soon the pages can be used on slow devices and networks, and what they weigh. One page after the other in an empty
//! browser (cold), then again in the same (warm), over https as phones come. What the figures mean stands beside them in
//! `windrow_tests::page_times`; profiles are in `windrow_tests::chromium::profile`.

#![forbid(unsafe_code)]

use clap::Parser;
use serde_json::{Value, json};
use std::process::ExitCode;
use windrow_tests::chromium::profile::{ALL, Profile};
use windrow_tests::chromium::{Chromium, program};
use windrow_tests::page_times::{Times, load, median, median_of, time_to_listening};
use windrow_tests::wave_file::{Encoding, write_wave};
use windrow_tests::{TestServer, new_data_dir};

/// How soon the pages can be used, cold and warm.
#[derive(Debug, Parser)]
#[command(name = "page_times")]
struct Asked {
    /// Times each page is loaded.
    #[arg(long, value_name = "N", default_value_t = 3)]
    runs: usize,
    /// One list, for other programs.
    #[arg(long)]
    json: bool,
}

fn main() -> ExitCode {
    let asked = Asked::parse();
    let Some(program) = program() else {
        eprintln!("page_times: there is no Chromium in PATH");
        return ExitCode::FAILURE;
    };
    let Ok(runtime) = tokio::runtime::Runtime::new() else { return ExitCode::FAILURE };
    let figures = runtime.block_on(measure(&program, asked.runs));
    if asked.json {
        println!("{}", json!(figures));
        return ExitCode::SUCCESS;
    }
    println!(
        "{:18} {:26} {:>6} {:>6} {:>6} {:>6} {:>7} {:>5} {:>8}  over",
        "profile", "page", "fcp", "lcp", "tbt", "cls", "usable", "asked", "bytes"
    );
    for f in figures {
        let n = |name: &str| f[name].as_f64().unwrap_or_default();
        let word = |name: &str| f[name].as_str().unwrap_or_default().to_owned();
        if let Some(listening) = f["listening_ms"].as_f64() {
            println!("{:18} {:26} listens {listening:.0} ms after the button", word("profile"), word("page"));
            continue;
        }
        println!(
            "{:18} {:26} {:>6.0} {:>6.0} {:>6.0} {:>6.3} {:>7.0} {:>5} {:>8}  {}",
            word("profile"),
            word("page"),
            n("fcp_ms"),
            n("lcp_ms"),
            n("tbt_ms"),
            n("cls"),
            n("usable_ms"),
            f["requests"],
            f["wire_bytes"],
            word("protocol"),
        );
    }
    ExitCode::SUCCESS
}

async fn measure(program: &std::path::Path, n_runs: usize) -> Vec<Value> {
    let microphone = new_data_dir().with_extension("wav");
    write_wave(&microphone, 44_100, 1, Encoding::Int16, &vec![0.0; 44_100]);
    let flags = [
        "--use-fake-device-for-media-stream".to_owned(),
        "--use-fake-ui-for-media-stream".to_owned(),
        format!("--use-file-for-fake-audio-capture={}", microphone.display()),
    ];
    let server = TestServer::start_secure().await;
    let site = format!("https://{}", server.running().https_addr.expect("a secure server"));
    let mut figures = Vec::new();
    let row = |profile: &Profile, page: &str, times: &Times| {
        let mut row = json!(times);
        row["profile"] = json!(profile.name);
        row["page"] = json!(page);
        row
    };
    for profile in &ALL {
        let laptop = profile.on_a_laptop();
        let pages = [
            ("player", profile, format!("{site}/join/{}", server.code()), "#name"),
            ("message", profile, format!("{site}/nowhere"), "h1"),
            ("conductor", &laptop, format!("{site}/conduct"), "#empty"),
            ("results", &laptop, format!("{site}/conduct/results"), "h1"),
            ("room", &laptop, format!("{site}/conduct/room"), "h1"),
            ("plans", &laptop, format!("{site}/conduct/plans"), "h1"),
            ("roster", &laptop, format!("{site}/conduct/roster"), "h1"),
        ];
        for (name, profile, url, needed) in pages {
            let (mut cold, mut warm, mut listening) = (Vec::new(), Vec::new(), Vec::new());
            for _ in 0..n_runs {
                // A browser of its own for each: it has kept nothing.
                let chromium = Chromium::start(program, &flags).await;
                let mut page = chromium.page().await;
                if url.contains("/conduct") {
                    // Signs in, and forgets what that brought along.
                    page.go(&format!("{site}/conduct?key={}", server.key())).await;
                    page.wait_for(30, "location.search === '' && document.readyState === 'complete'").await;
                    page.command("Network.clearBrowserCache", json!({})).await;
                }
                cold.push(load(&mut page, profile, &url, needed).await);
                warm.push(load(&mut page, profile, &url, needed).await);
                if name == "player" {
                    listening.push(time_to_listening(&mut page).await);
                }
            }
            figures.push(row(profile, &format!("{name}, cold"), &median(&cold)));
            figures.push(row(profile, &format!("{name}, warm"), &median(&warm)));
            if !listening.is_empty() {
                let to_listening = median_of(listening);
                figures.push(json!({"profile": profile.name, "page": name, "listening_ms": to_listening}));
            }
        }
    }
    // An error means that it is gone already.
    let _ = std::fs::remove_file(&microphone);
    figures
}
