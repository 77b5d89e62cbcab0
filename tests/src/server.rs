//! A server on free ports with a data directory of its own, which goes when the test does. It starts by the same code
//! as the program.

use std::path::{Path, PathBuf};
use windrow::config::{Https, ReachConfig, ServerConfig};
use windrow::words::Language;
use windrow::{Running, Server};
use windrow_protocol::units::{Hertz, Name};

/// A running server.
#[derive(Debug)]
pub struct TestServer {
    running: Running,
    data: DataDir,
}

/// A directory that goes when it is dropped.
#[derive(Debug)]
struct DataDir {
    path: PathBuf,
    /// Cleared where another owner takes over.
    goes: bool,
}

impl Drop for DataDir {
    fn drop(&mut self) {
        if self.goes {
            // On a system that keeps open files locked the last one may stay; the system clears its own directory.
            let _ = std::fs::remove_dir_all(&self.path);
        }
    }
}

impl TestServer {
    /// Starts one on plain http.
    ///
    /// # Panics
    /// When it does not start: no test can go on then.
    pub async fn start() -> Self {
        let path = new_data_dir();
        Self::start_in(path).await
    }

    /// Starts one that serves https as well.
    ///
    /// # Panics
    /// As [`TestServer::start`].
    pub async fn start_secure() -> Self {
        let addr = std::net::SocketAddr::from(([127, 0, 0, 1], 0));
        Self::start_with(|config| config.reach.https = Https::Own { addr, constrained: true }).await
    }

    /// Starts one whose settings `change` makes others than usual.
    ///
    /// # Panics
    /// As [`TestServer::start`].
    pub async fn start_with(change: impl FnOnce(&mut ServerConfig)) -> Self {
        let path = new_data_dir();
        let mut config = config(&path);
        change(&mut config);
        let running = Server::start(config).await.expect("the server starts");
        Self { running, data: DataDir { path, goes: true } }
    }

    /// Starts one with the records of an earlier one.
    ///
    /// # Panics
    /// As [`TestServer::start`].
    pub async fn start_in(path: PathBuf) -> Self {
        let running = Server::start(config(&path)).await.expect("the server starts");
        Self { running, data: DataDir { path, goes: true } }
    }

    /// Where it listens.
    pub fn running(&self) -> &Running {
        &self.running
    }

    /// Join code of its room.
    pub fn code(&self) -> &str {
        &self.running.code
    }

    /// Key of its conductor.
    pub fn key(&self) -> &str {
        self.running.key.as_deref().expect("a test's server has a key")
    }

    /// Header `Cookie` of a browser in which the conductor has signed in.
    pub fn conductor_cookie(&self) -> String {
        format!("{}={}", self.running.cookie_name(), self.key())
    }

    /// Address of a path over http.
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.running.http_addr)
    }

    /// Address of a socket.
    pub fn socket_url(&self, path: &str) -> String {
        format!("ws://{}{path}", self.running.http_addr)
    }

    /// Its data directory.
    pub fn data_dir(&self) -> &Path {
        &self.data.path
    }

    /// Stops it properly and leaves its records to the caller.
    pub async fn stop(mut self) -> PathBuf {
        self.data.goes = false;
        self.running.stop().await;
        self.data.path.clone()
    }
}

/// Where a test's server keeps its data; the caller removes it.
pub fn new_data_dir() -> PathBuf {
    std::env::temp_dir().join(format!("windrow-test-{}", unique()))
}

/// Settings as `windrow serve` has them, without a key for programs: free ports on this computer, plain http.
pub fn serve_config(data_dir: &Path) -> ServerConfig {
    ServerConfig { program_key: None, ..config(data_dir) }
}

/// Settings of a test's server: free ports on this computer, plain http.
pub(crate) fn config(data_dir: &Path) -> ServerConfig {
    ServerConfig {
        data_dir: data_dir.to_owned(),
        reach: ReachConfig::plain_http(std::net::SocketAddr::from(([127, 0, 0, 1], 0))),
        sections: vec![Name::new("Larkmoor Youth Winds").expect("a name")],
        a4_hz: Hertz::new(440.0).expect("a tuning"),
        demo: false,
        language: Language::English,
        keep_days: None,
        program_key: Some(format!("key{}", unique().replace('-', "x"))),
        metrics_token: None,
    }
}

/// Differs between tests that run at the same time, in one process or several.
fn unique() -> String {
    use std::sync::atomic::{AtomicU64, Ordering};
    static NEXT: AtomicU64 = AtomicU64::new(0);
    let since_1970 = std::time::UNIX_EPOCH.elapsed().unwrap_or_default().as_nanos();
    format!("{}-{since_1970}-{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed))
}
