//! A line cut at its bar lines into notes that can be written: each a plain or dotted length, tied on where one does not do,
//! with the accidentals that its bar needs. Pure; knows no pictures.

use super::line::{Line, TICKS_PER_BEAT};
use super::staff::Pitch;

/// A bar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bar {
    pub(super) from: u32,
    pub(super) to: u32,
    pub(super) signs: Vec<Written>,
}

/// A note or a rest as it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Written {
    pub(super) from: u32,
    pub(super) length: Length,
    pub(super) pitch: Option<Pitch>,
    /// What stands before it: -1 flat, 0 natural, 1 sharp.
    pub(super) accidental: Option<i32>,
    /// Tied to the next one.
    pub(super) tied: bool,
    /// The first of its tone.
    pub(super) begins: bool,
    /// A rest for the whole bar, which looks the same in every metre.
    pub(super) is_bar_rest: bool,
}

/// A length that one sign can have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Length {
    /// Without its dot: 1 a thirty-second, 8 a quarter, 32 a whole.
    pub(super) plain: u32,
    pub(super) dotted: bool,
}

impl Length {
    /// The longest that fits into so many ticks.
    fn within(ticks: u32) -> Self {
        let plain = [32, 16, 8, 4, 2, 1].into_iter().find(|&plain| plain <= ticks).unwrap_or(1);
        // A dot needs half of a length that is drawn.
        Self { plain, dotted: plain > 1 && plain + plain / 2 <= ticks }
    }

    pub(super) fn ticks(self) -> u32 {
        if self.dotted { self.plain + self.plain / 2 } else { self.plain }
    }
}

/// Cuts a line into bars; the last is filled with rests unless the line goes on.
pub(super) fn bars(line: &Line) -> Vec<Bar> {
    let bar_ticks = line.bar_ticks();
    let end = line.end().next_multiple_of(bar_ticks);
    let mut bars: Vec<Bar> = (0..end / bar_ticks)
        .map(|i| Bar { from: i * bar_ticks, to: (i + 1) * bar_ticks, signs: Vec::new() })
        .collect();
    let rest = (line.end() < end).then_some((line.end(), end, None, false));
    let tones = line.tones.iter().map(|tone| (tone.from, tone.from + tone.ticks, tone.pitch, tone.tied));
    for (from, to, pitch, tied) in tones.chain(rest) {
        let mut at = from;
        while at < to {
            let bar = &mut bars[(at / bar_ticks) as usize];
            let within = to.min(bar.to);
            let is_bar_rest = pitch.is_none() && at == bar.from && within == bar.to;
            let length = if is_bar_rest {
                Length { plain: 32, dotted: false }
            } else {
                fitting(at - bar.from, within - at, pitch.is_some())
            };
            let next = if is_bar_rest { within } else { at + length.ticks() };
            bar.signs.push(Written {
                from: at,
                length,
                pitch,
                accidental: None,
                tied: pitch.is_some() && (next < to || tied),
                begins: at == from,
                is_bar_rest,
            });
            at = next;
        }
    }
    add_accidentals(&mut bars);
    bars
}

/// The sign to write at a place of a bar: as long as can be, but so that the beats can be seen.
fn fitting(at: u32, left: u32, sounds: bool) -> Length {
    let into_beat = at % TICKS_PER_BEAT;
    let to_beat = TICKS_PER_BEAT - into_beat;
    if !sounds {
        // A rest begins where a row of its kind would have one, and has no dot.
        let plain = [32, 16, 8, 4, 2, 1].into_iter().find(|&n| n <= left && at.is_multiple_of(n));
        return Length { plain: plain.unwrap_or(1), dotted: false };
    }
    // Two wholes read better than a dotted one and a half.
    let longest = Length::within(if left == 64 { 32 } else { left });
    let is_plain_syncopation =
        into_beat == TICKS_PER_BEAT / 2 && longest.ticks() == left && left <= 2 * TICKS_PER_BEAT;
    let is_clear = into_beat == 0 || left <= to_beat || is_plain_syncopation;
    if is_clear { longest } else { Length::within(to_beat) }
}

/// In a bar an accidental holds for its line or space until another one; a tied note needs none over the bar line.
fn add_accidentals(bars: &mut [Bar]) {
    let mut is_tied = false;
    for bar in bars {
        let mut altered: Vec<(i32, i32)> = Vec::new();
        for sign in &mut bar.signs {
            let Some(Pitch { step, alter }) = sign.pitch else {
                is_tied = false;
                continue;
            };
            let before = altered.iter().rev().find(|(at, _)| *at == step).map_or(0, |&(_, alter)| alter);
            if before != alter && !is_tied {
                sign.accidental = Some(alter);
                altered.push((step, alter));
            }
            is_tied = sign.tied;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sheet::line::Tone;

    /// Lengths in ticks as written, bar by bar; a tie as a plus, a rest in brackets.
    fn check(beats_per_bar: u8, tones: &[(u32, bool)], expected: &str) {
        let mut line = Line::new(beats_per_bar);
        for &(ticks, sounds) in tones {
            let pitch = sounds.then_some(Pitch { step: 1, alter: 0 });
            line.tones.push(Tone { from: line.end(), ticks, pitch, tied: false });
        }
        let sign = |sign: &Written| match (sign.pitch, sign.is_bar_rest) {
            (None, true) => "(bar)".to_owned(),
            (None, false) => format!("({})", sign.length.ticks()),
            (Some(_), _) => format!("{}{}", sign.length.ticks(), if sign.tied { "+" } else { "" }),
        };
        let bars: Vec<String> =
            bars(&line).iter().map(|bar| bar.signs.iter().map(sign).collect::<Vec<_>>().join(" ")).collect();
        assert_eq!(bars.join(" | "), expected);
    }

    #[test]
    fn lengths_are_those_that_notes_can_have() {
        // Eight ticks are a quarter. Four beats are a whole, three a dotted half, five a whole and a quarter tied.
        check(4, &[(32, true)], "32");
        check(3, &[(24, true)], "24");
        check(5, &[(40, true)], "32+ 8");
        check(4, &[(64, true)], "32+ | 32");
        check(4, &[(12, true), (4, true), (16, true)], "12 4 16");
        // An eighth, a quarter and an eighth may stand across the beat; a longer note is parted there.
        check(4, &[(4, true), (8, true), (4, true), (16, true)], "4 8 4 16");
        check(4, &[(4, true), (20, true), (8, true)], "4 4+ 16 8");
        check(4, &[(28, true), (4, true)], "24+ 4 4");
    }

    #[test]
    fn rests_fill_the_bar_and_a_bar_of_rest_is_one_sign() {
        check(4, &[(16, true)], "16 (16)");
        check(3, &[(24, false), (24, true)], "(bar) | 24");
        // No rest stands across the middle of four beats.
        check(4, &[(8, true), (24, false)], "8 (8) (16)");
    }

    #[test]
    fn an_accidental_holds_for_its_bar() {
        let mut line = Line::new(4);
        let sharp = Pitch { step: 1, alter: 1 };
        let natural = Pitch { step: 1, alter: 0 };
        for (pitch, ticks, tied) in [
            (sharp, 8, false),
            (sharp, 8, false),
            (natural, 8, false),
            (sharp, 8, true),
            (sharp, 16, false),
            (sharp, 16, false),
        ] {
            line.tones.push(Tone { from: line.end(), ticks, pitch: Some(pitch), tied });
        }
        let found: Vec<_> =
            bars(&line).iter().flat_map(|bar| bar.signs.iter().map(|sign| sign.accidental)).collect();
        assert_eq!(found, [Some(1), None, Some(0), Some(1), None, Some(1)]);
    }
}
