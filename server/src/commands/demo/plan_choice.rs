//! Which plan a demonstration plays, and where it is in it. Must hold no rule of a plan.

use crate::plan::{Plan, built_in, built_in_named, compile, read};
use crate::room::Lesson;
use crate::words::{Language, english};
use anyhow::{Context, bail};
use std::io::{ErrorKind, IsTerminal, Write, stderr};
use windrow_protocol::messages::{Snapshot, Turns};
use windrow_protocol::note::Note;
use windrow_protocol::voicing::Voicing;

/// F4, which lies well for all eight: what a voicing stands on where the plan names no note.
pub(super) const ROOT_MIDI: i32 = 65;

/// The plan of this name or in this file, with one voicing and one order of turns throughout where they are given.
///
/// # Errors
/// What is wrong with the name or the file, ready to be shown.
pub(super) fn lesson(
    choice: &str,
    language: Language,
    voicing: Option<Voicing>,
    turns: Option<Turns>,
) -> anyhow::Result<Lesson> {
    let mut lesson = compile(&plan(choice, language)?);
    for piece in &mut lesson.pieces {
        if voicing.is_some() {
            piece.wishes.voicing = voicing;
            piece.wishes.note = piece.wishes.note.or(Note::from_midi(ROOT_MIDI));
        }
        piece.wishes.turns = turns.or(piece.wishes.turns);
    }
    Ok(lesson)
}

fn plan(choice: &str, language: Language) -> anyhow::Result<Plan> {
    if let Some(plan) = built_in_named(choice, language) {
        return Ok(plan.clone());
    }
    match std::fs::read_to_string(choice) {
        Ok(text) => read(&text).with_context(|| format!("the plan \"{choice}\" cannot be played")),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            let names: Vec<&str> = built_in(language).iter().map(|plan| plan.name.as_str()).collect();
            bail!(
                "there is no plan and no file \"{choice}\"; the plans that come with Windrow are {}",
                names.join(", ")
            )
        }
        Err(error) => Err(error).with_context(|| format!("the plan \"{choice}\" cannot be read")),
    }
}

/// Says on the terminal which exercise is being played.
#[derive(Debug, Default)]
pub(super) struct Progress {
    number: u16,
}

impl Progress {
    pub(super) fn show(&mut self, room: &Snapshot) {
        let exercise = &room.exercise;
        if self.number == exercise.number || !stderr().is_terminal() {
            return;
        }
        self.number = exercise.number;
        // A terminal that is gone need not know.
        let _ = writeln!(stderr(), "{} of {}: {}", exercise.number, exercise.of, english(&exercise.name));
    }
}
