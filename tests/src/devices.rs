//! Players and conductors as programs that speak the protocol over real sockets. They wait for messages, never for time;
//! a message that does not come within [`PATIENCE`] fails the test.

use crate::TestServer;
use futures_util::stream::{SplitSink, SplitStream};
use futures_util::{SinkExt, StreamExt};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::sync::{mpsc, watch};
use tokio::time::timeout;
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::tungstenite::{self, Message};
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    ConductorHears, ConductorSays, Hearing, Hello, Lane, PlayerHears, PlayerSays, Pulse, PulseBatch, Reading,
    Refused, Snapshot, Welcome,
};
use windrow_protocol::score::Score;
use windrow_protocol::units::{Cents, Decibels, Micros, Name, Share};

/// Longest wait for a message, on a machine that compiles something else meanwhile.
const PATIENCE: Duration = Duration::from_secs(20);

type Socket = WebSocketStream<MaybeTlsStream<TcpStream>>;
type Received = Result<Message, tungstenite::Error>;

/// One socket. As in a browser, what comes is taken and pings are answered whether or not anybody waits for a message.
#[derive(Debug)]
struct Line {
    sink: SplitSink<Socket, Message>,
    heard: mpsc::UnboundedReceiver<Received>,
    is_reading: watch::Sender<bool>,
}

impl Line {
    async fn open(url: &str) -> Self {
        let (socket, _) = connect_async(url).await.expect("the socket opens");
        Self::over(socket)
    }

    fn over(socket: Socket) -> Self {
        let (sink, stream) = socket.split();
        let (hears, heard) = mpsc::unbounded_channel();
        let (is_reading, whether) = watch::channel(true);
        tokio::spawn(read(stream, hears, whether));
        Self { sink, heard, is_reading }
    }

    async fn try_open(url: &str) -> Option<Self> {
        Some(Self::over(connect_async(url).await.ok()?.0))
    }

    async fn say(&mut self, message: &impl Serialize) {
        let text = serde_json::to_string(message).expect("messages become JSON");
        self.say_raw(Message::text(text)).await;
    }

    async fn say_raw(&mut self, message: Message) {
        self.sink.send(message).await.expect("the message goes out");
    }

    /// The next message, or the close code.
    async fn hear<T: DeserializeOwned>(&mut self) -> Result<T, Option<u16>> {
        loop {
            let received = timeout(PATIENCE, self.heard.recv()).await.expect("a message within patience");
            match received {
                Some(Ok(Message::Text(text))) => {
                    return Ok(serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}")));
                }
                Some(Ok(Message::Close(frame))) => return Err(frame.map(|f| f.code.into())),
                Some(Ok(_)) => {}
                Some(Err(_)) | None => return Err(None),
            }
        }
    }
}

/// Takes what comes until the socket or the line has gone.
async fn read(
    mut stream: SplitStream<Socket>,
    hears: mpsc::UnboundedSender<Received>,
    mut is_reading: watch::Receiver<bool>,
) {
    while is_reading.wait_for(|reads| *reads).await.is_ok() {
        tokio::select! {
            received = stream.next() => {
                let Some(received) = received else { return };
                if hears.send(received).is_err() {
                    return;
                }
            }
            changed = is_reading.changed() => if changed.is_err() {
                return;
            },
        }
    }
}

/// A player's hello with the usual values.
///
/// # Panics
/// When the name is no name.
pub fn hello(code: &str, name: &str, instrument: Instrument) -> Hello {
    Hello { calibrated: true, ..Hello::new(code, Name::new(name).expect("a name"), instrument) }
}

/// A batch of pulses, to be kept.
///
/// # Panics
/// Never: all is in range.
pub fn batch(seq: u32, n_pulses: u32) -> PlayerSays {
    let pulse = |i: u32| Pulse {
        time_us: Micros::new(f64::from(seq * 1000 + i) * 1e3).expect("a time"),
        depth_db: Decibels::new(6.0).expect("a depth"),
        swing_cents: Cents::new(12.0).expect("a swing"),
        mean_cents: None,
        choked: false,
    };
    PlayerSays::Pulses(PulseBatch { seq, pulses: (0..n_pulses).map(pulse).collect() })
}

/// A reading of silence, to fill in.
///
/// # Panics
/// Never with a finite time.
pub fn reading(seq: u32, time_us: f64) -> Reading {
    Reading {
        seq,
        time_us: Micros::new(time_us).expect("a time"),
        hearing: Hearing::Silence,
        level_db: Decibels::new(-70.0).expect("a level"),
        note: None,
        cents: None,
        centre_cents: None,
        pulse_rate_hz: None,
        n_pulses: 0,
        depth_db_pp: None,
        swing_cents_pp: None,
        evenness_cv: None,
        drift_cents_per_10s: None,
        straight_reference_cents: None,
        choked_share: None,
        trust: Share::new(0.0).expect("a share"),
        trusted: false,
        capture: None,
    }
}

/// A player's device.
#[derive(Debug)]
pub struct Player {
    line: Line,
    /// How the server greeted it.
    pub welcome: Welcome,
}

impl Player {
    /// Joins and waits for the welcome.
    pub async fn join(server: &TestServer, name: &str, instrument: Instrument) -> Self {
        Self::join_as(server, hello(server.code(), name, instrument)).await
    }

    /// Joins with a hello of the test's own.
    ///
    /// # Panics
    /// When the answer is no welcome.
    pub async fn join_as(server: &TestServer, hello: Hello) -> Self {
        Self::join_at(&server.socket_url("/ws/player"), hello).await
    }

    /// Joins with a hello of the test's own; notices may come before the welcome.
    ///
    /// # Panics
    /// When the connection ends without a welcome.
    pub async fn join_as_told(server: &TestServer, hello: Hello) -> Self {
        let mut line = Line::open(&server.socket_url("/ws/player")).await;
        line.say(&PlayerSays::Hello(hello)).await;
        loop {
            match line.hear().await {
                Ok(PlayerHears::Welcome(welcome)) => return Self { line, welcome },
                Ok(PlayerHears::Notice { .. }) => {}
                other => panic!("instead of a welcome came {other:?}"),
            }
        }
    }

    /// Joins at a socket's address.
    ///
    /// # Panics
    /// When the answer is no welcome.
    pub async fn join_at(url: &str, hello: Hello) -> Self {
        let mut line = Line::open(url).await;
        line.say(&PlayerSays::Hello(hello)).await;
        match line.hear().await {
            Ok(PlayerHears::Welcome(welcome)) => Self { line, welcome },
            other => panic!("instead of a welcome came {other:?}"),
        }
    }

    /// Joins at a socket's address, or does not: the server may be gone, or standing still.
    pub async fn try_join_at(url: &str, hello: Hello) -> Option<Self> {
        let mut line = Line::try_open(url).await?;
        let text = serde_json::to_string(&PlayerSays::Hello(hello)).expect("messages become JSON");
        line.sink.send(Message::text(text)).await.ok()?;
        loop {
            match line.hear().await {
                Ok(PlayerHears::Welcome(welcome)) => return Some(Self { line, welcome }),
                Ok(PlayerHears::Notice { .. }) => {}
                Ok(_) | Err(_) => return None,
            }
        }
    }

    /// Opens the socket, says something else than a proper hello, and gives back the refusal and the close code.
    ///
    /// # Panics
    /// When it is not refused.
    pub async fn refused(server: &TestServer, messages: Vec<Message>) -> (Refused, u16) {
        let mut line = Line::open(&server.socket_url("/ws/player")).await;
        for message in messages {
            line.say_raw(message).await;
        }
        refusal(&mut line).await
    }

    /// Says something.
    pub async fn say(&mut self, message: &PlayerSays) {
        self.line.say(message).await;
    }

    /// Says something that may be no message at all.
    pub async fn say_raw(&mut self, message: Message) {
        self.line.say_raw(message).await;
    }

    /// Says something as long as the other end takes it.
    pub async fn try_say_raw(&mut self, message: Message) -> Result<(), tungstenite::Error> {
        self.line.sink.send(message).await
    }

    /// Takes nothing more from the network, not even pings, as a phone that has been put to sleep; or takes it again.
    pub fn read(&mut self, reads: bool) {
        self.line.is_reading.send_replace(reads);
    }

    /// Says something; `false` where the server is gone.
    pub async fn try_say(&mut self, message: &PlayerSays) -> bool {
        let text = serde_json::to_string(message).expect("messages become JSON");
        self.try_say_raw(Message::text(text)).await.is_ok()
    }

    /// The next message; `None` where the server is gone.
    pub async fn next(&mut self) -> Option<PlayerHears> {
        self.line.hear().await.ok()
    }

    /// Waits for a message that `wanted` picks, passing over others.
    ///
    /// # Panics
    /// When the connection ends first.
    pub async fn hear<T>(&mut self, mut wanted: impl FnMut(PlayerHears) -> Option<T>) -> T {
        loop {
            let message = self.line.hear().await.expect("the connection stands");
            if let Some(found) = wanted(message) {
                return found;
            }
        }
    }

    /// Waits for the music to change.
    pub async fn hear_score(&mut self) -> Option<Score> {
        self.hear(|message| match message {
            PlayerHears::Score { score } => Some(score),
            _ => None,
        })
        .await
    }

    /// Waits until everything up to `seq` is safe.
    pub async fn hear_ack(&mut self, seq: u32) {
        self.hear(|message| matches!(message, PlayerHears::Ack { seq: safe } if safe >= seq).then_some(()))
            .await;
    }

    /// Waits for the refusal and the close code.
    pub async fn hear_refusal(&mut self) -> (Refused, u16) {
        refusal(&mut self.line).await
    }
}

async fn refusal(line: &mut Line) -> (Refused, u16) {
    let refused = loop {
        match line.hear().await {
            Ok(PlayerHears::Refused(refused)) => break refused,
            Ok(_) => {}
            Err(code) => panic!("closed with {code:?} before a refusal"),
        }
    };
    match line.hear::<PlayerHears>().await {
        Err(Some(code)) => (refused, code),
        other => panic!("instead of a close frame came {other:?}"),
    }
}

/// A conductor's page without a page.
#[derive(Debug)]
pub struct Conductor {
    line: Line,
}

impl Conductor {
    /// Opens the conductor's socket with the server's key.
    pub async fn open(server: &TestServer) -> Self {
        Self::open_with(server, server.key()).await
    }

    /// Opens it with some key.
    pub async fn open_with(server: &TestServer, key: &str) -> Self {
        Self::open_at(&server.socket_url(&format!("/ws/conductor?key={key}"))).await
    }

    /// Opens a conductor's socket at its address, key and all.
    pub async fn open_at(url: &str) -> Self {
        Self { line: Line::open(url).await }
    }

    /// The same where the server may be gone, or standing still.
    pub async fn try_open_at(url: &str) -> Option<Self> {
        Some(Self { line: Line::try_open(url).await? })
    }

    /// Commands something; `false` where the server is gone.
    ///
    /// # Panics
    /// Never: a command becomes JSON.
    pub async fn try_command(&mut self, command: &ConductorSays) -> bool {
        let text = serde_json::to_string(command).expect("messages become JSON");
        self.line.sink.send(Message::text(text)).await.is_ok()
    }

    /// Opens it as a browser does in which somebody has signed in.
    ///
    /// # Panics
    /// When the socket does not open.
    pub async fn open_signed_in(url: &str, cookie: &str) -> Self {
        let mut request = url.into_client_request().expect("an address");
        request.headers_mut().insert("cookie", cookie.parse().expect("a cookie"));
        let (socket, _) = connect_async(request).await.expect("the socket opens");
        Self { line: Line::over(socket) }
    }

    /// Takes nothing more from the network, or takes it again.
    pub fn read(&mut self, reads: bool) {
        self.line.is_reading.send_replace(reads);
    }

    /// Commands something.
    pub async fn command(&mut self, command: ConductorSays) {
        self.line.say(&command).await;
    }

    /// Says something that may be no message at all.
    pub async fn say_raw(&mut self, message: Message) {
        self.line.say_raw(message).await;
    }

    /// The next message, or the close code.
    pub async fn hear(&mut self) -> Result<ConductorHears, Option<u16>> {
        self.line.hear().await
    }

    /// Waits for a picture of the room that `wanted` picks something from.
    ///
    /// # Panics
    /// When the connection ends or no such picture comes: it says what the last one was.
    pub async fn see<T>(&mut self, mut wanted: impl FnMut(&Snapshot) -> Option<T>) -> T {
        let mut last = None;
        let seen = timeout(PATIENCE, async {
            loop {
                match self.line.hear().await {
                    Ok(ConductorHears::Room(snapshot)) => {
                        if let Some(found) = wanted(&snapshot) {
                            return found;
                        }
                        last = Some(snapshot);
                    }
                    Ok(_) => {}
                    Err(code) => panic!("the conductor's socket closed with {code:?}"),
                }
            }
        });
        match seen.await {
            Ok(found) => found,
            Err(_) => panic!("the room never looked as expected; last: {last:#?}"),
        }
    }

    /// Waits until a player's lane is as `wanted` says.
    pub async fn see_lane(&mut self, name: &str, wanted: impl Fn(&Lane) -> bool) -> Lane {
        self.see(|s| s.lanes.iter().find(|l| l.name.as_str() == name && wanted(l)).cloned()).await
    }
}
