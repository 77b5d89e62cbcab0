//! Tells the program which commit it was built from, for `windrow --version`. A package says so by WINDROW_BUILT_FROM ("abc1234 2026-11-26");
//! else git does, where the sources are a work tree of it. A debug build knows nothing of it, so that no commit makes anybody compile
//! the server anew. It must work without git.

use std::path::{Path, PathBuf};
use std::process::Command;

/// What goes into the program; whoever has changed none of it has built the commit.
const SOURCES: [&str; 8] =
    ["Cargo.lock", "Cargo.toml", "analysis", "migrations", "room", "server", "web", "words"];

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-env-changed=WINDROW_BUILT_FROM");
    let top = Path::new(&std::env::var("CARGO_MANIFEST_DIR").expect("cargo says where it builds")).join("..");
    let is_debug = std::env::var("PROFILE").is_ok_and(|profile| profile == "debug");
    let told = std::env::var("WINDROW_BUILT_FROM").ok().filter(|told| !told.trim().is_empty());
    let built_from = told.or_else(|| if is_debug { None } else { from_git(&top) }).unwrap_or_default();
    let (commit, date) = built_from.trim().split_once(' ').unwrap_or((built_from.trim(), ""));
    println!("cargo::rustc-env=WINDROW_COMMIT={commit}");
    println!("cargo::rustc-env=WINDROW_COMMIT_DATE={date}");
}

/// Commit and date, if the sources are those of a work tree of their own.
fn from_git(top: &Path) -> Option<String> {
    let is_ours = Path::new(&git(top, &["rev-parse", "--show-toplevel"])?).canonicalize().ok()?
        == top.canonicalize().ok()?;
    if !is_ours {
        return None;
    }
    // Whatever moves the commit writes one of these. A file that is not there would make cargo ask every time.
    for file in ["HEAD", "logs/HEAD", "packed-refs"] {
        watch(&git_path(top, file)?);
    }
    if let Some(branch) = git(top, &["symbolic-ref", "--quiet", "HEAD"]) {
        watch(&git_path(top, &branch)?);
    }
    for source in SOURCES {
        watch(&top.join(source));
    }
    let commit = git(top, &["rev-parse", "--short=7", "HEAD"])?;
    let status = ["--no-optional-locks", "status", "--porcelain", "--untracked-files=no", "--"];
    let changed = git(top, &[&status[..], &SOURCES[..]].concat())?;
    let mark = if changed.is_empty() { "" } else { "+changes" };
    let date = git(top, &["log", "-1", "--format=%cd", "--date=format-local:%Y-%m-%d"])?;
    Some(format!("{commit}{mark} {date}"))
}

fn git_path(top: &Path, file: &str) -> Option<PathBuf> {
    Some(top.join(git(top, &["rev-parse", "--git-path", file])?))
}

fn watch(path: &Path) {
    if path.exists() {
        println!("cargo::rerun-if-changed={}", path.display());
    }
}

fn git(top: &Path, arguments: &[&str]) -> Option<String> {
    let asked = Command::new("git").args(arguments).current_dir(top).env("TZ", "UTC").output().ok()?;
    asked.status.success().then(|| String::from_utf8_lossy(&asked.stdout).trim().to_owned())
}
