//! What was heard of one player while an exercise was played: time by verdict, pulses, centres, levels. It only gathers; what
//! it comes to is [`super::measures`]'s work. Pure; knows only the protocol.

use std::collections::BTreeMap;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Hearing, Pulse, Reading, SpanResult};

/// Most pulses, centres, levels and changes of trust that are kept of a player's run: over eight minutes of pulses at eight a
/// second, a quarter of an hour of centres. A longer run is told by its first ones.
const MAX_KEPT: usize = 4096;
/// Between two centres that are kept.
const CENTRE_EVERY_US: f64 = 250_000.0;
/// A rhythm is trusted up to two and a half pulses after it began, so a pulse counts if a reading is trusted this soon after it,
/// or just before. Our own choice.
const TRUSTED_BEFORE_US: f64 = 300_000.0;
const TRUSTED_AFTER_US: f64 = 1.5e6;
/// What stood this long ago counts by a third of what stands now for the state in the end.
const FADES_US: f64 = 4e6;

/// Whether a state passes a verdict on what was played.
pub(super) fn is_verdict(state: State) -> bool {
    !matches!(state, State::Resting | State::NotHeard | State::Blended | State::Away)
}

/// Time by what the evidence showed in it.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Standing {
    by_state: Vec<(State, f64)>,
}

impl Standing {
    pub(super) fn of_one(state: State, us: f64) -> Self {
        Self { by_state: vec![(state, us)] }
    }

    fn add(&mut self, state: State, us: f64) {
        match self.by_state.iter_mut().find(|(s, _)| *s == state) {
            Some((_, sum)) => *sum += us,
            None => self.by_state.push((state, us)),
        }
    }

    fn fade(&mut self, factor: f64) {
        self.by_state.iter_mut().for_each(|(_, us)| *us *= factor);
    }

    pub(super) fn add_all(&mut self, other: &Self) {
        other.by_state.iter().for_each(|&(state, us)| self.add(state, us));
    }

    pub(super) fn of(&self, state: State) -> f64 {
        self.us_where(|s| s == state)
    }

    fn us_where(&self, counts: impl Fn(State) -> bool) -> f64 {
        // The sum of nothing would be a negative nought.
        self.by_state.iter().filter(|(s, _)| counts(*s)).fold(0.0, |sum, (_, us)| sum + us)
    }

    /// Time with a verdict.
    pub(super) fn judged_us(&self) -> f64 {
        self.us_where(is_verdict)
    }

    /// The verdict that stood longest.
    pub(super) fn longest(&self) -> Option<State> {
        let verdicts = self.by_state.iter().filter(|(s, us)| is_verdict(*s) && *us > 0.0);
        verdicts.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(state, _)| *state)
    }
}

/// One span as it was asked of the player.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Asked {
    /// Time in which the player was in and did not rest.
    pub(super) asked_us: f64,
    /// The part of it in which the newest reading could be judged by.
    pub(super) trusted_us: f64,
    pub(super) standing: Standing,
    /// The time asked that the standing is about.
    pub(super) about_us: f64,
    /// Centre minus the own straight reference: sum, and of how many readings.
    pub(super) from_straight: (f64, u32),
    /// Trusted readings in which the tone had pulses.
    pub(super) n_pulsed: u32,
}

impl Asked {
    pub(super) fn add(&mut self, other: &Self) {
        self.asked_us += other.asked_us;
        self.trusted_us += other.trusted_us;
        self.about_us += other.about_us;
        self.standing.add_all(&other.standing);
        self.from_straight.0 += other.from_straight.0;
        self.from_straight.1 += other.from_straight.1;
        self.n_pulsed += other.n_pulsed;
    }
}

/// One look at a player.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Look {
    /// Time since the look before.
    pub(super) us: f64,
    /// What the newest evidence shows; `None` while there is not enough of it.
    pub(super) judged: Option<State>,
    pub(super) is_trusted: bool,
}

/// Everything heard of a player in a run.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Heard {
    /// Early and late are meant absolutely.
    pub(super) is_calibrated: bool,
    /// The microphone's path changed levels at some time, so that depth says nothing.
    pub(super) levels_changed: bool,
    /// By the span's place in the score.
    pub(super) spans: BTreeMap<usize, Asked>,
    /// The same over all, where what is long ago counts less.
    late: Standing,
    /// In order of time.
    pulses: Vec<Pulse>,
    /// From when on readings were trusted or not.
    trust: Vec<(f64, bool)>,
    /// Time and cents.
    centres: Vec<(f64, f64)>,
    /// Time and dB re full scale, where the loudness is to change.
    levels: Vec<(f64, f64)>,
    /// What the device says of each span.
    pub(super) told: BTreeMap<usize, SpanResult>,
}

impl Heard {
    pub(super) fn look(&mut self, span: usize, look: Look) {
        let asked = self.spans.entry(span).or_default();
        asked.asked_us += look.us;
        asked.about_us += look.us;
        asked.trusted_us += if look.is_trusted { look.us } else { 0.0 };
        self.late.fade((-look.us / FADES_US).exp());
        if let Some(state) = look.judged {
            asked.standing.add(state, look.us);
            self.late.add(state, look.us);
        }
    }

    /// The running verdict that the player came to in the end.
    pub(super) fn lately(&self) -> Option<State> {
        self.late.longest()
    }

    /// Takes a reading within a span; whether it may be judged by is for the seat to say.
    pub(super) fn take_reading(
        &mut self,
        span: usize,
        reading: &Reading,
        is_trusted: bool,
        keeps_level: bool,
    ) {
        let time_us = reading.time_us.get();
        self.levels_changed |= reading.capture.is_some_and(|c| c.changes_levels());
        if self.trust.last().is_none_or(|&(last_us, was)| was != is_trusted && time_us > last_us)
            && self.trust.len() < MAX_KEPT
        {
            self.trust.push((time_us, is_trusted));
        }
        if keeps_level && reading.hearing != Hearing::Silence {
            keep_in_order(&mut self.levels, (time_us, reading.level_db.get()), 0.0);
        }
        let Some(centre) = reading.centre_cents.filter(|_| is_trusted) else { return };
        keep_in_order(&mut self.centres, (time_us, centre.get()), CENTRE_EVERY_US);
        if reading.hearing == Hearing::Pulsed {
            let asked = self.spans.entry(span).or_default();
            asked.n_pulsed += 1;
            if let Some(straight) = reading.straight_reference_cents {
                asked.from_straight.0 += centre.get() - straight.get();
                asked.from_straight.1 += 1;
            }
        }
    }

    /// Takes a pulse; the same one twice is one.
    pub(super) fn take_pulse(&mut self, pulse: &Pulse) {
        let place = self.pulses.partition_point(|p| p.time_us < pulse.time_us);
        let is_known = self.pulses.get(place).is_some_and(|p| p.time_us == pulse.time_us);
        if !is_known && self.pulses.len() < MAX_KEPT {
            self.pulses.insert(place, *pulse);
        }
    }

    /// Pulses that speak for the player.
    pub(super) fn pulses(&self) -> impl Iterator<Item = &Pulse> {
        self.pulses.iter().filter(|p| self.is_trusted_about(p.time_us.get()))
    }

    /// All pulses, with whether each speaks for the player.
    pub(super) fn pulses_and_whose(&self) -> impl Iterator<Item = (&Pulse, bool)> {
        self.pulses.iter().map(|p| (p, self.is_trusted_about(p.time_us.get())))
    }

    fn is_trusted_about(&self, time_us: f64) -> bool {
        let (from, to) = (time_us - TRUSTED_BEFORE_US, time_us + TRUSTED_AFTER_US);
        let first = self.trust.partition_point(|t| t.0 <= from).saturating_sub(1);
        self.trust[first..].iter().take_while(|t| t.0 <= to).any(|t| t.1)
    }

    /// Pitch centres from one time to another.
    pub(super) fn centres_between(&self, from_us: f64, to_us: f64) -> &[(f64, f64)] {
        between(&self.centres, from_us, to_us)
    }

    /// Levels from one time to another.
    pub(super) fn levels_between(&self, from_us: f64, to_us: f64) -> &[(f64, f64)] {
        between(&self.levels, from_us, to_us)
    }
}

/// Keeps what comes later than the last by at least so much.
fn keep_in_order(kept: &mut Vec<(f64, f64)>, point: (f64, f64), every_us: f64) {
    let is_due = kept.last().is_none_or(|last| point.0 > last.0 && point.0 - last.0 >= every_us);
    if is_due && kept.len() < MAX_KEPT {
        kept.push(point);
    }
}

fn between(kept: &[(f64, f64)], from_us: f64, to_us: f64) -> &[(f64, f64)] {
    let from = kept.partition_point(|k| k.0 < from_us);
    let to = kept.partition_point(|k| k.0 < to_us);
    &kept[from..to.max(from)]
}
