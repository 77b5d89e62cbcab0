//! Contrasts of the design system's colours in every theme, by the formula of WCAG 2.2 ("relative luminance" and "contrast
//! ratio", linearised at 0.04045), from base.css itself. Must know of colours nothing but what base.css says.

use super::sheets::rules;
use std::collections::BTreeMap;
use std::fs;
use windrow_tests::wasm_sources::project;

/// What a person has asked the system for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Theme {
    Light,
    Dark,
    LightMore,
    DarkMore,
    Print,
}

const THEMES: [Theme; 5] = [Theme::Light, Theme::Dark, Theme::LightMore, Theme::DarkMore, Theme::Print];

impl Theme {
    fn asks_for_more(self) -> bool {
        matches!(self, Theme::LightMore | Theme::DarkMore)
    }

    /// Whether a media query holds.
    fn fits(self, media: &str) -> bool {
        media.split(" and ").all(|part| match part.trim() {
            "" => true,
            "(prefers-color-scheme: dark)" => matches!(self, Theme::Dark | Theme::DarkMore),
            "(prefers-contrast: more)" => self.asks_for_more(),
            "print" => self == Theme::Print,
            _ => false,
        })
    }
}

/// Custom properties of the root as they stand in a theme: of two rules that hold the later one counts.
pub(super) fn colours(base: &str, theme: Theme) -> BTreeMap<String, String> {
    let holding = rules(base).into_iter().filter(|rule| rule.selector == ":root" && theme.fits(&rule.media));
    holding.flat_map(|rule| rule.declarations).collect()
}

/// Relative luminance of `#rrggbb`.
fn luminance(hex: &str) -> f64 {
    let channel = |from: usize| {
        let value = u8::from_str_radix(&hex[from..from + 2], 16).unwrap_or_else(|_| panic!("{hex}"));
        let value = f64::from(value) / 255.0;
        if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    };
    assert!(hex.len() == 7 && hex.starts_with('#'), "{hex} is not #rrggbb");
    0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
}

fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// The formula held against contrasts that are published or follow by hand.
#[test]
fn the_formula_gives_known_contrasts() {
    // WCAG 2.2 itself: black on white is 21 to 1, and a colour on itself is 1 to 1.
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#d55e00", "#d55e00") - 1.0).abs() < 1e-9);
    // #767676 is the palest grey that passes 4.5 on white (common practice); one step paler does not.
    assert!(contrast("#767676", "#ffffff") >= 4.5 && contrast("#777777", "#ffffff") < 4.5);
    // Okabe and Ito, "Color Universal Design" (2008): their colours, with contrasts on white and on black computed apart
    // from this program, with the threshold 0.04045.
    for (hex, on_white, on_black) in [
        ("#e69f00", 2.25, 9.32),
        ("#56b4e9", 2.31, 9.10),
        ("#009e73", 3.42, 6.14),
        ("#f0e442", 1.32, 15.88),
        ("#0072b2", 5.19, 4.05),
        ("#d55e00", 3.87, 5.43),
        ("#cc79a7", 3.06, 6.86),
    ] {
        for (other, expected) in [("#ffffff", on_white), ("#000000", on_black)] {
            let found = contrast(hex, other);
            assert!((found - expected).abs() < 0.006, "{hex} on {other}: {found}, not {expected}");
        }
    }
}

/// Words and what they stand on (SC 1.4.3, 4.5 to 1). Controls in ink have words in the ground's colour.
const WORDS: [(&str, &str); 5] = [
    ("--ink", "--ground"),
    ("--quiet", "--ground"),
    ("--ink", "--press"),
    ("--quiet", "--press"),
    ("--ground", "--ink"),
];

/// Lines, marks and shapes that mean something (SC 1.4.11, 3 to 1). The line under a field lies between it and the ground.
const GRAPHICS: [(&str, &str); 8] = [
    ("--rule-bar", "--ground"),
    ("--rule-beat", "--ground"),
    ("--rule-beat", "--press"),
    ("--rule-subdivision", "--ground"),
    ("--hue-time", "--ground"),
    ("--hue-pitch", "--ground"),
    ("--hue-air", "--ground"),
    ("--ink", "--ground"),
];

/// Decoration, or said by words as well: rules not reached yet and guides; the area that is pressed, which its words name.
const DECORATION: [&str; 2] = ["--ahead", "--press"];

#[test]
fn everything_to_be_read_or_told_apart_stands_out_in_every_theme() {
    let base = fs::read_to_string(project().join("web/static/base.css")).unwrap();
    let mut offences = Vec::new();
    for theme in THEMES {
        let colours = colours(&base, theme);
        // Who asks for more contrast gets what SC 1.4.6 asks of words, for everything.
        let (words, graphics) = if theme.asks_for_more() { (7.0, 7.0) } else { (4.5, 3.0) };
        for (pairs, least) in [(&WORDS[..], words), (&GRAPHICS[..], graphics)] {
            for (front, back) in pairs {
                let found = contrast(&colours[*front], &colours[*back]);
                if found < least {
                    offences.push(format!("{theme:?}: {front} on {back} is {found:.2}, not {least}"));
                }
            }
        }
    }
    assert!(offences.is_empty(), "{}", offences.join("\n"));
}

#[test]
fn no_colour_of_the_system_is_left_out_above() {
    let base = fs::read_to_string(project().join("web/static/base.css")).unwrap();
    let judged: Vec<&str> =
        WORDS.iter().chain(&GRAPHICS).flat_map(|(front, back)| [*front, *back]).chain(DECORATION).collect();
    for (name, value) in colours(&base, Theme::Light) {
        // White paper under a pattern for cameras stands by itself.
        let is_judged = judged.contains(&name.as_str()) || name == "--paper";
        assert!(!value.starts_with('#') || is_judged, "{name}: {value} is held against nothing");
    }
}
