//! The network gone for all devices at once, and back: everybody comes within a moment.

use super::rehearsal::{Rehearsal, SOON};
use super::{Row, Trying, below};
use crate::killing::free_addr;
use crate::killing::section::Place;
use crate::killing::stand::Stand;
use crate::process::{KEY, Process};
use crate::request::get;
use crate::shared_beat::proxy::{Link, Proxy};
use std::net::SocketAddr;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use tokio::sync::watch;
use tokio::time::{Instant, sleep, timeout};

const CUT_FOR: Duration = Duration::from_secs(30);

pub(super) async fn cut(trying: &Trying) -> Vec<Row> {
    vec![cut_for_a_section(trying).await, storm(trying).await]
}

async fn cut_for_a_section(trying: &Trying) -> Row {
    let tried =
        "40 devices and the conductor's page cut off for 30 s at once, coming back by their own pauses";
    let mut row = Row::new("network cut", tried);
    let trying = Trying { n_players: 40, ..trying.clone() };
    let place = Place { addr: free_addr(), code: String::new(), key: windrow::new_key() };
    let to = place.addr.parse().expect("an address");
    let proxy = Proxy::start(to, Link::wifi(0.0), 1).await;
    let dir = below(&trying, "cut");
    let begun =
        Rehearsal::begin_at(&trying, &dir, Default::default(), place, Some(proxy.addr()), &mut row).await;
    if let Some(rehearsal) = begun {
        proxy.cut();
        sleep(CUT_FOR).await;
        rehearsal.section.server_is_gone();
        let since = Instant::now();
        proxy.mend();
        rehearsal.is_over_since(since, &mut row).await;
        rehearsal.end(&mut row).await;
    }
    row
}

/// How long somebody plays over a thin link.
const THIN_FOR: Duration = Duration::from_secs(40);

/// Somebody whose phone is on a bad phone network plays with the others: they stay in, nobody waits for them, and nothing of theirs
/// is lost.
pub(super) async fn thin(trying: &Trying) -> Vec<Row> {
    let tried =
        "one device more, over 30 kbit/s, 300 ms each way and one packet in fifty 1.2 s late, for 40 s";
    let mut row = Row::new("thin link", tried);
    let dir = below(trying, "thin");
    if let Some(rehearsal) = Rehearsal::begin(trying, &dir, Default::default(), &mut row).await {
        let to = rehearsal.place.addr.parse().expect("an address");
        let proxy = Proxy::start(to, Link::thin(), 3).await;
        let mut stand = Stand::new(trying.n_players, 5);
        let n_joins = rehearsal.section.n_joins();
        let since = Instant::now();
        match stand.come_in(&proxy.addr(), &rehearsal.place.code).await {
            Some(player) => {
                row.remark(format!("in after {:.1} s", since.elapsed().as_secs_f64()));
                if timeout(THIN_FOR, stand.play(player, |_| {})).await.is_ok() {
                    row.wrong("the device lost its connection");
                }
            }
            None => row.wrong("the device did not get in"),
        }
        row.remark(format!("{} of its {} messages not acknowledged yet", stand.n_unsafe(), stand.said.len()));
        if stand.acknowledged == 0 {
            row.wrong("nothing of it was acknowledged");
        }
        rehearsal.went_on(&mut row);
        if rehearsal.section.n_joins() != n_joins {
            row.wrong("others lost their connection");
        }
        let since = Instant::now();
        if !stand.hand_over(&rehearsal.place.addr, &rehearsal.place.code).await {
            row.wrong("it could not hand over all it had");
        }
        rehearsal.is_over_since(since, &mut row).await;
        rehearsal.end_with(vec![stand], &mut row).await;
    }
    vec![row]
}

/// Devices of a room in a storm.
const OF_A_ROOM: u16 = 25;

/// Devices in many rooms that come back at once, without music: what is measured is the way in.
async fn storm(trying: &Trying) -> Row {
    let n_rooms = trying.n_storm.div_ceil(OF_A_ROOM).clamp(1, 64);
    let n_devices = n_rooms * OF_A_ROOM;
    let tried = format!(
        "{n_devices} devices in {n_rooms} rooms cut off for 30 s at once, coming back by their own pauses"
    );
    let mut row = Row::new("network cut, many", &tried);
    let addr = free_addr();
    let key = windrow::new_key();
    let mut command = Command::new(&trying.program);
    command.args(["serve", "--http", &addr, "--no-https"]).env(KEY, &key);
    for room in 1..=n_rooms {
        command.args(["--section", &format!("Section {room}")]);
    }
    command.stderr(Stdio::null()).stdin(Stdio::null());
    let dir = below(trying, "storm");
    let started = tokio::task::spawn_blocking(move || Process::start(&mut command, &dir)).await;
    let Ok(mut server) = started else {
        row.wrong("the server did not start");
        return row;
    };
    let to = addr.parse().expect("an address");
    let codes = codes(to, &key).await;
    if codes.len() < usize::from(n_rooms) {
        row.wrong(format!("{} rooms are open, not {n_rooms}", codes.len()));
        return row;
    }
    let proxy = Proxy::start(to, Link::wifi(0.0), 1).await;
    let n_in = Arc::new(AtomicUsize::new(0));
    let (stop, stopping) = watch::channel(false);
    let mut devices = Vec::new();
    for i in 0..n_devices {
        let (code, at) = (codes[usize::from(i / OF_A_ROOM)].clone(), proxy.addr());
        let (n_in, mut stopping) = (n_in.clone(), stopping.clone());
        devices.push(tokio::spawn(async move {
            let mut stand = Stand::new(i, 11);
            let going_on = async {
                loop {
                    if let Some(player) = stand.come_in(&at, &code).await {
                        n_in.fetch_add(1, Ordering::SeqCst);
                        stand.play(player, |_| {}).await;
                        n_in.fetch_sub(1, Ordering::SeqCst);
                    }
                    sleep(stand.pause()).await;
                }
            };
            tokio::select! {
                () = going_on => {}
                _ = stopping.wait_for(|stop| *stop) => {}
            }
        }));
    }
    let all_in = |within: Duration| {
        let n_in = n_in.clone();
        async move {
            let since = Instant::now();
            while n_in.load(Ordering::SeqCst) < usize::from(n_devices) && since.elapsed() < within {
                sleep(Duration::from_millis(5)).await;
            }
            (n_in.load(Ordering::SeqCst) == usize::from(n_devices)).then(|| since.elapsed())
        }
    };
    match all_in(SOON * 2).await {
        Some(took) => row.remark(format!("all in at first after {:.1} s", took.as_secs_f64())),
        None => row.wrong(format!("{} got in at first", n_in.load(Ordering::SeqCst))),
    }
    proxy.cut();
    sleep(CUT_FOR).await;
    if n_in.load(Ordering::SeqCst) > 0 {
        row.wrong("some did not notice");
    }
    proxy.mend();
    match all_in(SOON * 2).await {
        Some(took) => row.recovered_ms = Some(took.as_secs_f64() * 1e3),
        None => row.wrong(format!("{} came back", n_in.load(Ordering::SeqCst))),
    }
    stop.send_replace(true);
    for device in devices {
        // It only plays.
        let _ = device.await;
    }
    server.kill();
    row
}

/// Join codes of all rooms.
async fn codes(addr: SocketAddr, key: &str) -> Vec<String> {
    let signed_in = get(addr, &format!("/conduct?key={key}"), &[]).await;
    let rooms = get(addr, "/conduct/rooms.json", &[("Cookie", &signed_in.cookie())]).await;
    let rooms: serde_json::Value = serde_json::from_slice(&rooms.body).unwrap_or_default();
    let all = rooms["rooms"].as_array().cloned().unwrap_or_default();
    all.iter().filter_map(|room| room["code"].as_str().map(str::to_owned)).collect()
}
