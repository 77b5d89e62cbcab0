//! The look into the records after a kill: by SQL alone, and without the code that wrote them.

use super::stand::Stand;
use super::{Found, RUN_KEPT_WITHIN_US};
use sha2::{Digest, Sha256};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{Connection, Row};
use std::path::Path;
use windrow_protocol::messages::{PlayerSays, Pulse, SpanResult};

async fn open(data_dir: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(data_dir.join("windrow.sqlite3"));
    SqliteConnection::connect_with(&options).await.expect("the records open")
}

/// Runs in the records; none before there are any.
pub(crate) async fn n_runs(data_dir: &Path) -> u64 {
    number(&mut open(data_dir).await, "select count(*) from runs").await
}

async fn number(records: &mut SqliteConnection, sql: &'static str) -> u64 {
    let row = sqlx::query(sql).fetch_one(records).await.expect("a count");
    row.get::<i64, _>(0).cast_unsigned()
}

/// After a kill: the file is whole, what was acknowledged by this server is there as it was said, and the run that was played.
pub(crate) async fn look(data_dir: &Path, stands: &[&Stand], found: &mut Found) {
    let records = &mut open(data_dir).await;
    is_whole(records, found).await;
    for stand in stands {
        let of_server = stand.said.range(stand.first_of_server..);
        for (&seq, message) in of_server.take_while(|(seq, _)| **seq <= stand.acknowledged) {
            let is_there = match message {
                PlayerSays::Pulses(batch) => has_pulses(records, stand, seq, &batch.pulses).await,
                PlayerSays::SpanResult(result) => has_span(records, stand, result).await,
                _ => true,
            };
            if !is_there {
                found.lost.push(format!("kill {}, number {seq}", found.n_kills));
            }
        }
    }
    let long_enough = |stand: &&&Stand| {
        stand.playing_since_us.is_some_and(|since_us| stand.gone_us - since_us > RUN_KEPT_WITHIN_US)
    };
    if let Some(stand) = stands.iter().find(long_enough) {
        // Server time goes on over the sessions of a rehearsal, and in the last one nobody may have played.
        let sql = "select coalesce(max(ended_us), 0) from runs";
        let kept_us = number(records, sql).await as f64;
        if stand.gone_us - kept_us > RUN_KEPT_WITHIN_US {
            let missing_s = (stand.gone_us - kept_us) / 1e6;
            found
                .wrong
                .push(format!("kill {}: the last {missing_s:.1} s of the run are missing", found.n_kills));
        }
    }
}

/// In the end, when every device has handed over all it had: all of it is there once.
pub(crate) async fn look_at_all(data_dir: &Path, stands: &[Stand], found: &mut Found) {
    let records = &mut open(data_dir).await;
    is_whole(records, found).await;
    for stand in stands {
        let rows = sqlx::query(
            "select (select count(*) from pulses u join players p using (player_id) where p.token_sha256 = ?1)
                  + (select coalesce(sum(k.n_pulses), 0) from pulse_packs k join players p using (player_id)
                     where p.token_sha256 = ?1),
                    (select count(*) from span_results r join players p using (player_id) where p.token_sha256 = ?1)",
        )
        .bind(token_sha256(stand))
        .fetch_one(&mut *records)
        .await
        .expect("a count");
        let there = (rows.get::<i64, _>(0).cast_unsigned(), rows.get::<i64, _>(1).cast_unsigned());
        let said = (stand.n_pulses_acknowledged(), stand.n_spans_acknowledged());
        let words = format!("{there:?} pulses and results of spans are kept of {said:?}");
        if there.0 > said.0 || there.1 > said.1 {
            found.doubled.push(words);
        } else if there != said {
            found.lost.push(words);
        }
    }
    let open_sql = "select count(*) from sessions where ended_us is null
                    and session_id <> (select session_id from sessions order by rowid desc limit 1)";
    match number(records, open_sql).await {
        0 => {}
        n => found.wrong.push(format!("{n} sessions of killed servers are not closed")),
    }
    let rehearsals = "select count(distinct coalesce(rehearsal_id, session_id)) from sessions";
    match number(records, rehearsals).await {
        1 => {}
        n => found.wrong.push(format!("the sessions are of {n} rehearsals, not of one")),
    }
}

/// Whether a file by itself is what SQLite calls whole.
pub(crate) async fn is_whole_file(file: &Path) -> bool {
    let mut found = Found::default();
    let options = SqliteConnectOptions::new().filename(file).read_only(true);
    match SqliteConnection::connect_with(&options).await {
        Ok(mut connection) => is_whole(&mut connection, &mut found).await,
        Err(_) => return false,
    }
    found.damaged.is_empty()
}

/// SQLite's own checks.
async fn is_whole(records: &mut SqliteConnection, found: &mut Found) {
    let says = sqlx::query("pragma integrity_check").fetch_all(&mut *records).await.expect("a check");
    let says: Vec<String> = says.iter().map(|row| row.get(0)).collect();
    found.damaged.extend(says.into_iter().filter(|word| word != "ok"));
    let strangers = sqlx::query("pragma foreign_key_check").fetch_all(records).await.expect("a check");
    found
        .damaged
        .extend(strangers.iter().map(|row| format!("a row of {} hangs loose", row.get::<String, _>(0))));
}

fn token_sha256(stand: &Stand) -> String {
    let token = stand.token.as_deref().unwrap_or_default();
    Sha256::digest(token.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

async fn has_pulses(records: &mut SqliteConnection, stand: &Stand, seq: u32, said: &[Pulse]) -> bool {
    let rows = sqlx::query(
        "select u.time_us, u.depth_db, u.swing_cents, u.mean_cents, u.choked
         from pulses u join players p using (player_id)
         where p.token_sha256 = ? and u.seq = ? order by u.pulse_idx",
    )
    .bind(token_sha256(stand))
    .bind(seq)
    .fetch_all(records)
    .await
    .expect("rows");
    let is_same = |row: &sqlx::sqlite::SqliteRow, pulse: &Pulse| {
        row.get::<i64, _>(0) == pulse.time_us.get() as i64
            && row.get::<f64, _>(1) == pulse.depth_db.get()
            && row.get::<f64, _>(2) == pulse.swing_cents.get()
            && row.get::<Option<f64>, _>(3) == pulse.mean_cents.map(f64::from)
            && row.get::<bool, _>(4) == pulse.choked
    };
    rows.len() == said.len() && rows.iter().zip(said).all(|(row, pulse)| is_same(row, pulse))
}

async fn has_span(records: &mut SqliteConnection, stand: &Stand, said: &SpanResult) -> bool {
    let rows = sqlx::query(
        "select r.score_version, r.span_idx, r.n_pulses, r.pulse_rate_hz
         from span_results r join players p using (player_id) where p.token_sha256 = ? and r.seq = ?",
    )
    .bind(token_sha256(stand))
    .bind(said.seq)
    .fetch_all(records)
    .await
    .expect("rows");
    let is_same = |row: &sqlx::sqlite::SqliteRow| {
        row.get::<i64, _>(0) == i64::from(said.score_version)
            && row.get::<i64, _>(1) == i64::from(said.span_idx)
            && row.get::<i64, _>(2) == i64::from(said.n_pulses)
            && row.get::<Option<f64>, _>(3) == said.pulse_rate_hz.map(f64::from)
    };
    rows.len() == 1 && rows.iter().all(is_same)
}
