//! Tests of the writer: what it says is safe is in the file, and a write that fails loses nothing.

use crate::store::condition::Trouble;
use crate::store::records::{SessionRow, Store};
use crate::store::writer::{Bound, Outcome, PlayerRecord, Record, Recorder};
use std::path::PathBuf;
use tokio::sync::mpsc;
use tokio::task::JoinHandle;
use windrow_protocol::messages::Pulse;
use windrow_protocol::units::{Cents, Decibels, Micros};

/// Records in a directory of their own, and a room's end of the queue.
struct Desk {
    dir: PathBuf,
    store: Store,
    recorder: Recorder,
    writer: JoinHandle<()>,
    outcomes_sender: mpsc::Sender<Outcome>,
    outcomes: mpsc::Receiver<Outcome>,
}

impl Desk {
    async fn new() -> Self {
        let dir = std::env::temp_dir().join(format!("windrow-writer-{}", uuid::Uuid::now_v7()));
        std::fs::create_dir_all(&dir).unwrap();
        let store = Store::open(&dir).await.unwrap();
        let session = SessionRow {
            session_id: "s1".to_owned(),
            code: "KF3M7P".to_owned(),
            section_name: "Larkmoor Youth Winds".to_owned(),
            a4_hz: 440.0,
            time_nought_unix_ms: 0,
        };
        store.open_session(&session, None).await.unwrap();
        let (recorder, writer) = store.start_writer();
        let (outcomes_sender, outcomes) = mpsc::channel(64);
        Self { dir, store, recorder, writer, outcomes_sender, outcomes }
    }

    fn keep(&self, record: Record) {
        assert!(self.recorder.keep(record, &self.outcomes_sender).is_ok(), "the queue has room");
    }

    async fn sql(&self, sql: &'static str) {
        sqlx::query(sql).execute(self.store.pool()).await.unwrap();
    }

    /// Ends the writer and gives the pulses kept of each player.
    async fn close(self) -> Vec<(String, i64)> {
        drop(self.recorder);
        self.writer.await.unwrap();
        let rows = self.store.players().await.unwrap();
        self.store.close().await;
        std::fs::remove_dir_all(self.dir).unwrap();
        rows.into_iter().map(|p| (p.name, p.n_pulses)).collect()
    }
}

fn imogen() -> PlayerRecord {
    PlayerRecord {
        session_id: "s1".to_owned(),
        player_id: "p1".to_owned(),
        chair: 1,
        name: "Imogen".to_owned(),
        instrument: "flute",
        calibrated: false,
        token_sha256: "d1".to_owned(),
        person_id: None,
        bound: Bound::Person,
    }
}

fn pulses(seq: u32) -> Record {
    let pulse = Pulse {
        time_us: Micros::new(f64::from(seq) * 3e5).unwrap(),
        depth_db: Decibels::new(6.0).unwrap(),
        swing_cents: Cents::new(10.0).unwrap(),
        mean_cents: None,
        choked: false,
    };
    Record::Pulses { player_id: "p1".to_owned(), seq, pulses: vec![pulse; 2] }
}

fn stored(seq: u32) -> Option<Outcome> {
    Some(Outcome::Stored { player_id: "p1".to_owned(), seq })
}

fn not_stored() -> Option<Outcome> {
    Some(Outcome::NotStored { player_id: "p1".to_owned() })
}

#[tokio::test]
async fn what_is_told_to_be_safe_is_in_the_file() {
    let mut desk = Desk::new().await;
    desk.keep(Record::Player(imogen()));
    desk.keep(pulses(1));
    desk.keep(pulses(2));
    assert_eq!(desk.outcomes.recv().await, stored(1));
    assert_eq!(desk.outcomes.recv().await, stored(2));
    assert_eq!(desk.close().await, [("Imogen".to_owned(), 4)]);
}

#[tokio::test]
async fn the_queue_is_written_before_the_writer_ends() {
    let desk = Desk::new().await;
    desk.keep(Record::Player(imogen()));
    for seq in 1..=50 {
        desk.keep(pulses(seq));
    }
    assert_eq!(desk.close().await, [("Imogen".to_owned(), 100)]);
}

#[tokio::test]
async fn what_cannot_be_written_is_said_so_and_the_player_is_not_forgotten() {
    let mut desk = Desk::new().await;
    desk.sql("alter table pulses rename to pulses_away").await;
    desk.keep(Record::Player(imogen()));
    desk.keep(pulses(1));
    assert_eq!(desk.outcomes.recv().await, not_stored());
    assert_eq!(desk.recorder.condition().borrow().trouble, Some(Trouble::Other));
    desk.keep(pulses(2));
    assert_eq!(desk.outcomes.recv().await, not_stored());
    desk.sql("alter table pulses_away rename to pulses").await;
    // It is tried again by itself.
    desk.recorder.condition().wait_for(|now| now.trouble.is_none()).await.unwrap();
    // The device sends again; nobody sends the player again.
    desk.keep(pulses(1));
    desk.keep(pulses(2));
    assert_eq!(desk.outcomes.recv().await, stored(1));
    assert_eq!(desk.outcomes.recv().await, stored(2));
    assert_eq!(desk.close().await, [("Imogen".to_owned(), 4)]);
}

#[tokio::test]
async fn a_name_that_was_corrected_is_the_one_kept() {
    let desk = Desk::new().await;
    desk.keep(Record::Player(imogen()));
    desk.keep(Record::Player(PlayerRecord { name: "Imogen P.".to_owned(), ..imogen() }));
    assert_eq!(desk.close().await, [("Imogen P.".to_owned(), 0)]);
}

#[tokio::test]
async fn what_comes_of_an_erased_player_keeps_nobody_elses_from_being_written() {
    let mut desk = Desk::new().await;
    desk.keep(Record::Player(imogen()));
    let Record::Pulses { seq, pulses: of_nobody, .. } = pulses(1) else { unreachable!() };
    desk.keep(Record::Pulses { player_id: "erased".to_owned(), seq, pulses: of_nobody });
    desk.keep(pulses(1));
    let erased = Outcome::Stored { player_id: "erased".to_owned(), seq: 1 };
    assert_eq!(desk.outcomes.recv().await, Some(erased), "its device need not send it again");
    assert_eq!(desk.outcomes.recv().await, stored(1));
    assert_eq!(desk.close().await, [("Imogen".to_owned(), 2)]);
}
