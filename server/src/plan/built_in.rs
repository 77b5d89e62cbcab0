//! The plans that come with the program, in every language there are texts in. Pure; their files lie in `server/plans`, those of
//! other languages in a folder each, and are compiled in.

use super::model::Plan;
use super::read::read;
use crate::words::Language;
use std::sync::LazyLock;

macro_rules! files {
    ($folder:literal) => {
        [
            include_str!(concat!("../../plans/", $folder, "first-lesson.json")),
            include_str!(concat!("../../plans/", $folder, "first-fortnight.json")),
            include_str!(concat!("../../plans/", $folder, "daily-ten-minutes.json")),
            include_str!(concat!("../../plans/", $folder, "matching-a-section.json")),
            include_str!(concat!("../../plans/", $folder, "vibrato-with-the-tuner.json")),
            include_str!(concat!("../../plans/", $folder, "hairpins.json")),
            include_str!(concat!("../../plans/", $folder, "into-music.json")),
        ]
    };
}

const ENGLISH: [&str; 7] = files!("");
const GERMAN: [&str; 7] = files!("de/");

/// In the order in which a section goes through them.
pub(super) fn files(language: Language) -> &'static [&'static str] {
    match language {
        Language::English => &ENGLISH,
        Language::German => &GERMAN,
    }
}

fn read_all(language: Language) -> Vec<Plan> {
    // A test reads each of them.
    let plan = |text: &&str| read(text).expect("the plans that come with the program are good");
    files(language).iter().map(plan).collect()
}

static ENGLISH_PLANS: LazyLock<Vec<Plan>> = LazyLock::new(|| read_all(Language::English));
static GERMAN_PLANS: LazyLock<Vec<Plan>> = LazyLock::new(|| read_all(Language::German));

/// All of them, from the first lesson to music.
pub(crate) fn built_in(language: Language) -> &'static [Plan] {
    match language {
        Language::English => &ENGLISH_PLANS,
        Language::German => &GERMAN_PLANS,
    }
}

/// The one of this name, which is the same in every language.
pub(crate) fn built_in_named(name: &str, language: Language) -> Option<&'static Plan> {
    built_in(language).iter().find(|plan| plan.name == name)
}

/// Whether a plan is one of them as it came, in any language.
pub(crate) fn is_built_in(plan: &Plan) -> bool {
    Language::ALL.into_iter().any(|language| built_in_named(&plan.name, language) == Some(plan))
}
