//! Numbers that only look random, so that a run can be repeated.

/// splitmix64 (Steele, Lea and Flood 2014).
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// Dice that throw the same numbers for the same seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Evenly from 0 to 1.
    pub fn throw(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Delays of one way of a bad Wi-Fi.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// From the device to the server: evenly spread over the jitter.
    Out,
    /// Back: mostly short, seldom as long as the jitter, and once in fifty five times that.
    Back,
}

/// One delay, ms. The two ways are uneven on purpose: their means differ by a sixth of the jitter.
pub fn delay_ms(way: Way, jitter_ms: f64, dice: &mut Dice) -> f64 {
    let u = dice.throw();
    let surplus_ms = match way {
        Way::Out => jitter_ms * u,
        Way::Back if dice.throw() < 0.02 => 5.0 * jitter_ms * u,
        Way::Back => jitter_ms * u * u,
    };
    // The least delay is a tenth of the jitter on both ways, so no jitter is no delay.
    0.1 * jitter_ms + surplus_ms
}
