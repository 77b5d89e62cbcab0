//! One player's charts: which figure of a week goes where, and what is said at its end. It must know no records.

use super::columns::{Column, Columns};
use crate::charts::{Band, BandWeek, Bars, BarsWeek, Caption, Spread, Stair, StairWeek};
use crate::http::results_words::{decimals, signed};
use crate::http::week_words::{day, day_of_year, plain, value, with_sign};
use crate::weeks::{Figures, Rung, Week, Where};
use crate::words::Words;
use windrow_protocol::judge::Bands;
use windrow_protocol::metronome::Step;
use windrow_protocol::score::PerBeat;

/// Timing within which a pulse is good, ms: the inner band of the raster's marks.
const GOOD_MS: f64 = 25.0;
/// Pitch that is good, cents; beyond 25 it is off.
const GOOD_CENTS: f64 = 10.0;

/// A chart with its name and how to read it.
#[derive(Debug)]
pub(super) struct Picture {
    pub(super) id: &'static str,
    pub(super) title: String,
    pub(super) legend: String,
    pub(super) svg: String,
}

/// The stair of one subdivision; none where no rung of it was tried.
pub(super) fn stair(words: Words, columns: &Columns<'_>, per_beat: PerBeat) -> Option<Picture> {
    let rungs = marks(columns);
    let place = |rung: Rung| rungs.iter().position(|bpm| *bpm == rung.bpm.get());
    let week = |column: &Column<'_>| StairWeek {
        label: column.label.clone(),
        was_here: column.all.is_some_and(|w| w.rehearsal.is_some()),
        reached: column.reached.and_then(place),
        tried: not_held(column).filter_map(place).collect(),
        held_at_home: column.alike.and_then(Week::held_at_home).and_then(place),
    };
    let title = words.of("weeks-chart-stair").arg("value", value(words, per_beat)).to_string();
    let reached = columns.list.iter().filter_map(|c| c.reached).max();
    let at_end = reached.map(|rung| {
        let since = columns.held_since(rung);
        let is_this_year =
            columns.list.last().is_some_and(|c| c.week.year_and_number().0 == since.year_and_number().0);
        let day = if is_this_year { day(words, since) } else { day_of_year(words, since) };
        words.of("weeks-now").arg("bpm", rung.bpm.mark()).arg("date", day).to_string()
    });
    let last_tried = columns.list.iter().rev().find_map(|c| not_held(c).max());
    let tried = last_tried.filter(|rung| reached.is_none_or(|reached| *rung > reached));
    let tried = tried.map(|rung| words.of("weeks-tried").arg("bpm", rung.bpm.mark()).to_string());
    if rungs.is_empty() {
        return None;
    }
    let (at_end, tried_at_end) = (at_end.unwrap_or_default(), tried.unwrap_or_default());
    let legend = words.say("weeks-chart-stair-is");
    let said = [&*legend, &*at_end, &*tried_at_end].join(" ");
    let chart = Stair {
        caption: caption("stair", &title, said),
        rungs: rungs.iter().map(|bpm| mark(*bpm)).collect(),
        weeks: columns.list.iter().map(week).collect(),
        at_end,
        tried_at_end,
        away: words.say("weeks-away"),
    };
    Some(Picture { id: "stair", title, legend, svg: chart.svg() })
}

/// Rungs above what was held so far, tried in rehearsals of a week and not held; the lowest first. That a lower one failed once
/// more stands in the table.
fn not_held(column: &Column<'_>) -> impl Iterator<Item = Rung> {
    let attempts = column.alike.into_iter().flat_map(|w| w.attempts_at(Where::Rehearsal));
    let reached = column.reached;
    attempts.filter(move |a| !a.held && reached.is_none_or(|reached| a.rung > reached)).map(|a| a.rung)
}

fn mark(bpm: f64) -> String {
    if bpm.fract() == 0.0 { format!("{bpm:.0}") } else { format!("{bpm:.1}") }
}

/// The tempos of a stair, the slowest first: all metronome marks from the lowest rung to the highest, one more above, and what
/// was played between marks.
fn marks(columns: &Columns<'_>) -> Vec<f64> {
    let attempts = columns.list.iter().filter_map(|c| c.alike).flat_map(|w| &w.attempts).map(|a| a.rung);
    let mut rungs: Vec<Rung> = attempts.chain(columns.list.iter().filter_map(|c| c.reached)).collect();
    rungs.sort();
    let (Some(lowest), Some(highest)) = (rungs.first(), rungs.last()) else { return Vec::new() };
    let marks = std::iter::successors(Some(lowest.bpm), |&bpm| {
        if bpm > highest.bpm { None } else { Step::Faster.from(bpm) }
    });
    let mut tempos: Vec<f64> =
        marks.map(|bpm| bpm.get()).chain(rungs.iter().map(|rung| rung.bpm.get())).collect();
    tempos.sort_by(f64::total_cmp);
    tempos.dedup();
    tempos
}

/// Everything besides the stair.
pub(super) fn measures(words: Words, columns: &Columns<'_>) -> Vec<Picture> {
    vec![
        timing(words, columns),
        rate(words, columns),
        depth(words, columns),
        centre(words, columns),
        swing(words, columns),
        minutes(words, columns),
    ]
}

fn caption(id: &str, title: &str, description: String) -> Caption {
    Caption { id: id.to_owned(), title: title.to_owned(), description }
}

/// The weeks of a band; the pulses chosen alone are looked at where `alike`.
fn band_weeks(
    columns: &Columns<'_>,
    alike: bool,
    line: impl Fn(&Figures) -> Option<Spread>,
    second: impl Fn(&Figures) -> Option<f64>,
) -> Vec<BandWeek> {
    let week = |column: &Column<'_>| {
        let week = if alike { column.alike } else { column.all };
        let rehearsal = week.and_then(|w| w.rehearsal.as_ref());
        BandWeek {
            label: column.label.clone(),
            line: rehearsal.and_then(&line),
            second: rehearsal.and_then(&second),
            at_home: week.and_then(|w| w.home.as_ref()).and_then(&line).map(|spread| spread.middle),
        }
    };
    columns.list.iter().map(week).collect()
}

fn around(middle: Option<f64>, by: Option<f64>) -> Option<Spread> {
    let middle = middle?;
    Some(Spread { middle, range: by.map(|by| (middle - by, middle + by)) })
}

fn none(_: &Figures) -> Option<f64> {
    None
}

/// The newest rehearsal's figures that have something.
fn newest<T>(columns: &Columns<'_>, alike: bool, of: impl Fn(&Figures) -> Option<T>) -> Option<T> {
    columns.list.iter().rev().find_map(|column| {
        let week = if alike { column.alike } else { column.all };
        of(week?.rehearsal.as_ref()?)
    })
}

/// A picture of a band whose name, legend and id belong together.
fn picture(words: Words, id: &'static str, name: &str, mut band: Band<'_>) -> Picture {
    let title = words.say(&format!("weeks-chart-{name}"));
    let legend = words.say(&format!("weeks-chart-{name}-is"));
    let said = [&*legend, &*band.at_end, &*band.second_at_end].join(" ");
    band.caption = caption(id, &title, said);
    Picture { id, title, legend, svg: band.svg() }
}

/// Where the device's own delay is known, offset and scatter; else the scatter alone, since the offset would mean nothing.
fn timing(words: Words, columns: &Columns<'_>) -> Picture {
    let number = with_sign(words);
    let whole = |ms: f64| decimals(words, ms.abs(), 0);
    if newest(columns, true, |f| f.timing_ms).is_none() {
        let spread = |f: &Figures| around(f.timing_spread_ms, None);
        let now = newest(columns, true, |f| f.timing_spread_ms);
        let now = now.map(|ms| words.of("weeks-now-spread").arg("ms", whole(ms)).to_string());
        let plain = plain(words);
        let band = Band {
            weeks: band_weeks(columns, true, spread, none),
            good: Some((GOOD_MS, GOOD_MS)),
            least_range: 2.0 * GOOD_MS,
            floor: Some(0.0),
            number: Some(&plain),
            at_end: now.unwrap_or_default(),
            ..Band::default()
        };
        return picture(words, "timing", "spread", band);
    }
    let now = newest(columns, true, |f| f.timing_ms.zip(Some(f.timing_spread_ms.unwrap_or(0.0))));
    let now = now.map(|(ms, spread)| {
        let id = match ms.round() {
            0.0 => "weeks-now-on",
            ms if ms < 0.0 => "weeks-now-early",
            _ => "weeks-now-late",
        };
        words.of(id).arg("ms", whole(ms)).arg("spread", whole(spread)).to_string()
    });
    let band = Band {
        weeks: band_weeks(columns, true, |f| around(f.timing_ms, f.timing_spread_ms), none),
        good: Some((-GOOD_MS, GOOD_MS)),
        zero: Some((0.0, words.say("weeks-tick"))),
        least_range: 4.0 * GOOD_MS,
        number: Some(&number),
        above: words.say("weeks-late"),
        below: words.say("weeks-early"),
        at_end: now.unwrap_or_default(),
        ..Band::default()
    };
    picture(words, "timing", "timing", band)
}

fn rate(words: Words, columns: &Columns<'_>) -> Picture {
    let percent = |share: Option<f64>| share.map(|share| 100.0 * share);
    let number = with_sign(words);
    let now = newest(columns, true, |f| percent(f.rate_off).map(|off| (off, percent(f.evenness_cv))));
    let now = now.map(|(off, even)| {
        let id = if even.is_some() { "weeks-now-percent-even" } else { "weeks-now-percent" };
        let now = words.of(id).arg("percent", signed(words, off, 1));
        now.arg("even", decimals(words, even.unwrap_or_default(), 0)).to_string()
    });
    let matched = 100.0 * Bands::default().rate_share;
    let band = Band {
        weeks: band_weeks(columns, true, |f| around(percent(f.rate_off), percent(f.evenness_cv)), none),
        good: Some((-matched, matched)),
        zero: Some((0.0, words.say("weeks-as-asked"))),
        least_range: 4.0 * matched,
        number: Some(&number),
        above: words.say("weeks-faster"),
        below: words.say("weeks-slower"),
        at_end: now.unwrap_or_default(),
        ..Band::default()
    };
    picture(words, "rate", "rate", band)
}

fn depth(words: Words, columns: &Columns<'_>) -> Picture {
    let number = plain(words);
    let now = newest(columns, true, |f| f.depth_db_pp);
    let now = now.map(|db| words.of("weeks-now-db").arg("db", decimals(words, db, 1)).to_string());
    let enough = Bands::default().shallow_db;
    let band = Band {
        weeks: band_weeks(columns, true, |f| around(f.depth_db_pp, None), none),
        good: Some((enough, enough)),
        least_range: 8.0,
        floor: Some(0.0),
        number: Some(&number),
        at_end: now.unwrap_or_default(),
        ..Band::default()
    };
    picture(words, "depth", "depth", band)
}

fn swing(words: Words, columns: &Columns<'_>) -> Picture {
    let number = plain(words);
    let now = newest(columns, true, |f| f.swing_cents_pp);
    let now = now.map(|c| words.of("weeks-now-cents").arg("cents", decimals(words, c, 0)).to_string());
    let most = Bands::default().pitch_led_swing_cents;
    let band = Band {
        weeks: band_weeks(columns, true, |f| around(f.swing_cents_pp, None), none),
        good: Some((most, most)),
        least_range: most,
        floor: Some(0.0),
        number: Some(&number),
        at_end: now.unwrap_or_default(),
        ..Band::default()
    };
    picture(words, "swing", "swing", band)
}

fn centre(words: Words, columns: &Columns<'_>) -> Picture {
    let number = with_sign(words);
    let said = |id: &str, cents: Option<f64>| {
        cents.map(|c| words.of(id).arg("cents", signed(words, c, 0)).to_string()).unwrap_or_default()
    };
    let pulsing = newest(columns, false, |f| f.pulsing.centre_cents);
    let straight = newest(columns, false, |f| f.straight.centre_cents);
    let line = |f: &Figures| around(f.pulsing.centre_cents, None);
    let band = Band {
        weeks: band_weeks(columns, false, line, |f| f.straight.centre_cents),
        good: Some((-GOOD_CENTS, GOOD_CENTS)),
        zero: Some((0.0, words.say("weeks-note"))),
        least_range: 3.0 * GOOD_CENTS,
        number: Some(&number),
        above: words.say("weeks-sharp"),
        below: words.say("weeks-flat"),
        at_end: said("weeks-now-centre", pulsing),
        second_at_end: said("weeks-now-straight", straight),
        ..Band::default()
    };
    picture(words, "centre", "centre", band)
}

fn minutes(words: Words, columns: &Columns<'_>) -> Picture {
    let number = plain(words);
    let heard = |figures: Option<&Figures>| figures.map_or(0.0, |f| f.judged_s / 60.0);
    let week = |column: &Column<'_>| BarsWeek {
        label: column.label.clone(),
        in_rehearsal: heard(column.all.and_then(|w| w.rehearsal.as_ref())),
        at_home: heard(column.all.and_then(|w| w.home.as_ref())),
    };
    let title = words.say("weeks-chart-minutes");
    let legend = words.say("weeks-chart-minutes-is");
    let chart = Bars {
        caption: caption("minutes", &title, legend.clone()),
        weeks: columns.list.iter().map(week).collect(),
        least_range: 10.0,
        number: Some(&number),
    };
    Picture { id: "minutes", title, legend, svg: chart.svg() }
}
