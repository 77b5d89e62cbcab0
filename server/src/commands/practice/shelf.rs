//! Practices as files: one each, just as it is handed in; its name says whether it has been. It must know no network.

use crate::practice::{self, Practice};
use crate::room::{Kept, KeptRun};
use crate::words::english;
use anyhow::{Context, anyhow};
use serde::{Deserialize, Serialize};
use std::fs;
use std::path::{Path, PathBuf};
use windrow_protocol::score::{PerBeat, Target};

/// Directory of practices in that of the program's data.
const DIR: &str = "practice";
const HANDED_IN: &str = ".handed-in.json";
/// The ones by which rooms know this computer.
const TOKENS: &str = "devices.txt";
/// Rooms that know this computer; the oldest are forgotten.
const MAX_TOKENS: usize = 20;

/// The directory.
#[derive(Debug, Clone)]
pub(in crate::commands) struct Shelf {
    dir: PathBuf,
}

/// A file of it.
#[derive(Debug)]
pub(super) struct OnShelf {
    pub(super) path: PathBuf,
    pub(super) is_handed_in: bool,
    pub(super) practice: anyhow::Result<Practice>,
}

/// A room that knows this computer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct KnownBy {
    pub(super) site: String,
    pub(super) token: String,
}

impl Shelf {
    pub(in crate::commands) fn in_data(data_dir: &Path) -> Self {
        Self { dir: data_dir.join(DIR) }
    }

    /// Where a practice of this origin is written.
    pub(in crate::commands) fn path_of(&self, origin_id: &str) -> PathBuf {
        self.dir.join(format!("{origin_id}.json"))
    }

    /// Files in order of their names, which is that of time.
    fn files(&self) -> anyhow::Result<Vec<PathBuf>> {
        let Ok(entries) = fs::read_dir(&self.dir) else { return Ok(Vec::new()) };
        let mut files = Vec::new();
        for entry in entries {
            let path = entry.with_context(|| format!("cannot look into {}", self.dir.display()))?.path();
            if path.extension().is_some_and(|e| e == "json") {
                files.push(path);
            }
        }
        files.sort();
        Ok(files)
    }

    pub(super) fn all(&self) -> anyhow::Result<Vec<OnShelf>> {
        let on_shelf =
            |path: PathBuf| OnShelf { is_handed_in: is_handed_in(&path), practice: read(&path), path };
        Ok(self.files()?.into_iter().map(on_shelf).collect())
    }

    /// Those that are not handed in yet.
    pub(super) fn waiting(&self) -> anyhow::Result<Vec<PathBuf>> {
        Ok(self.files()?.into_iter().filter(|path| !is_handed_in(path)).collect())
    }

    /// Marks a file of this directory as handed in; others stay as they are.
    pub(super) fn mark_handed_in(&self, path: &Path) -> anyhow::Result<()> {
        let is_ours = path.parent().is_some_and(|dir| dir == self.dir) && !is_handed_in(path);
        if is_ours && let Some(stem) = path.file_stem() {
            let mut name = stem.to_owned();
            name.push(HANDED_IN);
            fs::rename(path, self.dir.join(name))?;
        }
        Ok(())
    }

    /// Rooms that know this computer, the newest first.
    pub(super) fn known_by(&self) -> Vec<KnownBy> {
        let text = fs::read_to_string(self.dir.join(TOKENS)).unwrap_or_default();
        let known = text.lines().filter_map(|line| line.split_once(' '));
        known.map(|(token, site)| KnownBy { site: site.to_owned(), token: token.to_owned() }).collect()
    }

    /// Remembers a room.
    pub(super) fn remember(&self, new: KnownBy) -> anyhow::Result<()> {
        let old = self.known_by().into_iter().filter(|known| known.token != new.token);
        let lines = std::iter::once(new.clone()).chain(old).take(MAX_TOKENS);
        let text: String = lines.map(|known| format!("{} {}\n", known.token, known.site)).collect();
        fs::create_dir_all(&self.dir)?;
        let path = self.dir.join(TOKENS);
        fs::write(&path, text).with_context(|| format!("cannot write {}", path.display()))?;
        // Whoever has the token is this player's device.
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            fs::set_permissions(&path, fs::Permissions::from_mode(0o600))?;
        }
        Ok(())
    }
}

fn is_handed_in(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().ends_with(HANDED_IN))
}

/// Reads a practice's file.
pub(super) fn read(path: &Path) -> anyhow::Result<Practice> {
    let bytes = fs::read(path).with_context(|| format!("{} cannot be read", path.display()))?;
    practice::read(&bytes).map_err(|why| anyhow!("{}: {}", path.display(), english(&why)))
}

/// Writes a practice so that a program that is killed meanwhile leaves the old file or the new one.
pub(in crate::commands) fn write(path: &Path, practice: &Practice) -> anyhow::Result<()> {
    if let Some(dir) = path.parent() {
        fs::create_dir_all(dir).with_context(|| format!("{} cannot be made", dir.display()))?;
    }
    let text = serde_json::to_string(practice).context("a practice always has a JSON form")?;
    let new = path.with_extension("new");
    fs::write(&new, text).with_context(|| format!("{} cannot be written", new.display()))?;
    fs::rename(&new, path).with_context(|| format!("{} cannot be written", path.display()))
}

fn runs(practice: &Practice) -> impl Iterator<Item = &KeptRun> {
    practice.kept.iter().filter_map(|kept| match kept {
        Kept::Run(run) => Some(&**run),
        _ => None,
    })
}

/// How long was played, such as "12 minutes".
pub(in crate::commands) fn minutes(practice: &Practice) -> String {
    let seconds: f64 = runs(practice).map(|run| (run.ended_us - run.began_us) / 1e6).sum();
    match (seconds / 60.0).round() {
        n if n < 1.0 => "under a minute".to_owned(),
        1.0 => "a minute".to_owned(),
        n => format!("{n} minutes"),
    }
}

/// The rung held with the most pulses a second, such as "triplets at 66".
pub(super) fn highest_rung(practice: &Practice) -> Option<String> {
    let pulses_a_minute = |(per_beat, bpm): (PerBeat, f64)| f64::from(per_beat.get()) * bpm;
    let held =
        runs(practice).flat_map(|run| &run.stretches).filter(|s| s.held).filter_map(|s| match s.target {
            Target::Pulses { per_beat } => Some((per_beat, s.bpm.get())),
            _ => None,
        });
    let highest = held.max_by(|&a, &b| pulses_a_minute(a).total_cmp(&pulses_a_minute(b)));
    highest.map(|(per_beat, bpm)| format!("{} at {bpm:.0}", per_beat.word().to_lowercase()))
}
