//! Where marks lie, by arithmetic done by hand. A desk's picture is 960 px wide, of which 76 px on the left and 260 px on the right are
//! for names: ten weeks share 624 px, 62.4 px each. The top edge is 12 px. The plotting crate leaves out its last tenth of a px, so
//! places are held to 0.3 px.

use super::*;
use roxmltree::{Document, Node};

fn label(week: usize) -> WeekLabel {
    WeekLabel { week: week.to_string(), year: "2026".into() }
}

/// The desk's drawing.
fn wide(html: &str) -> String {
    let from = html.find("<svg").unwrap();
    html[from..from + html[from..].find("</svg>").unwrap() + 6].to_owned()
}

fn attribute(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

fn points(node: Node<'_, '_>) -> Vec<(f64, f64)> {
    let pair = |pair: &str| {
        let (x, y) = pair.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    node.attribute("points").unwrap().split(' ').map(pair).collect()
}

fn assert_at(found: &[(f64, f64)], expected: &[(f64, f64)]) {
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for (f, e) in found.iter().zip(expected) {
        assert!((f.0 - e.0).abs() <= 0.3 && (f.1 - e.1).abs() <= 0.3, "{found:?}, expected {expected:?}");
    }
}

/// Lines of a role, by their width.
fn lines<'a>(tree: &'a Document<'a>, class: &str, width: &str) -> Vec<Node<'a, 'a>> {
    let is_it =
        |n: &Node<'_, '_>| n.attribute("class") == Some(class) && n.attribute("stroke-width") == Some(width);
    tree.descendants().filter(is_it).collect()
}

/// Ten rungs of 34 px are 340 px high; the axis goes from -0.5 to 9.5, so rung r lies at 12 + 34 * (9.5 - r).
fn stair() -> Stair {
    let week = |(idx, (was_here, reached)): (usize, &(bool, Option<usize>))| StairWeek {
        label: label(idx + 1),
        was_here: *was_here,
        reached: *reached,
        ..StairWeek::default()
    };
    let weeks = [
        (true, None),
        (true, Some(0)),
        (true, Some(1)),
        (false, Some(1)),
        (true, Some(3)),
        (true, Some(3)),
        (true, Some(3)),
        (true, Some(3)),
        (true, Some(3)),
        (true, Some(3)),
    ];
    let mut weeks: Vec<StairWeek> = weeks.iter().enumerate().map(week).collect();
    weeks[0].tried = vec![0];
    weeks[4].held_at_home = Some(4);
    Stair {
        rungs: (60..70).map(|bpm| bpm.to_string()).collect(),
        weeks,
        at_end: "r".into(),
        ..Stair::default()
    }
}

#[test]
fn a_stair_goes_up_where_a_week_begins_and_is_dotted_where_one_was_missed() {
    let text = wide(&stair().svg());
    let tree = Document::parse(&text).unwrap();
    let x = |week: f64| 76.0 + 62.4 * week;
    let y = |rung: f64| 12.0 + 34.0 * (9.5 - rung);
    let solid = lines(&tree, "line ink", "4");
    let [first, second] = &solid[..] else { panic!("{solid:?}") };
    assert_at(&points(*first), &[(x(1.0), y(0.0)), (x(2.0), y(0.0)), (x(2.0), y(1.0)), (x(3.0), y(1.0))]);
    // After the gap it goes up from where it was; level weeks after that are one line on.
    let after = points(*second);
    assert_at(&after[..3], &[(x(4.0), y(1.0)), (x(4.0), y(3.0)), (x(5.0), y(3.0))]);
    assert_at(&after[after.len() - 1..], &[(x(10.0), y(3.0))]);
    let dotted = lines(&tree, "line ink", "3");
    let [gap] = &dotted[..] else { panic!("{dotted:?}") };
    assert!(gap.attribute("stroke-dasharray").is_some());
    assert_at(&points(*gap), &[(x(3.0), y(1.0)), (x(4.0), y(1.0))]);
}

#[test]
fn what_was_tried_and_what_was_held_at_home_lie_in_the_middle_of_their_week() {
    let text = wide(&stair().svg());
    let tree = Document::parse(&text).unwrap();
    let stub = tree.descendants().find(|n| n.has_tag_name("rect")).unwrap();
    let middle = attribute(stub, "x") + attribute(stub, "width") / 2.0;
    let level = attribute(stub, "y") + attribute(stub, "height") / 2.0;
    assert_at(&[(middle, level)], &[(76.0 + 62.4 * 0.5, 12.0 + 34.0 * 9.5)]);
    assert_eq!(stub.attribute("class"), Some("open ink"));
    let ring = tree.descendants().find(|n| n.has_tag_name("circle")).unwrap();
    assert_at(&[(attribute(ring, "cx"), attribute(ring, "cy"))], &[(76.0 + 62.4 * 4.5, 12.0 + 34.0 * 5.5)]);
}

/// The end says of the highest one tried last, so it stands beside that one, and not beside others tried on the way there.
#[test]
fn what_was_tried_last_is_named_beside_the_highest_of_it() {
    let mut stair = stair();
    stair.weeks[9].tried = vec![5, 7, 6];
    stair.tried_at_end = "t".into();
    let text = wide(&stair.svg());
    let tree = Document::parse(&text).unwrap();
    let level = |said: &str| {
        let is_it = |n: &Node<'_, '_>| n.has_tag_name("text") && n.text().is_some_and(|t| t.trim() == said);
        attribute(tree.descendants().find(is_it).unwrap(), "y")
    };
    // Both are set alike, so they lie four rungs of 34 px apart.
    assert!((level("r") - level("t") - 4.0 * 34.0).abs() <= 1.0, "{text}");
}

#[test]
fn a_stair_has_the_same_as_a_table() {
    let rows = stair().rows("-");
    assert_eq!(rows[0], ["1", "-", "60", "-"]);
    assert_eq!(rows[2], ["3", "61", "-", "-"]);
    // Nobody reached anything in a week that was missed.
    assert_eq!(rows[3], ["4", "-", "-", "-"]);
    assert_eq!(rows[4], ["5", "63", "-", "64"]);
}

/// -50 to 50 and 8 % of 100 beyond each: the axis goes from -58 to 58 over 150 px.
#[test]
fn a_band_lies_around_its_middle_and_breaks_where_a_week_was_missed() {
    let week = |idx: usize| BandWeek {
        label: label(idx + 1),
        line: (idx != 2).then_some(Spread { middle: 0.0, range: Some((-50.0, 50.0)) }),
        ..BandWeek::default()
    };
    let band = Band {
        weeks: (0..10).map(week).collect(),
        good: Some((-25.0, 25.0)),
        least_range: 1.0,
        ..Band::default()
    };
    let text = wide(&band.svg());
    let tree = Document::parse(&text).unwrap();
    let x = |week: f64| 76.0 + 62.4 * week;
    let y = |value: f64| 12.0 + (58.0 - value) * 150.0 / 116.0;
    let areas: Vec<_> = tree.descendants().filter(|n| n.has_tag_name("polygon")).collect();
    assert_eq!(areas.len(), 2);
    assert_at(
        &points(areas[0]),
        &[(x(0.5), y(50.0)), (x(1.5), y(50.0)), (x(1.5), y(-50.0)), (x(0.5), y(-50.0))],
    );
    let middle = lines(&tree, "line ink", "2.5");
    assert_eq!(middle.len(), 2);
    assert_at(&points(middle[0]), &[(x(0.5), y(0.0)), (x(1.5), y(0.0))]);
    assert_eq!(points(middle[1]).len(), 7);
    let bounds = lines(&tree, "line quiet", "1.2");
    let heights: Vec<f64> = bounds.iter().map(|bound| points(*bound)[0].1).collect();
    assert!((heights[0] - y(-25.0)).abs() < 0.3 && (heights[1] - y(25.0)).abs() < 0.3, "{heights:?}");
}

/// 50 minutes at most and 8 % of them above: 54 over 100 px. Six columns, the least there are, are 104 px each; a bar is 28 px.
#[test]
fn bars_stand_on_nought_and_what_was_done_at_home_stands_on_them() {
    let bars = Bars {
        weeks: vec![BarsWeek { label: label(1), in_rehearsal: 30.0, at_home: 20.0 }],
        least_range: 10.0,
        ..Bars::default()
    };
    let text = wide(&bars.svg());
    let tree = Document::parse(&text).unwrap();
    let found: Vec<_> = tree.descendants().filter(|n| n.has_tag_name("rect")).collect();
    let [rehearsal, home] = &found[..] else { panic!("{found:?}") };
    let left = 76.0 + 52.0 - 14.0;
    for (bar, class, top, height) in
        [(rehearsal, "area ink", 54.0 - 30.0, 30.0), (home, "open ink", 54.0 - 50.0, 20.0)]
    {
        assert_eq!(bar.attribute("class"), Some(class));
        assert_at(&[(attribute(*bar, "x"), attribute(*bar, "y"))], &[(left, 12.0 + top / 54.0 * 100.0)]);
        assert_at(&[(attribute(*bar, "width"), attribute(*bar, "height"))], &[(28.0, height / 54.0 * 100.0)]);
    }
}
