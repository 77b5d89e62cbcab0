//! Letting the imaginary section come and go. Forms in, the conductor's page out. It must know nothing of what that section
//! plays.

use super::language::words;
use super::pages::Onward;
use super::rights::Conducting;
use super::{App, pages, plans};
use crate::imaginary::Unwelcome;
use axum::extract::Form;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// What a form holds.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    #[serde(default, rename = "do")]
    what: String,
    /// Short name of a plan that they are to come and play.
    #[serde(default)]
    plan: String,
}

pub(super) async fn act(_: Conducting, app: App, Form(asked): Form<Asked>) -> Response {
    let (imaginary, shelf) = (&app.room.imaginary, &app.room.shelf);
    let may_come = match (asked.what.as_str(), asked.plan.as_str()) {
        ("leave", "") => {
            imaginary.leave().await;
            Ok(())
        }
        ("come", "") => imaginary.come(shelf).await,
        ("", plan) if !plan.is_empty() => match shelf.lesson(plan, words().language()).await {
            Ok(lesson) => imaginary.play(lesson).await,
            Err(error) => return plans::failed(&error),
        },
        _ => return pages::malformed(),
    };
    match may_come {
        Ok(()) => Redirect::to("/conduct").into_response(),
        Err(unwelcome) => turned_away(unwelcome),
    }
}

fn turned_away(unwelcome: Unwelcome) -> Response {
    let words = words();
    match unwelcome {
        Unwelcome::Players => {
            let (title, text) = (words.say("try-taken-title"), words.say("try-taken"));
            pages::message_leading(StatusCode::CONFLICT, &title, text, Onward::Rehearsal)
        }
        Unwelcome::Ended => {
            let title = words.say("try-ended-title");
            pages::message(StatusCode::SERVICE_UNAVAILABLE, &title, words.say("try-ended"))
        }
    }
}
