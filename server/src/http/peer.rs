//! Who is at the other end of a request: an address, and whether it is this computer itself. Behind a proxy that ends TLS
//! that is what the proxy says; nobody else is believed about it.

use super::Site;
use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use std::net::{IpAddr, SocketAddr};

/// The other end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Peer {
    /// Its address.
    pub(super) ip: IpAddr,
    /// Whether a proxy stands between.
    pub(super) is_behind_proxy: bool,
    /// Whether the proxy says that the browser does not speak https with it.
    pub(super) is_said_plain: bool,
}

impl Peer {
    /// Whether the request was made on the computer that serves it. What came through a proxy was not, wherever the proxy
    /// itself may run.
    pub(super) fn is_this_computer(self) -> bool {
        !self.is_behind_proxy && self.ip.to_canonical().is_loopback()
    }

    /// The other end of a connection from `connected` with these headers, if `proxies` are believed.
    pub(super) fn of(connected: IpAddr, headers: &HeaderMap, proxies: &[IpAddr]) -> Self {
        let is_proxy = |ip: IpAddr| proxies.iter().any(|proxy| proxy.to_canonical() == ip.to_canonical());
        if !is_proxy(connected) {
            return Self { ip: connected, is_behind_proxy: false, is_said_plain: false };
        }
        // Each proxy adds the one before it at the end: the last that is no proxy of ours is whom ours has seen, and
        // whatever stands before it may be made up (RFC 7239, section 8.1).
        let said = said_to_ask(headers);
        let ip = said.iter().rev().copied().find(|&ip| !is_proxy(ip)).unwrap_or(connected);
        let is_said_plain = said_protocol(headers).is_some_and(|protocol| protocol != "https");
        Self { ip, is_behind_proxy: true, is_said_plain }
    }
}

impl FromRequestParts<Site> for Peer {
    type Rejection = StatusCode;

    async fn from_request_parts(parts: &mut Parts, app: &Site) -> Result<Self, StatusCode> {
        let connected = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        // All listeners note where each connection comes from.
        let ConnectInfo(addr) = connected.ok_or(StatusCode::INTERNAL_SERVER_ERROR)?;
        Ok(Self::of(addr.ip(), &parts.headers, &app.shared.reach.proxies))
    }
}

const FORWARDED_FOR: HeaderName = HeaderName::from_static("x-forwarded-for");
const FORWARDED_PROTO: HeaderName = HeaderName::from_static("x-forwarded-proto");

/// Texts of all headers of a name, one after another as if they were one list.
fn items(headers: &HeaderMap, name: HeaderName) -> Vec<&str> {
    let texts = headers.get_all(name).into_iter().filter_map(|value| value.to_str().ok());
    texts.flat_map(|text| text.split(',')).map(str::trim).collect()
}

/// A parameter of the Forwarded header (RFC 7239, section 4), in the order of the proxies.
fn forwarded(headers: &HeaderMap, wanted: &str) -> Vec<String> {
    let pairs = items(headers, header::FORWARDED).into_iter().flat_map(|element| element.split(';'));
    pairs
        .filter_map(|pair| pair.trim().split_once('='))
        .filter(|(name, _)| name.eq_ignore_ascii_case(wanted))
        .map(|(_, value)| value.trim_matches('"').to_owned())
        .collect()
}

/// Who is said to ask, the first of the line first.
fn said_to_ask(headers: &HeaderMap) -> Vec<IpAddr> {
    let standard = forwarded(headers, "for");
    if standard.is_empty() {
        return items(headers, FORWARDED_FOR).into_iter().filter_map(address).collect();
    }
    standard.iter().filter_map(|node| address(node)).collect()
}

fn said_protocol(headers: &HeaderMap) -> Option<String> {
    let usual = || items(headers, FORWARDED_PROTO).last().map(|&proto| proto.to_owned());
    forwarded(headers, "proto").pop().or_else(usual).map(|proto| proto.to_ascii_lowercase())
}

/// An address with or without a port, brackets round version 6 (RFC 7239, section 6).
fn address(node: &str) -> Option<IpAddr> {
    let bare = || node.strip_prefix('[')?.split_once(']')?.0.parse().ok();
    node.parse().ok().or_else(|| node.parse::<SocketAddr>().ok().map(|addr| addr.ip())).or_else(bare)
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn peer(connected: &str, headers: &[(&'static str, &str)], proxies: &[&str]) -> Peer {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.append(*name, HeaderValue::from_str(value).unwrap());
        }
        let proxies: Vec<IpAddr> = proxies.iter().map(|ip| ip.parse().unwrap()).collect();
        Peer::of(connected.parse().unwrap(), &map, &proxies)
    }

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
            assert_eq!(peer(ip, &[], &[]).is_this_computer(), expected, "{ip}");
        }
    }

    #[test]
    fn only_a_named_proxy_is_believed_about_who_is_asking() {
        let check = |connected, headers: &[(&'static str, &str)], expected: &str| {
            let peer = peer(connected, headers, &["10.0.0.1", "10.0.0.2"]);
            assert_eq!(peer.ip, expected.parse::<IpAddr>().unwrap(), "{connected} {headers:?}");
        };
        check("10.0.0.9", &[("x-forwarded-for", "192.168.1.20")], "10.0.0.9");
        check("10.0.0.1", &[("x-forwarded-for", "192.168.1.20")], "192.168.1.20");
        check("::ffff:10.0.0.1", &[("x-forwarded-for", "192.168.1.20")], "192.168.1.20");
        // What the device itself wrote stands first and is not believed.
        check("10.0.0.1", &[("x-forwarded-for", "127.0.0.1, 192.168.1.20")], "192.168.1.20");
        check(
            "10.0.0.1",
            &[("x-forwarded-for", "127.0.0.1"), ("x-forwarded-for", "192.168.1.20, 10.0.0.2")],
            "192.168.1.20",
        );
        // RFC 7239, section 4.
        check("10.0.0.1", &[("forwarded", "for=192.168.1.20;proto=https;by=10.0.0.1")], "192.168.1.20");
        check("10.0.0.1", &[("forwarded", "For=\"[fd00::20]:4711\"")], "fd00::20");
        check("10.0.0.1", &[("forwarded", "for=unknown")], "10.0.0.1");
        check("10.0.0.1", &[], "10.0.0.1");
    }

    #[test]
    fn nothing_that_came_through_a_proxy_is_this_computer() {
        let local = peer("127.0.0.1", &[], &["127.0.0.1"]);
        assert!(!local.is_this_computer());
        let claimed = peer("127.0.0.1", &[("x-forwarded-for", "127.0.0.1")], &["127.0.0.1"]);
        assert!(!claimed.is_this_computer());
    }

    #[test]
    fn a_proxy_tells_whether_the_browser_speaks_https_with_it() {
        for (connected, headers, expected) in [
            ("10.0.0.1", [("x-forwarded-proto", "http")], true),
            ("10.0.0.1", [("x-forwarded-proto", "https")], false),
            ("10.0.0.1", [("forwarded", "for=192.168.1.20;proto=HTTPS")], false),
            ("10.0.0.1", [("forwarded", "for=192.168.1.20;proto=http")], true),
            ("10.0.0.9", [("x-forwarded-proto", "http")], false),
        ] {
            assert_eq!(
                peer(connected, &headers, &["10.0.0.1"]).is_said_plain,
                expected,
                "{connected} {headers:?}"
            );
        }
    }
}
