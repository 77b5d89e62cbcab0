//! How loud a part is at each moment: the marks that stand in it, with hairpins leading from one to the next. Pure.

use super::part::{RawNote, SAME, Wedge};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Dynamic;

const MARKS: [Dynamic; 6] = [Dynamic::Pp, Dynamic::P, Dynamic::Mp, Dynamic::Mf, Dynamic::F, Dynamic::Ff];

/// Marks and hairpins in time.
#[derive(Debug)]
pub(super) struct Loudness {
    marks: Vec<(f64, f64)>,
    ways: Vec<Way>,
}

/// A hairpin with the loudness at both of its ends, in steps from pp.
#[derive(Debug, Clone, Copy)]
struct Way {
    from: f64,
    to: f64,
    at_from: f64,
    at_to: f64,
}

impl Loudness {
    /// Before the first mark it is mf. A hairpin leads to the mark at its end or under the next note, where there is a fitting one; to the
    /// neighbouring mark otherwise. Both common practice, no source. Also says whether either was assumed.
    pub(super) fn new(
        dynamics: &[(f64, Dynamic)],
        wedges: &[Wedge],
        notes: &[RawNote],
    ) -> (Self, Option<Phrase>) {
        let marks = dynamics.iter().map(|&(at, mark)| (at, f64::from(mark as u8))).collect();
        let mut loudness = Self { marks, ways: Vec::new() };
        let mut assumed = None;
        for &Wedge { from, to, grows } in wedges.iter().filter(|wedge| wedge.to > wedge.from + SAME) {
            let at_from = loudness.after(from);
            let next_note = notes.iter().find(|note| note.midi.is_some() && note.at >= to - SAME);
            let until = next_note.map_or(to, |note| note.at) + SAME;
            let mark = loudness.marks.iter().find(|&&(at, _)| at >= to - SAME && at <= until);
            let fits = |level: f64| if grows { level > at_from } else { level < at_from };
            let at_to = mark.map(|&(_, level)| level).filter(|&level| fits(level)).unwrap_or_else(|| {
                assumed = Some(Phrase::of("music-hairpins-assumed"));
                (at_from + if grows { 1.0 } else { -1.0 }).clamp(0.0, 5.0)
            });
            loudness.ways.push(Way { from, to, at_from, at_to });
        }
        (loudness, assumed)
    }

    /// Whether anything is known.
    pub(super) fn is_silent(&self) -> bool {
        self.marks.is_empty() && self.ways.is_empty()
    }

    /// From a moment on, in steps from pp.
    fn after(&self, at: f64) -> f64 {
        self.level(at, |event, at| event <= at + SAME, |way, at| way.from <= at + SAME && at < way.to - SAME)
    }

    /// Up to a moment, in steps from pp.
    fn before(&self, at: f64) -> f64 {
        self.level(at, |event, at| event < at - SAME, |way, at| way.from < at - SAME && at <= way.to + SAME)
    }

    fn level(
        &self,
        at: f64,
        is_past: impl Fn(f64, f64) -> bool,
        is_within: impl Fn(&Way, f64) -> bool,
    ) -> f64 {
        if let Some(way) = self.ways.iter().find(|way| is_within(way, at)) {
            let share = ((at - way.from) / (way.to - way.from)).clamp(0.0, 1.0);
            return way.at_from + (way.at_to - way.at_from) * share;
        }
        let ends = self.ways.iter().map(|way| (way.to, way.at_to));
        let events = ends.chain(self.marks.iter().copied()).filter(|&(event, _)| is_past(event, at));
        // Of two at the same moment the mark, which comes later in the chain.
        let last = events.fold(None, |last: Option<(f64, f64)>, next| match last {
            Some(last) if last.0 > next.0 + SAME => Some(last),
            _ => Some(next),
        });
        last.map_or(f64::from(Dynamic::Mf as u8), |(_, level)| level)
    }

    /// The marks nearest to a note's beginning and end.
    pub(super) fn of(&self, note: &RawNote) -> (Dynamic, Dynamic) {
        let mark = |level: f64| MARKS[(level.round() as usize).min(5)];
        (mark(self.after(note.at)), mark(self.before(note.at + note.quarters)))
    }
}
