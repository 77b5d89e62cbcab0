//! What changes while a server runs: its addresses, and a school's certificate. Certificates are read as a device gets
//! them, by `openssl`.

use super::ask;
use crate::certificates::{Openssl, openssl_or_say_skipped};
use std::net::SocketAddr;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use windrow::config::Https;
use windrow::{Network, NetworkSource};
use windrow_tests::{TestServer, new_data_dir};

/// Often, so that nobody waits.
const LOOK_EVERY: Duration = Duration::from_millis(100);

fn network(ip: &str) -> Vec<Network> {
    vec![Network { interface: "wlan0".to_owned(), ip: ip.parse().unwrap() }]
}

/// Asks again until the answer is as it should be; fails with the last one after a while.
async fn until<T: std::fmt::Debug>(
    what: &str,
    mut look: impl AsyncFnMut() -> T,
    fits: impl Fn(&T) -> bool,
) -> T {
    let deadline = Instant::now() + Duration::from_secs(20);
    loop {
        let seen = look().await;
        if fits(&seen) {
            return seen;
        }
        assert!(Instant::now() < deadline, "never {what}: {seen:?}");
        tokio::time::sleep(LOOK_EVERY).await;
    }
}

async fn warnings(server: &TestServer) -> String {
    let addr = SocketAddr::from(([127, 0, 0, 1], server.running().http_addr.port()));
    let answer = ask(addr, "/conduct/reach.json", &[("Cookie", &server.conductor_cookie())]).await;
    let seen: serde_json::Value = serde_json::from_str(&answer.body).unwrap();
    seen["warnings"].to_string()
}

/// The certificate a server shows, in words.
async fn shown(openssl: &Openssl, addr: SocketAddr) -> String {
    let openssl = openssl.clone();
    tokio::task::spawn_blocking(move || openssl.shown_at(addr)).await.unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn another_wifi_brings_another_certificate_and_other_links() {
    let Some(openssl) = openssl_or_say_skipped("another Wi-Fi") else { return };
    let networks = Arc::new(Mutex::new(network("192.168.1.5")));
    let source = networks.clone();
    let anywhere: SocketAddr = "0.0.0.0:0".parse().unwrap();
    let server = TestServer::start_with(|config| {
        config.reach.http = anywhere;
        config.reach.https = Https::Own { addr: anywhere, constrained: true };
        config.reach.networks = NetworkSource::new(move || source.lock().unwrap().clone());
        config.reach.look_every = LOOK_EVERY;
    })
    .await;
    let https = SocketAddr::from(([127, 0, 0, 1], server.running().https_addr.unwrap().port()));
    let first = shown(&openssl, https).await;
    assert!(first.contains("IP Address:192.168.1.5"), "{first}");
    *networks.lock().unwrap() = network("10.1.2.3");
    until("the new address", || shown(&openssl, https), |text| text.contains("IP Address:10.1.2.3")).await;
    assert_eq!(
        server.running().join_urls(),
        [format!("https://10.1.2.3:{}/join/{}", https.port(), server.code())]
    );
    networks.lock().unwrap().clear();
    until("a warning", || warnings(&server), |text| text.contains("This computer is in no network")).await;
}

/// A pair as a school has one.
fn school(openssl: &Openssl, dir: &Path, name: &str) {
    openssl.run(&[
        "req",
        "-x509",
        "-newkey",
        "ec",
        "-pkeyopt",
        "ec_paramgen_curve:P-256",
        "-nodes",
        "-days",
        "90",
        "-subj",
        "/CN=school",
        "-addext",
        &format!("subjectAltName=DNS:{name}"),
        "-keyout",
        dir.join("key.pem").to_str().unwrap(),
        "-out",
        dir.join("school.pem").to_str().unwrap(),
    ]);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_schools_certificate_is_taken_up_when_it_changes_and_kept_when_the_new_one_is_bad() {
    let Some(openssl) = openssl_or_say_skipped("a school's certificate") else { return };
    let dir = new_data_dir();
    std::fs::create_dir_all(&dir).unwrap();
    school(&openssl, &dir, "winds.school.example");
    let (certificate, key) = (dir.join("school.pem"), dir.join("key.pem"));
    let server = TestServer::start_with(|config| {
        let addr = SocketAddr::from(([127, 0, 0, 1], 0));
        config.reach.https = Https::School { addr, certificate: certificate.clone(), key: key.clone() };
        config.reach.look_every = LOOK_EVERY;
    })
    .await;
    let (http, https) = (server.running().http_addr, server.running().https_addr.unwrap());
    let site = format!("https://winds.school.example:{}", https.port());
    assert_eq!(server.running().join_urls(), [format!("{site}/join/{}", server.code())]);
    let welcome = ask(http, &format!("/welcome?code={}", server.code()), &[]).await;
    assert_eq!(
        (welcome.status, welcome.header("location")),
        (307, format!("{site}/join/{}", server.code()).as_str())
    );
    assert_eq!(ask(http, "/welcome/authority.crt", &[]).await.status, 404);
    assert!(shown(&openssl, https).await.contains("DNS:winds.school.example"));

    std::fs::write(&certificate, "half a file").unwrap();
    until("a warning", || warnings(&server), |text| text.contains("a new certificate that cannot be used"))
        .await;
    assert!(shown(&openssl, https).await.contains("DNS:winds.school.example"));

    school(&openssl, &dir, "brass.school.example");
    until("the new name", || shown(&openssl, https), |text| text.contains("DNS:brass.school.example")).await;
    until("no warning", || warnings(&server), |text| !text.contains("cannot be used")).await;
    std::fs::remove_dir_all(dir).unwrap();
}
