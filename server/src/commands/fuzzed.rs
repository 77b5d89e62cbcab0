//! A sound file from bytes that may be anything; see [`crate::fuzzing`].

use super::sound_file::SoundFile;
use std::io::Cursor;
use windrow_analysis::{Analyser, Config};

/// Most blocks and samples that are heard of one file: a few bytes may hold minutes of silence.
const MAX_BLOCKS: usize = 64;
const MAX_HEARD: usize = 24_000;

/// A sound file: opened, decoded, heard.
pub(crate) fn sound(bytes: &[u8]) {
    let Ok(mut file) = SoundFile::of(Box::new(Cursor::new(bytes.to_vec()))) else { return };
    let sample_rate_hz = f64::from(file.sample_rate_hz());
    assert!(sample_rate_hz > 0.0);
    let mut analyser = Analyser::new(Config { sample_rate_hz, a4_hz: 440.0, expected_midi: None }).ok();
    let mut n_heard = 0;
    for _ in 0..MAX_BLOCKS {
        let Ok(Some(block)) = file.next_block() else { return };
        if let Some(analyser) = analyser.as_mut().filter(|_| n_heard < MAX_HEARD) {
            let block = &block[..block.len().min(MAX_HEARD)];
            n_heard += block.len();
            let heard = analyser.push(block);
            assert!(
                heard.readings.iter().all(|reading| reading.level_db.is_finite()),
                "a level without a number"
            );
        }
    }
}
