//! The cookie of whoever is signed in: its name, its attributes, and reading it. It knows nothing of what a token opens.

use super::Site;
use axum::http::header::COOKIE;
use axum::http::{HeaderMap, HeaderValue};

/// Each of them is looked up in the records, and a head has room for thousands. Our own choice.
const MAX_TOKENS: usize = 8;

/// Every token that a request brings under our name. There may be several: another program on the same computer, at
/// another port, shares the browser's cookies.
pub(super) fn tokens(app: &Site, headers: &HeaderMap) -> Vec<String> {
    let name = name(app);
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .filter(|(n, _)| *n == name)
        .take(MAX_TOKENS)
        .map(|(_, value)| value.to_owned())
        .collect()
}

/// Gives a browser its token. OWASP Session Management Cheat Sheet, "Cookies" (from memory): HttpOnly, Secure,
/// SameSite=Strict, no Domain, and gone when the browser closes (no Max-Age), which is what a shared laptop needs.
pub(super) fn give(app: &Site, token: &str) -> HeaderValue {
    header(app, token, "")
}

/// Takes the token back from a browser.
pub(super) fn take_back(app: &Site) -> HeaderValue {
    header(app, "", "; Max-Age=0")
}

fn header(app: &Site, token: &str, more: &str) -> HeaderValue {
    let text = text(app.secure, app.shared.access.cookie_id(), token) + more;
    HeaderValue::from_str(&text).expect("a cookie's name and token are plain letters and digits")
}

fn text(secure: bool, cookie_id: &str, token: &str) -> String {
    let only_https = if secure { "; Secure" } else { "" };
    format!("{}={token}; Path=/; HttpOnly; SameSite=Strict{only_https}", name_of(secure, cookie_id))
}

fn name(app: &Site) -> String {
    name_of(app.secure, app.shared.access.cookie_id())
}

/// The cookie's name on a listener. Browsers let no other host and no plain http set one that begins with `__Host-`
/// (RFC 6265bis, section 4.1.3.2).
pub(crate) fn name_of(secure: bool, cookie_id: &str) -> String {
    format!("{}windrow_{cookie_id}", if secure { "__Host-" } else { "" })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn on_https_only_https_and_only_this_host_may_set_it() {
        // RFC 6265bis, section 4.1.3.2: Secure, Path=/, no Domain.
        assert_eq!(text(true, "a1", "t"), "__Host-windrow_a1=t; Path=/; HttpOnly; SameSite=Strict; Secure");
        assert_eq!(text(false, "a1", "t"), "windrow_a1=t; Path=/; HttpOnly; SameSite=Strict");
    }
}
