//! `windrow measure` judges a file as the room judges a player: sounds that are made as those of the room's own tests are (the
//! server's `judged_by_ear_tests`), with the same words for them; and what nobody measures is not judged against a measure.

use crate::measure::{dir, json, measure, pulsing};
use windrow_analysis::signals::{Pulsing, Timbre, render};
use windrow_tests::wave_file::{Encoding, write_wave};

const SAMPLE_RATE_HZ: u32 = 24_000;
/// Triplets at 72.
const RATE_HZ: f64 = 3.6;

/// A file's sound, where its beat lies, and the word for it against triplets at 72 and against no measure.
struct Case {
    name: &'static str,
    tone: Pulsing,
    beat_at: &'static str,
    measured: &'static str,
    unmeasured: &'static str,
}

fn cases() -> Vec<Case> {
    let good = Pulsing { depth_db: 7.0, swing_cents: 12.0, ..pulsing(440.0, RATE_HZ) };
    let case = |name, tone, measured, unmeasured| Case { name, tone, beat_at: "0.1", measured, unmeasured };
    vec![
        case("good", good, "matched", "matched"),
        case("fast", Pulsing { rate_hz: 1.09 * RATE_HZ, ..good }, "fast", "matched"),
        case("slow", Pulsing { rate_hz: 0.91 * RATE_HZ, ..good }, "slow", "matched"),
        case("drifting", Pulsing { drift_cents_per_s: 2.5, ..good }, "drifting sharp", "drifting sharp"),
        case("shallow", Pulsing { depth_db: 1.8, ..good }, "shallow", "shallow"),
        case("choked", Pulsing { depth_db: 36.0, ..good }, "choked valleys", "choked valleys"),
        case("jaw", Pulsing { depth_db: 1.5, swing_cents: 60.0, ..good }, "pitch-led", "pitch-led"),
        // The first peak is at 0.1 s: 65 ms after the beat.
        Case { beat_at: "0.035", ..case("late", good, "late", "matched") },
        Case { beat_at: "0.165", ..case("early", good, "early", "matched") },
        case(
            "straight",
            Pulsing { depth_db: 0.0, swing_cents: 0.0, rate_hz: 0.0, ..good },
            "straight",
            "straight",
        ),
    ]
}

#[test]
fn a_file_is_judged_as_the_room_would() {
    let dir = dir("states");
    for Case { name, tone, beat_at, measured, unmeasured } in cases() {
        let file = format!("{name}.wav");
        let rate_hz = f64::from(SAMPLE_RATE_HZ);
        let samples = render(rate_hz, Timbre::falling(8), -75.0, 7, 12.0, |t| tone.at(t));
        write_wave(&dir.join(&file), SAMPLE_RATE_HZ, 1, Encoding::Int16, &samples);
        let against = ["--json", "--tempo", "72", "--pulses-per-beat", "3", "--beat-at", beat_at, &file];
        let record = &json(&measure(&dir, &against))[0];
        assert_eq!(record["state"], measured, "{name}: {record}");
        let record = &json(&measure(&dir, &["--json", &file]))[0];
        assert_eq!(record["state"], unmeasured, "{name}, unmeasured: {record}");
    }
}
