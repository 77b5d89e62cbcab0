//! `windrow demo` as a person or a script runs it, and the simulated player's device on a bad network. The sound is
//! synthesised and analysed in real time, so these tests take as long as the music they play.

use serde_json::Value;
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::AbortHandle;
use windrow::player::{Address, Device, Habit, SimulatedPlayer, SimulatedSound};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::note::Note;
use windrow_protocol::units::{Bpm, Name};
use windrow_tests::{Conductor, TestServer, hello};

/// Names of the fields that scripts rely on.
const FIELDS: [&str; 8] = [
    "player",
    "intended",
    "state",
    "pulse_rate_hz",
    "centre_cents",
    "depth_db_pp",
    "swing_cents_pp",
    "trusted",
];

fn demo(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    command.arg("demo").args(arguments);
    command
}

#[test]
fn every_fault_is_found_from_the_sound() {
    let output = demo(&["--headless", "--for", "14", "--json"]).output().unwrap();
    let (text, errors) =
        (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
    assert!(output.status.success(), "{errors}");
    assert_eq!(errors, "");
    let players: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(players.len(), 8, "{text}");
    for player in &players {
        for field in FIELDS {
            assert!(player.get(field).is_some(), "{field} is missing: {player}");
        }
        assert_eq!(player["state"], player["intended"], "{text}");
        assert_eq!(player["trusted"], true, "{text}");
    }
    let mut intended: Vec<&str> = players.iter().map(|p| p["intended"].as_str().unwrap()).collect();
    intended.sort_unstable();
    let expected =
        ["choked valleys", "drifting sharp", "fast", "late", "matched", "matched", "pitch-led", "shallow"];
    assert_eq!(intended, expected);
    // Triplets at 72 are 3.6 pulses a second.
    let matched = players.iter().find(|p| p["state"] == "matched").unwrap();
    assert!((matched["pulse_rate_hz"].as_f64().unwrap() - 3.6).abs() < 0.03 * 3.6, "{matched}");
}

/// A demonstration with pages, ended when the test does.
struct Shown(Child);

impl Drop for Shown {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn a_taken_port_is_no_obstacle_and_the_link_opens_the_conductor_s_page() {
    // Whether this test takes the usual port or someone else has: the demonstration must find another.
    let _taken = std::net::TcpListener::bind("127.0.0.1:8470");
    let data = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("demo-data");
    let mut command = demo(&["--data", data.to_str().unwrap()]);
    let mut shown = Shown(command.stdout(Stdio::piped()).spawn().unwrap());
    let lines = BufReader::new(shown.0.stdout.take().unwrap()).lines().map(Result::unwrap);
    let mut printed = Vec::new();
    let link = lines
        .inspect(|line| printed.push(line.clone()))
        .find_map(|line| line.trim().strip_prefix("http://").map(str::to_owned))
        .unwrap();
    assert!(printed[0].contains("8470"), "{printed:?}");
    let (addr, rest) = link.split_once('/').unwrap();
    assert!(rest.starts_with("conduct?key="), "{link}");
    assert_ne!(addr, "127.0.0.1:8470");
    let page = get(addr, &format!("/{rest}"));
    let cookie = page.lines().find_map(|l| l.strip_prefix("set-cookie: ")).unwrap();
    let cookie = cookie.split(';').next().unwrap();
    let page = get_with(addr, "/conduct", &format!("Cookie: {cookie}\r\n"));
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    assert!(page.contains("Larkmoor Youth Winds"), "{page}");
}

fn get(addr: &str, path: &str) -> String {
    get_with(addr, path, "")
}

fn get_with(addr: &str, path: &str, header: &str) -> String {
    use std::io::{Read, Write};
    let mut stream = std::net::TcpStream::connect(addr).unwrap();
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {addr}\r\n{header}Connection: close\r\n\r\n").unwrap();
    let mut page = Vec::new();
    stream.read_to_end(&mut page).unwrap();
    String::from_utf8_lossy(&page).into_owned()
}

/// A network between a device and the server that can be cut.
struct Network {
    addr: std::net::SocketAddr,
    open: Arc<Mutex<Vec<AbortHandle>>>,
}

impl Network {
    async fn to(server: &TestServer) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let addr = listener.local_addr().unwrap();
        let (open, beyond) = (Arc::<Mutex<Vec<AbortHandle>>>::default(), server.running().http_addr);
        let opened = open.clone();
        tokio::spawn(async move {
            while let Ok((mut near, _)) = listener.accept().await {
                let passing = tokio::spawn(async move {
                    let mut far = TcpStream::connect(beyond).await.unwrap();
                    // However it ends, both ends are dropped.
                    let _ = tokio::io::copy_bidirectional(&mut near, &mut far).await;
                });
                opened.lock().unwrap().push(passing.abort_handle());
            }
        });
        Self { addr, open }
    }

    fn cut(&self) {
        self.open.lock().unwrap().drain(..).for_each(|connection| connection.abort());
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_device_that_loses_the_network_comes_back_to_its_chair_and_misses_no_pulse() {
    let server = TestServer::start().await;
    let network = Network::to(&server).await;
    let player = SimulatedPlayer {
        name: Name::new("Wren").unwrap(),
        instrument: Instrument::Flute,
        note: Note::from_midi(72).unwrap(),
        habit: Habit::Matched,
        seed: 1,
    };
    let hello = hello(server.code(), "Wren", Instrument::Flute);
    let address = Address::new(&format!("http://{}", network.addr), None).unwrap();
    let device = Device::new(address, hello, Box::new(SimulatedSound::new(&player, 440.0)));
    let (stop, stopped) = watch::channel(false);
    let device = tokio::spawn(device.run(stopped));
    let mut conductor = Conductor::open(&server).await;
    conductor.see_lane("Wren", |_| true).await;
    for says in [
        ConductorSays::SetTempo { bpm: Bpm::new(120.0).unwrap(), at: Moment::Bar },
        ConductorSays::SetSubdivision { per_beat: 2, at: Moment::Bar },
        ConductorSays::SetCountIn { bars: 0 },
        ConductorSays::Start,
    ] {
        conductor.command(says).await;
    }
    conductor.see_lane("Wren", |lane| lane.state == State::Matched).await;
    network.cut();
    conductor.see_lane("Wren", |lane| lane.state == State::Away).await;
    let back =
        conductor.see_lane("Wren", |lane| lane.state == State::Matched && lane.pulses.len() >= 16).await;
    assert_eq!(back.chair, 1);
    // Eighths at 120: 0.25 s apart, over the cut as well.
    let gaps = back.pulses.windows(2).map(|w| (w[1].time_us.get() - w[0].time_us.get()) / 1e6);
    let longest_s = gaps.fold(0.0, f64::max);
    assert!(longest_s < 0.35, "{longest_s} s without a pulse: {:?}", back.pulses);
    assert_eq!(conductor.see(|s| Some(s.lanes.len())).await, 1, "no second chair");
    stop.send(true).unwrap();
    device.await.unwrap().unwrap();
    conductor.see_lane("Wren", |lane| lane.state == State::Away).await;
    server.stop().await;
}

#[tokio::test]
async fn a_device_with_a_wrong_code_gives_up_and_says_why() {
    let server = TestServer::start().await;
    let player = SimulatedPlayer {
        name: Name::new("Wren").unwrap(),
        instrument: Instrument::Flute,
        note: Note::from_midi(72).unwrap(),
        habit: Habit::Matched,
        seed: 1,
    };
    let sound = Box::new(SimulatedSound::new(&player, 440.0));
    let hello = hello("NNNNNN", "Wren", Instrument::Flute);
    let (_stop, stopped) = watch::channel(false);
    let refusal = Device::new(Address::new(&server.url("/"), None).unwrap(), hello, sound)
        .run(stopped)
        .await
        .unwrap_err();
    assert!(refusal.to_string().contains("NNNNNN"), "{refusal}");
    server.stop().await;
}

#[test]
fn options_that_make_no_sense_are_refused_with_their_value() {
    for (arguments, named) in [
        (vec!["--headless", "--for", "0"], "\"0\""),
        (vec!["--headless", "--for", "soon"], "\"soon\""),
        (vec!["--json"], "--headless"),
    ] {
        let output = demo(&arguments).output().unwrap();
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(!output.status.success() && errors.contains(named), "{arguments:?}: {errors}");
    }
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let addr = taken.local_addr().unwrap().to_string();
    let output = demo(&["--headless", "--for", "1", "--http", &addr]).output().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{errors}");
    assert!(errors.contains(&addr) && errors.contains("--http"), "{errors}");
}
