//! Practice at home, as far as a server has a part in it: the page, the plan that goes with it, the worker that keeps both on a device, the
//! manifest that puts it on a home screen, and choosing the plan. Nothing here knows or tells who asks.

use super::fresh::{NO_STORE, json};
use super::language::words;
use super::rights::Conducting;
use super::{App, assets, page_parts, pages, plans, protection};
use crate::plan;
use crate::shelf::{HomePlan, HomePlanFrom};
use crate::words::Words;
use askama::Template;
use axum::extract::Form;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};
use serde_json::json as object;
use windrow_protocol::phrase::Phrase;

const WORKER: &str = "practice-worker.js";

#[derive(Debug, Template)]
#[template(path = "practice.html")]
struct PracticePage {
    /// In the reader's language.
    words: Words,
    /// Slug and label of each instrument, in score order.
    instruments: Vec<(&'static str, String)>,
}

impl PracticePage {
    fn new() -> Self {
        Self { words: words(), instruments: super::instruments() }
    }
}

/// What there is to practise, as the page takes it.
#[derive(Debug, Serialize)]
struct PlanToPractise {
    title: String,
    from: HomePlanFrom,
    set_unix_ms: i64,
    section: String,
    a4_hz: f64,
    n_exercises: usize,
    /// Counts, playing and rests; what goes on until it is stopped counts nothing.
    length_s: f64,
    /// As a room plays it, with its file's text for the record.
    lesson: crate::room::Lesson,
}

/// What the form of the plans page sends.
#[derive(Debug, Deserialize)]
pub(super) struct Chosen {
    name: String,
}

pub(super) async fn page() -> Response {
    let mut response = pages::render(StatusCode::OK, &PracticePage::new());
    let policy = protection::policy_with_manifest();
    let policy = HeaderValue::from_str(&policy).expect("a policy is plain letters");
    response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
    response
}

pub(super) async fn plan(app: App) -> Response {
    let HomePlan { plan, from, set_unix_ms } = match app.room.shelf.home_plan(words().language()).await {
        Ok(found) => found,
        Err(error) => return plans::failed(&error),
    };
    let lesson = plan::compile(&plan);
    json(PlanToPractise {
        title: plan.title.clone(),
        from,
        set_unix_ms,
        section: app.section(),
        a4_hz: app.room.a4_hz.get(),
        n_exercises: lesson.pieces.len(),
        length_s: plan::length(&plan).whole_s,
        lesson,
    })
}

/// The worker as it is written, with what it keeps in a line before it: another version of any file is another worker, which browsers notice.
pub(super) async fn worker() -> Response {
    let Some((script, page)) = assets::text(WORKER).zip(PracticePage::new().render().ok()) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let kept = object!({"version": assets::version(), "files": page_parts::needed(&page)});
    let script = format!("const KEPT = {kept};\n{script}");
    ([NO_STORE], [(header::CONTENT_TYPE, "text/javascript; charset=utf-8")], script).into_response()
}

pub(super) async fn manifest() -> Response {
    let words = words();
    let version = assets::version();
    let icon = |name: &str, px: u32, purpose: &str| {
        let sizes = format!("{px}x{px}");
        object!({"src": format!("/static/{version}/{name}-{px}.png"), "sizes": sizes, "type": "image/png", "purpose": purpose})
    };
    let manifest = object!({
        "id": "/practice",
        "name": format!("{} · Windrow", words.say("practice-title")),
        "short_name": words.say("practice-short-name"),
        "lang": words.tag(),
        "start_url": "/practice",
        // The rehearsal opens in the same window as the practice page.
        "scope": "/",
        "display": "standalone",
        // The light and dark ground of base.css; a manifest has but one.
        "background_color": "#ffffff",
        "theme_color": "#ffffff",
        "icons": [
            icon("practice-icon", 192, "any"),
            icon("practice-icon", 512, "any"),
            icon("practice-icon-maskable", 512, "maskable"),
        ],
    });
    let kind = [(header::CONTENT_TYPE, "application/manifest+json")];
    ([NO_STORE], kind, manifest.to_string()).into_response()
}

/// Makes a plan the one for practice at home.
pub(super) async fn choose(_: Conducting, app: App, Form(chosen): Form<Chosen>) -> Response {
    let shelf = &app.room.shelf;
    match shelf.take_home(&chosen.name, words().language()).await {
        Ok(title) => {
            shelf.say(Phrase::of("practice-was-set").with("title", title));
            Redirect::to("/conduct/plans").into_response()
        }
        Err(error) => plans::failed(&error),
    }
}
