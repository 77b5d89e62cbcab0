//! What is kept of a run to look back on it: its part of the score and a trace of each player. A record a run and player, so that
//! each can be stored by itself. Pure; knows only the protocol.

use super::kept::{KeptRun, KeptTrace};
use super::run::{Run, heading};
use super::trace::Trace;
use windrow_protocol::messages::{Replay, ReplayLane, ReplayPart, ReplayTick};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{Score, Span, Target};
use windrow_protocol::timeline::{TickKind, Timeline};
use windrow_protocol::units::{Micros, Name};

/// What is told of a run ends after so long: eight hundred bars at 160, more than anybody looks through.
const LONGEST_US: f64 = 20.0 * 60e6;
/// Ticks are asked for in stretches that hold fewer than [`Timeline::MAX_TICKS`].
const TICKS_US: f64 = 60e6;

/// A run as it was.
#[derive(Debug, Clone)]
pub(super) struct Record {
    pub(super) number: u16,
    name: Phrase,
    is_over: bool,
    /// Its spans alone, at their server time.
    pub(super) timeline: Timeline,
    /// When the first note was asked for, and the end.
    pub(super) start_us: f64,
    pub(super) end_us: f64,
    /// In chair order.
    pub(super) lanes: Vec<Lane>,
}

/// One player's part of it.
#[derive(Debug, Clone)]
pub(super) struct Lane {
    pub(super) player_id: String,
    pub(super) chair: u16,
    name: Name,
    part: String,
    /// Constant offset of a device whose delay is not known.
    pub(super) left_out_ms: f64,
    pub(super) trace: Trace,
}

impl Record {
    /// Of a run as it is now; `None` before its first note.
    pub(super) fn of(run: &Run) -> Option<Self> {
        let first_note = (run.first..run.end).find(|&i| run.music().span(i).target.sounds())?;
        let start_us = run.music().bounds_us(first_note).0;
        let end_us = run.played_until_us().min(start_us + LONGEST_US);
        let timeline = excerpt(&run.timeline, run.first..run.end)?;
        let mut lanes: Vec<Lane> = run
            .players
            .iter()
            .map(|(player_id, player)| {
                let heard = &player.heard;
                let trace = Trace::of(
                    start_us,
                    heard.pulses_and_whose().filter(|(p, _)| p.time_us.get() <= end_us),
                    heard.centres_between(start_us, end_us),
                    &player.shown,
                );
                Lane {
                    player_id: player_id.clone(),
                    chair: player.chair,
                    name: player.name.clone(),
                    part: player.part.clone(),
                    left_out_ms: run.left_out_ms(player),
                    trace,
                }
            })
            .collect();
        lanes.sort_by_key(|lane| lane.chair);
        let is_over = run.ended_us.is_some();
        let (number, name) = (run.number, run.name.clone());
        Some(Self { number, name, is_over, timeline, start_us, end_us, lanes })
    }

    /// From the records; `None` where they hold none.
    pub(super) fn kept(kept: &KeptRun) -> Option<Self> {
        let lanes: Vec<Lane> = kept
            .traces
            .iter()
            .filter_map(|trace| {
                let player = kept.told.players.iter().find(|p| p.player_id == trace.player_id)?;
                Some(Lane {
                    player_id: trace.player_id.clone(),
                    chair: player.chair,
                    name: player.name.clone(),
                    part: player.part.clone(),
                    left_out_ms: trace.left_out_ms,
                    trace: Trace::kept(trace),
                })
            })
            .collect();
        Some(Self {
            number: kept.told.number,
            name: kept.told.name.clone(),
            is_over: true,
            timeline: Timeline::new(kept.score.clone()).ok()?,
            start_us: kept.began_us,
            end_us: kept.ended_us,
            lanes,
        })
        .filter(|record| !record.lanes.is_empty())
    }

    /// Memory it takes, nearly.
    pub(super) fn n_bytes(&self) -> usize {
        let of_lanes = self.lanes.iter().map(|lane| size_of::<Lane>() + lane.trace.n_bytes()).sum::<usize>();
        let of_spans = self.timeline.score().spans.len() * (size_of::<Span>() + 4 * size_of::<f64>());
        of_lanes + of_spans
    }

    /// Its ticks between two of its moments, ms since its beginning.
    pub(super) fn ticks(&self, from_us: f64, to_us: f64) -> Vec<ReplayTick> {
        let mut ticks = Vec::new();
        let mut at_us = from_us;
        // What was kept may come from a file, with any times.
        let to_us = to_us.min(from_us + LONGEST_US);
        while at_us < to_us && at_us + TICKS_US > at_us {
            let next_us = (at_us + TICKS_US).min(to_us);
            ticks.extend(self.timeline.ticks_between(at_us, next_us).into_iter().map(|tick| {
                let weight = match tick.kind {
                    TickKind::Bar => 0,
                    TickKind::Beat => 1,
                    TickKind::Between => 2,
                };
                ReplayTick(self.ms(tick.time_us), weight)
            }));
            at_us = next_us;
        }
        ticks
    }

    /// Time since its beginning, to a tenth of a millisecond.
    pub(super) fn ms(&self, time_us: f64) -> f64 {
        ((time_us - self.start_us) / 100.0).round() / 10.0
    }

    /// Everything, as a page plays it again.
    pub(super) fn replay(&self) -> Replay {
        let lane = |lane: &Lane| ReplayLane {
            player_id: lane.player_id.clone(),
            chair: lane.chair,
            name: lane.name.clone(),
            part: lane.part.clone(),
            marks: lane.marks(),
            centres: lane.trace.centres(),
            states: lane.trace.states(),
        };
        Replay {
            number: self.number,
            name: self.name.clone(),
            is_over: self.is_over,
            lasts_ms: self.ms(self.end_us),
            // The last tick stands at the end itself.
            ticks: self.ticks(self.start_us, self.end_us),
            first_bar: self.timeline.bar_at(self.timeline.beat_at(self.start_us)),
            parts: self.parts(),
            lanes: self.lanes.iter().map(lane).collect(),
        }
    }

    fn parts(&self) -> Vec<ReplayPart> {
        let mut parts: Vec<ReplayPart> = Vec::new();
        for (idx, span) in self.timeline.score().spans.iter().enumerate() {
            let from_us =
                self.timeline.span_start(idx).map_or(self.end_us, |beat| self.timeline.time_of(beat));
            if from_us >= self.end_us || span.target == Target::CountIn {
                continue;
            }
            let title = if span.target.sounds() { heading(span) } else { Phrase::of("target-rest") };
            let is_same = parts.last().is_some_and(|p| p.title == title && p.turn == span.turn);
            if !is_same {
                parts.push(ReplayPart { from_ms: self.ms(from_us), title, turn: span.turn.clone() });
            }
        }
        parts
    }

    pub(super) fn forget(&mut self, player_id: &str) {
        self.lanes.retain(|lane| lane.player_id != player_id);
    }
}

impl Lane {
    /// As it goes to the records.
    pub(super) fn kept(&self) -> KeptTrace {
        let (player_id, left_out_ms) = (self.player_id.clone(), self.left_out_ms);
        let [pulses, centres, states] = self.trace.rows().map(<[u8]>::to_vec);
        KeptTrace { player_id, left_out_ms, pulses, centres, states }
    }

    /// Pulses as they are compared.
    pub(super) fn marks(&self) -> Vec<windrow_protocol::messages::Mark> {
        let mut marks = self.trace.marks();
        marks.iter_mut().for_each(|m| m.0 = ((m.0 - self.left_out_ms) * 10.0).round() / 10.0);
        marks
    }
}

/// Some spans of a score at the time they have in it, without the notes of single chairs. Bars keep their numbers.
fn excerpt(timeline: &Timeline, range: std::ops::Range<usize>) -> Option<Timeline> {
    let from_beat = timeline.span_start(range.start)?;
    let mut spans: Vec<Span> = timeline.score().spans.get(range)?.to_vec();
    spans.iter_mut().for_each(|span| span.notes = Vec::new());
    let first = spans.first_mut()?;
    first.first_bar = first.first_bar.or(Some(timeline.bar_at(from_beat)));
    let start_us = Micros::clamped(timeline.time_of(from_beat))?;
    Timeline::new(Score { start_us, spans, ..timeline.score().clone() }).ok()
}
