//! A measure over weeks: its middle as a line, its spread as a band around it, the bounds of what is good dotted; a second line
//! dashed, and rings for what was done at home. Must know no measure and no unit.

use super::ink::{Role, Stroke};
use super::plot::{Edges, Plane, Plot, Side, Weight, apart, draw};
use super::scale::{Scale, scale};
use super::text::fitting;
use super::weeks::{WeekLabel, n_columns};
use super::{Caption, Size, both, drawable, left_px};

/// A middle with the range around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Such as the median.
    pub middle: f64,
    /// None where only a middle is known.
    pub range: Option<(f64, f64)>,
}

/// One week of a measure; what is absent was not measured.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BandWeek {
    /// How the week is called.
    pub label: WeekLabel,
    /// The line and its band.
    pub line: Option<Spread>,
    /// The dashed line.
    pub second: Option<f64>,
    /// The ring.
    pub at_home: Option<f64>,
}

/// A measure over weeks.
#[derive(Default)]
pub struct Band<'a> {
    /// What the chart is called.
    pub caption: Caption,
    /// Every calendar week from the first to the last, missed ones included.
    pub weeks: Vec<BandWeek>,
    /// What is good, from and to.
    pub good: Option<(f64, f64)>,
    /// A value with a line of its own, and what it is called: the tick, the note.
    pub zero: Option<(f64, String)>,
    /// The axis shows at least so much, so that what hardly changes does not look as if it did.
    pub least_range: f64,
    /// Where the axis begins unless something lies below, such as nought for depths.
    pub floor: Option<f64>,
    /// Words a figure with so many decimals, with its sign where it has one.
    pub number: Option<&'a dyn Fn(f64, usize) -> String>,
    /// What lies above and what below: "early", "late"; may be empty.
    pub above: String,
    /// The same below.
    pub below: String,
    /// Beside the end of the line; may be empty.
    pub at_end: String,
    /// Beside the end of the second line, or about the bounds; may be empty.
    pub second_at_end: String,
}

/// Height of the plane, px.
const WIDE_PX: u32 = 150;
const NARROW_PX: u32 = 130;
const RING_PX: f64 = 4.5;
/// Weeks that are at least so wide have a dot each, px.
const DOTTED_FROM_PX: f64 = 14.0;

impl Band<'_> {
    /// Both drawings, for a template.
    pub fn svg(&self) -> String {
        both(&self.caption, |size, caption| self.draw(size, caption))
    }

    /// For a table: week, middle, from, to, second, at home; `none` where there is nothing.
    pub fn rows(&self, decimals: usize, none: &str) -> Vec<[String; 6]> {
        let figure = |value: Option<f64>| {
            drawable(value).map_or_else(|| none.to_owned(), |v| self.worded(v, decimals))
        };
        let row = |week: &BandWeek| {
            let range = week.line.and_then(|line| line.range);
            [
                week.label.week.clone(),
                figure(week.line.map(|line| line.middle)),
                figure(range.map(|range| range.0)),
                figure(range.map(|range| range.1)),
                figure(week.second),
                figure(week.at_home),
            ]
        };
        self.weeks.iter().map(row).collect()
    }

    fn worded(&self, value: f64, decimals: usize) -> String {
        self.number.map_or_else(|| format!("{value:.decimals$}"), |number| number(value, decimals))
    }

    fn line(&self, idx: usize) -> Option<(f64, f64, f64)> {
        let line = self.weeks[idx].line?;
        let middle = drawable(Some(line.middle))?;
        let (low, high) = line.range.unwrap_or((middle, middle));
        let (low, high) = (drawable(Some(low)).unwrap_or(middle), drawable(Some(high)).unwrap_or(middle));
        Some((middle, low.min(high), high.max(low)))
    }

    fn scale(&self) -> Scale {
        let weeks = self.weeks.iter().enumerate().flat_map(|(idx, week)| {
            let line = self.line(idx).map(|(middle, low, high)| [middle, low, high]);
            line.into_iter().flatten().chain(drawable(week.second)).chain(drawable(week.at_home))
        });
        let bounds = self.good.into_iter().flat_map(|(from, to)| [from, to]);
        let zero = self.zero.iter().map(|(value, _)| *value);
        let shown = weeks.chain(bounds).chain(zero).filter(|v| drawable(Some(*v)).is_some());
        let least = self.least_range.abs().clamp(1e-3, 1e6);
        scale(shown, least, drawable(self.floor), 5)
    }

    fn ends(&self) -> impl Iterator<Item = (&String, Weight)> {
        let both = [(&self.at_end, Weight::Bold), (&self.second_at_end, Weight::Quiet)];
        both.into_iter().filter(|(text, _)| !text.is_empty())
    }

    fn draw(&self, size: Size, caption: &Caption) -> String {
        let labels: Vec<WeekLabel> = self.weeks.iter().map(|week| week.label.clone()).collect();
        let scale = self.scale();
        let figures: Vec<(f64, String)> =
            scale.steps.iter().map(|&step| (step, self.worded(step, scale.decimals))).collect();
        let names = figures.iter().map(|(_, name)| name).chain(self.zero.iter().map(|(_, name)| name));
        let left = left_px(names.chain([&self.above, &self.below]), size);
        let line_px = size.type_size() + 6;
        let n_ends = self.ends().count() as u32;
        let (right, top, plot_px) = match size {
            Size::Wide => (size.right_px(), 12, WIDE_PX),
            Size::Narrow => (size.right_px(), 12 + line_px * n_ends, NARROW_PX),
        };
        let bottom = 2 * line_px + 10;
        let plane = Plane {
            caption,
            size,
            width_px: size.width(),
            height_px: top + plot_px + bottom,
            edges: Edges { left, right, top, bottom },
            weeks: &labels,
            has_week_names: true,
            range: scale.low..scale.high,
            guides: scale.steps.clone(),
        };
        draw(&plane, |plot| {
            self.band(plot);
            self.bounds(plot);
            self.name_values(plot, &plane, &figures);
            self.lines(plot, plane.column_px());
            self.name_end(plot, &plane);
        })
    }

    /// Runs of weeks without a gap, from and up to.
    fn runs(&self, is_there: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for idx in (0..self.weeks.len()).filter(|&idx| is_there(idx)) {
            match runs.last_mut() {
                Some(run) if run.1 == idx => run.1 = idx + 1,
                _ => runs.push((idx, idx + 1)),
            }
        }
        runs
    }

    /// The spread. A week by itself has a band as wide as half of it.
    fn band(&self, plot: &mut Plot<'_>) {
        let has_range = |idx: usize| self.line(idx).is_some_and(|(_, low, high)| high > low);
        for (begin, end) in self.runs(has_range) {
            let mut upper: Vec<(f64, f64)> = Vec::new();
            let mut lower: Vec<(f64, f64)> = Vec::new();
            for idx in begin..end {
                let Some((_, low, high)) = self.line(idx) else { continue };
                let middle = idx as f64 + 0.5;
                let places = if end - begin == 1 { vec![middle - 0.25, middle + 0.25] } else { vec![middle] };
                upper.extend(places.iter().map(|&x| (x, high)));
                lower.extend(places.iter().map(|&x| (x, low)));
            }
            let corners = upper.iter().chain(lower.iter().rev()).copied().collect();
            plot.area(corners, Role::Guide);
            plot.line(upper, Role::Rule, Stroke::Solid, 8);
            plot.line(lower, Role::Rule, Stroke::Solid, 8);
        }
    }

    fn bounds(&self, plot: &mut Plot<'_>) {
        if let Some((value, _)) = self.zero.as_ref().filter(|(value, _)| drawable(Some(*value)).is_some()) {
            plot.across(*value, Role::Quiet, Stroke::Solid, 15);
        }
        for bound in
            self.good.into_iter().flat_map(|(from, to)| [from, to]).filter(|v| drawable(Some(*v)).is_some())
        {
            plot.across(bound, Role::Quiet, Stroke::Dotted, 12);
        }
    }

    fn name_values(&self, plot: &mut Plot<'_>, plane: &Plane<'_>, figures: &[(f64, String)]) {
        let room_px = f64::from(plane.edges.left) - 16.0;
        let value_px = f64::from(plane.height_px - plane.edges.top - plane.edges.bottom)
            / (plane.range.end - plane.range.start);
        let least_px = f64::from(plane.size.type_size()) + 2.0;
        let mut said: Vec<f64> = Vec::new();
        let zero = self.zero.as_ref().filter(|(value, _)| drawable(Some(*value)).is_some());
        let sides = [(plane.range.end, &self.above), (plane.range.start, &self.below)];
        let sides = sides.into_iter().filter(|(_, name)| !name.is_empty());
        let names = zero.map(|(value, name)| (*value, name)).into_iter().chain(sides);
        // Where there is a name, there is no room for a figure.
        for (value, name) in names.chain(figures.iter().map(|(value, figure)| (*value, figure))) {
            let is_free = said.iter().all(|other| (other - value).abs() * value_px >= least_px);
            if is_free {
                let name = fitting(name, room_px, plane.size);
                plot.text((0.0, value), (-12, 0), Side::Left, Weight::Quiet, &name);
                said.push(value);
            }
        }
    }

    fn lines(&self, plot: &mut Plot<'_>, column_px: f64) {
        for (begin, end) in self.runs(|idx| drawable(self.weeks[idx].second).is_some()) {
            let at = |idx: usize| Some((idx as f64 + 0.5, drawable(self.weeks[idx].second)?));
            let mut points: Vec<(f64, f64)> = (begin..end).filter_map(at).collect();
            if let [(x, y)] = points[..] {
                points = vec![(x - 0.25, y), (x + 0.25, y)];
            }
            plot.line(points, Role::Ink, Stroke::Dashed, 15);
        }
        for (begin, end) in self.runs(|idx| self.line(idx).is_some()) {
            let at = |idx: usize| Some((idx as f64 + 0.5, self.line(idx)?.0));
            let points: Vec<(f64, f64)> = (begin..end).filter_map(at).collect();
            if points.len() == 1 || column_px >= DOTTED_FROM_PX {
                points.iter().for_each(|&point| plot.dot(point, 3.0));
            }
            plot.line(points, Role::Ink, Stroke::Solid, 25);
        }
        for (idx, week) in self.weeks.iter().enumerate() {
            if let Some(value) = drawable(week.at_home) {
                plot.ring((idx as f64 + 0.5, value), RING_PX.min(column_px.max(3.0) / 2.0));
            }
        }
    }

    /// What is said beside the ends of the lines; on a phone, where there is no room, above them.
    fn name_end(&self, plot: &mut Plot<'_>, plane: &Plane<'_>) {
        let line_px = f64::from(plane.size.type_size() + 6);
        let columns = n_columns(self.weeks.len()) as f64;
        if plane.size == Size::Narrow {
            let n = self.ends().count() as i32;
            for (line, (text, weight)) in self.ends().enumerate() {
                let above = line_px as i32 * (n - line as i32) - line_px as i32 / 2 + 2;
                let text = fitting(text, plane.plot_px(), plane.size);
                plot.text((columns, plane.range.end), (0, -above), Side::Left, weight, &text);
            }
            return;
        }
        let last = (0..self.weeks.len()).rev().find_map(|idx| self.line(idx));
        let second = self.weeks.iter().rev().find_map(|week| drawable(week.second));
        let value_px = f64::from(plane.height_px - plane.edges.top - plane.edges.bottom)
            / (plane.range.end - plane.range.start);
        let middle = f64::midpoint(plane.range.start, plane.range.end);
        let first = last.map_or(middle, |(middle, _, _)| middle);
        let beside = second.or(self.good.map(|good| good.0)).filter(|v| drawable(Some(*v)).is_some());
        let beside = apart(first, beside.unwrap_or(first), line_px / value_px);
        for ((text, weight), at) in
            [((&self.at_end, Weight::Bold), first), ((&self.second_at_end, Weight::Quiet), beside)]
        {
            let room_px = f64::from(plane.edges.right) - 16.0;
            let text = fitting(text, room_px, plane.size);
            let at = at.clamp(plane.range.start, plane.range.end);
            plot.text((columns, at), (12, 0), Side::Right, weight, &text);
        }
    }
}
