//! `windrow play` as a person runs it: the program itself, with a recording as its microphone, in a real room.

use std::process::{Child, Command, Stdio};
use windrow_analysis::signals::{Pulsing, Timbre, render};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::units::Bpm;
use windrow_tests::wave_file::{Encoding, write_wave};
use windrow_tests::{Conductor, TestServer};

fn play(arguments: &[&str]) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    let piped = command.arg("play").args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped());
    piped.spawn().unwrap()
}

/// What a program that ended by itself printed, and whether it was content.
async fn ended(child: Child) -> (bool, String, String) {
    let output = tokio::task::spawn_blocking(|| child.wait_with_output()).await.unwrap().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.success(), text(output.stdout), text(output.stderr))
}

/// Ten seconds of F4 with 3.3 pulses a second of 6 dB and 10 cents.
fn recording() -> String {
    let dir = super::measure::dir("play");
    let pulsing = Pulsing { peak_gain: 0.3, ..super::measure::pulsing(349.228, 3.3) };
    let tone = render(48_000.0, Timbre::falling(8), -66.0, 5, 10.0, |t| pulsing.at(t));
    let path = dir.join(format!("f4-{}.wav", std::process::id()));
    write_wave(&path, 48_000, 1, Encoding::Int16, &tone);
    path.to_str().unwrap().to_owned()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_recording_is_a_player_like_any_other_over_https_too() {
    let server = TestServer::start_secure().await;
    let mut conductor = Conductor::open(&server).await;
    for says in [
        ConductorSays::SetTempo { bpm: Bpm::new(66.0).unwrap(), at: Moment::Bar },
        ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Bar },
        ConductorSays::SetCountIn { bars: 0 },
        ConductorSays::Start,
    ] {
        conductor.command(says).await;
    }
    let url = format!("https://{}/?code={}", server.running().https_addr.unwrap(), server.code());
    let authority = server.data_dir().join("certificate").join("authority.pem");
    let wav = recording();
    let player = play(&[
        "--server",
        &url,
        "--code",
        server.code(),
        "--name",
        "Wren",
        "--wav",
        &wav,
        "--trust",
        authority.to_str().unwrap(),
    ]);
    conductor.see_lane("Wren", |lane| lane.state == State::Matched).await;
    let (content, said, log) = ended(player).await;
    assert!(content, "{log}");
    assert!(said.contains("You are flute 1, chair 1, in Larkmoor Youth Winds."), "{said}");
    assert!(said.contains("Triplets at 66") && said.contains("matched"), "{said}");
    conductor.see_lane("Wren", |lane| lane.state == State::Away).await;
}

#[tokio::test]
async fn what_is_wrong_is_said_with_what_to_do() {
    let server = TestServer::start().await;
    let (url, wav) = (server.url("/"), recording());
    for (arguments, expected) in [
        (vec!["--server", &url, "--code", "AAAAAA", "--wav", &wav], "no rehearsal has the code AAAAAA"),
        (vec!["--server", &url, "--code", server.code()], "give --wav FILE or --microphone"),
        (vec!["--server", &url, "--code", server.code(), "--wav", "none.wav"], "there is no such file"),
        (vec!["--server", "10.0.0.5", "--code", "AAAAAA", "--wav", &wav], "is no address of a room"),
        (vec!["--server", "https://10.0.0.5", "--code", "AAAAAA", "--wav", &wav], "with --trust"),
        (vec!["--server", &url, "--code", "AAAAAA", "--instrument", "kazoo"], "choose one of piccolo, flute"),
    ] {
        let arguments: Vec<&str> = [arguments, vec!["--name", "Wren"]].concat();
        let (content, said, log) = ended(play(&arguments)).await;
        assert!(!content && log.contains(expected), "{arguments:?}: {said}{log}");
    }
}
