//! The conductor's page of keeping the records: whether they are whole, a backup to download, and how one comes back. It must
//! know no SQL.

use super::fresh::NO_STORE;
use super::language::words;
use super::rights::Owning;
use super::{App, pages};
use crate::clock::unix_ms;
use crate::roster::dates::in_full;
use crate::store::{Health, PassingBackup};
use crate::words::Words;
use askama::Template;
use axum::body::{Body, Bytes};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use futures_util::stream;
use tokio::fs::File;
use tokio::io::AsyncReadExt;

/// Read and sent at a time.
const PIECE_BYTES: usize = 256 * 1024;

#[derive(Debug, Template)]
#[template(path = "keep.html")]
struct KeepPage {
    /// In the reader's language.
    words: Words,
    here: &'static str,
    section: String,
    keep_days: i64,
    /// What the check has found, in words.
    checked: String,
    is_damaged: bool,
}

pub(super) async fn page(app: App, _: Owning) -> Response {
    let keep_days = match app.room.roster.keep_days().await {
        Ok((days, _)) => days,
        Err(error) => return super::roster::failed(&error),
    };
    let found = app.shared.upkeep.checked();
    let is_damaged = found.as_ref().is_some_and(|found| found.health != Health::Whole);
    let checked = match found {
        None => words().say("keep-checking"),
        Some(found) => {
            // To the minute, as a person reads it.
            let date = in_full(found.checked_unix_ms)[..16].replace('T', " ");
            let id = if is_damaged { "keep-damaged" } else { "keep-whole" };
            words().of(id).arg("date", date).to_string()
        }
    };
    let page =
        KeepPage { words: words(), here: "keep", section: app.section(), keep_days, checked, is_damaged };
    pages::render(StatusCode::OK, &page)
}

pub(super) async fn back_up(app: App, _: Owning) -> Response {
    let backup = match app.shared.upkeep.back_up().await {
        Ok(backup) => backup,
        Err(error) => {
            tracing::error!(%error, "a backup could not be made");
            let (title, text) = (words().say("keep-failed-title"), words().say("keep-failed"));
            return pages::message(StatusCode::INTERNAL_SERVER_ERROR, &title, text);
        }
    };
    let file = match File::open(backup.path()).await {
        Ok(file) => file,
        Err(error) => {
            tracing::error!(%error, "a backup that was made could not be read");
            let (title, text) = (words().say("keep-failed-title"), words().say("keep-failed"));
            return pages::message(StatusCode::INTERNAL_SERVER_ERROR, &title, text);
        }
    };
    // No sign in it that a system's file names cannot have.
    let date = in_full(unix_ms()).replace(':', "");
    let headers = [
        (header::CONTENT_TYPE, "application/vnd.sqlite3".to_owned()),
        (header::CONTENT_LENGTH, backup.bytes.to_string()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"windrow-backup-{date}.sqlite3\"")),
    ];
    ([NO_STORE], headers, Body::from_stream(pieces(file, backup))).into_response()
}

/// The file piece by piece; it goes once it is sent, or when whoever asked has gone.
fn pieces(file: File, backup: PassingBackup) -> impl stream::Stream<Item = std::io::Result<Bytes>> {
    stream::try_unfold((file, backup), |(mut file, backup)| async move {
        let mut piece = vec![0; PIECE_BYTES];
        let n = file.read(&mut piece).await?;
        piece.truncate(n);
        Ok((n > 0).then(|| (Bytes::from(piece), (file, backup))))
    })
}
