//! The square pattern (QR, ISO/IEC 18004) that a phone's camera reads: for a page and for a terminal. Always dark on white
//! with four light modules around it, as the standard asks, since not every camera reads the reverse.

use qrcode::render::svg;
use qrcode::types::QrError;
use qrcode::{Color, EcLevel, QrCode};
use std::fmt::Write;

/// Modules of light around the pattern (ISO/IEC 18004, section 9.1).
const QUIET_ZONE: usize = 4;

/// A pattern as SVG, with a size of its own that a style may change.
pub(crate) fn for_page(text: &str) -> Result<String, QrError> {
    let pattern = QrCode::with_error_correction_level(text, EcLevel::M)?;
    let picture = pattern
        .render::<svg::Color<'_>>()
        .module_dimensions(8, 8)
        .quiet_zone(true)
        .dark_color(svg::Color("#000000"))
        .light_color(svg::Color("#ffffff"))
        .build();
    Ok(picture)
}

/// A pattern as lines of a terminal, two modules high each, in black on white whatever the terminal's colours.
pub(crate) fn for_terminal(text: &str) -> Result<String, QrError> {
    let pattern = QrCode::with_error_correction_level(text, EcLevel::L)?;
    let (width, modules) = (pattern.width(), pattern.to_colors());
    let is_dark = |x: usize, y: usize| {
        let inside = |i: usize| i.checked_sub(QUIET_ZONE).filter(|&i| i < width);
        inside(x).zip(inside(y)).is_some_and(|(x, y)| modules[y * width + x] == Color::Dark)
    };
    let size = width + 2 * QUIET_ZONE;
    let mut lines = String::new();
    for y in (0..size).step_by(2) {
        // Black on bright white (ECMA-48 and its usual extension), then back to what the terminal had.
        lines.push_str("\x1b[30;107m");
        for x in 0..size {
            lines.push(match (is_dark(x, y), is_dark(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        writeln!(lines, "\x1b[0m").expect("writing to a string cannot fail");
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_terminals_pattern_has_its_finders_and_light_around_it() {
        let text = for_terminal("http://192.168.1.5:8470/join/KF3M7P").unwrap();
        let rows: Vec<Vec<char>> = text
            .lines()
            .map(|l| l.trim_start_matches("\x1b[30;107m").trim_end_matches("\x1b[0m").chars().collect())
            .collect();
        // 35 signs need version 3 at level L (at most 53 bytes; ISO/IEC 18004, table 7): 29 modules, and 4 on each side.
        assert_eq!((rows.len(), rows[0].len()), (19, 37));
        assert!(rows[..2].iter().flatten().all(|&c| c == ' '), "light above");
        assert!(rows.iter().all(|row| row[..4].iter().all(|&c| c == ' ')), "light at the left");
        // The finder at the upper left: seven dark modules, then light (section 6.3.3).
        assert_eq!(rows[2][4..12].iter().collect::<String>(), "█▀▀▀▀▀█ ");
    }

    #[test]
    fn a_pages_pattern_is_dark_on_white() {
        let svg = for_page("http://192.168.1.5:8470/join/KF3M7P").unwrap();
        assert!(svg.contains("fill=\"#ffffff\"") && svg.contains("fill=\"#000000\""), "{svg}");
        // Version 3 at level M (42 bytes): 37 modules of 8.
        assert!(svg.contains("viewBox=\"0 0 296 296\""), "{}", &svg[..200]);
    }
}
