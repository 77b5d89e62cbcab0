//! Once made, an analyser asks for no memory: on a phone's audio path a request may come at a bad moment, and a rehearsal
//! is long. A counting allocator says so, for blocks of up to three seconds.

#![expect(unsafe_code, reason = "an allocator that counts is an unsafe trait")]

use crate::truth::analyser;
use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;
use windrow_analysis::Contour;
use windrow_analysis::click::{ClickKind, ClickRemover, ClickSound, click};
use windrow_analysis::signals::{Moment, Pulsing, Timbre, render};

thread_local! {
    /// Requests of this thread; a constant at first, so that the count itself asks for nothing.
    static REQUESTS: Cell<usize> = const { Cell::new(0) };
}

struct Counting;

fn count() {
    // The counter is gone while a thread shuts down; nothing is measured then.
    let _ = REQUESTS.try_with(|requests| requests.set(requests.get() + 1));
}

// SAFETY: every call goes on to the system's allocator as it came.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        count();
        // SAFETY: the caller keeps the promises that `alloc` asks for.
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        // SAFETY: the pointer came from the system's allocator with this layout.
        unsafe { System.dealloc(pointer, layout) }
    }

    unsafe fn realloc(&self, pointer: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        count();
        // SAFETY: the pointer came from the system's allocator with this layout.
        unsafe { System.realloc(pointer, layout, size) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

fn requests_in(work: impl FnOnce()) -> usize {
    let before = REQUESTS.get();
    work();
    REQUESTS.get() - before
}

/// Eighteen seconds: pulses by air, pulses by pitch, choked valleys, a straight tone, a run of notes, clicks in silence
/// and noise.
fn everything(rate_hz: f64) -> Vec<f32> {
    let pulsing = |rate_hz: f64, depth_db: f64, swing_cents: f64| Pulsing {
        f0_hz: 233.1,
        peak_gain: 0.4,
        rate_hz,
        depth_db,
        swing_cents,
        first_peak_s: 0.0,
        drift_cents_per_s: 2.0,
    };
    let silence = Moment { f0_hz: 233.1, gain: 0.0 };
    let curve = |t: f64| match t as u32 {
        0..3 => pulsing(5.0, 6.0, 10.0).at(t),
        3..6 => pulsing(6.0, 0.5, 60.0).at(t),
        6..9 => pulsing(2.0, 60.0, 0.0).at(t),
        9..12 => pulsing(0.0, 0.0, 0.0).at(t),
        12..15 => Moment { f0_hz: 60.0 * ((4.0 * (t - 12.0)).floor() / 3.0).exp2(), gain: 0.2 },
        _ => silence,
    };
    let mut sound = render(rate_hz, Timbre::falling(6), -60.0, 5, 18.0, curve);
    let at = |s: f64| (s * rate_hz) as usize;
    for click in 0..4 {
        sound[at(15.2 + 0.3 * f64::from(click))] = 1.0;
    }
    let noise = render(rate_hz, Timbre::sine(), -12.0, 6, 1.5, |_| silence);
    sound[at(16.5)..][..noise.len()].copy_from_slice(&noise);
    sound
}

#[test]
fn the_counter_counts() {
    assert!(requests_in(|| drop(std::hint::black_box(vec![0u8; 100]))) > 0);
}

#[test]
fn listening_asks_for_no_memory() {
    for rate_hz in [8_000.0, 44_100.0, 48_000.0, 96_000.0] {
        let sound = everything(rate_hz);
        for block_s in [0.003, 0.043, 3.0] {
            let mut analyser = analyser(rate_hz);
            let (mut n_readings, mut n_pulses) = (0, 0);
            let requests = requests_in(|| {
                for block in sound.chunks((block_s * rate_hz) as usize) {
                    let heard = analyser.push(block);
                    n_readings += heard.readings.len();
                    n_pulses += heard.pulses.len();
                }
                analyser.finish();
            });
            assert_eq!(requests, 0, "{rate_hz} Hz in blocks of {block_s} s");
            assert!(
                n_readings > 350 && n_pulses > 30,
                "{rate_hz} Hz: {n_readings} readings, {n_pulses} pulses"
            );
        }
    }
}

#[test]
fn telling_spans_asks_for_no_memory() {
    let rate_hz = 48_000.0;
    let sound = everything(rate_hz);
    for block_s in [0.02, 3.0] {
        let (mut analyser, mut contour) = (analyser(rate_hz), Contour::new());
        let mut n_spans = 0;
        let requests = requests_in(|| {
            for block in sound.chunks((block_s * rate_hz) as usize) {
                let heard = analyser.push(block);
                n_spans += contour.push(heard.readings, heard.pulses).spans.len();
            }
            let heard = analyser.finish();
            n_spans += contour.push(heard.readings, heard.pulses).spans.len();
            n_spans += contour.finish().spans.len();
        });
        assert_eq!(requests, 0, "in blocks of {block_s} s");
        assert!(n_spans >= 4, "{n_spans} spans");
    }
}

#[test]
fn taking_out_ticks_asks_for_no_memory() {
    for rate_hz in [16_000.0, 48_000.0] {
        let mut sound = everything(rate_hz);
        let ticks: Vec<f64> = (1..70).map(|i| (0.25 * f64::from(i) * rate_hz).round()).collect();
        for (i, at) in ticks.iter().enumerate() {
            let kind = if i % 4 == 0 { ClickKind::Bar } else { ClickKind::Beat };
            for (y, x) in sound[*at as usize + 1000..].iter_mut().zip(click(ClickSound::Wood, kind, rate_hz))
            {
                *y += 0.3 * x;
            }
        }
        for block_s in [0.003, 0.043, 3.0] {
            let mut remover = ClickRemover::new(rate_hz);
            let (mut n_out, mut n_told, mut n_in) = (0, 0, 0.0);
            let requests = requests_in(|| {
                remover.start();
                for block in sound.chunks((block_s * rate_hz) as usize) {
                    n_in += block.len() as f64;
                    while n_told < ticks.len() && ticks[n_told] < n_in + 0.1 * rate_hz {
                        let kind = if n_told % 4 == 0 { ClickKind::Bar } else { ClickKind::Beat };
                        remover.tick(ticks[n_told], kind);
                        n_told += 1;
                    }
                    remover.push(block, &mut |ready| n_out += ready.len());
                }
                remover.stop(&mut |rest| n_out += rest.len());
            });
            assert_eq!(requests, 0, "{rate_hz} Hz in blocks of {block_s} s");
            assert_eq!(n_out, sound.len());
            assert_eq!(remover.paths().count(), 1, "the clicks are found");
        }
    }
}
