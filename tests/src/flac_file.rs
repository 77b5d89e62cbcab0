//! Writes FLAC files for tests, by hand and without compressing: so that what the program reads was not written by the
//! crate it reads with. The layout is that of RFC 9639.

use std::path::Path;

/// Samples in a frame.
const FRAME: usize = 4096;

/// Writes mono samples (full scale ±1) as a FLAC file of 16 bits.
///
/// # Panics
/// When the file cannot be written: no test can go on then.
pub fn write_flac(path: &Path, sample_rate_hz: u32, samples: &[f32]) {
    let mut bytes = b"fLaC".to_vec();
    // Section 8.2, the only metadata block: last of its kind, type 0, 34 bytes. Frame sizes and checksum may be nought.
    bytes.extend([0x80, 0, 0, 34]);
    bytes.extend((FRAME as u16).to_be_bytes().repeat(2));
    bytes.extend([0; 6]);
    // 20 bits of rate, 3 of channels less one, 5 of width less one, 36 of length.
    let info = u64::from(sample_rate_hz) << 44 | 15 << 36 | samples.len() as u64;
    bytes.extend(info.to_be_bytes());
    bytes.extend([0; 16]);
    for (number, block) in samples.chunks(FRAME).enumerate() {
        bytes.extend(frame(number as u32, block));
    }
    std::fs::write(path, bytes).unwrap_or_else(|e| panic!("{} cannot be written: {e}", path.display()));
}

/// Section 9: header, one verbatim subframe, checksum.
fn frame(number: u32, block: &[f32]) -> Vec<u8> {
    // Sync code; length at the end of the header, rate as in the stream; one channel of 16 bits.
    let mut bytes = vec![0xff, 0xf8, 0x70, 0x08];
    // The number is written as UTF-8 writes a character, which ends before the surrogates here.
    let number = char::from_u32(number).expect("a test's file has fewer than 55,000 frames");
    bytes.extend(number.encode_utf8(&mut [0; 4]).bytes());
    bytes.extend(((block.len() - 1) as u16).to_be_bytes());
    bytes.push(checksum(&bytes, 0x07 << 8, 8) as u8);
    bytes.push(0x02);
    for sample in block {
        bytes.extend(((f64::from(*sample) * 32_767.0).round() as i16).to_be_bytes());
    }
    let sum = checksum(&bytes, 0x8005, 16);
    bytes.extend(sum.to_be_bytes());
    bytes
}

/// Cyclic redundancy check of `width` bits; the polynomial stands in the upper bits.
fn checksum(bytes: &[u8], polynomial: u16, width: u32) -> u16 {
    let sum = bytes.iter().fold(0u16, |sum, byte| {
        (0..8).fold(sum ^ u16::from(*byte) << 8, |sum, _| {
            if sum & 0x8000 == 0 { sum << 1 } else { sum << 1 ^ polynomial }
        })
    });
    sum >> (16 - width)
}

#[cfg(test)]
mod tests {
    use super::checksum;

    #[test]
    fn checksums_have_their_published_check_values() {
        // Of the digits 1 to 9: CRC-8 (polynomial 07) F4, CRC-16/UMTS (8005, not reflected) FEE8.
        assert_eq!(checksum(b"123456789", 0x0700, 8), 0xf4);
        assert_eq!(checksum(b"123456789", 0x8005, 16), 0xfee8);
    }
}
