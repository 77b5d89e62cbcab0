//! One place for the name a request was made to. HTTP/2 has it in the address, HTTP/1.1 in a header, and everything here reads
//! the header. It must know nothing of what is asked for.

use axum::extract::Request;
use axum::http::{HeaderValue, Version, header};
use axum::middleware::Next;
use axum::response::Response;

/// Stands before everything. What a request of HTTP/2 brings as `Host` besides is not believed (RFC 9113, section 8.3.1: it
/// must be the same).
pub(super) async fn as_header(mut request: Request, next: Next) -> Response {
    if request.version() == Version::HTTP_2
        && let Some(authority) = request.uri().authority()
        && let Ok(host) = HeaderValue::from_str(authority.as_str())
    {
        request.headers_mut().insert(header::HOST, host);
    }
    next.run(request).await
}
