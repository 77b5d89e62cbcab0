//! Tables of a rehearsal: CSV by RFC 4180, UTF-8, with a header, a decimal point whatever the language, and an empty field where
//! there is nothing to tell. Pure.
//!
//! A spreadsheet takes a text that begins with = + - or @ for a formula, wherever it came from. So texts that people wrote get an
//! apostrophe in front there, as in a section's list; taken off again, they are as they were written. Numbers are left alone.

use super::columns::{Column, Kind as Is, PULSES, RESULTS};
use super::document::{Document, Player, Session};
use crate::roster::dates::{to_the_us, unix_ms_of};
use crate::roster::sheet::with_guard;
use crate::words::Words;
use windrow_protocol::score::Target;
use windrow_room::{KeptRun, Stretch};

/// The header, with the mark that tells spreadsheets that the file is UTF-8.
pub(crate) fn head(columns: &[Column]) -> String {
    let mut lines = Lines::new();
    lines.put(columns.iter().map(|column| column.name.to_owned()).collect());
    format!("\u{feff}{}", lines.text())
}

/// A line for each player, run and part, in the order of playing.
pub(crate) fn result_lines(document: &Document, words: Words) -> String {
    let mut lines = Lines::new();
    for session in &document.sessions {
        for run in &session.runs {
            for stretch in &run.stretches {
                let player = session.players.iter().find(|player| player.player_id == stretch.player_id);
                if let Some(player) = player {
                    lines.guarded(&RESULTS, result(document, session, player, run, stretch, words));
                }
            }
        }
    }
    lines.text()
}

/// A line for each pulse, player by player.
pub(crate) fn pulse_lines(document: &Document) -> String {
    let mut lines = Lines::new();
    for session in &document.sessions {
        let nought_us = unix_ms_of(&session.time_nought_utc).unwrap_or_default() * 1000;
        for player in &session.players {
            let pulses = &player.pulses;
            for i in 0..pulses.len() {
                let time_us = pulses.time_us[i];
                let mut fields = whose(document, session);
                fields.extend(who(player));
                fields.extend([
                    run_at(session, time_us),
                    to_the_us(nought_us + time_us),
                    // Whole microseconds, so the figures end by themselves.
                    format!("{:.6}", time_us as f64 / 1e6),
                    number(pulses.depth_db_pp[i].get()),
                    number(pulses.swing_cents_pp[i].get()),
                    told(pulses.mean_cents[i]),
                    pulses.choked[i].to_string(),
                ]);
                lines.guarded(&PULSES, fields);
            }
        }
    }
    lines.text()
}

fn whose(document: &Document, session: &Session) -> Vec<String> {
    vec![
        document.rehearsal_id.clone(),
        session.session_id.clone(),
        session.kind.word().to_owned(),
        session.invented.to_string(),
        session.section_name.to_string(),
    ]
}

fn who(player: &Player) -> [String; 5] {
    [
        player.player_id.clone(),
        player.person_id.clone().unwrap_or_default(),
        player.name.to_string(),
        player.instrument.slug().to_owned(),
        player.chair.to_string(),
    ]
}

fn result(
    document: &Document,
    session: &Session,
    player: &Player,
    run: &KeptRun,
    stretch: &Stretch,
    words: Words,
) -> Vec<String> {
    let nought_us = unix_ms_of(&session.time_nought_utc).unwrap_or_default() * 1000;
    let title = run.told.spans.get(usize::from(stretch.part));
    let (target, per_beat) = match stretch.target {
        Target::Pulses { per_beat } => ("pulses", per_beat.get().to_string()),
        Target::Straight => ("straight", String::new()),
        Target::Free => ("free", String::new()),
        Target::CountIn => ("count-in", String::new()),
        Target::Rest => ("rest", String::new()),
    };
    let m = &stretch.measures;
    let mut fields = whose(document, session);
    fields.extend([
        run.told.number.to_string(),
        run.told.exercise.to_string(),
        words.phrase(&run.told.name),
        (stretch.part + 1).to_string(),
        title.map(|title| words.phrase(title)).unwrap_or_default(),
        to_the_us(nought_us + stretch.began_us.round() as i64),
    ]);
    fields.extend(who(player));
    fields.extend([
        target.to_owned(),
        per_beat,
        number(stretch.bpm.get()),
        told(stretch.bpm_to),
        stretch.loosely.to_string(),
        number(stretch.bars),
        number(stretch.asked_s),
        number(stretch.judged_s),
        stretch.held.to_string(),
        m.state.word().replace(' ', "-"),
        number(m.trusted.get()),
        told(m.matched),
        m.n_pulses.to_string(),
        told(m.pulse_rate_hz),
        told(m.pulses_per_beat),
        told(m.timing_ms),
        told(stretch.timing_spread_ms),
        told(m.depth_db_pp),
        told(m.swing_cents_pp),
        told(m.centre_cents),
        told(m.drift_cents),
        told(m.from_straight_cents),
        told(m.evenness_cv),
        player.calibrated.to_string(),
    ]);
    fields
}

/// Number of the run that was played then; empty between runs.
fn run_at(session: &Session, time_us: i64) -> String {
    let time_us = time_us as f64;
    let run = session.runs.iter().find(|run| run.began_us <= time_us && time_us <= run.ended_us);
    run.map(|run| run.told.number.to_string()).unwrap_or_default()
}

/// As short as it can be without losing anything.
fn number(value: f64) -> String {
    value.to_string()
}

fn told(value: Option<impl Into<f64>>) -> String {
    value.map(|value| number(value.into())).unwrap_or_default()
}

/// CSV in the making.
#[derive(Debug)]
struct Lines(csv::Writer<Vec<u8>>);

impl Lines {
    fn new() -> Self {
        Self(csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new()))
    }

    fn put(&mut self, fields: Vec<String>) {
        self.0.write_record(fields).expect("writing into memory cannot fail");
    }

    fn guarded(&mut self, columns: &[Column], mut fields: Vec<String>) {
        debug_assert_eq!(columns.len(), fields.len());
        for (field, column) in fields.iter_mut().zip(columns) {
            if column.kind == Is::Text {
                *field = with_guard(field);
            }
        }
        self.put(fields);
    }

    fn text(self) -> String {
        let bytes = self.0.into_inner().expect("writing into memory cannot fail");
        String::from_utf8(bytes).expect("all fields are UTF-8")
    }
}

#[cfg(test)]
#[path = "sheets_tests.rs"]
mod tests;
