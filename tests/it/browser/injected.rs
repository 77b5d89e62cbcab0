//! Names that are markup, as a browser builds the pages that show them: what comes with the page and what its scripts add. No
//! element comes out of a name, no script runs, and the console says nothing.

use super::driver::{Browser, Microphone, check_console, programs_or_say_skipped, wait_until};
use crate::hostile_names::filled;
use fantoccini::Client;
use serde_json::Value;
use windrow_tests::TestServer;
use windrow_tests::request::get;

/// Elements and attributes that only a name could have brought, and whether a name is shown at all.
const LOOK: &str = "return [document.querySelectorAll('.inj, [onload], [onerror]').length, \
                    document.documentElement.textContent.includes('class=inj')]";

/// Pages whose scripts ask for names when they are loaded.
const SHOWN_BY_SCRIPTS: [&str; 3] = ["/conduct", "/conduct/room", "/join/"];

async fn every_page(client: Client, server: TestServer, paths: Vec<String>) {
    client.goto(&server.running().conductor_link()).await.unwrap();
    let cookie = server.conductor_cookie();
    let mut n_shown = 0;
    for path in paths {
        let answer = get(server.running().http_addr, &path, &[("Cookie", &cookie)]).await;
        if answer.status != 200 || !answer.header("content-type").starts_with("text/html") {
            continue;
        }
        client.goto(&server.url(&path)).await.unwrap();
        let is_shown_later =
            SHOWN_BY_SCRIPTS.iter().any(|p| path == *p || (p.ends_with('/') && path.starts_with(p)));
        let look = async || {
            let found: Value = client.execute(LOOK, vec![]).await.unwrap();
            (found[0].as_u64().unwrap(), found[1].as_bool().unwrap())
        };
        if is_shown_later {
            wait_until(20, &format!("a name on {path}"), async || {
                if look().await.1 { Ok(()) } else { Err("no such name".to_owned()) }
            })
            .await;
        }
        let (n_injected, is_shown) = look().await;
        assert_eq!(n_injected, 0, "{path}: {}", client.source().await.unwrap());
        n_shown += usize::from(is_shown);
        check_console(&client).await;
    }
    assert!(n_shown >= 12, "{n_shown} pages show such a name");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn no_element_and_no_script_comes_out_of_a_name() {
    let Some(programs) = programs_or_say_skipped("names that are markup") else { return };
    let (server, paths) = filled().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| every_page(client, server, paths)).await;
}
