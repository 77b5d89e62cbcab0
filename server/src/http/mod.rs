//! Pages, sockets and static files: every route stands in [`router`]. It must know no rule of a rehearsal and no SQL.

mod assets;
mod conductor_socket;
mod health;
mod pages;
mod peer;
mod player_socket;
mod protection;
mod rights;
mod wire;
mod zipped;

use crate::clock::ServerClock;
use crate::room::Registry;
use axum::Router;
use axum::middleware::map_response;
use axum::routing::get;
use std::sync::Arc;
use tokio::sync::{mpsc, watch};

/// What every request may see.
#[derive(Debug, Clone)]
pub(crate) struct App {
    pub(crate) shared: Arc<Shared>,
    /// Whether this listener speaks https, so that cookies stay on it.
    pub(crate) secure: bool,
    /// Held by every socket while it is open; the server waits for them when it stops.
    #[expect(dead_code, reason = "held, never read")]
    pub(crate) open_sockets: mpsc::Sender<()>,
}

/// The same for both listeners.
#[derive(Debug)]
pub(crate) struct Shared {
    pub(crate) rooms: Registry,
    pub(crate) clock: ServerClock,
    /// The room of this server.
    pub(crate) code: String,
    pub(crate) section: String,
    /// Opens the conductor's page.
    pub(crate) key: String,
    /// Where devices join.
    pub(crate) join_url: String,
    pub(crate) demo: bool,
    /// Becomes true when the server stops.
    pub(crate) closing: watch::Receiver<bool>,
}

impl Shared {
    /// Waits until the server stops.
    pub(crate) async fn closed(&self) {
        // An error means that the server is gone altogether.
        let _ = self.closing.clone().wait_for(|closing| *closing).await;
    }
}

/// Every route.
pub(crate) fn router(app: App) -> Router {
    Router::new()
        .route("/", get(pages::player))
        .route("/join/{code}", get(pages::player_with_code))
        .route("/conduct", get(pages::conductor))
        .route("/ws/player", get(player_socket::open))
        .route("/ws/conductor", get(conductor_socket::open))
        .route("/static/{*path}", get(assets::serve))
        .route("/favicon.ico", get(assets::no_favicon))
        .route("/healthz", get(health::report))
        .fallback(pages::not_found)
        .layer(map_response(protection::add_headers))
        .with_state(app)
}
