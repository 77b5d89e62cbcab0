//! How devices get in, as another machine in the room meets it: over this computer's own address in its network, where
//! requests are not its own; on a machine without a network these tests say that they are skipped.

mod announced;
mod watched;

use crate::browser::say;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpListener};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use windrow::NetworkSource;
use windrow::config::Https;
use windrow_tests::TestServer;

/// An answer, with the names of its headers in small letters.
pub(super) struct Answer {
    pub(super) status: u16,
    head: String,
    pub(super) body: String,
}

impl Answer {
    pub(super) fn header(&self, name: &str) -> &str {
        let found = self.head.lines().filter_map(|line| line.split_once(": "));
        found.into_iter().find(|(n, _)| n.eq_ignore_ascii_case(name)).map_or("", |(_, value)| value)
    }
}

/// One request on a connection of its own, with the address as its `Host` unless a header says otherwise.
pub(super) async fn ask(addr: SocketAddr, path: &str, headers: &[(&str, &str)]) -> Answer {
    let mut stream = TcpStream::connect(addr).await.unwrap();
    let mut request = format!("GET {path} HTTP/1.1\r\nConnection: close\r\n");
    if !headers.iter().any(|(name, _)| *name == "Host") {
        request.push_str(&format!("Host: {addr}\r\n"));
    }
    for (name, value) in headers {
        request.push_str(&format!("{name}: {value}\r\n"));
    }
    stream.write_all(format!("{request}\r\n").as_bytes()).await.unwrap();
    let mut text = Vec::new();
    stream.read_to_end(&mut text).await.unwrap();
    let text = String::from_utf8_lossy(&text);
    let (head, body) = text.split_once("\r\n\r\n").unwrap();
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    Answer { status, head: head.to_owned(), body: body.to_owned() }
}

/// An address of this computer in a private network, or a word that there is none.
pub(super) fn own_address(test: &str) -> Option<IpAddr> {
    let is_private = |ip: &IpAddr| match ip {
        IpAddr::V4(v4) => v4.is_private(),
        IpAddr::V6(v6) => v6.is_unique_local(),
    };
    let found = NetworkSource::default().look().into_iter().map(|n| n.ip).find(is_private);
    if found.is_none() {
        say(&format!("skipped: {test}, since this computer is in no private network"));
    }
    found
}

/// Every address of this computer, those of version 6 as well where it has that.
pub(super) fn anywhere() -> SocketAddr {
    let both = SocketAddr::from((Ipv6Addr::UNSPECIFIED, 0));
    if TcpListener::bind(both).is_ok() { both } else { SocketAddr::from((Ipv4Addr::UNSPECIFIED, 0)) }
}

/// A server that listens at every address of this computer, plain and secure.
pub(super) async fn open_to_all() -> TestServer {
    let anywhere = anywhere();
    TestServer::start_with(|config| {
        config.reach.http = anywhere;
        config.reach.https = Https::Own { addr: anywhere, constrained: true };
    })
    .await
}

const PAGE: (&str, &str) = ("Accept", "text/html,application/xhtml+xml");

#[tokio::test]
async fn another_machine_gets_the_welcome_page_and_nothing_else_over_plain_http() {
    let Some(ip) = own_address("what another machine gets") else { return };
    let server = open_to_all().await;
    let addr = SocketAddr::new(ip, server.running().http_addr.port());
    let secure = format!("https://{}", SocketAddr::new(ip, server.running().https_addr.unwrap().port()));
    let code = server.code();

    let page = ask(addr, &format!("/join/{code}"), &[PAGE]).await;
    assert_eq!(page.status, 200);
    for words in ["This device reaches the conductor’s computer", &format!("href=\"{secure}/join/{code}\"")]
    {
        assert!(page.body.contains(words), "{words} is missing in {}", page.body);
    }
    assert!(!page.body.contains("Listen and join"), "the player's page belongs to https");
    let asked = match ip {
        IpAddr::V4(_) => secure.clone(),
        IpAddr::V6(_) => format!("https://*:{}", server.running().https_addr.unwrap().port()),
    };
    let policy = page.header("content-security-policy");
    assert!(policy.contains(&format!("connect-src 'self' {asked};")), "{policy}");

    for path in ["/", "/welcome", "/static/base.css", "/healthz", "/welcome/authority.crt"] {
        assert_eq!(ask(addr, path, &[]).await.status, 200, "{path}");
    }
    let led = ask(addr, &format!("/conduct?key={}", server.key()), &[PAGE]).await;
    assert_eq!((led.status, led.header("location")), (307, format!("{secure}/conduct").as_str()));
    assert_eq!(led.header("set-cookie"), "");
    let cookie = server.conductor_cookie();
    for path in ["/conduct/reach.json", "/ws/player", "/ws/conductor", "/nowhere"] {
        assert_eq!(ask(addr, path, &[("Cookie", &cookie)]).await.status, 403, "{path}");
    }
    let upgrade = [PAGE, ("Upgrade", "websocket"), ("Connection", "Upgrade")];
    assert_eq!(ask(addr, "/ws/player", &upgrade).await.status, 403);
}

#[tokio::test]
async fn this_computer_gets_everything_unless_a_strange_name_leads_here() {
    let server = open_to_all().await;
    let addr = SocketAddr::from(([127, 0, 0, 1], server.running().http_addr.port()));
    let page = ask(addr, &format!("/join/{}", server.code()), &[PAGE]).await;
    assert!(page.body.contains("Listen and join"), "{}", page.body);
    let rebound =
        ask(addr, &format!("/join/{}", server.code()), &[PAGE, ("Host", "rebound.example:8470")]).await;
    assert!(rebound.body.contains("This device reaches") && !rebound.body.contains("Listen and join"));
    let rebound = [("Host", "rebound.example:8470"), ("Cookie", &server.conductor_cookie())];
    assert_eq!(ask(addr, "/conduct/reach.json", &rebound).await.status, 403);
}

#[tokio::test]
async fn a_welcome_fits_the_device_and_another_can_be_chosen() {
    let server = TestServer::start_secure().await;
    let addr = server.running().http_addr;
    let iphone = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 Version/18.5 Mobile/15E148";
    let page = ask(addr, "/welcome?code=kf3m7p", &[("User-Agent", iphone)]).await;
    assert!(
        page.body.contains("/welcome/windrow.mobileconfig")
            && page.body.contains("Certificate Trust Settings")
    );
    assert!(page.body.contains("/join/KF3M7P"));
    let page = ask(addr, "/welcome?device=android", &[("User-Agent", iphone)]).await;
    assert!(page.body.contains("/welcome/authority.crt") && page.body.contains("Install anyway"));
    let page = ask(addr, "/welcome?code=%3Cscript%3E&device=%22%3E", &[]).await;
    assert!(!page.body.to_lowercase().contains("<script>"), "{}", page.body);
}

#[tokio::test]
async fn the_conductor_sees_how_devices_get_here_and_how_many_came() {
    let Some(ip) = own_address("who came") else { return };
    let server = open_to_all().await;
    let here = SocketAddr::from(([127, 0, 0, 1], server.running().http_addr.port()));
    let addr = SocketAddr::new(ip, server.running().http_addr.port());
    let cookie = server.conductor_cookie();
    let seen = async || -> serde_json::Value {
        let answer = ask(here, "/conduct/reach.json", &[("Cookie", &cookie)]).await;
        assert_eq!((answer.status, answer.header("cache-control")), (200, "no-store"));
        serde_json::from_str(&answer.body).unwrap()
    };
    let before = seen().await;
    assert_eq!((&before["reached_http"], &before["reached_https"]), (&0.into(), &0.into()));
    ask(addr, "/", &[]).await;
    ask(addr, "/welcome", &[]).await;
    let after = seen().await;
    assert_eq!((&after["reached_http"], &after["reached_https"]), (&1.into(), &0.into()));
    let addresses: Vec<String> = serde_json::from_value(after["addresses"].clone()).unwrap();
    assert!(addresses.contains(&ip.to_string()), "{addresses:?}");
    let first: IpAddr = addresses[0].parse().unwrap();
    let first = SocketAddr::new(first, addr.port());
    assert_eq!(after["join_url"], format!("http://{first}/join/{}", server.code()));
    assert_eq!(after["short_address"], first.to_string());
    let pattern = ask(here, "/conduct/code.svg", &[("Cookie", &cookie)]).await;
    assert_eq!((pattern.status, pattern.header("content-type")), (200, "image/svg+xml"));
    let poster = ask(here, "/conduct/poster", &[("Cookie", &cookie)]).await.body;
    assert!(poster.contains(server.code()) && poster.contains(&first.to_string()), "{poster}");
    for path in ["/conduct/reach.json", "/conduct/code.svg", "/conduct/poster"] {
        assert_eq!(ask(here, path, &[]).await.status, 403, "{path}");
    }
}

#[tokio::test]
async fn behind_a_proxy_only_the_proxy_and_this_computer_come_in() {
    let Some(ip) = own_address("a proxy") else { return };
    let server = TestServer::start_with(|config| {
        config.reach.http = anywhere();
        config.reach.proxies = vec![ip];
        config.reach.site = Some("https://winds.school.example".to_owned());
    })
    .await;
    let port = server.running().http_addr.port();
    let (proxy, here) = (SocketAddr::new(ip, port), SocketAddr::from(([127, 0, 0, 1], port)));
    let device = ("X-Forwarded-For", "192.168.1.20");
    let secure = [PAGE, device, ("X-Forwarded-Proto", "https")];
    assert!(ask(proxy, "/", &secure).await.body.contains("Listen and join"));
    let plain = ask(proxy, "/conduct", &[PAGE, device, ("X-Forwarded-Proto", "http")]).await;
    assert_eq!((plain.status, plain.header("location")), (307, "https://winds.school.example/conduct"));
    let cookie = server.conductor_cookie();
    let seen = ask(here, "/conduct/reach.json", &[("Cookie", &format!("__Host-{cookie}"))]).await;
    let seen: serde_json::Value = serde_json::from_str(&seen.body).unwrap();
    assert_eq!(seen["join_url"], format!("https://winds.school.example/join/{}", server.code()));
    let opened = ask(proxy, &format!("/conduct?key={}", server.key()), &secure).await;
    assert!(opened.header("set-cookie").contains("; Secure"), "{}", opened.header("set-cookie"));
}
