//! Why the records cannot be written: by what SQLite says, and where it cannot tell by a look at the directory. It must not know words.

use crate::handles::is_out_of_handles;
use std::fs::File;
use std::io::{self, ErrorKind, Write};
use std::path::Path;

/// Why nothing can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// No room on the disk, or none for this account.
    Full,
    /// The disk or the file may only be read.
    ReadOnly,
    /// Another program keeps the file for itself.
    Locked,
    /// The file is not at its place any more.
    Missing,
    /// Another file is at its place.
    Replaced,
    /// This program has as many files and connections open as it may.
    NoHandles,
    /// The disk gives errors.
    Disk,
    /// SQLite finds the file damaged.
    Damaged,
    /// Something else.
    Other,
}

/// How the writing goes.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Condition {
    /// Why nothing can be written, while that is so.
    pub(crate) trouble: Option<Trouble>,
    /// Times that the file was gone and all that was in it was brought back.
    pub(crate) n_brought_back: u32,
}

/// Bytes written to see whether that works: a page of SQLite's.
const PROBE: [u8; 4096] = [0; 4096];
/// Name of the file for that, which goes at once.
const PROBE_NAME: &str = "windrow-probe";

impl Trouble {
    /// What an error of the database is about; where SQLite cannot tell, a look at the directory does.
    pub(super) fn of(error: &sqlx::Error, directory: &Path) -> Self {
        let code = error.as_database_error().and_then(|e| e.code()).and_then(|code| code.parse::<u32>().ok());
        // Primary result codes (sqlite.org/rescode.html); an extended one has more in its higher bits.
        match code.map(|code| code & 0xff) {
            Some(5 | 6) => Self::Locked,
            Some(11 | 26) => Self::Damaged,
            Some(13) => Self::Full,
            // SQLITE_READONLY_DBMOVED.
            Some(8) if code == Some(8 | (4 << 8)) => Self::Missing,
            Some(8) => Self::ReadOnly,
            Some(10 | 14) => Self::of_directory(directory).unwrap_or(Self::Disk),
            _ => match error {
                sqlx::Error::Io(error) => Self::of_io(error),
                sqlx::Error::PoolTimedOut => Self::Locked,
                _ => Self::Other,
            },
        }
    }

    /// What is in the way of another file beside the records, if anything is.
    fn of_directory(directory: &Path) -> Option<Self> {
        let path = directory.join(PROBE_NAME);
        let written = File::create(&path).and_then(|mut file| {
            file.write_all(&PROBE)?;
            file.sync_all()
        });
        // What cannot be made need not go.
        let _ = std::fs::remove_file(&path);
        written.err().map(|error| Self::of_io(&error))
    }

    fn of_io(error: &io::Error) -> Self {
        if is_out_of_handles(error) {
            return Self::NoHandles;
        }
        match error.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => Self::Full,
            ErrorKind::ReadOnlyFilesystem | ErrorKind::PermissionDenied => Self::ReadOnly,
            ErrorKind::NotFound => Self::Missing,
            _ => Self::Disk,
        }
    }
}
