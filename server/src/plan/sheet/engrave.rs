//! Draws rows of notes as pictures: staff, clef, metre, notes, rests, ties, bar lines, loudness below and pulses above.
//! Lengths are tenths of a staff space, the staff's bottom line lies at nought, up is negative.

use super::bars::{Written, bars};
use super::ink::{Ink, short};
use super::line::{Ending, Line};
use super::over;
use super::rows::{Placed, Room, Row, rows};
use super::signs::*;
use super::staff::Clef;
use super::under;

const SPACE: f64 = 10.0;
const STAFF_TOP: f64 = -4.0 * SPACE;
const STAFF_LINE: f64 = 1.1;
const BAR_LINE: f64 = 1.6;
const STEM_LENGTH: f64 = 35.0;
const STEM: f64 = 1.2;
/// Between what stands on the staff and what stands over it.
const OVER_GAP: f64 = 7.0;

/// A row, drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Picture {
    /// What stands between the tags of an SVG.
    pub(super) svg: String,
    pub(super) top: f64,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// Draws a line in rows.
pub(super) fn engrave(line: &Line, clef: Clef, room: Room) -> Vec<Picture> {
    let rows = rows(line, &bars(line), room);
    let mut is_example = line.is_example;
    let mut enters_tied = false;
    let mut pictures = Vec::new();
    for row in &rows {
        pictures.push(draw(line, clef, row, enters_tied, std::mem::take(&mut is_example)));
        let last = row.bars.last().and_then(|placed| placed.bar.signs.last());
        enters_tied = last.is_some_and(|sign| sign.tied);
    }
    pictures
}

fn draw(line: &Line, clef: Clef, row: &Row, enters_tied: bool, is_example: bool) -> Picture {
    let mut ink = Ink::default();
    ink.reach(STAFF_TOP - 2.0, 2.0);
    for i in 0..5 {
        ink.block(0.0, f64::from(-i) * SPACE - STAFF_LINE / 2.0, row.right(), STAFF_LINE);
    }
    let sign = match clef {
        Clef::Treble => G_CLEF,
        Clef::Bass => F_CLEF,
    };
    ink.sign(sign, 5.0, 0.0);
    if row.is_first {
        metre(&mut ink, line.beats_per_bar, 40.0);
        if line.ending == Ending::Repeat {
            let x = row.bars[0].left - 8.0;
            ink.block(x, STAFF_TOP, 4.5, 4.0 * SPACE);
            ink.block(x + 6.5, STAFF_TOP, BAR_LINE, 4.0 * SPACE);
            repeat_dots(&mut ink, x + 12.0);
        }
    }
    for (i, placed) in row.bars.iter().enumerate() {
        notes(&mut ink, placed);
        let is_end = row.is_last && i + 1 == row.bars.len();
        bar_line(&mut ink, placed.right, if is_end { line.ending } else { Ending::Open });
    }
    if is_example {
        brackets(&mut ink, row);
    }
    ties(&mut ink, row, enters_tied);
    under::draw(&mut ink, row, &line.loudness);
    let free = ink.top().min(STAFF_TOP - 4.0) - OVER_GAP;
    over::draw(&mut ink, row, &line.over, &line.phases, free);
    // The clef stands before all of that and is in nobody's way.
    if clef == Clef::Treble {
        ink.reach(-54.5, 17.0);
    }
    Picture { top: ink.top() - 2.0, width: row.right(), height: ink.bottom() - ink.top() + 4.0, svg: ink.svg }
}

/// Common time, or beats over a four.
fn metre(ink: &mut Ink, beats_per_bar: u8, x: f64) {
    if beats_per_bar == 4 {
        return ink.sign(COMMON_TIME, x, 0.0);
    }
    let figures = beats_per_bar.to_string();
    let figures: Vec<Sign> =
        figures.bytes().filter_map(|digit| FIGURES.get(usize::from(digit - b'0')).copied()).collect();
    let width: f64 = figures.iter().map(|figure| figure.width + 0.5).sum();
    let mut at = x + (16.0 - width) / 2.0;
    for figure in figures {
        ink.sign(figure, at, -2.0 * SPACE);
        at += figure.width + 0.5;
    }
    ink.sign(FIGURES[4], x + (16.0 - FIGURES[4].width) / 2.0, 0.0);
}

fn repeat_dots(ink: &mut Ink, x: f64) {
    ink.dot(x, -1.5 * SPACE);
    ink.dot(x, -2.5 * SPACE);
}

fn bar_line(ink: &mut Ink, x: f64, ending: Ending) {
    match ending {
        Ending::Open => ink.block(x - BAR_LINE, STAFF_TOP, BAR_LINE, 4.0 * SPACE),
        Ending::Final | Ending::Repeat => {
            ink.block(x - 4.5, STAFF_TOP, 4.5, 4.0 * SPACE);
            ink.block(x - 8.5, STAFF_TOP, BAR_LINE, 4.0 * SPACE);
            if ending == Ending::Repeat {
                repeat_dots(ink, x - 12.5);
            }
        }
    }
}

/// Height of a staff step.
fn y_of(step: i32) -> f64 {
    f64::from(-step) * SPACE / 2.0
}

fn head_of(sign: &Written) -> Sign {
    match sign.length.plain {
        32.. => WHOLE_HEAD,
        16.. => OPEN_HEAD,
        _ => FULL_HEAD,
    }
}

/// Notes under the middle line have their stems up.
fn is_stem_up(step: i32) -> bool {
    step < 4
}

fn notes(ink: &mut Ink, placed: &Placed) {
    for (sign, &x) in placed.bar.signs.iter().zip(&placed.heads) {
        let Some(pitch) = sign.pitch else {
            rest(ink, sign, x);
            continue;
        };
        let (y, step) = (y_of(pitch.step), pitch.step);
        let head = head_of(sign);
        let left = x - head.width / 2.0;
        let ledgers = (10..=step).step_by(2).chain((step..=-2).rev().filter(|at| at % 2 == 0));
        for at in ledgers {
            ink.block(left - 4.0, y_of(at) - 0.7, head.width + 8.0, 1.4);
        }
        // Heads lie half a space over their own nought.
        ink.sign(head, left, y + 5.0);
        ink.reach(y - 6.0, y + 6.0);
        accidental(ink, sign, left, y);
        if sign.length.dotted {
            // On a line the dot goes into the space above.
            let up = if step % 2 == 0 { SPACE / 2.0 } else { 0.0 };
            ink.dot(x + head.width / 2.0 + 5.0, y - up);
        }
        if sign.length.plain < 32 {
            stem(ink, sign, x, y, step);
        }
    }
}

fn accidental(ink: &mut Ink, sign: &Written, left: f64, y: f64) {
    // The outlines' middles lie on, or these much over, their own nought.
    let (accidental, middle) = match sign.accidental {
        Some(1) => (SHARP, 0.0),
        Some(0) => (NATURAL, 3.5),
        Some(_) => (FLAT, 4.6),
        None => return,
    };
    ink.sign(accidental, left - accidental.width - 3.0, y + middle);
    ink.reach(y - 17.0, y + 14.0);
}

fn stem(ink: &mut Ink, sign: &Written, x: f64, y: f64, step: i32) {
    let half = FULL_HEAD.width / 2.0;
    // A stem reaches the middle line at least.
    let middle = -2.0 * SPACE;
    let flag = match sign.length.plain {
        4 => Some(FLAG),
        2 => Some(FLAGS_2),
        1 => Some(FLAGS_3),
        _ => None,
    };
    // The flags' outlines hang from a stem whose end lies this far over their own nought.
    const FLAG_HANGS: f64 = 40.9;
    if is_stem_up(step) {
        let end = (y - STEM_LENGTH).min(middle);
        ink.block(x + half - STEM, end, STEM, y - 1.5 - end);
        if let Some(flag) = flag {
            ink.sign(flag, x + half - STEM, end + FLAG_HANGS);
        }
        ink.reach(end - 1.0, end);
    } else {
        let end = (y + STEM_LENGTH).max(middle);
        ink.block(x - half, y + 1.5, STEM, end - y - 1.5);
        if let Some(flag) = flag {
            ink.turned(flag, x - half, end - FLAG_HANGS);
        }
        ink.reach(end, end + 1.0);
    }
}

fn rest(ink: &mut Ink, sign: &Written, x: f64) {
    let centred = |sign: Sign| x - sign.width / 2.0;
    match sign.length.plain {
        // Hangs from the fourth line.
        32.. => ink.block(x - 6.0, -3.0 * SPACE, 12.0, 5.0),
        // Lies on the middle line.
        16.. => ink.block(x - 6.0, -2.0 * SPACE - 5.0, 12.0, 5.0),
        8.. => ink.sign(QUARTER_REST, centred(QUARTER_REST), 0.0),
        4.. => ink.sign(EIGHTH_REST, centred(EIGHTH_REST), 0.0),
        2.. => ink.sign(SIXTEENTH_REST, centred(SIXTEENTH_REST), 0.0),
        _ => ink.sign(THIRTY_SECOND_REST, centred(THIRTY_SECOND_REST), 0.0),
    }
}

/// Round brackets about the first note.
fn brackets(ink: &mut Ink, row: &Row) {
    let notes = row.bars.iter().flat_map(|bar| bar.bar.signs.iter().zip(&bar.heads));
    let Some((sign, x, pitch)) = notes.filter_map(|(sign, &x)| Some((sign, x, sign.pitch?))).next() else {
        return;
    };
    let (y, half) = (y_of(pitch.step), head_of(sign).width / 2.0);
    let accidental = if sign.accidental.is_some() { 12.0 } else { 0.0 };
    let dot = if sign.length.dotted { 8.0 } else { 0.0 };
    let (left, right) = (x - half - accidental - 2.5, x + half + dot + 2.5);
    ink.stroke(&format!("M{} {}q-5 9 0 18", short(left), short(y - 9.0)), 1.3);
    ink.stroke(&format!("M{} {}q5 9 0 18", short(right), short(y - 9.0)), 1.3);
    ink.reach(y - 10.0, y + 10.0);
}

fn ties(ink: &mut Ink, row: &Row, enters_tied: bool) {
    let notes = row.bars.iter().flat_map(|bar| bar.bar.signs.iter().zip(&bar.heads));
    let mut notes = notes.map(|(sign, &x)| (sign, x)).peekable();
    if let Some((sign, x)) = notes.peek().filter(|_| enters_tied) {
        tie(ink, sign, x - 34.0, *x);
    }
    while let Some((sign, x)) = notes.next() {
        if sign.tied {
            let to = notes.peek().map_or(row.right() + 4.0, |&(_, x)| x);
            tie(ink, sign, x, to);
        }
    }
}

/// A tie on the side away from the stem, or where the stem would be.
fn tie(ink: &mut Ink, sign: &Written, from: f64, to: f64) {
    let Some(pitch) = sign.pitch else { return };
    let side = if is_stem_up(pitch.step) { 1.0 } else { -1.0 };
    let (left, right) = (from + 8.0, to - 8.0);
    let (y, bow) = (y_of(pitch.step) + 7.0 * side, ((right - left) * 0.12).clamp(5.0, 11.0) * side);
    let shape = format!(
        "M{l} {y}C{a} {outer} {b} {outer} {r} {y}C{b} {inner} {a} {inner} {l} {y}Z",
        l = short(left),
        r = short(right),
        a = short(left + (right - left) * 0.25),
        b = short(right - (right - left) * 0.25),
        y = short(y),
        outer = short(y + bow + 1.2 * side),
        inner = short(y + bow - 0.8 * side),
    );
    ink.shape(&shape);
    ink.reach(y + bow.min(0.0), y + bow.max(0.0));
}
