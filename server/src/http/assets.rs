//! Static files, embedded in a release binary and read from the source tree by a debug one.

use super::zipped;
use crate::hex::hex;
use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;
use sha2::{Digest, Sha256};
use std::path::PathBuf;
use std::sync::LazyLock;

#[derive(RustEmbed)]
#[folder = "../web/static"]
#[exclude = "*.test.mjs"]
#[exclude = ".*"]
struct Assets;

/// What an address's part for a version begins with; no file of ours does.
const VERSION_SIGN: &str = "v-";
/// Seconds for which a browser keeps a file of a version without asking: a year, the most that is common practice.
const FOR_GOOD: &str = "private, max-age=31536000, immutable";

/// A file at its own name, or at that of a version of all files.
pub(super) async fn serve(Path(path): Path<String>, headers: HeaderMap) -> Response {
    let (asked, name) = match path.split_once('/') {
        Some((version, name)) if version.starts_with(VERSION_SIGN) => (Some(version), name),
        _ => (None, path.as_str()),
    };
    let Some((file, kind)) = Assets::get(name).zip(content_type(name)) else {
        return (StatusCode::NOT_FOUND, "no such file\n").into_response();
    };
    let hash = file.metadata.sha256_hash();
    let is_zipped = zipped::shrinks(name) && zipped::is_accepted(&headers);
    // Each form of a file has a tag of its own (RFC 9110, section 8.8.3.3).
    let etag = format!("\"{}{}\"", hex(&hash), if is_zipped { "-gzip" } else { "" });
    // Of this version a file never changes. Else "no-cache" lets a browser keep it but makes it ask each time: a page that was
    // opened before the server was renewed gets what there is now.
    let is_for_good = asked.is_some_and(|version| version == self::version());
    let caching = [
        (header::ETAG, etag.clone()),
        (header::CACHE_CONTROL, if is_for_good { FOR_GOOD } else { "no-cache" }.to_owned()),
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

/// Names what all files together are now. Embedded files never change; those of the source tree, which a debug build reads, are
/// told apart by size and time.
pub(super) fn version() -> String {
    if cfg!(debug_assertions) {
        return version_of(edits());
    }
    static EMBEDDED: LazyLock<String> = LazyLock::new(|| {
        let hash_of = |name: &str| Assets::get(name).map(|file| hex(&file.metadata.sha256_hash()));
        version_of(Assets::iter().map(|name| format!("{name} {:?}", hash_of(&name))))
    });
    EMBEDDED.clone()
}

fn version_of(files: impl IntoIterator<Item = String>) -> String {
    let mut files: Vec<String> = files.into_iter().collect();
    files.sort();
    format!("{VERSION_SIGN}{}", &hex(&Sha256::digest(files.join("\n")))[..12])
}

/// A line for each file of the source tree, which changes when the file does.
fn edits() -> Vec<String> {
    let mut waiting = vec![PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../web/static"))];
    let mut lines = Vec::new();
    while let Some(dir) = waiting.pop() {
        for entry in std::fs::read_dir(dir).into_iter().flatten().flatten() {
            match entry.metadata() {
                Ok(about) if about.is_dir() => waiting.push(entry.path()),
                Ok(about) => {
                    lines.push(format!("{:?} {} {:?}", entry.path(), about.len(), about.modified().ok()));
                }
                Err(_) => {}
            }
        }
    }
    lines
}

/// Whether there is a file of this name.
#[cfg(test)]
pub(super) fn exists(name: &str) -> bool {
    Assets::get(name).is_some()
}

/// A script or a style sheet as text.
pub(super) fn text(name: &str) -> Option<String> {
    String::from_utf8(Assets::get(name)?.data.into_owned()).ok()
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
