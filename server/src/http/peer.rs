//! Who is at the other end of a request: an address, and whether it is this computer itself.

use super::App;
use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::StatusCode;
use axum::http::request::Parts;
use std::net::{IpAddr, SocketAddr};

/// The other end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Peer {
    /// Its address.
    pub(super) ip: IpAddr,
}

impl Peer {
    /// Whether the request was made on the computer that serves it.
    pub(super) fn is_this_computer(self) -> bool {
        self.ip.to_canonical().is_loopback()
    }
}

impl FromRequestParts<App> for Peer {
    type Rejection = StatusCode;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, StatusCode> {
        let connected = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        // Both listeners note where each connection comes from.
        connected.map(|ConnectInfo(addr)| Peer { ip: addr.ip() }).ok_or(StatusCode::INTERNAL_SERVER_ERROR)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn this_computer_is_known_by_every_form_of_its_own_address() {
        for (ip, expected) in [
            ("127.0.0.1", true),
            ("127.0.1.1", true),
            ("::1", true),
            ("::ffff:127.0.0.1", true),
            ("192.168.1.5", false),
            ("fe80::1", false),
        ] {
            assert_eq!(Peer { ip: ip.parse().unwrap() }.is_this_computer(), expected, "{ip}");
        }
    }
}
