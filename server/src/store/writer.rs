//! Writes records in batches, one transaction each, and says of every numbered one whether it is safe. A batch that
//! cannot be written is given up: the devices still have what was in it and send it again.

use super::condition::{Condition, Trouble};
use super::held_over::HeldOver;
use super::pulse_rows::{insert_pulses, rows_of};
use super::records::Store;
use super::runs::{insert_run, json};
use crate::metrics::RecordCounts;
use futures_util::FutureExt;
use sqlx::{AssertSqlSafe, Row, SqliteConnection};
use std::panic::AssertUnwindSafe;
use std::path::Path;
use std::time::Duration;
use tokio::sync::{mpsc, watch};
use tokio::time::{Instant, timeout_at};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Pulse, RoomCheck, SpanResult};
use windrow_protocol::score::Score;
use windrow_room::KeptRun;

/// Records waiting for the disk: over twenty seconds of a thousand players with three pulses a second, and about 25 MB. When it
/// is full, new ones are refused.
const QUEUE: usize = 65_536;
/// Most records in a transaction: a third of a second of as many, so that a commit is no large part of the work when
/// all come back at once with what they kept.
const BATCH: usize = 1024;
/// How long the first record of a batch waits for others: far less than anyone notices, and a disk that needs 10 ms
/// for a commit is idle for most of the time.
const GATHER: Duration = Duration::from_millis(50);
/// Between two tries while nothing can be written: as soon as anybody notices that it is over.
const TRY_EVERY: Duration = Duration::from_secs(1);

/// Something to keep.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Record {
    Player(PlayerRecord),
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
    Run {
        session_id: String,
        run: Box<KeptRun>,
    },
    Plan {
        session_id: String,
        taken_us: f64,
        title: String,
        text: String,
    },
    Check {
        session_id: String,
        checked_us: f64,
        found: Box<RoomCheck>,
    },
    /// Nothing: it is told when everything queued before it has been tried.
    Mark,
}

/// A player and the device.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PlayerRecord {
    pub(crate) session_id: String,
    pub(crate) player_id: String,
    pub(crate) chair: u16,
    pub(crate) name: String,
    pub(crate) instrument: &'static str,
    pub(crate) calibrated: bool,
    /// Of the device's token; empty where there was no device, as in a recording.
    pub(crate) token_sha256: String,
    pub(crate) person_id: Option<String>,
    pub(crate) bound: Bound,
}

/// Whose the device of a player is from now on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bound {
    /// The player's person, if there is one; else as before.
    Person,
    /// The same, and that is certain.
    Confirmed,
    /// Nobody's.
    Nobody,
}

/// What became of a numbered record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Outcome {
    Stored {
        player_id: String,
        seq: u32,
    },
    NotStored {
        player_id: String,
    },
    /// Everything queued before was tried; whether the last transaction came to an end.
    Passed {
        is_written: bool,
    },
}

#[derive(Debug)]
struct Queued {
    record: Record,
    outcomes: mpsc::Sender<Outcome>,
    since: Instant,
}

/// The way to the writer.
#[derive(Debug, Clone)]
pub(crate) struct Recorder {
    queue: mpsc::Sender<Queued>,
    counts: RecordCounts,
    condition: watch::Receiver<Condition>,
}

impl Recorder {
    /// Waits until everything queued so far is written; `false` where it could not be.
    pub(crate) async fn written(&self) -> bool {
        let (sender, mut outcomes) = mpsc::channel(1);
        let mark = Queued { record: Record::Mark, outcomes: sender, since: Instant::now() };
        if self.queue.send(mark).await.is_err() {
            return false;
        }
        matches!(outcomes.recv().await, Some(Outcome::Passed { is_written: true }))
    }

    /// Queues a record; its outcome is told through `outcomes`.
    ///
    /// # Errors
    /// The record, where the queue is full and nothing was kept.
    pub(crate) fn keep(&self, record: Record, outcomes: &mpsc::Sender<Outcome>) -> Result<(), Box<Record>> {
        let queued = Queued { record, outcomes: outcomes.clone(), since: Instant::now() };
        self.queue.try_send(queued).map_err(|error| {
            self.counts.turned_away.inc();
            Box::new(error.into_inner().record)
        })
    }

    /// How the writing goes.
    pub(crate) fn condition(&self) -> watch::Receiver<Condition> {
        self.condition.clone()
    }

    /// What became of records so far.
    pub(crate) fn counts(&self) -> RecordCounts {
        self.counts.clone()
    }

    /// Records that wait for the disk.
    pub(crate) fn n_waiting(&self) -> usize {
        self.queue.max_capacity() - self.queue.capacity()
    }
}

/// The loop behind a [`Recorder`].
#[derive(Debug)]
pub(super) struct Writer {
    store: Store,
    queue: mpsc::Receiver<Queued>,
    /// Players, scores and runs of failed transactions: no device sends them again, and later rows point to them.
    held_over: HeldOver,
    condition: watch::Sender<Condition>,
    /// When writing was tried last.
    tried: Instant,
    counts: RecordCounts,
}

impl Writer {
    pub(super) fn new(store: Store) -> (Recorder, Self) {
        let (sender, queue) = mpsc::channel(QUEUE);
        let (condition, seen) = watch::channel(Condition::default());
        let counts = RecordCounts::default();
        let recorder = Recorder { queue: sender, counts: counts.clone(), condition: seen };
        let (held_over, tried) = (HeldOver::default(), Instant::now());
        (recorder, Self { store, queue, held_over, condition, tried, counts })
    }

    fn is_failing(&self) -> bool {
        self.condition.borrow().trouble.is_some()
    }

    pub(super) async fn run(mut self) {
        let mut batch = Vec::with_capacity(BATCH);
        loop {
            if self.is_failing() {
                // Nobody else would find out when it is over.
                match timeout_at(self.tried + TRY_EVERY, self.queue.recv_many(&mut batch, BATCH)).await {
                    Ok(0) => break,
                    Ok(_) if self.tried.elapsed() < TRY_EVERY => {
                        self.tell(batch.drain(..), false).await;
                        continue;
                    }
                    Ok(_) | Err(_) => {}
                }
            } else if self.queue.recv_many(&mut batch, BATCH).await == 0 {
                break;
            } else if batch.len() < BATCH {
                tokio::time::sleep(GATHER).await;
                while batch.len() < BATCH {
                    let Ok(queued) = self.queue.try_recv() else { break };
                    batch.push(queued);
                }
            }
            let stored = self.write(&batch).await;
            self.tell(batch.drain(..), stored).await;
        }
        if !self.held_over.is_empty() {
            self.write(&[]).await;
        }
    }

    /// Writes what was held over and the batch, all or nothing.
    async fn write(&mut self, batch: &[Queued]) -> bool {
        // A panic in here would end the only loop that writes.
        let written = AssertUnwindSafe(self.try_to_write(batch)).catch_unwind().await;
        let trouble = written.unwrap_or_else(|_| {
            tracing::error!("writing the records broke off");
            Some(Trouble::Other)
        });
        self.tried = Instant::now();
        if trouble.is_none() {
            self.held_over.clear();
        }
        if self.condition.send_if_modified(|now| std::mem::replace(&mut now.trouble, trouble) != trouble) {
            self.look_after_the_file(trouble).await;
            match trouble {
                Some(why) => tracing::error!(
                    ?why,
                    "cannot write the records; the devices keep theirs and will send them again"
                ),
                None => tracing::warn!("the records can be written again"),
            }
        }
        trouble.is_none()
    }

    /// A file that is not at its place any more is brought back, or saved where another one is there.
    async fn look_after_the_file(&mut self, trouble: Option<Trouble>) {
        let done = match trouble {
            Some(Trouble::Missing) => self.store.bring_back().await,
            Some(Trouble::Replaced) => self.store.save_beside().await,
            _ => return,
        };
        match done {
            Ok(()) if trouble == Some(Trouble::Missing) => {
                self.condition.send_modify(|now| now.n_brought_back += 1);
            }
            Ok(()) => {}
            Err(error) => tracing::error!(%error, "what is in the file of the records could not be saved"),
        }
    }

    /// What keeps it from being written, if anything does. What is in a file that is not at its place any more is not safe.
    async fn try_to_write(&self, batch: &[Queued]) -> Option<Trouble> {
        if let Some(trouble) = self.store.misplaced() {
            return Some(trouble);
        }
        let result = self.write_all(batch).await;
        if let Err(error) = &result
            && !self.is_failing()
        {
            tracing::error!(%error, "a transaction failed");
        }
        let directory = self.store.file().parent().map(Path::to_owned).unwrap_or_default();
        result.err().map(|error| Trouble::of(&error, &directory)).or_else(|| self.store.misplaced())
    }

    /// All in one transaction, in plain SQL: after a failed one nobody but SQLite knows whether it is still open (see
    /// `records::is_fit_for_another`), and on a full disk no other connection may be to be had.
    async fn write_all(&self, batch: &[Queued]) -> Result<(), sqlx::Error> {
        let mut connection = self.store.pool().acquire().await?;
        if self.is_failing() {
            // In case the last one was broken off; mostly there is none.
            let _ = sqlx::query("rollback").execute(&mut *connection).await;
        }
        let written = async {
            sqlx::query("begin immediate").execute(&mut *connection).await?;
            let mut rows = Vec::new();
            for record in self.held_over.iter().chain(batch.iter().map(|q| &q.record)) {
                match record {
                    Record::Pulses { player_id, seq, pulses } => {
                        rows.extend(rows_of(player_id, *seq, pulses));
                    }
                    other => insert(&mut connection, other).await?,
                }
            }
            // Their players are there by now, whatever the order in the batch was.
            insert_pulses(&mut connection, &rows).await?;
            if self.is_failing() {
                // There may be nothing to write, and then nothing would be tried: the same version is written again.
                let version: i64 =
                    sqlx::query("pragma user_version").fetch_one(&mut *connection).await?.try_get(0)?;
                let again = AssertSqlSafe(format!("pragma user_version = {version}"));
                sqlx::query(again).execute(&mut *connection).await?;
            }
            sqlx::query("commit").execute(&mut *connection).await?;
            Ok(())
        };
        let written = written.await;
        if written.is_err() {
            // SQLite may have done so itself.
            let _ = sqlx::query("rollback").execute(&mut *connection).await;
        }
        written
    }

    async fn tell(&mut self, batch: impl Iterator<Item = Queued>, stored: bool) {
        for Queued { record, outcomes, since } in batch {
            if !matches!(record, Record::Mark) {
                if stored {
                    self.counts.written.inc()
                } else {
                    self.counts.failed.inc()
                };
            }
            let (player_id, seq) = match record {
                Record::Mark => {
                    let _ = outcomes.send(Outcome::Passed { is_written: stored }).await;
                    continue;
                }
                Record::Pulses { player_id, seq, .. } => (player_id, seq),
                Record::Span { player_id, result, .. } => (player_id, result.seq),
                unnumbered => {
                    if !stored {
                        self.held_over.add(unnumbered);
                    }
                    continue;
                }
            };
            if stored {
                self.counts.until_safe.observe(since.elapsed().as_secs_f64());
            }
            let outcome =
                if stored { Outcome::Stored { player_id, seq } } else { Outcome::NotStored { player_id } };
            // A room that has ended needs no answer.
            let _ = outcomes.send(outcome).await;
        }
    }
}

/// Inserts a record. A numbered one that is there already stays as it is: a device sends again what it was not told is
/// safe. One of a player who was erased meanwhile is dropped, so that it does not keep everybody else's from being written.
pub(super) async fn insert(connection: &mut SqliteConnection, record: &Record) -> Result<(), sqlx::Error> {
    match record {
        Record::Mark => {}
        Record::Run { session_id, run } => insert_run(connection, session_id, run).await?,
        Record::Plan { session_id, taken_us, title, text } => {
            sqlx::query(
                "insert or replace into session_plans (session_id, taken_us, title, text)
                 select ?1, ?2, ?3, ?4 where exists (select 1 from sessions where session_id = ?1)",
            )
            .bind(session_id)
            .bind(taken_us.round() as i64)
            .bind(title)
            .bind(text)
            .execute(connection)
            .await?;
        }
        Record::Check { session_id, checked_us, found } => {
            sqlx::query(
                "insert or replace into room_checks (session_id, checked_us, found)
                 select ?1, ?2, ?3 where exists (select 1 from sessions where session_id = ?1)",
            )
            .bind(session_id)
            .bind(checked_us.round() as i64)
            .bind(json(found))
            .execute(connection)
            .await?;
        }
        Record::Player(player) => insert_player(connection, player).await?,
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
            insert_pulses(connection, &rows_of(player_id, *seq, pulses).collect::<Vec<_>>()).await?;
        }
        Record::Span { player_id, result, state } => {
            sqlx::query(
                "insert into span_results
                 (player_id, seq, score_version, span_idx, n_pulses, pulse_rate_hz, depth_db_pp, swing_cents_pp,
                  centre_cents, evenness_cv, timing_ms, state)
                 select ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12
                 where exists (select 1 from players where player_id = ?1)
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

/// Writes a player's row and that of the device. A person who is gone meanwhile is none.
async fn insert_player(connection: &mut SqliteConnection, player: &PlayerRecord) -> Result<(), sqlx::Error> {
    let PlayerRecord {
        session_id,
        player_id,
        chair,
        name,
        instrument,
        calibrated,
        token_sha256,
        person_id,
        bound,
    } = player;
    sqlx::query(
        "insert into players
         (player_id, session_id, chair, name, instrument, calibrated, token_sha256, person_id)
         values (?, ?, ?, ?, ?, ?, nullif(?, ''), (select person_id from people where person_id = ?))
         on conflict (player_id) do update
         set chair = excluded.chair, name = excluded.name, instrument = excluded.instrument,
             calibrated = excluded.calibrated, token_sha256 = excluded.token_sha256, person_id = excluded.person_id",
    )
    .bind(player_id)
    .bind(session_id)
    .bind(chair)
    .bind(name)
    .bind(instrument)
    .bind(calibrated)
    .bind(token_sha256)
    .bind(person_id)
    .execute(&mut *connection)
    .await?;
    if token_sha256.is_empty() {
        return Ok(());
    }
    let is_nobodys = *bound == Bound::Nobody;
    sqlx::query(
        "insert into devices (token_sha256, person_id, confirmed, seen_unix_ms)
         values (?1, (select person_id from people where person_id = ?2),
                 ?3 or not exists (select 1 from devices where person_id = ?2 and token_sha256 <> ?1),
                 cast(unixepoch('subsec') * 1000 as integer))
         on conflict (token_sha256) do update
         set confirmed = case when ?4 then 0
                              when excluded.person_id is null or excluded.person_id is person_id
                              then confirmed or ?3 else excluded.confirmed end,
             person_id = case when ?4 then null else coalesce(excluded.person_id, person_id) end,
             seen_unix_ms = excluded.seen_unix_ms",
    )
    .bind(token_sha256)
    .bind(person_id.as_ref().filter(|_| !is_nobodys))
    .bind(*bound == Bound::Confirmed)
    .bind(is_nobodys)
    .execute(&mut *connection)
    .await?;
    if *bound == Bound::Confirmed {
        // What this device recorded under a nickname is that person's as well.
        sqlx::query(
            "update players set person_id = (select person_id from people where person_id = ?1)
             where token_sha256 = ?2 and person_id is null",
        )
        .bind(person_id)
        .bind(token_sha256)
        .execute(&mut *connection)
        .await?;
    }
    Ok(())
}

#[cfg(test)]
#[path = "writer_tests.rs"]
mod tests;
