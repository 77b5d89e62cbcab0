//! A line for whoever watches the server: is it up, which version, how full. It names nobody.

use super::App;
use axum::Json;
use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use serde::Serialize;

#[derive(Debug, Serialize)]
struct Health {
    status: &'static str,
    version: &'static str,
    rooms: usize,
    players: usize,
}

pub(super) async fn report(State(app): State<App>) -> impl IntoResponse {
    let (rooms, players) = app.shared.rooms.counts();
    let health = Health { status: "ok", version: env!("CARGO_PKG_VERSION"), rooms, players };
    ([(header::CACHE_CONTROL, "no-store")], Json(health))
}
