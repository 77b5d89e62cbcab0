//! Pages, sockets and static files: every route stands in [`routes`]. It must know no rule of a rehearsal and no SQL.

mod access;
mod admission;
mod assets;
mod authority;
mod bounds;
mod conductor_socket;
pub(crate) mod cookie;
mod fresh;
#[cfg(any(test, feature = "fuzzing"))]
pub(crate) mod fuzzed;
mod gate;
mod health;
mod imaginary;
mod keep;
mod language;
mod line;
mod lines;
#[cfg(test)]
mod lines_tests;
mod metrics;
mod mine;
mod page_parts;
mod pages;
mod past_results;
mod peer;
mod plan_editor;
mod plan_schema;
mod plans;
mod player_socket;
mod player_weeks;
mod practice;
mod practice_page;
mod protection;
mod reach;
mod rehearsal_files;
mod rehearsals;
mod report;
mod report_next;
mod report_tables;
mod results;
mod results_strip;
mod results_words;
mod rights;
mod room;
mod rooms;
mod roster;
mod route;
mod section_weeks;
mod sheet;
mod sign_in;
mod upgrade;
mod week_words;
mod welcome;
mod which_room;
mod wire;
mod zipped;

use crate::access::Access;
use crate::metrics::Metrics;
use crate::reach::Reach;
use crate::rooms::{OpenRoom, Rooms};
use crate::store::Store;
use crate::upkeep::Upkeep;
use crate::words::Language;
use axum::Router;
use axum::middleware::{from_fn, from_fn_with_state, map_response_with_state};
use route::{Route, get, post, post_plan, post_rehearsal, put_plan};
use std::ops::Deref;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{mpsc, watch};
use windrow_protocol::instrument::Instrument;

pub(crate) use lines::Lines;

/// Little beside the quarter of an hour that a join code lasts at least.
const LOOK_AT_DOOR_EVERY: Duration = Duration::from_secs(10);
/// Between two looks at whether `windrow roster` has changed the list.
const LOOK_AT_ROSTER_EVERY: Duration = Duration::from_secs(5);

/// What every request may see.
#[derive(Debug, Clone)]
pub(crate) struct App {
    site: Site,
    /// The room that the request is about: [`which_room`] says how it is known.
    pub(crate) room: Arc<OpenRoom>,
    /// Whether it is the one, or merely one of several.
    is_sure: bool,
}

impl Deref for App {
    type Target = Site;

    fn deref(&self) -> &Site {
        &self.site
    }
}

/// A listener.
#[derive(Debug, Clone)]
pub(crate) struct Site {
    pub(crate) shared: Arc<Shared>,
    /// Whether it speaks https, so that cookies stay on it.
    pub(crate) secure: bool,
    /// Held by every socket while it is open; the server waits for them when it stops.
    #[expect(dead_code, reason = "held, never read")]
    pub(crate) open_sockets: mpsc::Sender<()>,
}

/// The same for all rooms and both listeners.
#[derive(Debug)]
pub(crate) struct Shared {
    pub(crate) rooms: Arc<Rooms>,
    /// Who may do what.
    pub(crate) access: Access,
    /// What was played so far, this rehearsal's and all before.
    pub(crate) records: Store,
    /// What is counted for whoever watches.
    pub(crate) metrics: Metrics,
    /// By which other computers may read it.
    pub(crate) metrics_token: Option<String>,
    /// What looks after the records.
    pub(crate) upkeep: Arc<Upkeep>,
    /// Opens everything of the conductor's, for programs; see the config.
    pub(crate) program_key: Option<String>,
    /// How devices get here.
    pub(crate) reach: Arc<Reach>,
    pub(crate) demo: bool,
    /// For whoever chose no language and asks for none there are texts in.
    pub(crate) language: Language,
    /// Where devices go on that no socket reaches.
    pub(crate) lines: Lines,
    /// Becomes true when the server stops.
    pub(crate) closing: watch::Receiver<bool>,
}

impl App {
    /// Name of the section in the room; in the reader's language where nobody has named it, or where it is not known which room is meant.
    pub(crate) fn section(&self) -> String {
        self.room.named().filter(|_| self.is_sure).unwrap_or_else(|| language::words().say("section-unnamed"))
    }

    /// Where devices begin, with the code that is good now.
    pub(crate) fn join_url(&self) -> String {
        self.shared.reach.pattern_url(&self.room.code())
    }
}

impl Shared {
    /// The site as other devices reach it, over https where there is any; without a path.
    pub(crate) fn devices_at(&self) -> String {
        let begin = self.reach.join_urls("").swap_remove(0);
        begin.trim_end_matches("/join/").to_owned()
    }

    /// Looks at the doors until the server stops.
    pub(crate) async fn watch_doors(self: Arc<Self>) {
        loop {
            self.rooms.watch_doors().await;
            tokio::select! {
                () = tokio::time::sleep(LOOK_AT_DOOR_EVERY) => {}
                () = self.closed() => return,
            }
        }
    }

    /// Brings what another program has written about a section into its room, until the server stops.
    pub(crate) async fn watch_lists(self: Arc<Self>) {
        loop {
            tokio::select! {
                () = tokio::time::sleep(LOOK_AT_ROSTER_EVERY) => {}
                () = self.closed() => return,
            }
            self.rooms.refresh_lists().await;
        }
    }

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
        get("/welcome", welcome::show),
        get("/welcome/trusted", welcome::trusted),
        get("/welcome/authority.crt", welcome::authority_der),
        get("/welcome/authority.pem", welcome::authority_pem),
        get("/welcome/windrow.mobileconfig", welcome::authority_profile),
        get("/join/{code}/names.json", mine::names),
        get("/mine", mine::page),
        post("/mine/who.json", mine::who),
        post("/mine/summary.json", mine::summary),
        post("/mine/all.json", mine::everything),
        post("/mine/erase.json", mine::erase),
        post("/practice/carry-in.json", practice::carry_in),
        get("/practice", practice_page::page),
        get("/practice/plan.json", practice_page::plan),
        get("/practice-worker.js", practice_page::worker),
        get("/manifest.webmanifest", practice_page::manifest),
        get("/mine/weeks", player_weeks::mine),
        post("/mine/weeks/part", player_weeks::mine_part),
        get("/conduct", pages::conductor),
        post("/conduct/imaginary", imaginary::act),
        get("/conduct/reach.json", reach::seen),
        get("/conduct/code.svg", reach::pattern),
        get("/conduct/poster", reach::poster),
        get("/conduct/access", access::show),
        get("/conduct/access/door", access::door_now),
        post("/conduct/access/code", access::change_code),
        post("/conduct/access/invite", access::invite),
        post("/conduct/access/withdraw", access::withdraw),
        post("/conduct/access/end", access::end),
        post("/conduct/access/sign-out-everywhere", access::sign_out_everywhere),
        post("/conduct/access/passphrase", access::change_passphrase),
        get("/sign-in", sign_in::show),
        post("/sign-in", sign_in::sign_in),
        post("/sign-out", sign_in::sign_out),
        get("/first/{token}", sign_in::show_first),
        post("/first/{token}", sign_in::set_first),
        get("/invitation/{token}", sign_in::show_invitation),
        post("/invitation/{token}", sign_in::accept_invitation),
        get("/conduct/rooms", rooms::show),
        post("/conduct/rooms", rooms::act),
        get("/conduct/rooms.json", rooms::list),
        get("/conduct/room", room::page),
        get("/conduct/check.json", room::check),
        get("/conduct/results", results::page),
        get("/conduct/results.json", results::all),
        get("/conduct/results/review.json", results::review),
        get("/conduct/results/{run}/raster.json", results::raster),
        get("/conduct/weeks/{person_id}", player_weeks::person),
        get("/conduct/rehearsals", rehearsals::show),
        post_rehearsal("/conduct/rehearsals/import", rehearsals::import),
        get("/conduct/rehearsals/all/sessions.jsonl", rehearsal_files::sessions),
        get("/conduct/rehearsals/{id}", report::show),
        get("/conduct/rehearsals/{id}/results.csv", rehearsal_files::results),
        get("/conduct/rehearsals/{id}/pulses.csv", rehearsal_files::pulses),
        get("/conduct/rehearsals/{id}/session.json", rehearsal_files::session),
        get("/conduct/rehearsals/{id}/results", past_results::page),
        get("/conduct/rehearsals/{id}/results.json", past_results::all),
        get("/conduct/rehearsals/{id}/results/review.json", past_results::review),
        get("/conduct/rehearsals/{id}/results/{run}/raster.json", past_results::raster),
        get("/conduct/weeks", section_weeks::page),
        post("/conduct/weeks/plan", section_weeks::make_plan),
        get("/conduct/roster", roster::show),
        post("/conduct/roster", roster::change),
        post("/conduct/roster/import", roster::import),
        post("/conduct/roster/erase", roster::erase),
        get("/conduct/roster.csv", roster::export),
        get("/conduct/seats.json", roster::seats),
        get("/conduct/keep", keep::page),
        post("/conduct/keep/backup", keep::back_up),
        get("/conduct/plans", plans::show),
        post("/conduct/plans", plans::act),
        post_plan("/conduct/plans/import", plans::import),
        post("/conduct/plans/delete", plans::delete),
        post("/conduct/plans/for-home", practice_page::choose),
        get("/conduct/plans.json", plans::list),
        get("/conduct/plans/{name}", plan_editor::text),
        put_plan("/conduct/plans/{name}", plan_editor::put),
        get("/conduct/plans/{name}/sheet", sheet::show),
        get("/conduct/plans/{name}/edit", plan_editor::show),
        post_plan("/conduct/plans/{name}/edit", plan_editor::save),
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
        get("/plan-schema.json", plan_schema::serve),
        get("/session-schema.json", rehearsal_files::schema),
        get("/records-format", rehearsal_files::format),
        get("/favicon.ico", assets::no_favicon),
        get("/healthz", health::report),
        get("/metrics", metrics::report),
        post("/language", language::choose),
    ]
}

/// Method and path of every route.
pub fn route_names() -> Vec<(&'static str, &'static str)> {
    routes().iter().map(|route| (route.method, route.path)).collect()
}

/// Slug and name of each instrument in score order, for whoever is to choose one.
fn instruments() -> Vec<(&'static str, String)> {
    Instrument::ALL.iter().map(|&i| (i.slug(), language::words().instrument(i))).collect()
}

/// Every route, with what all of them have in common.
pub(crate) fn router(site: Site) -> Router {
    let add = |router: Router<Site>, route: Route| router.route(route.path, route.handler);
    routes()
        .into_iter()
        .fold(Router::new(), add)
        .fallback(pages::not_found)
        .layer(from_fn_with_state(site.clone(), gate::gate))
        .layer(from_fn(bounds::keep))
        .layer(map_response_with_state(site.clone(), protection::add_headers))
        .layer(from_fn(authority::as_header))
        .layer(from_fn_with_state(site.clone(), language::speak))
        .with_state(site)
}
