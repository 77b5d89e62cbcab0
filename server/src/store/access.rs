//! Rows of who may conduct: the passphrase, links that are good once, sign-ins. It takes hashes and never sees a secret.

use super::records::{Store, StoreError};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

/// What belongs to a data directory for good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct AccessSettings {
    pub(crate) cookie_id: String,
    pub(crate) code_lasts_min: i64,
}

/// A sign-in as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SignInRow {
    pub(crate) sign_in_id: i64,
    pub(crate) role: String,
    pub(crate) name: String,
    pub(crate) made_ms: i64,
    pub(crate) used_ms: i64,
}

/// When a sign-in ends.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lifetime {
    pub(crate) unused_ms: i64,
    pub(crate) whole_ms: i64,
}

/// Between two notes of a sign-in's use, ms.
const USE_EVERY_MS: i64 = 60_000;

impl Store {
    /// The settings; made with these where there are none yet.
    pub(crate) async fn access_settings(
        &self,
        new_cookie_id: &str,
        code_lasts_min: i64,
    ) -> Result<AccessSettings, StoreError> {
        sqlx::query(
            "insert or ignore into access_settings (only_row, cookie_id, code_lasts_min) values (1, ?, ?)",
        )
        .bind(new_cookie_id)
        .bind(code_lasts_min)
        .execute(self.pool())
        .await?;
        let row = sqlx::query("select cookie_id, code_lasts_min from access_settings")
            .fetch_one(self.pool())
            .await?;
        Ok(AccessSettings {
            cookie_id: row.try_get("cookie_id")?,
            code_lasts_min: row.try_get("code_lasts_min")?,
        })
    }

    pub(crate) async fn set_code_lasts(&self, code_lasts_min: i64) -> Result<(), StoreError> {
        let query = sqlx::query("update access_settings set code_lasts_min = ?").bind(code_lasts_min);
        query.execute(self.pool()).await?;
        Ok(())
    }

    pub(crate) async fn note_address(&self, address: &str) -> Result<(), StoreError> {
        sqlx::query("update access_settings set address = ?").bind(address).execute(self.pool()).await?;
        Ok(())
    }

    /// Where the conductor's page was last served.
    pub(crate) async fn address(&self) -> Result<Option<String>, StoreError> {
        let row = sqlx::query("select address from access_settings").fetch_optional(self.pool()).await?;
        Ok(row.map(|row| row.try_get("address")).transpose()?.flatten())
    }

    pub(crate) async fn passphrase_hash(&self) -> Result<Option<String>, StoreError> {
        let row = sqlx::query("select hash from passphrase").fetch_optional(self.pool()).await?;
        Ok(row.map(|row| row.try_get("hash")).transpose()?)
    }

    /// Sets the passphrase and ends every sign-in and every link to set another. With the hash of a link's token the
    /// link must still be good: it is used up in the same step. Gives back whether it was.
    pub(crate) async fn set_passphrase(
        &self,
        hash: &str,
        link_sha256: Option<&str>,
        now_ms: i64,
    ) -> Result<bool, StoreError> {
        let mut step = self.pool().begin().await?;
        if let Some(sha256) = link_sha256 {
            let used = sqlx::query(
                "delete from access_links where token_sha256 = ? and kind = 'passphrase' and ends_ms > ?",
            )
            .bind(sha256)
            .bind(now_ms)
            .execute(&mut *step)
            .await?;
            if used.rows_affected() == 0 {
                return Ok(false);
            }
        }
        sqlx::query("insert or replace into passphrase (only_row, hash, set_ms) values (1, ?, ?)")
            .bind(hash)
            .bind(now_ms)
            .execute(&mut *step)
            .await?;
        sqlx::query("delete from access_links where kind = 'passphrase'").execute(&mut *step).await?;
        sqlx::query("delete from sign_ins").execute(&mut *step).await?;
        step.commit().await?;
        Ok(true)
    }

    /// Takes the passphrase away and ends every sign-in: only a link opens the conductor's pages then.
    pub(crate) async fn forget_passphrase(&self) -> Result<(), StoreError> {
        let mut step = self.pool().begin().await?;
        sqlx::query("delete from passphrase").execute(&mut *step).await?;
        sqlx::query("delete from sign_ins").execute(&mut *step).await?;
        step.commit().await?;
        Ok(())
    }

    /// Adds a link. Of those that set the passphrase only the newest is good; what is too old goes.
    pub(crate) async fn add_link(
        &self,
        sha256: &str,
        kind: &str,
        ends_ms: i64,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        let mut step = self.pool().begin().await?;
        sqlx::query("delete from access_links where ends_ms <= ? or (kind = 'passphrase' and kind = ?)")
            .bind(now_ms)
            .bind(kind)
            .execute(&mut *step)
            .await?;
        sqlx::query("insert into access_links (token_sha256, kind, ends_ms) values (?, ?, ?)")
            .bind(sha256)
            .bind(kind)
            .bind(ends_ms)
            .execute(&mut *step)
            .await?;
        step.commit().await?;
        Ok(())
    }

    /// Whether a link is still good; looking does not use it up.
    pub(crate) async fn has_link(&self, sha256: &str, kind: &str, now_ms: i64) -> Result<bool, StoreError> {
        let query =
            sqlx::query("select 1 from access_links where token_sha256 = ? and kind = ? and ends_ms > ?")
                .bind(sha256)
                .bind(kind)
                .bind(now_ms);
        Ok(query.fetch_optional(self.pool()).await?.is_some())
    }

    /// Uses a link up; whether it was good.
    pub(crate) async fn use_link(&self, sha256: &str, kind: &str, now_ms: i64) -> Result<bool, StoreError> {
        let used =
            sqlx::query("delete from access_links where token_sha256 = ? and kind = ? and ends_ms > ?")
                .bind(sha256)
                .bind(kind)
                .bind(now_ms)
                .execute(self.pool())
                .await?;
        Ok(used.rows_affected() > 0)
    }

    /// When each link of a kind that is still good ends.
    pub(crate) async fn link_ends(&self, kind: &str, now_ms: i64) -> Result<Vec<i64>, StoreError> {
        let rows =
            sqlx::query("select ends_ms from access_links where kind = ? and ends_ms > ? order by ends_ms")
                .bind(kind)
                .bind(now_ms)
                .fetch_all(self.pool())
                .await?;
        Ok(rows.iter().map(|row| row.try_get("ends_ms")).collect::<Result<_, _>>()?)
    }

    /// Takes back every link of a kind.
    pub(crate) async fn withdraw_links(&self, kind: &str) -> Result<(), StoreError> {
        sqlx::query("delete from access_links where kind = ?").bind(kind).execute(self.pool()).await?;
        Ok(())
    }

    pub(crate) async fn add_sign_in(
        &self,
        sha256: &str,
        role: &str,
        name: &str,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        sqlx::query(
            "insert into sign_ins (token_sha256, role, name, made_ms, used_ms) values (?1, ?2, ?3, ?4, ?4)",
        )
        .bind(sha256)
        .bind(role)
        .bind(name)
        .bind(now_ms)
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// The sign-in with this token, unless it has ended; its use is noted.
    pub(crate) async fn sign_in(
        &self,
        sha256: &str,
        lifetime: Lifetime,
        now_ms: i64,
    ) -> Result<Option<SignInRow>, StoreError> {
        let found = sqlx::query(
            "select sign_in_id, role, name, made_ms, used_ms from sign_ins
             where token_sha256 = ? and used_ms > ? and made_ms > ?",
        )
        .bind(sha256)
        .bind(now_ms - lifetime.unused_ms)
        .bind(now_ms - lifetime.whole_ms)
        .fetch_optional(self.pool())
        .await?;
        let Some(row) = found.as_ref().map(sign_in_row).transpose()? else { return Ok(None) };
        if now_ms - row.used_ms >= USE_EVERY_MS {
            sqlx::query("update sign_ins set used_ms = ? where sign_in_id = ?")
                .bind(now_ms)
                .bind(row.sign_in_id)
                .execute(self.pool())
                .await?;
        }
        Ok(Some(row))
    }

    /// Everybody who is signed in, in the order they came; what has ended is swept out.
    pub(crate) async fn sign_ins(
        &self,
        lifetime: Lifetime,
        now_ms: i64,
    ) -> Result<Vec<SignInRow>, StoreError> {
        sqlx::query("delete from sign_ins where used_ms <= ? or made_ms <= ?")
            .bind(now_ms - lifetime.unused_ms)
            .bind(now_ms - lifetime.whole_ms)
            .execute(self.pool())
            .await?;
        let rows =
            sqlx::query("select sign_in_id, role, name, made_ms, used_ms from sign_ins order by sign_in_id")
                .fetch_all(self.pool())
                .await?;
        rows.iter().map(sign_in_row).collect()
    }

    /// Ends one sign-in, by its number.
    pub(crate) async fn end_sign_in(&self, sign_in_id: i64) -> Result<(), StoreError> {
        sqlx::query("delete from sign_ins where sign_in_id = ?")
            .bind(sign_in_id)
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Ends every sign-in, of assistants as well.
    pub(crate) async fn end_sign_ins(&self) -> Result<(), StoreError> {
        sqlx::query("delete from sign_ins").execute(self.pool()).await?;
        Ok(())
    }
}

fn sign_in_row(row: &SqliteRow) -> Result<SignInRow, StoreError> {
    Ok(SignInRow {
        sign_in_id: row.try_get("sign_in_id")?,
        role: row.try_get("role")?,
        name: row.try_get("name")?,
        made_ms: row.try_get("made_ms")?,
        used_ms: row.try_get("used_ms")?,
    })
}
