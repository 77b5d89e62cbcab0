//! A Chromium that speaks its own protocol for developers over a socket: for figures that need its events, which the tests' driver
//! does not hand on. Must know nothing of any page of ours.

mod link;
mod page;
pub mod profile;

pub use page::Page;

use link::Link;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;

/// Names of the browser's program on Linux, macOS and Windows, in the order they are tried.
const PROGRAMS: [&str; 5] = [
    "chromium",
    "chromium-browser",
    "google-chrome",
    "Google Chrome.app/Contents/MacOS/Google Chrome",
    "chrome.exe",
];

/// Flags with which a browser runs unseen and asks nothing of anybody.
pub const FLAGS: [&str; 12] = [
    "--headless=new",
    // Continuous integration runs as root, where Chromium's sandbox cannot.
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    // A player's page is in the background while the conductor's is read; on a stand it never is.
    "--disable-background-timer-throttling",
    "--disable-renderer-backgrounding",
    "--window-size=1366,768",
    "--hide-scrollbars",
];

/// The browser's program, if there is one.
pub fn program() -> Option<PathBuf> {
    PROGRAMS.iter().find_map(|name| in_path(name))
}

/// A program by its name, where systems keep them.
pub fn in_path(name: &str) -> Option<PathBuf> {
    let mut dirs: Vec<PathBuf> = std::env::split_paths(&std::env::var_os("PATH")?).collect();
    dirs.push(PathBuf::from("/Applications"));
    dirs.into_iter().map(|dir| dir.join(name)).find(|program| program.is_file())
}

/// A running browser; ends with this value.
#[derive(Debug)]
pub struct Chromium {
    process: Child,
    profile: PathBuf,
    link: Arc<Link>,
}

impl Drop for Chromium {
    fn drop(&mut self) {
        // Errors mean that it has ended already, or that it is still writing; the system clears its own directory.
        let _ = self.process.kill();
        let _ = self.process.wait();
        let _ = std::fs::remove_dir_all(&self.profile);
    }
}

impl Chromium {
    /// Starts one that believes every certificate, with more flags than [`FLAGS`].
    ///
    /// # Panics
    /// When it does not start: nothing can be measured then.
    pub async fn start(program: &Path, flags: &[String]) -> Self {
        let profile = crate::new_data_dir();
        let mut process = Command::new(program)
            .args(FLAGS)
            .args(["--ignore-certificate-errors", "--remote-debugging-port=0"])
            .arg(format!("--user-data-dir={}", profile.display()))
            .args(flags)
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("Chromium starts");
        let stderr = process.stderr.take().expect("it was asked for");
        let mut lines = BufReader::new(stderr).lines();
        let address = lines
            .by_ref()
            .find_map(|line| Some(line.ok()?.strip_prefix("DevTools listening on ")?.to_owned()))
            .expect("Chromium says where it listens");
        // What it says later is of no interest, but a full pipe would stop it.
        std::thread::spawn(move || lines.for_each(drop));
        let link = Link::open(&address).await;
        Self { process, profile, link }
    }

    /// A new page; what it keeps it shares with the browser's other pages.
    pub async fn page(&self) -> Page {
        let target = self
            .link
            .command(None, "Target.createTarget", json!({"url": "about:blank", "newWindow": true}))
            .await;
        let asked = json!({"targetId": target["targetId"], "flatten": true});
        let attached = self.link.command(None, "Target.attachToTarget", asked).await;
        let session = attached["sessionId"].as_str().unwrap_or_default().to_owned();
        Page::new(Arc::clone(&self.link), session).await
    }

    /// Version of the browser, such as `Chrome/140.0.0.0`.
    pub async fn version(&self) -> String {
        let version: Value = self.link.command(None, "Browser.getVersion", json!({})).await;
        version["product"].as_str().unwrap_or_default().to_owned()
    }
}
