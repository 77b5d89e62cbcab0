//! A player's end of the socket: messages out, messages in. It must not know what they mean.

use futures_util::{SinkExt, StreamExt};
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::time::timeout;
use tokio_tungstenite::tungstenite::{self, Message};
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async_with_config};
use windrow_protocol::messages::{PlayerHears, PlayerSays, Refused};

/// Longest wait for the server to take a connection, a message or a goodbye.
const WITHIN: Duration = Duration::from_secs(10);

/// Why a connection ended.
#[derive(Debug, thiserror::Error)]
pub enum ConnectionError {
    /// The server does not answer, or the network is gone.
    #[error("the server at {url} cannot be reached: {source}")]
    Unreachable {
        /// Address tried.
        url: String,
        /// What the network said.
        source: Box<tungstenite::Error>,
    },
    /// The connection broke, or nothing came for too long.
    #[error("the connection to the server is gone")]
    Gone,
    /// The server said no.
    #[error("{}", .0.text)]
    Refused(Refused),
    /// A message from the server could not be read.
    #[error("the server sent a message that cannot be read ({0}): both must be of one version")]
    Unreadable(String),
}

/// An open socket.
#[derive(Debug)]
pub(super) struct Connection {
    socket: WebSocketStream<MaybeTlsStream<TcpStream>>,
}

impl Connection {
    /// Opens a socket, such as `ws://127.0.0.1:8470/ws/player`.
    ///
    /// # Errors
    /// [`ConnectionError::Unreachable`], or [`ConnectionError::Gone`] where no answer comes in time.
    pub(super) async fn open(url: &str) -> Result<Self, ConnectionError> {
        // Without delay: small messages would wait for the answer to earlier ones, and clock exchanges with them.
        let connected = timeout(WITHIN, connect_async_with_config(url, None, true)).await;
        let connected = connected.map_err(|_| ConnectionError::Gone)?;
        let unreachable = |e| ConnectionError::Unreachable { url: url.to_owned(), source: Box::new(e) };
        let (socket, _) = connected.map_err(unreachable)?;
        Ok(Self { socket })
    }

    /// Sends a message.
    ///
    /// # Errors
    /// [`ConnectionError::Gone`].
    pub(super) async fn say(&mut self, message: &PlayerSays) -> Result<(), ConnectionError> {
        let text = serde_json::to_string(message).expect("a message always has a JSON form");
        let sent = timeout(WITHIN, self.socket.send(Message::text(text))).await;
        sent.map_err(|_| ConnectionError::Gone)?.map_err(|_| ConnectionError::Gone)
    }

    /// The next message. May be dropped while waiting without losing one.
    ///
    /// # Errors
    /// [`ConnectionError`], any but `Unreachable`.
    pub(super) async fn hear(&mut self) -> Result<PlayerHears, ConnectionError> {
        loop {
            match self.socket.next().await {
                Some(Ok(Message::Text(text))) => {
                    let message = serde_json::from_str(&text)
                        .map_err(|e| ConnectionError::Unreadable(e.to_string()))?;
                    return match message {
                        PlayerHears::Refused(refused) => Err(ConnectionError::Refused(refused)),
                        message => Ok(message),
                    };
                }
                // Pings are answered by the library.
                Some(Ok(Message::Ping(_) | Message::Pong(_) | Message::Binary(_) | Message::Frame(_))) => {}
                Some(Ok(Message::Close(_)) | Err(_)) | None => return Err(ConnectionError::Gone),
            }
        }
    }

    /// Says goodbye.
    pub(super) async fn close(mut self) {
        // Whether the other end still listens does not matter any more.
        let _ = timeout(WITHIN, self.socket.close(None)).await;
    }
}
