//! The shared clock on made-up networks: the truth is known, since both clocks are made from it. Nothing here waits.

#![expect(clippy::unwrap_used, reason = "all of it is tests")]

use proptest::prelude::*;
use windrow_protocol::clock::{Exchange, Quality, SLEW, SharedClock, Taken};

/// Numbers from 0 to 1 that only look random (splitmix64, Steele and others 2014).
struct Dice(u64);

impl Dice {
    fn throw(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A device, its network, and the truth. All times µs of the server's clock unless they say otherwise.
struct World {
    dice: Dice,
    now_us: f64,
    /// Device clock at server time nought, and what it gains on the server's.
    device_ahead_us: f64,
    device_gain: f64,
    least_delay_us: f64,
    jitter_us: [f64; 2],
    burst_us: f64,
    clock: SharedClock,
    latest_shown_us: f64,
}

impl World {
    fn new(seed: u64, drift_ppm: f64, jitter_ms: [f64; 2]) -> Self {
        Self {
            dice: Dice(seed),
            now_us: 60e6,
            device_ahead_us: 987e6,
            device_gain: 1e-6 * drift_ppm,
            least_delay_us: 1500.0,
            jitter_us: jitter_ms.map(|ms| 1000.0 * ms),
            burst_us: 0.0,
            clock: SharedClock::new(),
            latest_shown_us: f64::NEG_INFINITY,
        }
    }

    fn device_us(&self, server_us: f64) -> f64 {
        self.device_ahead_us + server_us * (1.0 + self.device_gain)
    }

    fn delay_us(&mut self, way: usize) -> f64 {
        self.least_delay_us + self.burst_us + self.jitter_us[way] * self.dice.throw()
    }

    /// One exchange that begins now; its answer's arrival is the new now.
    fn exchange(&mut self) -> Taken {
        let t1_us = self.device_us(self.now_us);
        let t2_us = self.now_us + self.delay_us(0);
        let t3_us = t2_us + 40.0;
        self.now_us = t3_us + self.delay_us(1);
        let t4_us = self.device_us(self.now_us);
        self.clock.add(Exchange { t1_us, t2_us, t3_us, t4_us })
    }

    fn pass(&mut self, seconds: f64) {
        self.now_us += 1e6 * seconds;
    }

    /// As a device does: sixteen quick ones, then one every two seconds.
    fn run(&mut self, seconds: f64) {
        let until_us = self.now_us + 1e6 * seconds;
        while self.now_us < until_us {
            self.pass(if self.clock.n_exchanges() < 16 { 0.1 } else { 2.0 });
            assert_eq!(self.exchange(), Taken::Counted);
        }
    }

    /// Shown minus true server time now.
    fn error_us(&self) -> f64 {
        self.clock.server_us(self.device_us(self.now_us)).unwrap() - self.now_us
    }

    /// Checks at the present moment what must always hold.
    fn check(&mut self) {
        let device_us = self.device_us(self.now_us);
        let error = self.clock.error(device_us).unwrap();
        assert!(
            self.error_us().abs() <= error.bound_us + 1e-3,
            "{} µs off, bound {} µs",
            self.error_us(),
            error.bound_us
        );
        assert!(error.likely_us <= error.bound_us);
        let shown_us = self.clock.server_us(device_us).unwrap();
        assert!(shown_us > self.latest_shown_us, "time went back by {} µs", self.latest_shown_us - shown_us);
        self.latest_shown_us = shown_us;
        let back_us = self.clock.device_us(shown_us).unwrap();
        assert!((back_us - device_us).abs() < 1e-3, "{back_us} {device_us}");
    }
}

#[test]
fn knows_nothing_before_the_first_exchange() {
    let clock = SharedClock::new();
    assert_eq!((clock.server_us(0.0), clock.device_us(0.0), clock.error(0.0)), (None, None, None));
    assert_eq!(clock.quality(0.0), Quality::Unknown);
}

#[test]
fn one_exchange_gives_rfc_5905s_offset_and_half_the_delay_as_bound() {
    // T1 1000.0, T2 1512.5, T3 1513.0, T4 1020.5 ms: offset +502.5 ms, delay 20.0 ms (RFC 5905, section 8).
    let mut clock = SharedClock::new();
    let exchange =
        Exchange { t1_us: 1_000_000.0, t2_us: 1_512_500.0, t3_us: 1_513_000.0, t4_us: 1_020_500.0 };
    assert_eq!(clock.add(exchange), Taken::Counted);
    assert!((clock.offset_us(1_020_500.0).unwrap() - 502_500.0).abs() < 1.0);
    let error = clock.error(1_020_500.0).unwrap();
    // Clocks in browsers are rounded to 100 µs, which either bound allows for; so does 20 ms of 500 ppm (10 µs).
    assert!((10_000.0..10_200.0).contains(&error.bound_us), "{error:?}");
    assert_eq!(clock.quality(1_020_500.0), Quality::Fair);
}

/// Worst, and 95th percentile, of the error in ms over ten minutes of a room's Wi-Fi in which both ways have `jitter_ms`,
/// over many devices; asked 20 times a second.
fn ten_minutes_ms(drift_ppm: f64, jitter_ms: [f64; 2], mishap: impl Fn(&mut World, u32)) -> (f64, f64) {
    let mut errors_ms = Vec::new();
    for seed in 0..20 {
        let mut world = World::new(seed, drift_ppm, jitter_ms);
        world.run(4.0);
        world.clock.settle();
        for second in 0..600 {
            mishap(&mut world, second);
            for _ in 0..20 {
                world.pass(0.05);
                errors_ms.push(world.error_us().abs() / 1000.0);
            }
            world.check();
            if second % 2 == 0 {
                assert_eq!(world.exchange(), Taken::Counted);
            }
        }
    }
    errors_ms.sort_by(f64::total_cmp);
    (errors_ms[errors_ms.len() - 1], errors_ms[errors_ms.len() * 95 / 100])
}

/// The design asks for 3 ms at the 95th percentile with 20 ms of uneven jitter, and the worst must not be heard: 6 ms.
#[track_caller]
fn check_budget((worst_ms, p95_ms): (f64, f64)) {
    eprintln!("worst {worst_ms:.2} ms, 95 % within {p95_ms:.2} ms");
    assert!(p95_ms < 3.0 && worst_ms < 6.0, "worst {worst_ms} ms, 95 % within {p95_ms} ms");
}

#[test]
fn ten_minutes_of_jitter_and_drift() {
    check_budget(ten_minutes_ms(100.0, [20.0, 20.0], |_, _| {}));
    check_budget(ten_minutes_ms(-50.0, [20.0, 4.0], |_, _| {}));
}

#[test]
fn a_gap_of_thirty_seconds_is_bridged_by_the_drift() {
    check_budget(ten_minutes_ms(100.0, [20.0, 20.0], |world, second| {
        if second == 120 || second == 300 {
            for _ in 0..300 {
                world.pass(0.1);
                world.check();
            }
        }
    }));
}

#[test]
fn five_seconds_of_long_delays_move_nothing() {
    check_budget(ten_minutes_ms(100.0, [20.0, 20.0], |world, second| {
        world.burst_us = if second % 100 > 94 { 200_000.0 } else { 0.0 };
    }));
}

#[test]
fn a_quiet_network_gives_a_tenth_of_a_millisecond() {
    let (worst_ms, p95_ms) = ten_minutes_ms(50.0, [0.2, 0.2], |_, _| {});
    eprintln!("worst {worst_ms:.3} ms, 95 % within {p95_ms:.3} ms");
    assert!(p95_ms < 0.1 && worst_ms < 0.5, "worst {worst_ms} ms, 95 % within {p95_ms} ms");
}

#[test]
fn a_clock_that_its_system_corrects_is_followed() {
    // 20 s at -400 ppm more: 8 ms in all, which no bound of an even drift foresees.
    let mut world = World::new(5, 50.0, [20.0, 20.0]);
    world.run(120.0);
    let before_us = world.device_us(world.now_us);
    world.device_gain -= 400e-6;
    world.device_ahead_us += before_us - world.device_us(world.now_us);
    world.run(20.0);
    let before_us = world.device_us(world.now_us);
    world.device_gain += 400e-6;
    world.device_ahead_us += before_us - world.device_us(world.now_us);
    world.run(1.0);
    assert!(world.error_us().abs() < 10e3, "{} µs off at once", world.error_us());
    world.run(60.0);
    assert!(world.error_us().abs() < 3e3, "{} µs off after a minute", world.error_us());
    assert_eq!(world.clock.n_jumps(), 0);
}

#[test]
fn a_constant_delay_on_one_way_cannot_be_seen_but_lies_within_the_bound() {
    let mut clock = SharedClock::new();
    for i in 0..100 {
        let t1_us = 1e6 * f64::from(i);
        clock.add(Exchange { t1_us, t2_us: t1_us + 30e3, t3_us: t1_us + 30e3, t4_us: t1_us + 30.1e3 });
    }
    let now_us = 99e6 + 30.1e3;
    let (offset_us, error) = (clock.offset_us(now_us).unwrap(), clock.error(now_us).unwrap());
    // The clocks agree; half of 30 ms is what cannot be known.
    assert!((offset_us - 14_950.0).abs() < 100.0, "{offset_us}");
    assert!((15_000.0..15_400.0).contains(&error.bound_us), "{error:?}");
}

/// A device's clock stands still for some seconds, or the server's does where they are negative.
fn check_jump(still_s: f64) {
    let mut world = World::new(1, 30.0, [20.0, 20.0]);
    world.run(60.0);
    world.device_ahead_us -= 1e6 * still_s;
    world.pass(still_s.max(0.0) + 1.0);
    assert_eq!(world.exchange(), Taken::Jumped, "{still_s} s");
    assert!(world.error_us().abs() < 22e3, "{} µs off after the first exchange", world.error_us());
    world.check();
    world.run(4.0);
    assert_eq!((world.clock.n_jumps(), world.clock.n_exchanges() > 16), (1, true));
    assert!(world.error_us().abs() < 4e3, "{} µs off after more", world.error_us());
}

#[test]
fn a_clock_that_stood_still_is_noticed_at_the_first_exchange() {
    for still_s in [0.3, 5.0, 3600.0, -0.3, -60.0] {
        check_jump(still_s);
    }
}

#[test]
fn a_device_clock_that_begins_anew_is_a_jump() {
    let mut clock = SharedClock::new();
    let at = |us: f64| Exchange { t1_us: us, t2_us: us + 50.0, t3_us: us + 60.0, t4_us: us + 100.0 };
    assert_eq!(clock.add(at(9e6)), Taken::Counted);
    assert_eq!(clock.add(at(0.0)), Taken::Jumped);
    assert_eq!(clock.add(at(2e6)), Taken::Counted);
}

#[test]
fn times_that_are_none_are_passed_over() {
    let mut clock = SharedClock::new();
    for times in [
        [f64::NAN, 0.0, 0.0, 0.0],
        [0.0, f64::INFINITY, 0.0, 0.0],
        [5.0, 0.0, 0.0, 4.0],
        [0.0, 2.0, 1.0, 4.0],
    ] {
        let [t1_us, t2_us, t3_us, t4_us] = times;
        assert_eq!(clock.add(Exchange { t1_us, t2_us, t3_us, t4_us }), Taken::PassedOver);
    }
    assert_eq!(clock.n_exchanges(), 0);
}

/// A clock that shows 10 ms too much: an unlucky first exchange, then many good ones in the next instant.
fn clock_that_slews() -> SharedClock {
    let mut clock = SharedClock::new();
    clock.add(Exchange { t1_us: 0.0, t2_us: 20_200.0, t3_us: 20_200.0, t4_us: 20_400.0 });
    clock.add(Exchange { t1_us: 30_000.0, t2_us: 30_100.0, t3_us: 30_100.0, t4_us: 30_200.0 });
    clock
}

#[test]
fn a_better_estimate_is_neared_slowly() {
    let clock = clock_that_slews();
    let shown_us = |device_us: f64| clock.offset_us(device_us).unwrap();
    let at_once_us = shown_us(30_200.0);
    assert!((at_once_us - 10_000.0).abs() < 150.0, "no step: {at_once_us}");
    let after_us = shown_us(1_030_200.0);
    // 0.5 % is 5 ms a second, and the drift is not known yet: at most 500 ppm of it.
    assert!((at_once_us - after_us - 1e6 * SLEW).abs() < 600.0, "{at_once_us} {after_us}");
    assert!(shown_us(3_030_200.0).abs() < 1600.0, "{}", shown_us(3_030_200.0));
    for server_us in [20_000.0, 30_300.0, 40_200.0, 500_000.0, 2_000_000.0, 5_000_000.0] {
        let device_us = clock.device_us(server_us).unwrap();
        assert!((clock.server_us(device_us).unwrap() - server_us).abs() < 1e-6, "{server_us}");
    }
}

#[test]
fn settling_steps_at_once() {
    let mut clock = clock_that_slews();
    clock.settle();
    assert!(clock.offset_us(30_200.0).unwrap().abs() < 150.0, "{:?}", clock.offset_us(30_200.0));
}

#[test]
fn quality_falls_with_age_and_delay() {
    let mut world = World::new(3, 20.0, [0.5, 0.5]);
    world.run(60.0);
    let now_us = world.device_us(world.now_us);
    assert_eq!(world.clock.quality(now_us), Quality::Good);
    assert_eq!(world.clock.quality(now_us + 30e6), Quality::Good, "half a minute without network");
    let days = world.clock.error(now_us + 2.0 * 86_400e6).unwrap();
    assert_eq!(days.quality(), Quality::Poor, "{days:?}");
    let mut slow = World::new(3, 20.0, [300.0, 300.0]);
    slow.exchange();
    assert_eq!(slow.clock.quality(slow.device_us(slow.now_us)), Quality::Poor);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn error_stays_within_its_bound_and_time_never_goes_back(
        seed in any::<u64>(),
        drift_ppm in -200.0..200.0,
        out_ms in 0.0..40.0,
        back_ms in 0.0..40.0,
        steps in prop::collection::vec((0..5u8, 0.0..30.0), 1..40),
    ) {
        let mut world = World::new(seed, drift_ppm, [out_ms, back_ms]);
        world.exchange();
        for (kind, seconds) in steps {
            match kind {
                // A gap without network.
                0 => world.pass(seconds),
                // Some seconds in which all delays are long.
                1 => {
                    world.burst_us = 200_000.0;
                    world.run(seconds / 6.0);
                    world.burst_us = 0.0;
                }
                // The device's clock stands still.
                2 => {
                    world.device_ahead_us -= 1e6 * (1.0 + seconds);
                    world.pass(1.0 + seconds);
                    prop_assert_eq!(world.exchange(), Taken::Jumped);
                    world.latest_shown_us = f64::NEG_INFINITY;
                }
                _ => world.run(seconds / 3.0),
            }
            world.check();
            world.pass(0.001);
            world.check();
        }
    }

    #[test]
    fn whatever_the_times_are_nothing_breaks(
        times in prop::collection::vec(prop::array::uniform4(prop::num::f64::ANY), 0..80),
    ) {
        let mut clock = SharedClock::new();
        for [t1_us, t2_us, t3_us, t4_us] in times {
            clock.add(Exchange { t1_us, t2_us, t3_us, t4_us });
            clock.server_us(t4_us);
            clock.device_us(t4_us);
            clock.quality(t4_us);
        }
    }
}
