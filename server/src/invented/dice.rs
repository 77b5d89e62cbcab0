//! Numbers that only look random, so that whatever is invented can be invented again. Pure.

/// splitmix64 (Steele, Lea and Flood 2014).
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Dice(u64);

impl Dice {
    /// Dice that throw the same numbers for the same seed.
    pub(super) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Dice of their own for something that has a number, whatever else is thrown for.
    pub(super) fn of(seed: u64, numbers: &[u64]) -> Self {
        let mut dice = Self(seed);
        for &number in numbers {
            dice = Self(dice.bits() ^ number.wrapping_mul(0xD6E8_FEB8_6659_FD93));
        }
        dice
    }

    /// 64 bits.
    pub(super) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly from 0 to 1.
    pub(super) fn throw(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// About normal with deviation 1: the sum of twelve even numbers, at most 6.
    pub(super) fn scatter(&mut self) -> f64 {
        (0..12).map(|_| self.throw()).sum::<f64>() - 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scatter_is_centred_and_has_deviation_one() {
        let mut dice = Dice::new(3);
        let thrown: Vec<f64> = (0..20_000).map(|_| dice.scatter()).collect();
        let mean = thrown.iter().sum::<f64>() / 20_000.0;
        let deviation = (thrown.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 19_999.0).sqrt();
        // Five standard errors: 5 / sqrt(20000) of the mean, 5 / sqrt(2 * 20000) of the deviation.
        assert!(mean.abs() < 0.036 && (deviation - 1.0).abs() < 0.025, "{mean} {deviation}");
    }

    #[test]
    fn the_same_numbers_give_the_same_dice_and_others_do_not() {
        assert_eq!(Dice::of(1, &[2, 3]), Dice::of(1, &[2, 3]));
        assert_ne!(Dice::of(1, &[2, 3]), Dice::of(1, &[3, 2]));
        assert_ne!(Dice::of(1, &[2]), Dice::of(2, &[2]));
    }
}
