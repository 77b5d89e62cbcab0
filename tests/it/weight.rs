//! What each page weighs on its way to a device: itself and every file that its head names, and what those name, as a browser asks for
//! them (zipped). Limits stand a little above what pages weigh; where one is passed for a good reason it is raised in the same commit.

use std::collections::BTreeSet;
use std::net::SocketAddr;
use windrow_tests::TestServer;
use windrow_tests::request::{Answer, get, post};

/// Stands for the editor of a copy, which has an address of its own.
const EDITOR: &str = "the editor of a plan";

/// Address and limit, bytes. The player's is the design's budget; a phone of thirty that come at once has 1.3 Mbit/s.
const LIMITS: [(&str, usize); 11] = [
    ("/", 400_000),
    ("/conduct", 400_000),
    ("/conduct/room", 320_000),
    ("/conduct/results", 320_000),
    ("/conduct/plans", 120_000),
    (EDITOR, 200_000),
    ("/conduct/roster", 120_000),
    ("/conduct/access", 90_000),
    ("/welcome?device=apple", 90_000),
    ("/mine", 90_000),
    // With a room of its own, once; then it comes from the device.
    ("/practice", 700_000),
];

/// What a browser asks for an address with.
async fn fetch(addr: SocketAddr, path: &str, cookie: &str) -> Answer {
    get(addr, path, &[("Cookie", cookie), ("Accept-Encoding", "gzip"), ("Accept", "text/html")]).await
}

/// The same as it can be read.
async fn read(addr: SocketAddr, path: &str, cookie: &str) -> String {
    String::from_utf8_lossy(&get(addr, path, &[("Cookie", cookie)]).await.body).into_owned()
}

/// Addresses of our own files in a page's attributes, and in a style sheet (fonts), which stand beside it.
fn named(text: &str, at: &str) -> BTreeSet<String> {
    let beside = at.rsplit_once('/').map_or("", |(dir, _)| dir);
    let attributes = ["href=\"", "src=\""].into_iter().flat_map(|sign| text.split(sign).skip(1));
    let attributes = attributes.filter_map(|rest| rest.split_once('"')).map(|(path, _)| path.to_owned());
    let fonts = text.split("url(\"").skip(1).filter_map(|rest| rest.split_once('"'));
    let fonts = fonts.map(|(path, _)| format!("{beside}/{path}"));
    attributes.filter(|path| path.starts_with("/static/")).chain(fonts).collect()
}

#[test]
fn files_are_found_in_pages_and_in_style_sheets() {
    let page =
        "<link href=\"/static/v-1/base.css\"><script src=\"/static/v-1/a.js\"></script><a href=\"/mine\">";
    assert_eq!(
        named(page, "/").into_iter().collect::<Vec<_>>(),
        ["/static/v-1/a.js", "/static/v-1/base.css"]
    );
    let sheet = "@font-face { src: url(\"fonts/b.woff2\") format(\"woff2\"); }";
    assert_eq!(
        named(sheet, "/static/v-1/base.css").into_iter().collect::<Vec<_>>(),
        ["/static/v-1/fonts/b.woff2"]
    );
}

#[tokio::test]
async fn pages_stay_light() {
    let server = TestServer::start_secure().await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let mut offences = Vec::new();
    let copy = post(addr, "/conduct/plans", &cookie, &[("do", "copy"), ("name", "first-lesson")]).await;
    let editor = copy.header("location").to_owned();
    for (path, limit) in LIMITS {
        let path = if path == EDITOR { editor.as_str() } else { path };
        let page = fetch(addr, path, &cookie).await;
        assert_eq!(page.status, 200, "{path}");
        let mut waiting: Vec<String> = named(&read(addr, path, &cookie).await, path).into_iter().collect();
        let (mut seen, mut total) = (BTreeSet::new(), page.body.len());
        while let Some(file) = waiting.pop() {
            if !seen.insert(file.clone()) {
                continue;
            }
            let answer = fetch(addr, &file, &cookie).await;
            assert_eq!(answer.status, 200, "{path} names {file}");
            assert!(
                answer.header("cache-control").contains("immutable"),
                "{file} is asked for anew each time"
            );
            total += answer.body.len();
            if file.ends_with(".css") {
                waiting.extend(named(&read(addr, &file, &cookie).await, &file));
            }
        }
        println!("{path}: {total} bytes in {} files", seen.len() + 1);
        if total > limit {
            offences.push(format!("{path}: {total} bytes of at most {limit}"));
        }
        let has_script = seen.iter().any(|file| file.ends_with("-page.js"));
        let is_told = path != "/" || seen.iter().any(|file| file.ends_with("windrow.wasm"));
        assert!(is_told, "the player's page does not say that it will need the wasm: {seen:?}");
        assert!(has_script || !["/", "/conduct"].contains(&path), "{path} has no script: {seen:?}");
    }
    assert!(offences.is_empty(), "{}", offences.join("\n"));
}
