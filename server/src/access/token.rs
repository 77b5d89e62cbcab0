//! Secrets drawn by chance. Knows nothing of what they open.

use crate::hex::hex;
use rustls::crypto::ring;

/// Bytes of a token: OWASP's Session Management Cheat Sheet asks for 64 bits of chance at least.
const BYTES: usize = 32;

/// A new token, as 64 signs that an address and a cookie take as they are.
pub(crate) fn new_token() -> String {
    let mut bytes = [0u8; BYTES];
    ring::default_provider().secure_random.fill(&mut bytes).expect("the system has random numbers");
    hex(&bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn tokens_have_256_bits_and_never_repeat() {
        let tokens: HashSet<String> = (0..200).map(|_| new_token()).collect();
        assert_eq!(tokens.len(), 200);
        assert!(tokens.iter().all(|t| t.len() == 64 && t.bytes().all(|b| b.is_ascii_hexdigit())));
    }
}
