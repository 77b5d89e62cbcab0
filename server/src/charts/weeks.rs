//! The axis of weeks: one column a calendar week, and which of them are named. Must know no calendar: weeks come in order, with
//! their names, missed ones included.

use super::Size;
use super::text::{fitting, width_px};

/// How a week is called.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WeekLabel {
    /// Within its year: "41", or "5 Oct".
    pub week: String,
    /// "2026"; empty where it needs no saying.
    pub year: String,
}

/// A chart of fewer weeks is as wide as one of so many: the first rehearsal is no bar across the page.
const LEAST_COLUMNS: usize = 6;
/// Between two names, px.
const APART_PX: f64 = 14.0;
/// Of a week's name; what is wider is cut.
const WIDEST_PX: f64 = 90.0;
/// Weeks from one named week to the next, so that names fall on like places of a month, a quarter or half a year.
const STRIDES: [usize; 5] = [1, 2, 4, 8, 13];

/// Columns of a chart of so many weeks.
pub(super) fn n_columns(n_weeks: usize) -> usize {
    n_weeks.max(LEAST_COLUMNS)
}

/// A name under the axis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Named {
    pub(super) week_idx: usize,
    pub(super) name: String,
}

/// Names of weeks, counted back from the last one, which is always named; none where even every 13th would not fit.
pub(super) fn named_weeks(labels: &[WeekLabel], plot_px: f64, size: Size) -> Vec<Named> {
    let column_px = plot_px / n_columns(labels.len()) as f64;
    let names: Vec<String> = labels.iter().map(|label| fitting(&label.week, WIDEST_PX, size)).collect();
    let widest_px = names.iter().map(|name| width_px(name, size)).fold(0.0, f64::max);
    let fits = |stride: &&usize| column_px * **stride as f64 >= widest_px + APART_PX;
    let Some(stride) = STRIDES.iter().find(fits) else { return Vec::new() };
    let mut named: Vec<Named> = (0..labels.len())
        .rev()
        .step_by(*stride)
        .map(|week_idx| Named { week_idx, name: names[week_idx].clone() })
        .collect();
    named.reverse();
    named
}

/// The first week of each year there is; the first of all only where its name has room before the next one's.
pub(super) fn named_years(labels: &[WeekLabel], plot_px: f64, size: Size) -> Vec<Named> {
    let column_px = plot_px / n_columns(labels.len()) as f64;
    let begins = |idx: usize| idx == 0 || labels[idx - 1].year != labels[idx].year;
    let all: Vec<Named> = (0..labels.len())
        .filter(|&idx| begins(idx) && !labels[idx].year.is_empty())
        .map(|week_idx| Named { week_idx, name: fitting(&labels[week_idx].year, WIDEST_PX, size) })
        .collect();
    let mut kept: Vec<Named> = Vec::new();
    for named in all.into_iter().rev() {
        let room_px =
            kept.last().map_or(f64::INFINITY, |next| column_px * (next.week_idx - named.week_idx) as f64);
        if room_px >= width_px(&named.name, size) + APART_PX {
            kept.push(named);
        }
    }
    kept.reverse();
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(n: usize) -> Vec<WeekLabel> {
        (0..n)
            .map(|i| WeekLabel { week: format!("{}", i % 52 + 1), year: format!("{}", 2020 + i / 52) })
            .collect()
    }

    fn stride(n: usize, plot_px: f64) -> Option<usize> {
        let named = named_weeks(&labels(n), plot_px, Size::Wide);
        assert_eq!(named.last().map(|last| last.week_idx), named.first().map(|_| n - 1));
        named.windows(2).next().map(|pair| pair[1].week_idx - pair[0].week_idx)
    }

    /// Two figures of 0.68 * 15 px and 14 px between two names are 34.4 px.
    #[test]
    fn as_many_weeks_are_named_as_fit() {
        assert_eq!(stride(12, 720.0), Some(1));
        assert_eq!(stride(12, 384.0), Some(2));
        assert_eq!(stride(52, 720.0), Some(4));
        assert_eq!(stride(260, 720.0), Some(13));
        assert_eq!(stride(260, 300.0), None);
        assert_eq!(stride(0, 720.0), None);
    }

    #[test]
    fn years_are_named_where_they_begin_if_there_is_room() {
        let years = |n: usize, plot_px: f64| -> Vec<usize> {
            named_years(&labels(n), plot_px, Size::Wide).iter().map(|y| y.week_idx).collect()
        };
        assert_eq!(years(60, 720.0), [0, 52]);
        assert_eq!(years(260, 720.0), [0, 52, 104, 156, 208]);
        assert_eq!(years(1, 720.0), [0]);
        let mut late = labels(60);
        late.drain(..50);
        // Two weeks before the new year: 24 px hold no year.
        let named = named_years(&late, 120.0, Size::Wide);
        assert_eq!(named, [Named { week_idx: 2, name: "2021".into() }]);
    }
}
