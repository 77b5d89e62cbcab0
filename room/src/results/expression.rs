//! How a player eased vibrato in, and followed a hairpin, in the spans of a run that asked for it. Pure; knows only the
//! protocol.

use super::super::statistics::median;
use super::heard::Heard;
use super::measures::Music;
use super::run::changes_loudness;
use super::shapes::{Depth, Following, ease_us, following};
use std::ops::Range;
use windrow_protocol::messages::{HairpinFit, Pulse};
use windrow_protocol::score::{Ease, Target};
use windrow_protocol::units::Share;

/// What there is to go by.
pub(super) struct Expression<'a> {
    pub(super) music: Music<'a>,
    pub(super) spans: Range<usize>,
    pub(super) heard: &'a Heard,
    /// Trusted ones, with their spans.
    pub(super) pulses: &'a [(usize, &'a Pulse)],
}

impl Expression<'_> {
    /// Median over the times that growing was asked for.
    pub(super) fn ease_beats(&self) -> Option<f64> {
        let depths = |idx: usize| depths_in(self.pulses, idx..=idx);
        let is_asked = |idx: &usize| self.heard.spans.contains_key(idx);
        let grows = |i: &usize| self.music.span(*i).ease.is_some_and(|e| e.to.get() > e.from.get());
        let mut beats: Vec<f64> = self
            .spans
            .clone()
            .filter(is_asked)
            .filter(grows)
            .filter_map(|i| {
                // Only what is full by then shows what full is.
                let next = (i + 1..self.spans.end).find(is_asked).filter(|&n| n == i + 1);
                let is_full = |n: &usize| {
                    let span = self.music.span(*n);
                    span.target != Target::Straight
                        && span.ease.is_none_or(|e| e == Ease { from: e.to, to: e.to })
                };
                let full = next.filter(is_full).map(depths).unwrap_or_default();
                let (from_us, to_us) = ease_us(self.music.bounds_us(i).0, &depths(i), &full)?;
                Some(self.music.timeline.beat_at(to_us) - self.music.timeline.beat_at(from_us))
            })
            .collect();
        median(&mut beats).map(|b| (b * 100.0).round() / 100.0)
    }

    pub(super) fn hairpin(&self) -> Option<HairpinFit> {
        let music = self.music;
        let swells: Vec<Swell> = self
            .swells()
            .into_iter()
            .filter(|s| s.spans.clone().all(|i| self.heard.spans.contains_key(&i)))
            .collect();
        let peak_asked = swells.first()?.peak_asked;
        let mut fits = Vec::new();
        for swell in &swells {
            let (from_us, to_us) =
                (music.bounds_us(*swell.spans.start()).0, music.bounds_us(*swell.spans.end()).1);
            let levels = self.heard.levels_between(from_us, to_us);
            let followed = following(&depths_in(self.pulses, swell.spans.clone()), levels);
            let share = followed.peak_us.map(|us| (us - from_us) / (to_us - from_us));
            fits.push((followed, share));
        }
        // Of several times the middle one, so that one that failed does not count for all.
        let middle = |of: fn(&(Following, Option<f64>)) -> Option<f64>| {
            median(&mut fits.iter().filter_map(of).collect::<Vec<_>>())
        };
        let hundredths = |r: f64| (r * 100.0).round() / 100.0;
        Some(HairpinFit {
            depth: middle(|f| f.0.depth).map(hundredths),
            rate: middle(|f| f.0.rate).map(hundredths),
            peak: middle(|f| f.1).and_then(Share::clamped),
            peak_asked: Share::clamped(peak_asked)?,
        })
    }

    /// Stretches in which the loudness grows, shrinks, or does both.
    fn swells(&self) -> Vec<Swell> {
        let music = self.music;
        let mut swells: Vec<Swell> = Vec::new();
        for idx in self.spans.clone().filter(|&i| changes_loudness(music.span(i))) {
            let (start_us, end_us) = music.bounds_us(idx);
            if music.span(idx).length_beats.is_none() || end_us <= start_us {
                continue;
            }
            let grows = |i: usize| music.span(i).dynamics.is_some_and(|d| d.to > d.from);
            let goes_on = swells.last().is_some_and(|s| {
                let last = *s.spans.end();
                last + 1 == idx
                    && (grows(last) || !grows(idx))
                    && music.span(last).turn == music.span(idx).turn
            });
            match swells.last_mut().filter(|_| goes_on) {
                Some(swell) => swell.spans = *swell.spans.start()..=idx,
                None => swells.push(Swell { spans: idx..=idx, peak_asked: 0.0 }),
            }
        }
        for swell in &mut swells {
            let (from_us, to_us) =
                (music.bounds_us(*swell.spans.start()).0, music.bounds_us(*swell.spans.end()).1);
            let turn = swell.spans.clone().find(|&i| music.span(i).dynamics.is_some_and(|d| d.to < d.from));
            let turn_us = turn.map_or(to_us, |i| music.bounds_us(i).0);
            swell.peak_asked = (turn_us - from_us) / (to_us - from_us);
        }
        swells
    }
}

/// A stretch of changing loudness, and where its loudest moment is written, as a share of it.
struct Swell {
    spans: std::ops::RangeInclusive<usize>,
    peak_asked: f64,
}

fn depths_in(pulses: &[(usize, &Pulse)], spans: std::ops::RangeInclusive<usize>) -> Vec<Depth> {
    let within = pulses.iter().filter(|(span, _)| spans.contains(span));
    within.map(|(_, p)| Depth { time_us: p.time_us.get(), depth_db: p.depth_db.get() }).collect()
}
