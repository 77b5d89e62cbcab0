//! What a page brings along. Its files get addresses that hold for one version of them, so that a browser keeps them for good,
//! and the modules that its scripts ask for one after another stand in its head, so that all of them are fetched at once: without
//! that each level of a tree of modules costs a way there and back. It must know nothing of what pages hold.

use super::assets;
use std::collections::{BTreeSet, HashMap};
use std::fmt::Write;
use std::sync::{LazyLock, Mutex, PoisonError};

/// Lines for a page's head, by version and script. A debug build adds one for each edit.
static HEADS: LazyLock<Mutex<HashMap<(String, String), String>>> = LazyLock::new(Mutex::default);
/// Versions and scripts of which lines are kept.
const KEPT: usize = 64;

const SCRIPT: &str = "<script type=\"module\" src=\"/static/";

/// A page with its files' addresses of this version, and with its modules in its head.
pub(super) fn dressed(page: &str) -> String {
    let version = assets::version();
    let scripts = page.split(SCRIPT).skip(1).filter_map(|rest| rest.split_once('"')).map(|(name, _)| name);
    let lines: String = scripts.map(|script| head_of(&version, script)).collect();
    let page = page.replacen("</head>", &format!("{lines}</head>"), 1);
    page.replace("\"/static/", &format!("\"/static/{version}/"))
}

/// Addresses, of this version, of every file that a page as it is written needs to run without a server: those it names, those its scripts
/// and style sheets name, and theirs.
pub(super) fn needed(page: &str) -> BTreeSet<String> {
    let mut names: BTreeSet<String> = after(page, "\"/static/");
    let mut waiting: Vec<String> = names.iter().cloned().collect();
    while let Some(name) = waiting.pop() {
        let below = if name.ends_with(".css") {
            let text = assets::text(&name).unwrap_or_default();
            after(&text, "url(\"").iter().filter_map(|file| from_top(&name, file)).collect()
        } else {
            let Tree { modules, compiled, elsewhere } = Tree::of(&name);
            [modules, compiled, elsewhere].into_iter().flatten().collect::<Vec<_>>()
        };
        let new: Vec<String> = below.into_iter().filter(|name| names.insert(name.clone())).collect();
        waiting.extend(new.into_iter().filter(|name| name.ends_with(".css")));
    }
    let version = assets::version();
    names.into_iter().map(|name| format!("/static/{version}/{name}")).collect()
}

/// What stands after a sign in a text, up to the quotation mark.
fn after(text: &str, sign: &str) -> BTreeSet<String> {
    text.split(sign)
        .skip(1)
        .filter_map(|rest| rest.split_once('"'))
        .map(|(name, _)| name.to_owned())
        .collect()
}

fn head_of(version: &str, script: &str) -> String {
    // Whoever panicked while holding the lock left a map of whole entries.
    let heads = || HEADS.lock().unwrap_or_else(PoisonError::into_inner);
    let key = (version.to_owned(), script.to_owned());
    if let Some(head) = heads().get(&key) {
        return head.clone();
    }
    let head = Tree::of(script).head();
    let mut heads = heads();
    if heads.len() >= KEPT {
        heads.clear();
    }
    heads.insert(key, head.clone());
    head
}

/// What a script needs.
#[derive(Debug, Default, PartialEq, Eq)]
struct Tree {
    /// Modules it imports, directly or not; without itself.
    modules: BTreeSet<String>,
    /// Compiled code that one of them fetches.
    compiled: BTreeSet<String>,
    /// Scripts of other threads, which come later, with what they import.
    elsewhere: BTreeSet<String>,
}

impl Tree {
    fn of(script: &str) -> Self {
        let mut tree = Self::default();
        let mut waiting = vec![script.to_owned()];
        while let Some(name) = waiting.pop() {
            let Some(text) = assets::text(&name) else { continue };
            for import in imports(&text).iter().filter_map(|import| from_top(&name, import)) {
                if import != script && tree.modules.insert(import.clone()) {
                    waiting.push(import);
                }
            }
            for file in beside(&text).iter().filter_map(|file| from_top(&name, file)) {
                if file.ends_with(".wasm") {
                    tree.compiled.insert(file);
                } else if tree.elsewhere.insert(file.clone()) {
                    let below = Self::of(&file);
                    tree.elsewhere.extend(below.modules);
                }
            }
        }
        tree.elsewhere = tree.elsewhere.difference(&tree.modules).cloned().collect();
        tree
    }

    fn head(&self) -> String {
        let mut lines = String::new();
        let mut line = |text: std::fmt::Arguments<'_>| {
            writeln!(lines, "{text}").expect("writing to a string cannot fail");
        };
        for name in &self.modules {
            line(format_args!("<link rel=\"modulepreload\" href=\"/static/{name}\">"));
        }
        for name in &self.compiled {
            // While a name is typed there is time for it; what the form needs comes first.
            line(format_args!(
                "<link rel=\"preload\" href=\"/static/{name}\" as=\"fetch\" crossorigin fetchpriority=\"low\">"
            ));
        }
        for name in &self.elsewhere {
            line(format_args!("<link rel=\"prefetch\" href=\"/static/{name}\">"));
        }
        lines
    }
}

/// The name, from the top, of what the module `from` names relative to itself; none where it is not below the top.
fn from_top(from: &str, name: &str) -> Option<String> {
    let mut parts: Vec<&str> = from.split('/').collect();
    parts.pop();
    for part in name.split('/') {
        match part {
            "." => {}
            ".." => drop(parts.pop()?),
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

/// Relative names after `sign` in a module, up to the quotation mark.
fn named<'a>(text: &'a str, sign: &'a str) -> impl Iterator<Item = String> + 'a {
    let ends = |rest: &'a str| rest.split_once('"').map(|(name, _)| name);
    text.split(sign).skip(1).filter_map(ends).filter(|name| name.starts_with('.')).map(str::to_owned)
}

/// Modules of ours that a module imports before it runs.
fn imports(text: &str) -> Vec<String> {
    named(text, " from \"").chain(named(text, "\nimport \"")).collect()
}

/// Files beside it that a module names by itself.
fn beside(text: &str) -> Vec<String> {
    named(text, "new URL(\"").collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn imports_are_found_and_types_are_not() {
        let text = "// import\nimport { a } from \"./a.js\";\nimport {\n  b,\n} from \"./b.js\";\nimport \"./c.js\";\n\
                    export { d } from \"./d.js\";\n/** @param {import(\"./e.js\").E} e */\nconst f = new URL(\"./f.wasm\", import.meta.url);";
        let mut found = imports(text);
        found.sort();
        assert_eq!(found, ["./a.js", "./b.js", "./c.js", "./d.js"]);
        assert_eq!(beside(text), ["./f.wasm"]);
    }

    #[test]
    fn names_are_relative_to_the_module_that_has_them() {
        for (from, name, expected) in [
            ("page.js", "./a.js", Some("a.js")),
            ("page.js", "./under/a.js", Some("under/a.js")),
            ("under/a.js", "./b.js", Some("under/b.js")),
            ("under/a.js", "../c.js", Some("c.js")),
            ("page.js", "../c.js", None),
        ] {
            assert_eq!(from_top(from, name).as_deref(), expected, "{from} {name}");
        }
    }

    #[test]
    fn the_players_page_names_all_that_it_will_ask_for() {
        let tree = Tree::of("player-page.js");
        for module in ["shared-time.js", "player-view.js", "room-socket.js"] {
            assert!(tree.modules.contains(module), "{module} is not among {:?}", tree.modules);
        }
        assert_eq!(tree.compiled.iter().collect::<Vec<_>>(), ["windrow.wasm"]);
        assert!(
            tree.elsewhere.contains("listen-worker.js") && tree.elsewhere.contains("listen-processor.js")
        );
        assert!(tree.modules.is_disjoint(&tree.elsewhere));
    }

    #[test]
    fn what_a_page_needs_without_a_server_is_named_whole() {
        let page = "<link rel=\"stylesheet\" href=\"/static/base.css\">\n\
                    <script type=\"module\" src=\"/static/player-page.js\"></script>";
        let version = assets::version();
        let needed = needed(page);
        for name in [
            "base.css",
            "fonts/b612-bold.woff2",
            "player-page.js",
            "player.js",
            "windrow.wasm",
            "listen-worker.js",
            "listen-processor.js",
            "fluent/bundle.js",
        ] {
            assert!(needed.contains(&format!("/static/{version}/{name}")), "{name} is not among {needed:?}");
        }
        for address in &needed {
            let name = address.splitn(4, '/').nth(3).unwrap();
            assert!(assets::exists(name), "{address} is no file");
        }
    }

    #[test]
    fn every_address_in_a_head_is_that_of_a_file() {
        for script in ["conductor-page.js", "player-page.js", "results-page.js", "plan-page.js"] {
            let tree = Tree::of(script);
            assert!(tree.modules.contains("fluent/bundle.js"), "{script}: {:?}", tree.modules);
            for name in tree.modules.iter().chain(&tree.elsewhere) {
                assert!(assets::text(name).is_some(), "{script} would fetch {name}, which is not there");
            }
        }
    }

    #[test]
    fn a_pages_files_have_addresses_of_one_version() {
        let page = "<head>\n<link rel=\"stylesheet\" href=\"/static/base.css\">\n\
                    <script type=\"module\" src=\"/static/welcome-page.js\"></script>\n</head><p>/static/</p>";
        let dressed = dressed(page);
        let version = assets::version();
        assert!(dressed.contains(&format!("href=\"/static/{version}/base.css\"")), "{dressed}");
        assert!(dressed.contains(&format!("src=\"/static/{version}/welcome-page.js\"")), "{dressed}");
        assert!(dressed.ends_with("</head><p>/static/</p>"), "{dressed}");
        for module in &Tree::of("welcome-page.js").modules {
            let line = format!("<link rel=\"modulepreload\" href=\"/static/{version}/{module}\">\n");
            assert!(dressed.contains(&line), "{dressed}");
        }
    }
}
