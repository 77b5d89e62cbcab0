//! Pulses, many rows with one statement, against the same rows inserted one by one in plain SQL.

use super::*;
use crate::store::Store;
use std::time::{Duration, Instant};
use windrow_protocol::units::{Cents, Decibels, Micros};

/// Players whose pulses come, and one more who was erased.
const PLAYERS: usize = 40;

async fn records() -> (std::path::PathBuf, Store) {
    let dir = std::env::temp_dir().join(format!("windrow-rows-{}", uuid::Uuid::now_v7()));
    std::fs::create_dir_all(&dir).unwrap();
    let store = Store::open(&dir).await.unwrap();
    let session = "insert into sessions (session_id, code, section_name, a4_hz, time_nought_unix_ms)
                   values ('s1', 'KF3M7P', 'Larkmoor', 440, 0)";
    sqlx::query(session).execute(store.pool()).await.unwrap();
    for player in 0..PLAYERS {
        let sql = "insert into players (player_id, session_id, chair, name, instrument, calibrated)
                   values (?, 's1', ?, 'Wren', 'flute', 1)";
        let query = sqlx::query(sql).bind(id(player)).bind(player as i64 + 1);
        query.execute(store.pool()).await.unwrap();
    }
    (dir, store)
}

fn id(player: usize) -> String {
    format!("0193c0de-0000-7000-8000-{player:012}")
}

fn pulse(n: u32) -> Pulse {
    Pulse {
        time_us: Micros::new(f64::from(n) * 3e5).unwrap(),
        depth_db: Decibels::new(6.0 + f64::from(n % 40) / 10.0).unwrap(),
        swing_cents: Cents::new(f64::from(n % 30)).unwrap(),
        mean_cents: Some(Cents::new(2.0).unwrap()).filter(|_| !n.is_multiple_of(3)),
        choked: n.is_multiple_of(7),
    }
}

async fn one_by_one(connection: &mut SqliteConnection, rows: &[PulseRow<'_>]) {
    for row in rows {
        let sql = "insert or ignore into pulses values (?, ?, ?, ?, ?, ?, ?, ?)";
        let query = sqlx::query(sql).bind(row.player_id).bind(row.seq).bind(row.pulse_idx);
        let query = query.bind(row.pulse.time_us.get().round() as i64).bind(row.pulse.depth_db.get());
        let query = query.bind(row.pulse.swing_cents.get()).bind(row.pulse.mean_cents.map(f64::from));
        query.bind(row.pulse.choked).execute(&mut *connection).await.unwrap();
    }
}

async fn all(store: &Store) -> Vec<(String, i64, i64, i64, f64, f64, Option<f64>, bool)> {
    let sql =
        "select player_id, seq, pulse_idx, time_us, depth_db, swing_cents, mean_cents, choked from pulses
               order by player_id, seq, pulse_idx";
    sqlx::query_as(sql).fetch_all(store.pool()).await.unwrap()
}

/// Also prints how long both took: `cargo test --release -p windrow --lib pulse_rows -- --nocapture`.
#[tokio::test]
async fn many_at_once_are_the_same_as_one_by_one() {
    let ((one_dir, one), (many_dir, many)) = (records().await, records().await);
    let ids: Vec<String> = (0..=PLAYERS).map(id).collect();
    let (mut took, mut n_rows) = ([Duration::ZERO; 2], 0);
    for round in 0..30u32 {
        // As many rows as no statement takes at once, some of them twice.
        let batches: Vec<Vec<Pulse>> = ids
            .iter()
            .enumerate()
            .map(|(i, _)| (0..1 + i as u32 % 4).map(|k| pulse(round * 4 + k)).collect())
            .collect();
        let rows = || ids.iter().zip(&batches).flat_map(|(id, batch)| rows_of(id, round / 2, batch));
        let known: Vec<_> = rows().filter(|row| row.player_id != ids[PLAYERS]).collect();
        let mut transaction = one.pool().begin().await.unwrap();
        let began = Instant::now();
        one_by_one(&mut transaction, &known).await;
        took[0] += began.elapsed();
        transaction.commit().await.unwrap();
        let mut transaction = many.pool().begin().await.unwrap();
        let began = Instant::now();
        insert_pulses(&mut transaction, &rows().collect::<Vec<_>>()).await.unwrap();
        took[1] += began.elapsed();
        transaction.commit().await.unwrap();
        n_rows += known.len();
    }
    let stored = all(&many).await;
    assert_eq!(stored, all(&one).await);
    // Fifteen numbers of each player, with one to four pulses each.
    assert_eq!(stored.len(), 15 * (0..PLAYERS).map(|i| 1 + i % 4).sum::<usize>());
    let us = |took: Duration| took.as_secs_f64() * 1e6 / n_rows as f64;
    let (one_us, many_us) = (us(took[0]), us(took[1]));
    println!(
        "{n_rows} rows: {one_us:.1} µs each one by one, {many_us:.1} µs many at once, ratio {:.2}",
        many_us / one_us
    );
    for (dir, store) in [(one_dir, one), (many_dir, many)] {
        store.close().await;
        std::fs::remove_dir_all(dir).unwrap();
    }
}
