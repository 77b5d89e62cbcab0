//! How a request becomes a socket: asked for by one of our own pages or by a program that is no browser, as RFC 6455 has it,
//! and within the limits of a wire. It must not know what is said over it.

use super::language::words;
use super::{Site, protection, wire};
use axum::extract::FromRequestParts;
use axum::extract::ws::rejection::WebSocketUpgradeRejection;
use axum::extract::ws::{WebSocket, WebSocketUpgrade};
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// The one version there is (RFC 6455, section 4.1).
const VERSION: &str = "13";

/// A request that may become a socket.
#[derive(Debug)]
pub(super) struct Upgrade(WebSocketUpgrade);

impl Upgrade {
    /// Becomes one, with which `converse` goes on.
    pub(super) fn then<C, F>(self, converse: C) -> Response
    where
        C: FnOnce(WebSocket) -> F + Send + 'static,
        F: Future<Output = ()> + Send + 'static,
    {
        self.0.on_upgrade(converse)
    }
}

impl FromRequestParts<Site> for Upgrade {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, site: &Site) -> Result<Self, Response> {
        if !protection::same_origin(&parts.headers) {
            let text = format!("{}\n", words().say("message-other-address"));
            return Err((StatusCode::FORBIDDEN, text).into_response());
        }
        let is_proper = has_proper_key(&parts.headers);
        match WebSocketUpgrade::from_request_parts(parts, site).await {
            Ok(upgrade) if is_proper => Ok(Self(wire::limited(upgrade))),
            Ok(_) => Err((StatusCode::BAD_REQUEST, "the key of a socket is 16 bytes\n").into_response()),
            // RFC 6455, section 4.4: says which one there is.
            Err(WebSocketUpgradeRejection::InvalidWebSocketVersionHeader(_)) => {
                let versions = [(header::SEC_WEBSOCKET_VERSION, VERSION)];
                Err((StatusCode::UPGRADE_REQUIRED, versions, "another version\n").into_response())
            }
            Err(other) => Err(other.into_response()),
        }
    }
}

/// RFC 6455, section 4.2.1: sixteen bytes in base64. What a cache or a form could have been made to send is none.
fn has_proper_key(headers: &HeaderMap) -> bool {
    let key = headers.get(header::SEC_WEBSOCKET_KEY).map(|key| key.as_bytes());
    let signs = key.and_then(|key| key.strip_suffix(b"=="));
    signs.is_some_and(|signs| {
        signs.len() == 22 && signs.iter().all(|b| b.is_ascii_alphanumeric() || b"+/".contains(b))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn a_key_is_sixteen_bytes_in_base64() {
        for (key, expected) in [
            // RFC 6455, section 1.2.
            ("dGhlIHNhbXBsZSBub25jZQ==", true),
            ("dGhlIHNhbXBsZSBub25jZQ", false),
            ("dGhlIHNhbXBsZSBub25jZQ=", false),
            ("dGhlIHNhbXBsZSBub25jZWQ=", false),
            ("dGhlIHNhbXBsZSBub25j*Q==", false),
            ("==", false),
            ("", false),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert(header::SEC_WEBSOCKET_KEY, HeaderValue::from_static(key));
            assert_eq!(has_proper_key(&headers), expected, "{key}");
        }
        assert!(!has_proper_key(&HeaderMap::new()));
    }
}
