//! Every route that is for some alone, tried with what is almost a right: a cookie that has ended, one of another server, one
//! of an assistant who was sent away, a page from elsewhere, another method, a right name in the wrong place.

use super::table::{Row, TABLE, assistant, joined, needs_a_cookie, path_asked};
use super::{served, set_up, sign_in, stop};
use std::collections::BTreeSet;
use std::net::SocketAddr;
use windrow::Server;
use windrow::config::ServerConfig;
use windrow_protocol::units::Name;
use windrow_tests::request::{get, post, send};
use windrow_tests::serve_config;

/// Methods of RFC 9110 and 5789, and one that nobody has heard of.
const METHODS: [&str; 9] = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONDUCT"];

fn for_some() -> impl Iterator<Item = &'static Row> {
    TABLE.iter().filter(needs_a_cookie)
}

/// Tries all such routes with these headers; the body could do no harm if it were taken. Every one must answer as to nobody.
async fn check(addr: SocketAddr, code: &str, trick: &str, headers: &[(&str, &str)]) {
    let own = format!("http://{addr}");
    let mut wrong = Vec::new();
    for &(method, path, _, [nobody, ..]) in for_some() {
        let says_from_where = headers.iter().any(|(name, _)| *name == "Origin");
        let origin = if says_from_where || method == "GET" { "" } else { &own };
        let all = [headers, &[("Origin", origin)]].concat();
        let status = send(addr, method, &path_asked(path, code), &all, "").await.status;
        if status != nobody {
            wrong.push(format!("{trick}: {method} {path} answers {status}, to nobody {nobody}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[tokio::test]
async fn what_is_almost_a_right_is_none() {
    let (server, other) = (served().await, served().await);
    let (addr, code) = (server.0.http_addr, server.0.code.as_str());
    let conductor = set_up(&server.0).await;
    let others = set_up(&other.0).await;
    let token = |cookie: &str| cookie.split_once('=').unwrap().1.to_owned();

    let ended = sign_in(addr, super::PASSPHRASE, "").await.cookie();
    assert_eq!(post(addr, "/sign-out", &ended, &[]).await.status, 303);
    check(addr, code, "a cookie that was signed out", &[("Cookie", &ended)]).await;

    check(addr, code, "another server's cookie", &[("Cookie", &others)]).await;
    let renamed = format!("{}={}", server.0.cookie_name(), token(&others));
    check(addr, code, "another server's token in our cookie", &[("Cookie", &renamed)]).await;

    let former = assistant(addr, &conductor).await;
    let page = get(addr, "/conduct/access", &[("Cookie", &conductor)]).await.text();
    let id = page.split("aria-label=\"End for Hadley\"").next().unwrap().rsplit("value=\"").next().unwrap();
    let form = [("id", id.split('"').next().unwrap())];
    assert_eq!(post(addr, "/conduct/access/end", &conductor, &form).await.status, 303);
    check(addr, code, "a former assistant", &[("Cookie", &former)]).await;

    let device = joined(&server.0, "Wren").await;
    let as_conductor = format!("{}={device}", server.0.cookie_name());
    check(addr, code, "a device's token as a cookie", &[("Cookie", &as_conductor)]).await;
    check(addr, code, "a device's token in its header", &[("x-windrow-device", &device)]).await;

    // The right token where nobody looks for one.
    let right = token(&conductor);
    for (name, value) in [
        ("Authorization", format!("Bearer {right}")),
        ("X-Windrow-Device", right.clone()),
        ("Cookie", format!("windrow={right}")),
        ("Cookie", format!("__Host-{conductor}")),
        ("Cookie", format!("{}=", server.0.cookie_name())),
        ("Cookie", format!("{}={}", server.0.cookie_name(), right.to_uppercase())),
        ("Cookie", format!("{}={}", server.0.cookie_name(), &right[..63])),
        ("Cookie", format!("{}={right}0", server.0.cookie_name())),
    ] {
        check(addr, code, &format!("{name}: {value}"), &[(name, &value)]).await;
    }
    // All of that left the sign-in of the conductor alone, so nothing was refused for another reason.
    assert_eq!(get(addr, "/conduct", &[("Cookie", &conductor)]).await.status, 200);
    stop(server).await;
    stop(other).await;
}

/// With several rooms open, of which an address names none, one that is there, or one that is not.
#[tokio::test]
async fn nobody_learns_which_rooms_there_are() {
    let data_dir = windrow_tests::new_data_dir();
    let sections = ["Reeds", "Brass"].map(|section| Name::new(section).unwrap()).to_vec();
    let config = ServerConfig { sections, ..serve_config(&data_dir) };
    let server = (Server::start(config).await.unwrap(), data_dir);
    let addr = server.0.http_addr;
    let conductor = set_up(&server.0).await;
    let listed = get(addr, "/conduct/rooms.json", &[("Cookie", &conductor)]).await;
    let listed: serde_json::Value = serde_json::from_slice(&listed.body).unwrap();
    let room = listed["rooms"][1]["room"].as_str().unwrap();
    let own = format!("http://{addr}");
    let mut wrong = Vec::new();
    for &(method, path, ..) in for_some() {
        for query in ["".to_owned(), format!("?room={room}"), "?room=gone".to_owned()] {
            let origin = if method == "GET" { "" } else { &own };
            let asked = path_asked(path, &server.0.code) + &query;
            let status = send(addr, method, &asked, &[("Origin", origin)], "").await.status;
            if status != 403 {
                wrong.push(format!("{method} {asked}: {status}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // Whoever may lead one is told.
    assert_eq!(get(addr, "/conduct/results", &[("Cookie", &conductor)]).await.status, 409);
    stop(server).await;
}

/// With a cookie that is good, as a browser sends it along in a request which a page from elsewhere makes (cross-site request
/// forgery); looking is refused as well where the browser says that another page asks.
#[tokio::test]
async fn a_page_from_elsewhere_uses_nobody_s_right() {
    let server = served().await;
    let (addr, code) = (server.0.http_addr, server.0.code.as_str());
    let conductor = set_up(&server.0).await;
    let port = addr.port();
    for origin in [
        "https://elsewhere.example".to_owned(),
        "null".to_owned(),
        // Another program of this computer, the same place over https, a longer name, one with a name before it.
        "http://127.0.0.1:1".to_owned(),
        format!("http://127.0.0.1:{port}.elsewhere.example"),
        format!("http://elsewhere.example/127.0.0.1:{port}"),
        format!("http://elsewhere@127.0.0.1:{port}"),
        format!("http://localhost:{port}"),
        format!("127.0.0.1:{port}"),
    ] {
        let headers = [("Cookie", conductor.as_str()), ("Origin", origin.as_str())];
        check(addr, code, &format!("a page of {origin}"), &headers).await;
    }
    assert_eq!(get(addr, "/conduct", &[("Cookie", &conductor)]).await.status, 200);
    stop(server).await;
}

/// 405 says nothing of who may (RFC 9110, section 15.5.6); what matters is that no other method reaches a handler.
#[tokio::test]
async fn another_method_does_nothing_whoever_asks() {
    let server = served().await;
    let addr = server.0.http_addr;
    let conductor = set_up(&server.0).await;
    let origin = format!("http://{addr}");
    let routes: BTreeSet<_> = windrow::route_names().into_iter().collect();
    let paths: BTreeSet<_> = routes.iter().map(|(_, path)| *path).collect();
    let mut wrong = Vec::new();
    for path in paths {
        let has = |method| routes.contains(&(method, path));
        let asked = path_asked(path, &server.0.code);
        for method in METHODS {
            if has(method) || (method == "HEAD" && has("GET")) {
                continue;
            }
            let headers = [("Cookie", conductor.as_str()), ("Origin", origin.as_str())];
            let status = send(addr, method, &asked, &headers, "").await.status;
            if status != 405 {
                wrong.push(format!("{method} {asked}: {status}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(get(addr, "/conduct", &[("Cookie", &conductor)]).await.status, 200);
    stop(server).await;
}

/// HEAD comes with GET (RFC 9110, section 9.3.2) and asks for the same right; a method that a header names instead is none.
#[tokio::test]
async fn a_method_in_disguise_has_no_other_right() {
    let server = served().await;
    let addr = server.0.http_addr;
    let conductor = set_up(&server.0).await;
    let origin = format!("http://{addr}");
    for &(method, path, form, [nobody, _, _, as_conductor]) in for_some() {
        let asked = path_asked(path, &server.0.code);
        if method == "GET" {
            // A line's stream has an end of its own.
            assert_eq!(send(addr, "HEAD", &asked, &[], "").await.status, nobody, "HEAD {path}");
            continue;
        }
        // Looking at the address of something that changes: the body and the header ask for more.
        for disguise in ["X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override"] {
            let headers = [("Cookie", conductor.as_str()), ("Origin", origin.as_str()), (disguise, method)];
            let body = super::form_text(&[form, &[("_method", method)]].concat());
            let status = send(addr, "GET", &asked, &headers, &body).await.status;
            let is_page = TABLE.iter().any(|&(other, at, ..)| (other, at) == ("GET", path));
            assert!(status == 405 || is_page, "GET {path} as {method}: {status}, {as_conductor} as itself");
        }
    }
    assert_eq!(get(addr, "/conduct", &[("Cookie", &conductor)]).await.status, 200, "nobody was signed out");
    stop(server).await;
}
