//! Starts and stops a server: the only way to do so, for the binary, the demo and every test. It ties the parts together
//! and holds no rule of theirs.

mod connections;
mod listeners;
mod patient;
mod reaching;

use crate::access::{Access, LinkKind};
use crate::clock::unix_ms;
use crate::config::ServerConfig;
use crate::error::StartError;
use crate::http::{self, Lines, Shared, Site};
use crate::metrics::Metrics;
use crate::reach::{Announced, Reach, link_host};
use crate::room::{Lesson, random_text};
use crate::rooms::{Ground, Rooms};
use crate::roster::keep_only_recent;
use crate::store::Store;
use crate::tls;
use crate::upkeep::Upkeep;
use crate::words::english;
pub(crate) use connections::Connections;
use listeners::Listeners;
use std::fs::{File, TryLockError};
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::{mpsc, watch};
use tokio::task::JoinHandle;
use tokio::time::timeout;
use windrow_protocol::messages::RoomCheck;

/// Signs of the conductor's key, from 31 different ones: 118 bits, and nothing an address would have to escape.
const KEY_LENGTH: usize = 24;
const KEY_SIGNS: &[u8] = b"abcdefghijkmnpqrstuvwxyz23456789";
/// Empty; it is there to be locked.
const LOCK_FILE: &str = "serving.lock";
/// Deadline of each step when stopping: sockets, requests, rooms, writer.
const STOP_STEP: Duration = Duration::from_secs(5);

/// The server.
#[derive(Debug)]
pub struct Server;

/// A server that is listening.
#[derive(Debug)]
pub struct Running {
    /// Where plain http is served.
    pub http_addr: SocketAddr,
    /// Where https is served, if it is.
    pub https_addr: Option<SocketAddr>,
    /// Join code of the room that was opened first, as it was at the start.
    pub code: String,
    /// Opens everything of the conductor's, for programs that asked for it.
    pub key: Option<String>,
    /// Where the conductor's pages are on this computer, without a path.
    pub conductor_at: String,
    /// Where the conductor sets the first passphrase, once and within an hour; none where there is one.
    pub first_link: Option<String>,
    /// Tells this server's cookies from another's.
    cookie_id: String,
    closing: watch::Sender<bool>,
    rooms: Arc<Rooms>,
    handle: axum_server::Handle<SocketAddr>,
    listening: Vec<JoinHandle<std::io::Result<()>>>,
    watching: JoinHandle<()>,
    reach: Arc<Reach>,
    writer: JoinHandle<()>,
    open_sockets: mpsc::Receiver<()>,
    store: Store,
    /// Locked as long as this server runs; the system lets go of it however the program ends.
    _in_use: File,
}

impl Server {
    /// Binds, opens the records and serves until [`Running::stop`].
    ///
    /// # Errors
    /// [`StartError`], ready to be shown.
    pub async fn start(config: ServerConfig) -> Result<Running, StartError> {
        tls::choose_cryptography();
        let data_dir = &config.data_dir;
        make_private_dir(data_dir)
            .await
            .map_err(|cause| StartError::DataDir { path: data_dir.clone(), cause })?;
        let in_use = take_records(data_dir)?;
        let listeners = Listeners::bind(&config.reach)?;
        let (http_addr, https_addr) = (listeners.http_addr, listeners.https_addr);
        let reaching = reaching::prepare(&config.reach, &listeners, data_dir)?;
        let reach = reaching.reach.clone();
        let store_error = |cause| StartError::Store { path: data_dir.clone(), cause };
        let store = Store::open(data_dir).await.map_err(store_error)?;
        let upkeep = Upkeep::begin(store.clone()).await.map_err(store_error)?;
        let (recorder, writer) = store.start_writer();
        let metrics = Metrics::new(&recorder.counts());
        let now_ms = unix_ms();
        let access = Access::open(store.clone(), now_ms).await.map_err(store_error)?;
        let ground = Ground {
            store: store.clone(),
            a4_hz: config.a4_hz,
            keep_days: config.keep_days,
            demo: config.demo,
            code_lasts_min: access.code_lasts_min(),
            metrics: metrics.clone(),
        };
        let rooms = Rooms::begin(ground, recorder, &config.sections).await.map_err(store_error)?;
        let (closing, closing_receiver) = watch::channel(false);
        let cookie_id = access.cookie_id().to_owned();
        let conductor_at = conductor_at(http_addr);
        store.note_address(&conductor_at).await.map_err(store_error)?;
        let first_link = match access.has_passphrase().await.map_err(store_error)? {
            true => None,
            false => {
                let token = access.new_link(LinkKind::Passphrase, now_ms).await.map_err(store_error)?;
                Some(format!("{conductor_at}/first/{token}"))
            }
        };
        let (open_sockets_sender, open_sockets) = mpsc::channel(1);
        let shared = Arc::new(Shared {
            rooms: rooms.clone(),
            records: store.clone(),
            metrics,
            metrics_token: config.metrics_token.clone(),
            upkeep: upkeep.clone(),
            access,
            program_key: config.program_key.clone(),
            reach: reach.clone(),
            demo: config.demo,
            language: config.language,
            lines: Lines::default(),
            closing: closing_receiver,
        });
        tokio::spawn(shared.clone().watch_doors());
        tokio::spawn(shared.clone().watch_lists());
        tokio::spawn(keep_only_recent(store.clone(), config.keep_days, shared.closing.clone()));
        tokio::spawn(upkeep.run(shared.closing.clone()));
        let site =
            |secure| Site { shared: shared.clone(), secure, open_sockets: open_sockets_sender.clone() };
        // Whoever gets past the gate then speaks https with the proxy, or sits at this computer.
        let ends_at_proxy = !config.reach.proxies.is_empty();
        let (handle, listening) =
            listeners.serve(reaching.https.clone(), |secure| http::router(site(secure || ends_at_proxy)))?;
        let look = reaching.watch(&config.reach).run(shared.closing.clone());
        Ok(Running {
            http_addr,
            https_addr,
            code: rooms.first().map(|room| room.code()).unwrap_or_default(),
            key: config.program_key,
            conductor_at,
            first_link,
            cookie_id,
            closing,
            rooms,
            handle,
            listening,
            watching: tokio::spawn(look),
            reach,
            writer,
            open_sockets,
            store,
            _in_use: in_use,
        })
    }
}

/// A new key for programs.
pub fn new_key() -> String {
    random_text(KEY_SIGNS, KEY_LENGTH)
}

impl Running {
    /// Link that opens the conductor's page on this computer: by itself for programs with a key, else by the passphrase.
    pub fn conductor_link(&self) -> String {
        match &self.key {
            Some(key) => format!("{}/conduct?key={key}", self.conductor_at),
            None => format!("{}/conduct", self.conductor_at),
        }
    }

    /// Name of the cookie of whoever is signed in, over plain http.
    pub fn cookie_name(&self) -> String {
        http::cookie::name_of(false, &self.cookie_id)
    }

    /// Links with which devices join now, the likeliest first.
    pub fn join_urls(&self) -> Vec<String> {
        self.reach.join_urls(&self.code)
    }

    /// What the terminal shows of the ways in.
    pub(crate) fn reach(&self) -> &Reach {
        &self.reach
    }

    /// Waits until it is settled by which name devices find this computer, but not for longer than `within`.
    pub async fn settle_local_name(&self, within: Duration) {
        let settled = async {
            while matches!(self.reach.surroundings().announced, Announced::Asking(_)) {
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
        };
        // A network that does not answer is told by a warning.
        let _ = timeout(within, settled).await;
    }

    /// Section and join code of each room.
    pub fn codes(&self) -> Vec<(String, String)> {
        self.rooms.all().iter().map(|room| (room.roster.section().to_string(), room.code())).collect()
    }

    /// The time now of the room that was opened first, µs: the clock that its devices are to know.
    pub fn now_us(&self) -> f64 {
        self.rooms.first().map_or(0.0, |room| room.clock.now_us())
    }

    /// Makes a plan the one that the room plays from; the text says why not, if so.
    pub(crate) async fn take_plan(&self, lesson: Lesson) -> Option<String> {
        let ended = || "the room has ended".to_owned();
        let Some(room) = self.rooms.first() else { return Some(ended()) };
        let taken = room.handle.take_plan(lesson).await.map(|refused| refused.map(|text| english(&text)));
        taken.unwrap_or_else(|_| Some(ended()))
    }

    /// What the room check found, if there was one.
    pub fn room_check(&self) -> Option<RoomCheck> {
        let room = self.rooms.first()?;
        serde_json::from_str(&room.handle.check()).ok()
    }

    /// Ends every connection with a word, writes what is waiting, and returns when all is done or its deadline past.
    pub async fn stop(mut self) {
        // Nobody listens for this where no socket is open.
        let _ = self.closing.send(true);
        self.rooms.tell_closing();
        self.handle.graceful_shutdown(Some(STOP_STEP));
        for server in self.listening {
            let _ = timeout(STOP_STEP * 2, server).await;
        }
        let _ = timeout(STOP_STEP, self.watching).await;
        // Ends when the last socket and all listeners have let go of their sender.
        let _ = timeout(STOP_STEP, self.open_sockets.recv()).await;
        let mut endings = self.rooms.end();
        let until = Instant::now() + STOP_STEP;
        let mut rooms_ended = true;
        for ending in &mut endings {
            rooms_ended &= ending.wait(until.saturating_duration_since(Instant::now())).await;
        }
        let written = timeout(STOP_STEP, self.writer).await.is_ok();
        if !(rooms_ended && written) {
            tracing::warn!(
                "stopped before everything was written; the devices keep what was not acknowledged"
            );
        }
        for ending in endings {
            ending.note().await;
        }
        self.store.close().await;
    }
}

/// Makes a directory that only its owner can look into, since the names of players are in it; one that is there already
/// stays as it is. On Windows it has the rights of the user's profile.
pub(crate) async fn make_private_dir(dir: &Path) -> std::io::Result<()> {
    let mut builder = tokio::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    builder.mode(0o700);
    builder.create(dir).await
}

/// Who has the records.
#[derive(Debug)]
pub(crate) enum Use {
    /// Whoever asked, as long as this is held.
    Ours(File),
    /// A server that is running.
    Theirs,
}

/// Marks the records as this program's: two servers on one file would take the same session for the last, the same code, and a
/// name of each other's on the network.
///
/// # Errors
/// When the mark cannot be made.
pub(crate) fn use_records(data_dir: &Path) -> std::io::Result<Use> {
    let mut options = File::options();
    let file = options.create(true).truncate(false).write(true).open(data_dir.join(LOCK_FILE))?;
    match file.try_lock() {
        Ok(()) => Ok(Use::Ours(file)),
        Err(TryLockError::WouldBlock) => Ok(Use::Theirs),
        Err(TryLockError::Error(error)) => {
            tracing::warn!(%error, "whether another server uses these records cannot be seen here");
            Ok(Use::Ours(file))
        }
    }
}

fn take_records(data_dir: &Path) -> Result<File, StartError> {
    match use_records(data_dir) {
        Ok(Use::Ours(file)) => Ok(file),
        Ok(Use::Theirs) => Err(StartError::InUse { path: data_dir.to_owned() }),
        Err(cause) => Err(StartError::DataDir { path: data_dir.to_owned(), cause }),
    }
}

/// Where the conductor's pages are on this computer.
fn conductor_at(http: SocketAddr) -> String {
    let ip = if http.ip().is_unspecified() { "127.0.0.1".to_owned() } else { link_host(http.ip()) };
    format!("http://{ip}:{}", http.port())
}

/// Where records go if nobody says: the place each system keeps such data.
///
/// # Errors
/// [`StartError::NoDataDir`] where the system names none.
pub fn default_data_dir() -> Result<std::path::PathBuf, StartError> {
    let from = |variable: &str, below: &[&str]| {
        std::env::var_os(variable)
            .filter(|v| Path::new(v).is_absolute())
            .map(|v| below.iter().fold(std::path::PathBuf::from(v), |path, part| path.join(part)))
    };
    let dir = if cfg!(windows) {
        from("APPDATA", &["Windrow"])
    } else if cfg!(target_os = "macos") {
        from("HOME", &["Library", "Application Support", "Windrow"])
    } else {
        from("XDG_DATA_HOME", &["windrow"]).or_else(|| from("HOME", &[".local", "share", "windrow"]))
    };
    dir.ok_or(StartError::NoDataDir)
}
