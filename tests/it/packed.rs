//! Pulses of sessions that are over lie packed, and whoever reads them sees no difference.

use windrow::store::{PulseRow, Store, Whose};
use windrow_protocol::instrument::Instrument;
use windrow_tests::records::{self, number};
use windrow_tests::{Player, TestServer, batch, new_data_dir};

const OF_VERSION_1: &str = "0193a1b0-0000-7000-8000-000000000011";

fn pulse(time_us: i64, depth_db: f64, swing_cents: f64, mean_cents: Option<f64>, choked: bool) -> PulseRow {
    PulseRow { time_us, depth_db, swing_cents, mean_cents, choked }
}

#[tokio::test]
async fn pulses_are_packed_to_the_steps_that_are_documented_and_only_once() {
    let dir = new_data_dir();
    records::make(&dir, 1).await;
    let file = dir.join(records::FILE);
    let store = Store::open(&dir).await.unwrap();
    let before = store.players().await.unwrap();
    assert_eq!(store.pack_pulses().await.unwrap(), 3, "players with pulses");
    assert_eq!(store.pack_pulses().await.unwrap(), 0);
    assert_eq!(store.players().await.unwrap(), before, "as many as before");
    // By hand from tests/fixtures/records/0001.sql: 0.1 ms, 0.01 dB, 0.1 cent.
    let expected = [
        pulse(6_000_000, 6.02, 11.9, Some(-3.2), false),
        pulse(6_333_200, 7.5, 12.5, None, true),
        pulse(6_666_500, 5.99, 10.1, Some(2.0), false),
    ];
    assert_eq!(store.pulses_of(OF_VERSION_1).await.unwrap(), expected);
    store.close().await;
    assert_eq!(number(&file, "select count(*) from pulses").await, 0);
    assert_eq!(number(&file, "select n_pulses from pulse_packs where last_seq = 2").await, 3);
    // One more that comes late is read with the others, and packed with them.
    let late = format!("insert into pulses values ('{OF_VERSION_1}', 5, 0, 7000000, 1.0, 2.0, 3.0, 0)");
    records::run(&file, &late).await;
    let store = Store::open(&dir).await.unwrap();
    let all = store.pulses_of(OF_VERSION_1).await.unwrap();
    assert_eq!((all.len(), &all[..3]), (4, &expected[..]));
    assert_eq!(store.pack_pulses().await.unwrap(), 1);
    assert_eq!(store.pulses_of(OF_VERSION_1).await.unwrap(), all);
    store.close().await;
    assert_eq!(number(&file, "select n_pulses from pulse_packs where last_seq = 5").await, 4);
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn the_session_that_goes_on_is_not_packed() {
    let server = TestServer::start().await;
    let mut imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    let session = "(select session_id from rooms_served)";
    let file = server.data_dir().join(records::FILE);
    let of_it =
        format!("select count(*) from pulses join players using (player_id) where session_id = {session}");
    assert_eq!(number(&file, &of_it).await, 3);
    let store = Store::open(server.data_dir()).await.unwrap();
    assert_eq!(store.pack_pulses().await.unwrap(), 0);
    store.close().await;
    let dir = server.stop().await;
    let store = Store::open(&dir).await.unwrap();
    assert_eq!(store.pack_pulses().await.unwrap(), 1, "it is over");
    store.close().await;
    std::fs::remove_dir_all(dir).unwrap();
}

#[tokio::test]
async fn a_pack_goes_with_its_player_from_the_files_bytes() {
    let dir = new_data_dir();
    records::make(&dir, 3).await;
    let store = Store::open(&dir).await.unwrap();
    store.pack_pulses().await.unwrap();
    store.close().await;
    let file = dir.join(records::FILE);
    let mut connection = records::open(&file).await;
    let wren = "select hex(pulses) from pulse_packs where player_id = '0193a1b0-0000-7000-8000-000000000014'";
    let pack = records::column(&mut connection, wren).await.swap_remove(0);
    drop(connection);
    let pack: Vec<u8> =
        (0..pack.len() / 2).map(|n| u8::from_str_radix(&pack[2 * n..2 * n + 2], 16).unwrap()).collect();
    let stands = |bytes: &[u8]| std::fs::read(&file).unwrap().windows(bytes.len()).any(|w| w == bytes);
    assert!(stands(&pack), "it is there before");
    let store = Store::open(&dir).await.unwrap();
    store.erase(&Whose::Person("0193a1b0-0000-7000-8000-000000000031".to_owned())).await.unwrap();
    assert!(!stands(&pack) && !stands(b"0193a1b0-0000-7000-8000-000000000014"));
    store.close().await;
    std::fs::remove_dir_all(dir).unwrap();
}
