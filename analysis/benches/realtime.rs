//! What a second of sound costs, as a share of one core and as a ratio to a peer measured in the same run: the
//! autocorrelation of a 2048-sample window through realfft every ten milliseconds, which is the least any
//! frame-by-frame pitch tracker of a general library does. Then the same for the browser's wasm, where node is there to
//! run it.
//!
//! `cargo bench -p windrow-analysis`

use realfft::RealFftPlanner;
use std::hint::black_box;
use std::process::Command;
use std::time::Instant;
use windrow_analysis::click::{ClickKind, ClickRemover, ClickSound, click};
use windrow_analysis::signals::{Pulsing, Timbre, render};
use windrow_analysis::{Analyser, Config};

const RATE: f64 = 48_000.0;
const SECONDS: f64 = 10.0;
const ROUNDS: usize = 7;

fn main() {
    for (name, f0_hz, rate_hz) in [
        ("contrabassoon", 29.14, 4.0),
        ("bassoon", 110.0, 1.0),
        ("oboe", 440.0, 5.0),
        ("piccolo", 4186.0, 6.0),
        ("straight oboe", 440.0, 0.0),
    ] {
        let tone = Pulsing {
            f0_hz,
            peak_gain: 0.3,
            rate_hz,
            depth_db: if rate_hz > 0.0 { 6.0 } else { 0.0 },
            swing_cents: if rate_hz > 0.0 { 20.0 } else { 0.0 },
            first_peak_s: 0.1,
            drift_cents_per_s: 0.0,
        };
        let sound = render(RATE, Timbre::falling(8), -60.0, 1, SECONDS, |t| tone.at(t));
        let (mut ours, mut peers) = (Vec::new(), Vec::new());
        for _ in 0..ROUNDS {
            ours.push(time(|| listen(&sound)));
            peers.push(time(|| autocorrelate(&sound)));
        }
        let (ours, peer) = (median(&mut ours), median(&mut peers));
        println!(
            "{name:>14} {f0_hz:7.1} Hz: {:.2} % of a core, {:.0} times real time, {:.1} times the peer's {:.2} %",
            100.0 * ours / SECONDS,
            SECONDS / ours,
            ours / peer,
            100.0 * peer / SECONDS
        );
    }
    take_out_ticks();
    listen_in_wasm();
}

/// What it costs to take ticks out before the analyser hears them: while their delay is looked for in vain, as with
/// headphones, and once it is known. Sixteenths at 120 in both: eight a second.
fn take_out_ticks() {
    let tone = Pulsing {
        f0_hz: 440.0,
        peak_gain: 0.1,
        rate_hz: 5.0,
        depth_db: 6.0,
        swing_cents: 20.0,
        first_peak_s: 0.1,
        drift_cents_per_s: 0.0,
    };
    let silent = render(RATE, Timbre::falling(8), -60.0, 1, SECONDS, |t| tone.at(t));
    let kind = |i: usize| match i % 16 {
        0 => ClickKind::Bar,
        i if i % 4 == 0 => ClickKind::Beat,
        _ => ClickKind::Between,
    };
    let mut ticking = silent.clone();
    for i in 0..76 {
        let at = ((0.2 + 0.125 * i as f64) * RATE) as usize + 4800;
        for (y, x) in ticking[at..].iter_mut().zip(click(ClickSound::Wood, kind(i), RATE)) {
            *y += 0.1 * x;
        }
    }
    for (name, sound) in [("never heard", &silent), ("heard", &ticking)] {
        let mut seconds: Vec<f64> = (0..ROUNDS)
            .map(|_| {
                time(|| {
                    let mut remover = ClickRemover::new(RATE);
                    remover.start();
                    for (block_idx, block) in sound.chunks(960).enumerate() {
                        // A tick each 6,000 samples, told in the block before it.
                        let told = |i: usize| (9600 + 6000 * i) / 960 == block_idx + 1;
                        for i in (0..76).filter(|&i| told(i)) {
                            remover.tick((9600 + 6000 * i) as f64, kind(i));
                        }
                        remover.push(block, &mut |clean| _ = black_box(clean));
                    }
                })
            })
            .collect();
        println!(
            "ticks {name:>11}: {:.3} % of a core beside the above",
            100.0 * median(&mut seconds) / SECONDS
        );
    }
}

/// The browser's way: the committed wasm in the engine that node shares with Chromium.
fn listen_in_wasm() {
    println!("the committed wasm in node:");
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../web/benches/wasm-realtime.mjs");
    match Command::new("node").arg(script).status() {
        Ok(status) if status.success() => {}
        Ok(status) => println!("  {script} failed ({status}); what it says stands above"),
        Err(e) => println!("  skipped, since node cannot be started: {e}"),
    }
}

fn time(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}

fn median(seconds: &mut [f64]) -> f64 {
    seconds.sort_by(f64::total_cmp);
    seconds[seconds.len() / 2]
}

fn listen(sound: &[f32]) {
    let config = Config { sample_rate_hz: RATE, a4_hz: 440.0, expected_midi: None };
    let mut analyser = Analyser::new(config).expect("a legal configuration");
    for block in sound.chunks(960) {
        black_box(analyser.push(block));
    }
}

fn autocorrelate(sound: &[f32]) {
    let mut planner = RealFftPlanner::<f32>::new();
    let (forward, inverse) = (planner.plan_fft_forward(4096), planner.plan_fft_inverse(4096));
    let (mut time, mut spectrum) = (forward.make_input_vec(), forward.make_output_vec());
    for start in (0..sound.len() - 2048).step_by(480) {
        time.fill(0.0);
        time[..2048].copy_from_slice(&sound[start..start + 2048]);
        forward.process(&mut time, &mut spectrum).expect("sizes fit");
        for bin in &mut spectrum {
            *bin = (*bin * bin.conj()).re.into();
        }
        inverse.process(&mut spectrum, &mut time).expect("sizes fit");
        black_box(&time);
    }
}
