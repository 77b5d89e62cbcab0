//! The conductor's page of plans: using, copying, bringing in and deleting them. Forms in, the page again out. It must know
//! no SQL and nothing of what makes a plan good; that is the plans' to say.

use super::language::words;
use super::rights::{Conducting, Owning};
use super::{App, fresh, pages};
use crate::access::Role;
use crate::hex::unhex;
use crate::plan::{self, BadPlan, Exercise, Plan, Play};
use crate::room::Piece;
use crate::shelf::{InRoom, ShelfError, Shelved, name_from};
use crate::words::Words;
use askama::Template;
use axum::extract::Form;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Span;

const HERE: &str = "/conduct/plans";

/// What a form of the page may hold; which fields count depends on what is to be done.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default, rename = "do")]
    what: String,
    #[serde(default)]
    name: String,
    #[serde(default)]
    text: String,
    /// A compressed file's bytes in hex: a form holds only text.
    #[serde(default)]
    packed: String,
    /// Of a score, by name or number; empty for the first.
    #[serde(default)]
    part: String,
    #[serde(default)]
    file_name: String,
    #[serde(default)]
    sure: String,
}

/// A plan as the page lists it.
#[derive(Debug)]
struct Row {
    name: String,
    title: String,
    about: String,
    takes: String,
    /// Names of its exercises, each with the part that begins there, if one does.
    exercises: Vec<(String, String)>,
    /// How long it takes when it is played through, in words.
    length: String,
    whole_s: f64,
    is_built_in: bool,
    in_room: InRoom,
    /// Whether it is what players practise at home.
    is_at_home: bool,
    /// What is wrong with it, a line each.
    complaints: Vec<String>,
}

/// A plan in the list for scripts.
#[derive(Debug, Serialize)]
struct Listed {
    name: String,
    title: String,
    about: String,
    takes: String,
    n_exercises: usize,
    /// Counts, playing and rests, s; what goes on until it is stopped counts nothing.
    whole_s: f64,
    is_built_in: bool,
    is_in_room: bool,
    version: Option<i64>,
}

#[derive(Debug, Template)]
#[template(path = "plans.html")]
struct PlansPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    section: String,
    own: Vec<Row>,
    built_in: Vec<Row>,
    may_delete: bool,
    /// Whether the imaginary section may come and play one of them.
    may_try: bool,
    said: String,
    trouble: String,
    /// What is wrong with what was brought in, a line each.
    complaints: Vec<String>,
    typed: Asked,
}

#[derive(Debug, Template)]
#[template(path = "plan-imported.html")]
struct ImportedPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    name: String,
    title: String,
    n_notes: usize,
    ignored: Vec<String>,
}

#[derive(Debug, Template)]
#[template(path = "plan-delete.html")]
struct DeletePage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    name: String,
    title: String,
    is_in_room: bool,
}

pub(super) async fn show(Conducting { who }: Conducting, app: App) -> Response {
    page(&app, StatusCode::OK, who.role, Wrong::default(), Asked::default()).await
}

/// All plans, for scripts.
pub(super) async fn list(_: Conducting, app: App) -> Response {
    let shelf = &app.room.shelf;
    let in_room = shelf.in_room();
    let listed = |shelved: Shelved| {
        let (version, is_built_in) = (shelved.version, shelved.is_built_in());
        let row = Row::of(shelved, in_room.as_ref());
        Listed {
            n_exercises: row.exercises.len(),
            name: row.name,
            title: row.title,
            about: row.about,
            takes: row.takes,
            whole_s: row.whole_s,
            is_built_in,
            is_in_room: row.in_room != InRoom::No,
            version,
        }
    };
    match shelf.all(words().language()).await {
        Ok(all) => fresh::json(all.into_iter().map(listed).collect::<Vec<_>>()),
        Err(error) => failed(&error),
    }
}

pub(super) async fn act(Conducting { who }: Conducting, app: App, Form(asked): Form<Asked>) -> Response {
    let shelf = &app.room.shelf;
    let done = match asked.what.as_str() {
        "use" => shelf.take(&asked.name, words().language()).await.map(|_| "/conduct".to_owned()),
        "copy" => shelf.copy(&asked.name, words()).await.map(|name| edit(&name)),
        "new" => shelf.add(new_plan(words())).await.map(|name| edit(&name)),
        _ => return pages::malformed(),
    };
    match done {
        Ok(to) => Redirect::to(&to).into_response(),
        Err(error) => refused(&app, error, who.role, Asked::default()).await,
    }
}

/// A plan's file, or one of music; which of them is seen by how it begins.
pub(super) async fn import(Conducting { who }: Conducting, app: App, Form(asked): Form<Asked>) -> Response {
    let is_music = asked.text.trim_start_matches('\u{feff}').trim_start().starts_with('<');
    if is_music || !asked.packed.is_empty() {
        return import_music(&app, who.role, asked).await;
    }
    let added = match plan::read(&asked.text) {
        Ok(plan) => app.room.shelf.add(plan).await,
        Err(bad) => Err(bad.into()),
    };
    match added {
        Ok(name) => {
            app.room.shelf.say(Phrase::of("plans-is-here").with("name", name));
            Redirect::to(HERE).into_response()
        }
        Err(error) => refused(&app, error, who.role, asked).await,
    }
}

async fn import_music(app: &App, role: Role, asked: Asked) -> Response {
    let part = Some(asked.part.trim()).filter(|part| !part.is_empty());
    let text = match unhex(&asked.packed) {
        Some(bytes) if !bytes.is_empty() => plan::unzipped(&bytes),
        Some(_) => Ok(asked.text.clone()),
        None => return pages::malformed(),
    };
    let imported = match text.and_then(|text| plan::from_musicxml_part(&text, part)) {
        Ok(imported) => imported,
        Err(bad) => {
            let wrong =
                Wrong { trouble: of_file(&asked.file_name), complaints: vec![words().phrase(&bad.phrase())] };
            return page(app, StatusCode::UNPROCESSABLE_ENTITY, role, wrong, asked).await;
        }
    };
    let words = words();
    let n_notes = imported.music.notes.len();
    let ignored = imported.ignored.iter().map(|one| words.phrase(one)).collect();
    let stem = asked.file_name.rsplit_once('.').map_or(asked.file_name.as_str(), |(stem, _)| stem);
    let plan = imported.into_plan(stem, words);
    let title = plan.title.clone();
    match app.room.shelf.add(plan).await {
        Ok(name) => {
            let page = ImportedPage { words, here: "plans", name, title, n_notes, ignored };
            pages::render(StatusCode::OK, &page)
        }
        Err(error) => refused(app, error, role, asked).await,
    }
}

/// Asks once more, then deletes.
pub(super) async fn delete(Owning { who }: Owning, app: App, Form(asked): Form<Asked>) -> Response {
    let shelf = &app.room.shelf;
    let found = match shelf.find(&asked.name, words().language()).await {
        Ok(found) if !found.is_built_in() => found,
        Ok(_) | Err(ShelfError::Gone) => return refused(&app, ShelfError::Gone, who.role, asked).await,
        Err(error) => return failed(&error),
    };
    if asked.sure != "yes" {
        let is_in_room = found.compared(shelf.in_room().as_ref()) != InRoom::No;
        let page =
            DeletePage { words: words(), here: "plans", name: found.name, title: found.title, is_in_room };
        return pages::render(StatusCode::OK, &page);
    }
    match shelf.delete(&found.name).await {
        Ok(()) => {
            shelf.say(Phrase::of("plans-is-deleted").with("title", found.title));
            Redirect::to(HERE).into_response()
        }
        Err(error) => refused(&app, error, who.role, asked).await,
    }
}

/// What the page says of something that did not work.
#[derive(Debug, Default)]
struct Wrong {
    trouble: String,
    complaints: Vec<String>,
}

async fn refused(app: &App, error: ShelfError, role: Role, typed: Asked) -> Response {
    let wrong = match &error {
        ShelfError::Bad(bad) => Wrong { trouble: of_file(&typed.file_name), complaints: complaints(bad) },
        ShelfError::Cannot(_) | ShelfError::Gone | ShelfError::Changed => {
            Wrong { trouble: sentence(&error), complaints: Vec::new() }
        }
        ShelfError::Store(_) | ShelfError::Ended => return failed(&error),
    };
    page(app, StatusCode::UNPROCESSABLE_ENTITY, role, wrong, typed).await
}

/// The records do not answer, or the server stops.
pub(super) fn failed(error: &ShelfError) -> Response {
    if let ShelfError::Store(error) = error {
        tracing::error!(%error, "the plans' records failed");
    }
    let (status, title) = (StatusCode::SERVICE_UNAVAILABLE, words().say("plans-failed"));
    pages::message_leading(status, &title, sentence(error), pages::Onward::Plans)
}

/// What could not be done, as a sentence in the reader's language.
pub(super) fn sentence(error: &ShelfError) -> String {
    let text = words().phrase(&error.phrase());
    let mut letters = text.chars();
    let text: String =
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    format!("{text}.")
}

/// What is wrong with a plan, a line each, in the reader's language.
pub(super) fn complaints(bad: &BadPlan) -> Vec<String> {
    bad.found().iter().map(|complaint| words().phrase(&complaint.phrase())).collect()
}

/// Heads the list of what is wrong with a file.
fn of_file(file_name: &str) -> String {
    let words = words();
    if file_name.is_empty() {
        words.say("plans-not-brought-in")
    } else {
        words.of("plans-file-not-brought-in").arg("file", file_name).to_string()
    }
}

fn edit(name: &str) -> String {
    format!("{HERE}/{name}/edit")
}

/// A plan to begin with.
fn new_plan(words: Words) -> Plan {
    let title = words.say("plans-new-title");
    let straight = serde_json::json!({"straight": {"bpm": 60, "bars": 4}});
    Plan {
        format: plan::FORMAT.to_owned(),
        version: plan::VERSION,
        name: name_from(&title),
        title,
        about: String::new(),
        takes: String::new(),
        beats_per_bar: 4,
        exercises: vec![exercise(serde_json::from_value(straight).expect("a straight note"))],
    }
}

fn exercise(play: Play) -> Exercise {
    Exercise {
        title: None,
        part: None,
        play,
        say: String::new(),
        goal: String::new(),
        cautions: Vec::new(),
        rest_s: 0,
        note: None,
        voicing: None,
        tuning: None,
        turns: None,
        bands: plan::Bands::default(),
    }
}

async fn page(app: &App, status: StatusCode, role: Role, wrong: Wrong, typed: Asked) -> Response {
    let shelf = &app.room.shelf;
    let words = words();
    let all = match shelf.all(words.language()).await {
        Ok(all) => all,
        Err(error) => return failed(&error),
    };
    let in_room = shelf.in_room();
    // One that cannot be read is nobody's.
    let at_home = shelf.home_plan(words.language()).await.ok().map(|home| home.plan.name);
    let row = |shelved: Shelved| {
        let is_at_home = at_home.as_ref() == Some(&shelved.name);
        Row { is_at_home, ..Row::of(shelved, in_room.as_ref()) }
    };
    let (built_in, own) = all.into_iter().map(row).partition(|row: &Row| row.is_built_in);
    let said = if status == StatusCode::OK { words.phrase(&shelf.take_said()) } else { String::new() };
    let Wrong { trouble, complaints } = wrong;
    let page = PlansPage {
        words,
        here: "plans",
        section: app.section(),
        own,
        built_in,
        may_delete: role == Role::Conductor,
        may_try: app.room.handle.n_present() == 0,
        said,
        trouble,
        complaints,
        typed,
    };
    pages::render(status, &page)
}

impl Row {
    fn of(shelved: Shelved, in_room: Option<&Plan>) -> Self {
        let words = words();
        let (is_built_in, in_room) = (shelved.is_built_in(), shelved.compared(in_room));
        let Shelved { name, title, plan, .. } = shelved;
        let row = Self {
            name,
            title,
            about: String::new(),
            takes: String::new(),
            exercises: Vec::new(),
            length: String::new(),
            whole_s: 0.0,
            is_built_in,
            in_room,
            is_at_home: false,
            complaints: Vec::new(),
        };
        match plan {
            Ok(plan) => {
                let parts = plan.exercises.iter().map(|e| e.part.clone().unwrap_or_default());
                let whole_s = plan::length(&plan).whole_s;
                let names = plan::compile(&plan).pieces.into_iter().map(name_of);
                Self {
                    exercises: parts.zip(names).collect(),
                    length: words.phrase(&plan::minutes(whole_s)),
                    whole_s: whole_s.round(),
                    about: plan.about,
                    takes: plan.takes,
                    ..row
                }
            }
            Err(bad) => Self { complaints: complaints(&bad), ..row },
        }
    }
}

/// What the room calls it.
fn name_of(piece: Piece) -> String {
    let Piece { brief, spans, .. } = piece;
    let name =
        if brief.name.is_empty() { spans.first().map(Span::title).unwrap_or_default() } else { brief.name };
    words().phrase(&name)
}
