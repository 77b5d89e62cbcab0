//! What an exercise came to, for whoever played it alone: what was good first. Text alone.

use crate::words::english;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Measures, NextStep, Run, Suggestion};

/// Over an exercise that is over.
pub(super) fn account(run: &Run, suggestion: Option<&Suggestion>) -> String {
    let name = english(&run.name);
    let Some(player) = run.players.first() else { return format!("{name}: nothing was heard.") };
    let mut lines = vec![format!("{name}: {}", figures(&player.whole))];
    if run.spans.len() > 1 {
        for (title, measures) in run.spans.iter().zip(&player.spans) {
            let told = measures.as_ref().map_or_else(|| "nothing was heard".to_owned(), figures);
            lines.push(format!("  {}: {told}", english(title)));
        }
    }
    // What only a section can do is no advice for one.
    let for_one = suggestion.filter(|s| !matches!(s.step, NextStep::DownTheLine | NextStep::Spread));
    if let Some(suggestion) = for_one {
        lines.push(format!("  {}", english(&suggestion.text)));
    }
    lines.join("\n")
}

fn figures(measures: &Measures) -> String {
    let matched = match (measures.matched.map(|share| 100.0 * share.get()), measures.state) {
        (None, State::NotHeard) => "not heard well enough to say".to_owned(),
        (None, state) => state.word().to_owned(),
        (Some(share), State::Matched) => format!("matched for {share:.0} %"),
        (Some(share), state) => format!("matched for {share:.0} %, else mostly {}", state.word()),
    };
    let rest = [
        measures.pulse_rate_hz.map(|rate| format!("{:.2} pulses a second", rate.get())),
        measures.depth_db_pp.map(|depth| format!("depth {:.1} dB", depth.get())),
        measures.swing_cents_pp.map(|swing| format!("swing {:.0} cents", swing.get())),
        measures.centre_cents.map(|centre| format!("centre {:+.0} cents", centre.get())),
        measures.timing_ms.map(|ms| format!("{ms:+.0} ms from the beat")),
    ];
    std::iter::once(matched).chain(rest.into_iter().flatten()).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::units::{Cents, Decibels, Hertz, Share};

    #[test]
    fn figures_are_told_as_far_as_there_are_any() {
        let nothing = Measures {
            state: State::NotHeard,
            trusted: Share::new(0.0).unwrap(),
            matched: None,
            n_pulses: 0,
            pulse_rate_hz: None,
            pulses_per_beat: None,
            timing_ms: None,
            depth_db_pp: None,
            swing_cents_pp: None,
            centre_cents: None,
            drift_cents: None,
            from_straight_cents: None,
            evenness_cv: None,
        };
        assert_eq!(figures(&nothing), "not heard well enough to say");
        let some = Measures {
            state: State::Slow,
            matched: Share::new(0.25).ok(),
            pulse_rate_hz: Hertz::new(3.1).ok(),
            depth_db_pp: Decibels::new(6.0).ok(),
            centre_cents: Cents::new(-4.0).ok(),
            ..nothing
        };
        let told = "matched for 25 %, else mostly slow, 3.10 pulses a second, depth 6.0 dB, centre -4 cents";
        assert_eq!(figures(&some), told);
    }
}
