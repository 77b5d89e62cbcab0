//! The pages' look as rules about their style sheets: colours and type sizes stand in `base.css` alone, whatever is used is
//! defined, and what is to be read or told apart has the contrast that WCAG 2.2 asks for, by its own formula. Must not open a page.

mod contrast;
mod sheets;

use sheets::{Rule, rules, stylesheets};
use std::collections::BTreeSet;
use std::fs;
use windrow_tests::wasm_sources::project;

/// What stands alone in a file as well, and so brings colours and sizes of its own: the paper on a stand.
const STANDS_ALONE: [&str; 3] = ["sheet.css", "sheet-a4.css", "sheet-letter.css"];

/// Units in which a size of type is fixed. `vw` and `vh` may stand between two sizes of the scale.
const FIXED_UNITS: [&str; 7] = ["px", "rem", "em", "pt", "mm", "cm", "%"];

/// Sheets that do not keep to the scale yet.
const NOT_YET: [&str; 2] = ["player-dialogs.css", "player.css"];

fn is_page(name: &str) -> bool {
    name != "base.css" && !STANDS_ALONE.contains(&name) && !NOT_YET.contains(&name)
}

/// Whether a value holds a colour by itself: `#` with figures, or a function or a common name of a colour.
fn has_colour(value: &str) -> bool {
    let is_hex = value.split('#').skip(1).any(|rest| {
        let n = rest.chars().take_while(char::is_ascii_hexdigit).count();
        [3, 4, 6, 8].contains(&n)
    });
    let functions = ["rgb(", "rgba(", "hsl(", "hsla(", "hwb(", "lab(", "lch(", "oklab(", "oklch(", "color("];
    let names = ["black", "white", "red", "blue", "green", "grey", "gray", "orange", "yellow"];
    let words = || value.split(|c: char| !c.is_ascii_alphanumeric() && c != '-');
    is_hex || functions.iter().any(|f| value.contains(f)) || words().any(|word| names.contains(&word))
}

/// Whether a size of type is fixed by itself instead of being taken from the scale.
fn has_fixed_size(value: &str) -> bool {
    let words = value.split(|c: char| " (),*/+".contains(c));
    words.filter(|word| word.starts_with(|c: char| c.is_ascii_digit() || c == '.')).any(|word| {
        let unit = word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
        FIXED_UNITS.contains(&unit)
    })
}

/// Properties that are defined anywhere in these texts, and those that are asked for.
fn custom_properties(text: &str) -> (BTreeSet<String>, BTreeSet<String>) {
    let name = |rest: &str| -> String {
        let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '-').unwrap_or(rest.len());
        format!("--{}", &rest[..end])
    };
    let asked = text.split("var(--").skip(1).map(name).collect();
    let defined = text
        .split("--")
        .skip(1)
        .filter(|rest| {
            let after = rest.trim_start_matches(|c: char| c.is_ascii_alphanumeric() || c == '-');
            // In a sheet, and where a script sets one: `setProperty("--name", ...)`.
            after.trim_start().starts_with(':') || after.starts_with("\",")
        })
        .map(name)
        .collect();
    (defined, asked)
}

#[test]
fn what_the_rules_look_for_is_recognised() {
    for bad in ["#fff", "1px solid #949494", "rgb(0 0 0 / 50%)", "white", "solid red"] {
        assert!(has_colour(bad), "{bad}");
    }
    for good in ["var(--ink)", "none", "url(#clip)", "currentColor", "Canvas", "var(--white-space)"] {
        assert!(!has_colour(good), "{good}");
    }
    for bad in ["16px", "clamp(22px, 2vw, 3rem)", "1.2em", ".9em", "calc(0.5 * 18px)", "120%"] {
        assert!(has_fixed_size(bad), "{bad}");
    }
    for good in [
        "var(--type-16)",
        "calc(0.72 * var(--name))",
        "clamp(var(--type-26), 4vw, var(--type-60))",
        "inherit",
    ] {
        assert!(!has_fixed_size(good), "{good}");
    }
    let (defined, asked) = custom_properties("a { --b: 1; c: var(--d-2, 3); } e.setProperty(\"--f\", 4)");
    assert_eq!(defined.into_iter().collect::<Vec<_>>(), ["--b", "--f"]);
    assert_eq!(asked.into_iter().collect::<Vec<_>>(), ["--d-2"]);
}

#[test]
fn colours_and_sizes_of_type_stand_in_the_design_system_alone() {
    let mut offences = Vec::new();
    for (name, text) in stylesheets().into_iter().filter(|(name, _)| is_page(name)) {
        for Rule { media, selector, declarations } in rules(&text) {
            let is_printed = media.contains("print");
            for (property, value) in declarations {
                // A printed page has its own sizes of type, in points.
                let is_type = property == "font" || property == "font-size" || property.starts_with("--type");
                if has_colour(&value) || (is_type && !is_printed && has_fixed_size(&value)) {
                    offences.push(format!("{name}: {selector} {{ {property}: {value} }}"));
                }
            }
        }
    }
    assert!(offences.is_empty(), "these belong in base.css:\n{}", offences.join("\n"));
}

#[test]
fn every_custom_property_that_is_asked_for_is_defined() {
    let static_dir = project().join("web/static");
    let scripts = fs::read_dir(&static_dir).unwrap().map(|entry| entry.unwrap().path());
    let scripts = scripts.filter(|path| path.extension().is_some_and(|end| end == "js"));
    let scripts: Vec<(String, String)> = scripts
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, fs::read_to_string(&path).unwrap())
        })
        .collect();
    let all: Vec<(String, String)> = stylesheets().into_iter().chain(scripts).collect();
    let defined: BTreeSet<String> = all.iter().flat_map(|(_, text)| custom_properties(text).0).collect();
    let mut offences = Vec::new();
    for (name, text) in &all {
        let asked = custom_properties(text).1;
        offences.extend(asked.difference(&defined).map(|property| format!("{name}: {property}")));
    }
    assert!(offences.is_empty(), "nobody defines these:\n{}", offences.join("\n"));
}

#[test]
fn pages_name_the_ground_as_the_design_system_has_it() {
    let base = fs::read_to_string(project().join("web/static/base.css")).unwrap();
    for page in ["head.html", "player.html"] {
        let text = fs::read_to_string(project().join("web/templates").join(page)).unwrap();
        for (scheme, theme) in [("light", contrast::Theme::Light), ("dark", contrast::Theme::Dark)] {
            let ground = contrast::colours(&base, theme)["--ground"].clone();
            let meta = format!(
                "<meta name=\"theme-color\" content=\"{ground}\" media=\"(prefers-color-scheme: {scheme})\">"
            );
            assert!(text.contains(&meta), "{page} lacks {meta}");
        }
    }
}
