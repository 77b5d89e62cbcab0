//! What the section did: the page and the same for scripts. It must know no rule of a rehearsal.

use super::rights::Conducting;
use super::{App, fresh};
use axum::extract::State;
use axum::response::Response;
use windrow_protocol::messages::Results;

/// [`Results`] of the rehearsal that is running; empty where none is.
pub(super) async fn all(_: Conducting, State(app): State<App>) -> Response {
    fresh::json(results(&app).await)
}

async fn results(app: &App) -> Results {
    match app.shared.room() {
        Some(room) => room.results().await.unwrap_or_default(),
        None => Results::default(),
    }
}
