//! Who may do what, as browsers and strangers meet it: the first passphrase, signing in and out, assistants, the door.
//! Rules of OWASP and NIST stand beside the checks that hold them.

mod assistants;
mod door;
mod foreign;
mod other_machine;
mod passphrase_command;
mod table;
mod tricked;

use std::net::SocketAddr;
use windrow::{Running, Server};
use windrow_tests::request::{Answer, form_text, get, post};
use windrow_tests::{TestServer, serve_config};

const PASSPHRASE: &str = "reed water 4";

/// A server as `serve` starts it: no key for programs.
async fn served() -> (Running, std::path::PathBuf) {
    let data_dir = windrow_tests::new_data_dir();
    (Server::start(serve_config(&data_dir)).await.unwrap(), data_dir)
}

async fn stop((running, data_dir): (Running, std::path::PathBuf)) {
    running.stop().await;
    std::fs::remove_dir_all(data_dir).unwrap();
}

fn path_of(link: &str) -> String {
    format!("/{}", link.splitn(4, '/').nth(3).unwrap())
}

/// Chooses the first passphrase; gives back the cookie.
async fn set_up(running: &Running) -> String {
    let first = path_of(running.first_link.as_deref().unwrap());
    let done = post(running.http_addr, &first, "", &[("new", PASSPHRASE), ("again", PASSPHRASE)]).await;
    assert_eq!((done.status, done.header("location")), (303, "/conduct"));
    done.cookie()
}

async fn sign_in(addr: SocketAddr, passphrase: &str, cookie: &str) -> Answer {
    post(addr, "/sign-in", cookie, &[("passphrase", passphrase), ("to", "/conduct")]).await
}

#[tokio::test]
async fn the_first_link_sets_the_passphrase_once() {
    let server = served().await;
    let addr = server.0.http_addr;
    let first = path_of(server.0.first_link.as_deref().unwrap());
    for path in ["/conduct", "/sign-in"] {
        let closed = get(addr, path, &[("Accept", "text/html")]).await;
        assert_eq!(closed.status, 403, "{path}");
        assert!(closed.text().contains("No passphrase is set yet"), "{path}");
    }
    // Whoever previews the link does not use it up.
    for _ in 0..3 {
        assert_eq!(get(addr, &first, &[]).await.status, 200);
    }
    let form = |new, again| [("new", new), ("again", again)];
    for (new, again, words) in [
        ("nine sign", "nine sign", "That has 9 signs, and 10 are needed"),
        (PASSPHRASE, "reed water 5", "The two are not the same"),
        ("Larkmoor Youth Winds", "Larkmoor Youth Winds", "the name of the section"),
    ] {
        let refused = post(addr, &first, "", &form(new, again)).await;
        assert_eq!((refused.status, refused.cookie().as_str()), (422, ""));
        assert!(refused.text().contains(words), "{}", refused.text());
    }
    let cookie = set_up(&server.0).await;
    assert_eq!(get(addr, "/conduct", &[("Cookie", &cookie)]).await.status, 200);
    for again in
        [get(addr, &first, &[]).await, post(addr, &first, "", &form("another one", "another one")).await]
    {
        assert_eq!(again.status, 410);
        assert!(again.text().contains("used up or too old"));
    }
    assert_eq!(sign_in(addr, "another one", "").await.status, 403);
    assert_eq!(sign_in(addr, PASSPHRASE, "").await.status, 303);
    stop(server).await;
}

/// OWASP Session Management Cheat Sheet (from memory): "Session ID Length" and "Entropy", "Cookies" (HttpOnly, SameSite,
/// no Domain, not persistent), "Renew the Session ID After Any Privilege Level Change", "Logout Button", "Web Content
/// Caching" (no-store).
#[tokio::test]
async fn a_sign_in_is_a_fresh_random_cookie_that_scripts_and_strangers_cannot_use() {
    let server = served().await;
    let addr = server.0.http_addr;
    set_up(&server.0).await;
    let planted = format!("{}={}", server.0.cookie_name(), "a".repeat(64));
    let first = sign_in(addr, PASSPHRASE, &planted).await;
    let attributes: Vec<&str> = first.header("set-cookie").split("; ").skip(1).collect();
    // Plain http on this computer: no Secure here, see `over_https`.
    assert_eq!(attributes, ["Path=/", "HttpOnly", "SameSite=Strict"]);
    let cookie = first.cookie();
    assert_ne!(cookie, planted);
    let token = cookie.split_once('=').unwrap().1;
    assert!(token.len() == 64 && token.bytes().all(|b| b.is_ascii_hexdigit()), "256 bits in hexadecimal");
    assert_eq!(get(addr, "/conduct", &[("Cookie", &planted)]).await.status, 403, "no fixation");
    let page = get(addr, "/conduct", &[("Cookie", &cookie)]).await;
    assert_eq!((page.status, page.header("cache-control")), (200, "no-store"));
    // Signing in again renews it, and the old one is worth nothing any more.
    let second = sign_in(addr, PASSPHRASE, &cookie).await.cookie();
    assert_ne!(second, cookie);
    assert_eq!(get(addr, "/conduct", &[("Cookie", &cookie)]).await.status, 403);
    // Signing out ends it on the server, not only in the browser.
    let out = post(addr, "/sign-out", &second, &[]).await;
    assert_eq!((out.status, out.header("location")), (303, "/sign-in"));
    assert!(out.header("set-cookie").contains("Max-Age=0"));
    assert_eq!(get(addr, "/conduct", &[("Cookie", &second)]).await.status, 403);
    stop(server).await;
}

#[tokio::test]
async fn a_person_is_led_to_the_sign_in_and_back() {
    let server = served().await;
    let addr = server.0.http_addr;
    set_up(&server.0).await;
    let led = get(addr, "/conduct", &[("Accept", "text/html,application/xhtml+xml")]).await;
    assert_eq!((led.status, led.header("location")), (303, "/sign-in?to=/conduct"));
    let page = get(addr, "/sign-in?to=/conduct/access", &[]).await.text();
    assert!(page.contains("name=\"to\" value=\"/conduct/access\""), "{page}");
    let form = [("passphrase", PASSPHRASE), ("to", "https://elsewhere.example")];
    assert_eq!(post(addr, "/sign-in", "", &form).await.header("location"), "/conduct");
    stop(server).await;
}

#[tokio::test]
async fn a_sign_in_outlives_the_server_and_the_server_prints_no_second_first_link() {
    let (running, data_dir) = served().await;
    let cookie = set_up(&running).await;
    running.stop().await;
    let running = Server::start(serve_config(&data_dir)).await.unwrap();
    assert_eq!(running.first_link, None);
    assert_eq!(get(running.http_addr, "/conduct", &[("Cookie", &cookie)]).await.status, 200);
    stop((running, data_dir)).await;
}

/// OWASP Cross-Site Request Forgery Prevention Cheat Sheet (from memory): a request that changes something must come from
/// one of our own pages. Programs that are no browsers send no origin; they have no cookies either.
#[tokio::test]
async fn forms_of_other_addresses_are_refused() {
    let server = TestServer::start().await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let is_devices = |path: &str| path.starts_with("/mine") || path.starts_with("/practice");
    let needs_no_cookie = |path: &str| path.starts_with("/line/player") || is_devices(path);
    let mut n_refused = 0;
    for (_, route) in windrow::route_names().into_iter().filter(|(method, _)| *method == "POST") {
        let path = route.replace(['{', '}'], "");
        for origin in ["", "null", "https://elsewhere.example", "http://127.0.0.1:1"] {
            if origin.is_empty() && needs_no_cookie(route) {
                continue;
            }
            let headers = [("Origin", origin), ("Cookie", cookie.as_str())];
            let answer = windrow_tests::request::send(addr, "POST", &path, &headers, "").await;
            // A device without its token and one on a page from elsewhere are answered alike.
            let expected = if is_devices(route) { 404 } else { 403 };
            assert_eq!(answer.status, expected, "{path} from {origin:?}");
            n_refused += 1;
        }
    }
    assert!(n_refused > 40, "{n_refused}");
}

#[tokio::test]
async fn wrong_passphrases_are_slowed_down_and_say_so() {
    let server = served().await;
    let addr = server.0.http_addr;
    set_up(&server.0).await;
    for attempt in 1..=5 {
        assert_eq!(sign_in(addr, "crook and bocal", "").await.status, 403, "{attempt}");
    }
    // However right: nobody may try for half a minute.
    for passphrase in ["crook and bocal", PASSPHRASE] {
        let slowed = sign_in(addr, passphrase, "").await;
        assert_eq!(slowed.status, 429);
        let wait_s: u64 = slowed.header("retry-after").parse().unwrap();
        assert!((1..=30).contains(&wait_s), "{wait_s}");
        assert!(
            slowed.text().contains(&format!("Wait {wait_s} seconds, then try again.")),
            "{}",
            slowed.text()
        );
    }
    stop(server).await;
}

#[tokio::test]
async fn two_servers_on_one_computer_have_cookies_of_their_own() {
    let (one, other) = (served().await, served().await);
    let (first, second) = (set_up(&one.0).await, set_up(&other.0).await);
    let both = format!("{first}; {second}");
    for server in [&one, &other] {
        assert_eq!(get(server.0.http_addr, "/conduct", &[("Cookie", &both)]).await.status, 200);
    }
    assert_eq!(get(other.0.http_addr, "/conduct", &[("Cookie", &first)]).await.status, 403);
    stop(one).await;
    stop(other).await;
}
