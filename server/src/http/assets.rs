//! Static files, embedded in a release binary and read from the source tree by a debug one.

use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;
use std::fmt::Write;

#[derive(RustEmbed)]
#[folder = "../web/static"]
#[exclude = "*.test.mjs"]
#[exclude = ".*"]
struct Assets;

pub(super) async fn serve(Path(path): Path<String>, headers: HeaderMap) -> Response {
    let Some((file, kind)) = Assets::get(&path).zip(content_type(&path)) else {
        return (StatusCode::NOT_FOUND, "no such file\n").into_response();
    };
    let mut etag = String::with_capacity(66);
    etag.push('"');
    for byte in file.metadata.sha256_hash() {
        write!(etag, "{byte:02x}").expect("writing to a string cannot fail");
    }
    etag.push('"');
    // "no-cache" lets a browser keep the file but makes it ask each time: a page never runs with a module of another
    // version, and over a room's Wi-Fi an unchanged file costs one small answer.
    let caching = [(header::ETAG, etag.clone()), (header::CACHE_CONTROL, "no-cache".to_owned())];
    let known = headers.get(header::IF_NONE_MATCH).and_then(|v| v.to_str().ok()).unwrap_or_default();
    if known.split(',').any(|tag| tag.trim().trim_start_matches("W/") == etag) {
        return (StatusCode::NOT_MODIFIED, caching).into_response();
    }
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(kind))];
    (caching, kind, file.data).into_response()
}

/// Browsers ask for this by themselves; the pages name their own icon.
pub(super) async fn no_favicon() -> StatusCode {
    StatusCode::NO_CONTENT
}

/// Type by the end of the name; a file of any other kind is not served.
fn content_type(path: &str) -> Option<&'static str> {
    Some(match path.rsplit_once('.')?.1 {
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "wasm" => "application/wasm",
        "woff2" => "font/woff2",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "json" => "application/json",
        "txt" => "text/plain; charset=utf-8",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scripts_and_wasm_get_the_types_browsers_insist_on() {
        for (path, kind) in [
            ("listen.js", Some("text/javascript; charset=utf-8")),
            ("a/b.mjs", Some("text/javascript; charset=utf-8")),
            ("windrow.wasm", Some("application/wasm")),
            ("windrow.wasm.sources", None),
            ("fonts/B612-Regular.woff2", Some("font/woff2")),
            ("LICENCE", None),
        ] {
            assert_eq!(content_type(path), kind, "{path}");
        }
    }
}
