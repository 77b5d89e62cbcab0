//! A player's end of the socket: messages out, messages in. It must not know what they mean.

use crate::words::english;
use futures_util::{SinkExt, StreamExt};
use rustls::pki_types::ServerName;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio::time::timeout;
use tokio_rustls::TlsConnector;
use tokio_tungstenite::tungstenite::http::Uri;
use tokio_tungstenite::tungstenite::{self, Message};
use tokio_tungstenite::{WebSocketStream, client_async};
use windrow_protocol::messages::{PlayerHears, PlayerSays, Refused};

/// Longest wait for the server to take a connection, a message or a goodbye.
pub(super) const WITHIN: Duration = Duration::from_secs(10);

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
    #[error("{}", english(&.0.text))]
    Refused(Refused),
    /// A message from the server could not be read.
    #[error("the server sent a message that cannot be read ({0}): both must be of one version")]
    Unreadable(String),
}

/// Where a room is.
#[derive(Debug, Clone)]
pub struct Address {
    host: String,
    port: u16,
    /// What to trust over https; plain http without.
    tls: Option<Arc<rustls::ClientConfig>>,
}

/// Why a text is no address.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadAddress {
    /// Not of the form asked for.
    #[error(
        "\"{0}\" is no address of a room: it looks like http://192.168.1.20:8470 or https://192.168.1.20:8471"
    )]
    NotOne(String),
    /// Secure, and nothing to trust it by.
    #[error(
        "over https this program has to know whom to trust: name the file certificate/authority.pem of the server's data \
         directory with --trust"
    )]
    NothingTrusted,
}

impl Address {
    /// Reads an address such as `http://127.0.0.1:8470`; `ws` and `wss` mean the same as `http` and `https`, and whatever
    /// follows the port is left out, so that the link of a page will do. `trusted` is asked for over https alone.
    ///
    /// # Errors
    /// [`BadAddress`].
    pub fn new(text: &str, trusted: Option<Arc<rustls::ClientConfig>>) -> Result<Self, BadAddress> {
        let not_one = || BadAddress::NotOne(text.to_owned());
        let uri: Uri = text.trim().parse().map_err(|_| not_one())?;
        let (usual_port, tls) = match uri.scheme_str() {
            Some("http" | "ws") => (80, None),
            Some("https" | "wss") => (443, Some(trusted.ok_or(BadAddress::NothingTrusted)?)),
            _ => return Err(not_one()),
        };
        let host = uri.host().ok_or_else(not_one)?.to_owned();
        Ok(Self { host, port: uri.port_u16().unwrap_or(usual_port), tls })
    }

    fn socket_url(&self) -> String {
        let scheme = if self.tls.is_some() { "wss" } else { "ws" };
        format!("{scheme}://{}/ws/player", self.host_and_port())
    }

    pub(super) fn host_and_port(&self) -> String {
        format!("{}:{}", self.host, self.port)
    }

    /// Of a path there, for people.
    pub(super) fn url(&self, path: &str) -> String {
        let scheme = if self.tls.is_some() { "https" } else { "http" };
        format!("{scheme}://{}{path}", self.host_and_port())
    }
}

pub(super) trait Stream: AsyncRead + AsyncWrite + Send + Unpin {}

impl<T: AsyncRead + AsyncWrite + Send + Unpin> Stream for T {}

/// The way there, over TLS where the address asks for it.
pub(super) async fn open_stream(address: &Address) -> std::io::Result<Box<dyn Stream>> {
    // An address of the sixth version stands in brackets in a URL.
    let host = address.host.trim_start_matches('[').trim_end_matches(']');
    let stream = TcpStream::connect((host, address.port)).await?;
    // Without delay: small messages would wait for the answer to earlier ones, and clock exchanges with them.
    stream.set_nodelay(true)?;
    let Some(tls) = &address.tls else { return Ok(Box::new(stream)) };
    let name = ServerName::try_from(host.to_owned()).map_err(std::io::Error::other)?;
    Ok(Box::new(TlsConnector::from(tls.clone()).connect(name, stream).await?))
}

/// An open socket.
pub(super) struct Connection {
    socket: WebSocketStream<Box<dyn Stream>>,
}

impl Connection {
    /// Opens a socket.
    ///
    /// # Errors
    /// [`ConnectionError::Unreachable`], or [`ConnectionError::Gone`] where no answer comes in time.
    pub(super) async fn open(address: &Address) -> Result<Self, ConnectionError> {
        let unreachable =
            |source| ConnectionError::Unreachable { url: address.socket_url(), source: Box::new(source) };
        let opened = timeout(WITHIN, open_stream(address)).await.map_err(|_| ConnectionError::Gone)?;
        let stream = opened.map_err(|e| unreachable(tungstenite::Error::Io(e)))?;
        let connected = timeout(WITHIN, client_async(address.socket_url(), stream)).await;
        let (socket, _) = connected.map_err(|_| ConnectionError::Gone)?.map_err(unreachable)?;
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_read_from_the_link_of_a_page() {
        let url = |text| Address::new(text, None).map(|a| a.socket_url());
        assert_eq!(url("http://127.0.0.1:8470/?code=KF3M7P").unwrap(), "ws://127.0.0.1:8470/ws/player");
        assert_eq!(url("ws://[::1]:9000").unwrap(), "ws://[::1]:9000/ws/player");
        assert_eq!(url("http://hall.local").unwrap(), "ws://hall.local:80/ws/player");
        assert_eq!(url("https://10.0.0.5:8471").unwrap_err(), BadAddress::NothingTrusted);
        for text in ["", "10.0.0.5", "ftp://10.0.0.5", "http://"] {
            assert!(matches!(url(text), Err(BadAddress::NotOne(_))), "{text}");
        }
    }
}
