//! What the rehearsal's page says of runs and players, in the reader's words. It must know no rule of a rehearsal.

use crate::words::{Language, Words};
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    HairpinFit, Measures, PlayerResult, Practise, PractiseHow, Review, SectionResult,
};
use windrow_protocol::units::{Cents, Decibels, Hertz, Ratio, Share};

/// Who could be trusted for so much of the time was heard. Our own choice, as for the room's suggestion.
const HEARD_SHARE: f64 = 0.2;

/// A word as it is written on the wire, such as "drifting-sharp": texts end in it.
pub(super) fn wire_word(word: impl serde::Serialize) -> String {
    let value = serde_json::to_value(word).ok();
    value.as_ref().and_then(serde_json::Value::as_str).unwrap_or_default().to_owned()
}

/// "Not heard" would be untrue of who was heard, but for too short a time to be judged.
pub(super) fn state_word(words: Words, measures: &Measures) -> String {
    match measures.state {
        State::NotHeard if measures.trusted.get() >= HEARD_SHARE => words.say("review-not-judged"),
        state => words.say(&format!("state-{}", wire_word(state))),
    }
}

/// What a player needs, as a teacher would say it.
pub(super) fn need(words: Words, state: State) -> String {
    let state = match state {
        State::Resting | State::Away => State::NotHeard,
        state => state,
    };
    words.say(&format!("review-need-{}", wire_word(state)))
}

/// What to practise next.
pub(super) fn practise(words: Words, practise: &Practise) -> String {
    let how = match practise {
        // There is no slower mark.
        Practise { how: PractiseHow::SlowerThenBack, then_bpm: None, .. } => PractiseHow::Slower,
        Practise { how, .. } => *how,
    };
    let mark = |bpm: Option<windrow_protocol::units::Bpm>| bpm.map(|bpm| bpm.mark()).unwrap_or_default();
    let value = practise.per_beat.map(|n| words.say(&format!("review-value-{}", n.get())));
    words
        .of(&format!("review-how-{}", wire_word(how)))
        .arg("value", value.unwrap_or_default())
        .arg("bpm", mark(practise.bpm))
        .arg("then", mark(practise.then_bpm))
        .to_string()
}

/// "7 runs, 24 minutes of playing, 9 minutes between".
pub(super) fn summary(words: Words, review: &Review) -> String {
    let minutes = |s: f64| (s / 60.0).round();
    let runs = review.runs.len() as f64;
    let played =
        words.of("review-summary").arg("runs", runs).arg("minutes", minutes(review.played_s)).to_string();
    match minutes(review.rested_s) {
        0.0 => played,
        n => words.of("review-summary-rest").arg("played", played).arg("minutes", n).to_string(),
    }
}

/// The section in sentences.
pub(super) fn section_lines(words: Words, section: &SectionResult, players: &[PlayerResult]) -> Vec<String> {
    if section.n_judged == 0 {
        return vec![words.say("review-nobody-judged")];
    }
    let mut lines = Vec::new();
    let matched = match section.matched {
        Some(share) => words.of("review-matched-in-the-end-of-time").arg("percent", percent(share)),
        None => words.of("review-matched-in-the-end"),
    };
    lines.push(matched.arg("n", section.n_matched).arg("of", section.n_judged).to_string());
    if let Some(together) = section.together {
        let line = match (section.spread_ms, section.mean_ms) {
            (Some(spread), Some(mean)) => words
                .of("review-together-line-spread")
                .arg("spread", format!("{spread:.0}"))
                .arg("mean", early_or_late(words, mean)),
            _ => words.of("review-together-line"),
        };
        lines.push(line.arg("together", decimals(words, together.get(), 2)).to_string());
    }
    let out = section.out.iter().filter_map(|chair| players.iter().find(|p| p.chair == *chair));
    let name = |p: &PlayerResult| {
        let one = words.of("review-helped-one").arg("chair", p.chair).arg("name", p.name.to_string());
        one.arg("state", state_word(words, &p.whole)).to_string()
    };
    let out: Vec<String> = out.map(name).collect();
    if !out.is_empty() {
        lines.push(words.of("review-helped-next").arg("names", out.join(", ")).to_string());
    }
    lines
}

fn early_or_late(words: Words, ms: f64) -> String {
    match ms.round() {
        0.0 => words.say("review-mean-on"),
        ms if ms < 0.0 => words.of("review-mean-early").arg("ms", -ms).to_string(),
        ms => words.of("review-mean-late").arg("ms", ms).to_string(),
    }
}

/// Ease and hairpin in words; may be empty.
pub(super) fn expression(words: Words, player: &PlayerResult) -> String {
    let ease = player
        .ease_beats
        .map(|beats| words.of("review-eased").arg("beats", decimals(words, beats, 1)).to_string());
    let hairpin = player.hairpin.as_ref().map(|fit| hairpin(words, fit));
    ease.into_iter().chain(hairpin).collect::<Vec<_>>().join("; ")
}

fn hairpin(words: Words, fit: &HairpinFit) -> String {
    let follows =
        |id: &str, r: Option<f64>| r.map(|r| words.of(id).arg("r", signed(words, r, 2)).to_string());
    let peak = fit.peak.map(|p| {
        let peak = words.of("review-hairpin-peak").arg("percent", percent(p));
        peak.arg("asked", percent(fit.peak_asked)).to_string()
    });
    let said: Vec<String> = follows("review-hairpin-depth", fit.depth)
        .into_iter()
        .chain(follows("review-hairpin-rate", fit.rate))
        .chain(peak)
        .collect();
    if said.is_empty() { words.say("review-hairpin-none") } else { said.join(", ") }
}

/// In the order of the table's columns; a dash where nothing is known.
pub(super) fn figures(words: Words, m: &Measures) -> [String; 12] {
    let told = |value: Option<String>| value.unwrap_or_else(|| "\u{2013}".to_owned());
    let cents = |value: Option<Cents>| told(value.map(|c| signed(words, c.get(), 0)));
    let plain = |value: f64, n_decimals| decimals(words, value, n_decimals);
    [
        told(m.matched.map(percent)),
        percent(m.trusted),
        m.n_pulses.to_string(),
        told(m.pulse_rate_hz.map(|hz: Hertz| plain(hz.get(), 2))),
        told(m.pulses_per_beat.map(|n: Ratio| plain(n.get(), 2))),
        told(m.timing_ms.map(|ms| signed(words, ms, 0))),
        told(m.depth_db_pp.map(|db: Decibels| plain(db.get(), 1))),
        told(m.swing_cents_pp.map(|c| plain(c.get(), 0))),
        cents(m.centre_cents),
        cents(m.drift_cents),
        cents(m.from_straight_cents),
        told(m.evenness_cv.map(|cv: Ratio| plain(cv.get() * 100.0, 0))),
    ]
}

fn percent(share: Share) -> String {
    format!("{:.0}", share.get() * 100.0)
}

/// As the language writes it.
pub(super) fn decimals(words: Words, value: f64, n_decimals: usize) -> String {
    let text = format!("{value:.n_decimals$}");
    if words.language() == Language::German { text.replace('.', ",") } else { text }
}

/// With a plus or a true minus, and none at nought.
pub(super) fn signed(words: Words, value: f64, n_decimals: usize) -> String {
    let text = decimals(words, value.abs(), n_decimals);
    let is_nought = text.chars().all(|sign| matches!(sign, '0' | '.' | ','));
    match value {
        _ if is_nought => text,
        v if v < 0.0 => format!("\u{2212}{text}"),
        _ => format!("+{text}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::messages::Results;
    use windrow_protocol::score::PerBeat;
    use windrow_protocol::units::Bpm;

    const ENGLISH: Language = Language::English;
    const GERMAN: Language = Language::German;

    #[test]
    fn figures_have_true_signs_and_dashes() {
        let words = Words::new(ENGLISH);
        assert_eq!(
            (signed(words, -4.2, 0), signed(words, 3.6, 0), signed(words, -0.3, 0)),
            ("\u{2212}4".into(), "+4".into(), "0".into())
        );
        assert_eq!(signed(Words::new(GERMAN), -0.25, 2), "\u{2212}0,25");
        let golden = include_str!("../../../web/protocol/golden/results.json");
        let all: Vec<Results> = serde_json::from_str(golden).unwrap();
        let run = &all[0].runs[0];
        let imogen = ["90", "97", "48", "3.30", "3.00", "+8", "6.0", "9", "+2", "0", "+2", "4"];
        // A drift of half a cent is rounded to an even one.
        assert_eq!(figures(words, &run.players[0].whole), imogen);
        assert_eq!(figures(words, &run.players[1].whole)[0], "\u{2013}");
        assert_eq!(
            expression(words, &run.players[0]),
            "eased in over 3.1 beats; depth follows the loudness +0.92, rate follows the loudness +0.80, loudest after 49 % \
             (written 50)"
        );
        assert_eq!(
            section_lines(words, &run.section, &run.players),
            [
                "Matched in the end: 1 of 2 who could be judged; 60 % of the time that could be judged.",
                "Together: 0.91 (1 is all at one moment, 0 anywhere), spread 20 ms, 4 ms early on average.",
                "To be helped next: 2 Tobias (blended).",
            ]
        );
        assert_eq!(
            section_lines(Words::new(GERMAN), &run.section, &run.players)[1],
            "Zusammen: 0,91 (1 ist alle in einem Augenblick, 0 irgendwo), Streuung 20 ms, im Mittel 4 ms zu früh."
        );
    }

    #[test]
    fn everything_to_practise_can_be_said() {
        for language in Language::ALL {
            let words = Words::new(language);
            for how in PractiseHow::ALL {
                for n in 1..=8 {
                    let (per_beat, bpm) = (PerBeat::new(n).ok(), Bpm::new(66.0).ok());
                    let said = practise(words, &Practise { how, per_beat, bpm, then_bpm: bpm });
                    assert!(!said.is_empty() && !said.contains("review-"), "{said}");
                }
            }
            for state in State::ALL {
                assert!(!need(words, state).starts_with("review-"), "{state:?}");
            }
        }
        let value = |how, then_bpm| Practise {
            how,
            per_beat: PerBeat::new(3).ok(),
            bpm: Bpm::new(63.0).ok(),
            then_bpm,
        };
        let english = |p: &Practise| practise(Words::new(ENGLISH), p);
        assert_eq!(
            english(&value(PractiseHow::SlowerThenBack, Bpm::new(66.0).ok())),
            "triplets at 63, then 66"
        );
        assert_eq!(english(&value(PractiseHow::SlowerThenBack, None)), "triplets at 63");
        assert_eq!(
            practise(Words::new(GERMAN), &value(PractiseHow::HalfDepth, None)),
            "Triolen bei 63, halb so tief"
        );
    }

    #[test]
    fn the_rehearsal_is_summed_up_in_a_line() {
        let review = |n, played_s, rested_s| Review {
            played_s,
            rested_s,
            runs: vec![windrow_protocol::messages::Glance::default(); n],
            ..Review::default()
        };
        let said = |review: &Review| summary(Words::new(ENGLISH), review);
        assert_eq!(said(&review(7, 1440.0, 540.0)), "7 runs, 24 minutes of playing, 9 minutes between");
        assert_eq!(said(&review(1, 12.0, 0.0)), "One run, less than a minute of playing");
        assert_eq!(
            summary(Words::new(GERMAN), &review(2, 60.0, 60.0)),
            "2 Durchgänge, eine Minute gespielt, eine Minute dazwischen"
        );
    }
}
