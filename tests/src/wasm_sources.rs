//! What the browser's wasm files are made of: every source file and every crate that goes into them, with a fingerprint. The
//! builder writes the list beside each, a test compares it with what is there now. Must not know how to build.

use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// One built file.
#[derive(Debug, Clone, Copy)]
pub struct Built {
    /// From the project's top.
    pub wasm: &'static str,
    /// The list of what it was built from.
    pub sources: &'static str,
    /// The package it is built of, as cargo knows it.
    pub package: &'static str,
    /// The directories of all packages whose sources go into it.
    pub directories: &'static [&'static str],
}

/// The ears of a device, and the protocol's time and beats.
pub const LISTENER: Built = Built {
    wasm: "web/static/windrow.wasm",
    sources: "web/static/windrow.wasm.sources",
    package: "windrow-web",
    directories: &["analysis", "web/protocol", "web"],
};

/// A room of one.
pub const ROOM: Built = Built {
    wasm: "web/static/windrow-room.wasm",
    sources: "web/static/windrow-room.wasm.sources",
    package: "windrow-web-room",
    directories: &["room", "web/protocol", "web/room"],
};

/// All of them.
pub const BUILT: [Built; 2] = [LISTENER, ROOM];

/// The project's top directory.
pub fn project() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().expect("the tests are a directory of the project").to_owned()
}

/// The list as it should be now: a line for each source file with its SHA-256 (line ends counted as `\n` everywhere),
/// the build profile, the crates with their versions, and the SHA-256 of the wasm itself.
///
/// # Errors
/// Names the file that could not be read.
pub fn list(project: &Path, built: &Built) -> Result<String, String> {
    let mut files = BTreeSet::new();
    for package in built.directories {
        files.insert(format!("{package}/Cargo.toml"));
        rust_files(project, &format!("{package}/src"), &mut files)?;
    }
    let name = built.wasm.rsplit('/').next().unwrap_or_default();
    let mut list = format!("# What {name} was built from; web/build-wasm writes this.\n");
    for file in &files {
        let text = read(project, file)?.replace("\r\n", "\n");
        line(&mut list, &["file", file, &hex(text.as_bytes())]);
    }
    let manifest = read(project, "Cargo.toml")?.replace("\r\n", "\n");
    line(&mut list, &["profile", &hex(section(&manifest, "[profile.wasm").as_bytes())]);
    for (name, version) in crates(project, built.directories)? {
        line(&mut list, &["crate", &name, &version]);
    }
    let wasm =
        std::fs::read(project.join(built.wasm)).map_err(|e| format!("{} cannot be read: {e}", built.wasm))?;
    line(&mut list, &["wasm", &hex(&wasm)]);
    Ok(list)
}

fn line(list: &mut String, words: &[&str]) {
    writeln!(list, "{}", words.join(" ")).expect("a string takes what is written to it");
}

fn read(project: &Path, file: &str) -> Result<String, String> {
    std::fs::read_to_string(project.join(file)).map_err(|e| format!("{file} cannot be read: {e}"))
}

fn hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("a string takes what is written to it");
        text
    })
}

fn rust_files(project: &Path, dir: &str, files: &mut BTreeSet<String>) -> Result<(), String> {
    let entries = std::fs::read_dir(project.join(dir)).map_err(|e| format!("{dir} cannot be read: {e}"))?;
    for entry in entries {
        let entry = entry.map_err(|e| format!("{dir} cannot be read: {e}"))?;
        let path = format!("{dir}/{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            rust_files(project, &path, files)?;
        // Tests go into no wasm, whatever is in them.
        } else if path.ends_with(".rs") && !path.ends_with("tests.rs") {
            files.insert(path);
        }
    }
    Ok(())
}

/// The lines of a manifest's sections whose heading starts with `heading`.
fn section(manifest: &str, heading: &str) -> String {
    let mut inside = false;
    let mut lines = String::new();
    for text in manifest.lines() {
        if text.starts_with('[') {
            inside = text.starts_with(heading);
        }
        if inside && !text.trim().is_empty() && !text.starts_with('#') {
            line(&mut lines, &[text]);
        }
    }
    lines
}

/// Name and version of every crate from outside that the wasm is built with, as `Cargo.lock` has them.
fn crates(project: &Path, directories: &[&str]) -> Result<BTreeSet<(String, String)>, String> {
    let lock = read(project, "Cargo.lock")?.replace("\r\n", "\n");
    let mut waiting = Vec::new();
    for package in directories {
        // The lock mixes a workspace member's development dependencies with the others; its manifest does not.
        let manifest = read(project, &format!("{package}/Cargo.toml"))?.replace("\r\n", "\n");
        for text in section(&manifest, "[dependencies]").lines().skip(1) {
            let name = text.split(['.', ' ', '=']).next().unwrap_or_default();
            if !name.starts_with("windrow-") {
                waiting.push(name.to_owned());
            }
        }
    }
    let mut found = BTreeSet::new();
    while let Some(wanted) = waiting.pop() {
        // "name" or, where the lock has several versions, "name version".
        let (name, version) = wanted.split_once(' ').map_or((wanted.as_str(), None), |(n, v)| (n, Some(v)));
        let entry = lock.split("[[package]]").find(|entry| {
            value(entry, "name") == Some(name) && version.is_none_or(|v| value(entry, "version") == Some(v))
        });
        let entry = entry.ok_or_else(|| format!("Cargo.lock has no entry for {wanted}"))?;
        let version =
            value(entry, "version").ok_or_else(|| format!("Cargo.lock has no version of {name}"))?;
        if found.insert((name.to_owned(), version.to_owned())) {
            let dependencies = entry.split_once("dependencies = [").map_or("", |(_, rest)| rest);
            let dependencies = dependencies.split(']').next().unwrap_or_default();
            waiting.extend(dependencies.split('"').skip(1).step_by(2).map(str::to_owned));
        }
    }
    Ok(found)
}

/// The quoted value of a key in an entry of the lock file.
fn value<'a>(entry: &'a str, key: &str) -> Option<&'a str> {
    entry.lines().find_map(|text| text.strip_prefix(key)?.strip_prefix(" = \"")?.strip_suffix('"'))
}
