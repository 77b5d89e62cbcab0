//! How far off what is said about a pulsed tone is while ticks leak into the microphone, with and without taking them out:
//! the figures of DEVELOPERS.md. `cargo test -p windrow-analysis --test hearing leak_figures -- --nocapture` prints them.

use crate::clicks::{GAIN, TONE_DB, played, tone};
use crate::leaks::{Beat, Leak, Room, hear_without_ticks};
use crate::truth::{Heard, RATE, hear};
use windrow_analysis::Hearing;
use windrow_analysis::click::ClickSound;
use windrow_analysis::signals::Pulsing;

/// When the player begins, after a count-in, and how long all lasts, s.
const FROM_S: f64 = 3.0;
const SECONDS: f64 = 9.0;

/// Absolute errors, pooled over readings and pulses, and counts.
#[derive(Default)]
struct Errors {
    rate_percent: Vec<f64>,
    depth_db: Vec<f64>,
    swing_cents: Vec<f64>,
    centre_cents: Vec<f64>,
    time_ms: Vec<f64>,
    n_true: usize,
    n_missed: usize,
    n_false: usize,
    n_trusted: usize,
    n_readings: usize,
}

impl Errors {
    fn add(&mut self, heard: &Heard, tone: &Pulsing) {
        let note_midi = 69.0 + 12.0 * (tone.f0_hz / 440.0).log2();
        let settled = heard.readings.iter().filter(|r| r.time_s > FROM_S + 1.0);
        self.n_readings += settled.clone().count();
        for r in settled.filter(|r| r.trusted() && r.hearing == Hearing::Pulsed) {
            self.n_trusted += 1;
            self.rate_percent.extend(r.pulse_rate_hz.map(|hz| 100.0 * (hz / tone.rate_hz - 1.0).abs()));
            self.depth_db.extend(r.depth_db_pp.map(|db| (db - tone.depth_db).abs()));
            self.swing_cents.extend(r.swing_cents_pp.map(|cents| (cents - tone.swing_cents).abs()));
            let from_note = r.note_midi.map(|note| 100.0 * (f64::from(note) - note_midi));
            self.centre_cents.extend(r.centre_cents.zip(from_note).map(|(a, b)| (a + b).abs()));
        }
        let peaks = (0..).map(|k| tone.first_peak_s + f64::from(k) / tone.rate_hz);
        // Neither the attack nor what was not yet certain at the end.
        let (from_s, to_s) = (FROM_S + 0.5, SECONDS - 1.0);
        let peaks: Vec<f64> = peaks.skip_while(|t| *t < from_s).take_while(|t| *t < to_s).collect();
        let told: Vec<f64> =
            heard.pulses.iter().map(|p| p.time_s).filter(|t| (from_s..to_s).contains(t)).collect();
        let near = |list: &[f64], t: f64| list.iter().map(|o| (o - t).abs()).fold(f64::MAX, f64::min);
        let reach_s = 0.25 / tone.rate_hz;
        self.n_true += peaks.len();
        let all: Vec<f64> = heard.pulses.iter().map(|p| p.time_s).collect();
        self.n_missed += peaks.iter().filter(|t| near(&all, **t) > reach_s).count();
        for time_s in told {
            let k = ((time_s - tone.first_peak_s) * tone.rate_hz).round();
            let off_s = (time_s - tone.first_peak_s - k / tone.rate_hz).abs();
            self.n_false += usize::from(off_s > reach_s);
            self.time_ms.push(1000.0 * off_s);
        }
    }

    fn figures(&mut self) -> [[f64; 2]; 5] {
        [
            &mut self.rate_percent,
            &mut self.depth_db,
            &mut self.swing_cents,
            &mut self.centre_cents,
            &mut self.time_ms,
        ]
        .map(|errors| {
            errors.sort_by(f64::total_cmp);
            [errors[errors.len() / 2], errors[errors.len() * 19 / 20]]
        })
    }
}

#[test]
fn taking_ticks_out_keeps_figures_near_those_without_ticks() {
    let tones: Vec<Pulsing> = [58.3, 116.5, 233.1, 440.0, 880.0, 1760.0]
        .into_iter()
        .flat_map(|f0_hz| {
            [(2.0, 6.0, 4.0), (4.0, 3.0, 20.0), (5.5, 4.0, 12.0), (6.9, 2.0, 40.0)]
                .map(|(rate_hz, depth_db, swing_cents)| tone(f0_hz, rate_hz, depth_db, swing_cents))
        })
        .collect();
    let near = Some(Room { reverb_s: 0.6, direct_db: 15.0 });
    let far = Some(Room { reverb_s: 0.8, direct_db: -9.0 });
    let ways =
        [("no room", None, 6.0), ("own, loud", near, 6.0), ("own", near, -6.0), ("3 m away", far, -15.0)];
    println!(
        "medians / 95 % of errors: rate %, depth dB, swing cents, centre cents, time ms; pulses; trusted"
    );
    let report = |name: &str, mut errors: Errors| -> [[f64; 2]; 5] {
        let figures = errors.figures();
        let text: Vec<String> =
            figures.iter().map(|[median, most]| format!("{median:.2} / {most:.2}")).collect();
        println!(
            "{name:>22}: {}; missed {} and false {} of {}; {:.1} %",
            text.join(", "),
            errors.n_missed,
            errors.n_false,
            errors.n_true,
            100.0 * errors.n_trusted as f64 / errors.n_readings as f64
        );
        // A pulse in a hundred at most.
        assert!(100 * errors.n_false <= errors.n_true, "{name}: {} false", errors.n_false);
        figures
    };
    let mut none = Errors::default();
    for tone in &tones {
        none.add(&hear(&played(tone, FROM_S, SECONDS), RATE), tone);
    }
    report("without ticks", none);
    for (name, room, relative_db) in ways {
        let (mut left_in, mut taken_out) = (Errors::default(), Errors::default());
        for (i, tone) in tones.iter().enumerate() {
            assert!(tone.peak_gain == GAIN);
            let (bpm, per_beat) = [(60.0, 1), (72.0, 4), (92.0, 3), (208.0, 1), (132.0, 2)][i % 5];
            let ticks = Beat { bpm, per_beat, from_s: 0.2 }.ticks(SECONDS - 0.2);
            let mut leaked = played(tone, FROM_S, SECONDS);
            let sound = ClickSound::ALL[i % 2];
            Leak { sound, delay_s: 0.08, level_db: TONE_DB + relative_db, room }.add_to(
                &mut leaked,
                RATE,
                &ticks,
            );
            left_in.add(&hear(&leaked, RATE), tone);
            taken_out.add(&hear_without_ticks(&leaked, RATE, 1024, &ticks).0, tone);
        }
        report(&format!("{name}, left in"), left_in);
        let figures = report(&format!("{name}, taken out"), taken_out);
        // What design asks of mixed sound, in the median: 0.6 %, 0.1 dB, 1 cent, 0.1 cent, 2 ms.
        for (figure, limit) in figures.iter().zip([0.6, 0.1, 1.0, 0.1, 2.0]) {
            assert!(figure[0] < limit, "{name}: {figures:?}");
        }
    }
}
