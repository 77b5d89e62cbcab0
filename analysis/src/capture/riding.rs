//! A gain that rides: turned up while nobody plays, down again while somebody does. Knows the level of each block and
//! whether a tone sounded in it.
//!
//! The evidence is in the pauses, where a player changes nothing: the background creeps up after a tone and is down again after
//! the next one. It must creep as a control does (evenly, soonest first, all frequencies alike), so that neither the
//! breath before an entry, nor talk, nor others who begin to play, nor the room's echo, which falls, is taken for it. A
//! tone's own level says nothing: a control that turns it down looks like a decrescendo.

use crate::framing::dot;

/// Blocks of a pause that are kept: ten seconds; by then a control has settled.
const KEPT: usize = 200;
/// Blocks of a pause that are not looked at: its first, in which the tone's echo dies away (on to where the background is
/// lowest, within this share of the pause), and its last, in which the player breathes in.
const ECHO: usize = 3;
const ECHO_SHARE: f32 = 0.4;
const BREATH: usize = 10;
/// Fewest blocks looked at: 0.6 s.
const SHORTEST: usize = 12;
/// Blocks whose mean is a level at one moment: 0.15 s.
const MOMENT: usize = 3;
/// How far the background creeps up at least, dB, and how far down it is after the next tone.
const RISE_DB: f32 = 4.0;
const FALL_DB: f32 = 3.5;
/// A rise of less than this is none: the gain stood still, dB.
const STILL_DB: f32 = 2.0;
/// Unevenness from block to block that noise may have, dB (standard deviation).
const ROUGHNESS_DB: f32 = 2.5;
/// Share of the rise that may come at once: more is somebody who begins.
const STEP_SHARE: f32 = 0.6;
/// Share of the rise that the first quarter of the pause brings at least.
const FIRST_SHARE: f32 = 0.15;
/// A change of colour by more is another sound, dB.
const COLOUR_DB: f32 = 2.0;
/// Background whose slope is below this is no room's, dB re full scale: rounding to 16 bits has -98.
const BACKGROUND_MIN_DB: f32 = -92.0;
/// Pauses that must say so.
const EVIDENCE: u32 = 2;
/// Most that is remembered, so that a control that is switched off is forgotten after a few still pauses.
const EVIDENCE_MAX: u32 = 3;

/// Level of a block's slope, which wavers less than its own, since a room's noise is mostly bass; and how bright the block
/// is: level of the slope re its own, dB.
type Block = (f32, f32);

/// Watches the background in pauses.
pub(super) struct RidingWatch {
    pause: Vec<Block>,
    sounded: bool,
    /// Background at the end of the last pause looked at, dB.
    last_end_db: Option<f32>,
    n_evidence: u32,
}

impl RidingWatch {
    pub(super) fn new() -> Self {
        Self { pause: Vec::with_capacity(KEPT), sounded: false, last_end_db: None, n_evidence: 0 }
    }

    pub(super) fn is_riding(&self) -> bool {
        self.n_evidence >= EVIDENCE
    }

    pub(super) fn look(&mut self, block: &[f32], sounds: bool) {
        if sounds {
            // What was before the first tone is no pause between tones, but its end is known.
            self.end_pause();
            self.pause.clear();
            self.sounded = true;
        } else if self.pause.len() < KEPT {
            self.pause.push(level_and_colour(block));
        }
    }

    fn end_pause(&mut self) {
        let n = self.pause.len();
        if n < ECHO + SHORTEST + BREATH {
            return;
        }
        let heard = &self.pause[ECHO..n - BREATH];
        let moment_db = |i: usize| mean(&heard[i..][..MOMENT]).0;
        let last = ((ECHO_SHARE * heard.len() as f32) as usize).min(heard.len() - SHORTEST);
        let lowest = (0..=last).min_by(|&a, &b| moment_db(a).total_cmp(&moment_db(b))).unwrap_or(0);
        let heard = &heard[lowest..];
        let start_db = mean(&heard[..MOMENT]).0;
        let end_db = mean(&heard[heard.len() - MOMENT..]).0;
        let is_down = self.last_end_db.is_some_and(|before| before - start_db >= FALL_DB);
        if self.sounded && is_down && creeps(heard) {
            self.n_evidence = (self.n_evidence + 1).min(EVIDENCE_MAX);
        } else if end_db - start_db < STILL_DB {
            self.n_evidence = self.n_evidence.saturating_sub(1);
        }
        self.last_end_db = Some(end_db);
    }
}

/// Whether a pause's background creeps up as a gain control makes it.
fn creeps(heard: &[Block]) -> bool {
    let quarter = heard.len() / 4;
    let quarters: [Block; 4] = std::array::from_fn(|i| mean(&heard[i * quarter..][..quarter]));
    let (start, end) = (mean(&heard[..MOMENT]), quarters[3]);
    let rise_db = end.0 - start.0;
    let never_falls = quarters.windows(2).all(|q| q[1].0 > q[0].0 - 0.5);
    let first_db = quarters[1].0 - quarters[0].0;
    let soonest_first =
        first_db >= quarters[3].0 - quarters[2].0 - 1.0 && quarters[1].0 - start.0 >= FIRST_SHARE * rise_db;
    let at_once = (0..=heard.len() - 2 * MOMENT)
        .map(|i| mean(&heard[i + MOMENT..][..MOMENT]).0 - mean(&heard[i..][..MOMENT]).0)
        .fold(0f32, f32::max);
    let steps = heard.windows(2).map(|w| (w[1].0 - w[0].0).powi(2)).sum::<f32>() / (heard.len() - 1) as f32;
    rise_db >= RISE_DB
        && never_falls
        && soonest_first
        && at_once <= STEP_SHARE * rise_db
        && steps.sqrt() < ROUGHNESS_DB
        && (end.1 - quarters[0].1).abs() < COLOUR_DB
        && start.0 > BACKGROUND_MIN_DB
}

fn mean(blocks: &[Block]) -> Block {
    let n = blocks.len() as f32;
    let sum = blocks.iter().fold((0.0, 0.0), |sum, block| (sum.0 + block.0, sum.1 + block.1));
    (sum.0 / n, sum.1 / n)
}

fn level_and_colour(block: &[f32]) -> Block {
    const LANES: usize = 8;
    let mut lanes = [0f32; LANES];
    for (later, sooner) in block[1..].chunks(LANES).zip(block.chunks(LANES)) {
        for ((lane, a), b) in lanes.iter_mut().zip(later).zip(sooner) {
            *lane += (a - b) * (a - b);
        }
    }
    let n = block.len() as f32;
    let slope = lanes.iter().sum::<f32>() / n + 1e-14;
    let power = dot(block, block) / n + 1e-14;
    (10.0 * slope.log10(), 10.0 * (slope / power).log10())
}
