//! Static files, embedded in a release binary and read from the source tree by a debug one.

use super::zipped;
use crate::hex::hex;
use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;

#[derive(RustEmbed)]
#[folder = "../web/static"]
#[exclude = "*.test.mjs"]
#[exclude = ".*"]
struct Assets;

pub(super) async fn serve(Path(path): Path<String>, headers: HeaderMap) -> Response {
    let Some((file, kind)) = Assets::get(&path).zip(content_type(&path)) else {
        return (StatusCode::NOT_FOUND, "no such file\n").into_response();
    };
    let hash = file.metadata.sha256_hash();
    let is_zipped = zipped::shrinks(&path) && zipped::is_accepted(&headers);
    // Each form of a file has a tag of its own (RFC 9110, section 8.8.3.3).
    let etag = format!("\"{}{}\"", hex(&hash), if is_zipped { "-gzip" } else { "" });
    // "no-cache" lets a browser keep the file but makes it ask each time: a page never runs with a module of another
    // version, and over a room's Wi-Fi an unchanged file costs one small answer.
    let caching = [
        (header::ETAG, etag.clone()),
        (header::CACHE_CONTROL, "no-cache".to_owned()),
        (header::VARY, "accept-encoding".to_owned()),
    ];
    let known = headers.get(header::IF_NONE_MATCH).and_then(|v| v.to_str().ok()).unwrap_or_default();
    if known.split(',').any(|tag| tag.trim().trim_start_matches("W/") == etag) {
        return (StatusCode::NOT_MODIFIED, caching).into_response();
    }
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(kind))];
    if is_zipped {
        let coding = [(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"))];
        return (caching, kind, coding, zipped::zipped(hash, &file.data)).into_response();
    }
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
    use std::collections::BTreeSet;

    /// Names of files of ours that a text mentions: after `/static/`, or relative to another module.
    fn mentioned(text: &str) -> BTreeSet<String> {
        let ends = |c: char| !(c.is_ascii_alphanumeric() || "-._/".contains(c));
        ["/static/", "\"./", "url(\""]
            .iter()
            .flat_map(|sign| text.split(sign).skip(1))
            .map(|rest| rest.split(ends).next().unwrap_or_default().to_owned())
            .filter(|name| Assets::get(name).is_some())
            .collect()
    }

    #[test]
    fn the_players_page_stays_under_400_kb_on_the_way() {
        let page = include_str!("../../../web/templates/player.html");
        let mut waiting: Vec<String> = mentioned(page).into_iter().collect();
        let mut seen = BTreeSet::new();
        let mut total = page.len();
        while let Some(name) = waiting.pop() {
            if !seen.insert(name.clone()) {
                continue;
            }
            let file = Assets::get(&name).expect("only files that exist are waiting");
            if let Ok(text) = std::str::from_utf8(&file.data) {
                waiting.extend(mentioned(text));
            }
            total += if zipped::shrinks(&name) {
                zipped::zipped(file.metadata.sha256_hash(), &file.data).len()
            } else {
                file.data.len()
            };
        }
        for name in ["windrow.wasm", "listen-processor.js", "listen-worker.js", "fonts/b612-bold.woff2"] {
            assert!(seen.contains(name), "{name} is not among {seen:?}");
        }
        assert!(total < 400_000, "{total} bytes");
    }

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
