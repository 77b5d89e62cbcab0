//! An amount a week: filled what was done in rehearsals, open on top of it what was done at home. Must know no unit.

use super::plot::{Edges, Plane, Side, Weight, draw};
use super::scale::scale;
use super::text::fitting;
use super::weeks::WeekLabel;
use super::{Caption, Size, both, drawable, left_px};

/// One week; nought where nothing was done.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BarsWeek {
    /// How the week is called.
    pub label: WeekLabel,
    /// Filled.
    pub in_rehearsal: f64,
    /// Open, on top.
    pub at_home: f64,
}

/// Amounts over weeks.
#[derive(Default)]
pub struct Bars<'a> {
    /// What the chart is called.
    pub caption: Caption,
    /// Every calendar week from the first to the last.
    pub weeks: Vec<BarsWeek>,
    /// The axis shows at least so much.
    pub least_range: f64,
    /// Words a figure with so many decimals.
    pub number: Option<&'a dyn Fn(f64, usize) -> String>,
}

/// Height of the plane, px.
const PLOT_PX: u32 = 100;
/// Share of a week that its bar takes, and its greatest width, px.
const BAR_SHARE: f64 = 0.6;
const BAR_PX: f64 = 28.0;

impl Bars<'_> {
    /// Both drawings, for a template.
    pub fn svg(&self) -> String {
        both(&self.caption, |size, caption| self.draw(size, caption))
    }

    /// For a table: week, in rehearsals, at home.
    pub fn rows(&self, decimals: usize) -> Vec<[String; 3]> {
        let row = |week: &BarsWeek| {
            let figure = |value: f64| self.worded(amount(value), decimals);
            [week.label.week.clone(), figure(week.in_rehearsal), figure(week.at_home)]
        };
        self.weeks.iter().map(row).collect()
    }

    fn worded(&self, value: f64, decimals: usize) -> String {
        self.number.map_or_else(|| format!("{value:.decimals$}"), |number| number(value, decimals))
    }

    fn draw(&self, size: Size, caption: &Caption) -> String {
        let labels: Vec<WeekLabel> = self.weeks.iter().map(|week| week.label.clone()).collect();
        let totals = self.weeks.iter().map(|week| amount(week.in_rehearsal) + amount(week.at_home));
        let scale = scale(totals, self.least_range.abs().clamp(1e-3, 1e6), Some(0.0), 4);
        let figures: Vec<(f64, String)> =
            scale.steps.iter().map(|&step| (step, self.worded(step, scale.decimals))).collect();
        let left = left_px(figures.iter().map(|(_, name)| name), size);
        let bottom = 2 * (size.type_size() + 6) + 10;
        let plane = Plane {
            caption,
            size,
            width_px: size.width(),
            height_px: PLOT_PX + 12 + bottom,
            edges: Edges { left, right: size.right_px(), top: 12, bottom },
            weeks: &labels,
            has_week_names: true,
            range: scale.low..scale.high,
            guides: scale.steps.clone(),
        };
        draw(&plane, |plot| {
            for (value, name) in &figures {
                let name = fitting(name, f64::from(left) - 16.0, size);
                plot.text((0.0, *value), (-12, 0), Side::Left, Weight::Quiet, &name);
            }
            for (idx, week) in self.weeks.iter().enumerate() {
                let middle = idx as f64 + 0.5;
                let half = BAR_SHARE.min(BAR_PX / plane.column_px()) / 2.0;
                let (from, to) = (middle - half, middle + half);
                let (rehearsal, home) = (amount(week.in_rehearsal), amount(week.at_home));
                if rehearsal > 0.0 {
                    plot.bar([(from, 0.0), (to, rehearsal)], false);
                }
                if home > 0.0 {
                    plot.bar([(from, rehearsal), (to, rehearsal + home)], true);
                }
            }
            plot.across(0.0, super::ink::Role::Quiet, super::ink::Stroke::Solid, 15);
        })
    }
}

/// Amounts are never below nought; what cannot be drawn is nothing.
fn amount(value: f64) -> f64 {
    drawable(Some(value)).unwrap_or(0.0).max(0.0)
}
