//! What stands over a staff: small notes for pulses, a line for a straight tone, a wave for a free one, and the way into vibrato
//! and out again. Knows where ticks lie from left to right, no staff.

use super::ink::{Ink, short};
use super::letters::width_em;
use super::line::{Drawn, Over, Phase, TICKS_PER_BEAT};
use super::signs::{FULL_HEAD, TUPLET_3, TUPLET_5, TUPLET_6};
use crate::plan::PulseValue;
use windrow_protocol::score::Target;

/// Size of a pulse's note beside a played one. Our own choice.
const SCALE: f64 = 0.56;
const HEAD_WIDTH: f64 = 12.2 * SCALE;
const STEM: f64 = 20.0;
/// From one pulse to the next where they stand close.
pub(super) const PULSE_WIDTH: f64 = 9.2;
const BEAM: f64 = 3.0;
const BEAM_STEP: f64 = 4.8;
/// Height of the small notes, with a figure over their beam and without.
const PLAIN_HEIGHT: f64 = STEM + 6.0;
const FIGURE_HEIGHT: f64 = 10.0;
/// The wave of a free vibrato: its length and half of its height. Our own choice.
const WAVE: (f64, f64) = (9.0, 2.6);
/// The wave of easing: half of its height, its words' size.
const EASE_HALF: f64 = 8.0;
const WORD_SIZE: f64 = 15.0;
/// Cycles a beat of a free vibrato on the way in and out. Our own choice; the picture keeps no measure.
const FREE_PER_BEAT: f64 = 3.0;

/// Pulses in a beat, where they are measured.
pub(super) fn per_beat(value: PulseValue) -> Option<u32> {
    match value.target() {
        Target::Pulses { per_beat } => Some(per_beat.get().into()),
        _ => None,
    }
}

/// Where ticks lie from left to right in a row; of a tick that is not in the row, the nearer end.
pub(super) trait Across {
    fn x(&self, tick: f64) -> f64;
    /// First and last tick of the row.
    fn ticks(&self) -> (u32, u32);
}

/// The part of a stretch that lies in the row.
fn within(across: &impl Across, from: u32, to: u32) -> Option<(u32, u32)> {
    let (first, last) = across.ticks();
    let (from, to) = (from.max(first), to.min(last));
    (from < to).then_some((from, to))
}

/// Draws all of it over `bottom`, the height that is free, and says how high it reaches.
pub(super) fn draw(ink: &mut Ink, across: &impl Across, over: &[Over], phases: &[Phase], bottom: f64) {
    let middle = bottom - 4.0;
    for stretch in over {
        let Some((from, to)) = within(across, stretch.from, stretch.to) else { continue };
        // A sign that stands once does so where its tone begins.
        if stretch.drawn == Drawn::Once && from > stretch.from && per_beat(stretch.value).is_some() {
            continue;
        }
        let (left, right) = (across.x(from.into()) - 4.0, across.x(to.into()) - 6.0);
        match (per_beat(stretch.value), stretch.value) {
            (Some(n), _) => {
                let n_beats = match stretch.drawn {
                    Drawn::EveryBeat => (to - from).div_ceil(TICKS_PER_BEAT),
                    Drawn::Once => 1,
                };
                for beat in 0..n_beats {
                    let begin = from + beat * TICKS_PER_BEAT;
                    let ticks = f64::from((to - begin).min(TICKS_PER_BEAT));
                    let n_here = (f64::from(n) * ticks / f64::from(TICKS_PER_BEAT)).ceil() as u32;
                    let at = |i: u32| match stretch.drawn {
                        Drawn::Once => across.x(begin.into()) + f64::from(i) * PULSE_WIDTH,
                        Drawn::EveryBeat => {
                            let step = f64::from(TICKS_PER_BEAT) / f64::from(n);
                            across.x(f64::from(begin) + f64::from(i) * step)
                        }
                    };
                    let heads: Vec<f64> = (0..n_here).map(at).collect();
                    group(ink, &heads, n, middle);
                }
            }
            (None, PulseValue::Free) => wave(ink, left, right, middle),
            (None, _) => {
                ink.stroke(&format!("M{} {}H{}", short(left), short(middle), short(right)), 1.4);
                ink.reach(middle - 4.0, bottom);
            }
        }
    }
    if !phases.is_empty() {
        ease(ink, across, phases, bottom);
    }
}

/// The pulses of a beat, or of what there is of it, with beams and figure.
fn group(ink: &mut Ink, heads: &[f64], per_beat: u32, y: f64) {
    let (Some(&first), Some(&last)) = (heads.first(), heads.last()) else { return };
    let stem_x = |x: f64| x + HEAD_WIDTH / 2.0 - 1.0;
    let top = y - STEM;
    for &x in heads {
        // The head's middle lies half a space over its own nought.
        ink.scaled(FULL_HEAD, x - HEAD_WIDTH / 2.0, y + 5.0 * SCALE, SCALE);
        ink.block(stem_x(x), top, 1.0, STEM - 1.0);
    }
    let n_beams = match per_beat {
        1 => 0,
        2 | 3 => 1,
        4..=7 => 2,
        _ => 3,
    };
    // A pulse that is left alone of its group gets a short beam, so that it can be told from a quarter.
    let right = if heads.len() > 1 { stem_x(last) + 1.0 } else { stem_x(first) + 7.0 };
    for i in 0..n_beams {
        ink.block(stem_x(first), top + f64::from(i) * BEAM_STEP, right - stem_x(first), BEAM);
    }
    let figure = match per_beat {
        3 => Some(TUPLET_3),
        5 => Some(TUPLET_5),
        6 => Some(TUPLET_6),
        _ => None,
    };
    if let Some(figure) = figure {
        ink.sign(figure, (stem_x(first) + right - figure.width) / 2.0, top - 2.0);
        ink.reach(y - PLAIN_HEIGHT - FIGURE_HEIGHT, y);
    }
    ink.reach(y - PLAIN_HEIGHT, y);
}

fn wave(ink: &mut Ink, left: f64, right: f64, y: f64) {
    let (length, half) = WAVE;
    let n_halves = (((right - left) / length * 2.0).round() as u32).max(2);
    let step = (right - left) / f64::from(n_halves);
    let mut path = format!("M{} {}", short(left), short(y));
    for i in 0..n_halves {
        let x = left + f64::from(i) * step;
        // The arch of a quadratic curve is half as high as its handle.
        let handle = if i % 2 == 0 { y - 2.0 * half } else { y + 2.0 * half };
        path.push_str(&format!(
            "Q{} {} {} {}",
            short(x + step / 2.0),
            short(handle),
            short(x + step),
            short(y)
        ));
    }
    ink.stroke(&path, 1.4);
    ink.reach(y - half - 4.0, y + 4.0);
}

/// The way into vibrato and out again as the wave that it makes, peaks on the ticks, with its parts named.
fn ease(ink: &mut Ink, across: &impl Across, phases: &[Phase], bottom: f64) {
    let middle = bottom - EASE_HALF - 2.0;
    let words_y = middle - EASE_HALF - 6.0;
    let mut path = String::new();
    for phase in phases {
        let Some((from, to)) = within(across, phase.from, phase.to) else { continue };
        let per_beat = per_beat(phase.value).map_or(FREE_PER_BEAT, f64::from);
        // Twelve points a cycle look round.
        let n_points = (f64::from(to - from) / f64::from(TICKS_PER_BEAT) * per_beat * 12.0).ceil();
        let is_straight = phase.share == (0.0, 0.0);
        let n_points = if is_straight { 1.0 } else { n_points.max(2.0) };
        let mut i = 0.0;
        while i <= n_points {
            let tick = f64::from(from) + f64::from(to - from) * i / n_points;
            let along = (tick - f64::from(phase.from)) / f64::from(phase.to - phase.from);
            let share = phase.share.0 + (phase.share.1 - phase.share.0) * along;
            let angle = std::f64::consts::TAU * (tick / f64::from(TICKS_PER_BEAT)) * per_beat;
            let y = middle - EASE_HALF * share * angle.cos();
            let verb = if path.is_empty() { 'M' } else { 'L' };
            path.push_str(&format!("{verb}{} {}", short(across.x(tick)), short(y)));
            i += 1.0;
        }
        let (left, right) = (across.x(from.into()), across.x(to.into()));
        if from > phase.from || from > across.ticks().0 {
            ink.stroke(&format!("M{} {}v7", short(left), short(words_y - 2.0)), 0.8);
        }
        // A word without room is left out; the words beside the picture have it as well.
        if width_em(&phase.word) * WORD_SIZE < right - left - 4.0 && from == phase.from {
            ink.words(&phase.word, (left + right) / 2.0, words_y, WORD_SIZE);
        }
    }
    if !path.is_empty() {
        ink.stroke(&path, 1.3);
        ink.reach(words_y - WORD_SIZE, bottom);
    }
}
