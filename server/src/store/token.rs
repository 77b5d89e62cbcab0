//! How tokens are kept, of devices, sign-ins and links: as a hash, so that who reads the records cannot make the token from
//! it. Nobody has to compare in constant time, since what is looked up is not what was sent.

use crate::hex::hex;
use sha2::{Digest, Sha256};

/// SHA-256 of a token, hex. A token is random and 130 bits long or longer, so neither salt nor a slow hash would add anything.
pub fn token_sha256(token: &str) -> String {
    hex(&Sha256::digest(token.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_are_those_of_the_standard() {
        // FIPS 180-4's example: "abc".
        assert_eq!(token_sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
