//! How devices get here, for the conductor: the pattern on the wall, the poster to print, and the numbers and warnings
//! that the room's page shows. It decides nothing.

use super::fresh::NO_STORE;
use super::language::words;
use super::rights::Conducting;
use super::{App, fresh, pages};
use crate::reach::for_page;
use crate::warning::Warning;
use crate::words::Words;
use askama::Template;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use std::net::IpAddr;

/// What the room's page asks for.
#[derive(Debug, Serialize)]
struct ReachSeen {
    /// Addresses devices can come to, the likeliest first.
    addresses: Vec<IpAddr>,
    /// What is typed where there is no camera.
    short_address: String,
    /// The name on the network as it is typed, once it is announced.
    local_name: Option<String>,
    /// What the pattern holds.
    join_url: String,
    /// Devices that have come over plain http.
    reached_http: usize,
    /// Devices that have come over https.
    reached_https: usize,
    /// What is likely in the way.
    warnings: Vec<WarningSeen>,
}

/// A warning in the reader's language.
#[derive(Debug, Serialize)]
struct WarningSeen {
    text: String,
    what_to_do: String,
}

/// The poster.
#[derive(Debug, Template)]
#[template(path = "poster.html")]
struct PosterPage {
    /// In the reader's language.
    words: Words,
    section: String,
    here: &'static str,
    code: String,
    short_address: String,
    local_name: Option<String>,
    /// Fingerprint of the authority in two lines; none where devices trust the certificate anyway.
    fingerprint: Option<[String; 2]>,
}

/// The way here as numbers and words.
pub(super) async fn seen(_: Conducting, app: App) -> Response {
    let reach = &app.shared.reach;
    let join_url = app.join_url();
    let reached = reach.reached();
    let seen = ReachSeen {
        addresses: reach.addresses(),
        short_address: reach.short_address(),
        local_name: reach.named_address(),
        join_url,
        reached_http: reached.http,
        reached_https: reached.https,
        warnings: reach.warnings().iter().map(worded).collect(),
    };
    fresh::json(seen)
}

fn worded(warning: &Warning) -> WarningSeen {
    WarningSeen { text: words().phrase(&warning.text), what_to_do: words().phrase(&warning.what_to_do) }
}

/// The pattern as a picture.
pub(super) async fn pattern(_: Conducting, app: App) -> Response {
    match for_page(&app.join_url()) {
        Ok(picture) => {
            let kind = [(header::CONTENT_TYPE, "image/svg+xml"), NO_STORE];
            (kind, picture).into_response()
        }
        Err(error) => {
            tracing::error!(%error, "the pattern could not be made");
            let text = format!("{}\n", words().say("message-pattern-unmade"));
            (StatusCode::INTERNAL_SERVER_ERROR, text).into_response()
        }
    }
}

/// The page to print and put up, or to show on the wall.
pub(super) async fn poster(_: Conducting, app: App) -> Response {
    let reach = &app.shared.reach;
    let page = PosterPage {
        words: words(),
        section: app.section(),
        here: "poster",
        code: app.room.code(),
        short_address: reach.short_address(),
        local_name: reach.named_address(),
        fingerprint: reach.authority.as_ref().map(|authority| halves(&authority.fingerprint)),
    };
    pages::render(StatusCode::OK, &page)
}

/// A fingerprint in two lines of 16 pairs.
fn halves(fingerprint: &str) -> [String; 2] {
    let pairs: Vec<&str> = fingerprint.split(':').collect();
    let (first, second) = pairs.split_at(pairs.len() / 2);
    [first.join(" "), second.join(" ")]
}
