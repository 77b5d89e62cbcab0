//! The door's part for the tick: its sound, and a device's measuring of its own delay. Numbers of sounds and kinds are
//! fixed here and nowhere else.

use super::{INPUT_CAPACITY, with};
use windrow_analysis::click::{Calibration, CalibrationMode, ClickKind, ClickSound, click};

/// The click of one tick: sound 0 (wood) or 1 (bright), kind 0 (first beat of a bar), 1 (beat) or 2 (between: as a beat;
/// play it more softly), for `sample_rate_hz` (8,000 to 192,000). Returns how many samples (`f32`, mono, peak 1, 11 ms)
/// lie at [`click_ptr`], or 0 when refused, with the reason in the output.
#[unsafe(no_mangle)]
pub extern "C" fn click_sound(sound: u32, kind: u32, sample_rate_hz: f64) -> u32 {
    with(|door| {
        let sound = usize::try_from(sound).ok().and_then(|i| ClickSound::ALL.get(i).copied());
        let kind = [ClickKind::Bar, ClickKind::Beat, ClickKind::Between].get(kind as usize).copied();
        let outcome = match (sound, kind) {
            (Some(sound), Some(kind)) if (8e3..=192e3).contains(&sample_rate_hz) => {
                door.click = click(sound, kind, sample_rate_hz);
                Ok(())
            }
            _ => {
                door.click.clear();
                Err(format!(
                    "the click's sound must be 0 or 1, its kind 0 to 2 and the sample rate from 8000 to 192000 Hz, \
                     which is now {sample_rate_hz} Hz"
                ))
            }
        };
        door.answer(outcome);
        door.click.len() as u32
    })
}

/// Where the samples of the last [`click_sound`] lie; good until the next one.
#[unsafe(no_mangle)]
pub extern "C" fn click_ptr() -> *const f32 {
    with(|door| door.click.as_ptr())
}

/// Says whether ticks sound (1, as at first), of this device or another, or not (0): while they do, the listener takes them
/// out of what it hears, and says all 48 ms later. Without an open listener nothing happens.
#[unsafe(no_mangle)]
pub extern "C" fn listener_ticks_sound(sounds: i32) {
    with(|door| {
        if let Some(listener) = &mut door.listener {
            listener.set_ticks_sound(Some(sounds != 0));
        }
    });
}

/// Begins to measure a device's delay, in place of any other measurement. Mode 0: the device plays clicks of sound 1,
/// kind 1 (8 are usual) through its loudspeaker and hears them itself; their gaps must be at least 0.8 s and unequal, so
/// that a neighbour who measures too is not taken for oneself. Mode 1: the player taps on the microphone with ticks (12
/// are usual) that are at least 0.6 s apart. Returns 0, or 1 with the reason in the output.
#[unsafe(no_mangle)]
pub extern "C" fn calibrate_open(sample_rate_hz: f64, mode: u32) -> i32 {
    with(|door| {
        let mode = [CalibrationMode::Loudspeaker, CalibrationMode::Taps].get(mode as usize).copied();
        door.calibration = None;
        let outcome = match mode {
            Some(mode) if (8e3..=192e3).contains(&sample_rate_hz) => {
                door.calibration = Some(Calibration::new(sample_rate_hz, mode));
                Ok(())
            }
            _ => Err(format!(
                "the calibration's mode must be 0 or 1 and the sample rate from 8000 to 192000 Hz, which is now \
                 {sample_rate_hz} Hz"
            )),
        };
        door.answer(outcome)
    })
}

/// A tick is emitted at this sample, counted from the first one given to [`calibrate_push`] (with fraction, in the past
/// or future). Without a calibration nothing happens.
#[unsafe(no_mangle)]
pub extern "C" fn calibrate_tick(sample_position: f64) {
    with(|door| {
        if let Some(calibration) = &mut door.calibration {
            calibration.tick(sample_position);
        }
    });
}

/// Takes in the first `n_samples` of the input for the calibration; the listener does not hear them. Call it with the
/// same input before or after `listener_push` for both. What comes after 24 s is not listened to.
#[unsafe(no_mangle)]
pub extern "C" fn calibrate_push(n_samples: u32) {
    with(|door| {
        if let Some(calibration) = &mut door.calibration {
            calibration.push(&door.input[..(n_samples as usize).min(INPUT_CAPACITY)]);
        }
    });
}

/// What the calibration has found so far, as JSON text in the output; returns 1, or 0 (and no text) without one. `status`
/// is "waiting" (fewer than 6 clicks or 8 taps are over; a click is over 0.62 s after its tick, a tap 0.4 s), "good",
/// "few" (some were heard, too few), "scattered" (they were heard, each at another delay) or "nothing". `delay_ms` is the
/// median from tick to sound, `scatter_ms` the standard deviation, both null where unknown; `n` of `n_ticks` were found.
/// This searches the whole recording: a few tens of milliseconds.
#[unsafe(no_mangle)]
pub extern "C" fn calibrate_result() -> i32 {
    with(|door| {
        door.output.clear();
        let Some(calibration) = &door.calibration else { return 0 };
        let result = calibration.result();
        let number =
            |x: Option<f64>| x.map_or("null".to_owned(), |x| ((x * 100.0).round() / 100.0).to_string());
        door.output = format!(
            r#"{{"status":"{}","delay_ms":{},"scatter_ms":{},"n":{},"n_ticks":{}}}"#,
            result.status.word(),
            number(result.delay_ms),
            number(result.scatter_ms),
            result.n,
            result.n_ticks
        );
        1
    })
}

/// Ends the calibration and frees its memory.
#[unsafe(no_mangle)]
pub extern "C" fn calibrate_close() {
    with(|door| door.calibration = None);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn output() -> String {
        with(|door| door.output.clone())
    }

    #[test]
    fn a_click_has_its_samples_and_unknown_ones_are_refused() {
        // 11 ms at 48 kHz.
        assert_eq!(click_sound(0, 2, 48_000.0), 528);
        assert_eq!(click_sound(2, 0, 48_000.0), 0);
        assert!(output().contains("must be 0 or 1"), "{}", output());
        assert_eq!(click_sound(0, 3, 48_000.0), 0);
        assert_eq!(click_sound(1, 1, f64::NAN), 0);
    }

    #[test]
    fn clicks_put_into_the_input_come_back_as_their_delay() {
        assert_eq!(calibrate_result(), 0);
        assert_eq!(calibrate_open(48_000.0, 2), 1);
        assert_eq!(calibrate_open(48_000.0, 0), 0);
        let click = click(ClickSound::Bright, ClickKind::Beat, 48_000.0);
        let mut sound = vec![0f32; 8 * 48_000];
        for k in 0..8 {
            // Ticks 0.9 and 0.95 s apart in turn; the sound 100 ms behind.
            let tick = 4800 + k * 44_400 - (k % 2) * 2400;
            calibrate_tick(tick as f64);
            sound[tick + 4800..][..click.len()].copy_from_slice(&click);
        }
        for block in sound.chunks(4096) {
            with(|door| door.input[..block.len()].copy_from_slice(block));
            calibrate_push(block.len() as u32);
        }
        assert_eq!(calibrate_result(), 1);
        assert_eq!(output(), r#"{"status":"good","delay_ms":100,"scatter_ms":0,"n":8,"n_ticks":8}"#);
        calibrate_close();
        assert_eq!(calibrate_result(), 0);
    }
}
