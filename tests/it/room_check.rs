//! The room check of the demonstration's section, whose places are known. That the levels are those of the distances is
//! held faster than time, beside `player/hall`; here the whole program runs.

use serde_json::Value;
use std::process::Command;

#[test]
fn the_demonstration_finds_the_pair_that_shares_a_corner() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"));
    let output = command.args(["demo", "--room-check", "--headless", "--json"]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    let mut lines: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let together = lines.pop().unwrap();
    assert_eq!(together["too_close"], serde_json::json!([[7, 8]]), "{text}");
    assert_eq!(together["advice"][0], "Move these stands apart, or clip the microphones on: 7 and 8.");
    let chairs: Vec<u64> = lines.iter().map(|chair| chair["chair"].as_u64().unwrap()).collect();
    assert_eq!(chairs, [1, 2, 3, 4, 5, 6, 7, 8]);
}
