//! One player over weeks: the player's own page, which asks for what it shows with the device's token, and the conductor's view
//! of a person of the list. It must know no rule of what was held, better or next.

mod columns;
mod pictures;
mod sentences;
mod table;

use super::language::words;
use super::mine::{self, DeviceToken};
use super::peer::Peer;
use super::rights::Conducting;
use super::week_words::value;
use super::{App, fresh, pages};
use crate::clock::unix_ms;
use crate::roster::{PlayedBy, RosterError, Who};
use crate::shelf::{HomePlan, HomePlanFrom};
use crate::weeks::{IsoWeek, better, next};
use crate::words::Words;
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use columns::{Chosen, Wanted};
use pictures::Picture;
use sentences::NextTold;
use table::Row;
use windrow_protocol::instrument::Instrument;

/// What is shown, on either page.
#[derive(Debug)]
struct Shown {
    invented: bool,
    /// Whether this is all that is stored.
    is_all: bool,
    better: Vec<String>,
    next: NextTold,
    /// Groups of links, each with its name; only groups with a choice.
    choices: Vec<(String, Vec<Choice>)>,
    stair: Option<Picture>,
    /// Empty where nothing was played.
    measures: Vec<Picture>,
    rows: Vec<Row>,
}

/// A link that shows something else.
#[derive(Debug)]
struct Choice {
    word: String,
    query: String,
    is_chosen: bool,
}

/// For the player's page, to be put into it.
#[derive(Debug, Template)]
#[template(path = "weeks-part.html")]
struct Part {
    words: Words,
    heading: String,
    shown: Shown,
}

/// The player's page without what it shows.
#[derive(Debug, Template)]
#[template(path = "weeks-mine.html")]
struct MinePage {
    words: Words,
}

/// The conductor's view of a person.
#[derive(Debug, Template)]
#[template(path = "weeks-person.html")]
struct PersonPage {
    words: Words,
    /// Which of the conductor's pages this is.
    here: &'static str,
    heading: String,
    shown: Shown,
}

/// The player's own page.
pub(super) async fn mine() -> Response {
    pages::render(StatusCode::OK, &MinePage { words: words() })
}

/// What is on it, for whoever shows the device's token.
pub(super) async fn mine_part(
    app: App,
    peer: Peer,
    Query(wanted): Query<Wanted>,
    DeviceToken(token): DeviceToken,
) -> Response {
    let attempt = match mine::attempt(&app, peer) {
        Ok(attempt) => attempt,
        Err(wait) => return mine::too_many(wait),
    };
    let by = match app.room.roster.played_by_device(&token).await {
        Ok(Some(by)) => by,
        Ok(None) => return mine::strange(),
        Err(error) => return mine::failed(&error),
    };
    attempt.was_right();
    let heading = heading(words(), &by.who);
    let part = Part { words: words(), heading, shown: shown(&app, &by, &wanted).await };
    match part.render() {
        Ok(text) => ([fresh::NO_STORE], Html(text)).into_response(),
        Err(error) => {
            tracing::error!(%error, "a player's weeks could not be rendered");
            StatusCode::INTERNAL_SERVER_ERROR.into_response()
        }
    }
}

/// The conductor's view.
pub(super) async fn person(
    _: Conducting,
    app: App,
    Path(person_id): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Response {
    let by = match app.room.roster.played_by_person(&person_id).await {
        Ok(Some(by)) => by,
        Ok(None) => {
            let title = words().say("message-nothing-title");
            return pages::message(StatusCode::NOT_FOUND, &title, words().say("weeks-nobody"));
        }
        Err(error) => return unreadable(&error),
    };
    let page = PersonPage {
        words: words(),
        here: "weeks",
        heading: heading(words(), &by.who),
        shown: shown(&app, &by, &wanted).await,
    };
    pages::render(StatusCode::OK, &page)
}

fn unreadable(error: &RosterError) -> Response {
    error.log();
    let title = words().say("message-unreadable-title");
    pages::message(StatusCode::SERVICE_UNAVAILABLE, &title, words().phrase(&error.phrase()))
}

/// "Wren, flute 2".
fn heading(words: Words, who: &Who) -> String {
    let part = match who.part.as_str() {
        "" => Instrument::from_slug(&who.instrument).map_or_else(String::new, |i| words.instrument(i)),
        part => words.part_by_itself(part),
    };
    if part.is_empty() { who.name.clone() } else { format!("{}, {part}", who.name) }
}

/// The title of the plan that was chosen for practice at home.
async fn home_plan(app: &App) -> Option<String> {
    match app.room.shelf.home_plan(words().language()).await {
        Ok(HomePlan { plan, from: HomePlanFrom::Chosen, .. }) => Some(plan.title),
        Ok(_) => None,
        Err(error) => {
            tracing::warn!(%error, "the plan for practice at home could not be read");
            None
        }
    }
}

async fn shown(app: &App, by: &PlayedBy, wanted: &Wanted) -> Shown {
    let (words, home_plan) = (words(), home_plan(app).await);
    let chosen = Chosen::of(&by.played, wanted);
    let next = next(&chosen.all, IsoWeek::of_unix_ms(unix_ms()));
    let chosen = chosen.leading_to(next.rung.map(|rung| rung.per_beat), &by.played, wanted);
    let columns = chosen.columns(words);
    let is_empty = columns.list.is_empty();
    Shown {
        invented: chosen.invented,
        is_all: by.is_all,
        better: if is_empty {
            Vec::new()
        } else {
            sentences::better(words, &better(&chosen.all, &chosen.alike), &chosen.all)
        },
        next: sentences::next(words, &next, home_plan.as_deref()),
        choices: choices(words, &chosen),
        stair: chosen.per_beat.and_then(|per_beat| pictures::stair(words, &columns, per_beat)),
        measures: if is_empty { Vec::new() } else { pictures::measures(words, &columns) },
        rows: table::rows(words, &columns.list, chosen.per_beat),
    }
}

/// Each link keeps the other choices.
fn choices(words: Words, chosen: &Chosen) -> Vec<(String, Vec<Choice>)> {
    let pulses = chosen.per_beat.map_or(0, |per_beat| per_beat.get());
    let query = |pulses: u8, span: &str, instrument: &str| {
        format!("?pulses={pulses}&span={span}&instrument={instrument}")
    };
    let (span, instrument) = (chosen.span.word(), &*chosen.instrument);
    let of_pulses = chosen.subdivisions.iter().map(|&per_beat| Choice {
        word: value(words, per_beat),
        query: query(per_beat.get(), span, instrument),
        is_chosen: Some(per_beat) == chosen.per_beat,
    });
    let of_span = chosen.spans.iter().map(|one| Choice {
        word: words.say(&format!("weeks-span-{}", one.word())),
        query: query(pulses, one.word(), instrument),
        is_chosen: *one == chosen.span,
    });
    let of_instrument = chosen.instruments.iter().map(|slug| Choice {
        word: Instrument::from_slug(slug).map_or_else(|| slug.clone(), |i| words.instrument(i)),
        query: query(pulses, span, slug),
        is_chosen: *slug == instrument,
    });
    let groups: [(&str, Vec<Choice>); 3] = [
        ("weeks-choose-value", of_pulses.collect()),
        ("weeks-choose-span", of_span.collect()),
        ("weeks-choose-instrument", of_instrument.collect()),
    ];
    let with_choice = groups.into_iter().filter(|(_, choices)| choices.len() > 1);
    with_choice.map(|(id, choices)| (words.say(id), choices)).collect()
}
