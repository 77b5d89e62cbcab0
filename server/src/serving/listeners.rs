//! The sockets a server listens on: plain http, port 80 beside it where the system lets us, and https. It knows no page.

use super::connections::{Connections, may_open};
use super::patient::Patience;
use crate::config::{Https, ReachConfig};
use crate::error::StartError;
use crate::handles;
use axum::{Extension, Router};
use axum_server::tls_rustls::RustlsConfig;
use axum_server::{Handle, Server};
use std::net::{SocketAddr, TcpListener};
use std::time::Duration;
use tokio::task::JoinHandle;

/// A connection over which no TLS is agreed by then is closed; the next limit begins after it.
const TLS_WITHIN: Duration = Duration::from_secs(10);
/// A connection that has not sent a whole request's head by then is closed.
const REQUEST_WITHIN: Duration = Duration::from_secs(15);
/// A connection of HTTP/1.1 that has not sent the head of another request this long after the last answer is closed. A line's device asks every
/// second, a browser opens another one without anybody noticing.
const NEXT_REQUEST_WITHIN: Duration = Duration::from_secs(30);
/// A connection of HTTP/2 is asked for a sign of life this often, and has to give it within this time.
const SIGN_OF_LIFE_EVERY: Duration = Duration::from_secs(15);
const SIGN_OF_LIFE_WITHIN: Duration = Duration::from_secs(15);
/// What may wait in memory of an answer that is not taken: of a connection of HTTP/1.1, of each stream of HTTP/2, whose usual 400 KiB would be
/// 80 MiB for a page that asks for everything and reads nothing.
const UNTAKEN_BYTES: usize = 64 * 1024;
/// What a device may send ahead over HTTP/2, in all and for each request: 256 KiB are 25 MB a second at 10 ms.
const AHEAD_BYTES: u32 = 256 * 1024;
/// Requests of one connection at once; a page asks for some sixty files.
const STREAMS: u32 = 100;

/// Open sockets that nobody serves yet.
#[derive(Debug)]
pub(super) struct Listeners {
    /// Where plain http listens.
    pub(super) http_addr: SocketAddr,
    /// Where https listens, if it does.
    pub(super) https_addr: Option<SocketAddr>,
    http: TcpListener,
    port_80: Option<TcpListener>,
    https: Option<TcpListener>,
    connections: Connections,
}

/// A server's handle and the tasks it ends.
pub(super) type Serving = (Handle<SocketAddr>, Vec<JoinHandle<std::io::Result<()>>>);

impl Listeners {
    pub(super) fn bind(config: &ReachConfig) -> Result<Self, StartError> {
        let (http, http_addr) = bind(config.http, "http")?;
        let (https, https_addr) = match config.https {
            Https::None => (None, None),
            Https::Own { addr, .. } | Https::School { addr, .. } => {
                let (listener, addr) = bind(addr, "https")?;
                (Some(listener), Some(addr))
            }
        };
        // Most systems keep this port for administrators or another program has it: then links name a port.
        let port_80 =
            config.port_80.then(|| TcpListener::bind(SocketAddr::new(http_addr.ip(), 80)).ok()).flatten();
        let connections = Connections::new(may_open(), config.proxies.clone());
        Ok(Self { http_addr, https_addr, http, port_80, https, connections })
    }

    /// Whether port 80 is ours.
    pub(super) fn has_port_80(&self) -> bool {
        self.port_80.is_some()
    }

    /// Serves on all of them; `router` is asked for the routes of plain http (false) and of https (true).
    pub(super) fn serve(
        self,
        tls: Option<RustlsConfig>,
        router: impl Fn(bool) -> Router,
    ) -> Result<Serving, StartError> {
        let handle = Handle::new();
        let mut listening = Vec::new();
        let patience = Patience { connections: self.connections.clone() };
        let with_connections = |router: Router| router.layer(Extension(self.connections.clone()));
        for (i, listener) in [Some(self.http), self.port_80].into_iter().flatten().enumerate() {
            let handle = if i == 0 { handle.clone() } else { Handle::with_control(handle.control()) };
            let server = axum_server::from_tcp(listener)
                .map_err(|cause| StartError::Listen { addr: self.http_addr, option: "http", cause })?
                .acceptor(patience.clone())
                .handle(handle);
            let routes = with_connections(router(false));
            let server = bounded(server).serve(routes.into_make_service_with_connect_info::<SocketAddr>());
            listening.push(tokio::spawn(server));
        }
        if let (Some(listener), Some(addr), Some(tls)) = (self.https, self.https_addr, tls) {
            let server = axum_server::from_tcp_rustls(listener, tls)
                .map_err(|cause| StartError::Listen { addr, option: "https", cause })?
                .map(|tls| tls.handshake_timeout(TLS_WITHIN).acceptor(patience))
                .handle(Handle::with_control(handle.control()));
            let routes = with_connections(router(true));
            let server = bounded(server).serve(routes.into_make_service_with_connect_info::<SocketAddr>());
            listening.push(tokio::spawn(server));
        }
        Ok((handle, listening))
    }
}

/// Sets the limits of all that is spoken over a connection.
fn bounded<Acceptor>(server: Server<SocketAddr, Acceptor>) -> Server<SocketAddr, Acceptor> {
    let server = server.first_request_timeout(REQUEST_WITHIN);
    let mut server = server.accept_error_handler(|_, error| handles::note(error));
    server.http_builder().http1().header_read_timeout(NEXT_REQUEST_WITHIN).max_buf_size(UNTAKEN_BYTES);
    server
        .http_builder()
        .http2()
        .keep_alive_interval(SIGN_OF_LIFE_EVERY)
        .keep_alive_timeout(SIGN_OF_LIFE_WITHIN)
        .max_concurrent_streams(STREAMS)
        .initial_connection_window_size(AHEAD_BYTES)
        .initial_stream_window_size(AHEAD_BYTES)
        .max_send_buf_size(UNTAKEN_BYTES);
    server
}

/// Opens a socket; the address is what the system made of it, since port 0 takes any free one.
fn bind(addr: SocketAddr, option: &'static str) -> Result<(TcpListener, SocketAddr), StartError> {
    let opened = TcpListener::bind(addr).and_then(|listener| Ok((listener.local_addr()?, listener)));
    let (addr, listener) = opened.map_err(|cause| StartError::Listen { addr, option, cause })?;
    Ok((listener, addr))
}
