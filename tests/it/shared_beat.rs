//! Devices agree about the beat over a bad Wi-Fi: a proxy that delays unevenly between a real server and devices whose
//! clocks are wrong. What is asserted is where beats would sound, never how long the program takes; the limits leave room
//! for a busy machine. Figures of a quiet one come from the tool `beat_spread`.

use windrow_tests::shared_beat::drift;
use windrow_tests::shared_beat::spread::{SpreadRun, run};

/// One device hears another's beat as together below this (ensembles play on with 20 to 30 ms of delay; half of that,
/// and three times the design's 3 ms).
const TOGETHER_MS: f64 = 10.0;

#[tokio::test(flavor = "multi_thread")]
async fn devices_agree_over_a_bad_wifi_and_after_a_cut() {
    let spread =
        run(SpreadRun { n_devices: 6, jitter_ms: 20.0, seconds: 8.0, drift_ppm: 50.0, seed: 7 }).await;
    eprintln!("{spread:?}");
    assert!(spread.n_beats > 30, "{} beats", spread.n_beats);
    for (name, ms) in [
        ("before the cut", spread.p95_ms),
        ("in it", spread.in_cut_p95_ms),
        ("after it", spread.after_cut_p95_ms),
        ("two devices before it", spread.pair_p95_ms),
        ("two devices after it", spread.after_cut_pair_p95_ms),
    ] {
        assert!(ms < TOGETHER_MS, "{name}: {ms} ms");
    }
}

#[test]
fn ten_simulated_minutes_with_a_clock_that_is_100_ppm_wrong() {
    // The design asks for 3 ms at the 95th percentile; a single beat out of place is noticed from 6 ms on (Friberg and
    // Sundberg 1995).
    let drift = drift::simulate(20, 20.0, 100.0);
    eprintln!("{drift:?}");
    assert!(drift.p95_ms < 3.0 && drift.max_ms < 6.0, "{drift:?}");
    assert!(drift.gap_max_ms < 3.0 && drift.after_gap_max_ms < 3.0, "{drift:?}");
    let at_rest = drift::simulate(20, 0.2, 100.0);
    assert!(at_rest.max_ms < 0.5, "{at_rest:?}");
}
