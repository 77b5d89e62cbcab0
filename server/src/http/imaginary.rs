//! Letting the imaginary section come and go. Forms in, the conductor's page out. It must know nothing of what that section
//! plays.

use super::language::words;
use super::rights::Conducting;
use super::{App, pages, plans};
use crate::imaginary::Unwelcome;
use axum::extract::{Form, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// What a form holds.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    #[serde(rename = "do")]
    what: String,
    /// Short name of the plan to play from; empty for what the room plays from anyway.
    #[serde(default)]
    plan: String,
}

pub(super) async fn act(_: Conducting, State(app): State<App>, Form(asked): Form<Asked>) -> Response {
    let (imaginary, shelf) = (&app.shared.imaginary, &app.shared.shelf);
    match asked.what.as_str() {
        "leave" => imaginary.leave().await,
        "come" => {
            if !asked.plan.is_empty() {
                // With a plan they begin anew, so that nothing is playing when it is taken.
                imaginary.leave().await;
                if let Err(error) = shelf.take(&asked.plan).await {
                    return plans::failed(&error);
                }
            }
            if let Err(unwelcome) = imaginary.come(shelf).await {
                return turned_away(unwelcome);
            }
        }
        _ => return pages::malformed(),
    }
    Redirect::to("/conduct").into_response()
}

fn turned_away(unwelcome: Unwelcome) -> Response {
    let words = words();
    match unwelcome {
        Unwelcome::Players => {
            pages::message(StatusCode::CONFLICT, &words.say("try-taken-title"), words.say("try-taken"))
        }
        Unwelcome::Ended => {
            let title = words.say("try-ended-title");
            pages::message(StatusCode::SERVICE_UNAVAILABLE, &title, words.say("try-ended"))
        }
    }
}
