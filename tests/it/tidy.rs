//! The project's own rules, as tests: which part may know which, what a file must have, what must never come in. A rule
//! that is wrong is changed here, with its reason in the commit.

use std::fs;
use std::path::{Path, PathBuf};
use windrow_tests::wasm_sources::project;

/// What may stand at the top, apart from dot files.
const TOP: [&str; 18] = [
    "CHANGELOG.md",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "analysis",
    "clippy.toml",
    "deny.toml",
    "fuzz",
    "migrations",
    "packaging",
    "room",
    "rustfmt.toml",
    "server",
    "tests",
    "web",
    "words",
];

/// Lines a source file may have. 400 is where a file asks to be split; nobody may pass this one.
const MAX_LINES: usize = 500;

/// Kinds of files that open with a comment, and the signs a comment may start with.
const COMMENTS: [(&str, &[&str]); 9] = [
    ("rs", &["//!", "//"]),
    ("js", &["//", "/*"]),
    ("mjs", &["//", "/*"]),
    ("css", &["/*"]),
    ("html", &["{#", "<!--"]),
    ("sql", &["--"]),
    ("sh", &["#"]),
    ("py", &["\"\"\""]),
    ("cmd", &["@echo off"]),
];

/// Source files of a part, and the crates and modules it must not name.
struct Arrow {
    under: &'static str,
    except: &'static [&'static str],
    forbidden: &'static [&'static str],
    why: &'static str,
}

const ARROWS: &[Arrow] = &[
    Arrow {
        under: "analysis/src",
        except: &[],
        forbidden: &[
            "serde",
            "windrow_protocol",
            "windrow_web",
            "std::fs",
            "std::io",
            "std::net",
            "std::thread",
            "Instant",
            "SystemTime",
            "unsafe",
        ],
        why: "the analysis is arithmetic alone",
    },
    Arrow {
        under: "web/protocol/src",
        except: &[],
        forbidden: &[
            "windrow_analysis",
            "windrow_web",
            "std::fs",
            "std::io",
            "std::net",
            "std::thread",
            "Instant",
            "SystemTime",
            "unsafe",
        ],
        why: "messages and the score are plain data and pure functions",
    },
    Arrow {
        under: "web/src",
        except: &[],
        forbidden: &["std::fs", "std::io", "std::net", "std::thread", "Instant", "SystemTime"],
        why: "who feeds a listener brings sound and time",
    },
    Arrow {
        under: "web/room/src",
        except: &[],
        forbidden: &[
            "windrow_analysis",
            "windrow_web",
            "std::fs",
            "std::io",
            "std::net",
            "std::thread",
            "Instant",
            "SystemTime",
        ],
        why: "who practises brings the time, and a room sees no sound",
    },
    Arrow {
        under: "server/src",
        except: &["server/src/player", "server/src/commands"],
        forbidden: &["windrow_analysis", "windrow_web"],
        why: "the part that serves a room cannot see sound",
    },
    Arrow {
        under: "room/src",
        except: &[],
        forbidden: &["std::fs", "std::io", "std::net", "std::thread", "Instant", "SystemTime", "unsafe"],
        why: "the rules of a rehearsal are pure",
    },
    Arrow {
        under: "server/src/room",
        except: &[],
        forbidden: &["axum", "sqlx", "crate::http", "crate::player", "crate::commands"],
        why: "a room knows no pages and no SQL",
    },
    Arrow {
        under: "server/src/plan",
        except: &[],
        forbidden: &[
            "tokio",
            "axum",
            "sqlx",
            "std::fs",
            "Instant",
            "SystemTime",
            "crate::http",
            "crate::store",
            "crate::player",
            "crate::commands",
            "tracing",
        ],
        why: "a plan is data and what follows from it",
    },
    Arrow {
        under: "server/src/roster",
        except: &[],
        forbidden: &["axum", "sqlx", "crate::http", "crate::access", "crate::player", "crate::commands"],
        why: "the roster brings records and room together, whoever asks",
    },
    Arrow {
        under: "server/src/charts",
        except: &[],
        forbidden: &["tokio", "axum", "sqlx", "Instant", "SystemTime", "crate::", "windrow_", "tracing"],
        why: "a chart is drawn from plain data and ready texts",
    },
    Arrow {
        under: "server/src/weeks",
        except: &[],
        forbidden: &[
            "tokio",
            "axum",
            "sqlx",
            "Instant",
            "SystemTime",
            "crate::http",
            "crate::store",
            "crate::room",
            "crate::words",
            "tracing",
        ],
        why: "weeks are arithmetic on what was played",
    },
    Arrow {
        under: "server/src/practice",
        except: &[],
        forbidden: &["axum", "sqlx", "crate::http", "crate::access", "crate::roster", "crate::commands"],
        why: "practice is taken in the same way whoever brings it",
    },
    Arrow {
        under: "server/src/records",
        except: &[],
        forbidden: &[
            "axum",
            "sqlx",
            "std::fs",
            "crate::http",
            "crate::access",
            "crate::player",
            "crate::commands",
        ],
        why: "files of rehearsals come from records and go into them, whoever asks",
    },
    Arrow {
        under: "server/src/shelf.rs",
        except: &[],
        forbidden: &["axum", "sqlx", "crate::http", "crate::access", "crate::player", "crate::commands"],
        why: "the shelf brings plans, records and room together, whoever asks",
    },
    Arrow {
        under: "server/src/imaginary.rs",
        except: &[],
        forbidden: &["axum", "sqlx", "crate::http", "crate::access", "crate::store", "crate::commands"],
        why: "the imaginary section brings players and room together and leaves no records",
    },
    Arrow {
        under: "server/src/store",
        // What rooms want kept is written and read back there.
        except: &["server/src/store/runs_tests.rs"],
        forbidden: &[
            "axum",
            "crate::access",
            "crate::http",
            "crate::room",
            "crate::player",
            "crate::commands",
        ],
        why: "storage serves rooms and pages and knows neither",
    },
    Arrow {
        under: "server/src/access",
        except: &[],
        forbidden: &["axum", "sqlx", "crate::http", "crate::room", "crate::player", "crate::commands"],
        why: "who may do what knows neither pages nor rehearsals",
    },
    Arrow {
        under: "server/src/http",
        except: &[],
        forbidden: &["sqlx", "crate::player", "crate::commands"],
        why: "pages ask rooms and storage",
    },
];

/// Crates each package may depend on, where that is fixed.
const DEPENDENCIES: [(&str, &[&str]); 5] = [
    ("analysis", &["realfft", "rustfft"]),
    ("web/protocol", &["serde"]),
    ("room", &["serde", "windrow-protocol"]),
    ("web", &["serde_json", "windrow-analysis", "windrow-protocol"]),
    ("web/room", &["serde", "serde_json", "windrow-protocol", "windrow-room"]),
];

fn files(under: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut waiting = vec![project().join(under)];
    while let Some(path) = waiting.pop() {
        if path.is_file() {
            found.push(path);
        } else if let Ok(entries) = fs::read_dir(&path) {
            waiting.extend(entries.map(|entry| entry.unwrap().path()));
        }
    }
    found.sort();
    found
}

/// Every file of ours that is text, with its path from the top and what it holds.
fn texts() -> Vec<(String, String)> {
    let parts = [".ci", "analysis", "migrations", "packaging", "server", "tests", "web"];
    let files = parts.iter().flat_map(|part| files(part));
    files
        .filter(|path| !path.components().any(|part| part.as_os_str() == "target"))
        // Not ours: as its makers published it.
        .filter(|path| !path.starts_with(project().join("web/static/fluent")))
        .filter_map(|path| Some((name(&path), fs::read_to_string(&path).ok()?.replace("\r\n", "\n"))))
        .collect()
}

fn name(path: &Path) -> String {
    let from_top = path.strip_prefix(project()).unwrap();
    from_top.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
}

fn extension(name: &str) -> &str {
    name.rsplit('/').next().unwrap().rsplit_once('.').map_or("", |(_, extension)| extension)
}

/// Fails with every offence, a line each.
fn none_of(rule: &str, offences: &[String]) {
    assert!(offences.is_empty(), "{rule}:\n{}", offences.join("\n"));
}

/// A line without its comment; good enough for names of crates, which no string of ours holds before `//`.
fn code(line: &str) -> &str {
    line.split("//").next().unwrap()
}

/// Whether `text` has `word` between signs that cannot belong to a longer name.
fn names(text: &str, word: &str) -> bool {
    let is_part_of_name = |c: char| c.is_alphanumeric() || c == '_';
    text.match_indices(word).any(|(at, _)| {
        !text[..at].ends_with(is_part_of_name) && !text[at + word.len()..].starts_with(is_part_of_name)
    })
}

#[test]
fn a_word_is_found_by_itself_only() {
    assert!(names("use windrow_web::Listener;", "windrow_web"));
    assert!(!names("let unsafe_count = 1;", "unsafe"));
    assert!(!names("mod my_tokio;", "tokio"));
    assert_eq!(code("let x = 1; // tokio"), "let x = 1; ");
}

#[test]
fn each_part_knows_only_what_it_may() {
    let mut offences = Vec::new();
    let texts = texts();
    for arrow in ARROWS {
        let is_under = |name: &str, part: &str| {
            name == part || name.starts_with(&format!("{part}/")) || name == format!("{part}.rs")
        };
        for (name, text) in texts.iter().filter(|(name, _)| is_under(name, arrow.under)) {
            if extension(name) != "rs" || arrow.except.iter().any(|part| is_under(name, part)) {
                continue;
            }
            for (i, line) in text.lines().enumerate() {
                for word in arrow.forbidden.iter().filter(|word| names(code(line), word)) {
                    offences.push(format!("{name}:{}: names {word}, but {}", i + 1, arrow.why));
                }
            }
        }
    }
    none_of("arrows", &offences);
}

#[test]
fn packages_with_fixed_dependencies_have_no_others() {
    let mut offences = Vec::new();
    for (package, allowed) in DEPENDENCIES {
        let manifest = fs::read_to_string(project().join(package).join("Cargo.toml")).unwrap();
        let section = manifest.split("[dependencies]").nth(1).unwrap().split("\n[").next().unwrap();
        for line in section.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
            let name = line.split(['.', ' ', '=']).next().unwrap();
            if !allowed.contains(&name) {
                offences.push(format!("{package}/Cargo.toml: {name}"));
            }
        }
    }
    none_of("dependencies", &offences);
}

#[test]
fn every_source_file_opens_with_a_comment() {
    let mut offences = Vec::new();
    for (name, text) in texts() {
        let Some((_, signs)) = COMMENTS.iter().find(|(kind, _)| *kind == extension(&name)) else { continue };
        if !signs.iter().any(|sign| text.starts_with(sign)) {
            offences.push(name);
        }
    }
    none_of("files that do not open with what they are for", &offences);
}

#[test]
fn no_source_file_is_too_long_to_hold_one_idea() {
    let too_long = texts().into_iter().filter_map(|(name, text)| {
        let is_source = ["rs", "js", "mjs", "css", "html", "sql", "py"].contains(&extension(&name));
        let n_lines = text.lines().count();
        (is_source && n_lines > MAX_LINES)
            .then(|| format!("{name} has {n_lines} lines of at most {MAX_LINES}"))
    });
    none_of("split these", &too_long.collect::<Vec<_>>());
}

#[test]
fn nothing_is_left_unfinished_or_switched_off() {
    // Put together here, so that this file does not hold them.
    let marks = [
        ["to", "do!"],
        ["unimpl", "emented!"],
        ["#[ig", "nore"],
        ["TO", "DO"],
        ["FIX", "ME"],
        ["test.sk", "ip("],
    ];
    none_of("unfinished", &lines_with(&marks, texts()));
}

/// Lines that hold one of the marks, which are given in halves so that this file does not hold them itself.
fn lines_with(marks: &[[&str; 2]], texts: impl IntoIterator<Item = (String, String)>) -> Vec<String> {
    let mut found = Vec::new();
    for (name, text) in texts {
        for (i, line) in text.lines().enumerate() {
            for mark in marks.iter().map(|halves| halves.concat()).filter(|mark| line.contains(mark)) {
                found.push(format!("{name}:{}: {mark}", i + 1));
            }
        }
    }
    found
}

#[test]
fn nothing_depends_on_the_machine_it_was_written_on() {
    let paths = [["/wo", "rk/"], ["/ro", "ot/"], ["/ho", "me/"], ["/op", "t/"], ["C:\\", "Users"]];
    let others = texts().into_iter().filter(|(name, _)| name != "tests/it/wasm.rs");
    none_of("paths of a machine", &lines_with(&paths, others));
}

#[test]
fn the_top_level_holds_what_it_should() {
    let mut offences = Vec::new();
    for entry in fs::read_dir(project()).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        if !name.starts_with('.') && name != "target" && !TOP.contains(&name.as_str()) {
            offences.push(name);
        }
    }
    none_of("not of the top level", &offences);
    for name in TOP {
        assert!(project().join(name).exists(), "{name} is missing at the top");
    }
}

#[test]
fn files_are_named_after_what_they_hold() {
    let vague = ["utils", "util", "helpers", "helper", "common", "misc", "manager"];
    let offences = texts()
        .into_iter()
        .map(|(name, _)| name)
        .filter(|name| name.split('/').any(|part| vague.contains(&part.split('.').next().unwrap())));
    none_of("vague names", &offences.collect::<Vec<_>>());
}

#[test]
fn the_lock_file_holds_one_tls_and_one_websocket_crate() {
    let lock = fs::read_to_string(project().join("Cargo.lock")).unwrap().replace("\r\n", "\n");
    // Two providers in one binary make rustls panic at the first handshake.
    for provider in ["aws-lc-rs", "aws-lc-sys", "openssl-sys"] {
        assert!(!lock.contains(&format!("name = \"{provider}\"\n")), "{provider} is in Cargo.lock");
    }
    for once in ["tungstenite", "libsqlite3-sys"] {
        let n = lock.matches(&format!("name = \"{once}\"\n")).count();
        assert_eq!(n, 1, "{once} stands in Cargo.lock {n} times");
    }
}
