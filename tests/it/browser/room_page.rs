//! The room before the music as a conductor sees it: seats, a room check with devices that hear each other, and the pair
//! that sits too close.

use super::driver::{Browser, check_console, programs_or_say_skipped, wait_until};
use super::{text_of, write_microphone};
use fantoccini::{Client, Locator};
use std::path::PathBuf;
use tokio::sync::watch;
use windrow::player::{Address, Device, Habit, Hall, Place, SimulatedPlayer, Walls};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::note::Note;
use windrow_protocol::units::Name;
use windrow_tests::{Conductor, TestServer, hello};

/// Names, and places on a row, m: the last two 0.4 m apart, as near to each other as to their own devices.
const SEATS: [(&str, f64); 3] = [("Imogen", 0.0), ("Tobias", 2.0), ("Wren", 2.4)];

async fn check_the_room(client: Client, conductor_url: String, room_url: String) {
    client.goto(&conductor_url).await.unwrap();
    client.goto(&room_url).await.unwrap();
    wait_until(20, "three players", async || match text_of(&client, "in-title").await {
        title if title.starts_with("3 ") => Ok(()),
        title => Err(title),
    })
    .await;
    let seats = client.find_all(Locator::Css(".seat .name")).await.unwrap();
    let mut names = Vec::new();
    for seat in seats {
        names.push(seat.text().await.unwrap());
    }
    assert_eq!(names, SEATS.map(|(name, _)| name));
    client.find(Locator::Id("check")).await.unwrap().click().await.unwrap();
    wait_until(20, "somebody's turn", async || match text_of(&client, "check-label").await {
        label if label == "Stop the check" => {
            let turn = client.find_all(Locator::Css(".seat[data-turn=true]")).await.unwrap();
            if turn.is_empty() { Err("nobody's turn yet".to_owned()) } else { Ok(()) }
        }
        label => Err(label),
    })
    .await;
    // A count, a silence and three turns, three seconds each.
    wait_until(40, "the end of the check", async || match text_of(&client, "check-label").await {
        label if label == "Check again" => Ok(()),
        label => Err(label),
    })
    .await;
    wait_until(10, "what to do", async || match text_of(&client, "advice").await {
        advice if advice == "Move these stands apart, or clip the microphones on: 2 and 3." => Ok(()),
        advice => Err(advice),
    })
    .await;
    let columns = client.find_all(Locator::Css("#columns > li")).await.unwrap();
    let mut words = Vec::new();
    for column in &columns {
        words.push(column.attr("aria-label").await.unwrap().unwrap_or_default());
    }
    // 20 log10(0.4 / hypot(0.4, 0.4)) = -3.0 dB by the inverse distance law, a little more with the walls.
    assert!(words[0].starts_with("1, Imogen, clear, "), "{words:?}");
    assert_eq!(
        words[1..],
        ["2, Tobias, too close, 3 dB over chair 3", "3, Wren, too close, 3 dB over chair 2"]
    );
    assert_eq!(client.find_all(Locator::Css("#ties path")).await.unwrap().len(), 1);
    let open = client.find(Locator::Css("#all-levels summary")).await.unwrap();
    open.click().await.unwrap();
    assert_eq!(client.find_all(Locator::Css("#levels tbody tr")).await.unwrap().len(), 3);
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_conductor_reads_who_sits_too_close() {
    let Some(programs) = programs_or_say_skipped("the room's page") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("room-page.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let players = SEATS.iter().zip(1..).map(|(&(name, x_m), seed)| {
        let player = SimulatedPlayer {
            name: Name::new(name).unwrap(),
            instrument: Instrument::Flute,
            note: Note::from_midi(72).unwrap(),
            habit: Habit::Matched,
            seed,
        };
        (player, Place { x_m, y_m: 0.0 })
    });
    let hall = Hall::new(players.collect(), Walls::FAR, 440.0);
    let (stop, stopped) = watch::channel(false);
    let mut conductor = Conductor::open(&server).await;
    let mut devices = Vec::new();
    for (i, (name, _)) in SEATS.into_iter().enumerate() {
        let hello = hello(server.code(), name, Instrument::Flute);
        let address = Address::new(&server.url("/"), None).unwrap();
        let device = Device::new(address, hello, Box::new(hall.sound_at(i)));
        devices.push(tokio::spawn(device.run(stopped.clone())));
        conductor.see(|s| (s.lanes.len() == i + 1).then_some(())).await;
    }
    let (conductor_url, room_url) = (server.running().conductor_link(), server.url("/conduct/room"));
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| check_the_room(client, conductor_url, room_url)).await;
    stop.send(true).unwrap();
    for device in devices {
        device.await.unwrap().unwrap();
    }
    server.stop().await;
}
