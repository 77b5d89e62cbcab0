//! A browser that no socket reaches, behind a proxy that lets no upgrade pass: the page goes on over a line by itself, for
//! the player and for the conductor.

use super::driver::{
    Browser, Microphone, check_console, check_console_but, programs_or_say_skipped, say, wait_until,
};
use super::{join, spoken, text_of, write_microphone};
use fantoccini::{Client, Locator};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Instant;
use tokio::io::{AsyncReadExt, AsyncWriteExt, copy_bidirectional};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use windrow_protocol::PROTOCOL_VERSION;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::units::Bpm;
use windrow_tests::{Conductor, TestServer};

/// What a proxy does with a request to open a socket.
#[derive(Debug, Clone, Copy)]
enum Upgrades {
    /// Says no at once.
    Refused,
    /// Never answers.
    Ignored,
}

/// A proxy that passes everything on but sockets; gives its address, and what cuts every connection that stands. It goes with
/// the test's runtime.
async fn proxy_without_sockets(server: SocketAddr, upgrades: Upgrades) -> (SocketAddr, watch::Sender<()>) {
    let cut = watch::Sender::new(());
    let cuts = cut.clone();
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let addr = listener.local_addr().unwrap();
    tokio::spawn(async move {
        while let Ok((device, _)) = listener.accept().await {
            tokio::spawn(pass_on(device, server, upgrades, cuts.subscribe()));
        }
    });
    (addr, cut)
}

/// A browser asks for a socket on a connection of its own, so the first request tells.
async fn pass_on(
    mut device: TcpStream,
    server: SocketAddr,
    upgrades: Upgrades,
    mut cut: watch::Receiver<()>,
) {
    let mut head = Vec::new();
    while !head.windows(4).any(|w| w == b"\r\n\r\n") {
        let mut bytes = [0; 4096];
        match device.read(&mut bytes).await {
            Ok(n) if n > 0 => head.extend_from_slice(&bytes[..n]),
            _ => return,
        }
    }
    if String::from_utf8_lossy(&head).to_lowercase().contains("upgrade: websocket") {
        match upgrades {
            Upgrades::Refused => {
                let answer = b"HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\nConnection: close\r\n\r\n";
                // The browser may have gone.
                let _ = device.write_all(answer).await;
            }
            // Until the browser gives up.
            Upgrades::Ignored => while device.read(&mut [0; 64]).await.is_ok_and(|n| n > 0) {},
        }
        return;
    }
    let Ok(mut server) = TcpStream::connect(server).await else { return };
    if server.write_all(&head).await.is_ok() {
        tokio::select! {
            _ = copy_bidirectional(&mut device, &mut server) => {}
            _ = cut.changed() => {}
        }
    }
}

async fn joins_and_is_matched(client: Client, server: TestServer, upgrades: Upgrades) {
    let (proxy, cut) = proxy_without_sockets(server.running().http_addr, upgrades).await;
    let mut conductor = Conductor::open(&server).await;
    let began = Instant::now();
    client.goto(&format!("http://{proxy}/")).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    let joined_s = began.elapsed().as_secs_f64();
    say(&format!("sockets {upgrades:?}: joined over a line {joined_s:.1} s after the page was asked for"));
    conductor.see_lane("Imogen", |lane| lane.over_line).await;
    client.find(Locator::Id("more")).await.unwrap().click().await.unwrap();
    wait_until(5, "the way the page goes", async || {
        let way = text_of(&client, "about-way").await;
        if way.contains("by the slow line") { Ok(()) } else { Err(way) }
    })
    .await;
    client.find(Locator::Css("#more-dialog form button")).await.unwrap().click().await.unwrap();

    conductor.command(ConductorSays::SetTempo { bpm: Bpm::new(66.0).unwrap(), at: Moment::Now }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Now }).await;
    conductor.command(ConductorSays::SetNote { note: Some("F4".parse().unwrap()), chair: None }).await;
    conductor.command(ConductorSays::Start).await;
    wait_until(40, "\"matched\" on the player's page", async || {
        let state = text_of(&client, "state").await;
        if state == "matched" { Ok(()) } else { Err(state) }
    })
    .await;
    let lane = conductor.see_lane("Imogen", |lane| lane.state == State::Matched).await;
    assert!(lane.trusted && !lane.pulses.is_empty(), "{lane:?}");

    // Every connection breaks: the page goes on by itself, in the same seat.
    let cut_us = server.running().now_us();
    cut.send_replace(());
    let after = conductor
        .see_lane("Imogen", |lane| {
            lane.state == State::Matched && lane.pulses.iter().any(|p| p.time_us.get() > cut_us + 1e6)
        })
        .await;
    assert_eq!((&after.player_id, after.over_line), (&lane.player_id, true));

    // The conductor's page comes through as well, and says which way the player goes.
    let tab = client.new_window(true).await.unwrap().handle;
    client.switch_to_window(tab).await.unwrap();
    let link = server.running().conductor_link();
    let path = link.split_once("://").and_then(|(_, rest)| rest.find('/').map(|at| rest[at..].to_owned()));
    client.goto(&format!("http://{proxy}{}", path.unwrap())).await.unwrap();
    wait_until(20, "Imogen's lane on the conductor's page", async || {
        let lanes = client.find_all(Locator::Css("#lanes [role=option]")).await.unwrap();
        let Some(lane) = lanes.first() else { return Err("no lane".to_owned()) };
        let words = spoken(lane).await;
        if words.contains("matched") && words.contains("slow line") { Ok(()) } else { Err(words) }
    })
    .await;
    let title = text_of(&client, "title").await;
    client.find(Locator::Id("start")).await.unwrap().click().await.unwrap();
    conductor.see(|room| room.score.is_none().then_some(())).await;
    assert_eq!(title, "Triplets at 66");
    // Sockets that were refused stand in the console, and requests that were cut; nothing else may.
    check_console_but(&client, &["WebSocket connection to", "/line/"]).await;
}

async fn run(upgrades: Upgrades) {
    let Some(programs) = programs_or_say_skipped("the way without sockets") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("fallback-{upgrades:?}.wav"));
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| joins_and_is_matched(client, server, upgrades)).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_that_no_socket_reaches_plays_along_over_a_line() {
    run(Upgrades::Refused).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_whose_socket_is_never_answered_plays_along_over_a_line() {
    run(Upgrades::Ignored).await;
}

/// Two devices on one page, one on a socket and one on a line, each with a clock of its own; after ten seconds, how far they
/// are apart and how far each may be off.
const COMPARE: &str = r"
    const [code, version, done] = arguments;
    const at = (file) => `${location.origin}/static/${file}`;
    const later = (run, ms) => setTimeout(run, ms);
    const timers = { nowMs: () => performance.now(), later, cancel: (timer) => clearTimeout(timer) };
    const compare = async () => {
        const [{ fetchDoor, SharedTime }, { RoomLine }, { RoomSocket, socketUrl }] = await Promise.all(
            ['shared-time.js', 'room-line.js', 'room-socket.js'].map((file) => import(at(file))));
        const { module } = await fetchDoor(at('windrow.wasm'));
        const post = (path, body) => fetch(path, { method: 'POST', body });
        const open = {
            socket: (url) => new WebSocket(url),
            line: () => new RoomLine('/line/player', 'hello first', { post, stream: (path) => new EventSource(path), ...timers }),
        };
        const clocks = await Promise.all(['socket', 'line'].map(async (way) => {
            const time = new SharedTime((await WebAssembly.instantiate(module, {})).exports, timers.nowMs, () => true);
            const room = new RoomSocket(socketUrl(location, '/ws/player'), { open: open[way], random: Math.random, ...timers }, {
                hello: () => ({ type: 'hello', version, code, name: way, instrument: 'flute', calibrated: false }),
                hear: () => {},
                exchange: (...times) => time.addExchange(...times),
                status: () => {},
            });
            room.start();
            return time;
        }));
        await new Promise((resolve) => setTimeout(resolve, 10_000));
        const nowMs = performance.now();
        const [socket, line] = clocks.map((time) => ({ ...time.timeQuality(), serverMs: time.serverUsAt(nowMs) / 1000 }));
        return { apartMs: line.serverMs - socket.serverMs, socket, line };
    };
    compare().then(done, (error) => done({ error: String(error) }));";

async fn same_time(client: Client, server: TestServer) {
    client.goto(&server.url("/")).await.unwrap();
    let clocks =
        client.execute_async(COMPARE, vec![server.code().into(), PROTOCOL_VERSION.into()]).await.unwrap();
    let number = |way: &str, what: &str| {
        let value = if way.is_empty() { &clocks[what] } else { &clocks[way][what] };
        value.as_f64().unwrap_or_else(|| panic!("{clocks}"))
    };
    let apart_ms = number("", "apartMs");
    let bound_ms = number("line", "boundMs") + number("socket", "boundMs");
    say(&format!(
        "clocks of a line and a socket are {apart_ms:.2} ms apart after ten seconds; likely errors {:.2} and {:.2} ms",
        number("line", "errorMs"),
        number("socket", "errorMs")
    ));
    // Each lies within its bound of the server's time (half of the least delay there and back; RFC 5905).
    assert!(apart_ms.abs() <= bound_ms, "{clocks}");
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_line_keeps_the_same_time_as_a_socket() {
    let Some(programs) = programs_or_say_skipped("a line's clock") else { return };
    let server = TestServer::start().await;
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| same_time(client, server)).await;
}
