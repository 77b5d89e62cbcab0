//! Which exercise a room is at, what its players are told of it, and what could come next. Plain data; no rule of a
//! rehearsal.

use crate::phrase::Phrase;
use crate::units::Micros;
use serde::{Deserialize, Serialize};

/// Which exercise is on, and what can be done with it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExerciseNow {
    /// Its name.
    pub name: Phrase,
    /// Its place among the exercises, from 1.
    pub number: u16,
    /// How many there are.
    pub of: u16,
    /// Whether it ends by itself.
    pub has_end: bool,
    /// Whether the span that is played goes on until told otherwise.
    pub held: bool,
    /// Whether there is something to go on with.
    pub can_go_on: bool,
    /// Title of the plan; empty for the warm-up that a room begins with.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub plan: String,
    /// What the players are told of it.
    #[serde(default)]
    pub brief: Brief,
    /// Name of the exercise after it; absent after the last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<Phrase>,
    /// Rest before that one, s.
    #[serde(default, skip_serializing_if = "is_nought")]
    pub rest_s: u16,
    /// Names of all exercises, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub names: Vec<Phrase>,
    /// Where in the ladder it is, if it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rung: Option<RungNow>,
    /// Server time until which everybody rests before the next exercise is counted in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rest_until_us: Option<Micros>,
}

/// What an exercise is about, for whoever plays it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Brief {
    /// Its name.
    pub name: Phrase,
    /// The part of the plan that it belongs to, such as "Days 1 to 3"; may be empty.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub part: String,
    /// A sentence on what to do; may be empty.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub say: String,
    /// What to reach; may be empty.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub goal: String,
    /// What to be careful about.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

/// Where a ladder is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct RungNow {
    /// The rung, from 1.
    pub number: u16,
    /// How many there are.
    pub of: u16,
    /// What the next one waits for.
    pub go_on: GoOn,
}

/// When a ladder goes on to its next rung.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GoOn {
    /// After its bars.
    #[default]
    ByItself,
    /// Once the section is matched.
    WhenMatched,
    /// When the conductor says so.
    ByHand,
}

/// What the room would do next, and why; the conductor decides.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Suggestion {
    /// What.
    pub step: NextStep,
    /// As a sentence: "Go on to triplets."
    pub text: Phrase,
    /// Why: "seven of eight were matched for two bars".
    pub reason: Phrase,
}

/// A next step that can be suggested.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NextStep {
    /// The next exercise.
    Next,
    /// The same once more.
    Again,
    /// The same, a metronome mark slower.
    Slower,
    /// One rung back.
    StepBack,
    /// The same, one after another.
    DownTheLine,
    /// The same with notes spread over a chord.
    Spread,
    /// A rest first.
    Rest,
}

/// What is nought is not sent.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for a reference")]
fn is_nought(n: &u16) -> bool {
    *n == 0
}
