//! A plan as a page in the terminal. Text alone.

use crate::plan::{
    Exercise, Plan, Play, compile, length, minutes, played, rates, turns_word, warnings, written,
};
use crate::words::english;

/// Widest line; longer ones are broken between words.
const WIDTH: usize = 100;

/// Everything that stands in a plan.
pub(super) fn page(plan: &Plan) -> String {
    let length = length(plan);
    let pieces = compile(plan).pieces;
    let mut page = Page(String::new());
    page.line(0, &format!("{} ({})", plan.title, plan.name));
    page.line(0, &plan.about);
    if !plan.takes.is_empty() {
        page.line(0, &format!("Takes {}.", plan.takes));
    }
    let whole = minutes(length.whole_s);
    let n = super::n_exercises(plan);
    page.line(0, &format!("{n}, {whole} when played once, {} beats in a bar.", plan.beats_per_bar));
    for (i, exercise) in plan.exercises.iter().enumerate() {
        page.0.push('\n');
        if let Some(part) = &exercise.part {
            page.line(0, &format!("{part}\n"));
        }
        let piece = &pieces[i];
        let time = length.exercises_s[i].map(|s| format!(" ({})", clock(s))).unwrap_or_default();
        page.line(1, &format!("{}. {}{time}", i + 1, english(&piece.brief.name)));
        let rates = rates(piece).map(|rates| format!("; {rates}")).unwrap_or_default();
        page.line(4, &format!("{}{rates}", played(&exercise.play)));
        page.exercise(exercise);
    }
    let doubtful = warnings(plan);
    if !doubtful.is_empty() {
        page.0.push_str("\nTo think about\n\n");
        doubtful.iter().for_each(|warning| page.line(1, warning));
    }
    page.0
}

/// Minutes and seconds.
fn clock(s: f64) -> String {
    let s = s.round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

struct Page(String);

impl Page {
    fn exercise(&mut self, exercise: &Exercise) {
        let settings = [
            exercise.note.map(|note| format!("on {}", note.spelled())),
            exercise.voicing.map(|voicing| voicing.word().to_owned()),
            exercise.tuning.map(|tuning| format!("{tuning:?} tuning").to_lowercase()),
            exercise.turns.map(|turns| turns_word(turns).to_owned()),
        ];
        let settings: Vec<String> = settings.into_iter().flatten().collect();
        self.line(4, &settings.join(", "));
        if let Play::Music(music) = &exercise.play {
            music.notes.iter().for_each(|note| self.line(6, &written(note)));
        }
        let bands = &exercise.bands;
        let bands = [
            bands.rate_percent.map(|v| format!("rate within {v} %")),
            bands.timing_ms.map(|v| format!("timing within {v} ms")),
            bands.centre_cents.map(|v| format!("centre within {v} cents")),
            bands.depth_db.map(|v| format!("depth at least {v} dB")),
            bands.swing_cents.map(|v| format!("swing at most {v} cents")),
        ];
        let bands: Vec<String> = bands.into_iter().flatten().collect();
        self.line(4, &exercise.say);
        if !exercise.goal.is_empty() {
            self.line(4, &format!("Goal: {}", exercise.goal));
        }
        if !bands.is_empty() {
            self.line(4, &format!("Judged by: {}", bands.join(", ")));
        }
        exercise.cautions.iter().for_each(|caution| self.line(4, &format!("Care: {caution}")));
        if exercise.rest_s > 0 {
            self.line(4, &format!("Rest: {} s", exercise.rest_s));
        }
    }

    /// One line, or several where it is long; nothing for an empty one.
    fn line(&mut self, indent: usize, text: &str) {
        let margin = " ".repeat(indent);
        let mut line = String::new();
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            if !line.is_empty() && indent + line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.0.push_str(&format!("{margin}{line}\n"));
                line.clear();
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        if !line.is_empty() {
            self.0.push_str(&format!("{margin}{line}\n"));
        }
    }
}
