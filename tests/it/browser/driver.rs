//! A real Chromium for the tests, by way of chromedriver, with a sound file as its microphone. Must not know what the
//! pages hold.

use fantoccini::wd::{Capabilities, WebDriverCompatibleCommand};
use fantoccini::{Client, ClientBuilder};
use http::Method;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tokio::task::LocalSet;

/// Names of the browser's program on Linux, macOS and Windows, in the order they are tried.
const BROWSERS: [&str; 5] = [
    "chromium",
    "chromium-browser",
    "google-chrome",
    "Google Chrome.app/Contents/MacOS/Google Chrome",
    "chrome.exe",
];

/// A browser under remote control; both end with it.
pub(crate) struct Browser {
    client: Client,
    driver: Driver,
}

/// The chromedriver process; ends with this value.
struct Driver(Child);

impl Drop for Driver {
    fn drop(&mut self) {
        // An error means that it has ended already.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// The browser's program and chromedriver; without them the test is skipped, which is said, or fails where it must run.
pub(crate) fn programs_or_say_skipped(test: &str) -> Option<(PathBuf, PathBuf)> {
    match programs() {
        Ok(programs) => Some(programs),
        Err(missing) => {
            assert!(std::env::var_os("WINDROW_REQUIRE_BROWSER").is_none(), "{test} cannot run: {missing}");
            say(&format!("skipped: {test}, since there is {missing}"));
            None
        }
    }
}

/// A line straight to the terminal: what a test that passes prints in the usual way is never shown.
pub(crate) fn say(text: &str) {
    let mut terminal = std::io::stderr();
    writeln!(terminal, "{text}").unwrap();
}

/// The browser's program and chromedriver, or what is missing.
fn programs() -> Result<(PathBuf, PathBuf), String> {
    let browser = BROWSERS.iter().find_map(|name| in_path(name)).ok_or("no Chromium in PATH")?;
    let driver = in_path(&format!("chromedriver{}", std::env::consts::EXE_SUFFIX));
    Ok((browser, driver.ok_or("no chromedriver in PATH")?))
}

fn in_path(name: &str) -> Option<PathBuf> {
    let mut dirs: Vec<PathBuf> = std::env::split_paths(&std::env::var_os("PATH")?).collect();
    dirs.push(PathBuf::from("/Applications"));
    dirs.into_iter().map(|dir| dir.join(name)).find(|program| program.is_file())
}

/// What becomes of a page that asks for the microphone.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Microphone<'a> {
    /// It hears a WAV file, over and over.
    Plays(&'a Path),
    /// The person says no, until it is allowed; then it hears the file.
    Refused(&'a Path),
    /// There is none.
    Missing,
}

impl Microphone<'_> {
    fn arguments(self) -> Vec<String> {
        let fake = "--use-fake-device-for-media-stream".to_owned();
        let yes = "--use-fake-ui-for-media-stream".to_owned();
        let hears = |file: &Path| format!("--use-file-for-fake-audio-capture={}", file.display());
        match self {
            Microphone::Plays(file) => vec![fake, yes, hears(file)],
            Microphone::Refused(file) => vec![fake, "--deny-permission-prompts".to_owned(), hears(file)],
            Microphone::Missing => vec![yes],
        }
    }
}

impl Browser {
    /// Opens one that hears `microphone`, a WAV file, over and over.
    pub(crate) async fn open(programs: (PathBuf, PathBuf), microphone: &Path) -> Self {
        Self::open_with(programs, Microphone::Plays(microphone)).await
    }

    /// Opens one that hears what `microphone` says, or nothing.
    pub(crate) async fn open_with(programs: (PathBuf, PathBuf), microphone: Microphone<'_>) -> Self {
        Self::open_at(programs, microphone, None).await
    }

    /// The same with a home directory of its own, where it looks for certificates to trust.
    pub(crate) async fn open_at(
        programs: (PathBuf, PathBuf),
        microphone: Microphone<'_>,
        home: Option<&Path>,
    ) -> Self {
        Self::open_flagged(programs, microphone, home, &[]).await
    }

    /// Opens one that sends everything through a proxy, whatever this machine's own address may be to it.
    pub(crate) async fn open_through(
        programs: (PathBuf, PathBuf),
        microphone: Microphone<'_>,
        proxy: SocketAddr,
    ) -> Self {
        let flags = [format!("--proxy-server=http://{proxy}"), "--proxy-bypass-list=<-loopback>".to_owned()];
        Self::open_flagged(programs, microphone, None, &flags).await
    }

    async fn open_flagged(
        (browser, driver): (PathBuf, PathBuf),
        microphone: Microphone<'_>,
        home: Option<&Path>,
        flags: &[String],
    ) -> Self {
        let (driver, port) = start_driver(&driver, home);
        let arguments: Vec<String> = [
            "--headless=new".to_owned(),
            // Continuous integration runs as root, where Chromium's sandbox cannot.
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-dev-shm-usage".to_owned(),
            "--no-first-run".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--disable-sync".to_owned(),
            // The player's page is in the background while the conductor's is read; on a stand it never is.
            "--disable-background-timer-throttling".to_owned(),
            "--disable-renderer-backgrounding".to_owned(),
            "--window-size=1366,768".to_owned(),
        ]
        .into_iter()
        .chain(microphone.arguments())
        .chain(flags.iter().cloned())
        .collect();
        let mut capabilities = Capabilities::new();
        capabilities.insert("goog:chromeOptions".to_owned(), json!({"binary": browser, "args": arguments}));
        capabilities.insert("goog:loggingPrefs".to_owned(), json!({"browser": "ALL"}));
        let client = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new())
            .capabilities(capabilities)
            .connect(&format!("http://127.0.0.1:{port}"))
            .await
            .unwrap_or_else(|e| panic!("Chromium does not start: {e}"));
        Self { client, driver }
    }

    /// Runs `steps` with the browser and closes it, whatever becomes of them.
    pub(crate) async fn during<F>(self, steps: impl FnOnce(Client) -> F)
    where
        F: Future<Output = ()> + 'static,
    {
        // A task of its own catches what the steps panic with.
        let steps = steps(self.client.clone());
        let outcome = LocalSet::new().run_until(async { tokio::task::spawn_local(steps).await }).await;
        // The driver ends next; what it would say about the browser is of no interest.
        let _ = self.client.close().await;
        drop(self.driver);
        if let Err(failure) = outcome {
            std::panic::resume_unwind(failure.into_panic());
        }
    }
}

/// Fails when a page wrote an error to its console, or could not load a part of itself.
pub(crate) async fn check_console(client: &Client) {
    check_console_but(client, &[]).await;
}

/// The same, but for errors that a test brought about and that hold some of these words.
pub(crate) async fn check_console_but(client: &Client, expected: &[&str]) {
    let entries = client.issue_cmd(ConsoleLog).await.unwrap();
    let is_error = |entry: &&Value| {
        let text = entry["message"].as_str().unwrap_or_default();
        entry["level"] == "SEVERE" && !expected.iter().any(|words| text.contains(words))
    };
    let errors: Vec<&Value> = entries.as_array().unwrap().iter().filter(is_error).collect();
    assert!(errors.is_empty(), "errors on the console: {errors:#?}");
}

/// Starts chromedriver on a free port and waits until it says which.
fn start_driver(program: &Path, home: Option<&Path>) -> (Driver, u16) {
    let mut child = Command::new(program)
        .envs(home.map(|home| ("HOME", home)))
        .arg("--port=0")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap_or_else(|e| panic!("{} does not start: {e}", program.display()));
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let driver = Driver(child);
    let port = lines.by_ref().find_map(|line| {
        let line = line.ok()?;
        line.split_once("successfully on port ")?.1.trim_end_matches('.').parse().ok()
    });
    // What it says later is of no interest, but a full pipe would stop it.
    std::thread::spawn(move || lines.for_each(drop));
    (driver, port.expect("chromedriver says on which port it listens"))
}

/// chromedriver's own command for the browser's console, which the standard does not have.
#[derive(Debug)]
struct ConsoleLog;

impl WebDriverCompatibleCommand for ConsoleLog {
    fn endpoint(&self, base_url: &url::Url, session_id: Option<&str>) -> Result<url::Url, url::ParseError> {
        base_url.join(&format!("session/{}/se/log", session_id.unwrap_or_default()))
    }

    fn method_and_body(&self, _request_url: &url::Url) -> (Method, Option<String>) {
        (Method::POST, Some(json!({"type": "browser"}).to_string()))
    }
}

/// A command of the browser's own protocol for developers, by way of chromedriver.
pub(crate) async fn command(client: &Client, name: &str, parameters: Value) -> Value {
    client.issue_cmd(Devtools(json!({"cmd": name, "params": parameters}))).await.unwrap()
}

#[derive(Debug)]
struct Devtools(Value);

impl WebDriverCompatibleCommand for Devtools {
    fn endpoint(&self, base_url: &url::Url, session_id: Option<&str>) -> Result<url::Url, url::ParseError> {
        base_url.join(&format!("session/{}/goog/cdp/execute", session_id.unwrap_or_default()))
    }

    fn method_and_body(&self, _request_url: &url::Url) -> (Method, Option<String>) {
        (Method::POST, Some(self.0.to_string()))
    }
}

/// Asks `question` about five times a second until it answers, for `seconds` at most; then fails with what it last saw.
pub(crate) async fn wait_until<T, F>(seconds: u64, what: &str, mut question: F) -> T
where
    F: AsyncFnMut() -> Result<T, String>,
{
    let deadline = Instant::now() + Duration::from_secs(seconds);
    let mut ticks = tokio::time::interval(Duration::from_millis(200));
    loop {
        ticks.tick().await;
        match question().await {
            Ok(answer) => return answer,
            Err(seen) => assert!(Instant::now() < deadline, "{seconds} s without {what}; last seen: {seen}"),
        }
    }
}
