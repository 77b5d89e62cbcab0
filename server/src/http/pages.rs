//! The three pages. The templates are in `web/templates`; they get plain values and decide nothing.

use super::{App, protection};
use crate::room::clean_code;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::Deserialize;
use windrow_protocol::instrument::Instrument;

/// A player's page.
#[derive(Debug, Template)]
#[template(path = "player.html")]
pub(super) struct PlayerPage {
    /// Section or ensemble; empty where the room is not known yet.
    pub(super) section: String,
    /// Join code, or empty where it is to be typed.
    pub(super) code: String,
    /// Slug and label of each instrument, in score order.
    pub(super) instruments: Vec<(&'static str, &'static str)>,
    /// Whether the players are invented.
    pub(super) demo: bool,
}

/// The conductor's page.
#[derive(Debug, Template)]
#[template(path = "conductor.html")]
pub(super) struct ConductorPage {
    /// Section or ensemble.
    pub(super) section: String,
    /// Join code.
    pub(super) code: String,
    /// Address for the players, with the code.
    pub(super) join_url: String,
    /// Whether the players are invented.
    pub(super) demo: bool,
}

/// A page that only says something.
#[derive(Debug, Template)]
#[template(path = "message.html")]
pub(super) struct MessagePage {
    /// What is the matter, in a few words.
    pub(super) title: String,
    /// What to do.
    pub(super) text: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct KeyQuery {
    key: Option<String>,
}

pub(super) async fn player(State(app): State<App>) -> Response {
    player_page(&app, String::new())
}

pub(super) async fn player_with_code(State(app): State<App>, Path(code): Path<String>) -> Response {
    let code = clean_code(&code);
    if app.shared.rooms.get(&code).is_none() {
        let text = format!(
            "There is no rehearsal with the code {code}. Compare it with the one on the conductor's screen: six \
             signs, which change with every rehearsal."
        );
        return message(StatusCode::NOT_FOUND, "This code leads nowhere", text);
    }
    player_page(&app, code)
}

pub(super) async fn conductor(
    State(app): State<App>,
    Query(query): Query<KeyQuery>,
    headers: HeaderMap,
) -> Response {
    match query.key {
        Some(key) if protection::is_key(&app, &key) => {
            ([(header::SET_COOKIE, protection::key_cookie(&app))], Redirect::to("/conduct")).into_response()
        }
        None if protection::has_key_cookie(&app, &headers) => {
            let page = ConductorPage {
                section: app.shared.section.clone(),
                code: app.shared.code.clone(),
                join_url: app.shared.join_url.clone(),
                demo: app.shared.demo,
            };
            render(StatusCode::OK, &page)
        }
        _ => conductor_only(),
    }
}

/// For whoever opens a page of the conductor without the right to.
pub(super) fn conductor_only() -> Response {
    message(
        StatusCode::FORBIDDEN,
        "This page is the conductor's",
        "Open it with the link that Windrow printed when it started: the link holds the key, and each start makes \
         a new one. Players join at the address on the conductor's screen."
            .to_owned(),
    )
}

pub(super) async fn not_found() -> Response {
    message(
        StatusCode::NOT_FOUND,
        "Nothing here",
        "There is no page at this address. Players begin at the address on the conductor's screen."
            .to_owned(),
    )
}

fn player_page(app: &App, code: String) -> Response {
    let page = PlayerPage {
        section: app.shared.section.clone(),
        code,
        instruments: Instrument::ALL.iter().map(|i| (i.slug(), i.label())).collect(),
        demo: app.shared.demo,
    };
    render(StatusCode::OK, &page)
}

pub(super) fn message(status: StatusCode, title: &str, text: String) -> Response {
    render(status, &MessagePage { title: title.to_owned(), text })
}

pub(super) fn render(status: StatusCode, page: &impl Template) -> Response {
    match page.render() {
        // A page holds the state of a rehearsal's moment; an old copy of it would only confuse.
        Ok(text) => (status, [(header::CACHE_CONTROL, "no-store")], Html(text)).into_response(),
        Err(error) => {
            tracing::error!(%error, "a page could not be rendered");
            (StatusCode::INTERNAL_SERVER_ERROR, "The page could not be made. Reload it.\n").into_response()
        }
    }
}
