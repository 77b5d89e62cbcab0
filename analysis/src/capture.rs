//! What the way from the microphone to the samples does to a sound: clips it, cuts it off at a speech band, turns its
//! level up and down. It hears samples and is told whether a tone sounds; it knows no notes, and no verdict rests here.
//!
//! Three watchers, each of one trace that such a path leaves and a player does not: `clipping`, `band` and `riding`. A
//! trace that a player or a room could leave as well is not counted.

mod band;
mod clipping;
mod riding;

use band::BandWatch;
use clipping::ClipWatch;
use riding::RidingWatch;

/// Length of a block, the step in which levels are compared.
const BLOCK_S: f64 = 0.05;
/// Blocks from one look at the spectrum to the next.
const BLOCKS_PER_LOOK: usize = 5;
/// Share of clipped samples from which levels are no longer the player's: a fifth of the samples of a clipped tone lie on
/// its ceiling, so this is a hundredth of the time (our own choice).
const CLIPPED_FROM: f64 = 0.002;

/// What is known of the microphone's path at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Capture {
    /// Share of the last five seconds' samples that lie on a flat top, 0 to 1.
    pub clipped_share: f64,
    /// Where the sound ends like a wall, Hz: 4,000 or 8,000 as of a wireless headset, or half the sample rate where that
    /// is 16,000 or less; `None` for a sound without such an end, and where it cannot be told.
    pub band_hz: Option<f64>,
    /// Whether the level is turned up in pauses and down again in tones.
    pub gain_riding: bool,
}

impl Capture {
    /// Whether enough is clipped to hear it.
    pub fn clips(&self) -> bool {
        self.clipped_share >= CLIPPED_FROM
    }

    /// Whether levels are not the player's own, so that depth must not be judged.
    pub fn changes_levels(&self) -> bool {
        self.clips() || self.gain_riding
    }
}

/// Watches the samples as they come in.
pub(crate) struct CaptureWatch {
    /// The samples between two looks at the spectrum, as far as they have come.
    samples: Vec<f32>,
    filled: usize,
    block: usize,
    clipping: ClipWatch,
    band: BandWatch,
    riding: RidingWatch,
}

impl CaptureWatch {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        let block = (BLOCK_S * sample_rate_hz).round() as usize;
        Self {
            samples: vec![0.0; BLOCKS_PER_LOOK * block],
            filled: 0,
            block,
            clipping: ClipWatch::new(block),
            band: BandWatch::new(sample_rate_hz, BLOCKS_PER_LOOK * block),
            riding: RidingWatch::new(),
        }
    }

    /// Takes a sample. True at the end of a block: [`CaptureWatch::end_block`] must follow.
    #[inline]
    pub(crate) fn push(&mut self, sample: f32) -> bool {
        self.samples[self.filled] = sample;
        self.filled += 1;
        self.filled % self.block == 0
    }

    /// Looks at the block that has just ended; `sounds` says whether a tone sounded in it.
    pub(crate) fn end_block(&mut self, sounds: bool) {
        let block = &self.samples[self.filled - self.block..self.filled];
        self.clipping.look(block);
        self.riding.look(block, sounds);
        if self.filled == self.samples.len() {
            self.band.look(&self.samples);
            self.filled = 0;
        }
    }

    pub(crate) fn capture(&self) -> Capture {
        Capture {
            clipped_share: self.clipping.share(),
            band_hz: self.band.band_hz(),
            gain_riding: self.riding.is_riding(),
        }
    }
}
