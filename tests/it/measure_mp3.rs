//! `windrow measure` on MP3 files, as phones and recorders send them on. The two files were made with soundfile 0.14 (libsndfile
//! 1.2.2, LAME 3.100, about 34 and 61 kbit/s) from a formula: F4 (349.228 Hz, eight harmonics falling by 6 dB) with 3.3 pulses a second
//! of 6 dB and 10 cents, the first peak at 0.1 s; four seconds at 44.1 kHz. `tests/reference/lossy.py` holds many more tones against
//! libsndfile's own decoding.

use super::measure::{dir, json, measure, number};
use serde_json::Value;
use std::path::PathBuf;

const MONO: &[u8] = include_bytes!("sounds/f4-mono.mp3");
const STEREO: &[u8] = include_bytes!("sounds/f4-stereo.mp3");

fn measured(test: &str, bytes: &[u8]) -> Value {
    let dir: PathBuf = dir("mp3");
    let file = format!("{test}.mp3");
    std::fs::write(dir.join(&file), bytes).unwrap();
    let output = measure(&dir, &["--json", &file]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    json(&output).remove(0)
}

#[test]
fn an_mp3_file_is_measured_like_any_other_and_its_encoder_s_delay_is_left_out() {
    for (test, bytes) in [("mono", MONO), ("stereo", STEREO)] {
        let record = measured(test, bytes);
        assert_eq!(record["note"], "F4", "{record}");
        assert!((number(&record, "duration_s") - 4.0).abs() < 1e-6, "{record}");
        assert!((number(&record, "pulse_rate_hz") / 3.3 - 1.0).abs() < 0.006, "{record}");
        // As far as `lossy.py` allows files of this size.
        assert!((number(&record, "depth_db_pp") - 6.0).abs() < 1.1, "{record}");
        assert!((number(&record, "swing_cents_pp") - 10.0).abs() < 2.0, "{record}");
        assert!(number(&record, "centre_cents").abs() < 0.5, "{record}");
        // LAME puts 1105 samples, 25 ms, before the sound. The first pulse has no valley before it.
        for time in record["pulse_times_s"].as_array().unwrap().iter().skip(1).map(|t| t.as_f64().unwrap()) {
            let off_s = (time - 0.1) * 3.3 - ((time - 0.1) * 3.3).round();
            assert!((off_s / 3.3).abs() < 0.007, "{time}: {record}");
        }
    }
}

#[test]
fn an_mp3_file_that_breaks_off_is_measured_as_far_as_it_goes() {
    let record = measured("cut", &MONO[..MONO.len() / 2]);
    let seconds = number(&record, "duration_s");
    assert!((1.5..2.5).contains(&seconds), "{record}");
    assert!((number(&record, "pulse_rate_hz") / 3.3 - 1.0).abs() < 0.01, "{record}");
}
