//! The section over weeks, for the conductor: what to plan next, who moved, who is stuck, who was away; how together it was; a row
//! a player. It must know no rule of what was held or comes next.

mod columns;
mod pictures;
mod plans;
mod sentences;

use super::language::words;
use super::rights::Conducting;
use super::{App, pages};
use crate::clock::unix_ms;
use crate::plan;
use crate::shelf::ShelfError;
use crate::weeks::{IsoWeek, Rung, Week, now, plan_next, weeks};
use crate::words::Words;
use askama::Template;
use axum::extract::{Form, Query};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use columns::{Columns, Span, Wanted};
use pictures::{Picture, PlayerRow, WeekRow};
use plans::Offered;
use sentences::Told;
use serde::Deserialize;
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::Bpm;

#[derive(Debug, Template)]
#[template(path = "section-weeks.html")]
struct Page {
    /// In the reader's language.
    words: Words,
    /// Which of the conductor's pages this is.
    here: &'static str,
    section: String,
    /// "12 weeks, 11 with a rehearsal"; empty where there was none.
    of: String,
    is_invented: bool,
    told: Told,
    /// A plan that has what is to come.
    offered: Option<Offered>,
    /// The rung that a new plan can be made for: pulses a beat and tempo.
    new_plan: Option<(u8, String)>,
    /// Ways to look further back.
    spans: Vec<(Span, bool)>,
    pictures: Vec<Picture>,
    /// The lowest and the highest rung on the players' scale.
    scale: (String, String),
    /// First and last week of the players' stairs.
    ends: (String, String),
    players: Vec<PlayerRow>,
    weeks: Vec<WeekRow>,
}

pub(super) async fn page(_: Conducting, app: App, Query(wanted): Query<Wanted>) -> Response {
    let played = match app.room.roster.section_played(wanted.span().n_weeks_of_players()).await {
        Ok(played) => played,
        Err(error) => {
            error.log();
            let title = words().say("message-unreadable-title");
            let text = words().phrase(&error.phrase());
            return pages::message(StatusCode::SERVICE_UNAVAILABLE, &title, text);
        }
    };
    let words = words();
    let members: Vec<Vec<Week>> = played.players.iter().map(|one| weeks(&one.played)).collect();
    let stands = now(&members);
    let next = plan_next(&members, &stands, IsoWeek::of_unix_ms(unix_ms()));
    let columns = Columns::of(words, &played, &members, wanted.span());
    let names: Vec<&str> = played.players.iter().map(|one| one.name.as_str()).collect();
    let (players, scale) = pictures::players(words, &played, &members, &stands, &columns);
    let page = Page {
        words,
        here: "weeks",
        section: app.section(),
        of: columns.summary(words),
        is_invented: played.invented,
        told: sentences::told(words, &names, &stands, &next),
        offered: plans::offered(&app, words, &next).await,
        new_plan: next.rung.map(|rung| (rung.per_beat.get(), rung.bpm.mark())),
        spans: columns.spans(),
        pictures: pictures::pictures(words, &columns),
        scale,
        ends: columns.ends(),
        players,
        weeks: pictures::week_rows(words, &columns),
    };
    pages::render(StatusCode::OK, &page)
}

/// What the page's form asks for: a plan for this rung.
#[derive(Debug, Deserialize)]
pub(super) struct Made {
    pulses: String,
    bpm: String,
}

/// Makes a plan for a rung and opens it.
pub(super) async fn make_plan(_: Conducting, app: App, Form(made): Form<Made>) -> Response {
    let per_beat = made.pulses.parse().ok().and_then(|n| PerBeat::new(n).ok());
    let bpm = made.bpm.parse().ok().and_then(|bpm| Bpm::new(bpm).ok());
    let Some(rung) = per_beat.zip(bpm).map(|(per_beat, bpm)| Rung { per_beat, bpm }) else {
        return pages::malformed();
    };
    let added = match plan::read(&plans::plan_for(words(), rung)) {
        Ok(plan) => app.room.shelf.add(plan).await,
        // A rung that no plan's file can hold.
        Err(bad) => Err(ShelfError::Bad(bad)),
    };
    match added {
        Ok(name) => Redirect::to(&format!("/conduct/plans/{name}/edit")).into_response(),
        Err(ShelfError::Bad(_)) => pages::malformed(),
        Err(error) => super::plans::failed(&error),
    }
}
