//! What a device may see before it trusts this computer. Over plain http another machine gets the welcome page and what
//! belongs to it; pages lead to https, and everything else is refused, so that nothing of a rehearsal is ever sent in the
//! clear. This computer itself gets everything, and so does everybody where there is no https. Where a proxy ends TLS, all
//! others have to come through it.

use super::language::words;
use super::peer::Peer;
use super::{Site, welcome};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use std::net::IpAddr;

/// Stands before every route.
pub(super) async fn gate(State(site): State<Site>, peer: Peer, request: Request, next: Next) -> Response {
    let reach = &site.shared.reach;
    reach.note_visit(peer.ip, site.secure);
    if !reach.proxies.is_empty() {
        return if peer.is_this_computer() || (peer.is_behind_proxy && !peer.is_said_plain) {
            next.run(request).await
        } else {
            elsewhere(&site, &request)
        };
    }
    let is_open = site.secure || reach.doors.whole_site_on_http();
    if is_open || (peer.is_this_computer() && names_this_computer(request.headers())) {
        return next.run(request).await;
    }
    let at_the_door = |code: &str| match site.at_first_room() {
        Some(app) => welcome::at_the_door(&app, request.headers(), request.uri(), code),
        None => elsewhere(&site, &request),
    };
    match request.uri().path() {
        path if is_for_everybody(path) => next.run(request).await,
        "/" => at_the_door(""),
        path if path.starts_with("/join/") => at_the_door(&path["/join/".len()..]),
        _ => elsewhere(&site, &request),
    }
}

/// Whether a request that was made here means this computer. A page from elsewhere can make its own name lead to
/// 127.0.0.1; it gets no more than another machine.
pub(super) fn names_this_computer(headers: &HeaderMap) -> bool {
    let Some(host) = headers.get(header::HOST).and_then(|h| h.to_str().ok()) else { return true };
    let name = crate::reach::bare_host(host);
    name == "localhost" || name.parse::<IpAddr>().is_ok()
}

fn is_for_everybody(path: &str) -> bool {
    ["/static/", "/welcome/"].iter().any(|begin| path.starts_with(begin))
        || ["/welcome", "/healthz", "/favicon.ico", "/language"].contains(&path)
}

/// A page goes on over https, without what stood behind the question mark: that may have been a secret. Anything else is
/// refused.
fn elsewhere(site: &Site, request: &Request) -> Response {
    let headers = request.headers();
    let host = headers.get(header::HOST).and_then(|h| h.to_str().ok());
    let is_page = [Method::GET, Method::HEAD].contains(request.method())
        && !headers.contains_key(header::UPGRADE)
        && headers.get(header::ACCEPT).and_then(|a| a.to_str().ok()).is_some_and(|a| a.contains("text/html"));
    match site.shared.reach.secure_origin(host).filter(|_| is_page) {
        Some(origin) => Redirect::temporary(&format!("{origin}{}", path_of(request.uri()))).into_response(),
        None => {
            let text = format!("{}\n", words().say("message-elsewhere"));
            (StatusCode::FORBIDDEN, text).into_response()
        }
    }
}

/// The path of an address as one below our own site, whatever was sent.
fn path_of(uri: &Uri) -> &str {
    // "//elsewhere.example" would be read as another host, and browsers take a backslash for a slash.
    let path = uri.path();
    if path.get(1..).is_some_and(|rest| rest.starts_with(['/', '\\'])) { "/" } else { path }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn a_name_from_elsewhere_that_leads_here_is_not_this_computer() {
        for (host, expected) in [
            ("127.0.0.1:8470", true),
            ("localhost:8470", true),
            ("[::1]:8470", true),
            ("192.168.1.5:8470", true),
            ("rebound.example:8470", false),
            ("", false),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, HeaderValue::from_str(host).unwrap());
            assert_eq!(names_this_computer(&headers), expected, "{host}");
        }
        assert!(names_this_computer(&HeaderMap::new()));
    }

    #[test]
    fn only_what_the_welcome_needs_is_for_everybody() {
        for path in [
            "/welcome",
            "/welcome/authority.crt",
            "/static/base.css",
            "/healthz",
            "/favicon.ico",
            "/language",
        ] {
            assert!(is_for_everybody(path), "{path}");
        }
        for path in
            ["/", "/join/KF3M7P", "/conduct", "/conduct/reach.json", "/ws/player", "/welcomed", "/statics/x"]
        {
            assert!(!is_for_everybody(path), "{path}");
        }
        assert_eq!(path_of(&"http://here//elsewhere.example/x".parse().unwrap()), "/");
        assert_eq!(path_of(&"http://here/\\elsewhere.example/x".parse().unwrap()), "/");
        assert_eq!(path_of(&"/conduct?key=secret".parse().unwrap()), "/conduct");
    }
}
