//! The room check of the demonstration's section, whose places are known: what the devices hear of each other against the
//! inverse distance law.

use serde_json::Value;
use std::process::Command;

/// Sound from a player to a device so far away, dB re the own player's at 0.4 m: direct sound by the inverse distance law
/// (any handbook of acoustics), plus what walls send back, 22 dB under the own sound, as power.
fn relative_db(apart_m: f64) -> f64 {
    let direct = 0.4 / apart_m.hypot(0.4);
    10.0 * (direct.powi(2) + 10f64.powf(-2.2)).log10()
}

#[test]
fn the_pair_that_shares_a_corner_is_found_and_levels_are_those_of_the_distances() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    let output = command.args(["demo", "--room-check", "--headless", "--json"]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    let mut lines: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let together = lines.pop().unwrap();
    assert_eq!(together["too_close"], serde_json::json!([[7, 8]]));
    assert_eq!(together["advice"][0], "Move stands 7 and 8 apart, or clip the microphones on.");
    assert_eq!(lines.len(), 8);
    // Two rows of four, 1.6 m apart each way; the last sits 0.5 m from the seventh.
    let mut places: Vec<(f64, f64)> =
        (0..8).map(|i| (f64::from(i % 4) * 1.6, f64::from(i / 4) * 1.6)).collect();
    places[7].0 = places[6].0 + 0.5;
    for (i, chair) in lines.iter().enumerate() {
        assert_eq!(chair["finding"], if i < 6 { "clear" } else { "too-close" }, "{chair}");
        let own_db = chair["own_db"].as_f64().unwrap();
        let leaks = chair["leaks"].as_array().unwrap();
        assert_eq!(leaks.len(), 7, "{chair}");
        for leak in leaks {
            let j = leak["chair"].as_u64().unwrap() as usize - 1;
            let apart_m = (places[i].0 - places[j].0).hypot(places[i].1 - places[j].1);
            let found_db = leak["level_db"].as_f64().unwrap() - own_db;
            // Own levels differ a little by timbre; a straight tone's level scatters by tenths.
            assert!((found_db - relative_db(apart_m)).abs() < 1.0, "{} hears {}: {found_db}", i + 1, j + 1);
        }
    }
}
