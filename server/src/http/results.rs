//! What the section did: the page and the same for scripts. It must know no rule of a rehearsal.

use super::language::words;
use super::rights::Conducting;
use super::{App, fresh, pages};
use crate::words::Words;
use askama::Template;
use axum::extract;
use axum::http::StatusCode;
use axum::response::Response;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{HairpinFit, Measures, PlayerResult, Results, Run, SectionResult};
use windrow_protocol::units::{Cents, Decibels, Hertz, Ratio, Share};

/// Who could be trusted for so much of the time was heard. Our own choice, as for the room's suggestion.
const HEARD_SHARE: f64 = 0.2;

/// Everything played in this rehearsal, the newest first.
#[derive(Debug, Template)]
#[template(path = "results.html")]
struct ResultsPage {
    /// In the reader's language.
    words: Words,
    section: String,
    /// Which of the conductor's pages this is.
    here: &'static str,
    version: u32,
    runs: Vec<RunView>,
}

#[derive(Debug)]
struct RunView {
    number: u16,
    exercise: u16,
    name: String,
    is_over: bool,
    /// The section in sentences.
    lines: Vec<String>,
    players: Vec<Row>,
    parts: Vec<PartView>,
}

/// One part of an exercise, of whoever played in it.
#[derive(Debug)]
struct PartView {
    title: String,
    players: Vec<Row>,
}

#[derive(Debug)]
struct Row {
    chair: u16,
    name: String,
    part: String,
    state: &'static str,
    /// What is said of the whole besides the figures; may be empty.
    more: String,
    figures: [String; 12],
}

pub(super) async fn page(_: Conducting, extract::State(app): extract::State<App>) -> Response {
    let results = results(&app).await;
    let page = ResultsPage {
        words: words(),
        section: app.shared.section(),
        here: "results",
        version: results.version,
        runs: results.runs.iter().rev().map(run_view).collect(),
    };
    pages::render(StatusCode::OK, &page)
}

/// [`Results`] of the rehearsal that is running; empty where none is.
pub(super) async fn all(_: Conducting, extract::State(app): extract::State<App>) -> Response {
    let mut results = results(&app).await;
    let spoken = words();
    for run in &mut results.runs {
        run.name = spoken.phrase(&run.name).into();
        run.spans.iter_mut().for_each(|title| *title = spoken.phrase(title).into());
    }
    fresh::json(results)
}

async fn results(app: &App) -> Results {
    match app.shared.room() {
        Some(room) => room.results().await.unwrap_or_default(),
        None => Results::default(),
    }
}

fn run_view(run: &Run) -> RunView {
    let row = |p: &PlayerResult, measures: &Measures, more: String| Row {
        chair: p.chair,
        name: p.name.to_string(),
        part: p.part.clone(),
        state: state_word(measures),
        more,
        figures: figures(measures),
    };
    let of_part = |idx: usize| {
        let played = run.players.iter().filter_map(|p| Some((p, p.spans.get(idx)?.as_ref()?)));
        played.map(|(p, measures)| row(p, measures, String::new())).collect()
    };
    let parts = run.spans.iter().enumerate();
    RunView {
        number: run.number,
        exercise: run.exercise,
        name: words().phrase(&run.name),
        is_over: run.is_over,
        lines: section_lines(&run.section, &run.players),
        players: run.players.iter().map(|p| row(p, &p.whole, more(p))).collect(),
        parts: parts
            .map(|(idx, title)| PartView { title: words().phrase(title), players: of_part(idx) })
            .collect(),
    }
}

/// "Not heard" would be untrue of who was heard, but for too short a time to be judged.
fn state_word(measures: &Measures) -> &'static str {
    match measures.state {
        State::NotHeard if measures.trusted.get() >= HEARD_SHARE => "not judged",
        state => state.word(),
    }
}

fn section_lines(section: &SectionResult, players: &[PlayerResult]) -> Vec<String> {
    if section.n_judged == 0 {
        return vec!["Nobody could be judged.".to_owned()];
    }
    let mut lines = Vec::new();
    let of_time = section.matched.map(|m| format!("; {} % of the time that could be judged", percent(m)));
    lines.push(format!(
        "Matched in the end: {} of {} who could be judged{}.",
        section.n_matched,
        section.n_judged,
        of_time.unwrap_or_default()
    ));
    if let Some(together) = section.together {
        let spread = section.spread_ms.map(|ms| format!(", spread {ms:.0} ms"));
        let mean = section.mean_ms.map(|ms| format!(", {}", early_or_late(ms)));
        lines.push(format!(
            "Together: {:.2} (1 is all at one moment, 0 anywhere){}{}.",
            together.get(),
            spread.unwrap_or_default(),
            mean.unwrap_or_default()
        ));
    }
    let out = section.out.iter().filter_map(|chair| players.iter().find(|p| p.chair == *chair));
    let out: Vec<String> =
        out.map(|p| format!("{} {} ({})", p.chair, p.name, p.whole.state.word())).collect();
    if !out.is_empty() {
        lines.push(format!("To be helped next: {}.", out.join(", ")));
    }
    lines
}

fn early_or_late(ms: f64) -> String {
    match ms.round() {
        0.0 => "on the tick on average".to_owned(),
        ms if ms < 0.0 => format!("{:.0} ms early on average", -ms),
        ms => format!("{ms:.0} ms late on average"),
    }
}

/// Ease and hairpin in words.
fn more(player: &PlayerResult) -> String {
    let ease = player.ease_beats.map(|beats| format!("eased in over {beats:.1} beats"));
    let hairpin = player.hairpin.as_ref().map(hairpin_words);
    ease.into_iter().chain(hairpin).collect::<Vec<_>>().join("; ")
}

fn hairpin_words(fit: &HairpinFit) -> String {
    let follows =
        |what: &str, r: Option<f64>| r.map(|r| format!("{what} follows the loudness {}", signed(r, 2)));
    let written = percent(fit.peak_asked);
    let peak = fit.peak.map(|p| format!("loudest after {} % (written {written})", percent(p)));
    let words: Vec<String> =
        follows("depth", fit.depth).into_iter().chain(follows("rate", fit.rate)).chain(peak).collect();
    if words.is_empty() { "hardly a hairpin was heard".to_owned() } else { words.join(", ") }
}

/// In the order of the table's columns; a dash where nothing is known.
fn figures(m: &Measures) -> [String; 12] {
    let told = |value: Option<String>| value.unwrap_or_else(|| "\u{2013}".to_owned());
    let cents = |value: Option<Cents>, signs| {
        told(value.map(|c| if signs { signed(c.get(), 0) } else { format!("{:.0}", c.get()) }))
    };
    [
        told(m.matched.map(percent)),
        percent(m.trusted),
        m.n_pulses.to_string(),
        told(m.pulse_rate_hz.map(|hz: Hertz| format!("{:.2}", hz.get()))),
        told(m.pulses_per_beat.map(|n: Ratio| format!("{:.2}", n.get()))),
        told(m.timing_ms.map(|ms| signed(ms, 0))),
        told(m.depth_db_pp.map(|db: Decibels| format!("{:.1}", db.get()))),
        cents(m.swing_cents_pp, false),
        cents(m.centre_cents, true),
        cents(m.drift_cents, true),
        cents(m.from_straight_cents, true),
        told(m.evenness_cv.map(|cv: Ratio| format!("{:.0}", cv.get() * 100.0))),
    ]
}

fn percent(share: Share) -> String {
    format!("{:.0}", share.get() * 100.0)
}

/// With a plus or a true minus, and none at nought.
fn signed(value: f64, n_decimals: usize) -> String {
    let text = format!("{:.n_decimals$}", value.abs());
    let is_nought = text.chars().all(|sign| matches!(sign, '0' | '.'));
    match value {
        _ if is_nought => text,
        v if v < 0.0 => format!("\u{2212}{text}"),
        _ => format!("+{text}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_true_signs_and_dashes() {
        assert_eq!(
            (signed(-4.2, 0), signed(3.6, 0), signed(-0.3, 0)),
            ("\u{2212}4".into(), "+4".into(), "0".into())
        );
        assert_eq!(
            (early_or_late(-4.0), early_or_late(0.2)),
            ("4 ms early on average".into(), "on the tick on average".into())
        );
        let golden = include_str!("../../../web/protocol/golden/results.json");
        let all: Vec<Results> = serde_json::from_str(golden).unwrap();
        let run = run_view(&all[0].runs[0]);
        let imogen = ["90", "97", "48", "3.30", "3.00", "+8", "6.0", "9", "+2", "0", "+2", "4"];
        // A drift of half a cent is rounded to an even one.
        assert_eq!(run.players[0].figures, imogen);
        assert_eq!(run.players[1].figures[0], "\u{2013}");
        assert_eq!(
            run.players[0].more,
            "eased in over 3.1 beats; depth follows the loudness +0.92, rate follows the loudness +0.80, loudest after 49 % \
             (written 50)"
        );
        assert_eq!(
            run.lines,
            [
                "Matched in the end: 1 of 2 who could be judged; 60 % of the time that could be judged.",
                "Together: 0.91 (1 is all at one moment, 0 anywhere), spread 20 ms, 4 ms early on average.",
                "To be helped next: 2 Tobias (blended).",
            ]
        );
        assert_eq!((run.parts.len(), run.parts[0].players.len()), (1, 1));
    }
}
