//! How fast a tempo change reaches every device, against a bare broadcast of the same bytes to as many sockets, read by
//! the same code, in turns in one run.

use super::tally::percentile;
use crate::{Conductor, TestServer, hello};
use futures_util::{SinkExt, StreamExt};
use serde::Serialize;
use std::time::{Duration, Instant};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{broadcast, mpsc};
use tokio::time::{sleep, timeout};
use tokio_tungstenite::tungstenite::{Message, Utf8Bytes};
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, accept_async, connect_async_with_config};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Moment, PlayerSays};
use windrow_protocol::units::Bpm;

/// Changes of either kind; odd, so that the median is one of them.
const ROUNDS: usize = 15;
/// Between rounds, so that nothing of one runs into the next.
const PAUSE: Duration = Duration::from_millis(150);
/// Longest wait for a change to reach all.
const PATIENCE: Duration = Duration::from_secs(20);

/// What came out: medians over the rounds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fanout {
    /// Devices, and sockets of the bare server.
    pub devices: usize,
    /// Rounds of each.
    pub rounds: usize,
    /// From the command's way out until the last device had the new tempo, ms.
    pub windrow_last_ms: f64,
    /// The same bytes from the bare server, from its command's way out until the last socket had them, ms.
    pub bare_last_ms: f64,
    /// The former over the latter.
    pub ratio: f64,
}

type Socket = WebSocketStream<MaybeTlsStream<TcpStream>>;

/// A device had a score at this moment.
struct Heard {
    device: usize,
    at: Instant,
    text: Utf8Bytes,
}

/// Runs it.
///
/// # Panics
/// When a device cannot join (a room has so many chairs), or a change does not reach all.
pub async fn run(n_devices: usize) -> Fanout {
    let server = TestServer::start().await;
    let (heard_sender, mut heard) = mpsc::unbounded_channel();
    for device in 0..n_devices {
        let mut socket = open(&server.socket_url("/ws/player")).await;
        let hello = hello(server.code(), &format!("Device {device}"), Instrument::Flute);
        say(&mut socket, &PlayerSays::Hello(hello)).await;
        tokio::spawn(read(socket, device, heard_sender.clone()));
    }
    let mut conductor = Conductor::open(&server).await;
    conductor.see(|s| (s.lanes.len() == n_devices).then_some(())).await;
    conductor.command(ConductorSays::Start).await;
    let (_, bytes) = all_heard(&mut heard, n_devices).await;

    let (bare_url, bare_payload) = bare_server().await;
    bare_payload.send(bytes).expect("the bare server waits for what it is to say");
    let (bare_sender, mut bare_heard) = mpsc::unbounded_channel();
    for device in 0..n_devices {
        tokio::spawn(read(open(&bare_url).await, device, bare_sender.clone()));
    }
    let mut bare_conductor = open(&bare_url).await;

    let (mut windrow_ms, mut bare_ms) = (Vec::new(), Vec::new());
    for round in 0..ROUNDS {
        let bpm = Bpm::new([66.0, 72.0][round % 2]).expect("a tempo");
        let sent = Instant::now();
        conductor.command(ConductorSays::SetTempo { bpm, at: Moment::Bar }).await;
        let (last, bytes) = all_heard(&mut heard, n_devices).await;
        windrow_ms.push((last - sent).as_secs_f64() * 1000.0);
        sleep(PAUSE).await;
        bare_payload.send(bytes).expect("the bare server is there");
        let command = serde_json::to_string(&ConductorSays::SetTempo { bpm, at: Moment::Bar })
            .expect("messages become JSON");
        let sent = Instant::now();
        bare_conductor.send(Message::text(command)).await.expect("the command goes out");
        let (last, _) = all_heard(&mut bare_heard, n_devices).await;
        bare_ms.push((last - sent).as_secs_f64() * 1000.0);
        sleep(PAUSE).await;
    }
    server.stop().await;
    let (windrow_last_ms, bare_last_ms) = (percentile(&windrow_ms, 0.5), percentile(&bare_ms, 0.5));
    let ratio = windrow_last_ms / bare_last_ms;
    Fanout { devices: n_devices, rounds: ROUNDS, windrow_last_ms, bare_last_ms, ratio }
}

async fn open(url: &str) -> Socket {
    let (socket, _) = connect_async_with_config(url, None, true).await.expect("the socket opens");
    socket
}

async fn say(socket: &mut Socket, message: &PlayerSays) {
    let text = serde_json::to_string(message).expect("messages become JSON");
    socket.send(Message::text(text)).await.expect("the message goes out");
}

/// Reads one socket to its end and tells of scores.
async fn read(mut socket: Socket, device: usize, heard: mpsc::UnboundedSender<Heard>) {
    while let Some(Ok(message)) = socket.next().await {
        let at = Instant::now();
        let Message::Text(text) = message else { continue };
        if text.contains(r#""type":"refused""#) {
            assert!(text.contains(r#""reason":"closing""#), "device {device} was refused: {text}");
            return;
        }
        if text.contains(r#""type":"score""#) && heard.send(Heard { device, at, text }).is_err() {
            return;
        }
    }
}

/// When the last device had a score, and the score's bytes.
async fn all_heard(heard: &mut mpsc::UnboundedReceiver<Heard>, n_devices: usize) -> (Instant, Utf8Bytes) {
    let mut have = vec![false; n_devices];
    let mut last: Option<Heard> = None;
    while have.iter().any(|have| !have) {
        let next = timeout(PATIENCE, heard.recv()).await.expect("a change reaches all within patience");
        let next = next.expect("the devices read on");
        have[next.device] = true;
        if last.as_ref().is_none_or(|last| last.at < next.at) {
            last = Some(next);
        }
    }
    last.map(|last| (last.at, last.text)).expect("at least one device")
}

/// The least that a broadcast over sockets takes: a task a socket, woken by one channel; whatever any socket says sends
/// the payload to all others.
async fn bare_server() -> (String, tokio::sync::watch::Sender<Utf8Bytes>) {
    let listener = TcpListener::bind(("127.0.0.1", 0)).await.expect("a free port");
    let url = format!("ws://{}/", listener.local_addr().expect("a bound port has an address"));
    let (payload_sender, payload) = tokio::sync::watch::channel(Utf8Bytes::default());
    let (to_all, _) = broadcast::channel::<Utf8Bytes>(16);
    tokio::spawn(async move {
        while let Ok((stream, _)) = listener.accept().await {
            let _ = stream.set_nodelay(true);
            let (to_all, mut from_all, payload) = (to_all.clone(), to_all.subscribe(), payload.clone());
            tokio::spawn(async move {
                let Ok(mut socket) = accept_async(stream).await else { return };
                loop {
                    tokio::select! {
                        said = socket.next() => match said {
                            Some(Ok(Message::Text(_))) => {
                                let bytes = payload.borrow().clone();
                                let _ = to_all.send(bytes);
                            }
                            Some(Ok(_)) => {}
                            Some(Err(_)) | None => return,
                        },
                        Ok(bytes) = from_all.recv() => {
                            if socket.send(Message::Text(bytes)).await.is_err() {
                                return;
                            }
                        }
                    }
                }
            });
        }
    });
    (url, payload_sender)
}
