//! What the section did: the page and the same for scripts. It must know no rule of a rehearsal.

use super::language::words;
use super::results_strip::{Strip, strip};
use super::results_words::{expression, figures, section_lines, state_word};
use super::rights::Conducting;
use super::{App, fresh, pages};
use crate::hex::hex;
use crate::words::Words;
use askama::Template;
use axum::extract;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use windrow_protocol::messages::{Measures, PlayerResult, Replay, Results, Review, Run};

/// Everything played in this rehearsal, the newest first.
#[derive(Debug, Template)]
#[template(path = "results.html")]
struct ResultsPage {
    /// In the reader's language.
    words: Words,
    section: String,
    /// Names the room; empty for a rehearsal that is over.
    room_id: String,
    /// Which of the conductor's pages this is.
    here: &'static str,
    title: String,
    version: u32,
    /// Where the page's scripts ask for the rest.
    source: String,
    /// Of a rehearsal that is over.
    past: Option<PastShown>,
    strip: Strip,
    runs: Vec<RunView>,
    /// Whether the imaginary section played some of it.
    has_imaginary: bool,
}

/// Whose results a page shows, and from where.
#[derive(Debug)]
pub(super) struct Shown {
    pub(super) section: String,
    /// Names the room; empty for a rehearsal that is over.
    pub(super) room_id: String,
    /// Where the page's scripts ask for the rest.
    pub(super) source: String,
}

/// What is said of a rehearsal that is over.
#[derive(Debug)]
pub(super) struct PastShown {
    /// By RFC 3339.
    pub(super) began_utc: String,
    /// The same to read, where no script says it in the reader's own time.
    pub(super) began: String,
    /// Its report.
    pub(super) report: String,
    /// Whether nobody played it.
    pub(super) invented: bool,
}

#[derive(Debug)]
struct RunView {
    number: u16,
    exercise: u16,
    name: String,
    is_over: bool,
    /// The section in sentences.
    lines: Vec<String>,
    players: Vec<Row>,
    parts: Vec<PartView>,
}

/// One part of an exercise, of whoever played in it.
#[derive(Debug)]
struct PartView {
    title: String,
    players: Vec<Row>,
}

#[derive(Debug)]
struct Row {
    chair: u16,
    name: String,
    part: String,
    state: String,
    /// What is said of the whole besides the figures; may be empty.
    more: String,
    figures: [String; 12],
}

pub(super) async fn page(_: Conducting, app: App) -> Response {
    let (results, review) = (results(&app).await, review_of(&app).await);
    let shown_in =
        Shown { section: app.section(), room_id: app.room.id.clone(), source: "/conduct/results".to_owned() };
    shown(shown_in, None, &results, &review)
}

/// The page of a rehearsal, present or past.
pub(super) fn shown(
    Shown { section, room_id, source }: Shown,
    past: Option<PastShown>,
    results: &Results,
    review: &Review,
) -> Response {
    let page = ResultsPage {
        words: words(),
        title: match &past {
            Some(past) => {
                let title = words().of("report-past-title").arg("section", &section);
                title.arg("day", past.began_utc.get(..10).unwrap_or_default()).to_string()
            }
            None => words().of("review-page").arg("section", &section).to_string(),
        },
        section,
        room_id,
        here: if past.is_some() { "rehearsals" } else { "results" },
        version: results.version,
        source,
        past,
        strip: strip(words(), results, review),
        runs: results.runs.iter().rev().map(run_view).collect(),
        has_imaginary: results.runs.iter().any(|run| run.imaginary),
    };
    pages::render(StatusCode::OK, &page)
}

/// [`Results`] of the rehearsal that is running; empty where none is.
pub(super) async fn all(_: Conducting, app: App) -> Response {
    worded(results(&app).await)
}

/// For scripts, in the reader's language.
pub(super) fn worded(mut results: Results) -> Response {
    let spoken = words();
    for run in &mut results.runs {
        run.name = spoken.phrase(&run.name).into();
        run.spans.iter_mut().for_each(|title| *title = spoken.phrase(title).into());
    }
    fresh::json(results)
}

/// The same at a glance, as JSON.
pub(super) async fn review(_: Conducting, app: App) -> Response {
    fresh::json(review_of(&app).await)
}

/// A run's raster as JSON. It has a tag, since it is asked for again while it is played.
pub(super) async fn raster(
    _: Conducting,
    app: App,
    extract::Path(number): extract::Path<String>,
    headers: HeaderMap,
) -> Response {
    let replay = match number.parse() {
        Ok(number) => app.room.handle.replay(number).await.ok().flatten(),
        Err(_) => None,
    };
    tagged(replay, &headers)
}

/// A run's raster, or nothing where the asker has it already.
pub(super) fn tagged(replay: Option<Replay>, headers: &HeaderMap) -> Response {
    let Some(mut replay) = replay else {
        return (StatusCode::NOT_FOUND, [fresh::NO_STORE], "this run's raster is not kept\n").into_response();
    };
    replay.lanes.iter_mut().for_each(|lane| lane.part = words().part_by_itself(&lane.part));
    let text = serde_json::to_string(&replay).expect("a raster holds only what JSON can");
    let etag = format!("\"{}\"", hex(&Sha256::digest(text.as_bytes())));
    let known = headers.get(header::IF_NONE_MATCH).and_then(|v| v.to_str().ok()).unwrap_or_default();
    let (no_store, how) = fresh::NO_STORE;
    let caching = [(no_store, how.to_owned()), (header::ETAG, etag.clone())];
    if known.split(',').any(|tag| tag.trim().trim_start_matches("W/") == etag) {
        return (StatusCode::NOT_MODIFIED, caching).into_response();
    }
    (caching, [(header::CONTENT_TYPE, "application/json")], text).into_response()
}

async fn review_of(app: &App) -> Review {
    app.room.handle.review().await.unwrap_or_default()
}

async fn results(app: &App) -> Results {
    app.room.handle.results().await.unwrap_or_default()
}

fn run_view(run: &Run) -> RunView {
    let words = words();
    let row = |p: &PlayerResult, measures: &Measures, more: String| Row {
        chair: p.chair,
        name: p.name.to_string(),
        part: words.part_by_itself(&p.part),
        state: state_word(words, measures),
        more,
        figures: figures(words, measures),
    };
    let of_part = |idx: usize| {
        let played = run.players.iter().filter_map(|p| Some((p, p.spans.get(idx)?.as_ref()?)));
        played.map(|(p, measures)| row(p, measures, String::new())).collect()
    };
    let parts = run.spans.iter().enumerate();
    RunView {
        number: run.number,
        exercise: run.exercise,
        name: words.phrase(&run.name),
        is_over: run.is_over,
        lines: section_lines(words, &run.section, &run.players),
        players: run.players.iter().map(|p| row(p, &p.whole, expression(words, p))).collect(),
        parts: parts
            .map(|(idx, title)| PartView { title: words.phrase(title), players: of_part(idx) })
            .collect(),
    }
}
