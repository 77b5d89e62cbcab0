//! Writes records in batches, one transaction each, and says of every numbered one whether it is safe. A batch that
//! cannot be written is given up: the devices still have what was in it and send it again.

use sqlx::{Sqlite, SqlitePool, Transaction};
use std::time::Duration;
use tokio::sync::mpsc;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Pulse, SpanResult};
use windrow_protocol::score::Score;

/// Records waiting for the disk: several minutes of a full room. When it is full, new ones are refused.
const QUEUE: usize = 8192;
/// Most records in a transaction.
const BATCH: usize = 256;
/// How long the first record of a batch waits for others: far less than anyone notices, and a disk that needs 10 ms
/// for a commit is idle for most of the time.
const GATHER: Duration = Duration::from_millis(50);
/// Most unnumbered records held over when a transaction fails.
const HELD_OVER: usize = 1024;

/// Something to keep.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Record {
    Player {
        session_id: String,
        player_id: String,
        chair: u16,
        name: String,
        instrument: &'static str,
        calibrated: bool,
    },
    Score {
        session_id: String,
        score: Score,
    },
    Pulses {
        player_id: String,
        seq: u32,
        pulses: Vec<Pulse>,
    },
    Span {
        player_id: String,
        result: Box<SpanResult>,
        state: State,
    },
}

/// What became of a numbered record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Outcome {
    Stored { player_id: String, seq: u32 },
    NotStored { player_id: String },
}

#[derive(Debug)]
struct Queued {
    record: Record,
    outcomes: mpsc::Sender<Outcome>,
}

/// The way to the writer.
#[derive(Debug, Clone)]
pub(crate) struct Recorder {
    queue: mpsc::Sender<Queued>,
}

impl Recorder {
    /// Queues a record; its outcome is told through `outcomes`. `false` where the queue is full and nothing was kept.
    pub(crate) fn keep(&self, record: Record, outcomes: &mpsc::Sender<Outcome>) -> bool {
        self.queue.try_send(Queued { record, outcomes: outcomes.clone() }).is_ok()
    }
}

/// The loop behind a [`Recorder`].
#[derive(Debug)]
pub(super) struct Writer {
    pool: SqlitePool,
    queue: mpsc::Receiver<Queued>,
    /// Players and scores of failed transactions: no device sends them again, and later rows point to them.
    held_over: Vec<Record>,
    /// Whether the last transaction failed: a full disk is worth one line in the log, not one for each batch.
    failing: bool,
}

impl Writer {
    pub(super) fn new(pool: SqlitePool) -> (Recorder, Self) {
        let (sender, queue) = mpsc::channel(QUEUE);
        (Recorder { queue: sender }, Self { pool, queue, held_over: Vec::new(), failing: false })
    }

    pub(super) async fn run(mut self) {
        let mut batch = Vec::with_capacity(BATCH);
        while self.queue.recv_many(&mut batch, BATCH).await > 0 {
            if batch.len() < BATCH {
                tokio::time::sleep(GATHER).await;
                while batch.len() < BATCH {
                    let Ok(queued) = self.queue.try_recv() else { break };
                    batch.push(queued);
                }
            }
            let stored = self.write(&batch).await;
            self.tell(batch.drain(..), stored).await;
        }
    }

    /// Writes what was held over and the batch, all or nothing.
    async fn write(&mut self, batch: &[Queued]) -> bool {
        let written = async {
            let mut transaction = self.pool.begin().await?;
            for record in self.held_over.iter().chain(batch.iter().map(|q| &q.record)) {
                insert(&mut transaction, record).await?;
            }
            transaction.commit().await
        };
        let result = written.await;
        if let Err(error) = &result {
            if !self.failing {
                tracing::error!(%error, "cannot write the records; the devices keep theirs and will send them again");
            }
        } else if self.failing {
            tracing::warn!("the records can be written again");
        }
        self.failing = result.is_err();
        if result.is_ok() {
            self.held_over.clear();
        }
        result.is_ok()
    }

    async fn tell(&mut self, batch: impl Iterator<Item = Queued>, stored: bool) {
        for Queued { record, outcomes } in batch {
            let (player_id, seq) = match record {
                Record::Pulses { player_id, seq, .. } => (player_id, seq),
                Record::Span { player_id, result, .. } => (player_id, result.seq),
                unnumbered if !stored && self.held_over.len() < HELD_OVER => {
                    self.held_over.push(unnumbered);
                    continue;
                }
                _ => continue,
            };
            let outcome =
                if stored { Outcome::Stored { player_id, seq } } else { Outcome::NotStored { player_id } };
            // A room that has ended needs no answer.
            let _ = outcomes.send(outcome).await;
        }
    }
}

/// Inserts a record. A numbered one that is there already stays as it is: a device sends again what it was not told is
/// safe.
async fn insert(transaction: &mut Transaction<'_, Sqlite>, record: &Record) -> Result<(), sqlx::Error> {
    let connection = &mut **transaction;
    match record {
        Record::Player { session_id, player_id, chair, name, instrument, calibrated } => {
            sqlx::query(
                "insert into players (player_id, session_id, chair, name, instrument, calibrated)
                 values (?, ?, ?, ?, ?, ?)
                 on conflict (player_id) do update
                 set name = excluded.name, instrument = excluded.instrument, calibrated = excluded.calibrated",
            )
            .bind(player_id)
            .bind(session_id)
            .bind(chair)
            .bind(name)
            .bind(instrument)
            .bind(calibrated)
            .execute(connection)
            .await?;
        }
        Record::Score { session_id, score } => {
            sqlx::query(
                "insert into scores (session_id, version, score) values (?, ?, ?)
                 on conflict (session_id, version) do nothing",
            )
            .bind(session_id)
            .bind(score.version)
            .bind(serde_json::to_string(score).expect("a score holds only what JSON can"))
            .execute(connection)
            .await?;
        }
        Record::Pulses { player_id, seq, pulses } => {
            for (pulse_idx, pulse) in (0i64..).zip(pulses) {
                sqlx::query(
                    "insert into pulses
                     (player_id, seq, pulse_idx, time_us, depth_db, swing_cents, mean_cents, choked)
                     values (?, ?, ?, ?, ?, ?, ?, ?)
                     on conflict (player_id, seq, pulse_idx) do nothing",
                )
                .bind(player_id)
                .bind(seq)
                .bind(pulse_idx)
                .bind(pulse.time_us.get().round() as i64)
                .bind(pulse.depth_db.get())
                .bind(pulse.swing_cents.get())
                .bind(pulse.mean_cents.map(f64::from))
                .bind(pulse.choked)
                .execute(&mut *connection)
                .await?;
            }
        }
        Record::Span { player_id, result, state } => {
            sqlx::query(
                "insert into span_results
                 (player_id, seq, score_version, span_idx, n_pulses, pulse_rate_hz, depth_db_pp, swing_cents_pp,
                  centre_cents, evenness_cv, timing_ms, state)
                 values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
                 on conflict (player_id, seq) do nothing",
            )
            .bind(player_id)
            .bind(result.seq)
            .bind(result.score_version)
            .bind(result.span_idx)
            .bind(result.n_pulses)
            .bind(result.pulse_rate_hz.map(f64::from))
            .bind(result.depth_db_pp.map(f64::from))
            .bind(result.swing_cents_pp.map(f64::from))
            .bind(result.centre_cents.map(f64::from))
            .bind(result.evenness_cv.map(f64::from))
            .bind(result.timing_ms)
            .bind(state.word())
            .execute(connection)
            .await?;
        }
    }
    Ok(())
}

#[cfg(test)]
#[path = "writer_tests.rs"]
mod tests;
