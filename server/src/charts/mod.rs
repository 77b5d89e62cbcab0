//! Charts as SVG, made on the server: data and texts in, a picture out that takes the page's colours, scales, prints sharp and says
//! in words what it shows. They must know no records, no page and no language: texts come in ready, numbers are worded by whoever asks.
//!
//! What a chart keeps to:
//! - weeks stand side by side in calendar order; a week without evidence is a gap, never a line through it;
//! - solid and filled is what was done in rehearsals, open what was tried without being held, or done at home;
//! - colours are roles (`ink`) that become classes of `charts.css`, so themes, print and forced colours reach them;
//! - each picture is drawn twice, for a desk and for a phone, and the sheet shows one: text that shrank with the picture could not be
//!   read on a phone;
//! - each has `rows`, the same figures for a table.

mod band;
mod bars;
mod ink;
mod paper;
mod plot;
mod scale;
mod stair;
mod text;
mod weeks;

#[cfg(test)]
mod any_data_tests;
#[cfg(test)]
mod positions_tests;

pub use band::{Band, BandWeek, Spread};
pub use bars::{Bars, BarsWeek};
pub use stair::{Stair, StairWeek, TinyStair};
pub use weeks::WeekLabel;

/// What a chart is called.
#[derive(Debug, Clone, Default)]
pub struct Caption {
    /// Letters, digits and hyphens; one of its own for each chart of a page.
    pub id: String,
    /// What it is, in a few words.
    pub title: String,
    /// What it shows, in a sentence or two, for whoever does not see it.
    pub description: String,
}

/// For which width a chart is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// A desk, a tablet, paper.
    Wide,
    /// A phone.
    Narrow,
}

impl Size {
    /// Width of the picture, in px where it is not scaled.
    pub(crate) fn width(self) -> u32 {
        match self {
            Self::Wide => 960,
            Self::Narrow => 360,
        }
    }

    /// Of all its texts, px. On a desk the picture is scaled up by a quarter; on a phone it is shown as it is.
    pub(crate) fn type_size(self) -> u32 {
        match self {
            Self::Wide => 15,
            Self::Narrow => 13,
        }
    }

    /// Least room for the names of values, px: charts under one another have their weeks under one another as well.
    fn left_px(self) -> u32 {
        match self {
            Self::Wide => 76,
            Self::Narrow => 56,
        }
    }

    /// Room beside the end of a line, px; on a phone what is said there stands above.
    fn right_px(self) -> u32 {
        match self {
            Self::Wide => 260,
            Self::Narrow => 8,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Wide => "wide",
            Self::Narrow => "narrow",
        }
    }
}

/// Both drawings of a chart, for a page's template; `charts.css` shows the one that fits.
fn both(caption: &Caption, draw: impl Fn(Size, &Caption) -> String) -> String {
    let one = |size: Size| {
        let caption = Caption { id: format!("{}-{}", caption.id, size.word()), ..caption.clone() };
        format!("<div class=\"chart-{}\">{}</div>", size.word(), draw(size, &caption))
    };
    format!("{}{}", one(Size::Wide), one(Size::Narrow))
}

/// Room for these names beside a plane, px; names wider than three tenths of the picture are cut.
fn left_px<'a>(names: impl Iterator<Item = &'a String>, size: Size) -> u32 {
    let widest = names.map(|name| text::width_px(name, size)).fold(0.0, f64::max);
    (widest + 20.0).clamp(f64::from(size.left_px()), f64::from(size.width()) * 0.3) as u32
}

/// A measure that can be drawn: there, finite, and no larger than any measure of this program can be.
fn drawable(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite() && v.abs() <= 1e6)
}
