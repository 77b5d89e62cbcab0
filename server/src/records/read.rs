//! A document from text, or what is wrong with it, where, and what to do. Pure; knows no files and no records.

use super::document::{Document, FORMAT, Session, VERSION};
use crate::plan::{Place, of_decoding};
use crate::roster::dates::unix_ms_of;
use crate::words::english;
use serde::Deserialize;
use serde::de::{Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use std::collections::BTreeSet;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Micros;

/// Longest text of one rehearsal, bytes. Forty players who pulse five times a second for ninety minutes without a rest take some
/// 45 MB, by what a pulse takes as a row of numbers (32 bytes) and once more in its run (9).
pub(crate) const MAX_BYTES: usize = 64 * 1024 * 1024;
/// Longest id; those of this program have 36 signs.
const MAX_ID_BYTES: usize = 64;
/// When a rehearsal can have been, ms since 1970: 1990 to 2100. Charts have a column for each week from the first to the last.
const TIMES_UNIX_MS: std::ops::Range<i64> = 631_152_000_000..4_102_444_800_000;
/// Most signs of a text that a complaint repeats.
const MAX_SHOWN: usize = 40;
/// Most players and runs of a session: each pulse is looked for among its runs, and each run's players among all. A room has 256
/// chairs, and the longest day half of those runs. Our own choice.
const MAX_PLAYERS: usize = 1024;
const MAX_RUNS: usize = 4096;

/// Why a text is no rehearsal. Shows itself as the command line says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct BadDocument(Phrase);

impl BadDocument {
    /// In any language; a full stop follows.
    pub(crate) fn phrase(&self) -> &Phrase {
        &self.0
    }
}

impl std::fmt::Display for BadDocument {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&english(&self.0))
    }
}

impl std::error::Error for BadDocument {}

/// What is looked at first: of another format nothing else is worth saying.
#[derive(Debug, Deserialize)]
struct Beginning {
    format: Option<Sign>,
    version: Option<Sign>,
}

/// A word or a whole number. Whatever else stands in its place is passed over and not kept: a file's lists take sixteen times
/// their size as values.
#[derive(Debug, PartialEq)]
enum Sign {
    Word(String),
    Number(u64),
    Other,
}

impl<'de> Deserialize<'de> for Sign {
    fn deserialize<D: Deserializer<'de>>(decoder: D) -> Result<Self, D::Error> {
        struct ASign;

        impl<'de> Visitor<'de> for ASign {
            type Value = Sign;

            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("anything")
            }

            fn visit_str<E>(self, word: &str) -> Result<Sign, E> {
                Ok(Sign::Word(word.to_owned()))
            }

            fn visit_u64<E>(self, number: u64) -> Result<Sign, E> {
                Ok(Sign::Number(number))
            }

            fn visit_i64<E>(self, _: i64) -> Result<Sign, E> {
                Ok(Sign::Other)
            }

            fn visit_f64<E>(self, _: f64) -> Result<Sign, E> {
                Ok(Sign::Other)
            }

            fn visit_bool<E>(self, _: bool) -> Result<Sign, E> {
                Ok(Sign::Other)
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Sign, A::Error> {
                while list.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Sign::Other)
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Sign, A::Error> {
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
                Ok(Sign::Other)
            }
        }

        decoder.deserialize_any(ASign)
    }
}

/// Reads a document and checks it.
///
/// # Errors
/// The first thing that is wrong, with its place.
pub(crate) fn read(text: &str) -> Result<Document, BadDocument> {
    if text.len() > MAX_BYTES {
        let (mib, most) = (text.len() / 1024 / 1024, MAX_BYTES / 1024 / 1024);
        return Err(BadDocument(Phrase::of("records-too-big").with("mib", mib).with("most", most)));
    }
    let text = text.trim_start_matches('\u{feff}');
    if text.trim().is_empty() {
        return Err(BadDocument(Phrase::of("records-empty")));
    }
    let beginning: Beginning = serde_json::from_str(text).map_err(|error| syntax(text, &error))?;
    is_of_this_kind(&beginning)?;
    let mut decoder = serde_json::Deserializer::from_str(text);
    let document: Document = serde_path_to_error::deserialize(&mut decoder).map_err(|error| {
        let said = error.inner().to_string();
        let said = said.rsplit_once(" at line ").map_or(said.as_str(), |(said, _)| said);
        let (place, text) = of_decoding(Place::from(error.path()), said);
        at(&place.to_string(), text)
    })?;
    check(&document)?;
    Ok(document)
}

fn at(place: &str, text: Phrase) -> BadDocument {
    BadDocument(Phrase::of("records-at").with("place", place).with("text", text))
}

fn syntax(text: &str, error: &serde_json::Error) -> BadDocument {
    if text.trim_start().starts_with('{') {
        let id = if error.is_eof() { "records-ends-early" } else { "records-broken" };
        BadDocument(Phrase::of(id).with("line", error.line()).with("column", error.column()))
    } else {
        BadDocument(Phrase::of("records-other"))
    }
}

fn is_of_this_kind(beginning: &Beginning) -> Result<(), BadDocument> {
    if !matches!(&beginning.format, Some(Sign::Word(word)) if word == FORMAT) {
        return Err(BadDocument(Phrase::of("records-other")));
    }
    match beginning.version {
        Some(Sign::Number(version)) if version == u64::from(VERSION) => Ok(()),
        Some(Sign::Number(newer)) if newer > u64::from(VERSION) => {
            let newer = Phrase::of("records-newer").with("is", newer.to_string());
            Err(BadDocument(newer.with("version", VERSION)))
        }
        _ => Err(at("version", Phrase::of("records-version").with("version", VERSION))),
    }
}

/// What the fields mean together.
fn check(document: &Document) -> Result<(), BadDocument> {
    id("rehearsal_id", &document.rehearsal_id)?;
    if document.sessions.is_empty() {
        return Err(at("sessions", Phrase::of("records-no-session")));
    }
    let (mut seen, mut players) = (BTreeSet::new(), BTreeSet::new());
    for (i, session) in document.sessions.iter().enumerate() {
        let place = format!("session {}", i + 1);
        for own in [&session.session_id, &session.origin_id] {
            id(&format!("{place}, session_id"), own)?;
        }
        if !seen.insert(&session.session_id) {
            return Err(twice(&place, "session_id", &session.session_id));
        }
        check_session(&place, session)?;
        for (n, player) in session.players.iter().enumerate() {
            if !players.insert(&player.player_id) {
                return Err(twice(&format!("{place}, player {}", n + 1), "player_id", &player.player_id));
            }
        }
    }
    let kinds: BTreeSet<&str> = document.sessions.iter().map(|session| session.kind.word()).collect();
    if kinds.len() > 1 {
        return Err(at("sessions", Phrase::of("records-kinds")));
    }
    Ok(())
}

fn check_session(place: &str, session: &Session) -> Result<(), BadDocument> {
    if unix_ms_of(&session.time_nought_utc).is_none_or(|ms| !TIMES_UNIX_MS.contains(&ms)) {
        let text: String = session.time_nought_utc.chars().take(MAX_SHOWN).collect();
        let text = Phrase::of("records-no-time").with("text", text);
        return Err(at(&format!("{place}, time_nought_utc"), text));
    }
    for (field, n, most) in
        [("players", session.players.len(), MAX_PLAYERS), ("runs", session.runs.len(), MAX_RUNS)]
    {
        if n > most {
            let many = Phrase::of("records-too-many").with("n", n).with("most", most);
            return Err(at(&format!("{place}, {field}"), many));
        }
    }
    check_times(place, session)?;
    let mut players: BTreeSet<&str> = BTreeSet::new();
    for (i, player) in session.players.iter().enumerate() {
        let place = format!("{place}, player {}", i + 1);
        id(&format!("{place}, player_id"), &player.player_id)?;
        players.insert(&player.player_id);
        if player.chair == 0 {
            return Err(at(&format!("{place}, chair"), Phrase::of("records-chair-nought")));
        }
        let pulses = &player.pulses;
        let lengths = [
            pulses.depth_db_pp.len(),
            pulses.swing_cents_pp.len(),
            pulses.mean_cents.len(),
            pulses.choked.len(),
        ];
        if lengths.iter().any(|&n| n != pulses.len()) {
            return Err(at(&format!("{place}, pulses"), Phrase::of("records-lengths")));
        }
    }
    let mut numbers = BTreeSet::new();
    for (i, run) in session.runs.iter().enumerate() {
        let place = format!("{place}, run {}", i + 1);
        if !numbers.insert(run.told.number) {
            return Err(twice(&place, "number", &run.told.number.to_string()));
        }
        if !run.has_possible_numbers() {
            return Err(at(&place, Phrase::of("records-impossible")));
        }
        if run.ended_us < run.began_us {
            return Err(at(&format!("{place}, ended_us"), Phrase::of("records-order")));
        }
        let named = run.told.players.iter().map(|player| ("told", player.player_id.as_str()));
        let named = named.chain(run.traces.iter().map(|trace| ("traces", trace.player_id.as_str())));
        let named =
            named.chain(run.stretches.iter().map(|stretch| ("stretches", stretch.player_id.as_str())));
        for (field, player_id) in named {
            if !players.contains(player_id) {
                let text = Phrase::of("records-nobody").with("id", player_id);
                return Err(at(&format!("{place}, {field}"), text));
            }
        }
        if run.score.check().is_err() {
            return Err(at(&format!("{place}, score"), Phrase::of("records-score")));
        }
        let mut parts = BTreeSet::new();
        for stretch in &run.stretches {
            let text = (stretch.player_id.as_str(), stretch.part);
            if usize::from(stretch.part) >= run.told.spans.len() || !parts.insert(text) {
                return Err(at(
                    &format!("{place}, stretches"),
                    Phrase::of("records-part").with("n", stretch.part),
                ));
            }
        }
        for player in &run.told.players {
            if player.spans.len() != run.told.spans.len() {
                return Err(at(&format!("{place}, told, players"), Phrase::of("records-spans")));
            }
        }
    }
    let mut versions = BTreeSet::new();
    for score in &session.scores {
        if score.check().is_err() {
            return Err(at(&format!("{place}, scores"), Phrase::of("records-score")));
        }
        if !versions.insert(score.version) {
            return Err(twice(place, "scores", &score.version.to_string()));
        }
    }
    let mut moments = BTreeSet::new();
    for moment in session.plans.iter().map(|plan| ("plans", plan.taken_us)) {
        if !moments.insert(moment) {
            return Err(twice(place, moment.0, &moment.1.to_string()));
        }
    }
    for moment in session.room_checks.iter().map(|check| ("room_checks", check.checked_us)) {
        if !moments.insert(moment) {
            return Err(twice(place, moment.0, &moment.1.to_string()));
        }
    }
    Ok(())
}

/// Times that have no range of their own.
fn check_times(place: &str, session: &Session) -> Result<(), BadDocument> {
    let beyond = |us: i64| !(Micros::LOW..=Micros::HIGH).contains(&(us as f64));
    let wrong = |what: String| at(&format!("{place}, {what}"), Phrase::of("records-impossible"));
    let told = |told: &super::document::SpanAsTold| told.timing_ms.is_some_and(|ms| ms.abs() > Micros::HIGH);
    for (i, player) in session.players.iter().enumerate() {
        if player.pulses.time_us.iter().copied().any(beyond) || player.span_results.iter().any(told) {
            return Err(wrong(format!("player {}", i + 1)));
        }
    }
    let moments = session.plans.iter().map(|plan| plan.taken_us);
    let moments = moments.chain(session.room_checks.iter().map(|check| check.checked_us));
    let is_beyond = moments.chain(session.ended_us).any(beyond);
    let apart = session.room_checks.iter().flat_map(|check| &check.found.chairs).filter_map(|c| c.apart_db);
    if is_beyond || apart.into_iter().any(|db| db.abs() > Micros::HIGH) {
        return Err(wrong("times".to_owned()));
    }
    Ok(())
}

/// Ids stand in addresses.
fn id(place: &str, id: &str) -> Result<(), BadDocument> {
    let is_good =
        (1..=MAX_ID_BYTES).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    if is_good { Ok(()) } else { Err(at(place, Phrase::of("records-bad-id").with("most", MAX_ID_BYTES))) }
}

fn twice(place: &str, field: &str, value: &str) -> BadDocument {
    at(&format!("{place}, {field}"), Phrase::of("records-twice").with("value", value))
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
