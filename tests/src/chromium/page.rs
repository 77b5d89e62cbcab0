//! One page of a browser: going somewhere, asking it things, pressing what is in it, and what has happened in it.

use super::link::Link;
use super::profile::Profile;
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::mpsc;

/// A page under remote control.
#[derive(Debug)]
pub struct Page {
    link: Arc<Link>,
    session: String,
    events: mpsc::UnboundedReceiver<Value>,
}

impl Page {
    pub(super) async fn new(link: Arc<Link>, session: String) -> Self {
        let events = link.events(&session);
        let page = Self { link, session, events };
        page.command("Page.enable", json!({})).await;
        page
    }

    /// Result of a command.
    ///
    /// # Panics
    /// When the browser refuses it.
    pub async fn command(&self, method: &str, parameters: Value) -> Value {
        self.link.command(Some(&self.session), method, parameters).await
    }

    /// Makes network, processor and window those of a device.
    pub async fn be(&self, profile: &Profile) {
        let conditions = json!({
            "offline": false,
            "latency": profile.latency_ms,
            "downloadThroughput": profile.down_bytes_per_s,
            "uploadThroughput": profile.up_bytes_per_s,
        });
        self.command("Network.enable", json!({})).await;
        self.command("Network.emulateNetworkConditions", conditions).await;
        self.command("Emulation.setCPUThrottlingRate", json!({"rate": profile.slower})).await;
        let (width, height, is_phone) = profile.window;
        let window = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": is_phone});
        self.command("Emulation.setDeviceMetricsOverride", window).await;
    }

    /// Goes to an address; what the page does there is waited for by asking it.
    pub async fn go(&self, url: &str) {
        let gone = self.command("Page.navigate", json!({"url": url})).await;
        assert!(gone["errorText"].is_null(), "{url}: {}", gone["errorText"]);
    }

    /// Value of an expression, or of what it promises.
    ///
    /// # Panics
    /// When it throws.
    pub async fn ask(&self, expression: &str) -> Value {
        let asked = json!({"expression": expression, "returnByValue": true, "awaitPromise": true});
        let mut answer = self.command("Runtime.evaluate", asked).await;
        assert!(answer["exceptionDetails"].is_null(), "{expression}: {}", answer["exceptionDetails"]);
        answer["result"]["value"].take()
    }

    /// Waits until an expression is true, for some seconds at most.
    ///
    /// # Panics
    /// When it does not come true.
    pub async fn wait_for(&self, seconds: u64, expression: &str) {
        let deadline = Instant::now() + Duration::from_secs(seconds);
        let mut ticks = tokio::time::interval(Duration::from_millis(50));
        loop {
            ticks.tick().await;
            if self.ask(expression).await.as_bool() == Some(true) {
                return;
            }
            if Instant::now() > deadline {
                let shown = self.ask("`${location.href}: ${document.body?.innerText.slice(0, 300)}`").await;
                panic!("{seconds} s without {expression}; shown: {shown}");
            }
        }
    }

    /// Events since the last look.
    pub fn events(&mut self) -> Vec<Value> {
        std::iter::from_fn(|| self.events.try_recv().ok()).collect()
    }

    /// The next event of a name, and those before it; for some seconds at most.
    ///
    /// # Panics
    /// When it does not come.
    pub async fn next(&mut self, method: &str, seconds: u64) -> (Value, Vec<Value>) {
        let mut before = Vec::new();
        let wait = async {
            loop {
                let event = self.events.recv().await.expect("the browser's socket is open");
                if event["method"] == method {
                    return event;
                }
                before.push(event);
            }
        };
        let found = tokio::time::timeout(Duration::from_secs(seconds), wait).await;
        (found.unwrap_or_else(|_| panic!("{seconds} s without {method}")), before)
    }

    /// Closes it.
    pub async fn close(self) {
        self.command("Page.close", json!({})).await;
    }
}
