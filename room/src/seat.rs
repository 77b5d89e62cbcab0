//! What the room knows of one player, and the verdict it comes to. Pure; knows only the protocol and the numbers beside
//! it.

use super::check::{Sitting, Sounding};
use super::event::ConnectionId;
use super::music::Now;
use super::statistics::{Offset, constant_offset_ms};
use std::collections::VecDeque;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::{Asked, Evidence, State, StateKeeper, judge};
use windrow_protocol::messages::{
    Hearing, MicrophoneCheck, MicrophoneReport, MicrophoneStatus, Processing, Pulse, Reading, You,
};
use windrow_protocol::note::Note;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::timeline::{NearestTick, Timeline};
use windrow_protocol::units::{Micros, Name};

/// A reading older than this no longer speaks for the player: fifteen readings at the usual ten a second.
const FRESH_US: f64 = 1.5e6;
/// Silence for this long, or for one pulse asked for if that is longer, is more than a broken valley.
const SILENT_US: f64 = 0.5e6;
/// Sound that stays unclear for this long, or for three pulses asked for if that is longer, is not the player's own to
/// judge; a tone that stays straight for as long has no pulse. Before that the analysis is still gathering its first
/// pulses (first trusted rate: within 2.5 pulses).
const PATIENCE_US: f64 = 1.5e6;
const PATIENCE_PULSES: f64 = 3.0;
/// Pulses a timing is told from: the last eight.
const TIMED_PULSES: usize = 8;
/// The constant offset is another only from so much on: all pulses drawn would move with it, and less than a device knows
/// their times to is nothing to see. Our own choice.
const CONSTANT_STEP_MS: f64 = 1.0;
/// Pulses kept: four bars of sixteenths and more than any page draws.
const KEPT_PULSES: usize = 160;
/// Points of the pitch centre kept, and the time between them: 64 of 250 ms are eight beats even at 30 bpm.
const KEPT_CENTRES: usize = 64;
const CENTRE_EVERY_US: f64 = 250_000.0;
/// Share of a new reading in the mean level: over about a second, so over two of the slowest pulses in the long run.
const LEVEL_SHARE: f64 = 0.1;
/// A pulse said to lie further than this from now comes from a clock that is wrong and is not drawn.
const PULSE_WITHIN_US: f64 = 60e6;

/// A player's chair.
#[derive(Debug, Clone)]
pub(super) struct Seat {
    pub(super) player_id: String,
    pub(super) token: String,
    pub(super) chair: u16,
    pub(super) name: Name,
    /// As the player typed it; the name may have got a number.
    pub(super) asked: Name,
    pub(super) instrument: Instrument,
    /// Such as "flute 2".
    pub(super) part: String,
    /// Who of the section's list this is; `None` for a nickname.
    pub(super) person_id: Option<String>,
    /// What the player should know about the own place; empty for nothing.
    pub(super) notice: Phrase,
    pub(super) calibrated: bool,
    /// `None` while away.
    pub(super) connection: Option<ConnectionId>,
    pub(super) away_since_us: f64,
    /// The connection stands, but nothing has come over it for a while: the device may be out of the Wi-Fi, or asleep.
    pub(super) is_quiet: bool,
    pub(super) resting: bool,
    pub(super) microphone: Option<MicrophoneStatus>,
    /// The device says that its automatic gain control is on.
    pub(super) gain_control_on: bool,
    /// The room check tells that what the device hears now may be the neighbours'.
    pub(super) is_covered: bool,
    /// What the last check of the microphone found.
    pub(super) check: Option<MicrophoneCheck>,
    /// The device goes over a line instead of a socket.
    pub(super) over_line: bool,
    /// Nobody real: nothing of it is kept.
    pub(super) is_imaginary: bool,
    reading: Option<Reading>,
    /// Mean power of the level lately; levels of pulses and of neighbours are compared, not of moments.
    level_power: f64,
    /// When the newest reading came; its own time is of the device's clock estimate and is not trusted for this.
    reading_came_us: f64,
    /// When the sound that is heard now began, after silence.
    sound_began_us: f64,
    /// When any sound, a tone that may be judged by, and pulses that may, were last heard.
    sound_us: f64,
    clear_us: f64,
    pulsed_us: f64,
    pulses: VecDeque<Pulse>,
    /// Where the first ones of these lie against the ticks of a score, and which score that is: a pulse is placed once.
    placed: VecDeque<Option<Offset>>,
    placed_in: Option<(u32, Micros)>,
    pub(super) centre_tail: VecDeque<(f64, f64)>,
    /// Last batch or result handed to the records.
    pub(super) accepted_seq: u32,
    /// Last batch or result known to be safe.
    pub(super) acknowledged_seq: u32,
    /// Batches and results handed to the records of which it is not yet known whether they are safe.
    pub(super) n_on_the_way: u32,
    /// Since when something could not be kept; nothing later is acknowledged until the device has come back.
    pub(super) unkept_since_us: Option<f64>,
    /// A welcome that waits for batches on their way to the records.
    pub(super) welcome_due: bool,
    verdict: State,
    /// What the newest evidence alone shows; `None` while there is not enough of it.
    judged: Option<State>,
    keeper: StateKeeper,
    /// Constant offset of the last pulses from the tick, of player and device together.
    pub(super) timing_ms: Option<f64>,
    /// The same over all pulses kept, for a device that is not calibrated: what is taken out before its pulses are drawn
    /// or compared, since it says more of the device than of the player.
    constant_ms: f64,
    pub(super) told: Option<You>,
    pub(super) told_us: f64,
}

impl Seat {
    pub(super) fn new(
        player_id: String,
        token: String,
        chair: u16,
        name: Name,
        instrument: Instrument,
    ) -> Self {
        Self {
            player_id,
            token,
            chair,
            asked: name.clone(),
            name,
            instrument,
            part: String::new(),
            person_id: None,
            notice: Phrase::default(),
            calibrated: false,
            connection: None,
            away_since_us: 0.0,
            is_quiet: false,
            resting: false,
            microphone: None,
            gain_control_on: false,
            is_covered: false,
            check: None,
            over_line: false,
            is_imaginary: false,
            reading: None,
            level_power: 0.0,
            reading_came_us: 0.0,
            sound_began_us: f64::NEG_INFINITY,
            sound_us: f64::NEG_INFINITY,
            clear_us: f64::NEG_INFINITY,
            pulsed_us: f64::NEG_INFINITY,
            pulses: VecDeque::new(),
            placed: VecDeque::new(),
            placed_in: None,
            centre_tail: VecDeque::new(),
            accepted_seq: 0,
            acknowledged_seq: 0,
            n_on_the_way: 0,
            unkept_since_us: None,
            welcome_due: false,
            verdict: State::NotHeard,
            judged: None,
            keeper: StateKeeper::new(State::NotHeard),
            timing_ms: None,
            constant_ms: 0.0,
            told: None,
            told_us: f64::NEG_INFINITY,
        }
    }

    /// A device takes the chair, for the first time or again. A reloaded page counts its readings from 1 again.
    pub(super) fn sit_down(&mut self, connection: ConnectionId) {
        self.connection = Some(connection);
        self.is_quiet = false;
        self.reading = None;
        self.sound_us = f64::NEG_INFINITY;
        self.clear_us = f64::NEG_INFINITY;
        self.pulsed_us = f64::NEG_INFINITY;
        self.microphone = None;
        self.gain_control_on = false;
        self.welcome_due = true;
        self.constant_ms = 0.0;
        self.told = None;
        self.told_us = f64::NEG_INFINITY;
        self.verdict = State::NotHeard;
        self.judged = None;
        self.keeper = StateKeeper::new(State::NotHeard);
    }

    pub(super) fn get_up(&mut self, now_us: f64) {
        self.connection = None;
        self.away_since_us = now_us;
        self.welcome_due = false;
    }

    /// Whether somebody is there as far as anybody can know.
    pub(super) fn is_in(&self) -> bool {
        self.connection.is_some() && !self.is_quiet
    }

    /// Takes what a device says of its microphone.
    pub(super) fn take_microphone(&mut self, report: &MicrophoneReport) {
        self.microphone = Some(report.status);
        self.gain_control_on = report.still_on.contains(&Processing::AutoGainControl);
    }

    /// Takes what the player's check found: no more findings than there are kinds.
    pub(super) fn take_check(&mut self, mut check: MicrophoneCheck) {
        check.findings.truncate(MicrophoneCheck::MAX_FINDINGS);
        self.check = Some(check);
    }

    /// Takes whether the device's latency is known; whether that is new. What was heard before belongs to another delay
    /// and is not compared with what follows.
    pub(super) fn take_timing(&mut self, calibrated: bool) -> bool {
        let is_new = self.calibrated != calibrated;
        if is_new {
            self.calibrated = calibrated;
            self.constant_ms = 0.0;
            self.pulses.clear();
            self.placed.clear();
        }
        is_new
    }

    /// Takes the newest reading; one that was overtaken is passed over.
    pub(super) fn take_reading(&mut self, reading: Reading, now_us: f64) {
        if self.reading.as_ref().is_some_and(|r| r.seq >= reading.seq) {
            return;
        }
        let clear = matches!(reading.hearing, Hearing::Straight | Hearing::Pulsed)
            && reading.trusted
            && !self.is_covered;
        let power = 10f64.powf(reading.level_db.get() / 10.0);
        self.level_power += LEVEL_SHARE * (power - self.level_power);
        if reading.hearing != Hearing::Silence {
            if now_us - self.sound_us >= SILENT_US {
                self.sound_began_us = now_us;
            }
            self.sound_us = now_us;
        }
        if clear {
            self.clear_us = now_us;
        }
        if clear && reading.hearing == Hearing::Pulsed {
            self.pulsed_us = now_us;
        }
        if let (true, Some(centre)) = (clear, reading.centre_cents) {
            let due = |&(t, _): &(f64, f64)| reading.time_us.get() - t >= CENTRE_EVERY_US;
            if self.centre_tail.back().is_none_or(due) {
                push_bounded(&mut self.centre_tail, (reading.time_us.get(), centre.get()), KEPT_CENTRES);
            }
        }
        self.reading_came_us = now_us;
        self.reading = Some(reading);
    }

    /// Takes pulses for the raster and the timing. Those not later than the last one known were seen before.
    pub(super) fn take_pulses(&mut self, pulses: &[Pulse], now_us: f64) {
        for pulse in pulses {
            let later = self.pulses.back().is_none_or(|last| pulse.time_us > last.time_us);
            if later && (pulse.time_us.get() - now_us).abs() < PULSE_WITHIN_US {
                if self.pulses.len() == KEPT_PULSES {
                    self.placed.pop_front();
                }
                push_bounded(&mut self.pulses, *pulse, KEPT_PULSES);
            }
        }
    }

    /// The newest reading, while it still speaks for the player.
    pub(super) fn fresh_reading(&self, now_us: f64) -> Option<&Reading> {
        self.reading
            .as_ref()
            .filter(|_| self.connection.is_some() && now_us - self.reading_came_us <= FRESH_US)
    }

    /// As the room check sees the chair.
    pub(super) fn sitting(&self) -> Sitting<'_> {
        Sitting {
            player_id: &self.player_id,
            chair: self.chair,
            name: &self.name,
            part: &self.part,
            is_in: self.is_in(),
            is_deaf: self.microphone.is_some_and(|m| m != MicrophoneStatus::Listening),
        }
    }

    /// How loud the device hears its player, or whoever it takes for its player.
    pub(super) fn sounding(&self, now_us: f64) -> Option<Sounding<'_>> {
        let reading = self.fresh_reading(now_us).filter(|r| r.hearing != Hearing::Silence)?;
        Some(Sounding {
            player_id: &self.player_id,
            level_db: 10.0 * self.level_power.max(f64::MIN_POSITIVE).log10(),
            note: reading.note.map(Note::midi),
        })
    }

    /// The newest reading, if it may be judged by.
    pub(super) fn trusted_reading(&self, now_us: f64) -> Option<&Reading> {
        self.fresh_reading(now_us).filter(|r| {
            r.trusted && !self.is_covered && matches!(r.hearing, Hearing::Straight | Hearing::Pulsed)
        })
    }

    /// Constant offset left out of the pulses before they are drawn or compared, ms.
    pub(super) fn left_out_ms(&self) -> f64 {
        self.constant_ms
    }

    /// Pulses as they are drawn and compared: without the constant offset of a device that is not calibrated.
    pub(super) fn comparable_pulses(&self) -> impl Iterator<Item = Pulse> {
        let without_us = |time: Micros| Micros::clamped(time.get() - self.constant_ms * 1e3).unwrap_or(time);
        self.pulses.iter().map(move |p| Pulse { time_us: without_us(p.time_us), ..*p })
    }

    /// Broken valleys among the last pulses, and how many those are.
    pub(super) fn choked_of_last(&self) -> (usize, usize) {
        let last = self.pulses.iter().rev().take(TIMED_PULSES);
        (last.clone().filter(|p| p.choked).count(), last.count())
    }

    /// The state on the page.
    pub(super) fn state(&self) -> State {
        self.keeper.shown()
    }

    /// What the newest evidence alone shows, without what was shown before; `None` while there is not enough of it.
    pub(super) fn judged(&self) -> Option<State> {
        self.judged
    }

    /// Judges anew and gives the state to show.
    pub(super) fn look(&mut self, now: &Now, timeline: Option<&Timeline>, now_us: f64) -> State {
        self.timing_ms = None;
        if let Some((timeline, since_us)) = timeline.zip(now.first_pulse_us()) {
            let is_news = self.place_pulses(timeline);
            let mut last = self.placed_since(since_us).rev().take(TIMED_PULSES).collect::<Vec<_>>();
            last.reverse();
            self.timing_ms = constant_offset_ms(&last);
            // A new tempo does not change the device: until it has pulses enough, what was known stands.
            if is_news && !self.calibrated && last.len() == TIMED_PULSES {
                let all: Vec<_> = self.placed_since(since_us).collect();
                let ms = constant_offset_ms(&all).unwrap_or(self.constant_ms);
                if (ms - self.constant_ms).abs() >= CONSTANT_STEP_MS {
                    self.constant_ms = ms.round();
                }
            }
        }
        self.judged = self.verdict(&self.asked_then(now, timeline), now_us);
        if let Some(verdict) = self.judged {
            self.verdict = verdict;
        }
        self.keeper.update(self.verdict, now_us, now.beat_us)
    }

    /// Places pulses against the ticks that were not yet, all of them where the score is another; whether there were any.
    fn place_pulses(&mut self, timeline: &Timeline) -> bool {
        let score = (timeline.score().version, timeline.score().start_us);
        if self.placed_in != Some(score) {
            self.placed.clear();
            self.placed_in = Some(score);
        }
        let n_placed = self.placed.len();
        let place = |p: &Pulse| timeline.nearest_tick(p.time_us.get()).map(offset_of);
        self.placed.extend(self.pulses.iter().skip(n_placed).map(place));
        self.placed.len() > n_placed
    }

    fn placed_since(&self, since_us: f64) -> impl DoubleEndedIterator<Item = Offset> {
        let pulses = self.pulses.iter().zip(&self.placed);
        pulses.filter(move |(p, _)| p.time_us.get() >= since_us).filter_map(|(_, offset)| *offset)
    }

    /// What is asked; where the tempo is on its way, what was asked while the pulses were played that the newest reading's
    /// rate rests on.
    fn asked_then(&self, now: &Now, timeline: Option<&Timeline>) -> Now {
        let rate_hz = self.reading.as_ref().and_then(|r| r.pulse_rate_hz);
        match (timeline, &self.reading, rate_hz) {
            (Some(timeline), Some(reading), Some(_)) if now.is_gradual => {
                let middle_us = (reading.time_us.get() + rests_on_pulses_since_us(reading)) / 2.0;
                let bpm = timeline.bpm_at(timeline.beat_at(middle_us));
                let pulse_rate_hz = Asked::at(now.asked.target, bpm).pulse_rate_hz;
                Now { asked: Asked { pulse_rate_hz, ..now.asked }, ..*now }
            }
            _ => *now,
        }
    }

    /// What the evidence shows, or `None` where there is not enough yet and the last verdict stands.
    fn verdict(&self, now: &Now, now_us: f64) -> Option<State> {
        let pulse_us = now.asked.pulse_rate_hz.map_or(0.0, |hz| 1e6 / hz);
        let reading = self.fresh_reading(now_us);
        let trusted = self.trusted_reading(now_us).is_some();
        let pulsed = reading.is_some_and(|r| r.hearing == Hearing::Pulsed);
        let silent = reading.is_none() || now_us - self.sound_us >= SILENT_US.max(pulse_us);
        let evidence = Evidence {
            present: self.is_in(),
            resting: self.resting || now.waits || now.rests,
            heard: !silent,
            trusted,
            pulsed,
            timing_ms: self.timing_ms.filter(|_| self.calibrated),
            levels_changed: self.gain_control_on
                || reading.and_then(|r| r.capture).is_some_and(|c| c.changes_levels()),
            ..reading.map(measures).unwrap_or_default()
        };
        let is_fact = !evidence.present || evidence.resting || silent;
        let asked_us = now.since_us.unwrap_or(f64::NEG_INFINITY);
        let patience_us = PATIENCE_US.max(PATIENCE_PULSES * pulse_us);
        let too_early = if !trusted {
            now_us - self.clear_us.max(self.sound_began_us) < patience_us
        } else if pulsed {
            reading.is_some_and(|r| {
                rests_on_pulses_since_us(r) < now.first_pulse_us().unwrap_or(f64::NEG_INFINITY)
            })
        } else {
            now_us - self.pulsed_us.max(self.sound_began_us).max(asked_us) < patience_us
        };
        if !is_fact && too_early {
            let was_fact = matches!(self.verdict, State::Away | State::Resting);
            return was_fact.then_some(State::NotHeard);
        }
        Some(judge(&evidence, &now.asked, &now.bands))
    }
}

/// Pulses since a time, against their ticks.
pub(super) fn offsets_since(
    pulses: impl Iterator<Item = Pulse>,
    timeline: &Timeline,
    since_us: f64,
) -> Vec<Offset> {
    pulses
        .map(|p| p.time_us.get())
        .filter(|&time_us| time_us >= since_us)
        .filter_map(|time_us| timeline.nearest_tick(time_us))
        .map(offset_of)
        .collect()
}

fn offset_of(tick: NearestTick) -> Offset {
    Offset { offset_ms: tick.offset_ms, period_ms: tick.period_ms }
}

/// Server time of the first pulse a reading's rate and evenness rest on: as many intervals ago as it has pulses, and one
/// more, since the last of them is only certain after the valley that follows it.
fn rests_on_pulses_since_us(r: &Reading) -> f64 {
    let rate_hz = r.pulse_rate_hz.map_or(f64::INFINITY, f64::from);
    r.time_us.get() - f64::from(r.n_pulses.saturating_add(1)) * 1e6 / rate_hz
}

/// The measures of a reading as evidence; what they are worth is for the caller to say.
fn measures(r: &Reading) -> Evidence {
    Evidence {
        n_pulses: r.n_pulses,
        pulse_rate_hz: r.pulse_rate_hz.map(f64::from),
        depth_db: r.depth_db_pp.map(f64::from),
        swing_cents: r.swing_cents_pp.map(f64::from),
        centre_cents: r.centre_cents.map(f64::from),
        drift_cents_per_10s: r.drift_cents_per_10s.map(f64::from),
        straight_reference_cents: r.straight_reference_cents.map(f64::from),
        evenness_cv: r.evenness_cv.map(f64::from),
        choked_share: r.choked_share.map(f64::from),
        ..Evidence::default()
    }
}

fn push_bounded<T>(queue: &mut VecDeque<T>, item: T, limit: usize) {
    if queue.len() == limit {
        queue.pop_front();
    }
    queue.push_back(item);
}

#[cfg(test)]
#[path = "seat_tests.rs"]
mod tests;
