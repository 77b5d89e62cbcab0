//! A plan as a page in the terminal, in the reader's language. Text alone.

use crate::plan::{
    Exercise, Plan, Play, compile, length, minutes, played, rates, tuning_word, turns_word, voicing_word,
    warnings, written,
};
use crate::words::Words;

/// Widest line; longer ones are broken between words.
const WIDTH: usize = 100;

/// Everything that stands in a plan.
pub(super) fn page(plan: &Plan, words: Words) -> String {
    let length = length(plan);
    let pieces = compile(plan).pieces;
    let mut page = Page { words, text: String::new() };
    page.line(0, &format!("{} ({})", plan.title, plan.name));
    page.line(0, &plan.about);
    if !plan.takes.is_empty() {
        page.line(0, &words.of("show-takes").arg("takes", &plan.takes).to_string());
    }
    let whole = words.of("show-whole").arg("exercises", super::n_exercises(plan, words));
    let whole = whole.arg("minutes", words.phrase(&minutes(length.whole_s)));
    page.line(0, &whole.arg("beats", plan.beats_per_bar).to_string());
    for (i, exercise) in plan.exercises.iter().enumerate() {
        page.text.push('\n');
        if let Some(part) = &exercise.part {
            page.line(0, &format!("{part}\n"));
        }
        let piece = &pieces[i];
        let time = length.exercises_s[i].map(|s| format!(" ({})", clock(s))).unwrap_or_default();
        page.line(1, &format!("{}. {}{time}", i + 1, words.phrase(&piece.brief.name)));
        let rates =
            rates(piece).map(|rates| format!("; {}", words.phrase(&rates.phrase()))).unwrap_or_default();
        page.line(4, &format!("{}{rates}", played(&exercise.play, words)));
        page.exercise(exercise);
    }
    let doubtful = warnings(plan);
    if !doubtful.is_empty() {
        page.text.push_str(&format!("\n{}\n\n", words.say("show-doubts")));
        doubtful.iter().for_each(|warning| page.line(1, &words.phrase(warning)));
    }
    page.text
}

/// Minutes and seconds.
fn clock(s: f64) -> String {
    let s = s.round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

struct Page {
    words: Words,
    text: String,
}

impl Page {
    fn exercise(&mut self, exercise: &Exercise) {
        let words = self.words;
        let settings = [
            exercise.note.map(|note| words.of("show-on").arg("note", words.note(note)).to_string()),
            exercise.voicing.map(|voicing| words.phrase(&voicing_word(voicing))),
            exercise.tuning.map(|tuning| words.phrase(&tuning_word(tuning))),
            exercise.turns.map(|turns| words.phrase(&turns_word(turns))),
        ];
        let settings: Vec<String> = settings.into_iter().flatten().collect();
        self.line(4, &settings.join(", "));
        if let Play::Music(music) = &exercise.play {
            music.notes.iter().for_each(|note| self.line(6, &written(note, words)));
        }
        let bands = &exercise.bands;
        let bands = [
            (bands.rate_percent, "show-band-rate"),
            (bands.timing_ms, "show-band-timing"),
            (bands.centre_cents, "show-band-centre"),
            (bands.depth_db, "show-band-depth"),
            (bands.swing_cents, "show-band-swing"),
        ];
        let bands = bands.into_iter().filter_map(|(n, id)| Some(words.of(id).arg("n", n?).to_string()));
        let bands: Vec<String> = bands.collect();
        self.line(4, &exercise.say);
        if !exercise.goal.is_empty() {
            self.line(4, &words.of("show-goal").arg("goal", &exercise.goal).to_string());
        }
        if !bands.is_empty() {
            self.line(4, &words.of("show-bands").arg("bands", bands.join(", ")).to_string());
        }
        for caution in &exercise.cautions {
            self.line(4, &words.of("show-caution").arg("caution", caution).to_string());
        }
        if exercise.rest_s > 0 {
            self.line(4, &words.of("show-rest").arg("n", exercise.rest_s).to_string());
        }
    }

    /// One line, or several where it is long; nothing for an empty one.
    fn line(&mut self, indent: usize, text: &str) {
        let margin = " ".repeat(indent);
        let mut line = String::new();
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            if !line.is_empty() && indent + line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.text.push_str(&format!("{margin}{line}\n"));
                line.clear();
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        if !line.is_empty() {
            self.text.push_str(&format!("{margin}{line}\n"));
        }
    }
}
