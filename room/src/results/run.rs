//! One time through an exercise: its part of a score, what was heard of each player meanwhile, and what all of it comes to.
//! Pure; knows only the protocol.

use super::super::music::Performed;
use super::super::seat::Seat;
use super::super::statistics::{Offset, constant_offset_ms, together};
use super::account;
use super::expression::Expression;
use super::glance::{bars_and_lanes, folded};
use super::heard::{Heard, Look, is_verdict};
use super::measures::{Music, Part, measures, offsets, resting};
use super::record::Record;
use std::collections::BTreeMap;
use windrow_protocol::judge::{Bands, State};
use windrow_protocol::messages::{
    self, Glance, Measures, PartAsked, PlayerResult, Pulse, Reading, SectionResult, SpanResult,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Span;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Name, Share};

/// Parts that are told of; an exercise of more is told by its first ones, its whole by all.
const MAX_PARTS: usize = messages::Run::MAX_PARTS;
/// Changes of state that are kept of a player: one a second for a quarter of an hour.
const MAX_SHOWN: usize = 1024;

/// A run whose figures may still change.
#[derive(Debug, Clone)]
pub(super) struct Run {
    pub(super) number: u16,
    exercise: u16,
    pub(super) name: Phrase,
    bands: Bands,
    /// The newest score of the music it is part of: what was played stays in it as it was.
    pub(super) timeline: Timeline,
    first_version: u32,
    /// Its first span, and the one after its last.
    pub(super) first: usize,
    pub(super) end: usize,
    /// When it was last looked at.
    looked_us: f64,
    /// Whether the imaginary section plays it; then nobody else does.
    pub(super) is_imaginary: bool,
    /// When it was over; `None` while it is played.
    pub(super) ended_us: Option<f64>,
    /// By player id.
    pub(super) players: BTreeMap<String, Player>,
}

#[derive(Debug, Clone)]
pub(super) struct Player {
    pub(super) chair: u16,
    pub(super) name: Name,
    pub(super) part: String,
    pub(super) heard: Heard,
    /// From when on which state stood on the conductor's page.
    pub(super) shown: Vec<(f64, State)>,
}

impl Run {
    /// Begins with the exercise that a span belongs to.
    pub(super) fn new(number: u16, performed: &Performed<'_>, span: usize, is_imaginary: bool) -> Self {
        let first = (0..=span).rev().find(|&i| performed.begins(i)).unwrap_or(0);
        let (exercise, name) = performed.exercise_of(span);
        let timeline = performed.timeline.clone();
        let mut run = Self {
            number,
            exercise,
            name: name.to_owned(),
            bands: performed.bands_of(span),
            first_version: timeline.score().version,
            timeline,
            first,
            end: first,
            is_imaginary,
            looked_us: f64::NEG_INFINITY,
            ended_us: None,
            players: BTreeMap::new(),
        };
        run.end = run.end_in(performed);
        run
    }

    fn end_in(&self, performed: &Performed<'_>) -> usize {
        let n_spans = performed.timeline.score().spans.len();
        (self.first + 1..n_spans).find(|&i| performed.begins(i)).unwrap_or(n_spans)
    }

    /// Takes a new version of the score; whether it is the same music at all.
    pub(super) fn take_score(&mut self, performed: &Performed<'_>) -> bool {
        let (known, new) = (self.timeline.score(), performed.timeline.score());
        if new.start_us != known.start_us || new.version < known.version || self.first >= new.spans.len() {
            return false;
        }
        if new.version != known.version {
            self.timeline = performed.timeline.clone();
            self.end = self.end_in(performed);
        }
        true
    }

    /// When its last span ends, as the score is now; infinite where it goes on.
    pub(super) fn last_us(&self) -> f64 {
        let end = self.timeline.span_start(self.end).or(self.timeline.end_beat());
        end.map_or(f64::INFINITY, |beat| self.timeline.time_of(beat))
    }

    pub(super) fn music(&self) -> Music<'_> {
        let end_us = self.ended_us.unwrap_or(f64::INFINITY).min(self.last_us());
        Music { timeline: &self.timeline, end_us, bands: self.bands }
    }

    fn holds(&self, span: usize) -> bool {
        (self.first..self.end).contains(&span)
    }

    /// Whether anybody was asked to play for so long.
    pub(super) fn lasted(&self, us: f64) -> bool {
        self.players.values().any(|p| p.heard.spans.values().map(|a| a.asked_us).sum::<f64>() >= us)
    }

    /// Until when it was played, as far as is known.
    pub(super) fn played_until_us(&self) -> f64 {
        self.ended_us.unwrap_or(self.looked_us).min(self.last_us())
    }

    /// Time since it began, until its end.
    pub(super) fn lasted_us(&self, now_us: f64) -> f64 {
        self.ended_us.unwrap_or(now_us) - self.music().bounds_us(self.first).0
    }

    /// Bars played so far.
    pub(super) fn bars(&self, now_us: f64) -> f64 {
        let start = (self.first..self.end).find(|&i| self.music().span(i).target.sounds());
        let start = start.and_then(|i| self.timeline.span_start(i)).unwrap_or(0.0);
        let beats = self.timeline.beat_at(now_us.min(self.music().end_us)) - start;
        beats / f64::from(self.timeline.score().beats_per_bar)
    }

    /// Looks at everybody `us` after the look before.
    pub(super) fn look(&mut self, seats: &[Seat], us: f64, now_us: f64) {
        let span_idx = self.timeline.span_index_at(self.timeline.beat_at(now_us));
        let Some(idx) = span_idx.filter(|&i| self.holds(i)) else { return };
        let span = &self.timeline.score().spans[idx];
        let us = us.min(now_us - self.music().bounds_us(idx).0).max(0.0);
        self.looked_us = now_us;
        for seat in seats.iter().filter(|s| s.connection.is_none()) {
            if let Some(player) = self.players.get_mut(&seat.player_id) {
                player.show(State::Away, now_us);
            }
        }
        for seat in seats.iter().filter(|s| s.connection.is_some()) {
            let player = self.players.entry(seat.player_id.clone()).or_insert_with(|| Player {
                chair: seat.chair,
                name: seat.name.clone(),
                part: String::new(),
                heard: Heard::default(),
                shown: Vec::new(),
            });
            player.show(seat.state(), now_us);
            player.chair = seat.chair;
            if player.name != seat.name || player.part != seat.part {
                (player.name, player.part) = (seat.name.clone(), seat.part.clone());
            }
            player.heard.is_calibrated = seat.calibrated;
            player.heard.levels_changed |= seat.gain_control_on;
            if span.target.sounds() && span.is_turn_of(seat.chair) && !seat.resting {
                let is_trusted = seat.trusted_reading(now_us).is_some();
                player.heard.look(idx, Look { us, judged: seat.judged(), is_trusted });
            }
        }
    }

    pub(super) fn take_reading(&mut self, player_id: &str, reading: &Reading, is_trusted: bool) {
        let time_us = reading.time_us.get();
        let Some(player) = self.players.get_mut(player_id) else { return };
        let span_idx = self.timeline.span_index_at(self.timeline.beat_at(time_us));
        let Some(idx) = span_idx.filter(|i| (self.first..self.end).contains(i)) else { return };
        if self.ended_us.is_some_and(|end| time_us > end) {
            return;
        }
        let span = &self.timeline.score().spans[idx];
        // Who waits hears others.
        if span.target.sounds() && span.is_turn_of(player.chair) {
            player.heard.take_reading(idx, reading, is_trusted, changes_loudness(span));
        }
    }

    /// Takes the pulses that belong to this run. What was played after a stop does not.
    pub(super) fn take_pulses(&mut self, player_id: &str, pulses: &[Pulse]) {
        let Some(player) = self.players.get_mut(player_id) else { return };
        for pulse in pulses {
            let span = self.timeline.span_of_pulse(pulse.time_us.get());
            let Some(idx) = span.filter(|i| (self.first..self.end).contains(i)) else { continue };
            let span = &self.timeline.score().spans[idx];
            if span.target.sounds() && span.is_turn_of(player.chair) {
                player.heard.take_pulse(pulse);
            }
        }
    }

    /// Takes what a device says of a span. One that was played keeps its place in later versions of the score.
    pub(super) fn take_span(&mut self, player_id: &str, result: &SpanResult) {
        let versions = self.first_version..=self.timeline.score().version;
        let idx = usize::from(result.span_idx);
        if !versions.contains(&result.score_version) || !self.holds(idx) {
            return;
        }
        if let Some(player) = self.players.get_mut(player_id) {
            player.heard.told.insert(idx, result.clone());
        }
    }

    pub(super) fn forget(&mut self, player_id: &str) {
        self.players.remove(player_id);
    }

    /// Everything it comes to.
    pub(super) fn told(&self) -> messages::Run {
        let parts = self.parts();
        let mut players: Vec<(&Player, PlayerResult)> =
            self.players.iter().map(|(id, p)| (p, self.player(id, p, &parts))).collect();
        players.sort_by_key(|(_, result)| result.chair);
        let section = self.section(&players, &parts);
        messages::Run {
            number: self.number,
            exercise: self.exercise,
            name: self.name.clone(),
            is_over: self.ended_us.is_some(),
            imaginary: self.is_imaginary,
            spans: parts.iter().take(MAX_PARTS).map(|part| part.title.clone()).collect(),
            section,
            players: players.into_iter().map(|(_, result)| result).collect(),
        }
    }

    /// What was asked so far, with spans that ask the same joined.
    pub(super) fn parts(&self) -> Vec<Part> {
        let asks = |i: usize| {
            let span = self.music().span(i);
            (span.target, span.bpm, span.bpm_to, span.dynamics, span.ease, span.loosely)
        };
        let is_begun = |i: &usize| self.players.values().any(|p| p.heard.spans.contains_key(i));
        let mut parts: Vec<Part> = Vec::new();
        for idx in (self.first..self.end).filter(|&i| self.music().span(i).target.sounds()).filter(is_begun) {
            match parts.last_mut() {
                // A span that changes on the way is the same as the one before only where each has a turn of it.
                Some(part)
                    if part.spans.last() == Some(&(idx - 1))
                        && asks(idx) == asks(idx - 1)
                        && (is_steady(self.music().span(idx)) || !self.music().span(idx).turn.is_empty()) =>
                {
                    part.spans.push(idx);
                }
                _ => parts.push(Part { title: heading(self.music().span(idx)), spans: vec![idx] }),
            }
        }
        parts
    }

    fn player(&self, player_id: &str, player: &Player, parts: &[Part]) -> PlayerResult {
        let music = self.music();
        let all: Vec<&Part> = parts.iter().collect();
        let heard = &player.heard;
        let of_whole = measures(music, &all, heard, &account::of_whole(music, parts, heard));
        let whole = of_whole.unwrap_or_else(resting);
        let heard_at_all = |m: &Measures| m.state != State::NotHeard || m.trusted.get() > 0.0;
        let of_part = |part: &Part| {
            measures(music, &[part], heard, &account::of_part(music, part, heard)).filter(heard_at_all)
        };
        // What is one part is that part.
        let spans = match parts {
            [_] => vec![of_whole.filter(heard_at_all)],
            _ => parts.iter().take(MAX_PARTS).map(of_part).collect(),
        };
        let pulses = if is_verdict(whole.state) { music.pulses(heard).collect() } else { Vec::new() };
        let played = Expression { music, spans: self.first..self.end, heard, pulses: &pulses };
        PlayerResult {
            player_id: player_id.to_owned(),
            chair: player.chair,
            name: player.name.clone(),
            part: player.part.clone(),
            whole,
            spans,
            ease_beats: played.ease_beats(),
            hairpin: played.hairpin(),
        }
    }

    fn section(&self, players: &[(&Player, PlayerResult)], parts: &[Part]) -> SectionResult {
        let music = self.music();
        let judged: Vec<&(&Player, PlayerResult)> =
            players.iter().filter(|(_, r)| is_verdict(r.whole.state)).collect();
        let count = |n: usize| u16::try_from(n).expect("a room has at most 256 seats");
        let is_matched = |p: &Player| account::in_the_end(music, parts, &p.heard) == Some(State::Matched);
        let n_matched = judged.iter().filter(|(p, _)| is_matched(p)).count();
        let (mut judged_us, mut matched_us) = (0.0, 0.0);
        for (player, _) in &judged {
            let asked = account::of_whole(music, parts, &player.heard);
            judged_us += asked.standing.judged_us();
            matched_us += asked.standing.of(State::Matched);
        }
        let all = self.offsets_of(judged.iter().map(|(p, _)| *p));
        let together = together(&all).filter(|_| judged.len() >= 2);
        let mut out: Vec<(f64, u16)> = judged
            .iter()
            .filter_map(|(_, r)| Some((r.whole.matched?.get(), r.chair)))
            .filter(|(matched, _)| *matched < 0.5)
            .collect();
        out.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        SectionResult {
            n_judged: count(judged.len()),
            n_matched: count(n_matched),
            matched: Share::clamped(matched_us / judged_us).filter(|_| judged_us > 0.0),
            together: together.and_then(|t| Share::clamped(t.resultant)),
            spread_ms: together.and_then(|t| t.spread_ms),
            mean_ms: together.map(|t| t.mean_ms),
            out: out.into_iter().map(|(_, chair)| chair).collect(),
        }
    }

    /// Offsets from the tick, without the constant one of a device that is not calibrated.
    fn comparable_offsets(&self, player: &Player) -> Vec<Offset> {
        let mut all = self.own_offsets(player);
        let constant_ms = constant_of(player, || constant_offset_ms(&all));
        all.iter_mut().for_each(|o| o.offset_ms -= constant_ms);
        all
    }

    fn offsets_of<'a>(&self, players: impl Iterator<Item = &'a Player>) -> Vec<Offset> {
        players.flat_map(|player| self.comparable_offsets(player)).collect()
    }

    fn own_offsets(&self, player: &Player) -> Vec<Offset> {
        let music = self.music();
        offsets(music, &music.pulses(&player.heard).collect::<Vec<_>>())
    }

    /// Constant offset of a device that is not calibrated.
    pub(super) fn left_out_ms(&self, player: &Player) -> f64 {
        constant_of(player, || constant_offset_ms(&self.own_offsets(player)))
    }

    /// The same at a glance; `told` is what it came to.
    pub(super) fn glance(&self, told: &messages::Run, record: Option<&Record>) -> Glance {
        let is_judged =
            |id: &str| told.players.iter().any(|p| p.player_id == id && is_verdict(p.whole.state));
        let judged = self.players.iter().filter(|(id, _)| is_judged(id)).map(|(_, p)| p);
        let (bars, lanes) = record.map(bars_and_lanes).unwrap_or_default();
        let asked = |part: &Part| {
            let span = self.music().span(part.spans[0]);
            PartAsked { target: span.target, bpm: span.bpm }
        };
        Glance {
            number: self.number,
            asked: self.parts().iter().take(MAX_PARTS).map(asked).collect(),
            fold: folded(self.offsets_of(judged).into_iter().map(|o| o.offset_ms)),
            bars,
            lanes,
            has_replay: record.is_some(),
        }
    }
}

pub(super) fn changes_loudness(span: &Span) -> bool {
    span.dynamics.is_some_and(|d| d.from != d.to)
}

impl Player {
    fn show(&mut self, state: State, now_us: f64) {
        if self.shown.last().is_none_or(|(_, last)| *last != state) && self.shown.len() < MAX_SHOWN {
            self.shown.push((now_us, state));
        }
    }
}

/// The constant offset that is left out of a player's pulses: nothing where the device is calibrated.
fn constant_of(player: &Player, found: impl FnOnce() -> Option<f64>) -> f64 {
    if player.heard.is_calibrated { 0.0 } else { found().unwrap_or(0.0) }
}

fn is_steady(span: &Span) -> bool {
    span.bpm_to.is_none() && !changes_loudness(span) && span.ease.is_none()
}

/// What a span asks, in a few words: "Eighths at 60, growing", "Free vibrato at 60, p to f".
pub(super) fn heading(span: &Span) -> Phrase {
    let mut words = span.title();
    if let Some(ease) = span.ease.filter(|e| e.from != e.to) {
        let grows = ease.to.get() > ease.from.get();
        words = Phrase::of(if grows { "title-growing" } else { "title-fading" }).with("title", words);
    }
    if let Some(loud) = span.dynamics {
        let id = if loud.from == loud.to { "title-loudness" } else { "title-loudness-changing" };
        words = Phrase::of(id).with("title", words).with("from", loud.from.mark());
        if loud.from != loud.to {
            words = words.with("to", loud.to.mark());
        }
    }
    if span.loosely {
        words = Phrase::of("title-loosely").with("title", words);
    }
    words
}
