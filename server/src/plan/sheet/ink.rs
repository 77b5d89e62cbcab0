//! Pieces of a picture: signs, lines and shapes as SVG, and how high and low they reach. Lengths are tenths of a staff space.
//! Knows no music.

use super::signs::Sign;
use std::fmt::Write;

/// A picture that grows.
#[derive(Debug, Default)]
pub(super) struct Ink {
    pub(super) svg: String,
    top: f64,
    bottom: f64,
}

/// A number as short as it can be written.
pub(super) fn short(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").map_or(text.as_str(), |whole| whole).to_owned();
    if text == "-0" { "0".to_owned() } else { text }
}

impl Ink {
    /// Reaches from one height to another, whatever is drawn there.
    pub(super) fn reach(&mut self, top: f64, bottom: f64) {
        self.top = self.top.min(top);
        self.bottom = self.bottom.max(bottom);
    }

    pub(super) fn top(&self) -> f64 {
        self.top
    }

    pub(super) fn bottom(&self) -> f64 {
        self.bottom
    }

    /// A sign with its beginning at `x` and its own nought at `y`.
    pub(super) fn sign(&mut self, sign: Sign, x: f64, y: f64) {
        self.scaled(sign, x, y, 1.0);
    }

    /// The same, smaller.
    pub(super) fn scaled(&mut self, sign: Sign, x: f64, y: f64, scale: f64) {
        let size = if scale == 1.0 { String::new() } else { format!(" scale({scale})") };
        let _ = write!(
            self.svg,
            "<use href=\"#{}\" transform=\"translate({} {}){size}\"/>",
            sign.id,
            short(x),
            short(y)
        );
    }

    /// The same, upside down about its own nought.
    pub(super) fn turned(&mut self, sign: Sign, x: f64, y: f64) {
        let _ = write!(
            self.svg,
            "<use href=\"#{}\" transform=\"translate({} {}) scale(1 -1)\"/>",
            sign.id,
            short(x),
            short(y)
        );
    }

    /// A filled rectangle.
    pub(super) fn block(&mut self, x: f64, y: f64, width: f64, height: f64) {
        let _ = write!(
            self.svg,
            "<path d=\"M{} {}h{}v{}h{}z\"/>",
            short(x),
            short(y),
            short(width),
            short(height),
            short(-width)
        );
    }

    /// A filled shape.
    pub(super) fn shape(&mut self, path: &str) {
        let _ = write!(self.svg, "<path d=\"{path}\"/>");
    }

    /// A stroke along a path.
    pub(super) fn stroke(&mut self, path: &str, width: f64) {
        let _ =
            write!(self.svg, "<path d=\"{path}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{width}\"/>");
    }

    pub(super) fn dot(&mut self, x: f64, y: f64) {
        let _ = write!(self.svg, "<circle cx=\"{}\" cy=\"{}\" r=\"2\"/>", short(x), short(y));
    }

    /// Words, centred at `x`, standing on `y`.
    pub(super) fn words(&mut self, words: &str, x: f64, y: f64, size: f64) {
        let _ = write!(
            self.svg,
            "<text x=\"{}\" y=\"{}\" font-size=\"{size}\" text-anchor=\"middle\">{words}</text>",
            short(x),
            short(y)
        );
    }
}
