//! What the demonstration's room check found, as a table or as lines of JSON. The names of the fields are what scripts rely
//! on. Must not know how it was found.

use crate::commands::columns::{columns, quantity};
use crate::words::english;
use serde::Serialize;
use std::io::Write;
use windrow_protocol::messages::{CheckedChair, RoomCheck};
use windrow_protocol::units::Decibels;

/// The last line: what concerns several chairs.
#[derive(Debug, Serialize)]
struct Together<'a> {
    too_close: &'a [[u16; 2]],
    advice: &'a [String],
}

/// A line for each chair, and what to do about it.
pub(super) fn print(found: &RoomCheck, json: bool) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    if json {
        let text = |value: serde_json::Result<String>| value.expect("levels and words have a JSON form");
        for chair in &found.chairs {
            writeln!(out, "{}", text(serde_json::to_string(chair)))?;
        }
        let advice: Vec<String> = found.advice.iter().map(english).collect();
        let together = Together { too_close: &found.too_close, advice: &advice };
        writeln!(out, "{}", text(serde_json::to_string(&together)))?;
    } else {
        write!(out, "{}", columns(&rows(found)))?;
        for advice in &found.advice {
            writeln!(out, "{}", english(advice))?;
        }
    }
    out.flush()
}

/// A header and one row a chair; the last columns are what its device hears of every other chair.
fn rows(found: &RoomCheck) -> Vec<Vec<String>> {
    let words = ["chair", "player", "part", "finding", "own", "noise", "apart"].map(str::to_owned);
    let head = words.into_iter().chain(found.chairs.iter().map(|c| format!("hears {}", c.chair)));
    let row = |c: &CheckedChair| {
        let db = |level: Option<Decibels>| quantity(level.map(Decibels::get), 0, "dB");
        let finding = serde_json::to_value(c.finding).ok();
        let finding = finding.as_ref().and_then(|f| f.as_str()).unwrap_or_default().replace('-', " ");
        let own = [
            c.chair.to_string(),
            c.name.to_string(),
            c.part.clone(),
            finding,
            db(c.own_db),
            db(c.noise_db),
            quantity(c.apart_db, 1, "dB"),
        ];
        let heard = found
            .chairs
            .iter()
            .map(|other| db(c.leaks.iter().find(|leak| leak.chair == other.chair).map(|leak| leak.level_db)));
        own.into_iter().chain(heard).collect()
    };
    std::iter::once(head.collect()).chain(found.chairs.iter().map(row)).collect()
}
