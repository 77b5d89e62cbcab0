//! A socket to a place, over TLS or not. It must know no message.

use super::place::Place;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio::time::timeout;
use tokio_rustls::TlsConnector;
use tokio_tungstenite::tungstenite::protocol::WebSocketConfig;
use tokio_tungstenite::{WebSocketStream, client_async_with_config};

/// Longest wait for a connection.
const WITHIN: Duration = Duration::from_secs(20);
/// A device's own buffer. The usual 128 KiB are for few large streams; here are thousands of small ones, on the server's computer.
const READ_BUFFER_BYTES: usize = 4096;

pub(super) trait Stream: AsyncRead + AsyncWrite + Send + Unpin {}

impl<T: AsyncRead + AsyncWrite + Send + Unpin> Stream for T {}

pub(super) type Socket = WebSocketStream<Box<dyn Stream>>;

/// Opens one; nothing where none comes in time.
pub(super) async fn open(place: &Place, path: &str) -> Option<Socket> {
    timeout(WITHIN, open_without_end(place, path)).await.ok()?
}

async fn open_without_end(place: &Place, path: &str) -> Option<Socket> {
    let stream = TcpStream::connect(place.addr).await.ok()?;
    // As every device of Windrow's does.
    stream.set_nodelay(true).ok()?;
    let (scheme, stream): (_, Box<dyn Stream>) = match &place.tls {
        Some(tls) => {
            let name = place.addr.ip().into();
            ("wss", Box::new(TlsConnector::from(Arc::clone(tls)).connect(name, stream).await.ok()?))
        }
        None => ("ws", Box::new(stream)),
    };
    let url = format!("{scheme}://{}{path}", place.addr);
    let config = WebSocketConfig::default().read_buffer_size(READ_BUFFER_BYTES);
    client_async_with_config(url, stream, Some(config)).await.ok().map(|(socket, _)| socket)
}
