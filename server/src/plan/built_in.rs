//! The plans that come with the program. Pure; their files lie in `server/plans` and are compiled in.

use super::model::Plan;
use super::read::read;
use std::sync::LazyLock;

/// In the order in which a section goes through them.
pub(super) const FILES: &[&str] = &[
    include_str!("../../plans/first-lesson.json"),
    include_str!("../../plans/first-fortnight.json"),
    include_str!("../../plans/daily-ten-minutes.json"),
    include_str!("../../plans/matching-a-section.json"),
    include_str!("../../plans/vibrato-with-the-tuner.json"),
    include_str!("../../plans/hairpins.json"),
    include_str!("../../plans/into-music.json"),
];

static PLANS: LazyLock<Vec<Plan>> = LazyLock::new(|| {
    // A test reads each of them.
    FILES.iter().map(|text| read(text).expect("the plans that come with the program are good")).collect()
});

/// All of them, from the first lesson to music.
pub(crate) fn built_in() -> &'static [Plan] {
    &PLANS
}

/// The one of this name.
pub(crate) fn built_in_named(name: &str) -> Option<&'static Plan> {
    built_in().iter().find(|plan| plan.name == name)
}
