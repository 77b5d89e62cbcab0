//! The bare relay: as little as a server can do that moves the same bytes over as many sockets. It takes in whatever is sent, answers
//! hellos, questions for the time and numbered messages with texts that are ready, gives a conductor's tempo to all players of the
//! room, and sends each conductor one ready picture five times a second. It must know no rule, keep nothing, and use nothing but
//! tokio and tokio-tungstenite (and rustls, over TLS).

use super::traffic::{bpm_place, kind_of, last_bpm};
use futures_util::{SinkExt, StreamExt};
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpListener;
use tokio::sync::{broadcast, watch};
use tokio::time::{MissedTickBehavior, interval};
use tokio_rustls::TlsAcceptor;
use tokio_tungstenite::accept_hdr_async;
use tokio_tungstenite::tungstenite::handshake::server::{ErrorResponse, Request, Response};
use tokio_tungstenite::tungstenite::{Message, Utf8Bytes};

/// As often as Windrow's pictures come.
const PICTURE_EVERY: Duration = Duration::from_millis(200);
/// Changes that may wait for a socket, as many as in Windrow.
const WAITING: usize = 64;

/// What it says, as a Windrow said it before.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Script {
    pub(super) n_rooms: usize,
    /// To a hello, and to a question for the time.
    pub(super) welcome: String,
    pub(super) clock: String,
    /// To all players at each change; the tempo is put in.
    pub(super) score: String,
    /// To a player after so many readings, where there is any.
    pub(super) you: String,
    pub(super) readings_per_you: u64,
    /// To a conductor, before the first change and from then on.
    pub(super) silent_picture: String,
    pub(super) picture: String,
    /// Directory of a certificate, where it is to serve over TLS.
    pub(super) certificate: Option<PathBuf>,
}

/// What all sockets share.
#[derive(Debug)]
struct Shared {
    welcome: Utf8Bytes,
    clock: Utf8Bytes,
    you: Utf8Bytes,
    readings_per_you: u64,
    score: String,
    rooms: Vec<Room>,
}

#[derive(Debug)]
struct Room {
    changes: broadcast::Sender<Utf8Bytes>,
    pictures: watch::Sender<Utf8Bytes>,
    has_changed: AtomicBool,
}

/// Serves what the script on the standard input says, until it is killed; prints its address.
#[must_use]
pub fn serve() -> ExitCode {
    let Ok(script) = serde_json::from_reader(std::io::stdin()) else {
        eprintln!("load: --as-relay is for the load tool itself");
        return ExitCode::from(2);
    };
    let Ok(runtime) = tokio::runtime::Runtime::new() else { return ExitCode::FAILURE };
    match runtime.block_on(serve_script(script)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("load: the relay cannot serve: {error}");
            ExitCode::FAILURE
        }
    }
}

async fn serve_script(script: Script) -> std::io::Result<()> {
    let listener = TcpListener::bind(("127.0.0.1", 0)).await?;
    let tls = script.certificate.as_deref().map(acceptor);
    let room = |_| Room {
        changes: broadcast::channel(WAITING).0,
        pictures: watch::channel(Utf8Bytes::default()).0,
        has_changed: AtomicBool::new(false),
    };
    let shared = Arc::new(Shared {
        welcome: script.welcome.into(),
        clock: script.clock.into(),
        you: script.you.into(),
        readings_per_you: script.readings_per_you,
        score: script.score,
        rooms: (0..script.n_rooms).map(room).collect(),
    });
    for room in 0..script.n_rooms {
        let pictures = [script.silent_picture.clone().into(), script.picture.clone().into()];
        tokio::spawn(show_pictures(shared.clone(), room, pictures));
    }
    println!("{}", listener.local_addr()?);
    loop {
        let Ok((stream, _)) = listener.accept().await else { continue };
        let _ = stream.set_nodelay(true);
        let (shared, tls) = (shared.clone(), tls.clone());
        tokio::spawn(async move {
            match tls {
                Some(tls) => {
                    if let Ok(stream) = tls.accept(stream).await {
                        talk(stream, &shared).await;
                    }
                }
                None => talk(stream, &shared).await,
            }
        });
    }
}

async fn show_pictures(shared: Arc<Shared>, room: usize, [silent, picture]: [Utf8Bytes; 2]) {
    let mut tick = interval(PICTURE_EVERY);
    tick.set_missed_tick_behavior(MissedTickBehavior::Delay);
    loop {
        tick.tick().await;
        let room = &shared.rooms[room];
        let is_silent = !room.has_changed.load(Ordering::Relaxed);
        room.pictures.send_replace(if is_silent { silent.clone() } else { picture.clone() });
    }
}

async fn talk(stream: impl AsyncRead + AsyncWrite + Unpin, shared: &Shared) {
    let mut path = String::new();
    // The library's own type of refusal is that large.
    #[expect(clippy::result_large_err, reason = "the library asks for it")]
    let note_path = |request: &Request, response: Response| -> Result<Response, ErrorResponse> {
        request.uri().path().clone_into(&mut path);
        Ok(response)
    };
    let Ok(mut socket) = accept_hdr_async(stream, note_path).await else { return };
    let (who, room) = path.trim_start_matches('/').split_once('/').unwrap_or_default();
    let Some(room) = room.parse().ok().and_then(|i: usize| shared.rooms.get(i)) else { return };
    let is_conductor = who == "conductor";
    let mut changes = room.changes.subscribe();
    let mut pictures = room.pictures.subscribe();
    let mut n_readings = 0;
    loop {
        let answer = tokio::select! {
            said = socket.next() => match said {
                Some(Ok(Message::Text(text))) => shared.answer(room, &text, &mut n_readings),
                Some(Ok(_)) => None,
                Some(Err(_)) | None => return,
            },
            Ok(text) = changes.recv(), if !is_conductor => Some(text),
            Ok(()) = pictures.changed(), if is_conductor => Some(pictures.borrow_and_update().clone()),
        };
        if let Some(text) = answer
            && socket.send(Message::Text(text)).await.is_err()
        {
            return;
        }
    }
}

impl Shared {
    fn answer(&self, room: &Room, text: &str, n_readings: &mut u64) -> Option<Utf8Bytes> {
        match kind_of(text) {
            "hello" => Some(self.welcome.clone()),
            "clock" => Some(self.clock.clone()),
            "pulses" | "span-result" => {
                let seq = text.split(r#""seq":"#).nth(1)?.split([',', '}']).next()?;
                Some(format!(r#"{{"type":"ack","seq":{seq}}}"#).into())
            }
            "reading" => {
                *n_readings += 1;
                let is_due = self.readings_per_you > 0 && n_readings.is_multiple_of(self.readings_per_you);
                is_due.then(|| self.you.clone())
            }
            "set-tempo" => {
                let (mut score, bpm) = (self.score.clone(), last_bpm(text)?);
                if let Some(place) = bpm_place(&score) {
                    score.replace_range(place, &bpm.to_string());
                }
                room.has_changed.store(true, Ordering::Relaxed);
                // Nobody may be in.
                let _ = room.changes.send(score.into());
                None
            }
            _ => None,
        }
    }
}

fn acceptor(certificate: &Path) -> TlsAcceptor {
    let chain = CertificateDer::pem_file_iter(certificate.join("server.pem")).expect("a chain");
    let chain = chain.collect::<Result<_, _>>().expect("certificates");
    let key = PrivateKeyDer::from_pem_file(certificate.join("server-key.pem")).expect("a key");
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = rustls::ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .expect("there are such versions")
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .expect("the key belongs to the certificate");
    TlsAcceptor::from(Arc::new(config))
}
