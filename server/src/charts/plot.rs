//! The plane of a chart: weeks across, values up, with guides and the names of weeks; and the marks that charts are made of. Must know
//! no kind of chart.

use super::ink::{Role, Stroke, colour, fill, pen};
use super::paper::{FINE, Paper, svg};
use super::text::{fitting, width_px};
use super::weeks::{WeekLabel, n_columns, named_weeks, named_years};
use super::{Caption, Size};
use plotters::chart::{ChartBuilder, ChartContext};
use plotters::coord::Shift;
use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::types::RangedCoordf64;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{Circle, EmptyElement, PathElement, Polygon, Rectangle, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{FontDesc, FontFamily, FontStyle, TextStyle};
use std::ops::Range;

/// The plotting crate fails only where its paper does, and ours cannot.
const NEVER_FAILS: &str = "paper in memory takes everything";

/// Free edges around the plane, px.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edges {
    pub(super) left: u32,
    pub(super) right: u32,
    pub(super) top: u32,
    pub(super) bottom: u32,
}

/// What a plane shows.
#[derive(Debug)]
pub(super) struct Plane<'a> {
    pub(super) caption: &'a Caption,
    /// Of its texts.
    pub(super) size: Size,
    /// Of the whole picture, px.
    pub(super) width_px: u32,
    pub(super) height_px: u32,
    pub(super) edges: Edges,
    pub(super) weeks: &'a [WeekLabel],
    /// Whether weeks are named under the plane.
    pub(super) has_week_names: bool,
    pub(super) range: Range<f64>,
    /// Where a guide runs across.
    pub(super) guides: Vec<f64>,
}

impl Plane<'_> {
    /// Width of the plane, px.
    pub(super) fn plot_px(&self) -> f64 {
        f64::from(self.width_px - self.edges.left - self.edges.right)
    }

    /// Width of a week, px.
    pub(super) fn column_px(&self) -> f64 {
        self.plot_px() / n_columns(self.weeks.len()) as f64
    }
}

type Axes = Cartesian2d<RangedCoordf64, RangedCoordf64>;

/// Draws a chart on a plane.
pub(super) fn draw(plane: &Plane<'_>, drawing: impl FnOnce(&mut Plot<'_>)) -> String {
    let mut drawn = String::new();
    {
        let root = Paper::new(&mut drawn, plane.width_px, plane.height_px).into_drawing_area();
        let mut plot = Plot::new(plane, &root);
        plane.guides.iter().for_each(|&guide| plot.across(guide, Role::Guide, Stroke::Solid, 10));
        plot.name_weeks(plane);
        drawing(&mut plot);
    }
    svg(plane.caption, (plane.width_px, plane.height_px), &drawn)
}

/// A plane on which marks are drawn. Values are in weeks (a week's middle lies half a week after its beginning) and in what is shown.
pub(super) struct Plot<'a> {
    chart: ChartContext<'a, Paper<'a>, Axes>,
    size: Size,
    n_columns: usize,
    low: f64,
}

/// To which side of its place a text lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Middle,
    Right,
}

/// What a text looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    Quiet,
    Bold,
}

impl<'a> Plot<'a> {
    fn new(plane: &Plane<'_>, root: &DrawingArea<Paper<'a>, Shift>) -> Self {
        let fine = |px: u32| px * FINE as u32;
        let (edges, n) = (plane.edges, n_columns(plane.weeks.len()));
        let chart = ChartBuilder::on(root)
            .margin_left(fine(edges.left))
            .margin_right(fine(edges.right))
            .margin_top(fine(edges.top))
            .margin_bottom(fine(edges.bottom))
            .build_cartesian_2d(0.0..n as f64, plane.range.clone())
            .expect(NEVER_FAILS);
        Self { chart, size: plane.size, n_columns: n, low: plane.range.start }
    }

    fn name_weeks(&mut self, plane: &Plane<'_>) {
        if !plane.has_week_names {
            return;
        }
        let line_px = plane.size.type_size() as i32 + 4;
        let weeks = named_weeks(plane.weeks, plane.plot_px(), plane.size);
        for named in &weeks {
            let middle = named.week_idx as f64 + 0.5;
            let half_px = width_px(&named.name, plane.size) / 2.0;
            let at_px = f64::from(plane.edges.left) + middle * plane.column_px();
            // A name at the edge of the picture moves into it.
            let kept_px = at_px.min(f64::from(plane.width_px) - half_px).max(half_px);
            let by_px = (kept_px - at_px).round() as i32;
            self.text((middle, self.low), (by_px, 8), Side::Middle, Weight::Quiet, &named.name);
        }
        let below = if weeks.is_empty() { 8 } else { 8 + line_px };
        for named in named_years(plane.weeks, plane.plot_px(), plane.size) {
            let begin = named.week_idx as f64;
            let room_px = plane.column_px() * (self.n_columns as f64 - begin) + f64::from(plane.edges.right);
            let name = fitting(&named.name, room_px, plane.size);
            self.text((begin, self.low), (2, below), Side::Right, Weight::Quiet, &name);
        }
    }

    /// A line through all points.
    pub(super) fn line(&mut self, points: Vec<(f64, f64)>, role: Role, stroke: Stroke, width: u32) {
        let element = PathElement::new(points, pen(role, stroke, width));
        self.chart.draw_series([element]).expect(NEVER_FAILS);
    }

    /// A line across the whole plane.
    pub(super) fn across(&mut self, y: f64, role: Role, stroke: Stroke, width: u32) {
        self.line(vec![(0.0, y), (self.n_columns as f64, y)], role, stroke, width);
    }

    /// A filled shape.
    pub(super) fn area(&mut self, corners: Vec<(f64, f64)>, role: Role) {
        self.chart.draw_series([Polygon::new(corners, fill(role))]).expect(NEVER_FAILS);
    }

    /// A bar or a box between two corners.
    pub(super) fn bar(&mut self, corners: [(f64, f64); 2], is_open: bool) {
        let look = if is_open { pen(Role::Ink, Stroke::Open, 15) } else { fill(Role::Ink) };
        self.chart.draw_series([Rectangle::new(corners, look)]).expect(NEVER_FAILS);
    }

    /// An open box of a size in px around a place: tried.
    pub(super) fn stub(&mut self, at: (f64, f64), width_px: f64, height_px: f64) {
        let (x, y) = (half_fine(width_px), half_fine(height_px));
        let shape = Rectangle::new([(-x, -y), (x, y)], pen(Role::Ink, Stroke::Open, 17));
        self.chart.draw_series([EmptyElement::at(at) + shape]).expect(NEVER_FAILS);
    }

    /// An open ring: at home.
    pub(super) fn ring(&mut self, at: (f64, f64), radius_px: f64) {
        let look = pen(Role::Ink, Stroke::Open, 17);
        self.chart.draw_series([Circle::new(at, half_fine(2.0 * radius_px), look)]).expect(NEVER_FAILS);
    }

    /// A filled dot.
    pub(super) fn dot(&mut self, at: (f64, f64), radius_px: f64) {
        let shape = Circle::new(at, half_fine(2.0 * radius_px), fill(Role::Ink));
        self.chart.draw_series([shape]).expect(NEVER_FAILS);
    }

    /// A text beside a place, moved by so many px right and down.
    pub(super) fn text(&mut self, at: (f64, f64), by_px: (i32, i32), side: Side, weight: Weight, text: &str) {
        let h_pos = match side {
            Side::Left => HPos::Right,
            Side::Middle => HPos::Center,
            Side::Right => HPos::Left,
        };
        // A text that is moved down hangs from its place; all others have it in their middle.
        let v_pos = if by_px.1 > 0 { VPos::Top } else { VPos::Center };
        let (role, style) = match weight {
            Weight::Quiet => (Role::Quiet, FontStyle::Normal),
            Weight::Bold => (Role::Ink, FontStyle::Bold),
        };
        let font =
            FontDesc::new(FontFamily::SansSerif, f64::from(self.size.type_size() * FINE as u32), style);
        let colour = colour(role, Stroke::Solid);
        let style = TextStyle::from(font).color(&colour).pos(Pos::new(h_pos, v_pos));
        let text = Text::new(text.to_owned(), (by_px.0 * FINE, by_px.1 * FINE), style);
        self.chart.draw_series([EmptyElement::at(at) + text]).expect(NEVER_FAILS);
    }
}

/// Half of so many px in steps of the paper.
fn half_fine(px: f64) -> i32 {
    (px * f64::from(FINE) / 2.0).round() as i32
}

/// Where a second text stands that must keep a distance to the first: where it belongs, or moved further away from the first.
pub(super) fn apart(first: f64, second: f64, distance: f64) -> f64 {
    let is_apart = (second - first).abs() >= distance;
    match (is_apart, second >= first) {
        (true, _) => second,
        (false, true) => first + distance,
        (false, false) => first - distance,
    }
}
