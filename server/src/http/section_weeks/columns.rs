//! The weeks that are shown: every calendar week from the first to the newest rehearsal, as far back as the reader asked. It must
//! know no page.

use crate::charts::WeekLabel;
use crate::http::week_words::{calendar, label};
use crate::roster::SectionPlayed;
use crate::weeks::{Figures, IsoWeek, SectionWeek, Week, Where, section_weeks};
use crate::words::Words;
use serde::Deserialize;

/// What an address asks for; anything else is a term.
#[derive(Debug, Default, Deserialize)]
pub(in crate::http) struct Wanted {
    /// Weeks back from the newest rehearsal, or "all".
    span: Option<String>,
}

impl Wanted {
    pub(super) fn span(&self) -> Span {
        let asked = |span: &Span| self.span.as_deref() == Some(span.word());
        Span::ALL.into_iter().find(asked).unwrap_or(Span::Term)
    }
}

/// How far back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Span {
    Term,
    Year,
    All,
}

impl Span {
    const ALL: [Self; 3] = [Self::Term, Self::Year, Self::All];

    /// In an address.
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Term => "12",
            Self::Year => "52",
            Self::All => "all",
        }
    }

    /// Name of its text.
    pub(super) fn text(self) -> &'static str {
        match self {
            Self::Term => "section-weeks-span-12",
            Self::Year => "section-weeks-span-52",
            Self::All => "section-weeks-span-all",
        }
    }

    fn n_weeks(self) -> i64 {
        match self {
            Self::Term => 12,
            Self::Year => 52,
            Self::All => i64::MAX,
        }
    }

    /// What players reached is looked up for half a year at least, since that is what they have reached; never for more
    /// than a year, since a section of forty plays some 80,000 stretches in one.
    pub(super) fn n_weeks_of_players(self) -> i64 {
        match self {
            Self::Term => 26,
            Self::Year | Self::All => 52,
        }
    }
}

/// One calendar week.
#[derive(Debug)]
pub(super) struct Column {
    pub(super) week: IsoWeek,
    pub(super) label: WeekLabel,
    /// Absent without a rehearsal.
    pub(super) section: Option<SectionWeek>,
    /// Players in a rehearsal.
    pub(super) n_in: usize,
    /// Players who practised at home, and how long they were heard there, s.
    pub(super) n_at_home: usize,
    pub(super) home_s: f64,
}

/// The weeks shown, the oldest first.
#[derive(Debug)]
pub(super) struct Columns {
    pub(super) list: Vec<Column>,
    /// Calendar weeks there are, shown or not.
    n_all: i64,
    span: Span,
}

impl Columns {
    pub(super) fn of(words: Words, played: &SectionPlayed, members: &[Vec<Week>], span: Span) -> Self {
        let mut rehearsed = section_weeks(&played.runs);
        let Some((first, last)) = rehearsed.first().zip(rehearsed.last()).map(|(a, b)| (a.week, b.week))
        else {
            return Self { list: Vec::new(), n_all: 0, span };
        };
        let n_all = last.since(first) + 1;
        let begin = last.plus(1 - n_all.min(span.n_weeks()));
        let figures = |week: IsoWeek, place: Where| -> Vec<&Figures> {
            let of_week = members.iter().flatten().filter(|w| w.week == week);
            let there = of_week.filter_map(|w| match place {
                Where::Rehearsal => w.rehearsal.as_ref(),
                Where::Home => w.home.as_ref(),
            });
            there.collect()
        };
        let column = |week: IsoWeek| {
            let home = figures(week, Where::Home);
            Column {
                week,
                label: label(words, week),
                n_in: figures(week, Where::Rehearsal).len(),
                n_at_home: home.len(),
                home_s: home.iter().map(|f| f.judged_s).sum(),
                section: None,
            }
        };
        let mut list: Vec<Column> = calendar(begin, last).map(column).collect();
        for week in rehearsed.drain(..).filter(|w| w.week >= begin) {
            let place = week.week.since(begin) as usize;
            list[place].section = Some(week);
        }
        Self { list, n_all, span }
    }

    /// The weeks of the players' stairs: of all those shown the last year.
    pub(super) fn of_players(&self) -> &[Column] {
        let n = self.list.len().min(Span::Year.n_weeks() as usize);
        &self.list[self.list.len() - n..]
    }

    /// "12 weeks, 11 with a rehearsal"; empty where there was none.
    pub(super) fn summary(&self, words: Words) -> String {
        let n_rehearsed = self.list.iter().filter(|c| c.section.is_some()).count();
        match self.list.len() {
            0 => String::new(),
            n => words.of("section-weeks-of").arg("n", n).arg("rehearsed", n_rehearsed).to_string(),
        }
    }

    /// Spans to choose from, each with whether it is shown; none where they would all show the same.
    pub(super) fn spans(&self) -> Vec<(Span, bool)> {
        let n_before = |span: Span| Span::ALL.into_iter().rfind(|s| s.n_weeks() < span.n_weeks());
        let shows_more = |span: &Span| n_before(*span).is_none_or(|shorter| self.n_all > shorter.n_weeks());
        let offered: Vec<Span> = Span::ALL.into_iter().filter(shows_more).collect();
        if offered.len() < 2 {
            return Vec::new();
        }
        offered.into_iter().map(|span| (span, span == self.span)).collect()
    }

    /// How the first and the last week of the players' stairs are called.
    pub(super) fn ends(&self) -> (String, String) {
        let name = |column: Option<&Column>| column.map_or_else(String::new, |c| c.label.week.clone());
        (name(self.of_players().first()), name(self.of_players().last()))
    }
}
