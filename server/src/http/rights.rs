//! What a request may do, as something a handler asks for among its arguments: a route without it is open to all.

use super::language::words;
use super::{Site, cookie, gate, pages, protection};
use crate::access::Role;
use crate::clock::unix_ms;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use std::time::Duration;

/// How soon an open socket learns that its sign-in has ended.
const CHECK_EVERY: Duration = Duration::from_secs(2);

/// The request is of somebody who leads the rehearsal: the conductor or an assistant. One that changes something must come
/// from one of our own pages as well.
#[derive(Debug, Clone)]
pub(super) struct Conducting {
    pub(super) who: Who,
}

/// The same, but the conductor alone: who may do what, and erasing.
#[derive(Debug, Clone)]
pub(super) struct Owning {
    pub(super) who: Who,
}

/// Somebody who is signed in.
#[derive(Debug, Clone)]
pub(super) struct Who {
    pub(super) role: Role,
    /// An assistant's name.
    pub(super) name: String,
    /// Names the sign-in; none for a program with its key.
    pub(super) sign_in_id: Option<i64>,
    token: String,
}

impl Who {
    fn program(key: &str) -> Self {
        Self { role: Role::Conductor, name: String::new(), sign_in_id: None, token: key.to_owned() }
    }
}

impl FromRequestParts<Site> for Conducting {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Site) -> Result<Self, Response> {
        if let Some(turned_away) = protection::turn_away_stranger(&parts.method, &parts.headers) {
            return Err(turned_away);
        }
        match who(app, &parts.headers).await {
            Some(who) => Ok(Self { who }),
            None => Err(turn_away(app, parts).await),
        }
    }
}

impl FromRequestParts<Site> for Owning {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Site) -> Result<Self, Response> {
        let Conducting { who } = Conducting::from_request_parts(parts, app).await?;
        if who.role == Role::Conductor { Ok(Self { who }) } else { Err(pages::not_for_assistants()) }
    }
}

/// Who sent a request, by its cookie.
pub(super) async fn who(app: &Site, headers: &HeaderMap) -> Option<Who> {
    for token in cookie::tokens(app, headers) {
        if let Some(who) = who_has(app, &token).await {
            return Some(who);
        }
    }
    None
}

/// Whoever this key of a program is, if the server was given one.
pub(super) fn program(app: &Site, given: &str) -> Option<Who> {
    let key = app.shared.program_key.as_deref()?;
    // The same time however much of it is right.
    let differs = given.bytes().zip(key.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b));
    (given.len() == key.len() && differs == 0).then(|| Who::program(key))
}

/// Waits until somebody is not signed in any more, by whichever program that was ended.
pub(super) async fn ended(app: &Site, who: &Who) {
    while is_still(app, who).await {
        tokio::time::sleep(CHECK_EVERY).await;
    }
}

/// Whether somebody is signed in still. Where the records cannot be read a rehearsal that runs goes on.
async fn is_still(app: &Site, who: &Who) -> bool {
    if who.sign_in_id.is_none() {
        return true;
    }
    match app.shared.access.who(&who.token, unix_ms()).await {
        Ok(found) => found.is_some(),
        Err(error) => {
            tracing::warn!(%error, "a sign-in could not be looked up");
            true
        }
    }
}

/// Ends the sign-ins whose cookies a request brings.
pub(super) async fn end(app: &Site, headers: &HeaderMap) {
    if let Some(id) = who(app, headers).await.and_then(|who| who.sign_in_id)
        && let Err(error) = app.shared.access.end_sign_in(id).await
    {
        tracing::warn!(%error, "a sign-in could not be ended");
    }
}

async fn who_has(app: &Site, token: &str) -> Option<Who> {
    if let Some(program) = program(app, token) {
        return Some(program);
    }
    match app.shared.access.who(token, unix_ms()).await {
        Ok(found) => found.map(|sign_in| Who {
            role: sign_in.role,
            name: sign_in.name,
            sign_in_id: Some(sign_in.id),
            token: token.to_owned(),
        }),
        Err(error) => {
            tracing::error!(%error, "a sign-in could not be looked up");
            None
        }
    }
}

/// A person is led to the sign-in and from there to the page asked for; a program is told.
async fn turn_away(app: &Site, parts: &Parts) -> Response {
    if !app.shared.access.has_passphrase().await.unwrap_or(true) {
        return pages::not_set_up();
    }
    let accepts = parts.headers.get(header::ACCEPT).and_then(|v| v.to_str().ok()).unwrap_or_default();
    if parts.method == Method::GET && accepts.contains("text/html") {
        let to = parts.uri.path();
        return Redirect::to(&format!("/sign-in?to={to}")).into_response();
    }
    pages::conductor_only()
}

/// The line to this request cannot be listened to by others: https, or this computer itself. Passphrases and links go over
/// no other (OWASP Session Management Cheat Sheet, "Transport Layer Security").
#[derive(Debug, Clone, Copy)]
pub(super) struct PrivateLine;

impl FromRequestParts<Site> for PrivateLine {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Site) -> Result<Self, Response> {
        if let Some(turned_away) = protection::turn_away_stranger(&parts.method, &parts.headers) {
            return Err(turned_away);
        }
        let peer =
            super::peer::Peer::from_request_parts(parts, app).await.map_err(StatusCode::into_response)?;
        // A page from elsewhere that made its own name lead here asks from this computer as well.
        if app.secure || (peer.is_this_computer() && gate::names_this_computer(&parts.headers)) {
            return Ok(Self);
        }
        let host = parts.headers.get(header::HOST).and_then(|h| h.to_str().ok());
        let text = app.shared.reach.secure_origin(host).map_or_else(
            || words().say("message-line"),
            |origin| {
                let url = format!("{origin}{}", parts.uri.path());
                words().of("message-line-secure").arg("url", url).to_string()
            },
        );
        Err(pages::message(StatusCode::FORBIDDEN, &words().say("message-line-title"), text))
    }
}
