//! Join codes and other random text. It draws from the system's secure random numbers and knows nothing else.

use rustls::crypto::ring;

/// Signs a join code is made of: capitals and digits that nobody mistakes for another when read from a projector (no
/// 0 O Q D, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V) and no vowels, so that no code is a word.
const CODE_SIGNS: &[u8] = b"CFHJKMNPRTWXY3479";
/// Signs in a join code: 17^6, over 24 million codes.
const CODE_LENGTH: usize = 6;

/// A new join code.
pub(crate) fn new_code() -> String {
    random_text(CODE_SIGNS, CODE_LENGTH)
}

/// What a person typed as a join code, as it is written: capitals, no spaces or dashes.
pub(crate) fn clean_code(typed: &str) -> String {
    typed.chars().filter(|c| c.is_ascii_alphanumeric()).take(32).map(|c| c.to_ascii_uppercase()).collect()
}

/// Text of `length` signs, each equally likely.
pub(crate) fn random_text(signs: &[u8], length: usize) -> String {
    // Bytes from this value up would make the first signs likelier than the others.
    let fair_below = 256 - 256 % signs.len();
    let mut text = String::with_capacity(length);
    let mut bytes = [0u8; 64];
    while text.len() < length {
        ring::default_provider().secure_random.fill(&mut bytes).expect("the system has random numbers");
        let fair = bytes.iter().map(|&b| usize::from(b)).filter(|&b| b < fair_below);
        text.extend(fair.take(length - text.len()).map(|b| char::from(signs[b % signs.len()])));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_have_six_unmistakable_signs() {
        for _ in 0..200 {
            let code = new_code();
            assert_eq!(code.len(), 6);
            assert!(code.bytes().all(|b| CODE_SIGNS.contains(&b)), "{code}");
            assert!(!code.contains(['0', 'O', '1', 'I', 'L', 'A', 'E', 'U']), "{code}");
        }
    }

    #[test]
    fn a_code_is_read_as_people_type_it() {
        assert_eq!(clean_code(" kf3 -m7p "), "KF3M7P");
    }
}
