//! What charts are drawn with: roles in place of colours. The plotting crate passes colours through, so a role travels as one that
//! no page ever shows. Must know no colour of a page.

use plotters::style::{RGBColor, ShapeStyle};
use plotters_backend::BackendColor;

/// What something in a chart is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// What the chart says.
    Ink,
    /// What explains it.
    Quiet,
    /// Bounds and edges that must be seen.
    Rule,
    /// Guides that may be missed.
    Guide,
}

/// How it is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stroke {
    Solid,
    /// Of a week that was missed, of a bound.
    Dotted,
    /// Of a second line.
    Dashed,
    /// An outline over the ground, so that what lies behind does not show through.
    Open,
}

const ROLES: [Role; 4] = [Role::Ink, Role::Quiet, Role::Rule, Role::Guide];
const STROKES: [Stroke; 4] = [Stroke::Solid, Stroke::Dotted, Stroke::Dashed, Stroke::Open];

impl Role {
    /// Class in `charts.css`.
    pub(super) fn class(self) -> &'static str {
        match self {
            Self::Ink => "ink",
            Self::Quiet => "quiet",
            Self::Rule => "rule",
            Self::Guide => "guide",
        }
    }
}

/// A role as the plotting crate carries it.
pub(super) fn colour(role: Role, stroke: Stroke) -> RGBColor {
    RGBColor(role as u8, stroke as u8, 0)
}

/// The role that a colour stands for; ink for colours that are none of ours.
pub(super) fn role_of(colour: BackendColor) -> (Role, Stroke) {
    let (role, stroke, _) = colour.rgb;
    let role = ROLES.get(usize::from(role)).copied().unwrap_or(Role::Ink);
    (role, STROKES.get(usize::from(stroke)).copied().unwrap_or(Stroke::Solid))
}

/// A line or an outline; `width` in tenths of a px.
pub(super) fn pen(role: Role, stroke: Stroke, width: u32) -> ShapeStyle {
    ShapeStyle { color: colour(role, stroke).into(), filled: false, stroke_width: width }
}

/// A filled shape.
pub(super) fn fill(role: Role) -> ShapeStyle {
    ShapeStyle { color: colour(role, Stroke::Solid).into(), filled: true, stroke_width: 0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use plotters::style::Color;

    #[test]
    fn a_role_comes_out_as_it_went_in() {
        for role in ROLES {
            for stroke in STROKES {
                assert_eq!(role_of(colour(role, stroke).to_backend_color()), (role, stroke));
            }
        }
    }
}
