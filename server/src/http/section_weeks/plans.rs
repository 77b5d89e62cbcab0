//! Which plan has what is to come, and a plan made for a rung. It must know no records.

use crate::http::App;
use crate::http::week_words::rung as rung_in_words;
use crate::plan::{FORMAT, VERSION, compile};
use crate::room::Piece;
use crate::weeks::{PlanNext, PlanWhy, Rung};
use crate::words::Words;
use serde_json::{Value, json};
use windrow_protocol::metronome::Step;
use windrow_protocol::score::Target;

/// Where a section without any records begins, and where one goes that has come to the end of the rungs.
const FIRST_LESSON: &str = "first-lesson";
const INTO_MUSIC: &str = "into-music";

/// A plan that has it.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Offered {
    pub(super) name: String,
    pub(super) title: String,
    /// The exercise in it; empty where the whole plan is meant.
    pub(super) exercise: String,
    pub(super) is_built_in: bool,
    pub(super) is_in_room: bool,
}

/// The plan in the room if it has the rung, else one's own, else one of those that came with the program.
pub(super) async fn offered(app: &App, words: Words, next: &PlanNext) -> Option<Offered> {
    let shelf = &app.room.shelf;
    let all = match shelf.all(words.language()).await {
        Ok(all) => all,
        Err(error) => {
            tracing::warn!(%error, "plans could not be looked through for the section's next rung");
            return None;
        }
    };
    let in_room = shelf.in_room().map(|plan| plan.name);
    let found = all.iter().filter_map(|shelved| {
        let plan = shelved.plan.as_ref().ok()?;
        let exercise = match (next.rung, next.why) {
            (Some(rung), _) => {
                let lesson = compile(plan);
                words.phrase(&lesson.pieces.iter().find(|piece| has(piece, rung))?.brief.name)
            }
            (None, PlanWhy::Musical { .. }) if shelved.name == INTO_MUSIC => String::new(),
            (None, PlanWhy::Nothing) if shelved.name == FIRST_LESSON => String::new(),
            (None, _) => return None,
        };
        Some(Offered {
            name: shelved.name.clone(),
            title: shelved.title.clone(),
            exercise,
            is_built_in: shelved.is_built_in(),
            is_in_room: in_room.as_ref() == Some(&shelved.name),
        })
    });
    let found: Vec<Offered> = found.collect();
    let in_room = found.iter().position(|offered| offered.is_in_room);
    found.into_iter().nth(in_room.unwrap_or(0))
}

/// Whether an exercise asks for a rung, steadily and in a measure.
fn has(piece: &Piece, rung: Rung) -> bool {
    let wanted = Target::Pulses { per_beat: rung.per_beat };
    piece
        .spans
        .iter()
        .any(|span| span.target == wanted && span.bpm == rung.bpm && span.bpm_to.is_none() && !span.loosely)
}

/// The file of a plan for a rung: a straight tone, the rung below, a ladder up to it, and the rung itself, with rests between.
/// Four bars each, as many as are needed to hold a rung.
pub(super) fn plan_for(words: Words, rung: Rung) -> String {
    let (below, from) = (rung.slower(), rung.slower().slower());
    // A ladder goes by marks; what is played between two of them is climbed to from below.
    let top = Step::Faster.from(below.bpm).unwrap_or(rung.bpm);
    let value = match rung.per_beat.get() {
        1 => "quarters",
        2 => "eighths",
        3 => "triplets",
        4 => "sixteenths",
        5 => "quintuplets",
        _ => "sextuplets",
    };
    let pulses = |bpm: f64| json!({"pulses": {"bpm": bpm, "values": [value], "each": "bar", "times": 4}});
    let care = words.say("section-weeks-plan-care");
    let exercise = |play: Value, rest_s: u16| json!({"play": play, "cautions": [care], "rest_s": rest_s});
    let ladder = json!({"ladder": {
        "from_bpm": from.bpm.get(), "to_bpm": top.get(), "value": value, "bars_per_rung": 4, "rest_bars": 1,
        "go_on": "when-matched", "step_back": true
    }});
    let plan = json!({
        "format": FORMAT,
        "version": VERSION,
        "name": format!("{value}-at-{}", rung.bpm.mark().replace(['.', ','], "-")),
        "title": words.of("section-weeks-plan-title").arg("rung", rung_in_words(words, rung)).to_string(),
        "about": words.say("section-weeks-plan-about"),
        "beats_per_bar": 4,
        "exercises": [
            {"play": {"straight": {"bpm": below.bpm.get(), "bars": 4}}, "rest_s": 10},
            exercise(pulses(below.bpm.get()), 20),
            exercise(ladder, 30),
            exercise(pulses(rung.bpm.get()), 30),
        ],
    });
    plan.to_string()
}

#[cfg(test)]
#[path = "plans_tests.rs"]
mod tests;
