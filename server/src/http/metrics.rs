//! What the server counts, for programs that watch it: OpenMetrics text 1.0. This computer may read it; another one with the token that the
//! server was started with. It names nobody.

use super::peer::Peer;
use super::{Site, fresh};
use crate::metrics::Now;
use crate::store::token_sha256;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// As the standard has it (OpenMetrics 1.0, section "Text Format").
const OPEN_METRICS: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

pub(super) async fn report(State(site): State<Site>, peer: Peer, headers: HeaderMap) -> Response {
    let expected = site.shared.metrics_token.as_deref();
    if !peer.is_this_computer() && !has_token(&headers, expected) {
        return turned_away(expected.is_some());
    }
    let (n_rooms, n_players) = site.shared.rooms.counts();
    let (n_waiting_events, n_waiting_records) = site.shared.rooms.waiting();
    let now = Now { n_rooms, n_players, n_waiting_events, n_waiting_records };
    let text = site.shared.metrics.text(now);
    ([fresh::NO_STORE, (header::CONTENT_TYPE, OPEN_METRICS)], text).into_response()
}

/// Whether the request carries the token (RFC 6750, section 2.1).
fn has_token(headers: &HeaderMap, expected: Option<&str>) -> bool {
    let Some(expected) = expected else { return false };
    let sent = headers.get(header::AUTHORIZATION).and_then(|value| value.to_str().ok());
    let token =
        sent.and_then(|sent| sent.split_once(' ')).filter(|(kind, _)| kind.eq_ignore_ascii_case("bearer"));
    // Hashes, so that the time taken tells nothing of the token.
    token.is_some_and(|(_, token)| token_sha256(token.trim()) == token_sha256(expected))
}

fn turned_away(by_token: bool) -> Response {
    if by_token {
        let asks = [(header::WWW_AUTHENTICATE, "Bearer")];
        return (StatusCode::UNAUTHORIZED, asks, "a token is needed here\n").into_response();
    }
    let why = "only this computer may read this; see windrow serve --help, --metrics-token-file\n";
    (StatusCode::FORBIDDEN, why).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn a_token_is_taken_as_a_bearers_and_whole() {
        const TOKEN: &str = "a-token-of-24-signs-or-so";
        for (sent, expected) in [
            (Some(format!("Bearer {TOKEN}")), true),
            (Some(format!("bearer  {TOKEN}")), true),
            (Some(format!("Basic {TOKEN}")), false),
            (Some(TOKEN.to_owned()), false),
            (Some(format!("Bearer {TOKEN}x")), false),
            (Some("Bearer ".to_owned()), false),
            (None, false),
        ] {
            let mut headers = HeaderMap::new();
            if let Some(sent) = &sent {
                headers.insert(header::AUTHORIZATION, HeaderValue::from_str(sent).unwrap());
            }
            assert_eq!(has_token(&headers, Some(TOKEN)), expected, "{sent:?}");
            assert!(!has_token(&headers, None), "{sent:?}");
        }
    }
}
