//! What stands under a staff: marks of loudness and the hairpins between them. Knows where ticks lie from left to right, no
//! staff.

use super::ink::{Ink, short};
use super::line::Loudness;
use super::over::Across;
use super::signs::{FORTE, MEZZO, PIANO, Sign};
use windrow_protocol::score::Dynamic;

/// How far the letters' feet lie over the outlines' own nought, and how tall they stand on it.
const FEET: f64 = 13.9;
const TALL: f64 = 18.0;
/// Half of a hairpin's open end.
const OPEN: f64 = 5.5;

/// A letter, where it begins before its place, and how far it takes the next one: the font's own figures.
fn letters(dynamic: Dynamic) -> Vec<(Sign, f64, f64)> {
    let p = (PIANO, -3.6, 15.2);
    let m = (MEZZO, -1.1, 19.3);
    let f = (FORTE, -5.5, 12.0);
    match dynamic {
        Dynamic::Pp => vec![p, p],
        Dynamic::P => vec![p],
        Dynamic::Mp => vec![m, p],
        Dynamic::Mf => vec![m, f],
        Dynamic::F => vec![f],
        Dynamic::Ff => vec![f, f],
    }
}

pub(super) fn width(dynamic: Dynamic) -> f64 {
    letters(dynamic).iter().map(|(_, _, on)| on).sum()
}

/// Draws all marks of the row under what is there already.
pub(super) fn draw(ink: &mut Ink, across: &impl Across, loudness: &[Loudness]) {
    let (first, last) = across.ticks();
    let here = |mark: &&Loudness| (first..last).contains(&mark.from) || (mark.from < last && mark.to > first);
    let here: Vec<&Loudness> = loudness.iter().filter(here).collect();
    if here.is_empty() {
        return;
    }
    let feet = ink.bottom() + TALL;
    // Where the last mark ends, so that one that says the same is not written twice.
    let mut written: Option<(u32, Dynamic)> = None;
    for (i, mark) in here.iter().enumerate() {
        let mut from = across.x(f64::from(mark.from.max(first)));
        if mark.from >= first {
            let is_there = written == Some((mark.from, mark.start));
            if !is_there {
                put(ink, mark.start, from, feet);
            }
            from += width(mark.start) / 2.0 + 4.0;
        }
        if mark.to <= mark.from {
            written = Some((mark.from, mark.start));
            continue;
        }
        let ends_here = mark.to <= last;
        let end_x = across.x(f64::from(mark.to.min(last)));
        let next = here.get(i + 1).filter(|next| next.from == mark.to);
        let mut to = end_x;
        if ends_here {
            // Under the next note where that one says the same or nothing, else before its own mark.
            let at = match next {
                Some(next) if next.start == mark.end => end_x,
                Some(next) => end_x - (width(mark.end) + width(next.start)) / 2.0 - 12.0,
                None => end_x - width(mark.end) / 2.0 - 6.0,
            };
            put(ink, mark.end, at, feet);
            written = Some((mark.to, mark.end));
            to = at - width(mark.end) / 2.0 - 4.0;
        }
        hairpin(ink, mark, (first, last), (from, to), feet - 6.0);
    }
    ink.reach(feet - TALL, feet + 7.0);
}

/// Letters with their middle at `x`.
fn put(ink: &mut Ink, dynamic: Dynamic, x: f64, feet: f64) {
    let mut at = x - width(dynamic) / 2.0;
    for (letter, before, on) in letters(dynamic) {
        ink.sign(letter, at + before, feet + FEET);
        at += on;
    }
}

/// The part of a hairpin that lies in a row, from `from` to `to`.
fn hairpin(ink: &mut Ink, mark: &Loudness, row: (u32, u32), (from, to): (f64, f64), y: f64) {
    let whole = f64::from(mark.to - mark.from);
    let share = |tick: u32| f64::from(tick - mark.from) / whole;
    let (begin, end) = (share(mark.from.max(row.0)), share(mark.to.min(row.1)));
    let grows = mark.end > mark.start;
    let half = |share: f64| OPEN * if grows { share } else { 1.0 - share };
    if to <= from || mark.end == mark.start {
        return;
    }
    for side in [-1.0, 1.0] {
        let path = format!(
            "M{} {}L{} {}",
            short(from),
            short(y + side * half(begin)),
            short(to),
            short(y + side * half(end))
        );
        ink.stroke(&path, 1.3);
    }
}
