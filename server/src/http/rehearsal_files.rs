//! Rehearsals as files to take along: one, or all of them one after the other, so that five years need no more memory than one
//! evening. It must know no format and no SQL.

use super::fresh::NO_STORE;
use super::language::words;
use super::rights::Conducting;
use super::{App, pages, past_results};
use crate::records::{
    CannotGather, Document, PULSES, RESULTS, SCHEMA, document_of, head, pulse_lines, rehearsal_ids,
    result_lines, without_names,
};
use crate::store::Store;
use crate::words::Words;
use askama::Template;
use axum::body::Body;
use axum::extract::{Path, Query};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use futures_util::stream;
use serde::Deserialize;

/// Stands for every rehearsal there is.
const ALL: &str = "all";

/// What was chosen; what is not known stands for nothing chosen.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Chosen {
    /// "no" leaves names out.
    #[serde(default)]
    names: String,
}

/// What a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    Results,
    Pulses,
    Everything,
}

/// What stands in which column.
#[derive(Debug, Template)]
#[template(path = "records-format.html")]
struct FormatPage {
    /// In the reader's language.
    words: Words,
    results: Vec<crate::records::Column>,
    pulses: Vec<crate::records::Column>,
}

pub(super) async fn results(
    _: Conducting,
    app: App,
    Path(id): Path<String>,
    Query(chosen): Query<Chosen>,
) -> Response {
    file(&app, &id, &chosen, What::Results).await
}

pub(super) async fn pulses(
    _: Conducting,
    app: App,
    Path(id): Path<String>,
    Query(chosen): Query<Chosen>,
) -> Response {
    file(&app, &id, &chosen, What::Pulses).await
}

/// One rehearsal.
pub(super) async fn session(
    _: Conducting,
    app: App,
    Path(id): Path<String>,
    Query(chosen): Query<Chosen>,
) -> Response {
    if id == ALL {
        return past_results::gone();
    }
    file(&app, &id, &chosen, What::Everything).await
}

/// All of them, one on each line (JSON Lines).
pub(super) async fn sessions(_: Conducting, app: App, Query(chosen): Query<Chosen>) -> Response {
    file(&app, ALL, &chosen, What::Everything).await
}

pub(super) async fn format() -> Response {
    let page = FormatPage { words: words(), results: RESULTS.to_vec(), pulses: PULSES.to_vec() };
    pages::render(StatusCode::OK, &page)
}

/// JSON Schema; changes only with the program.
pub(super) async fn schema() -> Response {
    let kind = (header::CONTENT_TYPE, "application/schema+json");
    ([kind, (header::CACHE_CONTROL, "no-cache")], SCHEMA).into_response()
}

async fn file(app: &App, id: &str, chosen: &Chosen, what: What) -> Response {
    let (store, is_nameless) = (app.shared.records.clone(), chosen.names == "no");
    let reading = Reading { words: words(), is_nameless, what };
    let (name, body) = if id == ALL {
        match rehearsal_ids(&store, None).await {
            Ok(ids) => ("rehearsals".to_owned(), Body::from_stream(each(store, ids, reading))),
            Err(error) => return past_results::failed(&error),
        }
    } else {
        match document_of(&store, id).await {
            Ok(Some(document)) => {
                let name = named(&document);
                match reading.told_aside(document).await {
                    Ok(text) => (name, Body::from(format!("{}{text}", reading.head()))),
                    Err(error) => return unreadable(&error),
                }
            }
            Ok(None) => return past_results::gone(),
            Err(error) => return unreadable(&error),
        }
    };
    let (kind, ending) = match what {
        What::Results => ("text/csv; charset=utf-8; header=present", "results.csv"),
        What::Pulses => ("text/csv; charset=utf-8; header=present", "pulses.csv"),
        What::Everything if id == ALL => ("application/jsonl; charset=utf-8", "everything.jsonl"),
        What::Everything => ("application/json", "everything.json"),
    };
    let without = if is_nameless { "-without-names" } else { "" };
    let disposition = format!("attachment; filename=\"windrow-{name}{without}-{ending}\"");
    let headers = [(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, disposition)];
    ([NO_STORE], headers, body).into_response()
}

/// The day, by UTC: letters and digits alone, whatever the section is called.
fn named(document: &Document) -> String {
    let first = document.sessions.first();
    first.and_then(|session| session.time_nought_utc.get(..10)).unwrap_or("rehearsal").to_owned()
}

/// How rehearsals become the text of a file.
#[derive(Debug, Clone, Copy)]
struct Reading {
    words: Words,
    is_nameless: bool,
    what: What,
}

impl Reading {
    fn head(self) -> String {
        match self.what {
            What::Results => head(&RESULTS),
            What::Pulses => head(&PULSES),
            What::Everything => String::new(),
        }
    }

    /// Not among what keeps the rooms going: a long rehearsal takes a while.
    async fn told_aside(self, document: Document) -> Result<String, CannotGather> {
        let told = tokio::task::spawn_blocking(move || self.told(document)).await;
        told.map_err(|_| CannotGather::Unreadable("a rehearsal"))
    }

    fn told(self, mut document: Document) -> String {
        if self.is_nameless {
            without_names(&mut document, self.words);
        }
        match self.what {
            What::Results => result_lines(&document, self.words),
            What::Pulses => pulse_lines(&document),
            What::Everything => {
                let mut text = serde_json::to_string(&document).expect("a document holds only what JSON can");
                text.push('\n');
                text
            }
        }
    }
}

/// What is told of each rehearsal. An error on the way breaks the answer off, so that nobody takes a part for the whole.
fn each(
    store: Store,
    ids: Vec<String>,
    reading: Reading,
) -> impl futures_util::Stream<Item = Result<String, CannotGather>> {
    let begin = (store, ids.into_iter(), Some(reading.head()));
    stream::try_unfold(begin, move |(store, mut ids, head)| async move {
        if let Some(head) = head {
            return Ok(Some((head, (store, ids, None))));
        }
        loop {
            let Some(id) = ids.next() else { return Ok(None) };
            match document_of(&store, &id).await {
                Ok(Some(document)) => {
                    return Ok(Some((reading.told_aside(document).await?, (store, ids, None))));
                }
                // Erased meanwhile.
                Ok(None) => {}
                Err(error) => {
                    tracing::error!(%error, "a rehearsal could not be read for a file of all");
                    return Err(error);
                }
            }
        }
    })
}

fn unreadable(error: &CannotGather) -> Response {
    tracing::error!(%error, "a rehearsal could not be read for a file");
    let title = words().say("report-failed-head");
    pages::message(StatusCode::SERVICE_UNAVAILABLE, &title, words().say("report-failed-records"))
}
