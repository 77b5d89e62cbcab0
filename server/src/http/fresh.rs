//! Answers that no cache may keep: what is true now, or belongs to one person.

use axum::Json;
use axum::http::{HeaderName, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

/// RFC 9111, section 5.2.2.5.
pub(super) const NO_STORE: (HeaderName, &str) = (header::CACHE_CONTROL, "no-store");

pub(super) fn json(value: impl Serialize) -> Response {
    ([NO_STORE], Json(value)).into_response()
}
