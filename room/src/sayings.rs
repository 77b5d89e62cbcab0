//! What is said to people, by the ids of its texts: what a state rests on, one sentence for the player, one for the conductor. Plain and
//! kind; the advice is about the air, never the jaw. Pure; knows only the protocol.

use windrow_protocol::judge::State;
use windrow_protocol::messages::MicrophoneStatus;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Target;

/// What the words are made from.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Facts {
    pub(super) pulses_per_beat: Option<f64>,
    pub(super) pulse_rate_hz: Option<f64>,
    pub(super) centre_cents: Option<f64>,
    pub(super) drift_cents_per_10s: Option<f64>,
    pub(super) depth_db: Option<f64>,
    pub(super) swing_cents: Option<f64>,
    pub(super) evenness_cv: Option<f64>,
    pub(super) timing_ms: Option<f64>,
    /// Broken valleys, of how many.
    pub(super) choked: (usize, usize),
    pub(super) microphone: Option<MicrophoneStatus>,
}

/// A few words on what a state rests on; empty where there is nothing to add.
pub(super) fn evidence(state: State, target: Target, facts: &Facts) -> Phrase {
    let of = |id: &str, gap: &str, value: f64| Phrase::of(id).with(gap, value);
    let phrase = match state {
        State::Matched | State::Fast | State::Slow => facts
            .pulses_per_beat
            .map(|n| of("evidence-to-the-beat", "n", tenths(n)))
            .or(facts.pulse_rate_hz.map(|hz| of("evidence-rate", "n", tenths(hz)))),
        State::Early => facts.timing_ms.map(|ms| of("evidence-early", "ms", ms.abs().round())),
        State::Late => facts.timing_ms.map(|ms| of("evidence-late", "ms", ms.abs().round())),
        State::Sharp | State::Flat => {
            facts.centre_cents.map(|c| Phrase::of("evidence-cents").with("cents", signed(c)))
        }
        State::DriftingSharp | State::DriftingFlat => facts.centre_cents.map(|c| {
            // The slope can have ended while the distance from the straight tone still stands.
            let id = match facts.drift_cents_per_10s {
                Some(d) if d >= 1.0 => "evidence-rising",
                Some(d) if d <= -1.0 => "evidence-falling",
                _ => "evidence-cents",
            };
            Phrase::of(id).with("cents", signed(c))
        }),
        State::Shallow => facts.depth_db.map(|d| of("evidence-depth", "db", tenths(d))),
        State::ChokedValleys => Some(match facts.choked {
            (n, of) if n > 0 => Phrase::of("evidence-breaks-in").with("n", n).with("of", of),
            _ => Phrase::of("evidence-breaks"),
        }),
        State::PitchLed => facts.swing_cents.map(|s| of("evidence-swing", "cents", s.round())),
        // Even pulses are called so where a straight tone is asked.
        State::Uneven if target == Target::Straight => {
            facts.depth_db.map(|d| of("evidence-pulses-in-straight", "db", tenths(d)))
        }
        State::Uneven => facts.evenness_cv.map(|cv| of("evidence-uneven", "percent", (cv * 100.0).round())),
        State::Straight => Some(Phrase::of("evidence-straight")),
        State::Blended => Some(Phrase::of("evidence-blended")),
        State::NotHeard => match facts.microphone {
            Some(MicrophoneStatus::Refused) => Some(Phrase::of("evidence-microphone-refused")),
            Some(MicrophoneStatus::Missing) => Some(Phrase::of("evidence-microphone-missing")),
            Some(MicrophoneStatus::Insecure) => Some(Phrase::of("evidence-microphone-insecure")),
            Some(MicrophoneStatus::Lost) => Some(Phrase::of("evidence-microphone-lost")),
            Some(MicrophoneStatus::Listening) | None => None,
        },
        State::Resting | State::Away => None,
    };
    phrase.unwrap_or_default()
}

/// The sentence for a player while others have their turn.
pub(super) const WAITING: &str = "player-waiting";

/// The sentence for everybody in a rest that is written or lies between two exercises.
pub(super) const RESTING: &str = "player-resting-all";

/// The sentence for a player during a room check.
pub(super) fn in_a_check(is_own_turn: bool) -> &'static str {
    if is_own_turn { "player-check-turn" } else { "player-check-wait" }
}

/// So far off it is another note and no matter of tuning, cents: three quarters of a semitone. Our own choice.
const OTHER_NOTE_CENTS: f64 = 75.0;

impl Facts {
    fn is_on_another_note(&self) -> bool {
        self.centre_cents.is_some_and(|cents| cents.abs() > OTHER_NOTE_CENTS)
    }
}

/// One sentence for the player, by its id.
pub(super) fn for_player(state: State, target: Target, facts: &Facts) -> &'static str {
    match state {
        State::Matched if target == Target::Straight => "player-matched-straight",
        State::Matched => "player-matched",
        State::Slow => "player-slow",
        State::Fast => "player-fast",
        State::Early => "player-early",
        State::Late => "player-late",
        State::Sharp | State::Flat if facts.is_on_another_note() => "player-other-note",
        State::Sharp => "player-sharp",
        State::Flat => "player-flat",
        State::DriftingSharp => "player-drifting-sharp",
        State::DriftingFlat => "player-drifting-flat",
        State::Shallow => "player-shallow",
        State::ChokedValleys => "player-choked-valleys",
        State::PitchLed => "player-pitch-led",
        State::Uneven if target == Target::Straight => "player-uneven-straight",
        State::Uneven => "player-uneven",
        State::Straight => "player-straight",
        State::Resting => "player-resting",
        State::NotHeard => match facts.microphone {
            Some(MicrophoneStatus::Refused) => "player-microphone-refused",
            Some(MicrophoneStatus::Missing) => "player-microphone-missing",
            Some(MicrophoneStatus::Insecure) => "player-microphone-insecure",
            Some(MicrophoneStatus::Lost) => "player-microphone-lost",
            Some(MicrophoneStatus::Listening) | None => "player-not-heard",
        },
        State::Blended => "player-blended",
        State::Away => "",
    }
}

/// One thing for the conductor to say to a player, or to several, or nothing where there is nothing to act on.
pub(super) fn for_conductor(state: State, name: Phrase, target: Target, facts: &Facts) -> Option<Phrase> {
    let id = match state {
        State::Slow => "say-slow",
        State::Fast => "say-fast",
        State::Early => "say-early",
        State::Late => "say-late",
        State::Sharp | State::Flat if facts.is_on_another_note() => "say-other-note",
        State::Sharp => "say-sharp",
        State::Flat => "say-flat",
        State::DriftingSharp => "say-drifting-sharp",
        State::DriftingFlat => "say-drifting-flat",
        State::Shallow => "say-shallow",
        State::ChokedValleys => "say-choked-valleys",
        State::PitchLed => "say-pitch-led",
        State::Uneven if target == Target::Straight => "say-uneven-straight",
        State::Uneven => "say-uneven",
        State::Straight => "say-straight",
        State::Matched | State::Resting | State::NotHeard | State::Blended | State::Away => return None,
    };
    let said = Phrase::of(id).with("name", name);
    Some(match state {
        State::Slow | State::Fast => said.with("count", count_of(target)),
        _ => said,
    })
}

/// What a teacher turns to first: how the pulse is made, whether there is one, whether it keeps the measure, its size,
/// then pitch and the finer timing; the order of `windrow_protocol::judge`. `None` where there is nothing to say.
pub(super) fn urgency(state: State) -> Option<u8> {
    Some(match state {
        State::ChokedValleys => 0,
        State::PitchLed => 1,
        State::Straight => 2,
        State::Uneven => 3,
        State::Fast | State::Slow => 4,
        State::Shallow => 5,
        State::DriftingSharp | State::DriftingFlat => 6,
        State::Sharp | State::Flat => 7,
        State::Early | State::Late => 8,
        State::Matched | State::Resting | State::NotHeard | State::Blended | State::Away => return None,
    })
}

/// "three to the beat".
fn count_of(target: Target) -> Phrase {
    match target {
        Target::Pulses { per_beat } => Phrase::of("count-to-the-beat").with("n", per_beat.get()),
        _ => Phrase::of("count-none"),
    }
}

/// Signed whole cents with a true minus sign.
fn signed(value: f64) -> String {
    let rounded = value.round();
    let sign = if rounded > 0.0 {
        "+"
    } else if rounded < 0.0 {
        "−"
    } else {
        ""
    };
    format!("{sign}{:.0}", rounded.abs())
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::PerBeat;
    use windrow_words::{Language, Words, english};

    fn player(state: State, target: Target, facts: &Facts) -> String {
        Words::default().say(for_player(state, target, facts))
    }

    fn triplets() -> Target {
        Target::Pulses { per_beat: PerBeat::new(3).unwrap() }
    }

    fn check(state: State, facts: Facts, expected: &str) {
        assert_eq!(english(&evidence(state, triplets(), &facts)), expected, "{state:?}");
    }

    #[test]
    fn evidence_is_short_and_names_the_measure() {
        check(State::Fast, Facts { pulses_per_beat: Some(3.24), ..Facts::default() }, "3.2 to the beat");
        check(State::Matched, Facts { pulses_per_beat: Some(3.02), ..Facts::default() }, "3 to the beat");
        let rising = Facts { centre_cents: Some(16.2), drift_cents_per_10s: Some(12.0), ..Facts::default() };
        check(State::DriftingSharp, rising, "+16 cents, rising");
        check(State::Flat, Facts { centre_cents: Some(-31.0), ..Facts::default() }, "−31 cents");
        check(State::Shallow, Facts { depth_db: Some(2.0), ..Facts::default() }, "depth 2 dB");
        check(State::ChokedValleys, Facts { choked: (3, 8), ..Facts::default() }, "tone breaks in 3 of 8");
        check(State::Late, Facts { timing_ms: Some(80.2), ..Facts::default() }, "80 ms late");
        check(State::Early, Facts { timing_ms: Some(-60.0), ..Facts::default() }, "60 ms early");
        check(State::Late, Facts::default(), "");
        let pulsing = Facts { depth_db: Some(6.0), evenness_cv: Some(0.02), ..Facts::default() };
        assert_eq!(english(&evidence(State::Uneven, Target::Straight, &pulsing)), "pulses of 6 dB");
        let elsewhere = Facts { centre_cents: Some(-900.0), ..Facts::default() };
        assert!(player(State::Flat, triplets(), &elsewhere).contains("another note"));
        assert!(
            english(&for_conductor(State::Flat, "Wren".into(), triplets(), &elsewhere).unwrap())
                .contains("another note")
        );
        let low = Facts { centre_cents: Some(-31.0), ..Facts::default() };
        assert!(player(State::Flat, triplets(), &low).contains("A touch low"));
        assert!(player(State::Uneven, Target::Straight, &pulsing).contains("without pulses"));
    }

    #[test]
    fn the_conductor_hears_a_name_and_one_thing() {
        assert_eq!(
            english(&for_conductor(State::Fast, "Wren".into(), triplets(), &Facts::default()).unwrap()),
            "Wren, wait for the tick: three to the beat."
        );
    }

    #[test]
    fn every_state_that_can_be_acted_on_has_something_to_say() {
        for state in State::ALL {
            assert_eq!(
                urgency(state).is_some(),
                for_conductor(state, "Wren".into(), triplets(), &Facts::default()).is_some(),
                "{state:?}"
            );
            assert_eq!(for_player(state, triplets(), &Facts::default()).is_empty(), state == State::Away);
        }
    }

    #[test]
    fn nobody_is_told_to_use_the_jaw() {
        for language in Language::ALL {
            for state in State::ALL.into_iter().filter(|state| *state != State::Away) {
                let text = Words::new(language).say(for_player(state, triplets(), &Facts::default()));
                let is_still =
                    text.contains("jaw and lips still") || text.contains("Kiefer und Lippen still");
                assert!(is_still || !(text.contains("jaw") || text.contains("Kiefer")), "{text}");
            }
        }
    }
}
