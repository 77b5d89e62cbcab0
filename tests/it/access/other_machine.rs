//! Signing in and guessing from another machine, and through a proxy that ends TLS: over this computer's own address in its
//! network, where requests are not its own.

use super::PASSPHRASE;
use crate::reach::own_address;
use std::net::{IpAddr, SocketAddr};
use windrow::{Running, Server};
use windrow_tests::request::{Answer, get, post, send};
use windrow_tests::{new_data_dir, serve_config};

/// A server at all addresses over plain http alone, behind a proxy if one is named; its passphrase is set.
async fn at_all_addresses(proxy: Option<IpAddr>) -> (Running, std::path::PathBuf) {
    let data_dir = new_data_dir();
    let mut config = serve_config(&data_dir);
    config.reach.http = "[::]:0".parse().unwrap();
    config.reach.proxies = proxy.into_iter().collect();
    config.reach.site = proxy.map(|_| "https://winds.school.example".to_owned());
    let running = Server::start(config).await.unwrap();
    let here = SocketAddr::from(([127, 0, 0, 1], running.http_addr.port()));
    // The same as a browser on this computer.
    let first = super::path_of(running.first_link.as_deref().unwrap());
    let form = [("new", PASSPHRASE), ("again", PASSPHRASE)];
    assert_eq!(post(here, &first, "", &form).await.status, 303);
    (running, data_dir)
}

#[tokio::test]
async fn no_passphrase_goes_over_a_line_that_others_can_listen_to() {
    let Some(ip) = own_address("signing in over plain http") else { return };
    let server = at_all_addresses(None).await;
    let port = server.0.http_addr.port();
    let there = SocketAddr::new(ip, port);
    let form = [("passphrase", PASSPHRASE)];
    for refused in [get(there, "/sign-in", &[]).await, post(there, "/sign-in", "", &form).await] {
        assert_eq!((refused.status, refused.header("set-cookie")), (403, ""));
        assert!(refused.text().contains("Others on this Wi-Fi could read what you type here."));
    }
    assert_eq!(get(there, "/first/abc", &[]).await.status, 403);
    let here = SocketAddr::from(([127, 0, 0, 1], port));
    assert_eq!(post(here, "/sign-in", "", &form).await.status, 303);
    super::stop(server).await;
}

#[tokio::test]
async fn wrong_codes_from_one_machine_keep_no_other_out() {
    let Some(ip) = own_address("guesses of another machine") else { return };
    let server = at_all_addresses(None).await;
    let port = server.0.http_addr.port();
    let (there, here) = (SocketAddr::new(ip, port), SocketAddr::from(([127, 0, 0, 1], port)));
    let mut last = 404;
    for _ in 0..60 {
        last = get(there, "/join/CCCCCC", &[]).await.status;
        if last == 429 {
            break;
        }
    }
    assert_eq!(last, 429);
    assert_eq!(get(here, "/join/CCCCCC", &[]).await.status, 404);
    assert_eq!(get(here, &format!("/join/{}", server.0.code), &[]).await.status, 200);
    super::stop(server).await;
}

#[tokio::test]
async fn behind_a_proxy_guesses_count_by_whoever_is_behind_it_and_the_cookie_is_for_https_alone() {
    let Some(ip) = own_address("guesses behind a proxy") else { return };
    let server = at_all_addresses(Some(ip)).await;
    let proxy = SocketAddr::new(ip, server.0.http_addr.port());
    let origin = format!("https://{proxy}");
    let form = "application/x-www-form-urlencoded";
    let sign_in = async |device: &str, passphrase: &str| -> Answer {
        let headers = [
            ("X-Forwarded-For", device),
            ("X-Forwarded-Proto", "https"),
            ("Origin", origin.as_str()),
            ("Content-Type", form),
        ];
        let body = format!("passphrase={}", passphrase.replace(' ', "+"));
        send(proxy, "POST", "/sign-in", &headers, &body).await
    };
    for _ in 0..5 {
        assert_eq!(sign_in("192.168.1.20", "crook and bocal").await.status, 403);
    }
    assert_eq!(sign_in("192.168.1.20", PASSPHRASE).await.status, 429);
    let signed_in = sign_in("192.168.1.21", PASSPHRASE).await;
    assert_eq!(signed_in.status, 303);
    assert_eq!(signed_in.header("cross-origin-opener-policy"), "same-origin");
    // RFC 6265bis, section 4.1.3.2, and OWASP's Session Management Cheat Sheet (from memory).
    let cookie = signed_in.header("set-cookie");
    assert!(cookie.starts_with("__Host-windrow_"), "{cookie}");
    assert!(cookie.ends_with("; Path=/; HttpOnly; SameSite=Strict; Secure"), "{cookie}");
    super::stop(server).await;
}
