//! Ten minutes of a device's clock that is wrong, in simulated time: no socket, nothing waits.

use super::dice::{Dice, Way, delay_ms};
use super::tally::percentile;
use serde::Serialize;
use windrow::player::Timekeeper;
use windrow_protocol::messages::ClockAnswer;
use windrow_protocol::units::Micros;

/// Simulated time, s.
const LASTS_S: f64 = 600.0;
/// The network is away for half a minute from here on, s.
const GAP_S: std::ops::Range<f64> = 300.0..330.0;
/// Server time at the beginning, µs.
const BEGINS_US: f64 = 60e6;
/// How often it is looked where the device's time stands, µs.
const LOOK_EVERY_US: f64 = 50e3;

/// How far a device's idea of the server's time was off, ms, over all devices.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Drift {
    /// Devices, each with other delays.
    pub devices: usize,
    /// As asked.
    pub jitter_ms: f64,
    /// As asked.
    pub drift_ppm: f64,
    /// Simulated time, s.
    pub seconds: f64,
    /// Median over all that time.
    pub p50_ms: f64,
    /// 95 % are within it.
    pub p95_ms: f64,
    /// The worst.
    pub max_ms: f64,
    /// 95 % are within it in the first minute.
    pub first_minute_p95_ms: f64,
    /// Worst within the first minute, from the sixteenth exchange on.
    pub first_minute_max_ms: f64,
    /// Worst within half a minute without network.
    pub gap_max_ms: f64,
    /// Worst from its end on.
    pub after_gap_max_ms: f64,
}

/// Simulates `n_devices` whose clocks gain `drift_ppm` on the server's.
pub fn simulate(n_devices: usize, jitter_ms: f64, drift_ppm: f64) -> Drift {
    let mut looks: Vec<(f64, f64)> = Vec::new();
    for seed in 0..n_devices {
        looks.extend(one_device(seed as u64, jitter_ms, drift_ppm));
    }
    let within = |span_s: std::ops::Range<f64>| -> Vec<f64> {
        looks.iter().filter(|(at_s, _)| span_s.contains(at_s)).map(|(_, ms)| *ms).collect()
    };
    let all = within(0.0..f64::INFINITY);
    Drift {
        devices: n_devices,
        jitter_ms,
        drift_ppm,
        seconds: LASTS_S,
        p50_ms: percentile(&all, 0.5),
        p95_ms: percentile(&all, 0.95),
        max_ms: percentile(&all, 1.0),
        first_minute_p95_ms: percentile(&within(0.0..60.0), 0.95),
        first_minute_max_ms: percentile(&within(0.0..60.0), 1.0),
        gap_max_ms: percentile(&within(GAP_S), 1.0),
        after_gap_max_ms: percentile(&within(GAP_S.end..f64::INFINITY), 1.0),
    }
}

/// Seconds since the beginning, and by how many ms the device's idea of the server's time was off.
fn one_device(seed: u64, jitter_ms: f64, drift_ppm: f64) -> Vec<(f64, f64)> {
    let mut dice = Dice::new(seed);
    let ahead_us = 1e9 * dice.throw();
    let device_us = |server_us: f64| ahead_us + server_us * (1.0 + 1e-6 * drift_ppm);
    let since_s = |server_us: f64| (server_us - BEGINS_US) / 1e6;
    let mut keeper = Timekeeper::new();
    let mut looks = Vec::new();
    let (mut ask_us, mut n_asked, mut look_us) = (BEGINS_US, 0, BEGINS_US);
    while since_s(ask_us) < LASTS_S {
        let is_away = GAP_S.contains(&since_s(ask_us));
        let arrived_us = ask_us + 1000.0 * delay_ms(Way::Out, jitter_ms, &mut dice);
        let back_us = arrived_us + 1000.0 * delay_ms(Way::Back, jitter_ms, &mut dice);
        // Looks before this answer comes; music plays as soon as the quick exchanges are over.
        while look_us < back_us {
            if let Some(shown_us) = keeper.clock().server_us(device_us(look_us))
                && keeper.clock().n_exchanges() >= 16
            {
                looks.push((since_s(look_us), (shown_us - look_us).abs() / 1000.0));
            }
            look_us += LOOK_EVERY_US;
        }
        // The connection after the gap is a new one.
        n_asked = if is_away { 0 } else { n_asked + 1 };
        if !is_away {
            let time = Micros::new(arrived_us).expect("a time");
            let answer = ClockAnswer { id: n_asked, t1_us: device_us(ask_us), t2_us: time, t3_us: time };
            keeper.take(&answer, device_us(back_us), keeper.clock().n_exchanges() >= 16);
        }
        ask_us = back_us.max(ask_us + Timekeeper::pause_after(n_asked).as_secs_f64() * 1e6);
    }
    looks
}
