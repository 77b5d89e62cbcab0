//! What a package brings beside the program, held against the program: every option and command stands in the manual, every setting of
//! the service exists, every file that the package lists is there.

use std::fs;
use windrow::CommandFactory;
use windrow::config::Cli;
use windrow_tests::wasm_sources::project;

fn file(name: &str) -> String {
    fs::read_to_string(project().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

#[test]
fn the_manual_names_every_command_and_every_option_of_serve() {
    let manual = file("packaging/windrow.1").replace("\\-", "-");
    let program = Cli::command();
    for command in program.get_subcommands() {
        assert!(manual.contains(&format!("windrow {}", command.get_name())), "{}", command.get_name());
    }
    let serve = program.find_subcommand("serve").unwrap();
    for option in serve.get_arguments().filter_map(|argument| argument.get_long()) {
        assert!(manual.contains(&format!("--{option}")), "--{option} is not in the manual");
    }
}

#[test]
fn every_setting_of_the_service_is_one_of_the_programs() {
    let serve = Cli::command();
    let serve = serve.find_subcommand("serve").unwrap();
    let mut known: Vec<String> =
        serve.get_arguments().filter_map(|a| Some(a.get_env()?.to_string_lossy().into_owned())).collect();
    known.extend(["WINDROW_OPTIONS", "WINDROW_LOG", "WINDROW_LOG_FORMAT"].map(str::to_owned));
    let settings = file("packaging/windrow.default");
    let named: Vec<&str> = settings
        .lines()
        .filter_map(|line| line.trim_start_matches('#').split_once('=').map(|(name, _)| name))
        .filter(|name| name.starts_with("WINDROW_"))
        .collect();
    assert!(named.len() >= 4, "{named:?}");
    for name in named {
        assert!(known.iter().any(|k| k == name), "{name} is no setting");
    }
    // What the unit starts is what the program takes.
    let unit = file("packaging/windrow.service");
    let start = unit.lines().find_map(|line| line.strip_prefix("ExecStart=/usr/bin/")).unwrap();
    let arguments = start.split(' ').filter(|word| !word.starts_with('$'));
    assert!(Cli::command().try_get_matches_from(arguments).is_ok(), "{start}");
}

#[test]
fn what_the_package_lists_is_there() {
    let manifest = file("server/Cargo.toml");
    let listed: Vec<&str> = manifest.split('"').filter(|text| text.starts_with("../packaging/")).collect();
    assert!(listed.len() >= 4, "{listed:?}");
    for path in listed {
        assert!(project().join("server").join(path).exists(), "{path}");
    }
    for script in ["postinst", "prerm", "postrm"] {
        let text = file(&format!("packaging/debian/{script}"));
        assert!(text.starts_with("#!/bin/sh\n") && text.contains("\nset -e\n"), "{script}");
        assert!(text.contains("#DEBHELPER#"), "{script}");
    }
    // Records go with a purge, and with nothing else.
    for script in ["postinst", "prerm"] {
        assert!(!file(&format!("packaging/debian/{script}")).contains("rm -rf"), "{script}");
    }
    let version = file("packaging/changelog");
    assert!(version.starts_with(&format!("windrow ({}-", env!("CARGO_PKG_VERSION"))), "{version}");
}
