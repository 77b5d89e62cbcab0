//! Practice at home, as a player has it: a visit in the rehearsal, then an evening without the teacher's computer, then the next rehearsal. The
//! microphone hears triplets at 66, so what is held is known.

use super::driver::{Browser, check_console_but, programs_or_say_skipped, wait_until};
use super::{join, text_of, write_microphone};
use fantoccini::{Client, Locator};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use windrow::config::ReachConfig;
use windrow::store::{SessionKind, Store};
use windrow_tests::TestServer;
use windrow_tests::request::{post, put};

/// Four bars of what the microphone hears, and no more.
const PLAN: &str = r#"{"format": "windrow-plan", "version": 1, "name": "evenings", "title": "Evenings", "beats_per_bar": 4, "exercises": [
    {"title": "Triplets", "note": "F4", "play": {"pulses": {"bpm": 66, "values": ["triplets"], "times": 4}}}]}"#;

/// A server that is always at the same address, so that it is the same site to a browser.
async fn serve_at(addr: SocketAddr, data: &Path) -> TestServer {
    TestServer::start_with(|config| {
        config.reach = ReachConfig::plain_http(addr);
        config.data_dir = data.to_owned();
    })
    .await
}

async fn press(client: &Client, id: &str) {
    wait_until(10, &format!("{id} to be pressed"), async || {
        let found = client.find(Locator::Id(id)).await.map_err(|e| e.to_string())?;
        found.click().await.map_err(|e| e.to_string())
    })
    .await;
}

/// Waits until an element reads like this.
async fn reads(client: &Client, seconds: u64, id: &str, part: &str) -> String {
    wait_until(seconds, &format!("{id} with {part:?}"), async || {
        let text = text_of(client, id).await;
        if text.contains(part) { Ok(text) } else { Err(text) }
    })
    .await
}

/// What the page says of whether it can be kept.
async fn keeping(client: &Client) -> String {
    wait_until(20, "whether the page is kept", async || {
        let asked = "return [...document.querySelectorAll('[data-keeping]')].find((e) => !e.hidden)?.dataset.keeping ?? ''";
        match client.execute(asked, vec![]).await.unwrap().as_str() {
            Some("") | None => Err("nothing yet".to_owned()),
            Some(keeping) => Ok(keeping.to_owned()),
        }
    })
    .await
}

/// The practices in the records.
async fn practices(data: &Path) -> usize {
    let store = Store::open(data).await.unwrap();
    let all = store.rehearsals(None).await.unwrap();
    store.close().await;
    all.iter().filter(|row| row.kind == SessionKind::Practice).count()
}

async fn from_a_visit_to_the_next_rehearsal(client: Client, addr: SocketAddr, data: PathBuf) {
    let server = serve_at(addr, &data).await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let made = put(addr, "/conduct/plans/evenings.json", &cookie, &[], PLAN).await;
    assert_eq!(made.status, 200, "{}", made.text());
    let set = post(addr, "/conduct/plans/for-home", &cookie, &[("name", "evenings")]).await;
    assert_eq!(set.status, 303);
    let at = |path: &str| format!("http://{addr}{path}");

    // In the rehearsal: the device gets to be known, and keeps the page.
    client.goto(&at("/")).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    client.goto(&at("/practice")).await.unwrap();
    reads(&client, 20, "plan-title", "Evenings").await;
    assert_eq!(keeping(&client).await, "kept");
    reads(&client, 10, "known-as", "You are Imogen, flute").await;
    server.stop().await;

    // At home: nobody answers.
    client.goto(&at("/practice")).await.unwrap();
    reads(&client, 20, "plan-title", "Evenings").await;
    assert!(text_of(&client, "plan-set").await.contains("Larkmoor Youth Winds"));
    press(&client, "begin").await;
    reads(&client, 20, "who", "Imogen, flute 1").await;
    press(&client, "practice-start").await;
    reads(&client, 30, "state", "matched").await;
    assert_eq!(text_of(&client, "title").await, "Triplets at 66");
    // What is shown comes from the rules of every room: at the end of the plan it is quiet.
    wait_until(40, "the end of the exercise", async || {
        let on = client.execute("return document.body.dataset.practice", vec![]).await.unwrap();
        if on == "off" { Ok(()) } else { Err(on.to_string()) }
    })
    .await;
    press(&client, "practice-done").await;
    let came_to = reads(&client, 10, "came-to-now", "Time played").await;
    assert!(came_to.contains("You held Triplets at 66 for four bars"), "{came_to}");
    reads(&client, 10, "practices", "On this device alone so far").await;
    // A page that is opened anew still has it.
    client.goto(&at("/practice")).await.unwrap();
    let listed = reads(&client, 20, "practices", "Evenings").await;
    assert!(listed.contains("held Triplets at 66"), "{listed}");

    // The next rehearsal: asked once, handed in, told once.
    let server = serve_at(addr, &data).await;
    client.goto(&at("/")).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    reads(&client, 20, "hand-in-asked", "You practised at home once").await;
    press(&client, "hand-in-yes").await;
    reads(&client, 20, "notice-text", "A practice from home is with your teacher now").await;
    client.goto(&at("/practice")).await.unwrap();
    reads(&client, 20, "practices", "With your teacher").await;

    // The same again, as if no answer had come: it is not counted twice.
    let forget = "
        const done = arguments[0];
        const opening = indexedDB.open('windrow-practice');
        opening.onsuccess = () => {
            const heads = opening.result.transaction('heads', 'readwrite').objectStore('heads');
            heads.getAll().onsuccess = (event) => {
                const [head] = event.target.result;
                heads.put({ ...head, handed_in_unix_ms: null }).onsuccess = () => {
                    localStorage.setItem('windrow-practices-waiting', '1');
                    done(event.target.result.length);
                };
            };
        };";
    assert_eq!(client.execute_async(forget, vec![]).await.unwrap(), 1);
    client.goto(&at("/")).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    wait_until(30, "nothing waiting", async || {
        let waiting =
            client.execute("return localStorage.getItem('windrow-practices-waiting')", vec![]).await;
        match waiting.unwrap().as_str() {
            Some("0") => Ok(()),
            waiting => Err(format!("{waiting:?}")),
        }
    })
    .await;
    server.stop().await;
    assert_eq!(practices(&data).await, 1);
    // What was asked for while nobody was there, by the page and by the worker.
    check_console_but(&client, &["ERR_CONNECTION_REFUSED", "WebSocket"]).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_was_practised_without_a_server_is_handed_in_once() {
    let Some(programs) = programs_or_say_skipped("practice at home") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("practice.wav");
    write_microphone(&microphone);
    let data = windrow_tests::new_data_dir();
    // A port that was free a moment ago.
    let addr = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    let browser = Browser::open(programs, &microphone).await;
    let records = data.clone();
    browser.during(move |client| from_a_visit_to_the_next_rehearsal(client, addr, records)).await;
    let _ = std::fs::remove_dir_all(&data);
}

/// Where the browser does not trust the certificate, it keeps nothing, and the page says so and what to do.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn under_a_certificate_that_is_not_trusted_the_page_says_that_it_cannot_be_kept() {
    let Some(programs) = programs_or_say_skipped("practice without trust") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("practice-untrusted.wav");
    write_microphone(&microphone);
    let server = TestServer::start_secure().await;
    let port = server.running().https_addr.unwrap().port();
    let browser = Browser::open(programs, &microphone).await;
    browser
        .during(move |client| async move {
            // The driver may call the warning an error.
            client.goto(&format!("https://127.0.0.1:{port}/practice")).await.ok();
            press(&client, "details-button").await;
            press(&client, "proceed-link").await;
            reads(&client, 20, "practice-title", "Practice at home").await;
            assert_eq!(keeping(&client).await, "certificate");
            // It can be practised with all the same.
            let field = async |id: &str| client.find(Locator::Id(id)).await.unwrap();
            field("name").await.send_keys("Imogen").await.unwrap();
            field("instrument").await.select_by_label("flute").await.unwrap();
            press(&client, "begin").await;
            reads(&client, 20, "who", "Imogen, flute 1").await;
            drop(server);
        })
        .await;
}
