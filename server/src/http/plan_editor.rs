//! One plan: its text for scripts and as a file, and the page that edits it. What makes a plan good is not known here.

use super::fresh::NO_STORE;
use super::language::words;
use super::plans::{complaints, failed, sentence};
use super::rights::Conducting;
use super::{App, pages};
use crate::plan::Complaint;
use crate::shelf::{Onto, ShelfError};
use crate::words::Words;
use askama::Template;
use axum::Json;
use axum::extract::{Form, Path};
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};
use windrow_protocol::phrase::Phrase;

/// What the page sends where no script runs.
#[derive(Debug, Deserialize)]
pub(super) struct Typed {
    text: String,
    version: i64,
}

#[derive(Debug, Template)]
#[template(path = "plan-edit.html")]
struct EditPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    name: String,
    title: String,
    /// The plan as JSON: the script reads it here, and without one it is edited as it is.
    text: String,
    version: i64,
    trouble: String,
    complaints: Vec<String>,
}

/// What a script is told.
#[derive(Debug, Serialize)]
struct Told {
    /// What is wrong, each naming its place; empty where it is kept.
    complaints: Vec<Wrong>,
    #[serde(skip_serializing_if = "Option::is_none")]
    version: Option<i64>,
    /// What is kept, but should be looked at again.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    doubts: Vec<String>,
}

/// Something that is wrong.
#[derive(Debug, Serialize)]
struct Wrong {
    /// Index of the exercise; null where it is about the plan as a whole.
    exercise: Option<usize>,
    /// The field, from the plan or the exercise on, such as `play.ladder.from_bpm`; may be empty.
    field: String,
    /// What is wrong with that field.
    text: String,
    /// The same with its place in words.
    words: String,
}

/// A plan as its file has it.
pub(super) async fn text(_: Conducting, app: App, Path(file): Path<String>) -> Response {
    let Some(name) = file.strip_suffix(".json") else { return pages::not_found().await };
    match app.room.shelf.find(name, words().language()).await {
        Ok(found) => {
            let headers = [
                (header::CONTENT_TYPE, "application/json".to_owned()),
                (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{}.json\"", found.name)),
                (header::ETAG, tag(found.version.unwrap_or(0))),
            ];
            ([NO_STORE], headers, found.text).into_response()
        }
        Err(ShelfError::Gone) => gone(),
        Err(error) => failed(&error),
    }
}

/// Keeps a plan: a page that edits it says with `If-Match` which version it began with (RFC 9110, section 13.1.1), so that what
/// somebody else has written meanwhile is not lost.
pub(super) async fn put(
    _: Conducting,
    app: App,
    Path(file): Path<String>,
    headers: HeaderMap,
    text: String,
) -> Response {
    let Some(name) = file.strip_suffix(".json") else { return pages::not_found().await };
    let asked = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok()).map(str::trim);
    let onto = match (asked(header::IF_MATCH), asked(header::IF_NONE_MATCH)) {
        (None, None) => Onto::Whatever,
        (Some("*"), None) => Onto::Existing,
        (None, Some("*")) => Onto::Nothing,
        (Some(version), None) => match version.trim_matches('"').parse() {
            Ok(version) => Onto::Version(version),
            // A tag that was never given out is no version that is there.
            Err(_) => return told(StatusCode::PRECONDITION_FAILED, &ShelfError::Changed),
        },
        _ => return pages::malformed(),
    };
    match app.room.shelf.keep(name, &text, onto).await {
        Ok((version, doubts)) => {
            let doubts = doubts.iter().map(|doubt| words().phrase(doubt)).collect();
            let told = Told { complaints: Vec::new(), version: Some(version), doubts };
            (
                [NO_STORE, (header::CONTENT_TYPE, "application/json")],
                [(header::ETAG, tag(version))],
                Json(told),
            )
                .into_response()
        }
        Err(error @ (ShelfError::Changed | ShelfError::Gone)) => {
            told(StatusCode::PRECONDITION_FAILED, &error)
        }
        Err(error @ (ShelfError::Bad(_) | ShelfError::Cannot(_))) => {
            told(StatusCode::UNPROCESSABLE_ENTITY, &error)
        }
        Err(error) => failed(&error),
    }
}

pub(super) async fn show(_: Conducting, app: App, Path(name): Path<String>) -> Response {
    match app.room.shelf.find(&name, words().language()).await {
        Ok(found) => match found.version {
            Some(version) => {
                let complaints = found.plan.err().map_or_else(Vec::new, |bad| complaints(&bad));
                let shown = Shown { title: found.title, text: found.text, version };
                page(StatusCode::OK, name, shown, String::new(), complaints)
            }
            // What came with the program is copied first.
            None => Redirect::to("/conduct/plans").into_response(),
        },
        Err(ShelfError::Gone) => gone(),
        Err(error) => failed(&error),
    }
}

/// The same page by a plain form.
pub(super) async fn save(
    _: Conducting,
    app: App,
    Path(name): Path<String>,
    Form(Typed { text, version }): Form<Typed>,
) -> Response {
    let shelf = &app.room.shelf;
    match shelf.keep(&name, &text, Onto::Version(version)).await {
        Ok(_) => {
            shelf.say(Phrase::of("plans-is-saved"));
            Redirect::to("/conduct/plans").into_response()
        }
        Err(error @ (ShelfError::Store(_) | ShelfError::Ended)) => failed(&error),
        Err(error) => {
            let (trouble, complaints) = match &error {
                ShelfError::Bad(bad) => (words().say("editor-not-saved"), complaints(bad)),
                _ => (sentence(&error), Vec::new()),
            };
            let shown = Shown { title: name.clone(), text, version };
            page(StatusCode::UNPROCESSABLE_ENTITY, name, shown, trouble, complaints)
        }
    }
}

impl From<&Complaint> for Wrong {
    fn from(complaint: &Complaint) -> Self {
        let Complaint { exercise, field, text, .. } = complaint;
        let words = words();
        Self {
            exercise: *exercise,
            field: field.clone(),
            text: words.phrase(text),
            words: words.phrase(&complaint.phrase()),
        }
    }
}

struct Shown {
    title: String,
    text: String,
    version: i64,
}

fn page(
    status: StatusCode,
    name: String,
    shown: Shown,
    trouble: String,
    complaints: Vec<String>,
) -> Response {
    let Shown { title, text, version } = shown;
    pages::render(
        status,
        &EditPage { words: words(), here: "plans", name, title, text, version, trouble, complaints },
    )
}

fn tag(version: i64) -> String {
    format!("\"{version}\"")
}

fn told(status: StatusCode, error: &ShelfError) -> Response {
    let complaints = match error {
        ShelfError::Bad(bad) => bad.found().iter().map(Wrong::from).collect(),
        _ => vec![Wrong {
            exercise: None,
            field: String::new(),
            text: sentence(error),
            words: sentence(error),
        }],
    };
    (status, [NO_STORE], Json(Told { complaints, version: None, doubts: Vec::new() })).into_response()
}

pub(super) fn gone() -> Response {
    let (title, text) = (words().say("plans-none-head"), words().say("plans-none"));
    pages::message_leading(StatusCode::NOT_FOUND, &title, text, pages::Onward::Plans)
}
