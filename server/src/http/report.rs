//! The report of one rehearsal as a page to print. It must know no rule of a rehearsal and no SQL; what stands in its tables is
//! `report_tables`' to say.

use super::language::words;
use super::past_results::{failed, in_utc, past};
use super::rehearsals::Files;
use super::report_next::next_of_all;
use super::report_tables::{ExerciseRow, Table, exercises, tables};
use super::results_words::summary;
use super::rights::Conducting;
use super::{App, pages};
use crate::plan::Paper;
use crate::records::Past;
use crate::roster::dates::in_full;
use crate::store::{CheckRow, PlanTakenRow, SessionKind, StoreError};
use crate::words::Words;
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use std::collections::BTreeSet;
use windrow_room::PastRuns;

/// What was chosen; what is not known stands for nothing chosen.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Chosen {
    #[serde(default)]
    paper: String,
}

#[derive(Debug, Template)]
#[template(path = "rehearsal-report.html")]
struct ReportPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    id: String,
    /// What a browser calls the page's PDF.
    title: String,
    head: String,
    section: String,
    began_utc: String,
    began: String,
    /// Runs, minutes played and between; empty where nothing was played.
    summary: String,
    n_players: usize,
    invented: bool,
    /// From before runs were kept.
    is_old: bool,
    paper: Paper,
    papers: Vec<(&'static str, &'static str, bool)>,
    exercises: Vec<ExerciseRow>,
    tables: Vec<Table>,
    /// A line each.
    plans: Vec<String>,
    check: Vec<String>,
    files: Files,
}

pub(super) async fn show(
    _: Conducting,
    app: App,
    Path(id): Path<String>,
    Query(chosen): Query<Chosen>,
) -> Response {
    let past = match past(&app, &id).await {
        Ok(past) => past,
        Err(answer) => return answer,
    };
    match view(&app, past, &chosen).await {
        Ok(page) => pages::render(StatusCode::OK, &page),
        Err(error) => failed(&error),
    }
}

async fn view(app: &App, past: Past, chosen: &Chosen) -> Result<ReportPage, StoreError> {
    let (store, words) = (&app.shared.records, words());
    let (mut names, mut n_spans) = (BTreeSet::new(), 0);
    for session in &past.sessions {
        for player in store.players_of_session(&session.session_id).await? {
            if past.runs.is_empty() {
                n_spans += store.spans_of(&player.player_id).await?.len();
            }
            names.insert(player.name);
        }
    }
    let plans = store.plans_of(&past.rehearsal_id).await?;
    let checks = store.checks_of(&past.rehearsal_id).await?;
    let began_utc = in_full(past.began_unix_ms());
    let kind = past.sessions.first().map_or(SessionKind::Rehearsal, |session| session.kind);
    let head = match kind {
        SessionKind::Rehearsal => "report-head",
        SessionKind::Practice => "report-head-practice",
        SessionKind::Recording => "report-head-recording",
    };
    let head = match kind {
        SessionKind::Rehearsal => words.say(head),
        // Whose it is: one player's, as a rule.
        SessionKind::Practice | SessionKind::Recording => {
            let names: Vec<String> = names.iter().cloned().collect();
            words
                .of("report-head-of")
                .arg("head", words.say(head))
                .arg("names", words.list(&names))
                .to_string()
        }
    };
    let title = words.of("report-page").arg("day", began_utc.get(..10).unwrap_or_default());
    let paper = Paper::from_slug(&chosen.paper).unwrap_or_default();
    let runs = PastRuns::of(past.runs.clone());
    let (results, review) = (runs.results(), runs.review());
    let exercises = exercises(words, &past.runs);
    let next = next_of_all(store, words, &past).await?;
    let tables = tables(words, &past.runs, &exercises, &review, &next);
    Ok(ReportPage {
        words,
        here: "rehearsals",
        title: title.arg("section", past.section_name()).to_string(),
        head,
        section: past.section_name().to_owned(),
        began: in_utc(&began_utc),
        began_utc,
        summary: if results.runs.is_empty() { String::new() } else { summary(words, &review) },
        n_players: names.len(),
        invented: past.is_invented(),
        is_old: n_spans > 0,
        paper,
        papers: Paper::ALL.iter().map(|&p| (p.slug(), p.label(), p == paper)).collect(),
        exercises,
        tables,
        plans: plan_lines(words, &plans),
        check: checks.last().map(|check| check_lines(words, check)).unwrap_or_default(),
        files: Files { at: format!("/conduct/rehearsals/{}", past.rehearsal_id), is_all: false },
        id: past.rehearsal_id,
    })
}

/// Titles in the order in which they were taken, with the time where there were several.
fn plan_lines(words: Words, plans: &[PlanTakenRow]) -> Vec<String> {
    let line = |plan: &PlanTakenRow| match plans.len() {
        1 => plan.title.clone(),
        _ => {
            let full = in_full(plan.taken_unix_ms);
            let time = format!("{} UTC", full.get(11..16).unwrap_or_default());
            words.of("report-plan-at").arg("title", &plan.title).arg("time", time).to_string()
        }
    };
    plans.iter().map(line).collect()
}

fn check_lines(words: Words, check: &CheckRow) -> Vec<String> {
    check.found.advice.iter().map(|advice| words.phrase(advice)).collect()
}
