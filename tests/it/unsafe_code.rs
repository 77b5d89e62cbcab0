//! No unsafe code of ours but the names that the doors for JavaScript give out.

use std::fs;
use windrow_tests::wasm_sources::project;

/// Counts what a test allocates, which nothing safe can.
const COUNTING: &str = "analysis/tests/hearing/allocation.rs";
/// Where a fixed name for JavaScript is given out.
const DOORS: [&str; 3] = ["web/src/door.rs", "web/src/door/", "web/room/src/lib.rs"];

#[test]
fn nothing_of_ours_is_unsafe_but_the_names_of_the_doors() {
    let (mut n_doors, mut offences) = (0, Vec::new());
    let mut waiting = vec![project()];
    while let Some(dir) = waiting.pop() {
        for entry in fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(project()).unwrap().to_string_lossy().replace('\\', "/");
            if path.is_dir() && !name.ends_with("target") && !name.starts_with('.') {
                waiting.push(path);
                continue;
            }
            if !name.ends_with(".rs") || name == COUNTING {
                continue;
            }
            let text = fs::read_to_string(&path).unwrap();
            // Put together here, so that this file does not hold it.
            let word = ["un", "safe"].concat();
            let attribute = format!("#[{word}(no_mangle)]");
            n_doors += text.matches(&attribute).count();
            let is_door = DOORS.iter().any(|door| name.starts_with(door));
            let rest = if is_door { text.replace(&attribute, "") } else { text.clone() };
            let starts_it = |line: &str| {
                let after = [" {", " fn", " impl", " extern", " trait", "(no_mangle"];
                line.match_indices(&word).any(|(at, _)| {
                    let is_end_of_name = line[..at].ends_with(|c: char| c == '_' || c.is_alphanumeric());
                    !is_end_of_name && after.iter().any(|after| line[at + word.len()..].starts_with(after))
                })
            };
            offences
                .extend(rest.lines().filter(|line| starts_it(line)).map(|line| format!("{name}: {line}")));
            let is_root = ["src/lib.rs", "src/main.rs", "it/main.rs"].iter().any(|root| name.ends_with(root))
                || name.contains("src/bin/") && !name["tests/src/bin/".len()..].contains('/');
            let guard = format!("#![forbid({word}_code)]");
            // The doors' own crates are looked through alone.
            let is_doors = ["web/src/lib.rs", "web/room/src/lib.rs"].contains(&name.as_str());
            if is_root && !is_doors && !text.contains(&guard) {
                offences.push(format!("{name} lacks {guard}"));
            }
        }
    }
    assert!(offences.is_empty(), "{}", offences.join("\n"));
    assert!(n_doors > 20, "the doors are found: {n_doors}");
}
