//! The room before the music: its page, and what the room check found. It must know no rule of a rehearsal.

use super::fresh::NO_STORE;
use super::language::words;
use super::rights::Conducting;
use super::{App, pages};
use crate::words::Words;
use askama::Template;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

/// How to get in, who is in, what each device hears.
#[derive(Debug, Template)]
#[template(path = "room.html")]
struct RoomPage {
    /// In the reader's language.
    words: Words,
    /// Section or ensemble.
    section: String,
    /// Names the room.
    room_id: String,
    /// Address for the players, with the code.
    join_url: String,
    /// Whether the players are invented.
    demo: bool,
    /// For the row of links.
    here: &'static str,
}

pub(super) async fn page(_: Conducting, app: App) -> Response {
    let page = RoomPage {
        words: words(),
        section: app.section(),
        room_id: app.room.id.clone(),
        join_url: app.join_url(),
        demo: app.shared.demo,
        here: "room",
    };
    pages::render(StatusCode::OK, &page)
}

/// A [`windrow_protocol::messages::RoomCheck`], or null before the first one.
pub(super) async fn check(_: Conducting, app: App) -> Response {
    let headers = [(header::CONTENT_TYPE, "application/json"), NO_STORE];
    (headers, app.room.handle.check().to_string()).into_response()
}
