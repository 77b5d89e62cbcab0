//! A line for whoever watches the server: is it up, which version, how full. It names nobody.

use super::{App, fresh};
use axum::response::Response;
use serde::Serialize;

#[derive(Debug, Serialize)]
struct Health {
    status: &'static str,
    version: &'static str,
    rooms: usize,
    players: usize,
}

pub(super) async fn report(app: App) -> Response {
    let (rooms, players) = app.shared.rooms.counts();
    let health = Health { status: "ok", version: env!("CARGO_PKG_VERSION"), rooms, players };
    fresh::json(health)
}
