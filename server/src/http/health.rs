//! A line for whoever watches the server: is it up, which version, how full. It names nobody.

use super::{App, fresh};
use crate::version;
use axum::response::Response;
use serde::Serialize;

#[derive(Debug, Serialize)]
struct Health {
    status: &'static str,
    version: &'static str,
    /// Null where the builder did not know.
    commit: Option<&'static str>,
    rooms: usize,
    players: usize,
}

pub(super) async fn report(app: App) -> Response {
    let (rooms, players) = app.shared.rooms.counts();
    let health =
        Health { status: "ok", version: version::VERSION, commit: version::commit(), rooms, players };
    fresh::json(health)
}
