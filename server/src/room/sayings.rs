//! The words for people: what a state rests on, one sentence for the player, one for the conductor to say. Plain and
//! kind; the advice is about the air, never the jaw. Pure; knows only the protocol.

use windrow_protocol::judge::State;
use windrow_protocol::messages::MicrophoneStatus;
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
pub(super) fn evidence(state: State, target: Target, facts: &Facts) -> String {
    let text = match state {
        State::Matched | State::Fast | State::Slow => facts
            .pulses_per_beat
            .map(|n| format!("{} to the beat", trimmed(n)))
            .or(facts.pulse_rate_hz.map(|hz| format!("{} pulses a second", trimmed(hz)))),
        State::Early => facts.timing_ms.map(|ms| format!("{:.0} ms early", ms.abs())),
        State::Late => facts.timing_ms.map(|ms| format!("{:.0} ms late", ms.abs())),
        State::Sharp | State::Flat => facts.centre_cents.map(cents),
        State::DriftingSharp | State::DriftingFlat => facts.centre_cents.map(|c| {
            // The slope can have ended while the distance from the straight tone still stands.
            match facts.drift_cents_per_10s {
                Some(d) if d >= 1.0 => format!("{}, rising", cents(c)),
                Some(d) if d <= -1.0 => format!("{}, falling", cents(c)),
                _ => cents(c),
            }
        }),
        State::Shallow => facts.depth_db.map(|d| format!("depth {} dB", trimmed(d))),
        State::ChokedValleys => Some(match facts.choked {
            (n, of) if n > 0 => format!("tone breaks in {n} of {of}"),
            _ => "tone breaks in the valleys".to_owned(),
        }),
        State::PitchLed => facts.swing_cents.map(|s| format!("swing {s:.0} cents")),
        // Even pulses are called so where a straight tone is asked.
        State::Uneven if target == Target::Straight => {
            facts.depth_db.map(|d| format!("pulses of {} dB", trimmed(d)))
        }
        State::Uneven => facts.evenness_cv.map(|cv| format!("gaps vary by {:.0} %", cv * 100.0)),
        State::Straight => Some("no pulse heard".to_owned()),
        State::Blended => Some("others are as loud".to_owned()),
        State::NotHeard => match facts.microphone {
            Some(MicrophoneStatus::Refused) => Some("microphone refused".to_owned()),
            Some(MicrophoneStatus::Missing) => Some("no microphone".to_owned()),
            Some(MicrophoneStatus::Insecure) => Some("page without https".to_owned()),
            Some(MicrophoneStatus::Lost) => Some("microphone taken away".to_owned()),
            Some(MicrophoneStatus::Listening) | None => None,
        },
        State::Resting | State::Away => None,
    };
    text.unwrap_or_default()
}

/// The sentence for a player while others have their turn.
pub(super) const WAITING: &str = "Listen to the others' pulses: your turn comes.";

/// The sentence for everybody in a rest that is written or lies between two exercises.
pub(super) const RESTING: &str = "Rest: breathe normally, and come in again with the beat.";

/// The sentence for a player during a room check.
pub(super) fn in_a_check(is_own_turn: bool) -> &'static str {
    if is_own_turn {
        "Your turn: hold one easy note, straight, until the bar ends."
    } else {
        "Room check: each plays alone for a bar. Be silent until it is your turn."
    }
}

/// So far off it is another note and no matter of tuning, cents: three quarters of a semitone. Our own choice.
const OTHER_NOTE_CENTS: f64 = 75.0;

impl Facts {
    fn is_on_another_note(&self) -> bool {
        self.centre_cents.is_some_and(|cents| cents.abs() > OTHER_NOTE_CENTS)
    }
}

/// One sentence for the player.
pub(super) fn for_player(state: State, target: Target, facts: &Facts) -> &'static str {
    match state {
        State::Matched if target == Target::Straight => "A steady, even tone: keep it there.",
        State::Matched => "You are with the section: keep the air going just like this.",
        State::Slow => "Let the pulses come a little sooner: small puffs, straight on the ticks.",
        State::Fast => "Wait for the tick, then give the next pulse: there is more time than it seems.",
        State::Early => "Hear the tick first, then let the air swell.",
        State::Late => "Begin each swell a little sooner, so that its top falls on the tick.",
        State::Sharp | State::Flat if facts.is_on_another_note() => {
            "That is another note than yours: play the one that is written here."
        }
        State::Sharp => "A touch high: think of warm, slow air and let the note come down.",
        State::Flat => "A touch low: keep the air moving under the note.",
        State::DriftingSharp => {
            "The note climbs while you pulse: leave the mouth alone and let only the air move."
        }
        State::DriftingFlat => {
            "The note sinks while you pulse: keep the stream of air going through each valley."
        }
        State::Shallow => "The pulse is there: make it bigger, from a quiet \"hoo\" to a full one.",
        State::ChokedValleys => "Keep some air in the valleys: let the tone bend low, not stop.",
        State::PitchLed => "Keep jaw and lips still and let the air make the pulse: louder, softer, louder.",
        State::Uneven if target == Target::Straight => {
            "This tone is straight: let the air flow on, without pulses."
        }
        State::Uneven => "One tick, one swell: fewer and steadier is better than many.",
        State::Straight => "A clear tone: now add the pulse, one puff of air on each tick.",
        State::Resting => "Take your time: breathe normally, and come back when you like.",
        State::NotHeard => match facts.microphone {
            Some(MicrophoneStatus::Refused) => {
                "Follow the beat: you are not measured, since the microphone is not allowed. \
                 You can allow it at any time."
            }
            Some(MicrophoneStatus::Missing) => {
                "Follow the beat: you are not measured, since this device has no microphone."
            }
            Some(MicrophoneStatus::Insecure) => {
                "Follow the beat: you are not measured, since this page did not come over https."
            }
            Some(MicrophoneStatus::Lost) => {
                "Follow the beat: you are not measured while another program has the microphone."
            }
            Some(MicrophoneStatus::Listening) | None => "Play when the beat comes: the device is listening.",
        },
        State::Blended => "Others are as loud as you here: move the device closer to your own sound.",
        State::Away => "",
    }
}

/// One thing for the conductor to say to one player, or nothing where there is nothing to act on.
pub(super) fn for_conductor(state: State, name: &str, target: Target, facts: &Facts) -> Option<String> {
    let text = match state {
        State::Slow => format!("{name}, a little sooner: {}.", count_of(target)),
        State::Fast => format!("{name}, wait for the tick: {}.", count_of(target)),
        State::Early => format!("{name}, hear the tick first, then swell."),
        State::Late => format!("{name}, begin the swell sooner: its top belongs on the tick."),
        State::Sharp | State::Flat if facts.is_on_another_note() => {
            format!("{name}, that is another note: look at yours again.")
        }
        State::Sharp => format!("{name}, let the note come down: warm, slow air."),
        State::Flat => format!("{name}, more air under the note."),
        State::DriftingSharp => format!("{name}, the note climbs: let only the air move."),
        State::DriftingFlat => format!("{name}, the note sinks: keep the air going through the valleys."),
        State::Shallow => format!("{name}, it is there: make the pulse bigger."),
        State::ChokedValleys => format!("{name}, keep some air in the valleys."),
        State::PitchLed => format!("{name}, jaw still: let the air make the pulse."),
        State::Uneven if target == Target::Straight => format!("{name}, straight here: let the air flow on."),
        State::Uneven => format!("{name}, one tick, one swell: steady before many."),
        State::Straight => format!("{name}, lovely tone: now one puff on each tick."),
        State::Matched | State::Resting | State::NotHeard | State::Blended | State::Away => return None,
    };
    Some(text)
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
fn count_of(target: Target) -> String {
    let Target::Pulses { per_beat } = target else { return "listen to the others".to_owned() };
    let word = match per_beat.get() {
        1 => "one",
        2 => "two",
        3 => "three",
        4 => "four",
        5 => "five",
        6 => "six",
        7 => "seven",
        _ => "eight",
    };
    format!("{word} to the beat")
}

/// Signed whole cents with a true minus sign.
fn cents(value: f64) -> String {
    let rounded = value.round();
    let sign = if rounded > 0.0 {
        "+"
    } else if rounded < 0.0 {
        "−"
    } else {
        ""
    };
    format!("{sign}{:.0} cents", rounded.abs())
}

/// One decimal, dropped where it is nought.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_protocol::score::PerBeat;

    fn triplets() -> Target {
        Target::Pulses { per_beat: PerBeat::new(3).unwrap() }
    }

    fn check(state: State, facts: Facts, expected: &str) {
        assert_eq!(evidence(state, triplets(), &facts), expected, "{state:?}");
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
        assert_eq!(evidence(State::Uneven, Target::Straight, &pulsing), "pulses of 6 dB");
        let elsewhere = Facts { centre_cents: Some(-900.0), ..Facts::default() };
        assert!(for_player(State::Flat, triplets(), &elsewhere).contains("another note"));
        assert!(for_conductor(State::Flat, "Wren", triplets(), &elsewhere).unwrap().contains("another note"));
        let low = Facts { centre_cents: Some(-31.0), ..Facts::default() };
        assert!(for_player(State::Flat, triplets(), &low).contains("A touch low"));
        assert!(for_player(State::Uneven, Target::Straight, &pulsing).contains("without pulses"));
    }

    #[test]
    fn the_conductor_hears_a_name_and_one_thing() {
        assert_eq!(
            for_conductor(State::Fast, "Wren", triplets(), &Facts::default()).unwrap(),
            "Wren, wait for the tick: three to the beat."
        );
    }

    #[test]
    fn every_state_that_can_be_acted_on_has_something_to_say() {
        for state in State::ALL {
            assert_eq!(
                urgency(state).is_some(),
                for_conductor(state, "Wren", triplets(), &Facts::default()).is_some(),
                "{state:?}"
            );
            assert_eq!(for_player(state, triplets(), &Facts::default()).is_empty(), state == State::Away);
        }
    }

    #[test]
    fn nobody_is_told_to_use_the_jaw() {
        for state in State::ALL {
            let text = for_player(state, triplets(), &Facts::default());
            assert!(!text.contains("jaw") || text.contains("jaw and lips still"), "{text}");
        }
    }
}
