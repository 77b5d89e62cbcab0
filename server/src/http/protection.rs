//! What keeps strangers out: headers on every answer, the origin of sockets and forms.

use super::Site;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// Only our own files, nothing inline, nothing from elsewhere, in no frame.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; \
     connect-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; form-action 'self'; \
     frame-ancestors 'none'; base-uri 'none'";
/// What a page of ours needs of the device, and nothing for anybody else. Vibration has no name there.
const DEVICE_POLICY: &str = "microphone=(self), screen-wake-lock=(self), autoplay=(self), camera=(), geolocation=(), \
     display-capture=(), payment=(), usb=(), serial=(), midi=(), publickey-credentials-get=()";

/// The same for a page that can be put on a home screen: its manifest is ours as well.
pub(super) fn policy_with_manifest() -> String {
    format!("{CONTENT_POLICY}; manifest-src 'self'")
}

/// As OWASP's HTTP Headers Cheat Sheet has them (from memory). There is no Strict-Transport-Security: browsers ignore it
/// for bare addresses, and for a name under .local it would lock out the next laptop of that name.
pub(super) async fn add_headers(State(app): State<Site>, mut response: Response) -> Response {
    const HEADERS: [(HeaderName, &str); 6] = [
        (header::CONTENT_SECURITY_POLICY, CONTENT_POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // With "no-referrer" a browser sends "Origin: null" with our own forms (Fetch standard, "append a request
        // Origin header"), and they could not be told from those of a stranger.
        (header::REFERRER_POLICY, "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("permissions-policy"), DEVICE_POLICY),
    ];
    for (name, value) in HEADERS {
        // A page may have a policy of its own.
        response.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    // Over plain http browsers ignore it, and complain in the console.
    if app.secure {
        let name = HeaderName::from_static("cross-origin-opener-policy");
        response.headers_mut().insert(name, HeaderValue::from_static("same-origin"));
    }
    response
}

/// Whether a socket request comes from one of our own pages, or from a program that is no browser and sends no origin.
pub(super) fn same_origin(headers: &HeaderMap) -> bool {
    let Some(origin) = headers.get(header::ORIGIN) else { return true };
    let authority = origin.to_str().ok().and_then(|o| o.split_once("://")).map(|(_, authority)| authority);
    let host = headers.get(header::HOST).and_then(|h| h.to_str().ok());
    authority.zip(host).is_some_and(|(authority, host)| authority.eq_ignore_ascii_case(host))
}

/// Turns away, with an answer, what a page of another address sends in the name of whoever is signed in (OWASP Cross-Site Request Forgery
/// Prevention Cheat Sheet, "Verifying Origin With Standard Headers", from memory): browsers send an origin with every
/// request that changes something.
pub(super) fn turn_away_stranger(method: &Method, headers: &HeaderMap) -> Option<Response> {
    if same_origin(headers) && (method.is_safe() || headers.contains_key(header::ORIGIN)) {
        return None;
    }
    let text = format!("{}\n", super::language::words().say("message-other-address"));
    Some((StatusCode::FORBIDDEN, text).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(origin: Option<&str>, host: &str, expected: bool) {
        let mut headers = HeaderMap::new();
        headers.insert(header::HOST, HeaderValue::from_str(host).unwrap());
        if let Some(origin) = origin {
            headers.insert(header::ORIGIN, HeaderValue::from_str(origin).unwrap());
        }
        assert_eq!(same_origin(&headers), expected, "{origin:?} {host}");
    }

    #[test]
    fn only_our_own_pages_and_programs_without_origin_may_open_sockets() {
        check(None, "192.168.1.5:8471", true);
        check(Some("https://192.168.1.5:8471"), "192.168.1.5:8471", true);
        check(Some("https://Stand.local:8471"), "stand.local:8471", true);
        check(Some("https://192.168.1.5"), "192.168.1.5:8471", false);
        check(Some("https://elsewhere.example"), "192.168.1.5:8471", false);
        check(Some("null"), "192.168.1.5:8471", false);
    }
}
