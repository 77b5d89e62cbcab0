//! How a line is broken into rows and spread over their width: where each sign and each tick lies from left to right. Lengths
//! are tenths of a staff space. Knows no pictures.

use super::bars::{Bar, Written};
use super::line::{Drawn, Ending, Line, TICKS_PER_BEAT};
use super::over::{Across, PULSE_WIDTH, per_beat};
use super::under;

/// Room from the left edge to the first bar: clef and metre, or the clef alone; a repeat's sign.
const WITH_METRE: f64 = 66.0;
const WITHOUT_METRE: f64 = 42.0;
const REPEAT: f64 = 14.0;
/// Before a bar's first sign, and after its last.
const BAR_LEAD: f64 = 10.0;
const BAR_TAIL: f64 = 4.0;
const BRACKET: f64 = 5.0;
const ACCIDENTAL: f64 = 13.0;
/// A last row is spread to the whole width unless that would part its notes by more than this.
const MOST_STRETCH: f64 = 1.7;

/// Room for rows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Room {
    /// Rows of this width, spread over it.
    Rows(f64),
    /// One row as wide as it needs to be.
    AsNeeded,
}

/// A row of bars.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) bars: Vec<Placed>,
    /// Whether it has the metre.
    pub(super) is_first: bool,
    pub(super) is_last: bool,
}

/// A bar with the places of its signs.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    pub(super) bar: Bar,
    /// Where it begins and where its bar line stands.
    pub(super) left: f64,
    pub(super) right: f64,
    /// Middle of each sign's head.
    pub(super) heads: Vec<f64>,
}

impl Row {
    pub(super) fn right(&self) -> f64 {
        self.bars.last().map_or(0.0, |bar| bar.right)
    }

    /// Every head with its tick, and the row's end: pulses go evenly from a bar's last note to the next bar's first.
    fn marks(&self) -> impl Iterator<Item = (f64, f64)> {
        let heads = self.bars.iter().flat_map(|placed| {
            let heads = placed.bar.signs.iter().zip(&placed.heads);
            // A bar of rest stands in its middle, but its beats begin at its left.
            heads.map(|(sign, &x)| {
                (f64::from(sign.from), if sign.is_bar_rest { placed.left + BAR_LEAD } else { x })
            })
        });
        let end = self.bars.last().map(|placed| (f64::from(placed.bar.to), placed.right));
        heads.chain(end)
    }
}

impl Across for Row {
    fn x(&self, tick: f64) -> f64 {
        let mut before: Option<(f64, f64)> = None;
        for (at, x) in self.marks() {
            if at > tick {
                return before.map_or(x, |(from, left)| left + (x - left) * (tick - from) / (at - from));
            }
            before = Some((at, x));
        }
        before.map_or(0.0, |(_, x)| x)
    }

    fn ticks(&self) -> (u32, u32) {
        let first = self.bars.first().map_or(0, |placed| placed.bar.from);
        (first, self.bars.last().map_or(0, |placed| placed.bar.to))
    }
}

/// Least widths of a bar's signs, from head to head, what stands before the first head left out.
fn widths(bar: &Bar, line: &Line) -> Vec<f64> {
    let ends = bar.signs.iter().skip(1).map(|sign| sign.from).chain([bar.to]);
    let signs = bar.signs.iter().zip(ends).enumerate();
    let width = |(i, (sign, end)): (usize, (&Written, u32))| {
        let next = bar.signs.get(i + 1);
        let accidental = next.and_then(|next| next.accidental).map_or(0.0, |_| ACCIDENTAL);
        // A note that is twice as long gets some more room, not twice as much. Common practice, no source.
        let usual = 17.0 + 7.5 * (f64::from(sign.length.ticks()) / 2.0).max(1.0).log2();
        (usual + accidental).max(pulses_width(line, sign, end)).max(loudness_width(line, sign, end))
    };
    signs.map(width).collect()
}

/// Room that the pulses over a sign need.
fn pulses_width(line: &Line, sign: &Written, end: u32) -> f64 {
    let beats = f64::from(end - sign.from) / f64::from(TICKS_PER_BEAT);
    let eased = line.phases.iter().map(|phase| {
        // The wave wants to be seen, not counted.
        let is_here = phase.from < end && phase.to > sign.from;
        if is_here { beats * f64::from(per_beat(phase.value).unwrap_or(1)).min(3.0) * 7.0 } else { 0.0 }
    });
    let over = line.over.iter().map(|over| {
        let n = per_beat(over.value).unwrap_or(0);
        let is_here = over.from < end && over.to > sign.from;
        match over.drawn {
            Drawn::EveryBeat if is_here => beats * (f64::from(n) * PULSE_WIDTH + 2.6),
            Drawn::Once if over.from == sign.from => f64::from(n) * PULSE_WIDTH + 6.0,
            _ => 0.0,
        }
    });
    over.chain(eased).fold(0.0, f64::max)
}

/// What stands before a bar's first head; half of a whole note's lies before its middle, and an example's bracket.
fn lead(bar: &Bar, line: &Line) -> f64 {
    let bracket = if line.is_example && bar.from == 0 { BRACKET } else { 0.0 };
    let accidental = bar.signs.first().and_then(|sign| sign.accidental).map_or(0.0, |_| ACCIDENTAL);
    BAR_LEAD + bracket + accidental + 6.0
}

/// Where a row's first bar begins.
fn begin(line: &Line, is_first: bool) -> f64 {
    let repeat = if is_first && line.ending == Ending::Repeat { REPEAT } else { 0.0 };
    repeat + if is_first { WITH_METRE } else { WITHOUT_METRE }
}

/// Room of a bar that does not give, and room that does.
fn least(bar: &Bar, line: &Line) -> (f64, f64) {
    (lead(bar, line) + BAR_TAIL, widths(bar, line).iter().sum())
}

/// Room for a hairpin that begins and ends within one sign, with its letters.
fn loudness_width(line: &Line, sign: &Written, end: u32) -> f64 {
    let here =
        line.loudness.iter().find(|mark| mark.from == sign.from && mark.to == end && mark.to > mark.from);
    here.map_or(0.0, |mark| under::width(mark.start) / 2.0 + under::width(mark.end) + 32.0)
}

/// Breaks a line into rows.
pub(super) fn rows(line: &Line, bars: &[Bar], room: Room) -> Vec<Row> {
    let width = match room {
        Room::Rows(width) => width,
        Room::AsNeeded => f64::INFINITY,
    };
    let least: Vec<(f64, f64)> = bars.iter().map(|bar| least(bar, line)).collect();
    let mut numbers = broken(line, &least, width);
    // As narrow as the same number of rows allows: rather two even rows than a full one and a bar.
    let mut narrower = width;
    while numbers.len() > 1 && narrower > width / 2.0 {
        narrower -= width / 50.0;
        let even = broken(line, &least, narrower);
        if even.len() > numbers.len() {
            break;
        }
        numbers = even;
    }
    let n_rows = numbers.len();
    let mut first = 0;
    let row = |(i, n_bars): (usize, usize)| {
        let here = first..first + n_bars;
        first = here.end;
        let left = begin(line, i == 0);
        let fixed: f64 = least[here.clone()].iter().map(|(fixed, _)| fixed).sum();
        let loose: f64 = least[here.clone()].iter().map(|(_, loose)| loose).sum();
        let is_last = i + 1 == n_rows;
        let whole = ((width - left - fixed) / loose).max(0.1);
        let spread = match room {
            Room::AsNeeded => 1.0,
            Room::Rows(_) if is_last => whole.min(MOST_STRETCH),
            Room::Rows(_) => whole,
        };
        Row { bars: placed(line, &bars[here], left, spread), is_first: i == 0, is_last }
    };
    numbers.into_iter().enumerate().map(row).collect()
}

/// How many bars go into each row of at most this width; one that is wider stands alone, pressed together.
fn broken(line: &Line, least: &[(f64, f64)], width: f64) -> Vec<usize> {
    let mut rows = Vec::new();
    let mut rest = least;
    while !rest.is_empty() {
        let mut right = begin(line, rows.is_empty());
        let fitting = rest.iter().take_while(|(fixed, loose)| {
            right += fixed + loose;
            right <= width
        });
        let n_bars = fitting.count().max(1);
        rows.push(n_bars);
        rest = &rest[n_bars..];
    }
    rows
}

/// Bars from `left` on, what gives of them spread.
fn placed(line: &Line, bars: &[Bar], mut left: f64, spread: f64) -> Vec<Placed> {
    let mut places = Vec::new();
    for bar in bars {
        let mut head = left + lead(bar, line);
        let mut heads = Vec::new();
        for width in widths(bar, line) {
            heads.push(head);
            head += width * spread;
        }
        let right = head + BAR_TAIL;
        if bar.signs.iter().any(|sign| sign.is_bar_rest) {
            heads = vec![(left + right) / 2.0];
        }
        places.push(Placed { bar: bar.clone(), left, right, heads });
        left = right;
    }
    places
}
