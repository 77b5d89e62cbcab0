//! The list of rehearsals, and files of another Windrow brought in. It must know no format and no SQL.

use super::language::words;
use super::past_results::{failed, in_utc};
use super::rights::{Conducting, Owning};
use super::{App, fresh, pages};
use crate::access::Role;
use crate::records::{CannotTakeIn, TakenIn, read, take_in};
use crate::roster::dates::in_full;
use crate::store::{RehearsalRow, SectionRunRow, SessionKind, StoreError};
use crate::words::Words;
use askama::Template;
use axum::body::{Body, Bytes};
use axum::extract::{Form, FromRequest, Query, Request};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Forty players who practise every day bring ten thousand in a year; nobody reads further than this.
const MOST_AT_HOME: usize = 200;

/// Which of them are shown; what is not known stands for nothing chosen.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Chosen {
    #[serde(default)]
    section: String,
    #[serde(default)]
    year: String,
}

/// A form's text, as a browser without script sends it.
#[derive(Debug, Deserialize)]
struct Pasted {
    #[serde(default)]
    text: String,
}

/// What a script is told of a rehearsal that it sent.
#[derive(Debug, Serialize)]
struct Told {
    new: usize,
    here: usize,
    players: usize,
    known: usize,
}

/// Where files are, for the template of their links.
#[derive(Debug)]
pub(super) struct Files {
    pub(super) at: String,
    pub(super) is_all: bool,
}

#[derive(Debug)]
struct Row {
    id: String,
    began_utc: String,
    began: String,
    lasted: String,
    kind: String,
    /// Whose practice it is.
    who: String,
    n_players: i64,
    n_runs: i64,
    invented: bool,
}

#[derive(Debug)]
struct Year {
    year: String,
    is_shown: bool,
}

#[derive(Debug, Template)]
#[template(path = "rehearsals.html")]
struct RehearsalsPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    section: String,
    /// As the records have it.
    section_key: String,
    sections: Vec<String>,
    years: Vec<Year>,
    rows: Vec<Row>,
    /// From home.
    brought: Vec<Row>,
    /// Earlier ones of the same year that are not listed.
    n_more: usize,
    files: Files,
    may_bring: bool,
    said: String,
    trouble: String,
}

pub(super) async fn show(Conducting { who }: Conducting, app: App, Query(chosen): Query<Chosen>) -> Response {
    page(&app, StatusCode::OK, who.role, &chosen, String::new(), String::new()).await
}

/// Takes one rehearsal in: a script sends it as it is, a form as its text.
pub(super) async fn import(Owning { who }: Owning, app: App, headers: HeaderMap, body: Bytes) -> Response {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
    let is_form = kind.starts_with("application/x-www-form-urlencoded");
    let text = if is_form {
        let request =
            Request::builder().method("POST").header(header::CONTENT_TYPE, kind).body(Body::from(body));
        let Ok(request) = request else { return pages::malformed() };
        match Form::<Pasted>::from_request(request, &()).await {
            Ok(Form(Pasted { text })) => text,
            Err(_) => return pages::malformed(),
        }
    } else {
        match String::from_utf8(body.into()) {
            Ok(text) => text,
            Err(_) => return pages::malformed(),
        }
    };
    // Not among what keeps the rooms going: a long rehearsal takes a while.
    let Ok(found) = tokio::task::spawn_blocking(move || read(&text)).await else { return pages::malformed() };
    let taken = match found {
        Ok(document) => take_in(&app.shared.records, document).await,
        Err(bad) => Err(CannotTakeIn::Cannot(bad.phrase().clone())),
    };
    match (taken, is_form) {
        (Ok(taken), true) => {
            page(&app, StatusCode::OK, who.role, &Chosen::default(), done(&taken), String::new()).await
        }
        (Ok(taken), false) => fresh::json(Told {
            new: taken.n_new,
            here: taken.n_here,
            players: taken.n_players,
            known: taken.n_known,
        }),
        (Err(CannotTakeIn::Store(error)), _) => failed(&error),
        (Err(CannotTakeIn::Cannot(why)), is_form) => {
            let (status, why) = (StatusCode::UNPROCESSABLE_ENTITY, words().phrase(&why));
            if !is_form {
                return (status, fresh::json(serde_json::json!({ "why": why }))).into_response();
            }
            let file = words().say("report-bring-pasted");
            let trouble = words().of("report-bring-not").arg("file", file).arg("why", why).to_string();
            page(&app, status, who.role, &Chosen::default(), String::new(), trouble).await
        }
    }
}

fn done(taken: &TakenIn) -> String {
    let said = words().of("report-bring-done").arg("new", taken.n_new).arg("here", taken.n_here);
    said.arg("players", taken.n_players).arg("known", taken.n_known).to_string()
}

async fn page(
    app: &App,
    status: StatusCode,
    role: Role,
    chosen: &Chosen,
    said: String,
    trouble: String,
) -> Response {
    match view(app, role, chosen, said, trouble).await {
        Ok(page) => pages::render(status, &page),
        Err(error) => failed(&error),
    }
}

async fn view(
    app: &App,
    role: Role,
    chosen: &Chosen,
    said: String,
    trouble: String,
) -> Result<RehearsalsPage, StoreError> {
    let store = &app.shared.records;
    let all = store.rehearsals(None).await?;
    let own = app.room.roster.section().to_string();
    let mut sections: BTreeSet<String> = all.iter().map(|row| row.section_name.clone()).collect();
    sections.insert(own.clone());
    let section_key = if sections.contains(&chosen.section) { chosen.section.clone() } else { own.clone() };
    let runs = store.section_runs(&section_key, i64::MIN).await?;
    let played = Played::by_rehearsal(&runs);
    let of_section = all.into_iter().filter(|row| row.section_name == section_key);
    let of_section: Vec<(Row, SessionKind)> =
        of_section.map(|row| (Row::of(&row, played.get(row.rehearsal_id.as_str())), row.kind)).collect();
    let years: BTreeSet<String> = of_section.iter().map(|(row, _)| row.year().to_owned()).collect();
    let newest = years.last().cloned().unwrap_or_default();
    let year = if years.contains(&chosen.year) { chosen.year.clone() } else { newest };
    let (mut rows, mut brought) = (Vec::new(), Vec::new());
    for (row, kind) in of_section.into_iter().filter(|(row, _)| row.year() == year) {
        if kind == SessionKind::Rehearsal { rows.push(row) } else { brought.push(row) }
    }
    let n_more = brought.len().saturating_sub(MOST_AT_HOME);
    brought.truncate(MOST_AT_HOME);
    if !brought.is_empty() {
        let mut names: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (id, name) in store.names_at_home(&section_key).await? {
            names.entry(id).or_default().push(name);
        }
        for row in &mut brought {
            row.who = names.remove(&row.id).unwrap_or_default().join(", ");
        }
    }
    let years = years.into_iter().rev().map(|one| Year { is_shown: one == year, year: one });
    Ok(RehearsalsPage {
        words: words(),
        here: "rehearsals",
        section: if section_key == own { app.section() } else { section_key.clone() },
        section_key,
        sections: sections.into_iter().collect(),
        years: years.collect(),
        rows,
        brought,
        n_more,
        files: Files { at: "/conduct/rehearsals/all".to_owned(), is_all: true },
        may_bring: role == Role::Conductor,
        said,
        trouble,
    })
}

/// From the first run's beginning to the last one's end.
#[derive(Debug, Clone, Copy)]
struct Played {
    from_unix_ms: i64,
    to_unix_ms: i64,
}

impl Played {
    fn by_rehearsal(runs: &[SectionRunRow]) -> BTreeMap<&str, Self> {
        let mut played: BTreeMap<&str, Self> = BTreeMap::new();
        for run in runs {
            let whole = played
                .entry(run.rehearsal_id.as_str())
                .or_insert(Self { from_unix_ms: run.began_unix_ms, to_unix_ms: run.ended_unix_ms });
            whole.from_unix_ms = whole.from_unix_ms.min(run.began_unix_ms);
            whole.to_unix_ms = whole.to_unix_ms.max(run.ended_unix_ms);
        }
        played
    }
}

impl Row {
    fn of(row: &RehearsalRow, played: Option<&Played>) -> Self {
        let began_utc = in_full(played.map_or(row.began_unix_ms, |played| played.from_unix_ms));
        let lasted = match played {
            Some(played) => minutes((played.to_unix_ms - played.from_unix_ms) as f64 / 1e3),
            None => words().say("report-nothing-played"),
        };
        Self {
            id: row.rehearsal_id.clone(),
            began: in_utc(&began_utc),
            began_utc,
            lasted,
            kind: words().say(match row.kind {
                SessionKind::Rehearsal => "report-kind-rehearsal",
                SessionKind::Practice => "report-kind-practice",
                SessionKind::Recording => "report-kind-recording",
            }),
            who: String::new(),
            n_players: row.n_players,
            n_runs: row.n_runs,
            invented: row.invented,
        }
    }

    fn year(&self) -> &str {
        self.began_utc.get(..4).unwrap_or_default()
    }
}

/// Whole minutes in words.
pub(super) fn minutes(s: f64) -> String {
    words().of("report-minutes").arg("minutes", (s / 60.0).round()).to_string()
}
