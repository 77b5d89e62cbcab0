//! Bytes as text, and back.

use std::fmt::Write;

/// Two small signs for each byte.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        write!(text, "{byte:02x}").expect("writing to a string cannot fail");
        text
    })
}

/// The bytes of such a text; `None` where it is none.
pub(crate) fn unhex(text: &str) -> Option<Vec<u8>> {
    let sign = |sign: u8| char::from(sign).to_digit(16).and_then(|digit| u8::try_from(digit).ok());
    let byte = |pair: &[u8]| match pair {
        [high, low] => Some(sign(*high)? << 4 | sign(*low)?),
        _ => None,
    };
    text.as_bytes().chunks(2).map(byte).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_come_back_from_their_text() {
        let bytes: Vec<u8> = (0..=255).collect();
        assert_eq!(unhex(&hex(&bytes)), Some(bytes));
        for bad in ["0", "0g", "\u{e9}0", "+1"] {
            assert_eq!(unhex(bad), None, "{bad}");
        }
    }
}
