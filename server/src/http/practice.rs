//! Where a device hands in what its player practised alone. It shows its token in a header, as for what is stored about its player; nobody
//! else's pages can send that header. It must know no rule of a practice.

use super::App;
use super::admission;
use super::fresh::{NO_STORE, json};
use super::language::words;
use super::mine::DeviceToken;
use super::peer::Peer;
use crate::access::Guess;
use crate::practice::{self, MAX_BYTES, NotTaken};
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::Request;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use std::time::Instant;
use tokio::sync::{Mutex, Semaphore};
use windrow_protocol::phrase::Phrase;

/// One at a time: reading one takes several times its size in memory, and at a rehearsal's beginning all devices hand theirs in.
static TURN: Mutex<()> = Mutex::const_new(());
/// Practices that are on their way in at the same time; others wait outside of memory. Eight of the largest are 64 MiB; our own choice.
static ON_THE_WAY: Semaphore = Semaphore::const_new(8);

/// Takes a practice; `taken` is false where it was there already.
pub(super) async fn carry_in(
    app: App,
    peer: Peer,
    DeviceToken(token): DeviceToken,
    request: Request,
) -> Response {
    let attempt = match app.shared.access.guesses().try_once(Guess::Link, peer.ip, Instant::now()) {
        Ok(attempt) => attempt,
        Err(wait) => {
            let text = format!("{}\n", words().of("message-wait-devices").arg("s", wait.seconds));
            return admission::with_retry_after(said(StatusCode::TOO_MANY_REQUESTS, text), wait);
        }
    };
    let store = app.room.roster.store();
    let owner = match practice::owner(store, &token).await {
        Ok(owner) => owner,
        Err(error) => return refused(&error),
    };
    attempt.was_right();
    let _place = ON_THE_WAY.acquire().await;
    let body: Body = request.into_body();
    let Ok(bytes) = to_bytes(body, MAX_BYTES).await else {
        let text = Phrase::of("carried-too-big").with("most", MAX_BYTES / (1024 * 1024));
        return said_phrase(StatusCode::PAYLOAD_TOO_LARGE, &text);
    };
    let _turn = TURN.lock().await;
    let practice = match read(bytes).await {
        Ok(practice) => practice,
        Err(text) => return refused(&NotTaken::Cannot(text)),
    };
    match practice::take(store, &owner, practice, app.room.roster.section().as_str()).await {
        Ok(taken) => json(serde_json::json!({ "taken": taken })),
        Err(error) => refused(&error),
    }
}

/// Off the threads that serve: megabytes of text.
async fn read(bytes: Bytes) -> Result<practice::Practice, Phrase> {
    let reading = tokio::task::spawn_blocking(move || practice::read(&bytes));
    reading.await.unwrap_or_else(|_| Err(Phrase::of("carried-failed")))
}

fn refused(error: &NotTaken) -> Response {
    match error {
        // Who shows no token at all is answered 404, as by everything that is about a device.
        NotTaken::Strange => said_phrase(StatusCode::FORBIDDEN, &Phrase::of("carried-strange")),
        NotTaken::Cannot(text) => said_phrase(StatusCode::UNPROCESSABLE_ENTITY, text),
        NotTaken::Store(error) => {
            tracing::error!(%error, "a practice could not be written down");
            said_phrase(StatusCode::SERVICE_UNAVAILABLE, &Phrase::of("carried-failed"))
        }
    }
}

fn said_phrase(status: StatusCode, text: &Phrase) -> Response {
    said(status, format!("{}\n", words().phrase(text)))
}

fn said(status: StatusCode, text: String) -> Response {
    (status, [NO_STORE], text).into_response()
}
