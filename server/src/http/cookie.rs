//! Cookies as a request brings them and an answer sets them, and the one of whoever is signed in: its name and attributes. It
//! knows nothing of what a token opens.

use super::Site;
use axum::http::header::COOKIE;
use axum::http::{HeaderMap, HeaderValue};

/// Each of them is looked up in the records, and a head has room for thousands. Our own choice.
const MAX_TOKENS: usize = 8;

/// Every token that a request brings under our name. There may be several: another program on the same computer, at
/// another port, shares the browser's cookies.
pub(super) fn tokens(app: &Site, headers: &HeaderMap) -> Vec<String> {
    values(headers, &name(app)).take(MAX_TOKENS).map(str::to_owned).collect()
}

/// Values of every cookie of this name that a request brings, whoever set it.
pub(super) fn values<'a>(headers: &'a HeaderMap, name: &str) -> impl Iterator<Item = &'a str> {
    let texts = headers.get_all(COOKIE).iter().filter_map(|text| text.to_str().ok());
    let pairs = texts.flat_map(|text| text.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.filter(move |(n, _)| *n == name).map(|(_, value)| value)
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
    header_for(app.secure, &name(app), token, &format!("; SameSite=Strict{more}"))
}

/// What sets a cookie for all of this listener and for no script; over https alone where the listener is that.
///
/// # Panics
/// When the name, the value or the attributes have anything but plain letters, digits and signs.
pub(super) fn header_for(secure: bool, name: &str, value: &str, attributes: &str) -> HeaderValue {
    let text = text(secure, name, value, attributes);
    HeaderValue::from_str(&text).expect("a cookie's name and value are plain letters and digits")
}

fn text(secure: bool, name: &str, value: &str, attributes: &str) -> String {
    let only_https = if secure { "; Secure" } else { "" };
    format!("{name}={value}; Path=/; HttpOnly{attributes}{only_https}")
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
        let given = |secure| text(secure, &name_of(secure, "a1"), "t", "; SameSite=Strict");
        assert_eq!(given(true), "__Host-windrow_a1=t; Path=/; HttpOnly; SameSite=Strict; Secure");
        assert_eq!(given(false), "windrow_a1=t; Path=/; HttpOnly; SameSite=Strict");
    }
}
