//! Files that hold keys: whoever else uses this computer cannot read them. On Windows that is left to the rights of the
//! user's profile, in which the directory lies.

use super::TlsError;
use crate::warning::Warning;
use std::fs;
use std::io::{self, Write};
use std::path::Path;
use windrow_protocol::phrase::Phrase;

/// Rights of the directory: its owner's alone.
#[cfg(unix)]
const DIR_MODE: u32 = 0o700;
/// Rights of a key.
#[cfg(unix)]
const KEY_MODE: u32 = 0o600;

/// Makes a directory for its owner alone. One that is there with wider rights, or keys in it, get narrower ones, and a
/// warning says which.
pub(super) fn private_dir(dir: &Path) -> Result<Vec<Warning>, TlsError> {
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |source| TlsError::File { path, source }
    };
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, DIR_MODE);
    builder.create(dir).map_err(failed(dir))?;
    #[cfg_attr(not(unix), expect(unused_mut, reason = "rights are left to the profile there"))]
    let mut warnings = Vec::new();
    #[cfg(unix)]
    {
        warnings.extend(tighten(dir, DIR_MODE).map_err(failed(dir))?);
        for entry in fs::read_dir(dir).map_err(failed(dir))? {
            let path = entry.map_err(failed(dir))?.path();
            if path.file_name().is_some_and(|name| name.to_string_lossy().ends_with("-key.pem")) {
                warnings.extend(tighten(&path, KEY_MODE).map_err(failed(&path))?);
            }
        }
    }
    Ok(warnings)
}

/// Takes away what others may do with a file, and says so where they could do anything.
#[cfg(unix)]
fn tighten(path: &Path, mode: u32) -> io::Result<Option<Warning>> {
    use std::os::unix::fs::PermissionsExt;
    let had = fs::metadata(path)?.permissions().mode() & 0o777;
    if had & 0o077 == 0 {
        return Ok(None);
    }
    fs::set_permissions(path, fs::Permissions::from_mode(mode))?;
    Ok(Some(Warning::new(
        Phrase::of("certificate-was-open")
            .with("path", path.display().to_string())
            .with("mode", format!("{had:o}")),
        Phrase::of("certificate-was-open-do"),
    )))
}

pub(super) fn read(path: &Path) -> Result<Vec<u8>, TlsError> {
    fs::read(path).map_err(|source| TlsError::File { path: path.to_owned(), source })
}

pub(super) fn read_text(path: &Path) -> Result<String, TlsError> {
    fs::read_to_string(path).map_err(|source| TlsError::File { path: path.to_owned(), source })
}

/// Writes a file in one go: whatever happens, it is there as it was or as it is to be.
pub(super) fn write(path: &Path, text: &str) -> Result<(), TlsError> {
    write_as(path, text, fs::OpenOptions::new())
}

/// Writes a file that only its owner may read, from its first byte on.
pub(super) fn write_secret(path: &Path, text: &str) -> Result<(), TlsError> {
    #[cfg_attr(not(unix), expect(unused_mut, reason = "rights are the directory's on other systems"))]
    let mut options = fs::OpenOptions::new();
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, KEY_MODE);
    write_as(path, text, options)
}

fn write_as(path: &Path, text: &str, mut options: fs::OpenOptions) -> Result<(), TlsError> {
    let beside = path.with_extension("new");
    let mut written = || {
        match fs::remove_file(&beside) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        let mut file = options.write(true).create_new(true).open(&beside)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::rename(&beside, path)
    };
    written().map_err(|source| TlsError::File { path: path.to_owned(), source })
}
