//! What of a request is read here, for bytes from nowhere; see [`crate::fuzzing`].

use super::peer::Peer;
use super::{language, line, protection, wire};
use axum::http::{HeaderMap, HeaderName, HeaderValue};
use serde::de::DeserializeOwned;
use std::net::{IpAddr, Ipv4Addr};

/// The proxy that is believed.
const PROXY: IpAddr = IpAddr::V4(Ipv4Addr::new(10, 0, 0, 1));

/// A message as a socket reads it.
pub(crate) fn message<T: DeserializeOwned>(text: &str) -> Option<T> {
    if text.len() > wire::MAX_MESSAGE_BYTES {
        return None;
    }
    let read = wire::decode(text);
    if let Err(refused) = &read {
        // A close frame has 123 bytes; the page shows all of it.
        assert!(crate::words::english(&refused.text).len() <= 2048, "a refusal without end");
    }
    read.ok()
}

/// A request of a line, and each of its messages as the conversation reads it.
pub(crate) fn line_request(bytes: &[u8]) {
    let Ok(said) = serde_json::from_slice::<line::Said>(bytes) else { return };
    for one in said.messages {
        let _ = message::<windrow_protocol::messages::PlayerSays>(&one.to_string());
    }
}

/// Headers, one a line: who asks, in which language, from which page.
pub(crate) fn headers(bytes: &[u8]) {
    let mut headers = HeaderMap::new();
    for line in bytes.split(|&byte| byte == b'\n').take(64) {
        let colon = line.iter().position(|&byte| byte == b':').unwrap_or(line.len());
        let (name, value) = (&line[..colon], line.get(colon + 1..).unwrap_or_default());
        let pair = HeaderName::from_bytes(name).ok().zip(HeaderValue::from_bytes(value.trim_ascii()).ok());
        if let Some((name, value)) = pair {
            headers.append(name, value);
        }
    }
    let stranger = IpAddr::V4(Ipv4Addr::new(192, 168, 1, 9));
    let peer = Peer::of(stranger, &headers, &[PROXY]);
    assert!(peer.ip == stranger && !peer.is_behind_proxy, "a stranger was believed about who asks");
    let peer = Peer::of(PROXY, &headers, &[PROXY]);
    assert!(peer.is_behind_proxy && !peer.is_this_computer(), "what came through a proxy is this computer");
    let _ = language::chosen(&headers);
    let back = language::back(&headers);
    assert!(back.starts_with('/') && !back.starts_with("//"), "back to elsewhere: {back}");
    assert!(!back.starts_with("/\\"), "browsers read it as two slashes: {back}");
    let _ = protection::same_origin(&headers);
    for value in headers.values().filter_map(|value| value.to_str().ok()) {
        let host = crate::reach::bare_host(value);
        assert!(value.contains(host));
    }
}
