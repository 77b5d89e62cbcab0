//! The three pages. The templates are in `web/templates`; they get plain values and decide nothing.

use super::admission::{self, TurnedAway};
use super::fresh::NO_STORE;
use super::language::words;
use super::peer::Peer;
use super::rights::{self, Conducting};
use super::{App, Site, cookie, page_parts, zipped};
use crate::access::AccessError;
use crate::room::clean_code;
use crate::words::Words;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::Deserialize;
use sha2::{Digest, Sha256};

/// A player's page.
#[derive(Debug, Template)]
#[template(path = "player.html")]
pub(super) struct PlayerPage {
    /// In the reader's language.
    pub(super) words: Words,
    /// Section or ensemble; empty where the room is not known yet.
    pub(super) section: String,
    /// Join code, or empty where it is to be typed.
    pub(super) code: String,
    /// Slug and label of each instrument, in score order.
    pub(super) instruments: Vec<(&'static str, String)>,
    /// Whether the players are invented.
    pub(super) demo: bool,
}

/// The conductor's page.
#[derive(Debug, Template)]
#[template(path = "conductor.html")]
pub(super) struct ConductorPage {
    /// In the reader's language.
    pub(super) words: Words,
    /// Section or ensemble.
    pub(super) section: String,
    /// Names the room.
    pub(super) room_id: String,
    /// Join code.
    pub(super) code: String,
    /// What players type where there is no camera.
    pub(super) short_address: String,
    /// Whether nothing was ever played here, so that the first steps are shown.
    pub(super) teaches: bool,
    /// Whether the players are invented.
    pub(super) demo: bool,
}

/// A page that only says something.
#[derive(Debug, Template)]
#[template(path = "message.html")]
pub(super) struct MessagePage {
    /// In the reader's language.
    pub(super) words: Words,
    /// What is the matter, in a few words.
    pub(super) title: String,
    /// What to do.
    pub(super) text: String,
    /// Where that is done, if there is a page for it.
    pub(super) onward: Option<Onward>,
}

/// Where a page that only says something leads on to.
#[derive(Debug, Clone, Copy)]
pub(super) enum Onward {
    Code,
    Rehearsal,
    SignIn,
    Plans,
    Rehearsals,
    Rooms,
}

impl Onward {
    fn href(self) -> &'static str {
        match self {
            Self::Code => "/",
            Self::Rehearsal => "/conduct",
            Self::SignIn => "/sign-in",
            Self::Plans => "/conduct/plans",
            Self::Rehearsals => "/conduct/rehearsals",
            Self::Rooms => "/conduct/rooms",
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Code => "onward-code",
            Self::Rehearsal => "onward-rehearsal",
            Self::SignIn => "onward-sign-in",
            Self::Plans => "onward-plans",
            Self::Rehearsals => "onward-rehearsals",
            Self::Rooms => "rooms-onward",
        }
    }
}

#[derive(Debug, Deserialize)]
pub(super) struct KeyQuery {
    key: Option<String>,
}

pub(super) async fn player(app: App, headers: HeaderMap) -> Response {
    player_page(&app, &headers, String::new())
}

pub(super) async fn player_with_code(
    app: App,
    peer: Peer,
    Path(code): Path<String>,
    headers: HeaderMap,
) -> Response {
    match admission::knock(&app, peer, &code) {
        // Whoever is in may load the page again whatever became of the code: only the page knows the device's token, and
        // the hello decides.
        Ok(room) => player_page(&app.at(room), &headers, clean_code(&code)),
        Err(TurnedAway::Closed | TurnedAway::Earlier) => player_page(&app, &headers, clean_code(&code)),
        Err(TurnedAway::Wrong { code }) => {
            let text = words().of("message-code").arg("code", code).to_string();
            let title = words().say("message-code-title");
            message_leading(StatusCode::NOT_FOUND, &title, text, Onward::Code)
        }
        Err(TurnedAway::TooMany(wait)) => admission::too_many("message-wait-codes", wait),
    }
}

pub(super) async fn conductor(
    State(site): State<Site>,
    app: Result<App, Response>,
    Query(query): Query<KeyQuery>,
    conducting: Result<Conducting, Response>,
) -> Response {
    if let Some(key) = query.key.filter(|key| rights::program(&site, key).is_some()) {
        let opened = [(header::SET_COOKIE, cookie::give(&site, &key))];
        return (opened, Redirect::to("/conduct")).into_response();
    }
    if let Err(turned_away) = conducting {
        return turned_away;
    }
    let app = match app {
        Ok(app) => app,
        Err(which) => return which,
    };
    let page = ConductorPage {
        words: words(),
        section: app.section(),
        room_id: app.room.id.clone(),
        code: app.room.code(),
        short_address: app.shared.reach.short_address(),
        teaches: !app.room.roster.has_played().await,
        demo: app.shared.demo,
    };
    render(StatusCode::OK, &page)
}

/// For whoever opens a page of the conductor without the right to.
pub(super) fn conductor_only() -> Response {
    message_leading(
        StatusCode::FORBIDDEN,
        &words().say("message-conductor-only-title"),
        words().say("message-conductor-only"),
        Onward::SignIn,
    )
}

/// For whoever opens a page of the conductor before there is a passphrase.
pub(super) fn not_set_up() -> Response {
    message(
        StatusCode::FORBIDDEN,
        &words().say("message-not-set-up-title"),
        words().say("message-not-set-up"),
    )
}

/// The records do not answer; what exactly they say goes to the log alone.
pub(super) fn unreadable(error: &AccessError) -> Response {
    tracing::error!(%error, "who may do what could not be read or written");
    message(
        StatusCode::INTERNAL_SERVER_ERROR,
        &words().say("message-unreadable-title"),
        words().say("message-unreadable"),
    )
}

/// A form that no page of ours sends.
pub(super) fn malformed() -> Response {
    let text = words().say("message-malformed");
    message(StatusCode::UNPROCESSABLE_ENTITY, &words().say("message-malformed-title"), text)
}

/// For an assistant who asks for what is the conductor's.
pub(super) fn not_for_assistants() -> Response {
    message_leading(
        StatusCode::FORBIDDEN,
        &words().say("message-assistant-title"),
        words().say("message-assistant"),
        Onward::Rehearsal,
    )
}

pub(super) async fn not_found() -> Response {
    message_leading(
        StatusCode::NOT_FOUND,
        &words().say("message-nothing-title"),
        words().say("message-nothing"),
        Onward::Code,
    )
}

fn player_page(app: &App, headers: &HeaderMap, code: String) -> Response {
    let page = PlayerPage {
        words: words(),
        section: app.section(),
        code,
        instruments: super::instruments(),
        demo: app.shared.demo,
    };
    match page.render().map(|text| page_parts::dressed(&text)) {
        // The only page that thirty devices ask for at the same moment; there is no secret in it that zipping could tell by length.
        Ok(text) if zipped::is_accepted(headers) => {
            let body = zipped::zipped(Sha256::digest(&text).into(), text.as_bytes());
            let kind = [
                (header::CONTENT_TYPE, HeaderValue::from_static("text/html; charset=utf-8")),
                (header::CONTENT_ENCODING, HeaderValue::from_static("gzip")),
                (header::VARY, HeaderValue::from_static("accept-encoding")),
            ];
            ([NO_STORE], kind, body).into_response()
        }
        _ => render(StatusCode::OK, &page),
    }
}

pub(super) fn message(status: StatusCode, title: &str, text: String) -> Response {
    render(status, &MessagePage { words: words(), title: title.to_owned(), text, onward: None })
}

/// The same with a way on.
pub(super) fn message_leading(status: StatusCode, title: &str, text: String, onward: Onward) -> Response {
    let onward = Some(onward);
    render(status, &MessagePage { words: words(), title: title.to_owned(), text, onward })
}

pub(super) fn render(status: StatusCode, page: &impl Template) -> Response {
    match page.render() {
        // A page holds the state of a rehearsal's moment; an old copy of it would only confuse.
        Ok(text) => (status, [NO_STORE], Html(page_parts::dressed(&text))).into_response(),
        Err(error) => {
            tracing::error!(%error, "a page could not be rendered");
            let text = format!("{}\n", words().say("message-unmade"));
            (StatusCode::INTERNAL_SERVER_ERROR, text).into_response()
        }
    }
}
