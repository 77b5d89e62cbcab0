//! What the section did: gathers, while music is played, what devices tell, and keeps what each time through an exercise came
//! to. Pure; knows only the protocol.
//!
//! A run goes from the first note after a count-in to the exercise's end, to another beginning or to a stop. Its pulses come up to
//! some seconds late, so its figures are final [`SETTLES_US`] after its end; from then on only they are kept.

mod account;
mod expression;
mod glance;
mod heard;
mod kept;
#[cfg(test)]
mod kept_tests;
mod measures;
mod record;
#[cfg(test)]
mod record_tests;
mod run;
mod shapes;
#[cfg(test)]
mod tests;
mod trace;

use super::music::Performed;
use super::needs::needs;
use super::seat::Seat;
pub use kept::{KeptRun, KeptTrace, PastRuns, Stretch};
use record::Record;
use run::Run;
use std::collections::VecDeque;
use windrow_protocol::messages::{self, Glance, Pulse, Reading, Replay, Results, Review, SpanResult};

/// Runs that are kept; older ones go. A double rehearsal has some dozens.
const MAX_RUNS: usize = 200;
/// Parts of players that are kept in all: some 20 MB. Older runs go.
const MAX_MEASURES: usize = 100_000;
/// Memory for what runs looked like: forty players who pulse without a rest for ninety minutes take under 5 MB (measured, see
/// `record_tests`). Older runs then keep their figures and their glance, but not their raster.
const MAX_RECORD_BYTES: usize = 8 * 1024 * 1024;
/// Runs that are over and not final yet.
const MAX_SETTLING: usize = 8;
/// A phone that lost the Wi-Fi is back by then, or its pulses do not count. Our own choice.
const SETTLES_US: f64 = 10e6;
/// Less than this was begun by mistake and is not kept (our own choice).
const LEAST_US: f64 = 2e6;
/// Time between two looks counts at most so much: a look comes every fifth of a second, unless the computer was busy.
const LONGEST_STEP_US: f64 = 1e6;
/// While music is played there are new figures this often.
const NEWS_EVERY_US: f64 = 2e6;
/// So much of a run at most is lost when a server is killed; its pulses are safe as soon as they are acknowledged. Our own choice.
const KEEP_EVERY_US: f64 = 10e6;
/// Of a long run so large a share is lost at most: each time all of it is worked out and written anew. Our own choice.
const KEEP_EVERY_SHARE: f64 = 1.0 / 12.0;

/// All runs of a rehearsal.
#[derive(Debug, Clone, Default)]
pub(super) struct Runs {
    version: u32,
    n_begun: u16,
    settled: VecDeque<Settled>,
    /// In order; the last may still be played.
    open: Vec<Run>,
    looked_us: Option<f64>,
    told_us: f64,
    is_changed: bool,
    /// The last run at this version, and the number of the one before. What they came to is told when it is asked for: it takes
    /// all that was heard.
    latest: Option<Newest>,
    before: Option<u16>,
    /// What is to go to the records and has not yet.
    to_keep: Vec<KeptRun>,
    kept_us: f64,
    /// Settled runs that came from the records, the first ones.
    n_taken_back: usize,
}

/// A run whose figures are final.
#[derive(Debug, Clone)]
struct Settled {
    told: messages::Run,
    glance: Glance,
    record: Option<Record>,
    start_us: f64,
    end_us: f64,
}

impl Settled {
    fn of(run: &Run) -> Self {
        let (told, record) = (run.told(), Record::of(run));
        let glance = run.glance(&told, record.as_ref());
        let (start_us, end_us) = record.as_ref().map_or((0.0, 0.0), |r| (r.start_us, r.end_us));
        Self { told, glance, record, start_us, end_us }
    }

    fn drop_record(&mut self) {
        self.record = None;
        self.glance.has_replay = false;
    }
}

/// The last run, for whoever has to decide how to go on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Newest {
    pub(super) number: u16,
    pub(super) is_over: bool,
    is_imaginary: bool,
    /// Bars it lasted so far.
    pub(super) bars: f64,
}

impl Runs {
    /// Counts up with every change; 0 before the first run.
    pub(super) fn version(&self) -> u32 {
        self.version
    }

    /// The last run.
    pub(super) fn latest(&self) -> Option<Newest> {
        self.latest
    }

    /// What the last run came to so far, and the one before it.
    pub(super) fn told_last(&self) -> [Option<messages::Run>; 2] {
        [self.latest.map(|latest| latest.number), self.before].map(|number| self.told_of(number?))
    }

    fn told_of(&self, number: u16) -> Option<messages::Run> {
        let open = self.kept().find(|run| run.number == number).map(Run::told);
        open.or_else(|| Some(self.settled.iter().find(|s| s.told.number == number)?.told.clone()))
    }

    /// Everything, as a page shows it.
    pub(super) fn told(&self) -> Results {
        let settled = self.settled.iter().map(|s| s.told.clone());
        Results { version: self.version, runs: settled.chain(self.kept().map(Run::told)).collect() }
    }

    /// The same to look back on.
    pub(super) fn review(&self) -> Review {
        let open: Vec<Settled> = self.kept().map(Settled::of).collect();
        let all = || self.settled.iter().chain(&open);
        let played: Vec<_> = all().map(|s| (&s.told, &s.glance.asked[..])).collect();
        let played_us: f64 = all().map(|s| s.end_us - s.start_us).sum();
        let first_us = all().next().map_or(0.0, |s| s.start_us);
        let last_us = all().last().map_or(0.0, |s| s.end_us);
        let seconds = |us: f64| (us / 1e6).round().max(0.0);
        Review {
            version: self.version,
            played_s: seconds(played_us),
            rested_s: seconds(last_us - first_us - played_us),
            needs: needs(&played),
            runs: all().map(|s| s.glance.clone()).collect(),
        }
    }

    /// A run's raster, while it is kept.
    pub(super) fn replay(&self, number: u16) -> Option<Replay> {
        if let Some(run) = self.kept().find(|run| run.number == number) {
            return Record::of(run).map(|record| record.replay());
        }
        let settled = self.settled.iter().find(|s| s.told.number == number)?;
        settled.record.as_ref().map(Record::replay)
    }

    fn kept(&self) -> impl Iterator<Item = &Run> {
        self.open.iter().filter(|run| run.lasted(LEAST_US))
    }

    /// Looks at what is played and at everybody.
    pub(super) fn look(&mut self, performed: Option<Performed<'_>>, seats: &[Seat], now_us: f64) {
        let step_us = self.looked_us.map_or(0.0, |us| (now_us - us).clamp(0.0, LONGEST_STEP_US));
        self.looked_us = Some(now_us);
        self.end_what_is_over(performed.as_ref(), now_us);
        if let Some(performed) = performed.as_ref().filter(|_| self.live().is_none()) {
            self.begin(performed, seats, now_us);
        }
        if let Some(run) = self.live() {
            run.look(seats, step_us, now_us);
            self.is_changed = true;
        }
        self.settle(now_us);
        if self.is_changed && now_us - self.told_us >= NEWS_EVERY_US {
            self.tell(now_us);
        }
    }

    fn live(&mut self) -> Option<&mut Run> {
        self.open.last_mut().filter(|run| run.ended_us.is_none())
    }

    fn end_what_is_over(&mut self, performed: Option<&Performed<'_>>, now_us: f64) {
        let Some(run) = self.live() else { return };
        let is_same = performed.is_some_and(|p| run.take_score(p));
        let last_us = run.last_us();
        if is_same && now_us < last_us {
            return;
        }
        run.ended_us = Some(now_us.min(last_us));
        if !run.lasted(LEAST_US) {
            self.open.pop();
            // The next one takes its number.
            self.n_begun -= 1;
        }
        self.is_changed = true;
        self.told_us = f64::NEG_INFINITY;
    }

    fn begin(&mut self, performed: &Performed<'_>, seats: &[Seat], now_us: f64) {
        let timeline = performed.timeline;
        let here = timeline.span_index_at(timeline.beat_at(now_us));
        let Some(span) = here.filter(|&i| timeline.score().spans[i].target.sounds()) else { return };
        self.n_begun = self.n_begun.saturating_add(1);
        let is_imaginary = seats.iter().any(|seat| seat.is_imaginary);
        self.open.push(Run::new(self.n_begun, performed, span, is_imaginary));
    }

    /// Makes final what has been over for long enough.
    fn settle(&mut self, now_us: f64) {
        let is_due = |run: &Run| run.ended_us.is_some_and(|end| now_us - end >= SETTLES_US);
        if !self.open.first().is_some_and(is_due) && self.open.len() <= MAX_SETTLING {
            return;
        }
        while self.open.first().is_some_and(is_due) || self.open.len() > MAX_SETTLING {
            let run = self.open.remove(0);
            self.to_keep.extend(KeptRun::of(&run).filter(|kept| !kept.told.imaginary));
            self.settled.push_back(Settled::of(&run));
            self.is_changed = true;
            self.told_us = f64::NEG_INFINITY;
        }
        let size = |s: &Settled| s.told.players.len() * (s.told.spans.len() + 1);
        let mut n_measures: usize = self.settled.iter().map(size).sum();
        while self.settled.len() > MAX_RUNS || n_measures > MAX_MEASURES {
            n_measures -= self.settled.pop_front().map_or(n_measures, |run| size(&run));
            self.n_taken_back = self.n_taken_back.saturating_sub(1);
        }
        self.bound_records(MAX_RECORD_BYTES);
    }

    /// Lets go of the oldest rasters until the rest fit.
    fn bound_records(&mut self, max_bytes: usize) {
        let mut n_bytes = self.n_record_bytes();
        for settled in &mut self.settled {
            if n_bytes <= max_bytes {
                break;
            }
            n_bytes -= settled.record.as_ref().map_or(0, Record::n_bytes);
            settled.drop_record();
        }
    }

    fn n_record_bytes(&self) -> usize {
        self.settled.iter().filter_map(|s| s.record.as_ref()).map(Record::n_bytes).sum()
    }

    fn tell(&mut self, now_us: f64) {
        (self.is_changed, self.told_us) = (false, now_us);
        let open = self.kept().last().map(|run| Newest {
            number: run.number,
            is_over: run.ended_us.is_some(),
            is_imaginary: run.is_imaginary,
            bars: run.bars(now_us),
        });
        if let Some(open) = open {
            let former = self.latest.replace(open).map(|latest| latest.number);
            self.before = former.filter(|&number| number != open.number).or(self.before);
        }
        if self.latest.is_some() {
            self.version = self.version.wrapping_add(1);
        }
    }

    /// What is to go to the records: runs that have become final, and every ten seconds those that have not, long ones less often.
    pub(super) fn take_kept(&mut self, now_us: f64) -> Vec<KeptRun> {
        let mut kept = std::mem::take(&mut self.to_keep);
        let longest_us = self.open.iter().map(|run| run.lasted_us(now_us)).fold(0.0, f64::max);
        if now_us - self.kept_us >= KEEP_EVERY_US.max(KEEP_EVERY_SHARE * longest_us) {
            self.kept_us = now_us;
            kept.extend(self.unfinished());
        }
        kept
    }

    /// The same when all is over.
    pub(super) fn take_last_kept(&mut self, now_us: f64) -> Vec<KeptRun> {
        if let Some(run) = self.live() {
            run.ended_us = Some(now_us.min(run.last_us()));
        }
        let mut kept = std::mem::take(&mut self.to_keep);
        kept.extend(self.unfinished());
        kept
    }

    fn unfinished(&self) -> impl Iterator<Item = KeptRun> {
        self.kept().filter(|run| !run.is_imaginary).filter_map(KeptRun::of)
    }

    /// Takes runs from the records, in the order of playing; their times are moved by so much.
    pub(super) fn take_back(&mut self, kept: Vec<KeptRun>, moved_us: f64) {
        self.n_taken_back += kept.len();
        self.settled.extend(kept.into_iter().map(|run| run.settled(moved_us)));
        self.n_begun = self.settled.iter().map(|run| run.told.number).max().unwrap_or(self.n_begun);
        self.version = self.version.wrapping_add(1);
        self.bound_records(MAX_RECORD_BYTES);
    }

    /// Lets go of what came from the records, since some of it has been erased there.
    pub(super) fn forget_taken_back(&mut self) {
        if self.n_taken_back > 0 {
            self.settled.drain(..self.n_taken_back.min(self.settled.len()));
            self.n_taken_back = 0;
            self.version = self.version.wrapping_add(1);
        }
    }

    /// Takes a reading; whether it may be judged by is for the seat to say.
    pub(super) fn take_reading(&mut self, player_id: &str, reading: &Reading, is_trusted: bool) {
        self.open.iter_mut().for_each(|run| run.take_reading(player_id, reading, is_trusted));
    }

    /// Takes pulses, in any order and more than once.
    pub(super) fn take_pulses(&mut self, player_id: &str, pulses: &[Pulse]) {
        self.is_changed |= !self.open.is_empty();
        self.open.iter_mut().for_each(|run| run.take_pulses(player_id, pulses));
    }

    /// Takes what a device says of a span.
    pub(super) fn take_span(&mut self, player_id: &str, result: &SpanResult) {
        self.is_changed |= !self.open.is_empty();
        self.open.iter_mut().for_each(|run| run.take_span(player_id, result));
    }

    /// Keeps no run of the imaginary section; the next one takes the number after the last that is left.
    pub(super) fn forget_imaginary(&mut self) {
        self.open.retain(|run| !run.is_imaginary);
        self.settled.retain(|run| !run.told.imaginary);
        // What they played is never among what is left, and nobody real played meanwhile.
        self.latest = self.latest.filter(|latest| !latest.is_imaginary);
        let of_settled = self.settled.iter().map(|s| s.told.number);
        let left: Vec<u16> = of_settled.chain(self.open.iter().map(|run| run.number)).collect();
        self.before = self.before.filter(|number| left.contains(number));
        let numbers = self.settled.iter().map(|run| run.told.number);
        self.n_begun = numbers.chain(self.open.iter().map(|run| run.number)).max().unwrap_or(0);
        self.version = self.version.wrapping_add(u32::from(self.version > 0));
    }

    /// Keeps nothing more of a player.
    pub(super) fn forget(&mut self, player_id: &str) {
        self.open.iter_mut().for_each(|run| run.forget(player_id));
        for kept in &mut self.to_keep {
            kept.told.players.retain(|p| p.player_id != player_id);
            kept.glance.lanes.retain(|lane| lane.player_id != player_id);
            kept.traces.retain(|trace| trace.player_id != player_id);
            kept.stretches.retain(|stretch| stretch.player_id != player_id);
        }
        for settled in &mut self.settled {
            settled.glance.lanes.retain(|lane| lane.player_id != player_id);
            settled.record.iter_mut().for_each(|record| record.forget(player_id));
        }
        for run in self.settled.iter_mut().map(|s| &mut s.told) {
            if let Some(chair) = run.players.iter().find(|p| p.player_id == player_id).map(|p| p.chair) {
                run.players.retain(|p| p.player_id != player_id);
                run.section.out.retain(|&out| out != chair);
            }
        }
        self.version = self.version.wrapping_add(u32::from(self.latest.is_some()));
    }
}
