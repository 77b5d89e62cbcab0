//! Range-checked quantities. Each is a number with a unit that cannot be NaN, infinite or outside its stated range;
//! decoding refuses such a value with a message that names the quantity, the value and the range.

use serde::{Deserialize, Serialize};

/// A number that does not fit its quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct OutOfRange {
    quantity: &'static str,
    value: f64,
    low: f64,
    high: f64,
}

impl std::fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} must be from {} to {}, but is {}", self.quantity, self.low, self.high, self.value)
    }
}

impl std::error::Error for OutOfRange {}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $words:literal, $low:expr, $high:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(try_from = "f64", into = "f64")]
        pub struct $name(f64);

        impl $name {
            /// Smallest value allowed.
            pub const LOW: f64 = $low;
            /// Largest value allowed.
            pub const HIGH: f64 = $high;

            /// Checks the range.
            ///
            /// # Errors
            /// [`OutOfRange`] when the value is not a number, infinite, or outside `LOW..=HIGH`.
            pub fn new(value: f64) -> Result<Self, OutOfRange> {
                if (Self::LOW..=Self::HIGH).contains(&value) {
                    Ok(Self(value))
                } else {
                    Err(OutOfRange { quantity: $words, value, low: Self::LOW, high: Self::HIGH })
                }
            }

            /// The nearest value in range; `None` for a value that is not a number.
            pub fn clamped(value: f64) -> Option<Self> {
                (!value.is_nan()).then(|| Self(value.clamp(Self::LOW, Self::HIGH)))
            }

            /// The plain number.
            pub fn get(self) -> f64 {
                self.0
            }
        }

        impl TryFrom<f64> for $name {
            type Error = OutOfRange;
            fn try_from(value: f64) -> Result<Self, OutOfRange> {
                Self::new(value)
            }
        }

        impl From<$name> for f64 {
            fn from(value: $name) -> f64 {
                value.0
            }
        }
    };
}

quantity!(
    /// Beats per minute.
    Bpm, "tempo (bpm)", 20.0, 300.0
);
quantity!(
    /// A length or position in beats; positions before the first beat are not lengths and use `f64`.
    Beats, "length (beats)", 0.0, 1e6
);
quantity!(
    /// Frequency or rate, in hertz.
    Hertz, "frequency (Hz)", 0.0, 20_000.0
);
quantity!(
    /// Interval in cents (1/1200 octave).
    Cents, "interval (cents)", -12_000.0, 12_000.0
);
quantity!(
    /// Level or level difference in decibels.
    Decibels, "level (dB)", -240.0, 240.0
);
quantity!(
    /// A share or a coefficient from nothing to all.
    Share, "share", 0.0, 1.0
);
quantity!(
    /// A ratio that may exceed one, such as a coefficient of variation.
    Ratio, "ratio", 0.0, 100.0
);
quantity!(
    /// Server time: microseconds of the server's monotonic clock since it started. Fractions are kept, since devices
    /// compute times; the whole range is exact in a double.
    Micros, "server time (µs)", -1e14, 1e14
);

/// A person's or section's name as shown: 1 to 40 characters, no control characters, trimmed.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Name(String);

/// Why a name was refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BadName {
    /// Nothing but white space.
    Empty,
    /// More than 40 characters; carries how many.
    TooLong(usize),
}

impl std::fmt::Display for BadName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            BadName::Empty => write!(f, "the name is empty: type at least one letter"),
            BadName::TooLong(n) => write!(f, "the name has {n} letters: use at most {}", Name::MAX_CHARS),
        }
    }
}

impl std::error::Error for BadName {}

impl Name {
    /// Longest name, in characters.
    pub const MAX_CHARS: usize = 40;

    /// Trims, drops control and direction-changing characters, and checks the length.
    ///
    /// # Errors
    /// [`BadName`] when nothing is left or too much is.
    pub fn new(text: &str) -> Result<Self, BadName> {
        let is_hidden = |c: char| {
            c.is_control()
                || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
        };
        let clean: String = text.chars().filter(|&c| !is_hidden(c)).collect();
        let clean = clean.trim().to_owned();
        match clean.chars().count() {
            0 => Err(BadName::Empty),
            n if n > Self::MAX_CHARS => Err(BadName::TooLong(n)),
            _ => Ok(Self(clean)),
        }
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for Name {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl TryFrom<String> for Name {
    type Error = BadName;
    fn try_from(text: String) -> Result<Self, BadName> {
        Self::new(&text)
    }
}

impl From<Name> for String {
    fn from(name: Name) -> String {
        name.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn out_of_range_numbers_are_refused_by_name() {
        for bad in [19.9, 300.1, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let text = Bpm::new(bad).unwrap_err().to_string();
            assert!(text.starts_with("tempo (bpm) must be from 20 to 300"), "{text}");
        }
        assert_eq!(Bpm::new(66.0).unwrap().get(), 66.0);
    }

    #[test]
    fn decoding_refuses_what_construction_refuses() {
        assert!(serde_json::from_str::<Bpm>("66").is_ok());
        assert!(serde_json::from_str::<Bpm>("0").is_err());
        assert!(serde_json::from_str::<Bpm>("1e999").is_err());
        assert!(serde_json::from_str::<Share>("-0.1").is_err());
    }

    #[test]
    fn names_are_trimmed_and_bounded() {
        assert_eq!(Name::new("  Imogen \u{202e}\n").unwrap().as_str(), "Imogen");
        assert_eq!(Name::new(" \t ").unwrap_err(), BadName::Empty);
        assert_eq!(Name::new(&"x".repeat(41)).unwrap_err(), BadName::TooLong(41));
    }
}
