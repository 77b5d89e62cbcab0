//! The sockets a server listens on: plain http, port 80 beside it where the system lets us, and https. It knows no page.

use crate::config::{Https, ReachConfig};
use crate::error::StartError;
use axum::Router;
use axum_server::Handle;
use axum_server::accept::NoDelayAcceptor;
use axum_server::tls_rustls::RustlsConfig;
use std::net::{SocketAddr, TcpListener};
use std::time::Duration;
use tokio::task::JoinHandle;

/// A connection that has not sent a whole request by then is closed.
const REQUEST_WITHIN: Duration = Duration::from_secs(15);

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
        Ok(Self { http_addr, https_addr, http, port_80, https })
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
        // Sockets send without delay: a small message, such as a clock's answer or the music, would wait otherwise until
        // the device has acknowledged an earlier one.
        for (i, listener) in [Some(self.http), self.port_80].into_iter().flatten().enumerate() {
            let handle = if i == 0 { handle.clone() } else { Handle::with_control(handle.control()) };
            let server = axum_server::from_tcp(listener)
                .map_err(|cause| StartError::Listen { addr: self.http_addr, option: "http", cause })?
                .acceptor(NoDelayAcceptor::new())
                .handle(handle)
                .first_request_timeout(REQUEST_WITHIN)
                .serve(router(false).into_make_service_with_connect_info::<SocketAddr>());
            listening.push(tokio::spawn(server));
        }
        if let (Some(listener), Some(addr), Some(tls)) = (self.https, self.https_addr, tls) {
            let server = axum_server::from_tcp_rustls(listener, tls)
                .map_err(|cause| StartError::Listen { addr, option: "https", cause })?
                .map(|tls| tls.acceptor(NoDelayAcceptor::new()))
                .handle(Handle::with_control(handle.control()))
                .first_request_timeout(REQUEST_WITHIN)
                .serve(router(true).into_make_service_with_connect_info::<SocketAddr>());
            listening.push(tokio::spawn(server));
        }
        Ok((handle, listening))
    }
}

/// Opens a socket; the address is what the system made of it, since port 0 takes any free one.
fn bind(addr: SocketAddr, option: &'static str) -> Result<(TcpListener, SocketAddr), StartError> {
    let opened = TcpListener::bind(addr).and_then(|listener| Ok((listener.local_addr()?, listener)));
    let (addr, listener) = opened.map_err(|cause| StartError::Listen { addr, option, cause })?;
    Ok((listener, addr))
}
