//! How much room words take on the sheet, so that a page is filled before a browser sees it. Knows the type the pages are set
//! in, B612, whose bold letters are as wide as its others.

/// Widths of the letters from the space to the tilde, in twentieths of the type's size: the font's own table, rounded up.
const WIDTHS: [u8; 95] = [
    7, 7, 8, 17, 11, 18, 14, 4, 9, 9, 11, 12, 5, 9, 6, 11, 13, 13, 13, 13, 13, 13, 13, 13, 13, 13, 6, 5, 13,
    10, 13, 11, 20, 13, 13, 12, 13, 12, 11, 13, 14, 6, 9, 12, 11, 18, 15, 16, 12, 16, 13, 11, 12, 14, 13, 19,
    13, 12, 12, 9, 11, 10, 15, 11, 11, 11, 12, 10, 12, 11, 8, 12, 12, 6, 6, 11, 7, 18, 12, 12, 12, 12, 8, 9,
    8, 12, 11, 15, 11, 11, 10, 13, 4, 12, 15,
];
/// Of the dot between facts, of spaces, and of what German and good typography have beyond those, from the same table.
const DOT: u8 = 5;
const SPACE: u8 = 7;
const OTHERS: [(&str, u8); 9] = [
    ("‘’‚", 7),
    ("„“”", 10),
    ("ä–é", 11),
    ("öü", 12),
    ("Äß", 13),
    ("Ü", 14),
    ("…", 15),
    ("Ö×", 16),
    ("—", 21),
];
/// Of any other letter: that of most capitals, so that little is taken for narrower than it is.
const OTHER: u8 = 14;

/// A space at which no line is broken.
pub(super) const HARD_SPACE: char = '\u{a0}';

fn width(letter: char) -> f64 {
    let at = (letter as usize).checked_sub(0x20);
    let twentieths = at.and_then(|at| WIDTHS.get(at)).copied().unwrap_or(match letter {
        '·' => DOT,
        HARD_SPACE => SPACE,
        letter => {
            OTHERS.iter().find(|(letters, _)| letters.contains(letter)).map_or(OTHER, |&(_, width)| width)
        }
    });
    f64::from(twentieths) / 20.0
}

/// Width of a text in one line, in sizes of its type.
pub(super) fn width_em(text: &str) -> f64 {
    text.chars().map(width).sum()
}

/// Lines that a text fills where a line is so many sizes of its type wide; none for an empty text.
pub(super) fn lines(text: &str, line_em: f64) -> u32 {
    let space = width(' ');
    let mut n_lines = 0;
    let mut filled = f64::INFINITY;
    for word in text.split(|c: char| c.is_whitespace() && c != HARD_SPACE).filter(|word| !word.is_empty()) {
        let mut word_em = width_em(word);
        if filled + space + word_em <= line_em {
            filled += space + word_em;
            continue;
        }
        n_lines += 1;
        // A word that is longer than a line is broken.
        while word_em > line_em {
            n_lines += 1;
            word_em -= line_em;
        }
        filled = word_em;
    }
    n_lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_as_wide_as_the_fonts_table_says() {
        // B612's horizontal metrics, 2000 units an em: m 1800, i 600, space 700, A 1300.
        assert!((width_em("mi A") - (1800.0 + 600.0 + 700.0 + 1300.0) / 2000.0).abs() < 1e-9);
        // ä 1100, ö 1200, Ö 1600, ß 1300, the marks of a German quotation 1000 each.
        assert!((width_em("äöÖß„“") - 7200.0 / 2000.0).abs() < 1e-9);
        assert_eq!(width_em("ñ"), 0.7);
    }

    #[test]
    fn lines_break_at_words() {
        // Each "mmmm" is 3.6 wide, a space 0.35.
        assert_eq!((lines("", 10.0), lines("mmmm", 10.0), lines("mmmm mmmm", 7.56)), (0, 1, 1));
        assert_eq!((lines("mmmm mmmm", 7.5), lines("mmmm mmmm mmmm", 7.56)), (2, 2));
        assert_eq!(lines("mmmmmmmm", 4.0), 2);
    }
}
