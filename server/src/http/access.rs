//! The conductor's page of who may do what: join code, assistants, sign-ins, passphrase. It must know nothing of how secrets
//! are kept and no rule of the door.

use super::admission::with_retry_after;
use super::language::words;
use super::peer::Peer;
use super::rights::{Conducting, Owning, PrivateLine, Who};
use super::{App, cookie, fresh, pages, sign_in};
use crate::access::{self, DoorView, Guess, LinkKind, MIN_SIGNS, Role, SignIn};
use crate::clock::unix_ms;
use crate::reach::for_page;
use crate::store::StoreError;
use crate::words::Words;
use askama::Template;
use axum::Form;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};
use std::time::Instant;
use windrow_protocol::messages::DoorState;

/// Choices of how long a code lasts; all within the door's range.
const LASTS_MIN: [i64; 7] = [15, 30, 60, 120, 180, 360, 720];

#[derive(Debug, Template)]
#[template(path = "access.html")]
struct AccessPage {
    /// In the reader's language.
    words: Words,
    /// Which of the conductor's pages this is.
    here: &'static str,
    section: String,
    is_conductor: bool,
    code: String,
    join_url: String,
    is_open: bool,
    door_words: String,
    lasts: [(i64, String); 7],
    lasts_min: i64,
    assistants: Vec<Assistant>,
    /// How long each that waits has left.
    invitations: Vec<String>,
    signed_in_words: String,
    min_signs: usize,
    /// The link of an invitation that was just made; empty otherwise.
    invitation: String,
    /// The same as a picture.
    invitation_pattern: String,
    trouble: String,
    current_is_wrong: bool,
    new_is_wrong: bool,
}

#[derive(Debug)]
struct Assistant {
    id: i64,
    name: String,
    used: String,
}

/// The door, for scripts.
#[derive(Debug, Serialize)]
struct DoorNow {
    code: String,
    join_url: String,
    state: DoorState,
    /// Until it closes by itself; null where it is closed.
    seconds_left: Option<i64>,
}

/// What is asked of the page besides the usual.
#[derive(Debug, Default)]
struct Extra {
    invitation: String,
    trouble: String,
    current_is_wrong: bool,
    new_is_wrong: bool,
}

#[derive(Debug, Deserialize)]
pub(super) struct CodeForm {
    what: String,
    lasts_min: Option<i64>,
}

#[derive(Debug, Deserialize)]
pub(super) struct EndForm {
    id: i64,
}

#[derive(Debug, Deserialize)]
pub(super) struct PassphraseForm {
    current: String,
    new: String,
    again: String,
}

pub(super) async fn show(app: App, Conducting { who }: Conducting) -> Response {
    page(&app, &who, StatusCode::OK, Extra::default()).await
}

pub(super) async fn door_now(app: App, _: Conducting) -> Response {
    let door = look(&app);
    let now = DoorNow {
        join_url: app.join_url(),
        code: door.code,
        state: door.state,
        seconds_left: door.ms_left.map(|ms| ms / 1000),
    };
    fresh::json(now)
}

pub(super) async fn change_code(app: App, _: Owning, Form(form): Form<CodeForm>) -> Response {
    look(&app);
    let (now_ms, new_code) = (unix_ms(), app.shared.rooms.fresh_code());
    match (form.what.as_str(), form.lasts_min) {
        ("close", _) => app.room.door().close(),
        ("open", _) => app.room.door().open(new_code, now_ms),
        ("change", _) => app.room.door().change(new_code, now_ms),
        ("prolong", _) => app.room.door().prolong(now_ms),
        ("lasts", Some(lasts_min)) => {
            if let Err(error) = app.shared.access.set_code_lasts(lasts_min).await {
                return pages::unreadable(&error.into());
            }
            app.shared.rooms.set_code_lasts(lasts_min);
        }
        _ => return pages::malformed(),
    }
    app.room.show_door().await;
    if let Err(error) = app.room.note_door(now_ms).await {
        return pages::unreadable(&error.into());
    }
    back()
}

pub(super) async fn invite(app: App, Owning { who }: Owning) -> Response {
    match app.shared.access.new_link(LinkKind::Assistant, unix_ms()).await {
        Ok(token) => {
            let invitation = format!("{}/invitation/{token}", app.shared.devices_at());
            page(&app, &who, StatusCode::OK, Extra { invitation, ..Extra::default() }).await
        }
        Err(error) => pages::unreadable(&error.into()),
    }
}

pub(super) async fn withdraw(app: App, _: Owning) -> Response {
    done(app.shared.access.withdraw_invitations().await)
}

pub(super) async fn end(app: App, _: Owning, Form(form): Form<EndForm>) -> Response {
    done(app.shared.access.end_sign_in(form.id).await)
}

pub(super) async fn sign_out_everywhere(app: App, _: Owning) -> Response {
    match app.shared.access.end_sign_ins().await {
        Ok(()) => ([(header::SET_COOKIE, cookie::take_back(&app))], Redirect::to("/sign-in")).into_response(),
        Err(error) => pages::unreadable(&error.into()),
    }
}

/// Asks for the present passphrase although somebody is signed in: the laptop may stand open (OWASP Authentication Cheat
/// Sheet, "Require Re-authentication for Sensitive Features", from memory).
pub(super) async fn change_passphrase(
    app: App,
    Owning { who }: Owning,
    _: PrivateLine,
    peer: Peer,
    headers: HeaderMap,
    Form(form): Form<PassphraseForm>,
) -> Response {
    let access = &app.shared.access;
    let attempt = match access.guesses().try_once(Guess::Passphrase, peer.ip, Instant::now()) {
        Ok(attempt) => attempt,
        Err(wait) => {
            let trouble = words().of("sign-in-too-many").arg("s", wait.seconds).to_string();
            let extra = Extra { trouble, current_is_wrong: true, ..Extra::default() };
            return with_retry_after(page(&app, &who, StatusCode::TOO_MANY_REQUESTS, extra).await, wait);
        }
    };
    match access.is_passphrase(form.current).await {
        Ok(true) => attempt.was_right(),
        Ok(false) => {
            let trouble = words().say("access-passphrase-wrong");
            let extra = Extra { trouble, current_is_wrong: true, ..Extra::default() };
            return page(&app, &who, StatusCode::FORBIDDEN, extra).await;
        }
        Err(error) => return pages::unreadable(&error),
    }
    if let Err(unfit) = access::check(&form.new, &form.again, &app.section(), &app.room.code()) {
        let trouble = words().phrase(&unfit.phrase());
        let extra = Extra { trouble, new_is_wrong: true, ..Extra::default() };
        return page(&app, &who, StatusCode::UNPROCESSABLE_ENTITY, extra).await;
    }
    match access.set_passphrase(form.new, None, unix_ms()).await {
        Ok(_) => sign_in::go_in(&app, &headers, Role::Conductor, "", "/conduct/access").await,
        Err(error) => pages::unreadable(&error),
    }
}

fn look(app: &App) -> DoorView {
    app.room.look_at_door();
    app.room.door().view(unix_ms())
}

fn back() -> Response {
    Redirect::to("/conduct/access").into_response()
}

fn done(outcome: Result<(), StoreError>) -> Response {
    outcome.map_or_else(|error| pages::unreadable(&error.into()), |()| back())
}

async fn page(app: &App, who: &Who, status: StatusCode, extra: Extra) -> Response {
    let now_ms = unix_ms();
    let (sign_ins, invitations) = match everybody(app, now_ms).await {
        Ok(everybody) => everybody,
        Err(error) => return pages::unreadable(&error.into()),
    };
    let door = look(app);
    let (assistants, conductors): (Vec<&SignIn>, Vec<&SignIn>) =
        sign_ins.iter().partition(|sign_in| sign_in.role == Role::Assistant);
    let n_others = conductors.iter().filter(|sign_in| Some(sign_in.id) != who.sign_in_id).count();
    let assistant = |sign_in: &&SignIn| Assistant {
        id: sign_in.id,
        name: sign_in.name.clone(),
        used: used_words(now_ms - sign_in.used_ms),
    };
    let page = AccessPage {
        words: words(),
        here: "access",
        section: app.section(),
        is_conductor: who.role == Role::Conductor,
        join_url: app.join_url(),
        is_open: door.state == DoorState::Open,
        door_words: door_words(&door, app.room.handle.n_present()),
        lasts: LASTS_MIN
            .map(|min| (min, words().of("access-lasts").arg("min", min).arg("hours", min / 60).to_string())),
        lasts_min: door.lasts_min,
        code: door.code,
        assistants: assistants.iter().map(assistant).collect(),
        invitations: invitations.iter().map(|ends_ms| span_words(ends_ms - now_ms)).collect(),
        signed_in_words: signed_in_words(who, n_others),
        min_signs: MIN_SIGNS,
        invitation_pattern: pattern(&extra.invitation),
        invitation: extra.invitation,
        trouble: extra.trouble,
        current_is_wrong: extra.current_is_wrong,
        new_is_wrong: extra.new_is_wrong,
    };
    pages::render(status, &page)
}

async fn everybody(app: &App, now_ms: i64) -> Result<(Vec<SignIn>, Vec<i64>), StoreError> {
    Ok((app.shared.access.sign_ins(now_ms).await?, app.shared.access.invitations(now_ms).await?))
}

/// A link for a camera; nothing where there is no link.
fn pattern(link: &str) -> String {
    Some(link).filter(|link| !link.is_empty()).and_then(|link| for_page(link).ok()).unwrap_or_default()
}

fn door_words(door: &DoorView, n_connected: usize) -> String {
    match (door.state, door.ms_left) {
        (DoorState::Closed, _) => words().say("access-door-closed"),
        (DoorState::TimedOut, _) | (DoorState::Open, None) => words().say("access-door-timed-out"),
        (DoorState::Open, Some(_)) if n_connected > 0 => {
            let span = span_words(door.lasts_min * MS_PER_MIN);
            words().of("access-door-open-used").arg("span", span).to_string()
        }
        (DoorState::Open, Some(ms_left)) => {
            words().of("access-door-open-empty").arg("span", span_words(ms_left)).to_string()
        }
    }
}

fn signed_in_words(who: &Who, n_others: usize) -> String {
    match who.role {
        Role::Assistant => words().of("access-signed-in-assistant").arg("name", &who.name).to_string(),
        Role::Conductor => words().of("access-signed-in").arg("n", n_others).to_string(),
    }
}

const MS_PER_MIN: i64 = 60_000;

fn used_words(ago_ms: i64) -> String {
    if ago_ms < 2 * MS_PER_MIN {
        return words().say("access-used-now");
    }
    words().of("access-used-ago").arg("span", span_words(ago_ms)).to_string()
}

/// A span in words, rounded to what a person needs.
fn span_words(ms: i64) -> String {
    let minutes = (ms.max(0) + MS_PER_MIN / 2) / MS_PER_MIN;
    match (minutes / 60, minutes % 60) {
        (0, 0) => words().say("span-moment"),
        (0, min) => words().of("span-minutes").arg("n", min).to_string(),
        (hours, 0) => words().of("span-hours").arg("n", hours).to_string(),
        (hours, min) => words().of("span-hours-minutes").arg("hours", hours).arg("min", min).to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::access::CODE_LASTS_RANGE_MIN;

    #[test]
    fn spans_are_said_as_people_say_them() {
        for (seconds, words) in [
            (0, "less than a minute"),
            (29, "less than a minute"),
            (60, "a minute"),
            (44 * 60, "44 minutes"),
            (3600, "an hour"),
            (9600, "2 h 40 min"),
            (3 * 3600 - 10, "3 hours"),
        ] {
            assert_eq!(span_words(seconds * 1000), words, "{seconds}");
        }
    }

    #[test]
    fn every_choice_is_one_the_door_takes() {
        assert!(LASTS_MIN.iter().all(|min| CODE_LASTS_RANGE_MIN.contains(min)));
    }
}
