//! Which room a request is about: the one that its address names, else the one that this browser was led to, else the only one. It
//! must not know who may do what.

use super::fresh::NO_STORE;
use super::language::words;
use super::rights::Conducting;
use super::{App, Site, cookie, pages};
use crate::rooms::OpenRoom;
use axum::extract::{FromRequestParts, Query};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::convert::Infallible;
use std::sync::Arc;

/// Where a conductor chooses.
pub(super) const ROOMS_PAGE: &str = "/conduct/rooms";

#[derive(Debug, Default, Deserialize)]
struct RoomQuery {
    room: Option<String>,
}

/// What is known of the room a request is about.
#[derive(Debug)]
enum Which {
    This(Arc<OpenRoom>),
    /// The address names one that is not open, or not any more.
    Closed,
    /// There are several, and nothing says which.
    Open,
}

impl Site {
    /// What a request sees that is about no room in particular; nothing once the server is stopping.
    pub(super) fn at_first_room(&self) -> Option<App> {
        let room = self.shared.rooms.first()?;
        Some(App { site: self.clone(), room, is_sure: self.shared.rooms.only().is_some() })
    }

    pub(super) fn at(&self, room: Arc<OpenRoom>) -> App {
        App { site: self.clone(), room, is_sure: true }
    }
}

impl FromRequestParts<Site> for App {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, site: &Site) -> Result<Self, Response> {
        let stopping = || (StatusCode::SERVICE_UNAVAILABLE, [NO_STORE], words().say("message-stopping"));
        let path = parts.uri.path();
        if !is_about_one(path) {
            return site.at_first_room().ok_or_else(|| stopping().into_response());
        }
        match which(site, parts) {
            Which::This(room) => Ok(site.at(room)),
            Which::Open if site.shared.rooms.first().is_none() => Err(stopping().into_response()),
            // Only whoever may lead one learns how many there are, and which of them are open.
            which => {
                Conducting::from_request_parts(parts, site).await?;
                Err(if matches!(which, Which::Closed) { closed(parts) } else { choose(parts) })
            }
        }
    }
}

/// Whether a route leads one room. A player's routes find theirs by its code, and sockets say over themselves what is wrong.
fn is_about_one(path: &str) -> bool {
    let is_below =
        |begin: &str| path == begin || path.strip_prefix(begin).is_some_and(|p| p.starts_with('/'));
    is_below("/conduct") && path != ROOMS_PAGE && path != "/conduct/rooms.json"
}

fn which(site: &Site, parts: &Parts) -> Which {
    let rooms = &site.shared.rooms;
    let asked = Query::<RoomQuery>::try_from_uri(&parts.uri).unwrap_or_default().0.room;
    if let Some(id) = asked {
        return rooms.get(&id).map_or(Which::Closed, Which::This);
    }
    led(site, &parts.headers).or_else(|| rooms.only()).map_or(Which::Open, Which::This)
}

/// The room that a connection of the conductor's is about, or in words why it is not known. The refusal goes over the connection.
#[derive(Debug)]
pub(super) struct RoomOfConnection(pub(super) Result<Arc<OpenRoom>, &'static str>);

impl FromRequestParts<Site> for RoomOfConnection {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, site: &Site) -> Result<Self, Infallible> {
        Ok(Self(match which(site, parts) {
            Which::This(room) => Ok(room),
            Which::Closed => Err("rooms-closed"),
            Which::Open => Err("rooms-which"),
        }))
    }
}

/// The room that a browser was led to, where it is open.
pub(super) fn led(site: &Site, headers: &HeaderMap) -> Option<Arc<OpenRoom>> {
    cookie::values(headers, &name(site)).next().and_then(|id| site.shared.rooms.get(id))
}

/// Leads a browser to a room from now on. A preference and no secret, but gone with the browser like the sign-in.
pub(super) fn lead(site: &Site, room: &OpenRoom) -> HeaderValue {
    cookie::header_for(site.secure, &name(site), &room.id, "; SameSite=Strict")
}

fn name(site: &Site) -> String {
    format!("{}_room", cookie::name_of(site.secure, site.shared.access.cookie_id()))
}

fn is_page(parts: &Parts) -> bool {
    let accept = parts.headers.get(header::ACCEPT).and_then(|v| v.to_str().ok());
    accept.is_some_and(|accept| accept.contains("text/html"))
}

fn choose(parts: &Parts) -> Response {
    if parts.method.is_safe() && is_page(parts) {
        return Redirect::to(ROOMS_PAGE).into_response();
    }
    refused(StatusCode::CONFLICT, "rooms-which", parts)
}

fn closed(parts: &Parts) -> Response {
    refused(StatusCode::GONE, "rooms-closed", parts)
}

fn refused(status: StatusCode, id: &str, parts: &Parts) -> Response {
    let text = words().say(id);
    if is_page(parts) {
        return pages::message_leading(status, &words().say("rooms-title"), text, pages::Onward::Rooms);
    }
    (status, [NO_STORE], format!("{text}\n")).into_response()
}

#[cfg(test)]
mod tests {
    use super::is_about_one;

    #[test]
    fn what_leads_a_rehearsal_is_about_one_room() {
        for path in ["/conduct", "/conduct/roster", "/conduct/roster/import", "/conduct/room"] {
            assert!(is_about_one(path), "{path}");
        }
        for path in
            ["/", "/join/KF3M7P", "/conduct/rooms", "/conduct/rooms.json", "/conductor", "/ws/conductor"]
        {
            assert!(!is_about_one(path), "{path}");
        }
    }
}
