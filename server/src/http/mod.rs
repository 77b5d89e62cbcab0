//! Pages, sockets and static files: every route stands in [`routes`]. It must know no rule of a rehearsal and no SQL.

mod assets;
mod conductor_socket;
mod health;
mod line;
mod lines;
mod pages;
mod peer;
mod player_socket;
mod protection;
mod rights;
mod route;
mod wire;
mod zipped;

use crate::clock::ServerClock;
use crate::room::Registry;
use axum::Router;
use axum::middleware::map_response_with_state;
use route::{Route, get, post};
use std::sync::Arc;
use tokio::sync::{mpsc, watch};

pub(crate) use lines::Lines;

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
    /// Opens everything of the conductor's, for programs; see the config.
    pub(crate) key: String,
    /// Where devices join.
    pub(crate) join_url: String,
    pub(crate) demo: bool,
    /// Where devices go on that no socket reaches.
    pub(crate) lines: Lines,
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

/// Every route. Who may use which is written down in `tests/it/access/table.rs`: a route that is not there fails a test.
fn routes() -> Vec<Route> {
    vec![
        get("/", pages::player),
        get("/join/{code}", pages::player_with_code),
        get("/conduct", pages::conductor),
        get("/ws/player", player_socket::open),
        get("/ws/conductor", conductor_socket::open),
        post("/line/player", line::open_player),
        get("/line/player/{name}/heard", line::player_heard),
        post("/line/player/{name}/said", line::player_said),
        post("/line/player/{name}/clock", line::player_clock),
        post("/line/conductor", line::open_conductor),
        get("/line/conductor/{name}/heard", line::conductor_heard),
        post("/line/conductor/{name}/said", line::conductor_said),
        post("/line/conductor/{name}/clock", line::conductor_clock),
        get("/static/{*path}", assets::serve),
        get("/favicon.ico", assets::no_favicon),
        get("/healthz", health::report),
    ]
}

/// Method and path of every route.
pub fn route_names() -> Vec<(&'static str, &'static str)> {
    routes().iter().map(|route| (route.method, route.path)).collect()
}

/// Every route, with what all of them have in common.
pub(crate) fn router(app: App) -> Router {
    let add = |router: Router<App>, route: Route| router.route(route.path, route.handler);
    routes()
        .into_iter()
        .fold(Router::new(), add)
        .fallback(pages::not_found)
        .layer(map_response_with_state(app.clone(), protection::add_headers))
        .with_state(app)
}
