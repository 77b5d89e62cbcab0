//! What a page weighs on its way to a device, and how soon it can be used there: figures for people, never a test, since times are
//! those of the computer at hand. Names of figures are Lighthouse's where it has them, by their definitions at web.dev (from memory).

use crate::chromium::Page;
use crate::chromium::profile::Profile;
use serde::Serialize;
use serde_json::Value;
use std::time::{Duration, Instant};

/// Gathers, before a page's own scripts run, what the browser says about its drawing; `usable` is the first frame in which
/// the element that a person needs first is seen.
const OBSERVER: &str = r"
    window.seen = { fcp: 0, lcp: 0, cls: 0, long: [], usable: 0 };
    const watch = (type, take) => new PerformanceObserver((list) => list.getEntries().forEach(take)).observe({ type, buffered: true });
    watch('paint', (e) => { if (e.name === 'first-contentful-paint') seen.fcp = e.startTime; });
    watch('largest-contentful-paint', (e) => { seen.lcp = e.startTime; });
    watch('layout-shift', (e) => { if (!e.hadRecentInput) seen.cls += e.value; });
    watch('longtask', (e) => { seen.long.push([e.startTime, e.duration]); });
    const look = () => {
      const needed = document.querySelector('NEEDED');
      if (needed && needed.checkVisibility()) seen.usable = performance.now();
      else requestAnimationFrame(look);
    };
    requestAnimationFrame(look);";

/// After which a page that could be used is left: no task of its start comes later.
const SETTLES_WITHIN: Duration = Duration::from_millis(2500);

/// A page's first moments.
#[derive(Debug, Clone, Serialize)]
pub struct Times {
    /// First text or picture, ms after the address was asked for.
    pub fcp_ms: f64,
    /// The largest of them.
    pub lcp_ms: f64,
    /// How much things jumped; good is 0.1 at most.
    pub cls: f64,
    /// Parts of tasks beyond 50 ms, summed up from the first paint on.
    pub tbt_ms: f64,
    /// What a person needs first can be seen and its script runs.
    pub usable_ms: f64,
    /// Requests that were answered with a body or without.
    pub requests: usize,
    /// Bytes on the wire, headers included, bodies as they were sent (zipped).
    pub wire_bytes: u64,
    /// Protocol of the page itself.
    pub protocol: String,
}

/// Opens an address on a device until `needed`, a selector, is seen and some more; what was loaded before is kept or not by
/// the page's own cache.
///
/// # Panics
/// When it is not seen within half a minute.
pub async fn load(page: &mut Page, profile: &Profile, url: &str, needed: &str) -> Times {
    page.be(profile).await;
    let script = OBSERVER.replace("NEEDED", needed);
    let added = serde_json::json!({"source": script});
    let script = page.command("Page.addScriptToEvaluateOnNewDocument", added).await;
    drop(page.events());
    page.go(url).await;
    page.wait_for(30, "(window.seen?.usable ?? 0) > 0").await;
    tokio::time::sleep(SETTLES_WITHIN).await;
    let seen = page.ask("seen").await;
    page.command("Page.removeScriptToEvaluateOnNewDocument", script).await;
    let (requests, wire_bytes, protocol) = on_the_wire(&page.events(), url);
    let number = |name: &str| seen[name].as_f64().unwrap_or_default();
    let fcp_ms = number("fcp");
    let tasks = seen["long"].as_array().cloned().unwrap_or_default();
    let beyond = |task: &Value| {
        let (start, long) = (task[0].as_f64().unwrap_or_default(), task[1].as_f64().unwrap_or_default());
        if start + long > fcp_ms { (long - 50.0).max(0.0) } else { 0.0 }
    };
    Times {
        fcp_ms,
        lcp_ms: number("lcp"),
        cls: number("cls"),
        tbt_ms: tasks.iter().map(beyond).sum(),
        usable_ms: number("usable"),
        requests,
        wire_bytes,
        protocol,
    }
}

fn on_the_wire(events: &[Value], url: &str) -> (usize, u64, String) {
    let named = |name: &'static str| events.iter().filter(move |event| event["method"] == name);
    let bytes = named("Network.loadingFinished")
        .filter_map(|e| e["params"]["encodedDataLength"].as_f64())
        .sum::<f64>();
    let answers = named("Network.responseReceived");
    let is_page = |event: &&Value| event["params"]["response"]["url"].as_str() == Some(url);
    let page = answers.clone().find(is_page).map(|event| event["params"]["response"]["protocol"].clone());
    // What came from the browser's own memory or disk was no request.
    let from_server = answers.filter(|event| {
        let response = &event["params"]["response"];
        response["fromDiskCache"] != true && response["fromPrefetchCache"] != true
    });
    (from_server.count(), bytes as u64, page.and_then(|p| p.as_str().map(str::to_owned)).unwrap_or_default())
}

/// Joins on the player's page that `load` has opened, and waits for the first reading that leaves the device; ms after the button.
///
/// # Panics
/// When none leaves within half a minute.
pub async fn time_to_listening(page: &mut Page) -> f64 {
    page.ask(
        "document.getElementById('name').value = 'Wren';
         document.getElementById('instrument').value = 'flute';",
    )
    .await;
    drop(page.events());
    let pressed = Instant::now();
    page.ask("document.getElementById('join').click()").await;
    loop {
        let (event, _) = page.next("Network.webSocketFrameSent", 30).await;
        let text = event["params"]["response"]["payloadData"].as_str().unwrap_or_default();
        if text.contains("\"reading\"") || text.contains("\"readings\"") {
            return pressed.elapsed().as_secs_f64() * 1000.0;
        }
    }
}

/// The middle of some loads, figure by figure.
pub fn median(loads: &[Times]) -> Times {
    let middle = |figure: fn(&Times) -> f64| median_of(loads.iter().map(figure).collect());
    let last = loads.last().expect("at least one load");
    Times {
        fcp_ms: middle(|t| t.fcp_ms),
        lcp_ms: middle(|t| t.lcp_ms),
        cls: middle(|t| t.cls),
        tbt_ms: middle(|t| t.tbt_ms),
        usable_ms: middle(|t| t.usable_ms),
        ..last.clone()
    }
}

/// The middle one of some figures.
pub fn median_of(mut figures: Vec<f64>) -> f64 {
    figures.sort_by(f64::total_cmp);
    figures[figures.len() / 2]
}
