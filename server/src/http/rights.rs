//! What a request may do, as something a handler asks for among its arguments: a route without it is open to all.

use super::{App, pages, protection};
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

/// The request is the conductor's. One that changes something must come from one of our own pages as well.
#[derive(Debug, Clone, Copy)]
pub(super) struct Conducting;

impl FromRequestParts<App> for Conducting {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Response> {
        let is_ours = protection::same_origin(&parts.headers)
            && (parts.method.is_safe() || parts.headers.contains_key(header::ORIGIN));
        if !is_ours {
            return Err((StatusCode::FORBIDDEN, "this page belongs to another address\n").into_response());
        }
        if protection::has_key_cookie(app, &parts.headers) { Ok(Self) } else { Err(pages::conductor_only()) }
    }
}
