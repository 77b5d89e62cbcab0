//! Style sheets taken apart, as far as the rules about them need it: no strings with braces, no nesting but media queries.
//! Must know nothing of any one sheet.

use std::fs;
use windrow_tests::wasm_sources::project;

/// A rule of a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Rule {
    /// Of the query around it; empty where there is none.
    pub(super) media: String,
    pub(super) selector: String,
    /// Property and value, in their order.
    pub(super) declarations: Vec<(String, String)>,
}

/// Every style sheet by its name.
pub(super) fn stylesheets() -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = fs::read_dir(project().join("web/static"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "css"))
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, fs::read_to_string(&path).unwrap())
        })
        .collect();
    found.sort();
    found
}

fn without_comments(text: &str) -> String {
    let mut kept = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("/*") {
        kept.push_str(before);
        rest = after.split_once("*/").map_or("", |(_, after)| after);
    }
    kept + rest
}

/// Where the brace that opens at the beginning of `text` closes.
fn closing(text: &str) -> usize {
    let mut depth = 0;
    for (i, c) in text.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                if depth == 0 {
                    return i;
                }
            }
            _ => {}
        }
    }
    panic!("a brace is not closed: {text:.80}")
}

/// The rules of a sheet, in their order.
pub(super) fn rules(text: &str) -> Vec<Rule> {
    let mut found = Vec::new();
    collect(&without_comments(text), "", &mut found);
    found
}

fn collect(text: &str, media: &str, found: &mut Vec<Rule>) {
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        let head = rest[..open].split(';').next_back().unwrap().trim();
        let end = open + closing(&rest[open..]);
        let body = &rest[open + 1..end];
        if let Some(query) = head.strip_prefix("@media") {
            collect(body, query.trim(), found);
        } else {
            found.push(rule(media, head, body));
        }
        rest = &rest[end + 1..];
    }
}

fn rule(media: &str, selector: &str, body: &str) -> Rule {
    let declarations = body.split(';').filter_map(|line| line.split_once(':'));
    Rule {
        media: media.to_owned(),
        selector: selector.split_whitespace().collect::<Vec<_>>().join(" "),
        declarations: declarations
            .map(|(property, value)| (property.trim().to_owned(), value.trim().to_owned()))
            .collect(),
    }
}

#[test]
fn a_sheet_is_taken_apart() {
    let text = "/* { */ @import x; a,\nb { c: d; e: f(g) } @media print { h { i: j } }";
    let pair = |property: &str, value: &str| (property.to_owned(), value.to_owned());
    let expected = [
        Rule {
            media: String::new(),
            selector: "a, b".to_owned(),
            declarations: vec![pair("c", "d"), pair("e", "f(g)")],
        },
        Rule { media: "print".to_owned(), selector: "h".to_owned(), declarations: vec![pair("i", "j")] },
    ];
    assert_eq!(rules(text), expected);
}
