//! Writes WAV files for tests, by hand: so that what the program reads was not written by the crate it reads with.

use std::path::Path;

/// How a sample is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// Whole numbers of 16 bits.
    Int16,
    /// Whole numbers of 24 bits.
    Int24,
    /// Single precision.
    Float32,
}

/// Writes samples (full scale ±1, the channels' samples of one moment side by side) as a WAV file.
///
/// # Panics
/// When the file cannot be written: no test can go on then.
pub fn write_wave(path: &Path, sample_rate_hz: u32, n_channels: u16, encoding: Encoding, samples: &[f32]) {
    let (format, bits): (u16, u16) = match encoding {
        Encoding::Int16 => (1, 16),
        Encoding::Int24 => (1, 24),
        Encoding::Float32 => (3, 32),
    };
    let block_bytes = n_channels * bits / 8;
    let data_bytes = samples.len() as u32 * u32::from(bits / 8);
    let mut bytes = Vec::with_capacity(44 + data_bytes as usize);
    // As the format's specification has it: RIFF, a format chunk, a data chunk.
    bytes.extend(b"RIFF");
    bytes.extend((36 + data_bytes).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16u32.to_le_bytes());
    bytes.extend(format.to_le_bytes());
    bytes.extend(n_channels.to_le_bytes());
    bytes.extend(sample_rate_hz.to_le_bytes());
    bytes.extend((sample_rate_hz * u32::from(block_bytes)).to_le_bytes());
    bytes.extend(block_bytes.to_le_bytes());
    bytes.extend(bits.to_le_bytes());
    bytes.extend(b"data");
    bytes.extend(data_bytes.to_le_bytes());
    for &sample in samples {
        match encoding {
            Encoding::Int16 => bytes.extend(((f64::from(sample) * 32_767.0).round() as i16).to_le_bytes()),
            Encoding::Int24 => {
                let whole = (f64::from(sample) * 8_388_607.0).round() as i32;
                bytes.extend(&whole.to_le_bytes()[..3]);
            }
            Encoding::Float32 => bytes.extend(sample.to_le_bytes()),
        }
    }
    std::fs::write(path, bytes).unwrap_or_else(|e| panic!("{} cannot be written: {e}", path.display()));
}
