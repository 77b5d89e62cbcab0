//! Signing in and out: the conductor by passphrase, the first passphrase by a link that is good once, an assistant by an
//! invitation. It must know nothing of how secrets are kept.

use super::admission::{too_many, with_retry_after};
use super::language::words;
use super::peer::Peer;
use super::rights::{self, Conducting, PrivateLine};
use super::{App, cookie, pages};
use crate::access::{self, Guess, LinkKind, MIN_SIGNS, Role, Try, Wait};
use crate::clock::unix_ms;
use crate::roster::bad_name;
use crate::words::Words;
use askama::Template;
use axum::Form;
use axum::extract::{Path, Query};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::time::Instant;
use windrow_protocol::units::Name;

#[derive(Debug, Template)]
#[template(path = "sign-in.html")]
struct SignInPage {
    /// In the reader's language.
    words: Words,
    section: String,
    /// Where to go then.
    to: String,
    /// What went wrong; empty if nothing did.
    trouble: String,
}

#[derive(Debug, Template)]
#[template(path = "passphrase.html")]
struct PassphrasePage {
    /// In the reader's language.
    words: Words,
    section: String,
    min_signs: usize,
    trouble: String,
}

#[derive(Debug, Template)]
#[template(path = "invitation.html")]
struct InvitationPage {
    /// In the reader's language.
    words: Words,
    section: String,
    name: String,
    trouble: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct ToQuery {
    to: Option<String>,
}

#[derive(Debug, Deserialize)]
pub(super) struct SignInForm {
    passphrase: String,
    #[serde(default)]
    to: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct NewForm {
    new: String,
    again: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct NameForm {
    name: String,
}

pub(super) async fn show(app: App, _: PrivateLine, Query(query): Query<ToQuery>) -> Response {
    match app.shared.access.has_passphrase().await {
        Ok(true) => sign_in_page(&app, StatusCode::OK, &query.to.unwrap_or_default(), ""),
        Ok(false) => pages::not_set_up(),
        Err(error) => pages::unreadable(&error.into()),
    }
}

pub(super) async fn sign_in(
    app: App,
    _: PrivateLine,
    peer: Peer,
    headers: HeaderMap,
    Form(form): Form<SignInForm>,
) -> Response {
    let attempt = match try_once(&app, Guess::Passphrase, peer) {
        Ok(attempt) => attempt,
        Err(wait) => {
            tracing::warn!(
                wait_s = wait.seconds,
                "too many wrong passphrases came from one address, or from all"
            );
            let trouble = words().of("sign-in-too-many").arg("s", wait.seconds).to_string();
            let page = sign_in_page(&app, StatusCode::TOO_MANY_REQUESTS, &form.to, &trouble);
            return with_retry_after(page, wait);
        }
    };
    match app.shared.access.is_passphrase(form.passphrase).await {
        Ok(true) => attempt.was_right(),
        Ok(false) => {
            tracing::info!("a wrong passphrase was given");
            return sign_in_page(&app, StatusCode::FORBIDDEN, &form.to, &words().say("sign-in-wrong"));
        }
        Err(error) => return pages::unreadable(&error),
    }
    go_in(&app, &headers, Role::Conductor, "", &form.to).await
}

pub(super) async fn sign_out(app: App, _: Conducting, headers: HeaderMap) -> Response {
    rights::end(&app, &headers).await;
    ([(header::SET_COOKIE, cookie::take_back(&app))], Redirect::to("/sign-in")).into_response()
}

pub(super) async fn show_first(app: App, _: PrivateLine, peer: Peer, Path(token): Path<String>) -> Response {
    match look_at_link(&app, peer, &token, LinkKind::Passphrase).await {
        Ok(()) => passphrase_page(&app, StatusCode::OK, ""),
        Err(refused) => refused,
    }
}

pub(super) async fn set_first(
    app: App,
    _: PrivateLine,
    peer: Peer,
    headers: HeaderMap,
    Path(token): Path<String>,
    Form(form): Form<NewForm>,
) -> Response {
    if let Err(refused) = look_at_link(&app, peer, &token, LinkKind::Passphrase).await {
        return refused;
    }
    let code = app.room.code();
    if let Err(unfit) = access::check(&form.new, &form.again, &app.section(), &code) {
        return passphrase_page(&app, StatusCode::UNPROCESSABLE_ENTITY, &words().phrase(&unfit.phrase()));
    }
    match app.shared.access.set_passphrase(form.new, Some(&token), unix_ms()).await {
        Ok(true) => go_in(&app, &headers, Role::Conductor, "", "").await,
        Ok(false) => used_up(LinkKind::Passphrase),
        Err(error) => pages::unreadable(&error),
    }
}

pub(super) async fn show_invitation(
    app: App,
    _: PrivateLine,
    peer: Peer,
    Path(token): Path<String>,
) -> Response {
    match look_at_link(&app, peer, &token, LinkKind::Assistant).await {
        Ok(()) => invitation_page(&app, StatusCode::OK, "", ""),
        Err(refused) => refused,
    }
}

pub(super) async fn accept_invitation(
    app: App,
    _: PrivateLine,
    peer: Peer,
    headers: HeaderMap,
    Path(token): Path<String>,
    Form(form): Form<NameForm>,
) -> Response {
    if let Err(refused) = look_at_link(&app, peer, &token, LinkKind::Assistant).await {
        return refused;
    }
    let name = match Name::new(form.name.trim()) {
        Ok(name) => name.to_string(),
        Err(error) => {
            let what = words().phrase(&bad_name(error));
            let trouble = words().of("invitation-name-wrong").arg("what", what).to_string();
            return invitation_page(&app, StatusCode::UNPROCESSABLE_ENTITY, &form.name, &trouble);
        }
    };
    match app.shared.access.use_invitation(&token, unix_ms()).await {
        Ok(true) => go_in(&app, &headers, Role::Assistant, &name, "").await,
        Ok(false) => used_up(LinkKind::Assistant),
        Err(error) => pages::unreadable(&error.into()),
    }
}

/// Signs in with a new token, whatever the browser brought (OWASP Session Management Cheat Sheet, "Renew the Session ID
/// After Any Privilege Level Change"), and ends what it brought.
pub(super) async fn go_in(app: &App, headers: &HeaderMap, role: Role, name: &str, to: &str) -> Response {
    rights::end(app, headers).await;
    match app.shared.access.sign_in(role, name, unix_ms()).await {
        Ok(token) => {
            let given = [(header::SET_COOKIE, cookie::give(app, &token))];
            (given, Redirect::to(place(to))).into_response()
        }
        Err(error) => pages::unreadable(&error.into()),
    }
}

/// Where to go after signing in: one of the conductor's pages, never an address that somebody else put into a link.
fn place(to: &str) -> &str {
    let is_ours = to == "/conduct" || to.starts_with("/conduct/");
    let is_plain = to.bytes().all(|b| b.is_ascii_alphanumeric() || b"/-_".contains(&b));
    if is_ours && is_plain { to } else { "/conduct" }
}

fn try_once(app: &App, guess: Guess, peer: Peer) -> Result<Try<'_>, Wait> {
    app.shared.access.guesses().try_once(guess, peer.ip, Instant::now())
}

/// Goes on only with a link that is good; looking does not use it up.
async fn look_at_link(app: &App, peer: Peer, token: &str, kind: LinkKind) -> Result<(), Response> {
    let attempt = try_once(app, Guess::Link, peer).map_err(|wait| too_many("message-wait-links", wait))?;
    match app.shared.access.has_link(token, kind, unix_ms()).await {
        Ok(true) => {
            attempt.was_right();
            Ok(())
        }
        Ok(false) => Err(used_up(kind)),
        Err(error) => Err(pages::unreadable(&error.into())),
    }
}

fn used_up(kind: LinkKind) -> Response {
    let text = match kind {
        LinkKind::Passphrase => words().say("message-link-passphrase"),
        LinkKind::Assistant => words().say("message-link-invitation"),
    };
    let title = words().say("message-link-title");
    pages::message_leading(StatusCode::GONE, &title, text, pages::Onward::SignIn)
}

fn sign_in_page(app: &App, status: StatusCode, to: &str, trouble: &str) -> Response {
    let (section, to, trouble) = (app.section(), place(to).to_owned(), trouble.to_owned());
    pages::render(status, &SignInPage { words: words(), section, to, trouble })
}

fn passphrase_page(app: &App, status: StatusCode, trouble: &str) -> Response {
    let (section, trouble) = (app.section(), trouble.to_owned());
    pages::render(status, &PassphrasePage { words: words(), section, min_signs: MIN_SIGNS, trouble })
}

fn invitation_page(app: &App, status: StatusCode, name: &str, trouble: &str) -> Response {
    let (section, name, trouble) = (app.section(), name.to_owned(), trouble.to_owned());
    pages::render(status, &InvitationPage { words: words(), section, name, trouble })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signing_in_leads_to_our_own_pages_alone() {
        for (to, expected) in [
            ("/conduct/roster", "/conduct/roster"),
            ("/conduct", "/conduct"),
            ("", "/conduct"),
            ("https://elsewhere.example", "/conduct"),
            ("//elsewhere.example", "/conduct"),
            ("/conduct/../sign-in", "/conduct"),
            ("/conductor", "/conduct"),
            ("/conduct/x\r\nset-cookie: a=b", "/conduct"),
        ] {
            assert_eq!(place(to), expected, "{to:?}");
        }
    }
}
