//! A run on a thumb's breadth: of each player the last bar that asked for vibrato, the section's pulses folded on one tick. Pure;
//! knows only the protocol.

use super::record::{Lane, Record};
use super::run::changes_loudness;
use windrow_protocol::messages::{Glance, GlanceBar, GlanceLane};
use windrow_protocol::score::{Span, Target};

/// Where pulses grow or shrink the whole of it is shown, up to so many bars. Our own choice: more than forty marks on a thumb's
/// breadth are grey.
const MOST_BARS: f64 = 4.0;
/// A pulse so little before a bar is meant for its first tick: a little more than "fair within 50 ms".
const BEFORE_MS: f64 = 60.0;
/// A pulse so little before a beat is meant for it: 50 ms at 60.
const EARLY_BEATS: f64 = 0.05;
/// Beats nearer than this are one; the timeline itself takes those for one that are a thousand times nearer.
const SAME_BEAT: f64 = 1e-3;

/// The bars of a run and what each player did there.
pub(super) fn bars_and_lanes(record: &Record) -> (Vec<GlanceBar>, Vec<GlanceLane>) {
    let end_beat = heard_until(record);
    let mut beats: Vec<(f64, f64)> = Vec::new();
    let mut lanes = Vec::new();
    for lane in &record.lanes {
        let Some(bar) = last_bar(record, lane.chair, end_beat) else { continue };
        let place = beats.iter().position(|b| *b == bar).unwrap_or_else(|| {
            beats.push(bar);
            beats.len() - 1
        });
        lanes.push(glance_lane(record, lane, bar, u16::try_from(place).unwrap_or(u16::MAX)));
    }
    (beats.into_iter().map(|bar| glance_bar(record, bar)).collect(), lanes)
}

fn glance_bar(record: &Record, (from, to): (f64, f64)) -> GlanceBar {
    let (from_us, to_us) = (record.timeline.time_of(from), record.timeline.time_of(to));
    let ticks = record.ticks(from_us, to_us.min(record.end_us));
    GlanceBar { from_ms: record.ms(from_us), to_ms: record.ms(to_us), ticks }
}

fn glance_lane(record: &Record, lane: &Lane, (from, to): (f64, f64), bar: u16) -> GlanceLane {
    let [from_ms, to_ms] = [from, to].map(|beat| record.ms(record.timeline.time_of(beat)));
    let is_in = |ms: f64| (from_ms - BEFORE_MS..to_ms - BEFORE_MS).contains(&ms);
    let mut marks = lane.marks();
    marks.retain(|mark| is_in(mark.0));
    let heard_ms = lane.trace.centres().iter().map(|c| c.0).filter(|&ms| is_in(ms)).collect();
    GlanceLane { player_id: lane.player_id.clone(), chair: lane.chair, bar, marks, heard_ms }
}

/// The beat until which anybody was heard: players stop before somebody presses "Stop".
fn heard_until(record: &Record) -> f64 {
    let last_of = |lane: &Lane| {
        let marks = lane.marks().last().map(|mark| mark.0);
        marks.into_iter().chain(lane.trace.centres().last().map(|c| c.0)).fold(f64::NEG_INFINITY, f64::max)
    };
    let last_ms = record.lanes.iter().map(last_of).fold(f64::NEG_INFINITY, f64::max);
    let end_beat = record.timeline.beat_at(record.end_us);
    if !last_ms.is_finite() {
        return end_beat;
    }
    let last_beat = record.timeline.beat_at(record.start_us + last_ms * 1000.0);
    // To the end of that beat; a pulse just before one is meant for it.
    end_beat.min((last_beat + EARLY_BEATS).floor() + 1.0)
}

/// From and to which beat a chair's last bar goes; `None` where it had nothing to play.
fn last_bar(record: &Record, chair: u16, end_beat: f64) -> Option<(f64, f64)> {
    let timeline = &record.timeline;
    let spans = &timeline.score().spans;
    let begins = |i: usize| timeline.span_start(i).unwrap_or(f64::INFINITY);
    let is_played = |i: &usize| {
        spans[*i].target.sounds() && spans[*i].is_turn_of(chair) && begins(*i) < end_beat - SAME_BEAT
    };
    let played: Vec<usize> = (0..spans.len()).filter(is_played).collect();
    let last = played.iter().rev().find(|&&i| is_vibrato(&spans[i])).or(played.last()).copied()?;
    let end = timeline.span_start(last + 1).or(timeline.end_beat()).unwrap_or(f64::INFINITY).min(end_beat);

    let block = (0..=last).rev().take_while(|i| played.contains(i) && is_vibrato(&spans[*i]));
    let block: Vec<usize> = block.collect();
    let beats_per_bar = f64::from(timeline.score().beats_per_bar);
    if block.iter().any(|&i| is_changing(&spans[i])) {
        let from = begins(block[block.len() - 1]).max(end - MOST_BARS * beats_per_bar);
        return Some((from, end));
    }
    let line = timeline.bar_line_at(end - SAME_BEAT);
    let is_whole = end - line >= beats_per_bar - SAME_BEAT;
    let before = timeline.bar_line_at(line - SAME_BEAT);
    // A bar that was broken off shows less than the one before it.
    let from = if is_whole || before < begins(last) - SAME_BEAT { line } else { before };
    Some((from, from + beats_per_bar))
}

fn is_vibrato(span: &Span) -> bool {
    matches!(span.target, Target::Pulses { .. } | Target::Free)
}

fn is_changing(span: &Span) -> bool {
    changes_loudness(span) || span.ease.is_some_and(|e| e.from != e.to)
}

/// How many offsets lie in which step from the tick; those further out in none.
pub(super) fn folded(offsets_ms: impl IntoIterator<Item = f64>) -> Vec<u32> {
    let middle = (Glance::FOLD_STEPS / 2) as f64;
    let mut fold = vec![0; Glance::FOLD_STEPS];
    let mut n = 0;
    for offset_ms in offsets_ms {
        let step = (offset_ms / Glance::FOLD_STEP_MS).round() + middle;
        if (0.0..Glance::FOLD_STEPS as f64).contains(&step) {
            fold[step as usize] += 1;
        }
        n += 1;
    }
    if n == 0 { Vec::new() } else { fold }
}
