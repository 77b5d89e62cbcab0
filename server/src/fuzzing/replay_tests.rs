//! Every target with what is kept for it and some changes of it: the same each time, and the whole in some seconds.

use super::TARGETS;

#[path = "../../../fuzz/replay.rs"]
mod replay;

/// Changes a target; those that take long for each get fewer.
fn n_changes(target: &str) -> usize {
    match target {
        "plan" | "rehearsal" | "room" => 40,
        "musicxml" | "practice" | "sound" => 300,
        _ => 1500,
    }
}

fn check(target: &str) {
    replay::replay(target, n_changes(target), |bytes| super::eat(target, bytes));
}

macro_rules! targets {
    ($($name:ident),*) => {
        $(#[test]
        fn $name() {
            check(stringify!($name));
        })*

        #[test]
        fn no_target_is_forgotten() {
            let tested = [$(stringify!($name)),*];
            assert_eq!(TARGETS.map(|target| target.name), tested);
        }
    };
}

targets!(said, room, plan, musicxml, list, rehearsal, practice, sound, headers, words);
