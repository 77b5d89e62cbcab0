//! What a passphrase must be, and how it is kept. Rules by NIST SP 800-63B (length, no rules of composition, nothing that
//! is guessed first); hashing by OWASP's Password Storage Cheat Sheet. Knows neither pages nor records.

use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use windrow_protocol::phrase::Phrase;

/// Fewest signs: two more than NIST SP 800-63B asks for at least, since nothing else protects the room.
pub(crate) const MIN_SIGNS: usize = 10;
/// Most signs: NIST asks for 64 at least; the hash takes any length, and a form should not bring a book.
pub(crate) const MAX_SIGNS: usize = 200;

/// OWASP Password Storage Cheat Sheet: argon2id with 19 MiB, 2 iterations and 1 lane at least.
const MEMORY_KIB: u32 = 19 * 1024;
const ITERATIONS: u32 = 2;
const LANES: u32 = 1;

/// What people take first when ten signs are asked for, without spaces, signs and figures at the end (from memory of
/// published lists), and what this program and its work suggest.
const GUESSED_FIRST: [&str; 22] = [
    "password",
    "passwort",
    "passphrase",
    "letmein",
    "iloveyou",
    "qwerty",
    "qwertyuiop",
    "qwertzuiop",
    "asdfghjkl",
    "administrator",
    "welcome",
    "sunshine",
    "football",
    "princess",
    "changeme",
    "correcthorsebatterystaple",
    "windrow",
    "vibrato",
    "conductor",
    "rehearsal",
    "woodwinds",
    "orchestra",
];

/// Why a passphrase cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unfit {
    /// With the signs it has.
    TooShort(usize),
    /// With the signs it has.
    TooLong(usize),
    GuessedFirst,
    Section,
    Code,
    Differ,
}

impl Unfit {
    /// What is wrong, and what to do.
    pub(crate) fn phrase(self) -> Phrase {
        match self {
            Self::TooShort(n) => Phrase::of("unfit-too-short").with("n", n).with("least", MIN_SIGNS),
            Self::TooLong(n) => Phrase::of("unfit-too-long").with("n", n).with("most", MAX_SIGNS),
            Self::GuessedFirst => Phrase::of("unfit-guessed-first"),
            Self::Section => Phrase::of("unfit-section"),
            Self::Code => Phrase::of("unfit-code"),
            Self::Differ => Phrase::of("unfit-differ"),
        }
    }
}

/// Whether a new passphrase may be taken. `code` is the room's join code, or empty where there is none.
pub(crate) fn check(new: &str, again: &str, section: &str, code: &str) -> Result<(), Unfit> {
    let n_signs = new.chars().count();
    let plain = letters_and_figures(new);
    let words = plain.trim_end_matches(|c: char| c.is_ascii_digit());
    match () {
        () if n_signs < MIN_SIGNS => Err(Unfit::TooShort(n_signs)),
        () if n_signs > MAX_SIGNS => Err(Unfit::TooLong(n_signs)),
        () if is_pattern(new) || GUESSED_FIRST.contains(&words) => Err(Unfit::GuessedFirst),
        () if !words.is_empty()
            && [plain.as_str(), words].contains(&letters_and_figures(section).as_str()) =>
        {
            Err(Unfit::Section)
        }
        () if !code.is_empty() && plain.contains(&code.to_lowercase()) => Err(Unfit::Code),
        () if new != again => Err(Unfit::Differ),
        () => Ok(()),
    }
}

fn letters_and_figures(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Few different signs, or each the neighbour of the one before, as in the alphabet or the keyboard's row of figures, which
/// goes round from 9 to 0.
fn is_pattern(text: &str) -> bool {
    let signs: Vec<char> = text.to_lowercase().chars().collect();
    let mut different = signs.clone();
    different.sort_unstable();
    different.dedup();
    let steps = |by: i64| {
        signs.windows(2).all(|pair| {
            let step = i64::from(u32::from(pair[1])) - i64::from(u32::from(pair[0]));
            let are_figures = pair.iter().all(char::is_ascii_digit);
            step == by || are_figures && step.rem_euclid(10) == by.rem_euclid(10)
        })
    };
    different.len() < 5 || steps(1) || steps(-1)
}

/// The hash as it is kept. Takes tens of milliseconds: never on a thread that serves.
pub(crate) fn hash(passphrase: &str) -> Result<String, argon2::password_hash::Error> {
    Ok(argon2().hash_password(passphrase.as_bytes())?.to_string())
}

/// Whether this is the passphrase. As long as [`hash`], right or wrong.
pub(crate) fn is_right(passphrase: &str, kept: &str) -> bool {
    passphrase.chars().count() <= MAX_SIGNS && argon2().verify_password(passphrase.as_bytes(), kept).is_ok()
}

fn argon2() -> Argon2<'static> {
    let params =
        Params::new(MEMORY_KIB, ITERATIONS, LANES, None).expect("the parameters are within argon2's range");
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn verdict(new: &str) -> Result<(), Unfit> {
        check(new, new, "Larkmoor Youth Winds", "KF3M7P")
    }

    #[test]
    fn ten_signs_of_any_kind_are_enough() {
        for good in ["reed water 4", "          x y z w", "ŵỳẃẅêîôûâÿ", "сорок гусей", "🎷🪈🎺🎵🎶🎼🎤🎧🥁🪕"]
        {
            assert_eq!(verdict(good), Ok(()), "{good}");
        }
        assert_eq!(verdict(&"ab cd ef g".repeat(20)), Ok(()));
    }

    #[test]
    fn each_refusal_has_its_reason() {
        for (bad, unfit) in [
            ("", Unfit::TooShort(0)),
            ("nine sign", Unfit::TooShort(9)),
            ("🎷🪈🎺🎵🎶🎼🎤🎧🥁", Unfit::TooShort(9)),
            ("1234567890", Unfit::GuessedFirst),
            ("abcdefghijkl", Unfit::GuessedFirst),
            ("0987654321", Unfit::GuessedFirst),
            ("aaaaaaaaaaaa", Unfit::GuessedFirst),
            ("Password 123", Unfit::GuessedFirst),
            ("Windrow-2026!", Unfit::GuessedFirst),
            ("larkmoor youth winds", Unfit::Section),
            ("LarkmoorYouthWinds7", Unfit::Section),
            ("the kf3m7p code", Unfit::Code),
        ] {
            assert_eq!(verdict(bad), Err(unfit), "{bad}");
        }
        let long = "ab cd ef g".repeat(20) + "h";
        assert_eq!(verdict(&long), Err(Unfit::TooLong(201)));
        assert_eq!(check("reed water 4", "reed water 5", "", ""), Err(Unfit::Differ));
    }

    /// OWASP Password Storage Cheat Sheet, "Argon2id": m=19456 (19 MiB), t=2, p=1 is among the settings it lists.
    #[test]
    fn the_hash_is_what_owasp_asks_for_and_salted() {
        let first = hash("reed water 4").unwrap();
        assert!(first.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{first}");
        assert_ne!(first, hash("reed water 4").unwrap(), "each has a salt of its own");
        assert!(is_right("reed water 4", &first));
        assert!(!is_right("reed water 5", &first));
        assert!(!is_right("reed water 4", "not a hash"));
    }

    /// RFC 9106, section 5.3: the test vector of argon2id, with its secret and associated data.
    #[test]
    fn the_library_computes_argon2id() {
        let params = argon2::ParamsBuilder::new()
            .m_cost(32)
            .t_cost(3)
            .p_cost(4)
            .data(argon2::AssociatedData::new(&[4; 12]).unwrap())
            .build()
            .unwrap();
        let argon2 = Argon2::new_with_secret(&[3; 8], Algorithm::Argon2id, Version::V0x13, params).unwrap();
        let mut tag = [0; 32];
        argon2.hash_password_into(&[1; 32], &[2; 16], &mut tag).unwrap();
        assert_eq!(
            tag,
            [
                0x0d, 0x64, 0x0d, 0xf5, 0x8d, 0x78, 0x76, 0x6c, 0x08, 0xc0, 0x37, 0xa3, 0x4a, 0x8b, 0x53,
                0xc9, 0xd0, 0x1e, 0xf0, 0x45, 0x2d, 0x75, 0xb6, 0x5e, 0xb5, 0x25, 0x20, 0xe9, 0x6b, 0x01,
                0xe6, 0x59,
            ]
        );
    }
}
