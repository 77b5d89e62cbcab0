//! The results of a rehearsal that is over: the page of results and what its scripts ask for, from the records. It must know no rule
//! of a rehearsal and no SQL.

use super::language::words;
use super::results::{self, PastShown};
use super::rights::Conducting;
use super::{App, fresh, pages};
use crate::records::Past;
use crate::roster::dates::in_full;
use crate::store::StoreError;
use axum::extract::Path;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use windrow_room::PastRuns;

pub(super) async fn page(_: Conducting, app: App, Path(id): Path<String>) -> Response {
    let past = match past(&app, &id).await {
        Ok(past) => past,
        Err(answer) => return answer,
    };
    let began_utc = in_full(past.began_unix_ms());
    let shown = PastShown {
        began: in_utc(&began_utc),
        report: format!("/conduct/rehearsals/{id}"),
        invented: past.is_invented(),
        began_utc,
    };
    let from = results::Shown {
        section: past.section_name().to_owned(),
        room_id: String::new(),
        source: format!("/conduct/rehearsals/{id}/results"),
    };
    let runs = PastRuns::of(past.runs);
    results::shown(from, Some(shown), &runs.results(), &runs.review())
}

/// For scripts.
pub(super) async fn all(_: Conducting, app: App, Path(id): Path<String>) -> Response {
    match past(&app, &id).await {
        Ok(past) => results::worded(PastRuns::of(past.runs).results()),
        Err(answer) => answer,
    }
}

/// All runs at a glance.
pub(super) async fn review(_: Conducting, app: App, Path(id): Path<String>) -> Response {
    match past(&app, &id).await {
        Ok(past) => fresh::json(PastRuns::of(past.runs).review()),
        Err(answer) => answer,
    }
}

/// One run whole.
pub(super) async fn raster(
    _: Conducting,
    app: App,
    Path((id, number)): Path<(String, String)>,
    headers: HeaderMap,
) -> Response {
    match past(&app, &id).await {
        Ok(past) => {
            let runs = PastRuns::of(past.runs);
            results::tagged(number.parse().ok().and_then(|number| runs.replay(number)), &headers)
        }
        Err(answer) => answer,
    }
}

/// A time as the page has it before its script says it in the reader's zone.
pub(super) fn in_utc(rfc_3339: &str) -> String {
    let (day, time) = rfc_3339.split_once('T').unwrap_or((rfc_3339, ""));
    format!("{day} {} UTC", time.get(..5).unwrap_or_default())
}

pub(super) async fn past(app: &App, id: &str) -> Result<Past, Response> {
    match Past::of(&app.shared.records, id).await {
        Ok(Some(past)) => Ok(past),
        Ok(None) => Err(gone()),
        Err(error) => Err(failed(&error)),
    }
}

pub(super) fn gone() -> Response {
    let (title, text) = (words().say("report-gone-head"), words().say("report-gone"));
    pages::message_leading(StatusCode::NOT_FOUND, &title, text, pages::Onward::Rehearsals)
}

/// The records do not answer; what exactly they say goes to the log alone.
pub(super) fn failed(error: &StoreError) -> Response {
    tracing::error!(%error, "past rehearsals could not be read or written");
    let title = words().say("report-failed-head");
    pages::message(StatusCode::SERVICE_UNAVAILABLE, &title, words().say("report-failed-records"))
}
