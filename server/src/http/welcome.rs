//! The welcome page: for a device that does not trust this computer yet. It tells the device at hand what to tap, hands
//! out the certificate, and lets the page find out by itself when it has worked. It must know nothing of rehearsals.

mod device;

use super::fresh::NO_STORE;
use super::language::words;
use super::{App, pages};
use crate::reach::profile;
use crate::room::clean_code;
use crate::tls::Authority;
use crate::words::Words;
use askama::Template;
use axum::extract::Query;
use axum::http::{HeaderMap, HeaderValue, StatusCode, Uri, header};
use axum::response::{IntoResponse, Redirect, Response};
use device::Device;
use serde::Deserialize;

/// Longer codes are not ours.
const MAX_CODE: usize = 12;

/// The page.
#[derive(Debug, Template)]
#[template(path = "welcome.html")]
struct WelcomePage {
    /// In the reader's language.
    words: Words,
    /// Section or ensemble.
    section: String,
    /// Whether the players are invented.
    demo: bool,
    /// The device whose steps are shown.
    device: Device,
    /// Whether somebody chose it by hand.
    is_chosen: bool,
    /// Join code, or empty.
    code: String,
    /// The https site, without a path.
    secure_origin: String,
    /// Its host and port.
    secure_host: String,
    /// Its host alone, as browsers name it in their warnings.
    secure_name: String,
    /// Where to go on there.
    next: String,
    /// The same as an address.
    past: String,
    /// Fingerprint of the authority.
    fingerprint: String,
    /// Name of the authority in lists.
    authority: String,
    /// Whether the authority may vouch for local names and private addresses only.
    constrained: bool,
}

impl WelcomePage {
    fn devices(&self) -> impl Iterator<Item = Device> {
        Device::ALL.into_iter()
    }
}

#[derive(Debug, Default, Deserialize)]
pub(super) struct Choice {
    #[serde(default)]
    device: String,
    #[serde(default)]
    code: String,
}

/// The page where somebody asks for it by its own name, as on this computer itself.
pub(super) async fn show(app: App, Query(choice): Query<Choice>, headers: HeaderMap) -> Response {
    page(&app, &headers, &choice.device, &choice.code)
}

/// What a device gets that came to plain http with or without a code.
pub(super) fn at_the_door(app: &App, headers: &HeaderMap, uri: &Uri, code: &str) -> Response {
    let choice = Query::<Choice>::try_from_uri(uri).map(|Query(choice)| choice).unwrap_or_default();
    page(app, headers, &choice.device, code)
}

fn page(app: &App, headers: &HeaderMap, chosen: &str, code: &str) -> Response {
    let text = |name| headers.get(name).and_then(|h: &HeaderValue| h.to_str().ok());
    let code = clean_code(code);
    let code = if code.len() <= MAX_CODE && code.bytes().all(|b| b.is_ascii_alphanumeric()) {
        code
    } else {
        String::new()
    };
    let next = if code.is_empty() { "/".to_owned() } else { format!("/join/{code}") };
    let reach = &app.shared.reach;
    let (origin, authority) = match (reach.secure_origin(text(header::HOST)), &reach.authority) {
        (Some(origin), Some(authority)) => (origin, authority),
        // A certificate that devices trust already: nothing to explain.
        (Some(origin), None) => return Redirect::temporary(&format!("{origin}{next}")).into_response(),
        (None, _) => return Redirect::temporary(&next).into_response(),
    };
    let chosen = Device::from_slug(chosen);
    let device = chosen.unwrap_or_else(|| Device::of(text(header::USER_AGENT).unwrap_or_default()));
    let policy = content_policy(&origin);
    let page = WelcomePage {
        words: words(),
        section: app.section(),
        demo: app.shared.demo,
        device,
        is_chosen: chosen.is_some(),
        code,
        secure_name: origin
            .trim_start_matches("https://")
            .rsplit_once(':')
            .map_or("", |(name, _)| name)
            .to_owned(),
        secure_host: origin.trim_start_matches("https://").to_owned(),
        past: format!("{origin}{next}"),
        secure_origin: origin,
        next,
        fingerprint: authority.fingerprint.clone(),
        authority: authority.common_name.clone(),
        constrained: authority.permitted.is_some(),
    };
    let mut response = pages::render(StatusCode::OK, &page);
    response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
    response
}

/// The policy of every page, with leave to ask the https site whether it is trusted. A policy cannot name an address of
/// version 6 (CSP, section 2.3.1: host-char); there any computer's site at that port stands for it.
fn content_policy(secure_origin: &str) -> HeaderValue {
    let asked = match secure_origin.rsplit_once("]:") {
        Some((_, port)) => format!("https://*:{port}"),
        None => secure_origin.to_owned(),
    };
    let policy = format!(
        "default-src 'none'; script-src 'self'; connect-src 'self' {asked}; style-src 'self'; img-src 'self' data:; \
         font-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    );
    HeaderValue::from_str(&policy).expect("an origin is plain letters, digits and dots")
}

/// The answer only a device gets that trusts this computer: over https, and readable for our own plain pages alone.
pub(super) async fn trusted(app: App, headers: HeaderMap) -> Response {
    if !app.secure {
        let text = format!("{}\n", words().say("message-https-only"));
        return (StatusCode::FORBIDDEN, text).into_response();
    }
    let common = [NO_STORE, (header::VARY, "origin")];
    let origin = headers
        .get(header::ORIGIN)
        .filter(|origin| origin.to_str().is_ok_and(|origin| app.shared.reach.is_own_plain_origin(origin)));
    let mut response = (common, "trusted\n").into_response();
    if let Some(origin) = origin {
        response.headers_mut().insert(header::ACCESS_CONTROL_ALLOW_ORIGIN, origin.clone());
    }
    response
}

/// The authority as Android and computers take it.
pub(super) async fn authority_der(app: App) -> Response {
    file(&app, "application/x-x509-ca-cert", Some("windrow.crt"), |authority| authority.der.clone())
}

/// The authority as text.
pub(super) async fn authority_pem(app: App) -> Response {
    file(&app, "application/x-pem-file", Some("windrow.pem"), |authority| authority.pem.clone().into_bytes())
}

/// The authority as iPhones and iPads take it. Shown rather than downloaded, or they would keep it as a mere file.
pub(super) async fn authority_profile(app: App) -> Response {
    file(&app, "application/x-apple-aspen-config", None, |authority| {
        profile(authority, &words().say("profile-what")).into_bytes()
    })
}

fn file(
    app: &App,
    kind: &'static str,
    name: Option<&'static str>,
    bytes: impl FnOnce(&Authority) -> Vec<u8>,
) -> Response {
    let Some(authority) = &app.shared.reach.authority else { return no_authority() };
    let common = [(header::CONTENT_TYPE, kind), NO_STORE];
    let mut response = (common, bytes(authority)).into_response();
    if let Some(name) = name {
        let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""));
        response.headers_mut().insert(header::CONTENT_DISPOSITION, disposition.expect("a plain name"));
    }
    response
}

fn no_authority() -> Response {
    pages::message(
        StatusCode::NOT_FOUND,
        &words().say("message-no-certificate-title"),
        words().say("message-no-certificate"),
    )
}
