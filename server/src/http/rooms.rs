//! The page of the rooms of this server: which there are, opening another one, going to one, closing one. It must know no rule of a
//! rehearsal.

use super::fresh::json;
use super::language::words;
use super::rights::{Conducting, Who};
use super::which_room::{self, ROOMS_PAGE};
use super::{App, pages};
use crate::access::Role;
use crate::rooms::{MOST_ROOMS, OpenRoom, RoomsError};
use crate::roster::bad_name;
use crate::words::Words;
use askama::Template;
use axum::extract::Form;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use windrow_protocol::units::Name;

#[derive(Debug, Template)]
#[template(path = "rooms.html")]
struct RoomsPage {
    /// In the reader's language.
    words: Words,
    /// For the row of links.
    here: &'static str,
    rooms: Vec<RoomView>,
    /// Sections with a list that have no room.
    sections: Vec<String>,
    /// Whether the reader may open and close rooms.
    is_conductor: bool,
    /// Whether a room's link is of use: this browser leads one.
    leads: bool,
    section_typed: String,
    trouble: String,
}

#[derive(Debug)]
struct RoomView {
    id: String,
    section: String,
    code: String,
    is_open: bool,
    n_players: usize,
    /// Whether this browser leads it.
    is_led: bool,
    /// Whether it may be closed: another one stays.
    may_close: bool,
}

/// The rooms, for scripts.
#[derive(Debug, Serialize)]
struct Listed {
    rooms: Vec<ListedRoom>,
}

#[derive(Debug, Serialize)]
struct ListedRoom {
    room: String,
    section: String,
    code: String,
    players: usize,
}

#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    act: String,
    #[serde(default)]
    section: String,
    #[serde(default)]
    room: String,
}

pub(super) async fn show(app: App, Conducting { who }: Conducting, headers: HeaderMap) -> Response {
    page(&app, &who, &headers, StatusCode::OK, String::new(), String::new()).await
}

pub(super) async fn list(app: App, _: Conducting) -> Response {
    listed(&app)
}

pub(super) async fn act(
    app: App,
    Conducting { who }: Conducting,
    headers: HeaderMap,
    Form(asked): Form<Asked>,
) -> Response {
    let is_conductor = who.role == Role::Conductor;
    match asked.act.as_str() {
        "lead" => match app.shared.rooms.get(&asked.room) {
            Some(room) => led(&app, &headers, &room, "/conduct"),
            None => refused(&app, &who, &headers, &RoomsError::Gone, String::new()).await,
        },
        "open" | "close" if !is_conductor => pages::not_for_assistants(),
        "open" => open(&app, &who, &headers, asked.section).await,
        "close" => close(app, &who, &headers, &asked.room).await,
        _ => pages::malformed(),
    }
}

async fn open(app: &App, who: &Who, headers: &HeaderMap, typed: String) -> Response {
    let section = match Name::new(typed.trim()) {
        Ok(section) => section,
        Err(error) => {
            let what = words().phrase(&bad_name(error));
            let trouble = words().of("rooms-name-wrong").arg("what", what).to_string();
            return page(app, who, headers, StatusCode::UNPROCESSABLE_ENTITY, typed, trouble).await;
        }
    };
    match app.shared.rooms.open(section).await {
        Ok(room) => led(app, headers, &room, "/conduct/room"),
        Err(error) => refused(app, who, headers, &error, typed).await,
    }
}

async fn close(app: App, who: &Who, headers: &HeaderMap, id: &str) -> Response {
    // The room ends once nobody holds it any more, this request neither.
    let site = app.site.clone();
    let room = app.room.id.clone();
    drop(app);
    let closed = site.shared.rooms.close(id).await;
    let Some(app) = site.shared.rooms.get(&room).map_or_else(|| site.at_first_room(), |r| Some(site.at(r)))
    else {
        return pages::malformed();
    };
    match closed {
        Ok(()) if wants_json(headers) => listed(&app),
        Ok(()) => Redirect::to(ROOMS_PAGE).into_response(),
        Err(error) => refused(&app, who, headers, &error, String::new()).await,
    }
}

/// Leads this browser to a room from now on.
fn led(app: &App, headers: &HeaderMap, room: &OpenRoom, to: &str) -> Response {
    let cookie = [(header::SET_COOKIE, which_room::lead(app, room))];
    if wants_json(headers) {
        return (cookie, listed(app)).into_response();
    }
    (cookie, Redirect::to(to)).into_response()
}

async fn refused(app: &App, who: &Who, headers: &HeaderMap, error: &RoomsError, typed: String) -> Response {
    let words = words();
    let (status, trouble) = match error {
        RoomsError::IsOpen(_) => {
            (StatusCode::CONFLICT, words.of("rooms-is-open").arg("section", typed.trim()).to_string())
        }
        RoomsError::Full => {
            (StatusCode::CONFLICT, words.of("rooms-full").arg("most", MOST_ROOMS).to_string())
        }
        RoomsError::Last => (StatusCode::CONFLICT, words.say("rooms-last")),
        RoomsError::Gone => (StatusCode::GONE, words.say("rooms-closed")),
        RoomsError::Store(error) => {
            tracing::error!(%error, "a room could not be opened or closed");
            (StatusCode::INTERNAL_SERVER_ERROR, words.say("message-unreadable"))
        }
        RoomsError::Stopping => (StatusCode::SERVICE_UNAVAILABLE, words.say("message-stopping")),
    };
    page(app, who, headers, status, typed, trouble).await
}

async fn page(
    app: &App,
    who: &Who,
    headers: &HeaderMap,
    status: StatusCode,
    section_typed: String,
    trouble: String,
) -> Response {
    if wants_json(headers) {
        return (status, format!("{trouble}\n")).into_response();
    }
    let open = app.shared.rooms.all();
    let led = which_room::led(app, headers).or_else(|| app.shared.rooms.only());
    let known = app.room.roster.sections().await.unwrap_or_default();
    let has_room = |name: &String| open.iter().any(|room| room.roster.section().as_str() == name);
    let view = |room: &Arc<OpenRoom>| RoomView {
        id: room.id.clone(),
        section: room.named().unwrap_or_else(|| words().say("section-unnamed")),
        code: room.code(),
        is_open: room.door().state() == windrow_protocol::messages::DoorState::Open,
        n_players: room.handle.n_present(),
        is_led: led.as_ref().is_some_and(|led| led.id == room.id),
        may_close: open.len() > 1,
    };
    let page = RoomsPage {
        words: words(),
        here: "rooms",
        rooms: open.iter().map(view).collect(),
        sections: known.into_iter().filter(|name| !has_room(name)).collect(),
        is_conductor: who.role == Role::Conductor,
        leads: led.is_some(),
        section_typed,
        trouble,
    };
    pages::render(status, &page)
}

fn listed(app: &App) -> Response {
    let room = |room: &Arc<OpenRoom>| ListedRoom {
        room: room.id.clone(),
        section: room.roster.section().to_string(),
        code: room.code(),
        players: room.handle.n_present(),
    };
    json(Listed { rooms: app.shared.rooms.all().iter().map(room).collect() })
}

fn wants_json(headers: &HeaderMap) -> bool {
    let accept = headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    accept.is_some_and(|accept| accept.contains("application/json"))
}
