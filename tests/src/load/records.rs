//! What the records have of what was acknowledged: by SQL alone, without the code that wrote them.

use super::player::PlayerTaken;
use sha2::{Digest, Sha256};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{Connection, Row};
use std::collections::HashMap;
use std::path::Path;

/// What was found.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// Batches and results that were acknowledged.
    pub(super) n_acknowledged: u64,
    /// Of those, what is not there, or with another number of pulses.
    pub(super) n_missing: u64,
    /// Batches and results that were said and never acknowledged.
    pub(super) n_unanswered: u64,
}

/// Looks after the server has gone.
///
/// # Panics
/// When the records cannot be read.
pub(super) async fn look(data_dir: &Path, players: &[PlayerTaken]) -> Kept {
    let options = SqliteConnectOptions::new().filename(data_dir.join("windrow.sqlite3"));
    let mut records = SqliteConnection::connect_with(&options).await.expect("the records open");
    let batches =
        "select p.token_sha256, u.seq, count(*) from pulses u join players p using (player_id) group by 1, 2";
    let batches = of_players(&mut records, batches).await;
    let results = "select p.token_sha256, r.seq, 1 from span_results r join players p using (player_id)";
    let results = of_players(&mut records, results).await;
    let mut kept = Kept::default();
    let none = HashMap::new();
    for player in players {
        let performer = &player.performer;
        let token_sha256: String =
            Sha256::digest(player.token.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect();
        let of_player =
            |all: &HashMap<String, _>| all.get(&token_sha256).cloned().unwrap_or_else(|| none.clone());
        let (batches, results) = (of_player(&batches), of_player(&results));
        for numbered in &performer.numbered {
            if numbered.seq > performer.acknowledged {
                kept.n_unanswered += 1;
                continue;
            }
            kept.n_acknowledged += 1;
            let is_there = match numbered.n_pulses {
                Some(n_pulses) => batches.get(&numbered.seq) == Some(&n_pulses),
                None => results.contains_key(&numbered.seq),
            };
            kept.n_missing += u64::from(!is_there);
        }
    }
    kept
}

/// Counts by token and number.
async fn of_players(records: &mut SqliteConnection, sql: &'static str) -> HashMap<String, HashMap<u32, u32>> {
    let rows = sqlx::query(sql).fetch_all(records).await.expect("rows");
    let mut found: HashMap<String, HashMap<u32, u32>> = HashMap::new();
    for row in rows {
        let (token, seq, n): (String, i64, i64) = (row.get(0), row.get(1), row.get(2));
        let number = |value: i64| u32::try_from(value).expect("numbers of a device are small");
        found.entry(token).or_default().insert(number(seq), number(n));
    }
    found
}
