//! Nothing from elsewhere: every page, style and script names only this server, and every answer carries the headers that
//! hold browsers to it.

use super::assistants::invite;
use super::{path_of, served, set_up, stop};
use std::fs;
use windrow_tests::request::{Answer, get, send};
use windrow_tests::wasm_sources::project;

/// Addresses that are names of formats, never fetched.
const NAMES: [&str; 3] = [
    "http://www.w3.org/2000/svg",
    "http://www.w3.org/1999/xlink",
    "https://json-schema.org/draft/2020-12/schema",
];

/// Addresses of other hosts that a text would load or link to.
fn foreign(text: &str, own: &str) -> Vec<String> {
    ["http://", "https://", "ws://", "wss://", "=\"//", "url(//"]
        .iter()
        .flat_map(|begin| text.match_indices(begin))
        .map(|(at, _)| text[at..].chars().take_while(|c| !" \"'`<>)\n".contains(*c)).collect::<String>())
        .filter(|address| !address.starts_with(own) && !NAMES.iter().any(|name| address.starts_with(name)))
        // Put together at run time from the page's own host.
        .filter(|address| !address.ends_with("//") && !address.contains("${"))
        .collect()
}

/// OWASP HTTP Headers Cheat Sheet and Content Security Policy Cheat Sheet (from memory).
fn check_headers(answer: &Answer, path: &str) {
    let policy = answer.header("content-security-policy");
    for part in [
        "default-src 'none'",
        "script-src 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "form-action 'self'",
    ] {
        assert!(policy.contains(part), "{path}: {policy}");
    }
    assert!(!policy.contains("unsafe-inline") && !policy.contains("'unsafe-eval'"), "{path}: {policy}");
    for (name, value) in [
        ("x-content-type-options", "nosniff"),
        ("x-frame-options", "DENY"),
        ("referrer-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
        ("strict-transport-security", ""),
        ("access-control-allow-origin", ""),
        ("server", ""),
    ] {
        assert_eq!(answer.header(name), value, "{path}: {name}");
    }
    assert!(answer.header("permissions-policy").contains("microphone=(self)"), "{path}");
}

#[tokio::test]
async fn pages_name_no_other_host_and_every_answer_has_its_headers() {
    let server = served().await;
    let addr = server.0.http_addr;
    let first = get(addr, &path_of(server.0.first_link.as_deref().unwrap()), &[]).await;
    let cookie = set_up(&server.0).await;
    let invitation = get(addr, &invite(addr, &cookie).await, &[]).await;
    let mut answers = vec![("/first".to_owned(), first), ("/invitation".to_owned(), invitation)];
    // Every route that shows something, with what stands for a part of its path.
    for (method, route) in windrow::route_names() {
        let path = route
            .replace("{code}", &server.0.code)
            .replace("{*path}", "base.css")
            .replace("{token}", "a")
            .replace("{name}", "a");
        let answer = match method {
            "GET" if route.contains("/heard") => continue,
            "GET" => get(addr, &path, &[("Cookie", &cookie)]).await,
            // Without an origin it is refused, and the refusal has headers as well.
            _ => send(addr, method, &path, &[], "").await,
        };
        answers.push((format!("{method} {path}"), answer));
    }
    for path in ["/nowhere", "/static/nothing.js", "/%ff", "/conduct/nothing"] {
        answers.push((path.to_owned(), get(addr, path, &[]).await));
    }
    for (path, answer) in &answers {
        check_headers(answer, path);
        assert_eq!(foreign(&answer.text(), &format!("http://{addr}")), Vec::<String>::new(), "{path}");
    }
    assert!(answers.iter().filter(|(_, answer)| answer.status == 200).count() >= 8);
    stop(server).await;
}

#[test]
fn styles_and_scripts_name_no_other_host() {
    let mut n_files = 0;
    for entry in fs::read_dir(project().join("web/static")).unwrap() {
        let path = entry.unwrap().path();
        let is_text =
            path.extension().is_some_and(|end| ["js", "css", "svg", "html"].iter().any(|e| end == *e));
        if is_text {
            n_files += 1;
            let text = fs::read_to_string(&path).unwrap();
            assert_eq!(foreign(&text, "http://127.0.0.1"), Vec::<String>::new(), "{}", path.display());
        }
    }
    assert!(n_files > 20, "{n_files}");
}

#[test]
fn an_address_from_elsewhere_is_noticed() {
    let own = "http://127.0.0.1:8470";
    for text in
        ["<script src=\"https://cdn.example/x.js\">", "url(//cdn.example/x)", "<img src=\"//cdn.example\">"]
    {
        assert_eq!(foreign(text, own).len(), 1, "{text}");
    }
    assert!(foreign("<a href=\"http://127.0.0.1:8470/conduct\">", own).is_empty());
}
