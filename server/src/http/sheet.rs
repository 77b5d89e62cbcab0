//! A plan's sheet as a page: the paper as it will be printed, and what can be chosen above it. How it is set is the plans' to
//! know.

use super::language::words;
use super::rights::Conducting;
use super::{App, pages, plan_editor, plans};
use crate::plan::{Paper, Sheet, sheet};
use crate::shelf::ShelfError;
use crate::words::Words;
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use windrow_protocol::instrument::Instrument;

/// What was chosen; what is not known stands for nothing chosen.
#[derive(Debug, Deserialize)]
pub(super) struct Chosen {
    #[serde(default)]
    instrument: String,
    #[serde(default)]
    paper: String,
}

#[derive(Debug, Template)]
#[template(path = "sheet.html")]
struct SheetPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    name: String,
    sheet: Sheet,
    /// Slug, label, and whether it is the one that is shown.
    instruments: Vec<(&'static str, String, bool)>,
    papers: Vec<(&'static str, &'static str, bool)>,
}

pub(super) async fn show(
    _: Conducting,
    app: App,
    Path(name): Path<String>,
    Query(chosen): Query<Chosen>,
) -> Response {
    let words = words();
    let found = match app.room.shelf.find(&name, words.language()).await {
        Ok(found) => found,
        Err(ShelfError::Gone) => return plan_editor::gone(),
        Err(error) => return plans::failed(&error),
    };
    let Ok(plan) = found.plan else {
        let (head, text) = (words.say("sheet-none-head"), words.say("sheet-none"));
        return pages::message(StatusCode::UNPROCESSABLE_ENTITY, &head, text);
    };
    let instrument = Instrument::from_slug(&chosen.instrument);
    let paper = Paper::from_slug(&chosen.paper).unwrap_or_default();
    let instruments = Instrument::ALL.iter().map(|&i| (i.slug(), words.instrument(i), Some(i) == instrument));
    let page = SheetPage {
        words,
        here: "sheet",
        name: found.name,
        sheet: sheet(&plan, instrument, paper, words),
        instruments: instruments.collect(),
        papers: Paper::ALL.iter().map(|&p| (p.slug(), p.label(), p == paper)).collect(),
    };
    pages::render(StatusCode::OK, &page)
}
