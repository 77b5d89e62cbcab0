//! The cookie of whoever is signed in: its name, its attributes, and reading it. It knows nothing of what a token opens.

use super::App;
use axum::http::{HeaderMap, HeaderValue, header};

/// Every token that a request brings under our name. There may be several: another program on the same computer, at
/// another port, shares the browser's cookies.
pub(super) fn tokens(app: &App, headers: &HeaderMap) -> Vec<String> {
    let name = name(app);
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .filter(|(n, _)| *n == name)
        .map(|(_, value)| value.to_owned())
        .collect()
}

/// Gives a browser its token. OWASP Session Management Cheat Sheet, "Cookies": HttpOnly, Secure, SameSite=Strict, no
/// Domain, and gone when the browser closes (no Max-Age), which is what a shared laptop needs.
pub(super) fn give(app: &App, token: &str) -> HeaderValue {
    let text = format!("{}={token}; Path=/; HttpOnly; SameSite=Strict{}", name(app), secure(app));
    HeaderValue::from_str(&text).expect("a cookie's name and token are plain letters and digits")
}

/// Takes the token back from a browser.
pub(super) fn take_back(app: &App) -> HeaderValue {
    let text = format!("{}=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0{}", name(app), secure(app));
    HeaderValue::from_str(&text).expect("a cookie's name is plain letters and digits")
}

fn secure(app: &App) -> &'static str {
    if app.secure { "; Secure" } else { "" }
}

/// Browsers let no other host and no plain http set a cookie whose name begins with `__Host-` (RFC 6265bis, section
/// 4.1.3.2).
fn name(app: &App) -> String {
    name_of(app.secure, app.shared.access.cookie_id())
}

/// The cookie's name on a listener.
pub(crate) fn name_of(secure: bool, cookie_id: &str) -> String {
    format!("{}windrow_{cookie_id}", if secure { "__Host-" } else { "" })
}
