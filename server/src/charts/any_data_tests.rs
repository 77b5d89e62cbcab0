//! Whatever a chart is given, the picture is well formed, holds no number that is none, and lies within its box.

use super::*;
use proptest::prelude::*;
use roxmltree::{Document, Node};

/// Numbers that stand in an attribute.
fn numbers(text: &str) -> Vec<f64> {
    text.split([' ', ',']).map(|part| part.parse().expect("a number")).collect()
}

/// Places that an element reaches, as (x, y).
fn places(node: Node<'_, '_>) -> Vec<(f64, f64)> {
    let number = |name: &str| numbers(node.attribute(name).unwrap_or("0"))[0];
    match node.tag_name().name() {
        "polyline" | "polygon" => {
            let all = numbers(node.attribute("points").unwrap());
            all.chunks(2).map(|pair| (pair[0], pair[1])).collect()
        }
        "rect" => {
            let (x, y) = (number("x"), number("y"));
            vec![(x, y), (x + number("width"), y + number("height"))]
        }
        "circle" => {
            let (x, y, r) = (number("cx"), number("cy"), number("r"));
            vec![(x - r, y - r), (x + r, y + r)]
        }
        "text" => {
            // 0.35 em a sign is as narrow as B612 gets: what is found outside is outside.
            let wide = node.text().unwrap_or_default().chars().count() as f64 * 0.35 * number("font-size");
            let x = match node.attribute("text-anchor") {
                Some("start") => (number("x"), number("x") + wide),
                Some("middle") => (number("x") - wide / 2.0, number("x") + wide / 2.0),
                _ => (number("x") - wide, number("x")),
            };
            vec![(x.0, number("y")), (x.1, number("y"))]
        }
        _ => Vec::new(),
    }
}

/// `html` is what a template gets: one drawing or two.
fn check(html: &str) {
    let text = format!("<root>{html}</root>");
    let tree = Document::parse(&text).unwrap_or_else(|error| panic!("{error}: {html}"));
    let pictures: Vec<Node<'_, '_>> = tree.descendants().filter(|n| n.has_tag_name("svg")).collect();
    assert!(!pictures.is_empty());
    for picture in pictures {
        let view = numbers(picture.attribute("viewBox").unwrap());
        let (right, bottom) = (view[2] + 0.5, view[3] + 0.5);
        for node in picture.descendants() {
            for (x, y) in places(node) {
                let is_inside = (-0.5..=right).contains(&x) && (-0.5..=bottom).contains(&y);
                assert!(is_inside, "{x}, {y} of {:?} in {view:?}", &text[node.range()]);
            }
            let has_style = node.attribute("style").is_some() || node.attribute("fill").is_some();
            assert!(!has_style, "colours are the style sheet's");
        }
        let names: Vec<&str> = picture.attribute("aria-labelledby").unwrap().split(' ').collect();
        assert!(names.iter().all(|name| picture.children().any(|n| n.attribute("id") == Some(name))));
    }
}

fn value() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        2 => Just(None),
        5 => (-200.0..200.0_f64).prop_map(Some),
        1 => Just(Some(7.0)),
        1 => prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(f64::MIN), Just(1e-300)].prop_map(Some),
    ]
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![3 => "[a-z0-9 ]{0,40}", 1 => any::<String>().prop_map(|s| s.chars().take(60).collect())]
}

fn n_weeks() -> impl Strategy<Value = usize> {
    prop_oneof![Just(0), Just(1), Just(2), Just(12), Just(52), Just(260), 0..400_usize]
}

/// A repeated pattern of weeks, as long as asked.
fn weeks<T: Clone + std::fmt::Debug>(one: impl Strategy<Value = T>) -> impl Strategy<Value = Vec<T>> {
    (n_weeks(), prop::collection::vec(one, 1..9))
        .prop_map(|(n, pattern)| pattern.iter().cycle().take(n).cloned().collect())
}

fn label(idx: usize, week: &str) -> WeekLabel {
    WeekLabel { week: format!("{}{week}", idx % 52 + 1), year: format!("{}", 2020 + idx / 52) }
}

fn caption(text: &str) -> Caption {
    Caption { id: "chart".into(), title: text.into(), description: text.into() }
}

fn sign(value: f64, decimals: usize) -> String {
    format!("{value:+.decimals$}")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_stair_of_anything_is_a_picture(
        n_rungs in 0..40_usize,
        pattern in weeks((any::<bool>(), prop::option::of(0..40_usize), prop::collection::vec(0..40_usize, 0..3))),
        words in text(),
    ) {
        let rung = |rung: usize| rung.min(n_rungs.saturating_sub(1));
        let weeks: Vec<StairWeek> = pattern.iter().enumerate().map(|(idx, (was_here, reached, tried))| StairWeek {
            label: label(idx, ""),
            was_here: *was_here,
            reached: reached.map(rung),
            tried: tried.iter().copied().map(rung).collect(),
            held_at_home: tried.first().copied().map(rung),
        }).collect();
        let tiny = TinyStair { caption: caption(&words), n_rungs, weeks: &weeks };
        check(&tiny.svg());
        let stair = Stair {
            caption: caption(&words),
            rungs: (0..n_rungs).map(|rung| format!("{words} {rung}")).collect(),
            at_end: words.clone(),
            tried_at_end: words.clone(),
            away: words.clone(),
            weeks,
        };
        check(&stair.svg());
        prop_assert_eq!(stair.rows("-").len(), stair.weeks.len());
    }

    #[test]
    fn a_band_of_anything_is_a_picture(
        pattern in weeks((value(), value(), value(), value(), value())),
        good in prop::option::of((-100.0..100.0_f64, -100.0..100.0_f64)),
        zero in prop::option::of(-100.0..100.0_f64),
        least_range in value(),
        floor in value(),
        words in text(),
    ) {
        let weeks = pattern.iter().enumerate().map(|(idx, (middle, low, high, second, at_home))| BandWeek {
            label: label(idx, &words[..0]),
            line: middle.map(|middle| Spread { middle, range: low.zip(*high) }),
            second: *second,
            at_home: *at_home,
        }).collect();
        let band = Band {
            caption: caption(&words),
            weeks,
            good,
            zero: zero.map(|zero| (zero, words.clone())),
            least_range: least_range.unwrap_or(f64::NAN),
            floor,
            number: Some(&sign),
            above: words.clone(),
            below: words.clone(),
            at_end: words.clone(),
            second_at_end: words.clone(),
        };
        check(&band.svg());
        prop_assert_eq!(band.rows(1, "-").len(), band.weeks.len());
    }

    #[test]
    fn bars_of_anything_are_a_picture(pattern in weeks((value(), value())), least_range in value(), words in text()) {
        let weeks = pattern.iter().enumerate().map(|(idx, (in_rehearsal, at_home))| BarsWeek {
            label: label(idx, &words),
            in_rehearsal: in_rehearsal.unwrap_or_default(),
            at_home: at_home.unwrap_or_default(),
        }).collect();
        let bars = Bars {
            caption: caption(&words),
            weeks,
            least_range: least_range.unwrap_or_default(),
            number: None,
        };
        check(&bars.svg());
    }
}
