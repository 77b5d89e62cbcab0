//! Where the load is played: a Windrow in a process of its own, or the bare relay in one. What differs between them, and between one
//! room and several, stands here.

use super::Load;
use super::relay::Script;
use crate::process::Process;
use crate::request::get;
use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject;
use serde::Deserialize;
use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;

/// Where players and conductors connect to.
#[derive(Debug)]
pub(super) struct Place {
    pub(super) addr: SocketAddr,
    pub(super) tls: Option<Arc<rustls::ClientConfig>>,
    pub(super) rooms: Vec<RoomPlace>,
    /// Nobody there knows what music is.
    pub(super) is_relay: bool,
}

/// One room there.
#[derive(Debug)]
pub(super) struct RoomPlace {
    pub(super) code: String,
    pub(super) player_path: String,
    pub(super) conductor_path: String,
}

/// A server with this many rooms.
#[derive(Debug)]
pub(super) struct Windrow {
    process: Process,
    https: SocketAddr,
    n_rooms: u32,
    tls: Option<Arc<rustls::ClientConfig>>,
}

/// A room as `/conduct/rooms.json` lists it.
#[derive(Debug, Deserialize)]
struct ListedRoom {
    room: String,
    code: String,
}

#[derive(Debug, Deserialize)]
struct ListedRooms {
    rooms: Vec<ListedRoom>,
}

impl Windrow {
    /// # Panics
    /// When it does not start.
    pub(super) fn start(program: &Path, data_dir: &Path, load: Load) -> Self {
        let https = free_address();
        let mut command = Command::new(program);
        command.arg("serve").args(["--http", "127.0.0.1:0", "--https", &https.to_string()]);
        if load.n_rooms > 1 {
            for room in 1..=load.n_rooms {
                command.args(["--section", &format!("Section {room}")]);
            }
        }
        let process = Process::start(&mut command, data_dir);
        let tls = load.tls.then(|| trusting(&data_dir.join("certificate/authority.pem")));
        Self { process, https, n_rooms: load.n_rooms, tls }
    }

    /// # Panics
    /// When it has not as many rooms as it was asked for.
    pub(super) async fn place(&self) -> Arc<Place> {
        let http: SocketAddr = self.process.http_addr.parse().expect("an address");
        let key = self.process.key();
        let rooms = match self.n_rooms {
            1 => {
                let conductor_path = format!("/ws/conductor?key={key}");
                vec![RoomPlace {
                    code: self.process.code.clone(),
                    player_path: PLAYER.to_owned(),
                    conductor_path,
                }]
            }
            n => {
                let signed_in = get(http, &format!("/conduct?key={key}"), &[]).await;
                let listed = get(http, "/conduct/rooms.json", &[("Cookie", &signed_in.cookie())]).await;
                let listed: ListedRooms = serde_json::from_slice(&listed.body).expect("a list of rooms");
                assert_eq!(listed.rooms.len(), n as usize, "{listed:?}");
                let place = |listed: ListedRoom| RoomPlace {
                    code: listed.code,
                    player_path: PLAYER.to_owned(),
                    conductor_path: format!("/ws/conductor?key={key}&room={}", listed.room),
                };
                listed.rooms.into_iter().map(place).collect()
            }
        };
        let addr = if self.tls.is_some() { self.https } else { http };
        Arc::new(Place { addr, tls: self.tls.clone(), rooms, is_relay: false })
    }

    pub(super) fn id(&self) -> u32 {
        self.process.id()
    }

    pub(super) fn kill(&mut self) {
        self.process.kill();
    }
}

const PLAYER: &str = "/ws/player";

/// A relay in a process of its own; it goes with this.
#[derive(Debug)]
pub(super) struct Relay {
    child: Child,
    place: Arc<Place>,
}

impl Drop for Relay {
    fn drop(&mut self) {
        // It may be gone already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Relay {
    /// # Panics
    /// When it does not start.
    pub(super) fn start(program: &Path, data_dir: &Path, load: Load, sample: &Script) -> Self {
        let certificate = data_dir.join("certificate");
        let script = Script {
            n_rooms: load.n_rooms as usize,
            certificate: load.tls.then(|| certificate.clone()),
            ..sample.clone()
        };
        let mut command = Command::new(program);
        let command = command.arg("--as-relay").stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = command.spawn().expect("the relay starts");
        let script = serde_json::to_string(&script).expect("texts and numbers become JSON");
        let mut stdin = child.stdin.take().expect("it is piped");
        stdin.write_all(script.as_bytes()).expect("the relay reads");
        // With this it has all of it.
        drop(stdin);
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("it is piped"))
            .read_line(&mut line)
            .expect("it prints text");
        let addr = line.trim().parse().expect("the relay says where it is");
        let place = |i: usize| RoomPlace {
            code: "RELAY2".to_owned(),
            player_path: format!("/player/{i}"),
            conductor_path: format!("/conductor/{i}"),
        };
        let rooms = (0..load.n_rooms as usize).map(place).collect();
        let tls = load.tls.then(|| trusting(&certificate.join("authority.pem")));
        Self { child, place: Arc::new(Place { addr, tls, rooms, is_relay: true }) }
    }

    pub(super) fn place(&self) -> Arc<Place> {
        self.place.clone()
    }

    pub(super) fn id(&self) -> u32 {
        self.child.id()
    }
}

/// An address that nobody has.
fn free_address() -> SocketAddr {
    let found = TcpListener::bind(("127.0.0.1", 0)).and_then(|listener| listener.local_addr());
    found.expect("this computer has a free port")
}

fn trusting(authority: &Path) -> Arc<rustls::ClientConfig> {
    let mut roots = rustls::RootCertStore::empty();
    let authority = CertificateDer::from_pem_file(authority).expect("the server's authority");
    roots.add(authority).expect("a certificate");
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = rustls::ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .expect("there are such versions")
        .with_root_certificates(roots)
        .with_no_client_auth();
    Arc::new(config)
}
