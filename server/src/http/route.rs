//! One route as a line of a list: method, path, handler. The list serves the router and the tests that hold every route
//! against who may use it.

use super::Site;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::routing::{self, MethodRouter};

/// Longest form: a roster of some thousand lines.
const MAX_FORM_BYTES: usize = 256 * 1024;

/// Longest plan, or MusicXML file to make one of, as a form writes it: signs other than letters take three each.
const MAX_PLAN_BYTES: usize = 4 * 1024 * 1024;

/// Longest rehearsal of another Windrow, and what a form makes of the signs in it.
const MAX_REHEARSAL_BYTES: usize = 2 * crate::records::MAX_BYTES;

/// One route.
pub(super) struct Route {
    pub(super) method: &'static str,
    pub(super) path: &'static str,
    pub(super) handler: MethodRouter<Site>,
}

/// A route that shows something; HEAD comes with it.
pub(super) fn get<T: 'static>(path: &'static str, handler: impl Handler<T, Site>) -> Route {
    Route { method: "GET", path, handler: routing::get(handler) }
}

/// A route that changes something.
pub(super) fn post<T: 'static>(path: &'static str, handler: impl Handler<T, Site>) -> Route {
    let handler = routing::post(handler).layer(DefaultBodyLimit::max(MAX_FORM_BYTES));
    Route { method: "POST", path, handler }
}

/// The same for a whole plan or a file of music.
pub(super) fn post_plan<T: 'static>(path: &'static str, handler: impl Handler<T, Site>) -> Route {
    let handler = routing::post(handler).layer(DefaultBodyLimit::max(MAX_PLAN_BYTES));
    Route { method: "POST", path, handler }
}

/// The same for a whole rehearsal.
pub(super) fn post_rehearsal<T: 'static>(path: &'static str, handler: impl Handler<T, Site>) -> Route {
    let handler = routing::post(handler).layer(DefaultBodyLimit::max(MAX_REHEARSAL_BYTES));
    Route { method: "POST", path, handler }
}

/// A route that a plan is put at, by a page or a script.
pub(super) fn put_plan<T: 'static>(path: &'static str, handler: impl Handler<T, Site>) -> Route {
    let handler = routing::put(handler).layer(DefaultBodyLimit::max(MAX_PLAN_BYTES));
    Route { method: "PUT", path, handler }
}
