//! One place for the name a request was made to, and what is refused because two programs on the way could read it in two ways.
//! HTTP/2 has the name in the address, HTTP/1.1 as a rule in a header, and everything here reads the header. It must know
//! nothing of what is asked for.

use axum::extract::Request;
use axum::http::header::{CONNECTION, HOST, TRANSFER_ENCODING};
use axum::http::{HeaderMap, HeaderValue, StatusCode, Version};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Stands before everything. A name in the address is believed, and what the header says besides is not (RFC 9113, section
/// 8.3.1; RFC 9112, section 3.2.2).
pub(super) async fn as_header(mut request: Request, next: Next) -> Response {
    let is_older = request.version() < Version::HTTP_2;
    if is_older && !names_one_host(request.version(), request.headers()) {
        return (StatusCode::BAD_REQUEST, "a request names one host\n").into_response();
    }
    if let Some(authority) = request.uri().authority()
        && let Ok(host) = HeaderValue::from_str(authority.as_str())
    {
        request.headers_mut().insert(HOST, host);
    }
    // Where a proxy before this server goes by another length than hyper, which goes by the pieces, what follows on the
    // connection would be another's request (RFC 9112, section 6.1): so nothing follows. No page of ours sends pieces.
    let is_in_pieces = is_older && request.headers().contains_key(TRANSFER_ENCODING);
    let mut response = next.run(request).await;
    if is_in_pieces {
        response.headers_mut().insert(CONNECTION, HeaderValue::from_static("close"));
    }
    response
}

/// RFC 9112, section 3.2: exactly one line says it; before HTTP/1.1 there may be none.
fn names_one_host(version: Version, headers: &HeaderMap) -> bool {
    let n_lines = headers.get_all(HOST).iter().count();
    n_lines == 1 || (n_lines == 0 && version < Version::HTTP_11)
}
