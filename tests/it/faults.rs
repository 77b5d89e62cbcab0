//! What happens when something breaks under a rehearsal: the music goes on, nothing is acknowledged that is not safe, the conductor
//! reads what is wrong, and afterwards everything comes in. `--bin faults` tries the same for longer and with more devices.

use sqlx::Connection;
use std::path::Path;
use windrow::words::{Language, Words};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Hello, Moment, PlayerHears, Snapshot};
use windrow_protocol::units::Bpm;
use windrow_tests::faults::{Trying, run};
use windrow_tests::records::{FILE, number};
use windrow_tests::{Conductor, Player, TestServer, batch, hello, new_data_dir};

/// A conductor, a player and the music.
async fn rehearse(server: &TestServer) -> (Conductor, Player) {
    let mut conductor = Conductor::open(server).await;
    let mut imogen = Player::join(server, "Imogen", Instrument::Flute).await;
    imogen.say(&batch(1, 3)).await;
    imogen.hear_ack(1).await;
    conductor.command(ConductorSays::Start).await;
    conductor.see(|room| room.score.is_some().then_some(())).await;
    (conductor, imogen)
}

/// What stands on the conductor's page of what is wrong.
fn troubles(room: &Snapshot) -> Vec<String> {
    let words = Words::new(Language::English);
    let asks_nothing = room.notices.iter().filter(|notice| notice.answers.is_empty());
    asks_nothing.map(|notice| words.phrase(&notice.text)).collect()
}

async fn reads(conductor: &mut Conductor, part: &str) {
    conductor.see(|room| troubles(room).iter().any(|text| text.contains(part)).then_some(())).await;
}

async fn reads_nothing(conductor: &mut Conductor) {
    conductor.see(|room| troubles(room).is_empty().then_some(())).await;
}

/// A tempo given now arrives at the player, who hears of no batch that it is safe.
async fn the_music_goes_on(conductor: &mut Conductor, player: &mut Player, bpm: f64) {
    let bpm = Bpm::new(bpm).unwrap();
    conductor.command(ConductorSays::SetTempo { bpm, at: Moment::Beat }).await;
    player
        .hear(|message| match message {
            PlayerHears::Score { score: Some(score) } => {
                score.spans.iter().any(|span| span.bpm == bpm).then_some(())
            }
            PlayerHears::Ack { seq } => panic!("number {seq} is acknowledged, but not safe"),
            _ => None,
        })
        .await;
}

/// The player is let go, comes back and hands over what was kept.
async fn hands_over(server: &TestServer, mut player: Player, last: u32) {
    let token = Some(player.welcome.token.clone());
    while player.next().await.is_some() {}
    let back = Hello { token, ..hello(server.code(), "Imogen", Instrument::Flute) };
    let mut player = Player::join_as(server, back).await;
    for seq in player.welcome.acknowledged + 1..=last {
        player.say(&batch(seq, 3)).await;
    }
    player.hear_ack(last).await;
    assert_eq!(n_pulses(server.data_dir()).await, 3 * i64::from(last), "each once");
}

async fn n_pulses(data_dir: &Path) -> i64 {
    number(&data_dir.join(FILE), "select count(*) from pulses").await
}

#[tokio::test]
async fn while_another_program_holds_the_records_the_rehearsal_goes_on() {
    let server = TestServer::start().await;
    let (mut conductor, mut imogen) = rehearse(&server).await;
    let mut other = windrow_tests::records::open(&server.data_dir().join(FILE)).await;
    sqlx::query("begin immediate").execute(&mut other).await.unwrap();
    imogen.say(&batch(2, 3)).await;
    the_music_goes_on(&mut conductor, &mut imogen, 63.0).await;
    reads(&mut conductor, "another program is using the file").await;
    the_music_goes_on(&mut conductor, &mut imogen, 66.0).await;
    // Whoever comes now gets in.
    Player::join(&server, "Tobias", Instrument::Bassoon).await;
    sqlx::query("rollback").execute(&mut other).await.unwrap();
    other.close().await.unwrap();
    reads_nothing(&mut conductor).await;
    hands_over(&server, imogen, 2).await;
}

#[cfg(target_os = "linux")]
#[tokio::test(flavor = "multi_thread")]
async fn while_all_connections_are_taken_the_conductor_reads_that_nobody_else_gets_in() {
    let (program, dir) = (env!("CARGO_BIN_EXE_windrow_under_test").into(), new_data_dir());
    let only = Some("out of handles".to_owned());
    let rows = run(&Trying { program, dir, n_players: 2, n_storm: 0, long: false, only }, |_| {}).await;
    // Once the system gives no more, once this program takes no more.
    assert_eq!(rows.len(), 2);
    for row in rows {
        assert!(row.told.iter().any(|text| text.contains("Nobody else gets in")), "{row:?}");
        assert_eq!(row.lost + row.doubled, 0, "{row:?}");
    }
}

#[cfg(target_os = "linux")]
#[tokio::test]
async fn on_a_full_disk_the_rehearsal_goes_on() {
    use windrow_tests::faults::SmallDisk;
    let Some(disk) = SmallDisk::mount(16) else {
        eprintln!("skipped: a small disk can be mounted by an administrator alone");
        return;
    };
    let server = TestServer::start_in(disk.path().join("records")).await;
    let (mut conductor, mut imogen) = rehearse(&server).await;
    disk.fill();
    imogen.say(&batch(2, 40)).await;
    reads(&mut conductor, "the disk of this computer is full").await;
    the_music_goes_on(&mut conductor, &mut imogen, 63.0).await;
    disk.make_room();
    reads_nothing(&mut conductor).await;
    let token = Some(imogen.welcome.token.clone());
    while imogen.next().await.is_some() {}
    let back = Hello { token, ..hello(server.code(), "Imogen", Instrument::Flute) };
    let mut imogen = Player::join_as(&server, back).await;
    imogen.say(&batch(2, 40)).await;
    imogen.hear_ack(2).await;
    assert_eq!(n_pulses(server.data_dir()).await, 43);
    drop((conductor, imogen));
    std::fs::remove_dir_all(server.stop().await).unwrap();
}
