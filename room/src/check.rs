//! The room check: each player in turn holds a straight note for a bar, and from the levels all devices tell meanwhile comes
//! what each hears of its own player, of the empty room and of every other. Pure; knows only the protocol.
//!
//! A reading's level is that of the harmonics of the tone that is heard, or of the whole sound where there is no tone, so
//! one scale holds own notes, leaks and noise. Microphones differ: levels of two devices are never compared.

use std::collections::BTreeMap;
use windrow_protocol::messages::{CheckedChair, Finding, Leak, RoomCheck};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Decibels, Name};

/// Left out at the beginning of a turn, since the one before dies away in the room and a player starts late; and at its end,
/// since some stop early. Our own choice: two seconds and more of a bar at 80 remain.
const LATE_START_US: f64 = 800_000.0;
const EARLY_END_US: f64 = 200_000.0;
/// A turn is summed up this long after it has ended: readings come up to a second late over a busy Wi-Fi.
const READINGS_COME_US: f64 = 700_000.0;
/// Fewer readings than this, of ten a second, say nothing.
const LEAST_READINGS: usize = 5;
/// A level so far over the noise is a sound of its own. Levels of steady noise scatter by less (our own measurement).
const HEARD_DB: f64 = 3.0;
/// So far over the noise an own note can be judged: depth is measured from peak to valley, and a valley of an ordinary
/// pulse lies 9 dB below its peak.
const STANDS_OUT_DB: f64 = 12.0;
/// A neighbour less far below the own note than this is too close. Our own measurement (two synthetic players on one note,
/// rates 8 to 28 % apart, 40 pairs for each level): with the other 6 dB softer 99 % of the readings are trusted and all of
/// those right, at 4 dB 86 %, at 2 dB 24 %.
const TOO_CLOSE_DB: f64 = 6.0;
/// A neighbour on the same note has to be softer than the own sound by this, or some readings that are trusted are wrong: in
/// the same measurement none at 4 dB, 1.5 % of all at 2 dB.
const SAME_NOTE_DB: f64 = 4.0;
/// Rounds of taking neighbours out of what devices hear; a leak of a half is down to a hundredth then.
const SWEEPS: usize = 8;
/// Louder than this a silent room is none: a quiet room at a phone's microphone is at -70 to -55 dB (our own estimate).
const LOUD_SILENCE_DB: f64 = -45.0;
/// Pairs that the advice names.
const NAMED_PAIRS: usize = 3;

/// Player ids and what is known of each.
#[derive(Debug, Clone, Default)]
pub(super) struct Check {
    version: u32,
    run: Option<Run>,
    devices: BTreeMap<String, Device>,
}

/// What one device heard.
#[derive(Debug, Clone, Default, PartialEq)]
struct Device {
    noise_db: Option<f64>,
    /// It turned its level by itself, so its levels in different turns do not compare.
    is_turned: bool,
    /// Level in the turn of each player, by player.
    levels_db: BTreeMap<String, f64>,
}

/// A check that is running.
#[derive(Debug, Clone)]
struct Run {
    timeline: Timeline,
    /// Index of the span, and who plays in it; nobody in the first.
    turns: Vec<(usize, Option<String>)>,
    /// Turns summed up so far.
    n_settled: usize,
    /// Levels of the turns that are not, by player and turn.
    readings_db: BTreeMap<(String, usize), Vec<f64>>,
}

/// A chair as the check sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sitting<'a> {
    pub(super) player_id: &'a str,
    pub(super) chair: u16,
    pub(super) name: &'a Name,
    pub(super) part: &'a str,
    pub(super) is_in: bool,
    /// The device said that it cannot hear.
    pub(super) is_deaf: bool,
}

/// How loud a player is at the own device now, and on which note.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sounding<'a> {
    pub(super) player_id: &'a str,
    pub(super) level_db: f64,
    /// MIDI number.
    pub(super) note: Option<u8>,
}

impl Check {
    /// Begins with a score whose spans are a count-in, a bar of silence and the turns in the order of `players`.
    pub(super) fn begin(&mut self, timeline: Timeline, players: Vec<String>) {
        let first = timeline.score().spans.len() - players.len() - 1;
        let who = std::iter::once(None).chain(players.into_iter().map(Some));
        let turns = (first..).zip(who).collect();
        self.run = Some(Run { timeline, turns, n_settled: 0, readings_db: BTreeMap::new() });
        self.version += 1;
    }

    /// Ends early; what is known of earlier turns stays.
    pub(super) fn stop(&mut self) {
        self.version += u32::from(self.run.take().is_some());
    }

    pub(super) fn is_running(&self) -> bool {
        self.run.is_some()
    }

    /// 0 before the first check.
    pub(super) fn version(&self) -> u32 {
        self.version
    }

    /// Takes what a device hears, and whether it turns its level by itself.
    pub(super) fn take(&mut self, player_id: &str, time_us: f64, level_db: f64, is_turned: bool) {
        let Some(run) = &mut self.run else { return };
        let Some(turn) = run.turn_at(time_us) else { return };
        if turn >= run.n_settled {
            run.readings_db.entry((player_id.to_owned(), turn)).or_default().push(level_db);
            self.devices.entry(player_id.to_owned()).or_default().is_turned = is_turned;
        }
    }

    /// Sums up the turns that are over. Whether anything is new.
    pub(super) fn pass(&mut self, now_us: f64) -> bool {
        let Some(run) = &mut self.run else { return false };
        let former = run.n_settled;
        while run.n_settled < run.turns.len() && now_us > run.end_us(run.n_settled) + READINGS_COME_US {
            let turn = run.n_settled;
            let who = run.turns[turn].1.clone();
            let all = std::mem::take(&mut run.readings_db);
            let (of_turn, others) = all.into_iter().partition(|((_, t), _)| *t == turn);
            run.readings_db = others;
            let of_turn: BTreeMap<(String, usize), Vec<f64>> = of_turn;
            for ((player_id, _), mut levels) in of_turn {
                let device = self.devices.entry(player_id).or_default();
                let level_db = median(&mut levels).filter(|_| levels.len() >= LEAST_READINGS);
                match (&who, level_db) {
                    (None, _) => device.noise_db = level_db,
                    (Some(who), Some(db)) => drop(device.levels_db.insert(who.clone(), db)),
                    (Some(who), None) => drop(device.levels_db.remove(who)),
                }
            }
            run.n_settled += 1;
        }
        let is_new = run.n_settled > former;
        if run.n_settled == run.turns.len() {
            self.run = None;
        }
        self.version += u32::from(is_new);
        is_new
    }

    /// What was measured with a device that is not the player's any more, or has another microphone.
    pub(super) fn forget(&mut self, player_id: &str) {
        let known = self.devices.remove(player_id).is_some();
        self.version += u32::from(known);
    }

    /// Everything found, for chairs in order.
    pub(super) fn picture(&self, sittings: &[Sitting<'_>]) -> RoomCheck {
        let chairs: Vec<CheckedChair> = sittings.iter().map(|s| self.chair(s, sittings)).collect();
        let mut too_close: Vec<[u16; 2]> = chairs
            .iter()
            .filter(|c| matches!(c.finding, Finding::TooClose | Finding::OtherIsLouder))
            .flat_map(|c| {
                let own_db = c.own_db.map_or(f64::NAN, Decibels::get);
                let near = c.leaks.iter().filter(move |l| own_db - l.level_db.get() < TOO_CLOSE_DB);
                near.map(|l| [c.chair.min(l.chair), c.chair.max(l.chair)])
            })
            .collect();
        too_close.sort_unstable();
        too_close.dedup();
        let advice = advice(&chairs, &too_close);
        RoomCheck { version: self.version, chairs, too_close, advice }
    }

    fn chair(&self, s: &Sitting<'_>, sittings: &[Sitting<'_>]) -> CheckedChair {
        let device = self.devices.get(s.player_id);
        let noise_db = device.and_then(|d| d.noise_db);
        let own_db = device.and_then(|d| d.levels_db.get(s.player_id).copied());
        let mut leaks: Vec<Leak> = sittings
            .iter()
            .filter(|other| other.player_id != s.player_id)
            .filter_map(|other| {
                let level_db = self.leak_db(s.player_id, other.player_id)?;
                Some(Leak { chair: other.chair, level_db: tenths(level_db)? })
            })
            .collect();
        leaks.sort_by_key(|leak| leak.chair);
        let loudest = leaks.iter().max_by(|a, b| a.level_db.get().total_cmp(&b.level_db.get()));
        let over_noise_db = own_db.zip(noise_db).map(|(own, noise)| own - noise);
        let is_heard = over_noise_db.is_none_or(|db| db >= HEARD_DB);
        let others_hear = || sittings.iter().any(|o| self.leak_db(o.player_id, s.player_id).is_some());
        let over_loudest_db = own_db.zip(loudest).map(|(own, leak)| own - leak.level_db.get());
        let finding = match own_db {
            _ if !s.is_in => Finding::Away,
            _ if s.is_deaf => Finding::NoMicrophone,
            None => Finding::NotChecked,
            Some(_) if !is_heard && others_hear() => Finding::NotHeard,
            Some(_) if !is_heard => Finding::Silent,
            Some(_) if device.is_some_and(|d| d.is_turned) => Finding::TurnsLevel,
            Some(_) if over_loudest_db.is_some_and(|db| db < 0.0) => Finding::OtherIsLouder,
            Some(_) if over_loudest_db.is_some_and(|db| db < TOO_CLOSE_DB) => Finding::TooClose,
            Some(_) if over_noise_db.is_some_and(|db| db < STANDS_OUT_DB) => Finding::Noisy,
            Some(_) => Finding::Clear,
        };
        let apart_db = over_loudest_db.or(over_noise_db).filter(|_| is_heard);
        CheckedChair {
            chair: s.chair,
            name: s.name.clone(),
            part: s.part.to_owned(),
            finding,
            own_db: own_db.filter(|_| is_heard).and_then(tenths),
            noise_db: noise_db.and_then(tenths),
            apart_db: apart_db.map(|db| (db * 10.0).round() / 10.0),
            loudest: loudest.map(|leak| leak.chair),
            leaks,
        }
    }

    /// How loud a device hears another player, without the noise; `None` where that is not known or not over the noise.
    fn leak_db(&self, device: &str, player: &str) -> Option<f64> {
        let device = self.devices.get(device)?;
        let level_db = *device.levels_db.get(player)?;
        let noise_db = device.noise_db.unwrap_or(f64::NEG_INFINITY);
        (level_db - noise_db >= HEARD_DB).then(|| decibels(power(level_db) - power(noise_db)))
    }

    /// Whose device hears now what may as well be its neighbours': from how loud those are at their own devices follows how
    /// loud they are here. All together have to be softer than the player, and each one on the same note, in any octave,
    /// by [`SAME_NOTE_DB`].
    pub(super) fn covered(&self, sounding: &[Sounding<'_>]) -> Vec<bool> {
        let n = sounding.len();
        if self.devices.is_empty() {
            return vec![false; n];
        }
        // Power at a row's device of a column's player, as a share of that at the player's own device; the own one is left
        // out.
        let share = |device: &Sounding<'_>, player: &Sounding<'_>| {
            let at_home_db = *self.devices.get(player.player_id)?.levels_db.get(player.player_id)?;
            if self.devices.get(device.player_id)?.is_turned {
                return None;
            }
            let leak_db = self.leak_db(device.player_id, player.player_id)?;
            (device.player_id != player.player_id).then(|| power(leak_db - at_home_db))
        };
        let shares: Vec<Vec<f64>> = sounding
            .iter()
            .map(|device| sounding.iter().map(|player| share(device, player).unwrap_or(0.0)).collect())
            .collect();
        let is_same =
            |i: usize, j: usize| sounding[i].note.zip(sounding[j].note).is_none_or(|(a, b)| a % 12 == b % 12);
        let heard: Vec<f64> = sounding.iter().map(|s| power(s.level_db)).collect();
        // What is the players' own of it: a device may hear nothing but its neighbour, who must not count twice. Each sweep
        // takes out what the last one left (Jacobi); leaks are shares well under 1.
        let mut own = heard.clone();
        for _ in 0..SWEEPS {
            own = (0..n)
                .map(|i| {
                    let others = (0..n).filter(|&j| is_same(i, j)).map(|j| shares[i][j] * own[j]);
                    (heard[i] - others.sum::<f64>()).max(0.0)
                })
                .collect();
        }
        (0..n)
            .map(|i| {
                let here = |j: usize| shares[i][j] * own[j];
                let on_the_same = (0..n).filter(|&j| is_same(i, j)).map(here).fold(0.0, f64::max);
                (0..n).map(here).sum::<f64>() > own[i] || on_the_same * power(SAME_NOTE_DB) > own[i]
            })
            .collect()
    }
}

impl Run {
    /// The turn whose measured part holds a time.
    fn turn_at(&self, time_us: f64) -> Option<usize> {
        let span = self.timeline.span_index_at(self.timeline.beat_at(time_us))?;
        let turn = self.turns.iter().position(|(s, _)| *s == span)?;
        let start_us = self.timeline.time_of(self.timeline.span_start(span)?);
        let within = start_us + LATE_START_US..=self.end_us(turn) - EARLY_END_US;
        within.contains(&time_us).then_some(turn)
    }

    fn end_us(&self, turn: usize) -> f64 {
        let span = self.turns[turn].0;
        let end = self.timeline.span_start(span + 1).or(self.timeline.end_beat());
        end.map_or(f64::INFINITY, |beat| self.timeline.time_of(beat))
    }
}

fn advice(chairs: &[CheckedChair], too_close: &[[u16; 2]]) -> Vec<Phrase> {
    let mut advice = Vec::new();
    let finding = |chair: u16| chairs.iter().find(|c| c.chair == chair).map(|c| c.finding);
    let (swapped, near): (Vec<[u16; 2]>, Vec<[u16; 2]>) = too_close.iter().partition(|pair| {
        let loudest = |chair| chairs.iter().find(|c| c.chair == chair).and_then(|c| c.loudest);
        pair.iter().all(|&chair| finding(chair) == Some(Finding::OtherIsLouder))
            && (loudest(pair[0]), loudest(pair[1])) == (Some(pair[1]), Some(pair[0]))
    });
    for [a, b] in swapped {
        advice.push(Phrase::of("advice-swapped").with("a", a).with("b", b));
    }
    let pair = |[a, b]: &[u16; 2]| Phrase::of("advice-pair").with("a", *a).with("b", *b);
    let named: Vec<Phrase> = near.iter().take(NAMED_PAIRS).map(pair).collect();
    if !named.is_empty() {
        let id = if near.len() > NAMED_PAIRS { "advice-apart-and-others" } else { "advice-apart" };
        advice.push(Phrase::of(id).with("pairs", named));
    }
    for c in chairs {
        let id = match c.finding {
            Finding::NoMicrophone => "advice-no-microphone",
            Finding::NotHeard => "advice-not-heard",
            Finding::TurnsLevel => "advice-turns-level",
            Finding::Silent if c.noise_db.is_some_and(|noise| noise.get() > LOUD_SILENCE_DB) => {
                "advice-loud-silence"
            }
            Finding::Silent => "advice-silent",
            Finding::Noisy => "advice-noisy",
            Finding::NotChecked
            | Finding::Away
            | Finding::OtherIsLouder
            | Finding::TooClose
            | Finding::Clear => {
                continue;
            }
        };
        advice.push(Phrase::of(id).with("chair", c.chair).with("name", c.name.as_str()));
    }
    let n_known = chairs.iter().filter(|c| c.own_db.is_some()).count();
    if advice.is_empty() && n_known > 0 {
        advice.push(Phrase::of("advice-all-clear"));
    }
    advice
}

fn power(db: f64) -> f64 {
    10f64.powf(db / 10.0)
}

fn decibels(power: f64) -> f64 {
    10.0 * power.log10()
}

fn tenths(db: f64) -> Option<Decibels> {
    Decibels::clamped((db * 10.0).round() / 10.0)
}

fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

#[cfg(test)]
#[path = "check_tests.rs"]
mod tests;
