//! Whether what a page shows can be used by finger, by keyboard, enlarged, and with more space in its text: asks usable.js in the page
//! as it stands, in windows of other sizes as well. Must know no page.

use super::driver::command;
use fantoccini::Client;
use serde_json::{Value, json};

const USABLE: &str = include_str!("usable.js");

/// Windows of a page that is enlarged: a screen of 1280 by 1024 at 200 and at 400 % (WCAG 2.2, SC 1.4.10: 320 CSS px).
const ENLARGED: [(u64, u64, &str); 2] = [(640, 512, "200 %"), (320, 256, "400 %")];

/// Our own least size of what a finger presses on a phone, CSS px (that of SC 2.5.5).
const FINGER_PX: u64 = 44;

/// Presses of Tab after which a walk is given up.
const MOST_STOPS: usize = 900;

/// What is wrong with what is shown now, a line an offence.
pub(super) struct Use<'a> {
    pub(super) client: &'a Client,
    /// CSS px of the window as it is, and whether it is a phone's.
    pub(super) window: (u64, u64, bool),
    /// What the page is written in.
    pub(super) language: &'a str,
    /// Whether it is a picture of paper, which keeps its two dimensions when it is enlarged (the exception of SC 1.4.10).
    pub(super) is_paper: bool,
}

impl Use<'_> {
    async fn ask(&self, question: &str) -> Vec<String> {
        let answer = self.run(&format!("return {question};")).await;
        let lines = answer.as_array().cloned().unwrap_or_default();
        lines.iter().map(|line| line.as_str().unwrap_or_default().to_owned()).collect()
    }

    async fn run(&self, script: &str) -> Value {
        self.client.execute(&format!("{USABLE}\n{script}"), vec![]).await.unwrap()
    }

    async fn resize(&self, (width, height, is_phone): (u64, u64, bool)) {
        let metrics = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": is_phone});
        command(self.client, "Emulation.setDeviceMetricsOverride", metrics).await;
        command(self.client, "Emulation.resetPageScaleFactor", json!({})).await;
        // What follows the size by script does so before the second frame.
        let settled = "const done = arguments[0]; requestAnimationFrame(() => requestAnimationFrame(done));";
        self.client.execute_async(settled, vec![]).await.unwrap();
    }

    /// Everything that can be asked without moving the focus.
    pub(super) async fn offences(&self) -> Vec<String> {
        let own = if self.window.2 { FINGER_PX } else { 0 };
        let mut found = self.ask(&format!("smallTargets({own})")).await;
        found.extend(self.ask(&format!("structure('{}')", self.language)).await);
        if self.is_paper {
            return found;
        }
        found.extend(self.ask("cutBySpacing()").await);
        for (width, height, size) in ENLARGED {
            self.resize((width, height, false)).await;
            found.extend(self.ask("tooWide()").await.into_iter().map(|line| format!("at {size} {line}")));
        }
        self.resize(self.window).await;
        found
    }

    /// A walk through all controls by Tab.
    pub(super) async fn walk(&self) -> Vec<String> {
        command(self.client, "Emulation.setFocusEmulationEnabled", json!({"enabled": true})).await;
        self.run("walk();").await;
        for _ in 0..MOST_STOPS {
            for kind in ["rawKeyDown", "keyUp"] {
                let key = json!({"type": kind, "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9});
                command(self.client, "Input.dispatchKeyEvent", key).await;
            }
            if self.run("return step();").await != json!(true) {
                break;
            }
        }
        self.ask("arrive()").await
    }
}
