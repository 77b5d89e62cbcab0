//! Where the plotting crate draws: SVG whose colours are classes and whose type is the page's. It counts in tenths of a px, since the
//! crate's coordinates are whole numbers. Must know no chart.

use super::Caption;
use super::ink::{Role, Stroke, role_of};
use super::text::escaped;
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind, FontStyle,
};
use std::convert::Infallible;
use std::fmt::Write;

/// Steps of the paper in a px.
pub(super) const FINE: i32 = 10;

/// A picture that is being written.
#[derive(Debug)]
pub(super) struct Paper<'a> {
    out: &'a mut String,
    width_px: u32,
    height_px: u32,
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

impl<'a> Paper<'a> {
    pub(super) fn new(out: &'a mut String, width_px: u32, height_px: u32) -> Self {
        Self { out, width_px, height_px }
    }

    /// Writes to memory, which cannot fail.
    fn put(&mut self, text: std::fmt::Arguments<'_>) -> Drawn {
        self.out.write_fmt(text).expect("a string takes any text");
        Ok(())
    }

    fn points(path: impl IntoIterator<Item = BackendCoord>) -> String {
        let pairs: Vec<String> = path.into_iter().map(|(x, y)| format!("{},{}", px(x), px(y))).collect();
        pairs.join(" ")
    }
}

/// Tenths as px, without a figure that says nothing.
fn px(tenths: i32) -> String {
    let (sign, whole, rest) =
        (if tenths < 0 { "-" } else { "" }, tenths.unsigned_abs() / 10, tenths.unsigned_abs() % 10);
    if rest == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{rest}") }
}

/// Class and attributes of a line or an outline.
fn outline(style: &impl BackendStyle) -> String {
    let (role, stroke) = role_of(style.color());
    let width = px(style.stroke_width() as i32);
    let (kind, dashes) = match stroke {
        Stroke::Solid => ("line", ""),
        Stroke::Dotted => ("line", " stroke-dasharray=\"2 5\""),
        Stroke::Dashed => ("line", " stroke-dasharray=\"9 5\""),
        Stroke::Open => ("open", ""),
    };
    format!("class=\"{kind} {}\" stroke-width=\"{width}\"{dashes}", role.class())
}

/// Class of a filled shape.
fn filling(style: &impl BackendStyle) -> String {
    format!("class=\"area {}\"", role_of(style.color()).0.class())
}

impl DrawingBackend for Paper<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        (self.width_px * FINE as u32, self.height_px * FINE as u32)
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, (x, y): BackendCoord, colour: BackendColor) -> Drawn {
        let class = filling(&colour);
        self.put(format_args!("<rect {class} x=\"{}\" y=\"{}\" width=\"0.1\" height=\"0.1\"/>", px(x), px(y)))
    }

    fn draw_line<S: BackendStyle>(&mut self, from: BackendCoord, to: BackendCoord, style: &S) -> Drawn {
        self.draw_path([from, to], style)
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        (left, top): BackendCoord,
        (right, bottom): BackendCoord,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let look = if fill { filling(style) } else { outline(style) };
        let (x, y) = (px(left.min(right)), px(top.min(bottom)));
        let (width, height) = (px((right - left).abs()), px((bottom - top).abs()));
        self.put(format_args!("<rect {look} x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>"))
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        let points = Self::points(path);
        self.put(format_args!("<polyline {} points=\"{points}\"/>", outline(style)))
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        (x, y): BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let look = if fill { filling(style) } else { outline(style) };
        let (x, y, r) = (px(x), px(y), px(radius as i32));
        self.put(format_args!("<circle {look} cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>"))
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        let points = Self::points(path);
        self.put(format_args!("<polygon {} points=\"{points}\"/>", filling(style)))
    }

    fn draw_text<S: BackendTextStyle>(&mut self, text: &str, style: &S, (x, y): BackendCoord) -> Drawn {
        let anchor = match style.anchor().h_pos {
            HPos::Left => "start",
            HPos::Center => "middle",
            HPos::Right => "end",
        };
        // B612's figures and capitals are 0.75 em high: half of that below the middle.
        let below_em = match style.anchor().v_pos {
            VPos::Top => "0.75em",
            VPos::Center => "0.37em",
            VPos::Bottom => "0",
        };
        let class = match role_of(style.color()).0 {
            Role::Ink => "ink",
            _ => "quiet",
        };
        let weight = if matches!(style.style(), FontStyle::Bold) { " font-weight=\"700\"" } else { "" };
        let size = px(style.size() as i32);
        self.put(format_args!(
            "<text class=\"{class}\" x=\"{}\" y=\"{}\" dy=\"{below_em}\" text-anchor=\"{anchor}\" \
             font-size=\"{size}\"{weight}>{}</text>",
            px(x),
            px(y),
            escaped(text)
        ))
    }
}

/// The whole picture: what was drawn, in a box that says what it is.
pub(super) fn svg(caption: &Caption, (width_px, height_px): (u32, u32), drawn: &str) -> String {
    let id = escaped(&caption.id);
    format!(
        "<svg class=\"chart\" viewBox=\"0 0 {width_px} {height_px}\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\"><title id=\"{id}-title\">{}</title><desc id=\"{id}-desc\">{}</desc>{drawn}</svg>",
        escaped(&caption.title),
        escaped(&caption.description)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tenths_are_written_as_px() {
        for (tenths, expected) in [(0, "0"), (10, "1"), (123, "12.3"), (-5, "-0.5"), (-120, "-12")] {
            assert_eq!(px(tenths), expected);
        }
    }

    #[test]
    fn a_box_says_what_it_is_and_escapes_it() {
        let caption = Caption { id: "a".into(), title: "Rung & <week>".into(), description: "\"up\"".into() };
        let text = svg(&caption, (360, 120), "");
        let tree = roxmltree::Document::parse(&text).unwrap();
        let root = tree.root_element();
        assert_eq!(root.attribute("viewBox"), Some("0 0 360 120"));
        assert_eq!(root.attribute("role"), Some("img"));
        assert_eq!(root.first_element_child().and_then(|t| t.text()), Some("Rung & <week>"));
    }
}
