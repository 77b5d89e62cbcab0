//! Assistants: an invitation that is good once, what they may do, and how it ends.

use super::{PASSPHRASE, served, set_up, sign_in, stop};
use std::net::SocketAddr;
use windrow::words::english;
use windrow_protocol::messages::{ConductorHears, RefusedReason};
use windrow_tests::Conductor;
use windrow_tests::request::{get, post};

/// Makes an invitation as the conductor does, and gives back its path as an assistant's device has it.
pub(super) async fn invite(addr: SocketAddr, conductor: &str) -> String {
    let page = post(addr, "/conduct/access/invite", conductor, &[]).await;
    assert_eq!(page.status, 200);
    let text = page.text();
    let token = text.split("/invitation/").nth(1).unwrap().split('"').next().unwrap().to_owned();
    assert_eq!(token.len(), 64, "{token}");
    format!("/invitation/{token}")
}

#[tokio::test]
async fn an_invitation_lets_one_assistant_lead_and_no_more() {
    let server = served().await;
    let addr = server.0.http_addr;
    let conductor = set_up(&server.0).await;
    let invitation = invite(addr, &conductor).await;
    assert!(get(addr, &invitation, &[]).await.text().contains("invites you as an assistant"));
    let nameless = post(addr, &invitation, "", &[("name", "  ")]).await;
    assert_eq!(nameless.status, 422);
    assert!(nameless.text().contains("nickname is enough"), "{}", nameless.text());
    let accepted = post(addr, &invitation, "", &[("name", "Hadley")]).await;
    assert_eq!((accepted.status, accepted.header("location")), (303, "/conduct"));
    let assistant = accepted.cookie();
    assert_eq!(post(addr, &invitation, "", &[("name", "Sorrel")]).await.status, 410, "good once");

    let socket = format!("ws://{addr}/ws/conductor");
    let mut leading = Conductor::open_signed_in(&socket, &assistant).await;
    leading.see(|s| (s.section_name == "Larkmoor Youth Winds").then_some(())).await;
    let page = get(addr, "/conduct/access", &[("Cookie", &assistant)]).await.text();
    assert!(page.contains("You are signed in as Hadley, an assistant."), "{page}");
    for secret in ["Change the passphrase", "Invite", "Sign out everywhere", "Another code"] {
        assert!(!page.contains(secret), "{secret}");
    }

    // The conductor sees and ends it; the socket closes by itself.
    let page = get(addr, "/conduct/access", &[("Cookie", &conductor)]).await.text();
    let id = page.split("aria-label=\"End for Hadley\"").next().unwrap().rsplit("value=\"").next().unwrap();
    let id = id.split('"').next().unwrap();
    assert_eq!(post(addr, "/conduct/access/end", &conductor, &[("id", id)]).await.status, 303);
    assert_signed_out(leading).await;
    assert_eq!(get(addr, "/conduct", &[("Cookie", &assistant)]).await.status, 403);
    assert_eq!(get(addr, "/conduct", &[("Cookie", &conductor)]).await.status, 200);
    stop(server).await;
}

#[tokio::test]
async fn an_invitation_can_be_withdrawn() {
    let server = served().await;
    let addr = server.0.http_addr;
    let conductor = set_up(&server.0).await;
    let invitation = invite(addr, &conductor).await;
    let page = get(addr, "/conduct/access", &[("Cookie", &conductor)]).await.text();
    assert!(page.contains("An invitation waits; it ends in 24 hours."), "{page}");
    post(addr, "/conduct/access/withdraw", &conductor, &[]).await;
    assert_eq!(post(addr, &invitation, "", &[("name", "Hadley")]).await.status, 410);
    stop(server).await;
}

#[tokio::test]
async fn signing_out_everywhere_ends_every_socket_and_a_new_passphrase_all_but_this_browser() {
    let server = served().await;
    let addr = server.0.http_addr;
    let here = set_up(&server.0).await;
    let there = sign_in(addr, PASSPHRASE, "").await.cookie();
    let socket = format!("ws://{addr}/ws/conductor");
    let elsewhere = Conductor::open_signed_in(&socket, &there).await;

    let form = |current, new, again| [("current", current), ("new", new), ("again", again)];
    let path = "/conduct/access/passphrase";
    let wrong = post(addr, path, &here, &form("reed water 5", "crook and bocal", "crook and bocal")).await;
    assert_eq!(wrong.status, 403);
    assert!(wrong.text().contains("That is not the present passphrase."));
    let short = post(addr, path, &here, &form(PASSPHRASE, "crook", "crook")).await;
    assert_eq!(short.status, 422);
    let changed = post(addr, path, &here, &form(PASSPHRASE, "crook and bocal", "crook and bocal")).await;
    assert_eq!((changed.status, changed.header("location")), (303, "/conduct/access"));
    assert_signed_out(elsewhere).await;
    assert_eq!(get(addr, "/conduct", &[("Cookie", &here)]).await.status, 403, "the token is a new one");
    let here = changed.cookie();
    assert_eq!(get(addr, "/conduct", &[("Cookie", &here)]).await.status, 200);
    assert_eq!(sign_in(addr, PASSPHRASE, "").await.status, 403);

    let open = Conductor::open_signed_in(&socket, &here).await;
    let out = post(addr, "/conduct/access/sign-out-everywhere", &here, &[]).await;
    assert_eq!((out.status, out.header("location")), (303, "/sign-in"));
    assert_signed_out(open).await;
    stop(server).await;
}

/// Waits until the socket says that nobody is signed in any more.
pub(super) async fn assert_signed_out(mut socket: Conductor) {
    let refused = loop {
        match socket.hear().await {
            Ok(ConductorHears::Refused(refused)) => break refused,
            Ok(_) => {}
            Err(code) => panic!("closed with {code:?} before a refusal"),
        }
    };
    assert_eq!(refused.reason, RefusedReason::Key);
    assert!(english(&refused.text).contains("sign in"), "{:?}", refused.text);
    assert_eq!(socket.hear().await.unwrap_err(), Some(4006));
}
