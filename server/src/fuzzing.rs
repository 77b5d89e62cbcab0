//! Bytes from nowhere into everything that reads some: what a device says, files that people bring, headers of a request, words of a
//! person. Each target takes any bytes, and panics where something does that must never happen. `fuzz/` runs them for as long as one
//! likes, the tests here with what was found before. It must not know how bytes are chosen.

mod files;
mod rooms;
mod texts;

#[cfg(test)]
mod replay_tests;

/// What reads bytes.
#[derive(Debug, Clone, Copy)]
pub struct Target {
    /// Also the folder of what is kept for it.
    pub name: &'static str,
    /// Reads them, and panics where it must not be so.
    pub eat: fn(&[u8]),
}

/// All there are, but for the doors of the wasm, which stand beside them.
pub const TARGETS: [Target; 10] = [
    Target { name: "said", eat: texts::said },
    Target { name: "room", eat: rooms::room },
    Target { name: "plan", eat: files::plan },
    Target { name: "musicxml", eat: files::musicxml },
    Target { name: "list", eat: files::list },
    Target { name: "rehearsal", eat: files::rehearsal },
    Target { name: "practice", eat: files::practice },
    Target { name: "sound", eat: crate::commands::fuzzed::sound },
    Target { name: "headers", eat: crate::http::fuzzed::headers },
    Target { name: "words", eat: texts::words },
];

/// Gives bytes to the target of that name.
///
/// # Panics
/// Where there is none, and where the target does.
pub fn eat(target: &str, bytes: &[u8]) {
    let target = TARGETS.iter().find(|one| one.name == target).expect("a target is called by its name");
    (target.eat)(bytes);
}

/// Fails where something is written that cannot be read back as it was.
fn comes_back<T>(value: &T)
where
    T: serde::Serialize + serde::de::DeserializeOwned + PartialEq + std::fmt::Debug,
{
    let text = serde_json::to_string(value).expect("plain data becomes JSON");
    let back: T = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error} in {text}"));
    assert!(back == *value, "{value:?} came back as {back:?}");
}
