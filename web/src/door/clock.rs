//! The door's part for the server's clock. Device times are of whatever monotonic clock the page reads, in µs.

use super::with;
use windrow_protocol::clock::{Exchange, Quality, Taken};

/// Takes in one clock exchange, µs: the request leaves (t1, device clock), reaches the server (t2, server clock), the
/// answer leaves (t3, server clock), reaches the device (t4, device clock). Returns 0 if it counts, 1 if it is passed
/// over since it cannot be one, 2 if time jumped (a clock stood still, or the server is another): it then begins anew.
#[unsafe(no_mangle)]
pub extern "C" fn clock_add(t1_us: f64, t2_us: f64, t3_us: f64, t4_us: f64) -> i32 {
    match with(|door| door.clock.add(Exchange { t1_us, t2_us, t3_us, t4_us })) {
        Taken::Counted => 0,
        Taken::PassedOver => 1,
        Taken::Jumped => 2,
    }
}

/// Steps to the best estimate at once instead of nearing it slowly; for moments when nobody can hear it.
#[unsafe(no_mangle)]
pub extern "C" fn clock_settle() {
    with(|door| door.clock.settle());
}

/// Exchanges counted since the clock began, or began anew.
#[unsafe(no_mangle)]
pub extern "C" fn clock_n_exchanges() -> u32 {
    with(|door| door.clock.n_exchanges())
}

/// Server time at a moment of the device's clock, µs; NaN before the first exchange. Increasing, and continuous but for
/// [`clock_settle`] and jumps.
#[unsafe(no_mangle)]
pub extern "C" fn clock_server_us(device_us: f64) -> f64 {
    with(|door| door.clock.server_us(device_us).unwrap_or(f64::NAN))
}

/// The moment of the device's clock, µs, at which the server's time is this: the inverse of [`clock_server_us`].
#[unsafe(no_mangle)]
pub extern "C" fn clock_device_us(server_us: f64) -> f64 {
    with(|door| door.clock.device_us(server_us).unwrap_or(f64::NAN))
}

/// How well the server's time is known at a moment of the device's clock: 0 not at all, 1 poorly, 2 fairly, 3 well.
#[unsafe(no_mangle)]
pub extern "C" fn clock_quality(device_us: f64) -> i32 {
    match with(|door| door.clock.quality(device_us)) {
        Quality::Unknown => 0,
        Quality::Poor => 1,
        Quality::Fair => 2,
        Quality::Good => 3,
    }
}

/// Likely error of [`clock_server_us`] at a moment of the device's clock, µs; NaN before the first exchange.
#[unsafe(no_mangle)]
pub extern "C" fn clock_error_us(device_us: f64) -> f64 {
    with(|door| door.clock.error(device_us).map_or(f64::NAN, |error| error.likely_us))
}

/// Largest possible error of it, µs, if no clock stood still since the last exchange; NaN before the first.
#[unsafe(no_mangle)]
pub extern "C" fn clock_error_bound_us(device_us: f64) -> f64 {
    with(|door| door.clock.error(device_us).map_or(f64::NAN, |error| error.bound_us))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_knows_nothing_before_its_first_exchange_and_after_a_reset() {
        let unknown =
            [clock_server_us(0.0), clock_device_us(0.0), clock_error_us(0.0), clock_error_bound_us(0.0)];
        assert!(unknown.iter().all(|x| x.is_nan()), "{unknown:?}");
        assert_eq!((clock_quality(0.0), clock_n_exchanges()), (0, 0));
        // Offset +502.5 ms, delay 20 ms (RFC 5905, section 8).
        assert_eq!(clock_add(1_000_000.0, 1_512_500.0, 1_513_000.0, 1_020_500.0), 0);
        assert_eq!(clock_add(f64::NAN, 0.0, 0.0, 0.0), 1);
        assert!((clock_server_us(1_020_500.0) - 1_523_000.0).abs() < 1.0);
        assert!((clock_device_us(1_523_000.0) - 1_020_500.0).abs() < 1.0);
        assert!((10_000.0..10_200.0).contains(&clock_error_bound_us(1_020_500.0)));
        assert!(clock_error_us(1_020_500.0) <= clock_error_bound_us(1_020_500.0));
        assert_eq!((clock_quality(1_020_500.0), clock_n_exchanges()), (2, 1));
        // Another server, which has just started.
        assert_eq!(clock_add(3_000_000.0, 10.0, 20.0, 3_000_100.0), 2);
        clock_settle();
        assert!((clock_server_us(3_000_100.0) - 65.0).abs() < 1.0);
    }
}
