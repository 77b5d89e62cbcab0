//! The conductor's page of who belongs to the section: forms in, the page again out. It must know no SQL and no rule of
//! a room; what may be changed and why not is the roster's to say.

use super::fresh::NO_STORE;
use super::language::words;
use super::rights::{Conducting, Owning};
use super::{App, fresh, pages};
use crate::access::Role;
use crate::room::Whose;
use crate::roster::{Change, Listed, RosterError, Said, Step, bad_name, sheet};
use crate::store::PersonRow;
use crate::words::Words;
use askama::Template;
use axum::extract::Form;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::collections::BTreeMap;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Name;

const HERE: &str = "/conduct/roster";

/// What a form of the page may hold; which fields count depends on what is to be done.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default, rename = "do")]
    what: String,
    #[serde(default)]
    person_id: String,
    #[serde(default)]
    into: String,
    #[serde(default)]
    player_id: String,
    #[serde(default)]
    name: String,
    #[serde(default)]
    instrument: String,
    #[serde(default)]
    part: String,
    #[serde(default)]
    section: String,
    #[serde(default)]
    days: String,
    #[serde(default)]
    csv: String,
    #[serde(default)]
    sure: String,
}

/// One line of the list.
#[derive(Debug)]
pub(super) struct Row {
    person_id: String,
    chair: usize,
    name: String,
    /// Slug.
    instrument: String,
    /// As typed.
    part: String,
    /// As the room shows it.
    shown_part: String,
    is_in: bool,
    is_first: bool,
    is_last: bool,
    /// What is stored, in words.
    recorded: String,
    n_devices: i64,
    n_unconfirmed: i64,
}

/// Somebody in the room who is not in the list.
#[derive(Debug)]
pub(super) struct Guest {
    player_id: String,
    name: String,
    part: String,
    is_in: bool,
    /// Who of the list has the same name; empty for nobody.
    likely: String,
}

#[derive(Debug, Template)]
#[template(path = "roster.html")]
struct RosterPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    section: String,
    sections: Vec<(String, i64)>,
    rows: Vec<Row>,
    removed: Vec<(String, String)>,
    guests: Vec<Guest>,
    /// Slug and label.
    instruments: Vec<(&'static str, String)>,
    n_in: usize,
    n_expected: usize,
    /// What was done; empty for nothing.
    said: String,
    /// Whom to put back, where that is offered.
    undo: Option<String>,
    /// Whether erasing is offered.
    may_erase: bool,
    /// What could not be done.
    trouble: String,
    /// What was typed, where it was refused.
    typed: Asked,
    keep_days: i64,
    is_kept_by_option: bool,
}

/// One line of a file, as it would be imported.
#[derive(Debug)]
pub(super) struct PreviewRow {
    line: u64,
    section: String,
    name: String,
    instrument: String,
    part: String,
    is_known: bool,
}

#[derive(Debug, Template)]
#[template(path = "roster-import.html")]
struct ImportPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    rows: Vec<PreviewRow>,
    errors: Vec<String>,
    /// As a list in words; empty for none.
    ignored: String,
    n_new: usize,
    n_known: usize,
    csv: String,
}

#[derive(Debug, Template)]
#[template(path = "roster-erase.html")]
struct ErasePage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    person_id: String,
    name: String,
    /// How many there are, in words.
    sessions: String,
}

pub(super) async fn show(Conducting { who }: Conducting, app: App) -> Response {
    page(&app, StatusCode::OK, who.role, String::new(), Asked::default()).await
}

pub(super) async fn change(Conducting { who }: Conducting, app: App, Form(asked): Form<Asked>) -> Response {
    // How long records are kept decides what is erased.
    if asked.what == "keep" && who.role != Role::Conductor {
        return pages::not_for_assistants();
    }
    let undo = (asked.what == "remove").then(|| asked.person_id.clone());
    let done = match asked.change() {
        Ok(change) => app.shared.rooms.change_list(&app.room, change).await,
        Err(why) => Err(RosterError::Cannot(why)),
    };
    match done {
        Ok(text) => back(&app, Said { text, undo }),
        Err(error) => refused(&app, &error, who.role, asked).await,
    }
}

pub(super) async fn import(Conducting { who }: Conducting, app: App, Form(asked): Form<Asked>) -> Response {
    let bytes = asked.csv.as_bytes();
    if asked.sure == "yes" {
        return match app.room.roster.import(bytes).await {
            Ok(done) => {
                let text = Phrase::of("roster-did-import").with("new", done.n_added.to_string());
                let text = text.with("known", done.n_updated.to_string());
                back(&app, Said { text, undo: None })
            }
            Err(error) => refused(&app, &error, who.role, asked).await,
        };
    }
    match app.room.roster.preview(bytes).await {
        Ok(preview) => {
            let rows: Vec<PreviewRow> = preview
                .sheet
                .rows
                .into_iter()
                .zip(preview.is_known)
                .map(|(row, is_known)| PreviewRow {
                    line: row.line,
                    section: row.section.to_string(),
                    name: row.name.to_string(),
                    instrument: words().instrument(row.instrument),
                    part: row.part,
                    is_known,
                })
                .collect();
            let n_known = rows.iter().filter(|row| row.is_known).count();
            let page = ImportPage {
                words: words(),
                here: "roster",
                n_new: rows.len() - n_known,
                n_known,
                rows,
                errors: preview.sheet.errors.iter().map(|error| words().phrase(error)).collect(),
                ignored: preview.sheet.ignored.iter().map(quoted).collect::<Vec<_>>().join(", "),
                csv: asked.csv,
            };
            pages::render(StatusCode::OK, &page)
        }
        Err(error) => refused(&app, &error, who.role, asked).await,
    }
}

/// All sections as a file.
pub(super) async fn export(_: Conducting, app: App) -> Response {
    match app.room.roster.exported().await {
        Ok(text) => {
            let headers = [
                (header::CONTENT_TYPE, "text/csv; charset=utf-8; header=present"),
                (header::CONTENT_DISPOSITION, "attachment; filename=\"windrow-roster.csv\""),
                NO_STORE,
            ];
            // The mark at the beginning tells spreadsheets that it is UTF-8.
            (headers, format!("\u{feff}{text}")).into_response()
        }
        Err(error) => failed(&error.into()),
    }
}

/// Asks once more, then erases.
pub(super) async fn erase(Owning { who }: Owning, app: App, Form(asked): Form<Asked>) -> Response {
    let listed = match app.room.roster.listed().await {
        Ok(listed) => listed,
        Err(error) => return failed(&error),
    };
    let Some(person) = listed.people.into_iter().find(|p| p.person_id == asked.person_id) else {
        let error = RosterError::Cannot(Phrase::of("roster-cannot-not-here"));
        return refused(&app, &error, who.role, asked).await;
    };
    if asked.sure != "yes" {
        let PersonRow { person_id, name, n_sessions, .. } = person;
        return pages::render(
            StatusCode::OK,
            &ErasePage { words: words(), here: "roster", person_id, name, sessions: sessions(n_sessions) },
        );
    }
    let whose = Whose::Person { person_id: person.person_id, token: None };
    match app.shared.rooms.erase(&app.room, whose, false).await {
        Ok(()) => {
            let text = Phrase::of("roster-did-erase").with("name", person.name);
            back(&app, Said { text, undo: None })
        }
        Err(error) => refused(&app, &error, who.role, asked).await,
    }
}

/// Every chair of the room, taken or not.
pub(super) async fn seats(_: Conducting, app: App) -> Response {
    match app.room.roster.seats().await {
        Ok(seats) => fresh::json(seats),
        Err(error) => failed(&error),
    }
}

/// To the page again, which says it once: a reload then repeats nothing.
fn back(app: &App, said: Said) -> Response {
    app.room.roster.say(said);
    Redirect::to(HERE).into_response()
}

async fn refused(app: &App, error: &RosterError, role: Role, typed: Asked) -> Response {
    match error {
        RosterError::Cannot(text) => {
            let trouble = sentence(&words().phrase(text));
            page(app, StatusCode::UNPROCESSABLE_ENTITY, role, trouble, typed).await
        }
        _ => failed(error),
    }
}

pub(super) fn failed(error: &RosterError) -> Response {
    error.log();
    let text = format!("{}.", sentence(&words().phrase(&error.phrase())));
    pages::message(StatusCode::SERVICE_UNAVAILABLE, &words().say("message-failed-title"), text)
}

fn sessions(n: i64) -> String {
    words().of("roster-sessions").arg("n", n).to_string()
}

/// What is stored of a person, in words.
fn recorded(person: &PersonRow) -> String {
    let devices = words().of("roster-devices").arg("n", person.n_devices).to_string();
    let sessions = sessions(person.n_sessions);
    if person.n_unconfirmed == 0 {
        return words().of("roster-recorded").arg("sessions", sessions).arg("devices", devices).to_string();
    }
    let said = words().of("roster-recorded-unconfirmed").arg("sessions", sessions).arg("devices", devices);
    said.arg("n", person.n_unconfirmed).arg("name", &person.name).to_string()
}

fn quoted(text: &String) -> String {
    words().of("import-quoted").arg("text", text).to_string()
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

async fn page(app: &App, status: StatusCode, role: Role, trouble: String, typed: Asked) -> Response {
    let roster = &app.room.roster;
    let (listed, (keep_days, is_kept_by_option)) = match (roster.listed().await, roster.keep_days().await) {
        (Ok(listed), Ok(keep)) => (listed, keep),
        (Err(error), _) | (_, Err(error)) => return failed(&error),
    };
    let said = if trouble.is_empty() { roster.take_said() } else { Said::default() };
    let Listed { section, sections, people, seats } = listed;
    let by_person: BTreeMap<&str, _> =
        seats.iter().filter_map(|s| Some((s.person_id.as_deref()?, s))).collect();
    let (removed, people): (Vec<_>, Vec<_>) = people.into_iter().partition(|p| p.is_removed);
    let n = people.len();
    let rows: Vec<Row> = people
        .into_iter()
        .enumerate()
        .map(|(i, p)| {
            let seat = by_person.get(p.person_id.as_str());
            Row {
                chair: i + 1,
                shown_part: seat.map_or_else(String::new, |s| words().part(&s.part, s.instrument)),
                is_in: seat.is_some_and(|s| s.is_in),
                is_first: i == 0,
                is_last: i + 1 == n,
                recorded: recorded(&p),
                person_id: p.person_id,
                name: p.name,
                instrument: p.instrument,
                part: p.part,
                n_devices: p.n_devices,
                n_unconfirmed: p.n_unconfirmed,
            }
        })
        .collect();
    let guests: Vec<Guest> = seats
        .iter()
        .filter(|s| s.person_id.is_none())
        .filter_map(|s| {
            let player_id = s.player_id.clone()?;
            let (name, part, is_in) = (s.name.to_string(), words().part(&s.part, s.instrument), s.is_in);
            // The room may have given the name a number.
            let bare = name.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end().to_lowercase();
            let same = |row: &&Row| row.name.to_lowercase() == bare;
            let likely = rows.iter().find(same).map_or_else(String::new, |row| row.person_id.clone());
            Some(Guest { player_id, name, part, is_in, likely })
        })
        .collect();
    let page = RosterPage {
        words: words(),
        here: "roster",
        section: section.to_string(),
        sections,
        n_in: seats.iter().filter(|s| s.is_in).count(),
        n_expected: rows.len() + guests.iter().filter(|g| g.is_in).count(),
        rows,
        removed: removed.into_iter().map(|p| (p.person_id, p.name)).collect(),
        guests,
        instruments: super::instruments(),
        said: words().phrase(&said.text),
        undo: said.undo,
        may_erase: role == Role::Conductor,
        trouble,
        typed,
        keep_days,
        is_kept_by_option,
    };
    pages::render(status, &page)
}

impl Asked {
    /// What the form wants.
    fn change(&self) -> Result<Change, Phrase> {
        let person_id = self.person_id.clone();
        Ok(match self.what.as_str() {
            "add" => {
                let (name, instrument, part) = self.fields()?;
                Change::Add { name, instrument, part }
            }
            "edit" => {
                let (name, instrument, part) = self.fields()?;
                Change::Edit { person_id, name, instrument, part }
            }
            "up" => Change::Move { person_id, by: Step::Up },
            "down" => Change::Move { person_id, by: Step::Down },
            "remove" => Change::Remove { person_id },
            "restore" => Change::Restore { person_id },
            "merge" => Change::Merge { from: person_id, into: self.into.clone() },
            "seat" => Change::Seat { player_id: self.player_id.clone(), person_id },
            "send-out" => Change::SendOut { player_id: self.player_id.clone() },
            "adopt" => Change::Adopt { player_id: self.player_id.clone() },
            "confirm" => Change::Confirm { person_id },
            "forget" => Change::ForgetDevices { person_id },
            "choose" => {
                let section = Name::new(&self.section).map_err(bad_name)?;
                Change::Choose { section }
            }
            "keep" => {
                let days = self.days.trim().parse();
                let no_number = || Phrase::of("roster-cannot-no-number").with("text", &*self.days);
                let days = days.map_err(|_| no_number())?;
                Change::Keep { days }
            }
            _ => return Err(Phrase::of("roster-cannot-unknown")),
        })
    }

    fn fields(&self) -> Result<(Name, Instrument, String), Phrase> {
        let name = Name::new(&self.name).map_err(bad_name)?;
        Ok((name, sheet::instrument_named(&self.instrument)?, sheet::part_text(&self.part)?))
    }

    /// Whether this was typed into a person's line.
    fn is_edit_of(&self, person_id: &str) -> bool {
        self.what == "edit" && self.person_id == person_id
    }
}
