//! The weeks that are shown, every calendar week of them, and the choices a reader has made: which pulses, which instrument, how
//! far back. It must know no page.

use crate::charts::WeekLabel;
use crate::http::week_words::{calendar, label};
use crate::weeks::{IsoWeek, Played, Rung, Week, instruments, reached, subdivisions, weeks};
use crate::words::Words;
use serde::Deserialize;
use std::collections::BTreeMap;
use windrow_protocol::score::PerBeat;

/// What an address asks for; what it does not name, or names wrongly, is chosen for the reader.
#[derive(Debug, Default, Deserialize)]
pub(in crate::http) struct Wanted {
    /// Pulses a beat.
    pulses: Option<String>,
    /// Weeks back from the newest one, or "all".
    span: Option<String>,
    /// Slug.
    instrument: Option<String>,
}

/// How far back charts go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Span {
    /// A term.
    Twelve,
    Year,
    All,
}

impl Span {
    pub(super) const ALL: [Self; 3] = [Self::Twelve, Self::Year, Self::All];

    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Twelve => "12",
            Self::Year => "52",
            Self::All => "all",
        }
    }

    fn n_weeks(self) -> i64 {
        match self {
            Self::Twelve => 12,
            Self::Year => 52,
            Self::All => i64::MAX,
        }
    }
}

/// One calendar week of the charts.
#[derive(Debug)]
pub(super) struct Column<'a> {
    pub(super) week: IsoWeek,
    pub(super) label: WeekLabel,
    /// Everything played; absent where nothing was.
    pub(super) all: Option<&'a Week>,
    /// The pulses chosen alone.
    pub(super) alike: Option<&'a Week>,
    /// The highest rung of these that was held in a rehearsal up to then.
    pub(super) reached: Option<Rung>,
}

/// One player's weeks with one instrument, and what was chosen.
#[derive(Debug)]
pub(super) struct Chosen {
    pub(super) all: Vec<Week>,
    pub(super) alike: Vec<Week>,
    /// Slug; empty where nothing was played.
    pub(super) instrument: String,
    /// The one played last first.
    pub(super) instruments: Vec<String>,
    pub(super) per_beat: Option<PerBeat>,
    pub(super) subdivisions: Vec<PerBeat>,
    pub(super) span: Span,
    /// Those that would show something else.
    pub(super) spans: Vec<Span>,
    pub(super) invented: bool,
}

impl Chosen {
    /// What an address asks for of what was played.
    pub(super) fn of(played: &[Played], wanted: &Wanted) -> Self {
        let instruments: Vec<String> = instruments(played).into_iter().map(str::to_owned).collect();
        let named = wanted.instrument.as_ref().and_then(|slug| instruments.iter().find(|i| *i == slug));
        let instrument = named.or(instruments.first()).cloned().unwrap_or_default();
        let with_it: Vec<&Played> = played.iter().filter(|p| p.instrument == instrument).collect();
        let all = weeks(with_it.iter().copied());
        let n_weeks = n_calendar_weeks(&all);
        // A shorter span is offered where it leaves something out, the next longer one where it shows more.
        let spans: Vec<Span> = match n_weeks {
            ..=12 => Vec::new(),
            13..=52 => vec![Span::Twelve, Span::All],
            _ => Span::ALL.to_vec(),
        };
        let asked = wanted.span.as_deref();
        let span = spans.iter().copied().find(|span| asked == Some(span.word())).unwrap_or(Span::Twelve);
        let values = subdivisions(with_it.iter().copied());
        let asked = wanted.pulses.as_deref().and_then(|n| n.parse().ok());
        let named = values.iter().map(|(value, _)| *value).find(|value| asked == Some(value.get()));
        let first = first_week(&all, span);
        let lately = with_it
            .iter()
            .copied()
            .filter(|p| first.is_some_and(|w| IsoWeek::of_unix_ms(p.began_unix_ms) >= w));
        let most = |values: Vec<(PerBeat, f64)>| {
            values.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(value, _)| value)
        };
        let per_beat = named.or_else(|| most(subdivisions(lately))).or_else(|| most(values.clone()));
        let is_alike = |p: &&&Played| per_beat.is_none() || p.per_beat() == per_beat;
        Self {
            alike: weeks(with_it.iter().filter(is_alike).copied()),
            invented: with_it.iter().any(|p| p.invented),
            all,
            instrument,
            instruments,
            per_beat,
            subdivisions: values.into_iter().map(|(value, _)| value).collect(),
            span,
            spans,
        }
    }

    /// The same with the pulses that somebody is to play next, so that the charts show what the sentence says; where the reader
    /// chose others, or none were played yet, as it is.
    pub(super) fn leading_to(
        mut self,
        per_beat: Option<PerBeat>,
        played: &[Played],
        wanted: &Wanted,
    ) -> Self {
        let is_there = |per_beat: &PerBeat| self.subdivisions.contains(per_beat);
        if let Some(per_beat) = per_beat.filter(is_there).filter(|_| wanted.pulses.is_none()) {
            let alike = |p: &&Played| p.instrument == self.instrument && p.per_beat() == Some(per_beat);
            self.alike = weeks(played.iter().filter(alike));
            self.per_beat = Some(per_beat);
        }
        self
    }

    /// The weeks shown.
    pub(super) fn columns(&self, words: Words) -> Columns<'_> {
        let (Some(first), Some(last)) = (first_week(&self.all, self.span), self.all.last()) else {
            return Columns { list: Vec::new(), alike: &self.alike };
        };
        let by_week = |weeks: &'_ [Week]| -> BTreeMap<IsoWeek, usize> {
            weeks.iter().enumerate().map(|(idx, w)| (w.week, idx)).collect()
        };
        let (all, alike) = (by_week(&self.all), by_week(&self.alike));
        let reached = reached(&self.alike);
        let list = calendar(first, last.week).map(|week| Column {
            week,
            label: label(words, week),
            all: all.get(&week).map(|&idx| &self.all[idx]),
            alike: alike.get(&week).map(|&idx| &self.alike[idx]),
            // Of the newest week that is no later.
            reached: alike.range(..=week).next_back().and_then(|(_, &idx)| reached[idx]),
        });
        Columns { list: list.collect(), alike: &self.alike }
    }
}

/// The weeks shown, the oldest first.
#[derive(Debug)]
pub(super) struct Columns<'a> {
    pub(super) list: Vec<Column<'a>>,
    /// All weeks of the pulses chosen, shown or not.
    alike: &'a [Week],
}

impl Columns<'_> {
    /// The first week in which a rung was held, of all there are.
    pub(super) fn held_since(&self, rung: Rung) -> IsoWeek {
        let first = self.alike.iter().find(|w| w.held() == Some(rung)).map(|w| w.week);
        first.unwrap_or_else(|| self.list[0].week)
    }
}

fn n_calendar_weeks(weeks: &[Week]) -> i64 {
    weeks.first().zip(weeks.last()).map_or(0, |(first, last)| last.week.since(first.week) + 1)
}

fn first_week(weeks: &[Week], span: Span) -> Option<IsoWeek> {
    let (first, last) = weeks.first().zip(weeks.last())?;
    let n_weeks = n_calendar_weeks(weeks).min(span.n_weeks());
    Some(first.week.max(last.week.plus(1 - n_weeks)))
}

#[cfg(test)]
#[path = "columns_tests.rs"]
mod tests;
