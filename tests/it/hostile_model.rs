//! The threat model in DEVELOPERS.md names what tries each of its claims; all of that is there.

use std::fs;
use std::path::{Path, PathBuf};
use windrow_tests::wasm_sources::project;

/// Names in back quotes within brackets, in the table of the section.
fn named(section: &str) -> Vec<String> {
    let rows = section.lines().filter(|line| line.starts_with("| ")).collect::<Vec<_>>().join("\n");
    let brackets =
        rows.split('(').skip(1).filter_map(|rest| rest.split_once(')')).map(|(inside, _)| inside.to_owned());
    let quoted = brackets
        .flat_map(|inside| inside.split('`').skip(1).step_by(2).map(str::to_owned).collect::<Vec<_>>());
    quoted.collect()
}

/// Sources of a module of the tests: its file, or all of its folder.
fn sources(dir: &Path, module: &str) -> Vec<PathBuf> {
    let file = dir.join(format!("{module}.rs"));
    let inside = fs::read_dir(dir.join(module)).into_iter().flatten().map(|entry| entry.unwrap().path());
    inside.chain(file.is_file().then_some(file.clone())).filter(|path| path.is_file()).collect()
}

/// Whether a path of modules, the last of which may be how a test's name begins, leads to a test, or the name is that of a part of the reference run.
fn is_there(name: &str) -> bool {
    let tests = project().join("tests");
    let parts: Vec<&str> = name.split("::").collect();
    if tests.join(format!("reference/{name}.py")).is_file() {
        return true;
    }
    let (first, rest) = parts.split_first().unwrap();
    let mut dir = tests.join("it");
    let mut found = sources(&dir, first);
    dir.push(first);
    for part in rest {
        let inner = sources(&dir, part);
        if inner.is_empty() {
            let begins = format!("fn {part}");
            return found.iter().any(|path| fs::read_to_string(path).unwrap().contains(&begins));
        }
        found = inner;
        dir.push(part);
    }
    found.iter().any(|path| {
        let text = fs::read_to_string(path).unwrap();
        ["#[test]", "#[tokio::test"].iter().any(|sign| text.contains(sign))
    })
}

#[test]
fn everything_that_the_threat_model_names_is_there() {
    let text = fs::read_to_string(project().join("DEVELOPERS.md")).unwrap();
    let section = text.split("\n## What can go wrong on purpose\n").nth(1).unwrap();
    let names = named(section.split("\n## ").next().unwrap());
    assert!(names.len() > 15, "{names:?}");
    let missing: Vec<_> = names.iter().filter(|name| !is_there(name)).collect();
    assert!(missing.is_empty(), "no test is called {missing:?}");
    for made_up in ["hostile::no_such_test", "no_such_module", "access::no_such_module::x"] {
        assert!(!is_there(made_up), "{made_up}");
    }
}
