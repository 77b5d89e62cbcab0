//! The end of what is stored: everything about somebody, and what is older than it should be. What is erased is gone from the
//! file's bytes too: freed space is overwritten (secure_delete is on for every connection) and the write-ahead log is emptied.

use super::chairs::{check_with_only, section_without};
use super::personal::Whose;
use super::records::{Store, StoreError};
use super::restore::forget_copies_from_before;
use super::token::token_sha256 as sha256;
use sqlx::sqlite::SqliteConnection;
use sqlx::{AssertSqlSafe, Row};
use std::collections::{BTreeMap, BTreeSet, HashSet};

impl Store {
    /// Erases everything about somebody, of every session: players with their pulses and results, devices, and a person's
    /// place in the list. Copies of the records from before a restore go whole, since they hold the same.
    ///
    /// # Errors
    /// When it cannot be written; then nothing is erased.
    pub async fn erase(&self, whose: &Whose) -> Result<(), StoreError> {
        let mut transaction = self.pool().begin_with("begin immediate").await?;
        erase_within(&mut transaction, whose).await?;
        transaction.commit().await?;
        self.empty_log().await?;
        forget_copies_from_before(&self.file(), None);
        Ok(())
    }

    /// Erases sessions that began before a time, all but those that are still open, with everything in them; devices that
    /// have not been seen since, and people who were taken off their list before and of whom nothing is left. Gives the
    /// number of sessions.
    ///
    /// # Errors
    /// When it cannot be written; then nothing is erased.
    pub async fn erase_before(&self, before_unix_ms: i64) -> Result<u64, StoreError> {
        let mut transaction = self.pool().begin_with("begin immediate").await?;
        let erased = sqlx::query(
            "delete from sessions where time_nought_unix_ms < ?
             and not (ended_us is null and session_id in (select session_id from rooms_served))",
        )
        .bind(before_unix_ms)
        .execute(&mut *transaction)
        .await?
        .rows_affected();
        for statement in [
            "delete from devices where seen_unix_ms < ?",
            "delete from people where removed_unix_ms < ?
             and person_id not in (select person_id from players where person_id is not null)",
        ] {
            sqlx::query(statement).bind(before_unix_ms).execute(&mut *transaction).await?;
        }
        transaction.commit().await?;
        self.empty_log().await?;
        Ok(erased)
    }

    /// Brings the write-ahead log into the file and empties it: what was overwritten would stand in it for longer.
    pub(super) async fn empty_log(&self) -> Result<(), StoreError> {
        // It answers "busy" without an error while somebody reads; the next write or the end of the program brings it in
        // all the same, so a few tries are enough.
        for _ in 0..5 {
            let row = sqlx::query("pragma wal_checkpoint(truncate)").fetch_one(self.pool()).await?;
            if row.try_get::<i64, _>(0)? == 0 {
                return Ok(());
            }
        }
        tracing::warn!("the log of the records could not be emptied yet; the end of the program does it");
        Ok(())
    }
}

/// Which players are somebody's. What a device of a person's recorded under a nickname before is theirs as well.
fn players_of(whose: &Whose) -> &'static str {
    match whose {
        Whose::Person(_) => {
            "person_id = ?1 or (person_id is null and token_sha256 in
             (select token_sha256 from devices where person_id = ?1 and confirmed))"
        }
        Whose::Device(_) => "token_sha256 = ?1",
    }
}

fn devices_of(whose: &Whose) -> &'static str {
    match whose {
        Whose::Person(_) => "person_id = ?1",
        Whose::Device(_) => "token_sha256 = ?1",
    }
}

async fn erase_within(connection: &mut SqliteConnection, whose: &Whose) -> Result<(), sqlx::Error> {
    let (players, devices) = (players_of(whose), devices_of(whose));
    let of = async |connection: &mut SqliteConnection, sql: String| -> Result<Vec<String>, sqlx::Error> {
        let rows = sqlx::query(AssertSqlSafe(sql)).bind(whose.value()).fetch_all(connection).await?;
        rows.iter().map(|row| row.try_get(0)).collect()
    };
    let ids = of(connection, format!("select player_id from players where {players}")).await?;
    let tokens = of(connection, format!("select token_sha256 from devices where {devices}")).await?;
    let sessions = of(connection, format!("select distinct session_id from players where {players}")).await?;
    let runs = runs_of(connection, &ids).await?;
    let gone = [vec![whose.value().to_owned()], ids, tokens].concat();
    for id in gone {
        sqlx::query(
            "insert or ignore into erasures (erased_sha256, erased_unix_ms)
             values (?, cast(unixepoch('subsec') * 1000 as integer))",
        )
        .bind(sha256(&id))
        .execute(&mut *connection)
        .await?;
    }
    let mut statements =
        vec![format!("delete from players where {players}"), format!("delete from devices where {devices}")];
    if let Whose::Person(_) = whose {
        statements.push("delete from people where person_id = ?1".to_owned());
    }
    for sql in statements {
        sqlx::query(AssertSqlSafe(sql)).bind(whose.value()).execute(&mut *connection).await?;
    }
    for ((session_id, number), chairs) in &runs {
        let run = erase_from_run(connection, session_id, *number, chairs);
        run.await?;
    }
    for session_id in &sessions {
        erase_from_session(connection, session_id).await?;
    }
    Ok(())
}

/// Runs in which these players were, with the chairs they had.
async fn runs_of(
    connection: &mut SqliteConnection,
    player_ids: &[String],
) -> Result<BTreeMap<(String, i64), BTreeSet<u16>>, sqlx::Error> {
    let mut runs: BTreeMap<(String, i64), BTreeSet<u16>> = BTreeMap::new();
    for player_id in player_ids {
        let rows = sqlx::query(
            "select session_id, number, cast(told ->> '$.chair' as integer) as chair from run_players where player_id = ?",
        )
        .bind(player_id)
        .fetch_all(&mut *connection)
        .await?;
        for row in rows {
            let chairs = runs.entry((row.try_get("session_id")?, row.try_get("number")?)).or_default();
            chairs.extend(row.try_get::<Option<u16>, _>("chair")?);
        }
    }
    Ok(runs)
}

/// A run that nobody is left in goes whole, since the section's figures are those of who was erased.
async fn erase_from_run(
    connection: &mut SqliteConnection,
    session_id: &str,
    number: i64,
    chairs: &BTreeSet<u16>,
) -> Result<(), sqlx::Error> {
    sqlx::query(
        "delete from runs where session_id = ?1 and number = ?2
         and not exists (select 1 from run_players p where p.session_id = ?1 and p.number = ?2)",
    )
    .bind(session_id)
    .bind(number)
    .execute(&mut *connection)
    .await?;
    let row = sqlx::query("select section from runs where session_id = ? and number = ?")
        .bind(session_id)
        .bind(number)
        .fetch_optional(&mut *connection)
        .await?;
    let Some(row) = row else { return Ok(()) };
    if let Some(without) = section_without(row.try_get("section")?, chairs) {
        sqlx::query("update runs set section = ? where session_id = ? and number = ?")
            .bind(without)
            .bind(session_id)
            .bind(number)
            .execute(connection)
            .await?;
    }
    Ok(())
}

/// Room checks keep the chairs of who is left alone; what somebody brought goes with them.
async fn erase_from_session(connection: &mut SqliteConnection, session_id: &str) -> Result<(), sqlx::Error> {
    sqlx::query(
        "delete from sessions where session_id = ?1 and kind <> 'rehearsal'
         and not exists (select 1 from players where session_id = ?1)",
    )
    .bind(session_id)
    .execute(&mut *connection)
    .await?;
    let names = sqlx::query("select name from players where session_id = ?")
        .bind(session_id)
        .fetch_all(&mut *connection)
        .await?;
    let names: BTreeSet<String> = names.iter().map(|row| row.try_get(0)).collect::<Result<_, _>>()?;
    let checks = sqlx::query("select checked_us, found from room_checks where session_id = ?")
        .bind(session_id)
        .fetch_all(&mut *connection)
        .await?;
    for row in checks {
        let checked_us: i64 = row.try_get("checked_us")?;
        let left = check_with_only(row.try_get("found")?, &names);
        let sql = match left {
            Some(_) => "update room_checks set found = ?3 where session_id = ?1 and checked_us = ?2",
            None => "delete from room_checks where session_id = ?1 and checked_us = ?2 and ?3 is null",
        };
        let query = sqlx::query(sql).bind(session_id).bind(checked_us).bind(left);
        query.execute(&mut *connection).await?;
    }
    Ok(())
}

/// Erases what was erased here before and is there again, since an older backup was restored. Gives the number of people,
/// devices and players found.
pub(super) async fn erase_again(connection: &mut SqliteConnection) -> Result<u64, sqlx::Error> {
    let erased: HashSet<String> = column(connection, "select erased_sha256 from erasures").await?;
    if erased.is_empty() {
        return Ok(0);
    }
    let is_erased = |id: &String| erased.contains(&sha256(id));
    let mut n = 0;
    for (sql, whose) in [
        ("select person_id from people", Whose::Person as fn(String) -> Whose),
        (
            "select token_sha256 from devices union
             select token_sha256 from players where token_sha256 is not null",
            Whose::Device,
        ),
    ] {
        for id in column(connection, sql).await?.into_iter().filter(is_erased) {
            erase_within(connection, &whose(id)).await?;
            n += 1;
        }
    }
    for id in column(connection, "select player_id from players").await?.into_iter().filter(is_erased) {
        erase_player(connection, &id).await?;
        n += 1;
    }
    Ok(n)
}

/// One player of one session, whose person and device are not known any more.
async fn erase_player(connection: &mut SqliteConnection, player_id: &str) -> Result<(), sqlx::Error> {
    let runs = runs_of(connection, &[player_id.to_owned()]).await?;
    let session = sqlx::query("delete from players where player_id = ? returning session_id")
        .bind(player_id)
        .fetch_optional(&mut *connection)
        .await?;
    for ((session_id, number), chairs) in &runs {
        erase_from_run(connection, session_id, *number, chairs).await?;
    }
    if let Some(row) = session {
        erase_from_session(connection, row.try_get(0)?).await?;
    }
    Ok(())
}

async fn column(
    connection: &mut SqliteConnection,
    sql: &'static str,
) -> Result<HashSet<String>, sqlx::Error> {
    let rows = sqlx::query(sql).fetch_all(connection).await?;
    rows.iter().map(|row| row.try_get(0)).collect()
}
