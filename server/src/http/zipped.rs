//! Files as they travel: gzip for those that shrink by it, made once a file and kept. A phone's page with its wasm has to
//! be under 400 kB on the way, for thirty phones at once on one room's Wi-Fi; gzip halves it. Must not know what the files
//! are for.

use axum::body::Bytes;
use axum::http::{HeaderMap, header};
use flate2::Compression;
use flate2::write::GzEncoder;
use std::collections::HashMap;
use std::io::Write;
use std::sync::{LazyLock, Mutex};

/// Files kept. There are about fifty; a debug build, which reads them from the source tree, adds one for each edit.
const KEPT: usize = 256;

static ZIPPED: LazyLock<Mutex<HashMap<[u8; 32], Bytes>>> = LazyLock::new(Mutex::default);

/// Whether the browser takes gzip: named, and not with a weight of nought (RFC 9110, section 12.5.3).
pub(super) fn is_accepted(headers: &HeaderMap) -> bool {
    let accepted = headers.get(header::ACCEPT_ENCODING).and_then(|v| v.to_str().ok()).unwrap_or_default();
    accepted.split(',').any(|coding| {
        let mut parts = coding.split(';').map(str::trim);
        let is_gzip = parts.next().is_some_and(|name| name.eq_ignore_ascii_case("gzip"));
        let weight = parts.find_map(|p| p.strip_prefix("q=")).and_then(|q| q.parse::<f32>().ok());
        is_gzip && weight.unwrap_or(1.0) > 0.0
    })
}

/// Whether a file with this ending becomes smaller: fonts and pictures are compressed already.
pub(super) fn shrinks(path: &str) -> bool {
    matches!(path.rsplit_once('.'), Some((_, "js" | "mjs" | "css" | "wasm" | "svg" | "json" | "txt")))
}

/// The file gzipped. `hash` is that of `data`.
pub(super) fn zipped(hash: [u8; 32], data: &[u8]) -> Bytes {
    // Whoever panicked while holding the lock left a map of whole entries.
    let kept = || ZIPPED.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    if let Some(bytes) = kept().get(&hash) {
        return bytes.clone();
    }
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    let bytes: Bytes = encoder
        .write_all(data)
        .and_then(|()| encoder.finish())
        .expect("writing to memory cannot fail")
        .into();
    let mut kept = kept();
    if kept.len() >= KEPT {
        kept.clear();
    }
    kept.insert(hash, bytes.clone());
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::read::GzDecoder;
    use std::io::Read;

    #[test]
    fn what_the_browser_takes_is_read_from_its_header() {
        for (accepted, expected) in [
            (Some("gzip, deflate, br, zstd"), true),
            (Some("br;q=1.0, GZIP;q=0.8"), true),
            (Some("gzip;q=0"), false),
            (Some("br, identity"), false),
            (Some("x-gzip2"), false),
            (None, false),
        ] {
            let headers: HeaderMap =
                accepted.map(|a| (header::ACCEPT_ENCODING, a.parse().unwrap())).into_iter().collect();
            assert_eq!(is_accepted(&headers), expected, "{accepted:?}");
        }
    }

    #[test]
    fn a_file_comes_out_as_it_went_in() {
        let data = "one, two, three, ".repeat(500);
        for _ in 0..2 {
            let bytes = zipped([7; 32], data.as_bytes());
            assert!(bytes.len() < data.len() / 10, "{}", bytes.len());
            let mut back = String::new();
            GzDecoder::new(&bytes[..]).read_to_string(&mut back).unwrap();
            assert_eq!(back, data);
        }
    }
}
