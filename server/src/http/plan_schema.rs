//! The published schema of a plan's file, for editors and other programs. It holds nothing of a section, so everybody may have it.

use crate::plan::SCHEMA;
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// JSON Schema; changes only with the program.
pub(super) async fn serve() -> Response {
    let kind = (header::CONTENT_TYPE, "application/schema+json");
    ([kind, (header::CACHE_CONTROL, "no-cache")], SCHEMA).into_response()
}
