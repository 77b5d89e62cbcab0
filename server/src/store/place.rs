//! The file of the records under a running server: whether it is still the one that is open, and what is done where it is not. What
//! was acknowledged is in the open file, wherever its name went; only as long as somebody has it open. It must not know words.

use super::backup::Passing;
use super::condition::Trouble;
use super::integrity::beside;
use super::records::{Store, StoreError};
use super::restore::BEFORE;
use sqlx::Sqlite;
use sqlx::pool::PoolConnection;
use std::fs::Metadata;
use std::io::{self, ErrorKind};
use std::path::Path;
use std::time::Duration;
use tokio::time::timeout;

/// Longest wait for whoever reads or writes just now.
const ALONE_WITHIN: Duration = Duration::from_secs(5);

/// Which file is at a path, where the system tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Identity(u64, u64);

impl Identity {
    /// # Errors
    /// When nothing is there, or it cannot be seen.
    pub(super) fn of(path: &Path) -> io::Result<Self> {
        std::fs::metadata(path).map(|metadata| Self::read(&metadata))
    }

    #[cfg(unix)]
    fn read(metadata: &Metadata) -> Self {
        use std::os::unix::fs::MetadataExt;
        Self(metadata.dev(), metadata.ino())
    }

    /// Here an open file can be neither removed nor replaced.
    #[cfg(not(unix))]
    fn read(_: &Metadata) -> Self {
        Self(0, 0)
    }
}

impl Store {
    /// What has become of the file under us, if anything has.
    pub(super) fn misplaced(&self) -> Option<Trouble> {
        match Identity::of(&self.file()) {
            Ok(now) if now == self.identity() => None,
            Ok(_) => Some(Trouble::Replaced),
            Err(error) if error.kind() == ErrorKind::NotFound => Some(Trouble::Missing),
            // A look that fails says nothing about the file: writing will.
            Err(_) => None,
        }
    }

    /// Both connections, so that nothing is written meanwhile.
    async fn alone(&self) -> Result<[PoolConnection<Sqlite>; 2], StoreError> {
        let both =
            async { Ok::<_, sqlx::Error>([self.pool().acquire().await?, self.pool().acquire().await?]) };
        Ok(timeout(ALONE_WITHIN, both).await.map_err(|_| sqlx::Error::PoolTimedOut)??)
    }

    /// Writes all that is in the open file to its place, where nothing is now, and goes on with that.
    ///
    /// # Errors
    /// When it cannot be written; then the file is open as before.
    pub(super) async fn bring_back(&self) -> Result<(), StoreError> {
        let file = self.file();
        let [mut one, other] = self.alone().await?;
        let copy = Passing::make(beside(&file, &format!(".part-{}", std::process::id())))
            .map_err(sqlx::Error::Io)?;
        let text = copy.path.to_string_lossy().into_owned();
        sqlx::query("vacuum into ?").bind(text).execute(&mut *one).await?;
        if self.misplaced() != Some(Trouble::Missing) {
            // Somebody was quicker, which the next look sees.
            return Ok(());
        }
        one.close().await?;
        other.close().await?;
        // A log of the file that went would be taken for one of the file that comes.
        for ending in ["-wal", "-shm"] {
            let _ = std::fs::remove_file(beside(&file, ending));
        }
        copy.keep_as(&file).map_err(sqlx::Error::Io)?;
        self.is_now(Identity::of(&file).map_err(sqlx::Error::Io)?);
        tracing::warn!("the file of the records was gone from its place; all that was in it is back");
        Ok(())
    }

    /// Saves what is in the open file under another name, since another file is at its place, and empties its log, which would be
    /// taken for one of that file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) async fn save_beside(&self) -> Result<(), StoreError> {
        let file = self.file();
        let [mut one, other] = self.alone().await?;
        drop(other);
        let name = format!("{BEFORE}replaced-{}.sqlite3", uuid::Uuid::now_v7());
        let copy = Passing::make(beside(&file, &format!(".part-{}", std::process::id())))
            .map_err(sqlx::Error::Io)?;
        let text = copy.path.to_string_lossy().into_owned();
        sqlx::query("vacuum into ?").bind(text).execute(&mut *one).await?;
        copy.keep_as(&file.with_file_name(&name)).map_err(sqlx::Error::Io)?;
        sqlx::query("pragma wal_checkpoint(truncate)").execute(&mut *one).await?;
        tracing::error!(file = %name, "another file was put in the place of the records; what was kept until then is in a file beside it");
        Ok(())
    }
}
