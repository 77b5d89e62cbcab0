//! Starts and stops a server: the only way to do so, for the binary, the demo and every test. It ties the parts together
//! and holds no rule of theirs.

use crate::access::{Access, LinkKind};
use crate::clock::{ServerClock, unix_ms};
use crate::config::ServerConfig;
use crate::error::StartError;
use crate::http::{self, App, Lines, Shared};
use crate::room::{Registry, RoomTask, new_code, random_text};
use crate::store::{SessionRow, Store, StoreError};
use crate::tls;
use axum_server::accept::NoDelayAcceptor;
use axum_server::tls_rustls::RustlsConfig;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{mpsc, watch};
use tokio::task::JoinHandle;
use tokio::time::timeout;
use windrow_protocol::messages::RoomCheck;

/// Signs of the conductor's key, from 31 different ones: 118 bits, and nothing an address would have to escape.
const KEY_LENGTH: usize = 24;
const KEY_SIGNS: &[u8] = b"abcdefghijkmnpqrstuvwxyz23456789";
/// Deadline of each step when stopping: sockets, requests, rooms, writer.
const STOP_STEP: Duration = Duration::from_secs(5);
/// A connection that has not sent a whole request by then is closed.
const REQUEST_WITHIN: Duration = Duration::from_secs(15);

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
    /// Join code of the room.
    pub code: String,
    /// Opens everything of the conductor's, for programs that asked for it.
    pub key: Option<String>,
    /// Where the conductor's pages are on this computer, without a path.
    pub conductor_at: String,
    /// Where the conductor sets the first passphrase, once and within an hour; none where there is one.
    pub first_link: Option<String>,
    /// Addresses where devices join, the likeliest first.
    pub join_urls: Vec<String>,
    /// Tells this server's cookies from another's.
    cookie_id: String,
    closing: watch::Sender<bool>,
    rooms: Registry,
    clock: ServerClock,
    handle: axum_server::Handle<SocketAddr>,
    listening: Vec<JoinHandle<std::io::Result<()>>>,
    room: JoinHandle<()>,
    writer: JoinHandle<()>,
    open_sockets: mpsc::Receiver<()>,
    store: Store,
    session_id: String,
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
        let http_listener = bind(config.http, "http")?;
        let https_listener = config.https.map(|addr| bind(addr, "https")).transpose()?;
        let http_addr = address_of(&http_listener, config.http, "http")?;
        let https_addr = match (&https_listener, config.https) {
            (Some(listener), Some(addr)) => Some(address_of(listener, addr, "https")?),
            _ => None,
        };
        let addresses = tls::private_addresses();
        let tls_config = match https_addr {
            Some(_) => Some(Arc::new(
                tls::server_config(data_dir, tls::host_name().as_deref(), &addresses)
                    .map_err(StartError::Tls)?,
            )),
            None => None,
        };
        let store_error = |cause| StartError::Store { path: data_dir.clone(), cause };
        let store = Store::open(data_dir).await.map_err(store_error)?;
        let clock = ServerClock::start();
        let (recorder, writer) = store.start_writer();
        let session_id = uuid::Uuid::now_v7().to_string();
        let (section, a4_hz) = (config.section.clone(), config.a4_hz);
        let code = new_code();
        let (room, task) = RoomTask::new(session_id.clone(), code.clone(), section, a4_hz, clock, recorder);
        open_session(&store, &session_id, &code, &config).await.map_err(store_error)?;
        let rooms = Registry::default();
        rooms.add(&session_id, room);
        let join_urls = join_urls(http_addr, https_addr, &addresses, &code);
        let now_ms = unix_ms();
        let access = Access::open(store.clone(), code.clone(), now_ms).await.map_err(store_error)?;
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
        let (closing, closing_receiver) = watch::channel(false);
        let (open_sockets_sender, open_sockets) = mpsc::channel(1);
        let shared = Arc::new(Shared {
            rooms: rooms.clone(),
            clock,
            session_id: session_id.clone(),
            section: config.section.to_string(),
            access,
            program_key: config.program_key.clone(),
            join_at: join_urls[0].trim_end_matches(&format!("/join/{code}")).to_owned(),
            demo: config.demo,
            lines: Lines::default(),
            closing: closing_receiver,
        });
        tokio::spawn(shared.clone().watch_door());
        let app = |secure| App { shared: shared.clone(), secure, open_sockets: open_sockets_sender.clone() };
        let handle = axum_server::Handle::new();
        let listen_error = |addr, option| move |cause| StartError::Listen { addr, option, cause };
        // Sockets send without delay: a small message, such as a clock's answer or the music, would wait otherwise until
        // the device has acknowledged an earlier one.
        let mut listening = vec![tokio::spawn(
            axum_server::from_tcp(http_listener)
                .map_err(listen_error(http_addr, "http"))?
                .acceptor(NoDelayAcceptor::new())
                .handle(handle.clone())
                .first_request_timeout(REQUEST_WITHIN)
                .serve(http::router(app(false)).into_make_service_with_connect_info::<SocketAddr>()),
        )];
        if let (Some(listener), Some(tls_config)) = (https_listener, tls_config) {
            let https_handle = axum_server::Handle::with_control(handle.control());
            listening.push(tokio::spawn(
                axum_server::from_tcp_rustls(listener, RustlsConfig::from_config(tls_config))
                    .map_err(listen_error(http_addr, "https"))?
                    .map(|tls| tls.acceptor(NoDelayAcceptor::new()))
                    .handle(https_handle)
                    .first_request_timeout(REQUEST_WITHIN)
                    .serve(http::router(app(true)).into_make_service_with_connect_info::<SocketAddr>()),
            ));
        }
        Ok(Running {
            http_addr,
            https_addr,
            code,
            key: config.program_key,
            conductor_at,
            first_link,
            cookie_id,
            join_urls,
            closing,
            rooms,
            clock,
            handle,
            listening,
            room: tokio::spawn(task.run()),
            writer,
            open_sockets,
            store,
            session_id,
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

    /// The server's time now, µs: the clock that devices are to know.
    pub fn now_us(&self) -> f64 {
        self.clock.now_us()
    }

    /// What the room check found, if there was one.
    pub fn room_check(&self) -> Option<RoomCheck> {
        let room = self.rooms.get(&self.session_id)?;
        serde_json::from_str(&room.check()).ok()
    }

    /// Ends every connection with a word, writes what is waiting, and returns when all is done or its deadline past.
    pub async fn stop(mut self) {
        // Nobody listens for this where no socket is open.
        let _ = self.closing.send(true);
        self.handle.graceful_shutdown(Some(STOP_STEP));
        for server in self.listening {
            let _ = timeout(STOP_STEP * 2, server).await;
        }
        // Ends when the last socket and both listeners have let go of their sender.
        let _ = timeout(STOP_STEP, self.open_sockets.recv()).await;
        self.rooms.clear();
        let rooms_ended = timeout(STOP_STEP, self.room).await.is_ok();
        let written = timeout(STOP_STEP, self.writer).await.is_ok();
        if !(rooms_ended && written) {
            tracing::warn!(
                "stopped before everything was written; the devices keep what was not acknowledged"
            );
        }
        let ended_us = self.clock.now_us() as i64;
        if let Err(error) = self.store.end_session(&self.session_id, ended_us).await {
            tracing::warn!(%error, "the end of the session could not be noted");
        }
        self.store.close().await;
    }
}

/// Makes a directory that only its owner can look into, since the names of players are in it; one that is there already
/// stays as it is. On Windows it has the rights of the user's profile.
async fn make_private_dir(dir: &Path) -> std::io::Result<()> {
    let mut builder = tokio::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    builder.mode(0o700);
    builder.create(dir).await
}

fn bind(addr: SocketAddr, option: &'static str) -> Result<TcpListener, StartError> {
    TcpListener::bind(addr).map_err(|cause| StartError::Listen { addr, option, cause })
}

fn address_of(
    listener: &TcpListener,
    addr: SocketAddr,
    option: &'static str,
) -> Result<SocketAddr, StartError> {
    listener.local_addr().map_err(|cause| StartError::Listen { addr, option, cause })
}

async fn open_session(
    store: &Store,
    session_id: &str,
    code: &str,
    config: &ServerConfig,
) -> Result<(), StoreError> {
    let row = SessionRow {
        session_id: session_id.to_owned(),
        code: code.to_owned(),
        section_name: config.section.to_string(),
        a4_hz: config.a4_hz.get(),
        // The clock has only just started.
        time_nought_unix_ms: unix_ms(),
    };
    store.open_session(&row).await
}

/// Where devices join: over https at every address of this computer, else only on this computer.
fn join_urls(http: SocketAddr, https: Option<SocketAddr>, addresses: &[IpAddr], code: &str) -> Vec<String> {
    let (scheme, addr) = match https {
        Some(addr) => ("https", addr),
        None => ("http", http),
    };
    let loopback = IpAddr::from([127, 0, 0, 1]);
    let hosts: Vec<IpAddr> = match addr.ip() {
        ip if !ip.is_unspecified() => vec![ip],
        // Version 4 alone listens to version 4 alone.
        ip => addresses.iter().copied().filter(|a| a.is_ipv4() || ip.is_ipv6()).chain([loopback]).collect(),
    };
    hosts.into_iter().map(|ip| format!("{scheme}://{}:{}/join/{code}", host(ip), addr.port())).collect()
}

/// Where the conductor's pages are on this computer.
fn conductor_at(http: SocketAddr) -> String {
    let ip = if http.ip().is_unspecified() { "127.0.0.1".to_owned() } else { host(http.ip()) };
    format!("http://{ip}:{}", http.port())
}

/// An address as a link writes it.
fn host(ip: IpAddr) -> String {
    match ip {
        IpAddr::V4(v4) => v4.to_string(),
        IpAddr::V6(v6) => format!("[{v6}]"),
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn check(http: &str, https: Option<&str>, addresses: &[&str], expected: &[&str]) {
        let addresses: Vec<IpAddr> = addresses.iter().map(|a| a.parse().unwrap()).collect();
        let urls = join_urls(http.parse().unwrap(), https.map(|a| a.parse().unwrap()), &addresses, "KF3M7P");
        assert_eq!(urls, expected);
    }

    #[test]
    fn devices_join_over_https_at_an_address_they_can_reach() {
        let here = ["192.168.1.5", "fd00::5"];
        check(
            "127.0.0.1:8470",
            Some("0.0.0.0:8471"),
            &here,
            &["https://192.168.1.5:8471/join/KF3M7P", "https://127.0.0.1:8471/join/KF3M7P"],
        );
        check("127.0.0.1:8470", Some("10.0.0.2:8471"), &here, &["https://10.0.0.2:8471/join/KF3M7P"]);
        check("127.0.0.1:8470", None, &here, &["http://127.0.0.1:8470/join/KF3M7P"]);
        check("[::1]:8470", None, &here, &["http://[::1]:8470/join/KF3M7P"]);
    }
}
