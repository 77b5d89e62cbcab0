//! Pulses into their table, many rows with one statement: nine of ten rows that a rehearsal writes are pulses, and each statement
//! is a way to the database's thread and back.

use sqlx::{AssertSqlSafe, SqliteConnection};
use std::sync::LazyLock;
use windrow_protocol::messages::Pulse;

/// Rows of a statement. Each number has a statement of its own, which is prepared once a connection.
const SIZES: [usize; 4] = [64, 16, 4, 1];

static STATEMENTS: LazyLock<[String; SIZES.len()]> = LazyLock::new(|| SIZES.map(statement));

/// A row: a pulse of a player, by the device's own numbering.
#[derive(Debug, Clone, Copy)]
pub(super) struct PulseRow<'a> {
    player_id: &'a str,
    seq: u32,
    pulse_idx: i64,
    pulse: &'a Pulse,
}

/// The rows of a batch as a device sent it.
pub(super) fn rows_of<'a>(
    player_id: &'a str,
    seq: u32,
    pulses: &'a [Pulse],
) -> impl Iterator<Item = PulseRow<'a>> {
    (0..).zip(pulses).map(move |(pulse_idx, pulse)| PulseRow { player_id, seq, pulse_idx, pulse })
}

/// Of what is there already nothing is changed; a row of a player who was erased meanwhile is dropped.
fn statement(n_rows: usize) -> String {
    let rows = vec!["(?, ?, ?, ?, ?, ?, ?, ?)"; n_rows].join(", ");
    format!(
        "insert into pulses (player_id, seq, pulse_idx, time_us, depth_db, swing_cents, mean_cents, choked)
         select * from (values {rows}) as told
         where exists (select 1 from players where player_id = told.column1)
         on conflict (player_id, seq, pulse_idx) do nothing"
    )
}

/// Inserts them.
pub(super) async fn insert_pulses(
    connection: &mut SqliteConnection,
    mut rows: &[PulseRow<'_>],
) -> Result<(), sqlx::Error> {
    for (size, sql) in SIZES.iter().zip(STATEMENTS.iter()) {
        while let Some((now, later)) = rows.split_at_checked(*size) {
            let mut query = sqlx::query(AssertSqlSafe(sql.as_str()));
            for row in now {
                query = query
                    .bind(row.player_id)
                    .bind(row.seq)
                    .bind(row.pulse_idx)
                    .bind(row.pulse.time_us.get().round() as i64)
                    .bind(row.pulse.depth_db.get())
                    .bind(row.pulse.swing_cents.get())
                    .bind(row.pulse.mean_cents.map(f64::from))
                    .bind(row.pulse.choked);
            }
            query.execute(&mut *connection).await?;
            rows = later;
        }
    }
    Ok(())
}

#[cfg(test)]
#[path = "pulse_rows_tests.rs"]
mod tests;
