//! A plan as text that people like to read and change: fields in the order of the format, notes spelled as winds read them, short objects and lists on one
//! line, whole numbers without a point. Pure.

use super::model::Plan;
use std::borrow::Cow;
use windrow_protocol::note::Note;

/// Widest line; wider objects and lists are broken up.
const WIDTH: usize = 110;

/// A plan as it stands in a file; reads back equal.
pub(crate) fn write(plan: &Plan) -> String {
    let compact = serde_json::to_string(plan).expect("plain data becomes JSON");
    let mut rest = compact.as_str();
    let mut text = String::new();
    Node::of(&mut rest).lay_out(0, 0, &mut text);
    text.push('\n');
    text
}

/// A value of compact JSON, its parts still in order.
#[derive(Debug)]
enum Node<'a> {
    /// A number, text, true, false or null, as it is written.
    Leaf(Cow<'a, str>),
    /// An object or a list: its closing bracket, and what is in it, each with its name where it has one.
    Nest(char, Vec<(Option<&'a str>, Node<'a>)>),
}

/// Length of the string that a text begins with, both quotation marks included.
fn string_len(text: &str) -> usize {
    let mut is_escaped = false;
    for (i, byte) in text.bytes().enumerate().skip(1) {
        match byte {
            _ if is_escaped => is_escaped = false,
            b'\\' => is_escaped = true,
            b'"' => return i + 1,
            _ => {}
        }
    }
    text.len()
}

fn take<'a>(rest: &mut &'a str, n: usize) -> &'a str {
    let (taken, left) = rest.split_at(n);
    *rest = left;
    taken
}

/// A note's name in quotation marks, with flats where players read flats.
fn respelled(leaf: Cow<'_, str>) -> Cow<'_, str> {
    match leaf.trim_matches('"').parse::<Note>() {
        Ok(note) => {
            // Signs that every keyboard has.
            format!("\"{}\"", note.spelled().replace('♯', "#").replace('♭', "b")).into()
        }
        Err(_) => leaf,
    }
}

impl<'a> Node<'a> {
    /// The value that a text of compact JSON begins with; takes it off the text.
    fn of(rest: &mut &'a str) -> Self {
        let close = match rest.as_bytes().first() {
            Some(b'{') => '}',
            Some(b'[') => ']',
            Some(b'"') => {
                let n = string_len(rest);
                return Node::Leaf(take(rest, n).into());
            }
            _ => {
                let leaf = take(rest, rest.find([',', '}', ']']).unwrap_or(rest.len()));
                // 60.0 and 60 are the same number; larger ones are written with an exponent.
                return Node::Leaf(leaf.strip_suffix(".0").unwrap_or(leaf).into());
            }
        };
        take(rest, 1);
        let mut parts = Vec::new();
        while !rest.is_empty() && !rest.starts_with(close) {
            if rest.starts_with(',') {
                take(rest, 1);
            }
            let name = (close == '}').then(|| {
                let n = string_len(rest);
                let name = take(rest, n);
                take(rest, 1);
                name
            });
            let node = match (name, Node::of(rest)) {
                (Some("\"note\""), Node::Leaf(leaf)) => Node::Leaf(respelled(leaf)),
                (_, node) => node,
            };
            parts.push((name, node));
        }
        take(rest, 1.min(rest.len()));
        Node::Nest(close, parts)
    }

    /// Width on one line, in characters.
    fn width(&self) -> usize {
        match self {
            Node::Leaf(text) => text.chars().count(),
            Node::Nest(_, parts) => {
                let name = |name: &Option<&str>| name.map_or(0, |name| name.chars().count() + 2);
                4 + parts.iter().map(|(n, node)| name(n) + node.width() + 2).sum::<usize>()
            }
        }
    }

    /// Writes it, `indent` deep, behind `before` characters on the same line.
    fn lay_out(&self, indent: usize, before: usize, text: &mut String) {
        let (close, parts) = match self {
            Node::Leaf(leaf) => return text.push_str(leaf),
            Node::Nest(close, parts) => (*close, parts),
        };
        let fits = indent > 0 && before + self.width() <= WIDTH;
        let open = if close == '}' { '{' } else { '[' };
        // "{ a }" but "[a]".
        let padding = if close == '}' && !parts.is_empty() { " " } else { "" };
        text.push(open);
        for (i, (name, node)) in parts.iter().enumerate() {
            let inner = indent + 2;
            match (fits, i) {
                (true, 0) => text.push_str(padding),
                (true, _) => text.push_str(", "),
                (false, _) => {
                    text.push_str(if i == 0 { "\n" } else { ",\n" });
                    text.push_str(&" ".repeat(inner));
                }
            }
            let name = name.map(|name| format!("{name}: ")).unwrap_or_default();
            text.push_str(&name);
            // On one line everything fits already.
            let before = if fits { 0 } else { inner + name.chars().count() };
            node.lay_out(inner, before, text);
        }
        if fits {
            text.push_str(padding);
        } else if !parts.is_empty() {
            text.push('\n');
            text.push_str(&" ".repeat(indent));
        }
        text.push(close);
    }
}
