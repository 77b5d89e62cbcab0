//! What comes in from others, held to deny.toml without a tool of its own: licences, versions that are in twice, crates that may not
//! come, places. Advisories are `cargo deny`'s alone.

use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::process::Command;
use windrow_tests::wasm_sources::project;

#[derive(Deserialize)]
struct Rules {
    licenses: Licences,
    bans: Bans,
}

#[derive(Deserialize)]
struct Licences {
    allow: BTreeSet<String>,
    exceptions: Vec<Exception>,
}

#[derive(Deserialize)]
struct Exception {
    allow: BTreeSet<String>,
    #[serde(rename = "crate")]
    name: String,
}

#[derive(Deserialize)]
struct Bans {
    deny: Vec<Named>,
    skip: Vec<Named>,
}

#[derive(Deserialize)]
struct Named {
    #[serde(rename = "crate")]
    name: String,
    reason: String,
}

/// A crate that is built into something, tests apart.
struct Package {
    name: String,
    version: String,
    licence: String,
}

fn rules() -> Rules {
    basic_toml::from_str(&fs::read_to_string(project().join("deny.toml")).unwrap()).unwrap()
}

/// What cargo answers about the workspace.
fn cargo(arguments: &[&str]) -> String {
    let asked = Command::new(env!("CARGO")).args(arguments).current_dir(project()).output().unwrap();
    assert!(asked.status.success(), "{}", String::from_utf8_lossy(&asked.stderr));
    String::from_utf8(asked.stdout).unwrap()
}

/// Every crate of others that is built, with all features, on any system, tests apart: what `cargo deny` looks at.
fn packages() -> Vec<Package> {
    let tree = "tree --workspace --all-features --target all --edges normal,build --prefix none --locked --format {p}|{l}";
    let told = cargo(&tree.split(' ').collect::<Vec<_>>());
    let mut packages = Vec::new();
    for line in told.lines().filter(|line| !line.is_empty()) {
        let (package, licence) = line.split_once('|').unwrap();
        let (name, version) = package.split_once(" v").unwrap();
        // A path or a kind may follow; and (*) where it was told before.
        let version = version.split(' ').next().unwrap();
        if !name.starts_with("windrow") {
            let licence = licence.trim_end_matches(" (*)");
            packages.push(Package { name: name.into(), version: version.into(), licence: licence.into() });
        }
    }
    assert!(packages.len() > 200, "the list is whole: {}", packages.len());
    packages
}

/// Whether an expression (SPDX 2.3, annex D; `/` is how older crates write OR) can be met with these licences.
fn can_be_met(expression: &str, allowed: &dyn Fn(&str) -> bool) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let mut words: Vec<&str> = spaced.split_whitespace().rev().collect();
    let is_met = any_of(&mut words, allowed);
    assert!(words.is_empty(), "{expression} cannot be read");
    is_met
}

/// The words come from the end of the list.
fn any_of(words: &mut Vec<&str>, allowed: &dyn Fn(&str) -> bool) -> bool {
    let mut is_met = all_of(words, allowed);
    while words.pop_if(|word| *word == "OR").is_some() {
        is_met |= all_of(words, allowed);
    }
    is_met
}

fn all_of(words: &mut Vec<&str>, allowed: &dyn Fn(&str) -> bool) -> bool {
    let mut is_met = one(words, allowed);
    while words.pop_if(|word| *word == "AND").is_some() {
        is_met &= one(words, allowed);
    }
    is_met
}

fn one(words: &mut Vec<&str>, allowed: &dyn Fn(&str) -> bool) -> bool {
    let word = words.pop().unwrap();
    if word == "(" {
        let is_met = any_of(words, allowed);
        assert_eq!(words.pop(), Some(")"));
        return is_met;
    }
    if words.pop_if(|word| *word == "WITH").is_some() {
        let with = words.pop().unwrap();
        return allowed(&format!("{word} WITH {with}"));
    }
    allowed(word)
}

#[test]
fn an_expression_is_met_by_one_side_of_or_and_both_of_and() {
    for (expression, expected) in [
        ("MIT", true),
        ("GPL-3.0", false),
        ("GPL-3.0 OR MIT", true),
        ("MIT/Apache-2.0", true),
        ("MIT AND GPL-3.0", false),
        ("(GPL-3.0 OR MIT) AND ISC", true),
        ("GPL-3.0 OR MIT AND ISC", true),
        ("GPL-3.0 AND MIT OR ISC", true),
        ("MIT AND (GPL-3.0 OR ISC AND GPL-2.0)", false),
        ("Apache-2.0 WITH LLVM-exception", false),
    ] {
        assert_eq!(can_be_met(expression, &|l| l == "MIT" || l == "ISC"), expected, "{expression}");
    }
}

#[test]
fn every_licence_is_one_of_those_allowed_and_each_of_those_is_needed() {
    let rules = rules().licenses;
    let foreign = packages();
    let offends = |allowed: &BTreeSet<String>| -> BTreeSet<String> {
        let is_met = |p: &&Package| {
            let excepted = |l: &str| rules.exceptions.iter().any(|e| e.name == p.name && e.allow.contains(l));
            can_be_met(&p.licence, &|l| allowed.contains(l) || excepted(l))
        };
        let unmet = foreign.iter().filter(|p| !is_met(p));
        unmet.map(|p| format!("{} {}: {}", p.name, p.version, p.licence)).collect()
    };
    assert_eq!(offends(&rules.allow), BTreeSet::new());
    for licence in &rules.allow {
        let mut without = rules.allow.clone();
        without.remove(licence);
        assert!(!offends(&without).is_empty(), "nothing needs {licence} any more");
    }
    for exception in &rules.exceptions {
        assert!(foreign.iter().any(|p| p.name == exception.name), "{} is gone", exception.name);
    }
}

#[test]
fn what_is_in_twice_is_listed_with_its_reason_and_nothing_else_is() {
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for package in packages() {
        versions.entry(package.name).or_default().insert(package.version);
    }
    for skipped in rules().bans.skip {
        let (name, prefix) = skipped.name.split_once(':').unwrap();
        assert!(!skipped.reason.is_empty(), "{name} needs a reason");
        let there = versions.get_mut(name).unwrap_or_else(|| panic!("{name} is gone: take it off the list"));
        let n_before = there.len();
        there.retain(|v| v != prefix && !v.starts_with(&format!("{prefix}.")));
        assert!(there.len() < n_before && !there.is_empty(), "{name} {prefix} is not in twice any more");
    }
    versions.retain(|_, there| there.len() > 1);
    assert_eq!(versions, BTreeMap::new(), "in twice: list the older one in deny.toml, with its reason");
}

#[test]
fn nothing_banned_is_in_the_lock_file_and_everything_is_from_crates_io() {
    let lock = fs::read_to_string(project().join("Cargo.lock")).unwrap().replace("\r\n", "\n");
    for banned in rules().bans.deny {
        assert!(!banned.reason.is_empty());
        let is_there = lock.contains(&format!("name = \"{}\"\n", banned.name));
        assert!(!is_there, "{} came in: {}", banned.name, banned.reason);
    }
    let sources: BTreeSet<_> = lock.lines().filter(|line| line.starts_with("source = ")).collect();
    let crates_io = "source = \"registry+https://github.com/rust-lang/crates.io-index\"";
    assert_eq!(sources, BTreeSet::from([crates_io]));
}
