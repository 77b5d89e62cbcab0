//! The section's charts and tables: which figure of a week goes where. It must know no records.

use super::columns::{Column, Columns};
use crate::charts::{Band, BandWeek, Caption, Spread, StairWeek, TinyStair};
use crate::http::results_words::{decimals, wire_word};
use crate::http::week_words::{plain, rung};
use crate::roster::{OnePlayed, SectionPlayed};
use crate::weeks::{Now, Rung, Week, Where};
use crate::words::Words;

/// Where nothing was measured.
const NOTHING: &str = "\u{2013}";

/// A chart with its name and how to read it.
#[derive(Debug)]
pub(super) struct Picture {
    pub(super) title: String,
    pub(super) legend: String,
    pub(super) svg: String,
}

/// A player's row.
#[derive(Debug)]
pub(super) struct PlayerRow {
    /// Empty for a nickname, which has no page of its own.
    pub(super) person_id: String,
    pub(super) name: String,
    pub(super) stair: String,
    pub(super) now: String,
    pub(super) before: String,
    pub(super) has_moved: bool,
    /// A rung that is tried and not held, with what stood in the way; may be empty.
    pub(super) stuck: String,
    /// Held at home, where that is more; may be empty.
    pub(super) at_home: String,
}

/// A week's row.
#[derive(Debug)]
pub(super) struct WeekRow {
    pub(super) week: String,
    /// Runs, players, togetherness, its spread, matched.
    pub(super) figures: [String; 5],
    /// Players and minutes.
    pub(super) at_home: [String; 2],
}

/// How together, and how much of the time matched.
pub(super) fn pictures(words: Words, columns: &Columns) -> Vec<Picture> {
    if columns.list.is_empty() {
        return Vec::new();
    }
    let number = plain(words);
    let newest = |of: &dyn Fn(&Column) -> Option<f64>| columns.list.iter().rev().find_map(of);
    let together = |c: &Column| c.section.as_ref()?.together.map(|q| q.middle);
    let matched = |c: &Column| c.section.as_ref()?.matched.map(|share| 100.0 * share);
    let week =
        |c: &Column, line: Option<Spread>| BandWeek { label: c.label.clone(), line, ..BandWeek::default() };
    let band_of_together = Band {
        weeks: columns
            .list
            .iter()
            .map(|c| {
                let quarters = c.section.as_ref().and_then(|w| w.together);
                week(c, quarters.map(|q| Spread { middle: q.middle, range: Some((q.lower, q.upper)) }))
            })
            .collect(),
        least_range: 1.0,
        floor: Some(0.0),
        number: Some(&number),
        at_end: newest(&together)
            .map(|r| words.of("section-weeks-now-together").arg("r", decimals(words, r, 2)).to_string())
            .unwrap_or_default(),
        ..Band::default()
    };
    let band_of_matched = Band {
        weeks: columns
            .list
            .iter()
            .map(|c| week(c, matched(c).map(|middle| Spread { middle, range: None })))
            .collect(),
        least_range: 100.0,
        floor: Some(0.0),
        number: Some(&number),
        at_end: newest(&matched)
            .map(|percent| {
                words.of("section-weeks-now-matched").arg("percent", decimals(words, percent, 0)).to_string()
            })
            .unwrap_or_default(),
        ..Band::default()
    };
    vec![picture(words, "together", band_of_together), picture(words, "matched", band_of_matched)]
}

fn picture(words: Words, id: &str, mut band: Band<'_>) -> Picture {
    let title = words.say(&format!("section-weeks-chart-{id}"));
    let legend = words.say(&format!("section-weeks-chart-{id}-is"));
    let description = [&*legend, &*band.at_end].join(" ");
    band.caption = Caption { id: id.to_owned(), title: title.clone(), description };
    Picture { title, legend, svg: band.svg() }
}

/// All rungs that anybody tried or reached in the weeks of the stairs, the lowest first: one scale for all.
fn rungs(members: &[Vec<Week>], columns: &Columns) -> Vec<Rung> {
    let Some(first) = columns.of_players().first().map(|c| c.week) else { return Vec::new() };
    let tried =
        members.iter().flatten().filter(|w| w.week >= first).flat_map(|w| &w.attempts).map(|a| a.rung);
    let before = members
        .iter()
        .filter_map(|weeks| weeks.iter().filter(|w| w.week < first).filter_map(Week::held).max());
    let mut rungs: Vec<Rung> = tried.chain(before).collect();
    rungs.sort_unstable();
    rungs.dedup();
    rungs
}

/// A row a player, all stairs on one scale of rungs and weeks.
pub(super) fn players(
    words: Words,
    played: &SectionPlayed,
    members: &[Vec<Week>],
    stands: &[Now],
    columns: &Columns,
) -> (Vec<PlayerRow>, (String, String)) {
    let rungs = rungs(members, columns);
    let named = |one: Option<Rung>| one.map_or_else(|| NOTHING.to_owned(), |one| rung(words, one));
    let row = |((one, weeks), (idx, now)): ((&OnePlayed, &Vec<Week>), (usize, &Now))| {
        let reached = named(now.reached);
        let caption = words.of("section-weeks-stair").arg("name", one.name.as_str()).to_string();
        let said =
            words.of("section-weeks-stair-is").arg("now", reached.as_str()).arg("before", named(now.before));
        let steps = stair(weeks, &rungs, columns);
        let stair = TinyStair {
            caption: Caption { id: format!("player-{idx}"), title: caption, description: said.to_string() },
            n_rungs: rungs.len(),
            weeks: &steps,
        };
        PlayerRow {
            person_id: one.person_id.clone().unwrap_or_default(),
            name: one.name.clone(),
            stair: stair.svg(),
            now: reached,
            before: named(now.before),
            has_moved: now.has_moved(),
            stuck: now
                .stuck
                .map(|stuck| {
                    let state =
                        stuck.in_the_way.map(|state| words.say(&format!("state-{}", wire_word(state))));
                    let id =
                        if state.is_some() { "section-weeks-tried-state" } else { "section-weeks-tried" };
                    let said = words.of(id).arg("rung", rung(words, stuck.rung)).arg("n", stuck.n_weeks);
                    said.arg("state", state.unwrap_or_default()).to_string()
                })
                .unwrap_or_default(),
            at_home: now.at_home.map(|at_home| rung(words, at_home)).unwrap_or_default(),
        }
    };
    let pairs = played.players.iter().zip(members);
    let rows = pairs.zip(stands.iter().enumerate()).map(row).collect();
    (rows, (named(rungs.first().copied()), named(rungs.last().copied())))
}

/// A player's weeks on the section's scale.
fn stair(weeks: &[Week], rungs: &[Rung], columns: &Columns) -> Vec<StairWeek> {
    let place = |rung: Rung| rungs.binary_search(&rung).ok();
    let Some(first) = columns.of_players().first().map(|c| c.week) else { return Vec::new() };
    let mut reached = weeks.iter().filter(|w| w.week < first).filter_map(Week::held).max();
    let step = |column: &Column| {
        let week = weeks.iter().find(|w| w.week == column.week);
        reached = reached.max(week.and_then(Week::held));
        let tried = week.into_iter().flat_map(|w| w.attempts_at(Where::Rehearsal)).filter(|a| !a.held);
        StairWeek {
            label: column.label.clone(),
            was_here: week.is_some_and(|w| w.rehearsal.is_some()),
            reached: reached.and_then(place),
            // What lies under the stair was held before; above it the next hurdle is enough for so small a picture.
            tried: tried
                .map(|a| a.rung)
                .filter(|r| Some(*r) > reached)
                .min()
                .and_then(place)
                .into_iter()
                .collect(),
            held_at_home: week.and_then(Week::held_at_home).and_then(place),
        }
    };
    columns.of_players().iter().map(step).collect()
}

/// The charts' figures, the newest week first.
pub(super) fn week_rows(words: Words, columns: &Columns) -> Vec<WeekRow> {
    let told = |value: Option<String>| value.unwrap_or_else(|| NOTHING.to_owned());
    let row = |c: &Column| {
        let section = c.section.as_ref();
        WeekRow {
            week: c.label.week.clone(),
            figures: [
                told(section.map(|w| w.n_runs.to_string())),
                told(section.map(|_| c.n_in.to_string())),
                told(section.and_then(|w| w.together).map(|q| decimals(words, q.middle, 2))),
                told(section.and_then(|w| w.spread_ms).map(|ms| decimals(words, ms, 0))),
                told(section.and_then(|w| w.matched).map(|share| decimals(words, 100.0 * share, 0))),
            ],
            at_home: [
                told((c.n_at_home > 0).then(|| c.n_at_home.to_string())),
                told((c.n_at_home > 0).then(|| decimals(words, c.home_s / 60.0, 0))),
            ],
        }
    };
    let is_told = |c: &&Column| c.section.is_some() || c.n_at_home > 0;
    columns.list.iter().rev().filter(is_told).map(row).collect()
}
