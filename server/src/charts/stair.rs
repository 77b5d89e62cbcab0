//! The stair of rungs over weeks: solid what was reached, dotted where a week was missed, an open box for what was tried and not
//! held, a ring for what was held at home. Must know no rule of what counts as held.

use super::ink::{Role, Stroke};
use super::plot::{Edges, Plane, Plot, Side, Weight, apart, draw};
use super::text::{fitting, width_px};
use super::weeks::{WeekLabel, n_columns};
use super::{Caption, Size, both, left_px};

/// One week of a stair. Rungs are counted from the lowest one shown, 0.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct StairWeek {
    /// How the week is called.
    pub label: WeekLabel,
    /// Played in a rehearsal of this week.
    pub was_here: bool,
    /// The rung that stands as reached after this week; none before the first was held.
    pub reached: Option<usize>,
    /// Tried in a rehearsal of this week and not held.
    pub tried: Vec<usize>,
    /// The highest held at home in this week.
    pub held_at_home: Option<usize>,
}

/// A player's rungs.
#[derive(Debug, Clone, Default)]
pub struct Stair {
    /// What the chart is called.
    pub caption: Caption,
    /// Names of the rungs shown, the lowest first: "56", or "triplets 66".
    pub rungs: Vec<String>,
    /// Every calendar week from the first to the last, missed ones included.
    pub weeks: Vec<StairWeek>,
    /// Beside the end of the stair: "66, since week 10"; may be empty.
    pub at_end: String,
    /// Beside what was tried last and not held, higher up; may be empty.
    pub tried_at_end: String,
    /// Under a missed week, where there is room: "not in".
    pub away: String,
}

/// The same without names and scales, for a row a player on one scale.
#[derive(Debug, Clone, Default)]
pub struct TinyStair<'a> {
    /// What the chart is called.
    pub caption: Caption,
    /// How many the scale has.
    pub n_rungs: usize,
    /// Of the same calendar weeks in every row.
    pub weeks: &'a [StairWeek],
}

/// Room for a rung, px: as in the study, less where there are many.
const RUNG_PX: f64 = 34.0;
const LEAST_PX: f64 = 150.0;
const MOST_PX: f64 = 380.0;
/// Of the sign for what was tried, px.
const STUB_PX: (f64, f64) = (26.0, 9.0);
const RING_PX: f64 = 5.0;
/// Width and height in a row, px.
const TINY_PX: (u32, u32) = (240, 36);

impl Stair {
    /// Both drawings, for a template.
    pub fn svg(&self) -> String {
        both(&self.caption, |size, caption| self.draw(size, caption))
    }

    /// For a table: week, reached, tried, held at home; `none` where there is nothing.
    pub fn rows(&self, none: &str) -> Vec<[String; 4]> {
        let name = |rung: usize| self.rungs.get(rung).cloned().unwrap_or_default();
        let named = |rung: Option<usize>| rung.map_or_else(|| none.to_owned(), name);
        let tried =
            |week: &StairWeek| week.tried.iter().map(|&rung| name(rung)).collect::<Vec<_>>().join(", ");
        let row = |week: &StairWeek| {
            let tried = if week.tried.is_empty() { none.to_owned() } else { tried(week) };
            let reached = if week.was_here { named(week.reached) } else { none.to_owned() };
            [week.label.week.clone(), reached, tried, named(week.held_at_home)]
        };
        self.weeks.iter().map(row).collect()
    }

    fn draw(&self, size: Size, caption: &Caption) -> String {
        let n_rungs = self.rungs.len().max(1);
        let labels: Vec<WeekLabel> = self.weeks.iter().map(|week| week.label.clone()).collect();
        let left = left_px(self.rungs.iter(), size);
        let line_px = size.type_size() + 6;
        let (right, top) = match size {
            Size::Wide if self.weeks.iter().any(|week| week.reached.is_some()) => (size.right_px(), 12),
            Size::Wide | Size::Narrow => (size.right_px(), 12 + line_px * self.ends().count() as u32),
        };
        let plot_px = (n_rungs as f64 * RUNG_PX).clamp(LEAST_PX, MOST_PX);
        let bottom = 2 * line_px + 10;
        let plane = Plane {
            caption,
            size,
            width_px: size.width(),
            height_px: plot_px as u32 + top + bottom,
            edges: Edges { left, right, top, bottom },
            weeks: &labels,
            has_week_names: true,
            range: -0.5..n_rungs as f64 - 0.5,
            guides: (0..self.rungs.len()).map(|rung| rung as f64).collect(),
        };
        let rung_px = plot_px / n_rungs as f64;
        draw(&plane, |plot| {
            self.name_rungs(plot, rung_px, f64::from(left) - 16.0, size);
            steps(plot, &self.weeks, 40);
            self.name_gaps(plot, plane.column_px(), size);
            marks(plot, &self.weeks, plane.column_px(), STUB_PX, RING_PX);
            self.name_end(plot, &plane, rung_px);
        })
    }

    fn ends(&self) -> impl Iterator<Item = (&String, Weight)> {
        let both = [(&self.at_end, Weight::Bold), (&self.tried_at_end, Weight::Quiet)];
        both.into_iter().filter(|(text, _)| !text.is_empty())
    }

    fn name_rungs(&self, plot: &mut Plot<'_>, rung_px: f64, room_px: f64, size: Size) {
        let stride = (f64::from(size.type_size() + 4) / rung_px).ceil().max(1.0) as usize;
        for (rung, name) in self.rungs.iter().enumerate().step_by(stride) {
            let name = fitting(name, room_px, size);
            plot.text((0.0, rung as f64), (-12, 0), Side::Left, Weight::Quiet, &name);
        }
    }

    /// Under a missed week, where the word fits in.
    fn name_gaps(&self, plot: &mut Plot<'_>, column_px: f64, size: Size) {
        let missed = |idx: usize| !self.weeks[idx].was_here && self.weeks[idx].reached.is_some();
        let mut idx = 0;
        while idx < self.weeks.len() {
            let begin = idx;
            while idx < self.weeks.len() && missed(idx) {
                idx += 1;
            }
            let n = (idx - begin) as f64;
            if n > 0.0 && n * column_px >= width_px(&self.away, size) + 4.0 {
                let level = self.weeks[begin].reached.unwrap_or_default() as f64;
                plot.text((begin as f64 + n / 2.0, level), (0, 7), Side::Middle, Weight::Quiet, &self.away);
            }
            idx = idx.max(begin + 1);
        }
    }

    /// What is said beside the end of the stair; on a phone, where there is no room, above it.
    fn name_end(&self, plot: &mut Plot<'_>, plane: &Plane<'_>, rung_px: f64) {
        let reached = self.weeks.iter().rev().find_map(|week| week.reached);
        let (Some(reached), Size::Wide) = (reached, plane.size) else {
            return self.name_end_above(plot, plane);
        };
        let end = self.weeks.len() as f64;
        let beyond_px = (n_columns(self.weeks.len()) - self.weeks.len()) as f64 * plane.column_px();
        let room_px = f64::from(plane.edges.right) + beyond_px - 16.0;
        let mut say = |at: f64, weight: Weight, text: &str| {
            let text = fitting(text, room_px, plane.size);
            plot.text((end, at), (12, 0), Side::Right, weight, &text);
        };
        let level = reached as f64;
        say(level, Weight::Bold, &self.at_end);
        let above = |week: &StairWeek| week.tried.iter().copied().filter(|&rung| rung > reached).max();
        let tried = self.weeks.iter().rev().find_map(above);
        let least = f64::from(plane.size.type_size() + 5) / rung_px;
        let beside = apart(level, tried.map_or(level + 1.0, |rung| rung as f64), least);
        say(beside, Weight::Quiet, &self.tried_at_end);
    }

    fn name_end_above(&self, plot: &mut Plot<'_>, plane: &Plane<'_>) {
        let line_px = plane.size.type_size() as i32 + 6;
        let end = n_columns(self.weeks.len()) as f64;
        let n = self.ends().count() as i32;
        for (line, (text, weight)) in self.ends().enumerate() {
            let above = line_px * (n - line as i32) - line_px / 2 + 2;
            let text = fitting(text, plane.plot_px(), plane.size);
            plot.text((end, plane.range.end), (0, -above), Side::Left, weight, &text);
        }
    }
}

impl TinyStair<'_> {
    /// A drawing for a table's row.
    pub fn svg(&self) -> String {
        let labels: Vec<WeekLabel> = self.weeks.iter().map(|week| week.label.clone()).collect();
        let plane = Plane {
            caption: &self.caption,
            size: Size::Narrow,
            width_px: TINY_PX.0,
            height_px: TINY_PX.1,
            edges: Edges { left: 2, right: 2, top: 4, bottom: 4 },
            weeks: &labels,
            has_week_names: false,
            range: -0.3..self.n_rungs.max(1) as f64 - 0.7,
            guides: Vec::new(),
        };
        draw(&plane, |plot| {
            steps(plot, self.weeks, 25);
            marks(plot, self.weeks, plane.column_px(), (12.0, 4.0), 2.5);
        })
    }
}

/// The stair itself: solid over weeks with a rehearsal, dotted over those without.
fn steps(plot: &mut Plot<'_>, weeks: &[StairWeek], width: u32) {
    let mut solid: Vec<(f64, f64)> = Vec::new();
    let mut before: Option<usize> = None;
    for (idx, week) in weeks.iter().enumerate() {
        let (begin, end) = (idx as f64, idx as f64 + 1.0);
        let Some(reached) = week.reached else {
            finish(plot, &mut solid, width);
            before = None;
            continue;
        };
        let level = reached as f64;
        if week.was_here {
            if solid.is_empty() {
                // Where a gap ends the step goes up from the level before it.
                solid.push((begin, before.map_or(level, |rung| rung as f64)));
            }
            solid.extend([(begin, level), (end, level)]);
        } else {
            finish(plot, &mut solid, width);
            plot.line(vec![(begin, level), (end, level)], Role::Ink, Stroke::Dotted, width * 3 / 4);
        }
        before = Some(reached);
    }
    finish(plot, &mut solid, width);
}

fn finish(plot: &mut Plot<'_>, solid: &mut Vec<(f64, f64)>, width: u32) {
    let mut points = std::mem::take(solid);
    points.dedup();
    if !points.is_empty() {
        plot.line(points, Role::Ink, Stroke::Solid, width);
    }
}

/// What was tried and not held, and what was held at home.
fn marks(plot: &mut Plot<'_>, weeks: &[StairWeek], column_px: f64, stub_px: (f64, f64), ring_px: f64) {
    let width_px = (column_px * 0.7).clamp(2.0, stub_px.0);
    for (idx, week) in weeks.iter().enumerate() {
        let middle = idx as f64 + 0.5;
        for &rung in &week.tried {
            plot.stub((middle, rung as f64), width_px, stub_px.1);
        }
        if let Some(rung) = week.held_at_home {
            plot.ring((middle, rung as f64), ring_px.min(column_px.max(3.0) / 2.0));
        }
    }
}
