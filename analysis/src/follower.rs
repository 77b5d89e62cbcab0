//! From samples to the frames of one tone after another: finds a note, follows its harmonics through swells and broken
//! valleys, notices when it ends or another begins. What the tone does is for the analyser to say.

use crate::framing::{Decimator, History, dot};
use crate::harmonics::Harmonics;
use crate::modulation::ToneFrame;
use crate::pitch::{Found, PitchFinder};
use crate::tone::{HELD_S, Pending, Relation, SAME_PITCH_CENTS, Tone, relation};
use crate::tuning::{cents_between, hz_to_midi, midi_to_hz};
use crate::unflatten::Unflatten;

/// Time from frame to frame.
const HOP_S: f64 = 0.005;
/// Hops from one coarse search to the next.
const SEARCH_HOPS: u64 = 4;
/// Correlation from which a new tone is believed.
const START_CLARITY: f64 = 0.75;
/// Searches that must agree before the tone is given up for another pitch: for an unrelated one; for one of which the
/// present pitch is an overtone; and for an overtone of the present pitch, which the swells of a low note suggest for
/// parts of a pulse.
const UNRELATED_SEARCHES: u32 = 3;
const UNDERTONE_SEARCHES: u32 = 5;
const OVERTONE_SEARCHES: u32 = 30;
/// Correlation lost at the present pitch before an unrelated one is considered.
const CONTINUITY: f64 = 0.15;
/// Level under the tone's loudness at which it counts as broken, dB.
const BROKEN_DB: f64 = -26.0;
/// Level down to which a broken tone still has a pitch, if its harmonics disagree by less than this, cents.
const FAINTEST_DB: f64 = -44.0;
const FAINT_SPREAD_CENTS: f64 = 12.0;
/// The loudness that frames are held against falls by this much a second, dB.
const LOUDNESS_FALL_DB_PER_S: f64 = 6.0;
/// A tone may break this long without ending.
const SHORTEST_HOLD_S: f64 = 0.45;
/// The same in pulse periods.
const HOLD_PERIODS: f64 = 1.3;
/// Harmonics that disagree more than this, cents, are no tone.
const LARGEST_SPREAD_CENTS: f64 = 60.0;
/// Sound below this is silence, dB re full scale.
const SILENCE_DB: f64 = -70.0;
/// The expected note is watched for within this, cents;
const WATCHED_CENTS: f64 = 75.0;
/// it is there when its harmonics disagree by less than this, cents,
const WATCHED_SPREAD_CENTS: f64 = 30.0;
/// have at least this share of the power of the sound,
const WATCHED_SHARE: f64 = 0.2;
/// and so many glances agree.
const WATCHED_GLANCES: u32 = 3;
/// Correlation of a tone from which nothing else is heard beside it.
const ALONE_CLARITY: f64 = 0.8;
/// Frames after which the attack is over and the harmonics are chosen again.
const CHOOSE_AGAIN_FRAMES: u64 = 20;
/// Frames kept.
const KEPT_FRAMES: usize = 1100;

/// What a hop brought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Step {
    /// The tone, or silence, goes on.
    On,
    /// A tone has begun.
    Began,
    /// The tone has ended; its frames are still there until the next hop.
    Ended,
}

/// Follows one tone at a time.
pub(crate) struct ToneFollower {
    a4_hz: f64,
    decimator: Decimator,
    history: History<f32>,
    finder: PitchFinder,
    harmonics: Harmonics,
    /// For the expected note, while there is no tone.
    watch: Harmonics,
    frames: History<ToneFrame>,
    hop: usize,
    frame_s: f64,
    tone: Option<Tone>,
    other: Option<Found>,
    n_other: u32,
    expected_hz: Option<f64>,
    hold_s: f64,
    sound_db: f64,
    /// Where the last tone ended: frame after the last that sounded.
    ended_at: u64,
    level_filter: Unflatten,
    pitch_filter: Unflatten,
}

impl ToneFollower {
    pub(crate) fn new(sample_rate_hz: f64, a4_hz: f64) -> Self {
        let decimator = Decimator::new(sample_rate_hz);
        let rate = decimator.working_rate_hz();
        let hop = (HOP_S * rate).round() as usize;
        let finder = PitchFinder::new(rate);
        let harmonics = Harmonics::new(rate, hop);
        let keep = finder.window() + harmonics.longest_window() + 2 * hop;
        let frame_s = hop as f64 / rate;
        Self {
            a4_hz,
            history: History::new(keep),
            finder,
            harmonics,
            watch: Harmonics::new(rate, hop),
            frames: History::new(KEPT_FRAMES),
            hop,
            frame_s,
            tone: None,
            other: None,
            n_other: 0,
            expected_hz: None,
            hold_s: SHORTEST_HOLD_S,
            sound_db: -200.0,
            ended_at: 0,
            level_filter: Unflatten::for_level(frame_s, 0.04),
            pitch_filter: Unflatten::for_pitch(frame_s, 0.04, 2.0 * frame_s),
            decimator,
        }
    }

    /// Seconds from frame to frame.
    pub(crate) fn frame_s(&self) -> f64 {
        self.frame_s
    }

    /// The note to prefer where a search is undecided.
    pub(crate) fn expect(&mut self, midi: Option<u8>) {
        self.expected_hz = midi.map(|m| midi_to_hz(f64::from(m), self.a4_hz));
        let tone_hz = self.tone.as_ref().map(|t| midi_to_hz(t.last_midi, self.a4_hz));
        let expected = tone_hz.is_some_and(|hz| self.is_expected(hz));
        if let Some(tone) = &mut self.tone {
            tone.expected = expected;
        }
    }

    /// The period of the tone's pulses, once known: a choked valley of that length does not end the tone.
    pub(crate) fn set_pulse_period(&mut self, period_s: Option<f64>) {
        self.hold_s = period_s.map_or(SHORTEST_HOLD_S, |p| SHORTEST_HOLD_S.max(HOLD_PERIODS * p));
    }

    /// Where the last tone ended: the frame after the last that sounded.
    pub(crate) fn ended_at(&self) -> u64 {
        self.ended_at
    }

    pub(crate) fn tone(&self) -> Option<&Tone> {
        self.tone.as_ref()
    }

    /// How long the present tone has not sounded, as far as its frames reach, seconds; `None` without a tone.
    pub(crate) fn silent_s(&self) -> Option<f64> {
        let silent = |tone: &Tone| self.frames.end().saturating_sub(tone.sounded_until) as f64 * self.frame_s;
        self.tone.as_ref().map(silent)
    }

    /// Level of the whole sound, dB re full scale.
    pub(crate) fn sound_db(&self) -> f64 {
        self.sound_db
    }

    /// Frames of the present tone, from the one with this number on.
    pub(crate) fn frames_from(&self, first: u64) -> (&[ToneFrame], u64) {
        let first = first.max(self.frames.begin());
        (self.frames.range(first, self.frames.end()), first)
    }

    /// The filters that undo the flattening of the present tone's frames: level, pitch.
    pub(crate) fn filters(&self) -> (&Unflatten, &Unflatten) {
        (&self.level_filter, &self.pitch_filter)
    }

    /// Time of a frame (with fraction), seconds.
    pub(crate) fn time_s(&self, frame: f64) -> f64 {
        // A window's centre lies half a sample before the sample that begins its second half.
        self.decimator.time_s(frame * self.hop as f64 - 0.5)
    }

    pub(crate) fn heard_until_s(&self) -> f64 {
        self.decimator.heard_until_s()
    }

    /// Takes a sample; says what happened at the end of a hop, `None` in between.
    pub(crate) fn push(&mut self, sample: f32) -> Option<Step> {
        let working = self.decimator.push(sample)?;
        self.history.push(working);
        if self.history.end() % self.hop as u64 != 0 {
            return None;
        }
        let hop_number = self.history.end() / self.hop as u64;
        let mut step = self.follow();
        if hop_number % SEARCH_HOPS == 0 && step == Step::On {
            step = self.search();
        }
        Some(step)
    }

    /// Makes the frames that have become possible.
    fn follow(&mut self) -> Step {
        let fall = 10f64.powf(-LOUDNESS_FALL_DB_PER_S * self.frame_s / 20.0);
        let (broken, faintest) = (10f64.powf(BROKEN_DB / 20.0), 10f64.powf(FAINTEST_DB / 20.0));
        let reference_midi = hz_to_midi(self.harmonics.reference_hz().max(1.0), self.a4_hz);
        let half = (self.harmonics.window() / 2) as u64;
        let Some(tone) = &mut self.tone else { return Step::On };
        while tone.next_frame * self.hop as u64 + half <= self.history.end() {
            let centre = tone.next_frame * self.hop as u64;
            let samples = self.history.range(centre - half, centre + half);
            let frame = self.harmonics.frame(samples);
            tone.next_frame += 1;
            let Some(frame) = frame else { continue };
            tone.loudness = (tone.loudness * fall).max(frame.level);
            let settle = self.frame_s / HELD_S;
            tone.spread_cents += settle * (frame.spread_cents.min(100.0) - tone.spread_cents);
            tone.share += settle * (frame.share() - tone.share);
            let sounds = frame.level > broken * tone.loudness && frame.spread_cents < LARGEST_SPREAD_CENTS;
            let midi = reference_midi + frame.advance_cents / 100.0;
            // A choked valley sounds no more, but while its harmonics agree its pitch is known.
            let faint = frame.level > faintest * tone.loudness && frame.spread_cents < FAINT_SPREAD_CENTS;
            let pitched = sounds || faint;
            // A frame's pitch is the mean of the advance to it and the advance from it.
            if let Some(last) = &tone.pending {
                let middle = (last.midi + midi) / 2.0;
                let voiced = last.pitched && pitched;
                self.frames.push(ToneFrame {
                    level: last.level,
                    shared_level: last.shared_level,
                    midi: voiced.then_some(middle),
                    apart: last.apart,
                });
                if voiced {
                    tone.last_midi = middle;
                }
                if last.sounds && sounds {
                    tone.sounded_until = self.frames.end();
                }
            } else {
                self.frames.restart_at(tone.next_frame - 1);
                tone.first_frame = tone.next_frame - 1;
            }
            if !pitched {
                self.harmonics.expect_back_at(100.0 * (tone.last_midi - reference_midi));
            }
            if tone.next_frame == tone.first_frame + CHOOSE_AGAIN_FRAMES {
                self.harmonics.choose_again();
            }
            tone.pending = Some(Pending {
                level: frame.level,
                shared_level: frame.shared_level,
                midi,
                apart: frame.apart,
                sounds,
                pitched,
            });
        }
        let has_frames = tone.pending.is_some();
        let is_over = has_frames && self.silent_s().is_some_and(|s| s > self.hold_s);
        if is_over { self.end() } else { Step::On }
    }

    /// Ends the tone, as when the sound stops.
    pub(crate) fn end(&mut self) -> Step {
        self.ended_at = self.tone.take().map_or(self.ended_at, |t| t.sounded_until);
        self.other = None;
        self.hold_s = SHORTEST_HOLD_S;
        Step::Ended
    }

    /// Looks for the pitch of the newest window; starts, confirms or ends a tone.
    fn search(&mut self) -> Step {
        let samples = self.history.tail(self.finder.window());
        if samples.len() < self.finder.window() {
            return Step::On;
        }
        let power = f64::from(dot(samples, samples)) / samples.len() as f64;
        self.sound_db = 10.0 * (power + 1e-20).log10();
        let tone_hz = self.tone.as_ref().map(|t| midi_to_hz(t.last_midi, self.a4_hz));
        let found = if self.sound_db < SILENCE_DB {
            None
        } else {
            self.finder.find(samples, tone_hz.or(self.expected_hz))
        };
        let Some(hz) = tone_hz else {
            let watched = self.watch_for_expected();
            return self.maybe_begin(watched.or(found), watched.is_some());
        };
        let Some(found) = found else {
            self.other = None;
            return Step::On;
        };
        if let Some(tone) = &mut self.tone {
            tone.clarity += 0.15 * (found.clarity.min(found.clarity_at_likely) - tone.clarity);
        }
        let held = self.tone.as_ref().is_some_and(Tone::is_held);
        // Another note was followed, and it is not the only one: the expected one may have come.
        if self.tone.as_ref().is_some_and(|t| !t.expected && t.clarity < ALONE_CLARITY) {
            if let Some(watched) = self.watch_for_expected() {
                self.count(watched);
                if self.n_other >= WATCHED_GLANCES {
                    let agreed = (self.other, self.n_other);
                    self.end();
                    (self.other, self.n_other) = agreed;
                    return Step::Ended;
                }
                return Step::On;
            }
        }
        let needed = match relation(hz, found.f0_hz) {
            _ if held => None,
            Relation::Same => None,
            Relation::Overtone => Some(OVERTONE_SEARCHES),
            Relation::Undertone => Some(UNDERTONE_SEARCHES),
            Relation::None if found.clarity_at_likely > found.clarity - CONTINUITY => None,
            Relation::None => Some(UNRELATED_SEARCHES),
        };
        let Some(needed) = needed.filter(|_| found.clarity >= START_CLARITY) else {
            self.other = None;
            return Step::On;
        };
        self.count(found);
        if self.n_other < needed {
            return Step::On;
        }
        // The next search begins the new tone: this one is known well enough to start from. The old tone was over when
        // the first of the searches that agree had half of its window in the new one, and its last frames reach into that.
        let windows = self.finder.window() + self.harmonics.window();
        let back = u64::from(needed) * SEARCH_HOPS + (windows / self.hop / 2) as u64;
        let until = (self.history.end() / self.hop as u64).saturating_sub(back);
        self.end();
        self.ended_at = self.ended_at.min(until);
        self.other = Some(found);
        self.n_other = needed;
        Step::Ended
    }

    fn is_expected(&self, f0_hz: f64) -> bool {
        self.expected_hz.is_some_and(|hz| cents_between(hz, f0_hz).abs() < WATCHED_CENTS)
    }

    /// Looks whether the newest sound holds the expected note, among whatever else.
    fn watch_for_expected(&mut self) -> Option<Found> {
        let reference_hz = self.expected_hz.filter(|_| self.sound_db > SILENCE_DB)?;
        let window = self.watch.window_for(reference_hz);
        let samples = self.history.tail(window + self.hop);
        if samples.len() < window + self.hop {
            return None;
        }
        let frame = self.watch.glance(reference_hz, &samples[..window], &samples[self.hop..])?;
        let is_there = frame.advance_cents.abs() < WATCHED_CENTS
            && frame.spread_cents < WATCHED_SPREAD_CENTS
            && frame.share() > WATCHED_SHARE;
        let f0_hz = reference_hz * (frame.advance_cents / 1200.0).exp2();
        is_there.then_some(Found { f0_hz, clarity: START_CLARITY, clarity_at_likely: START_CLARITY })
    }

    fn maybe_begin(&mut self, found: Option<Found>, watched: bool) -> Step {
        let Some(found) = found.filter(|f| f.clarity >= START_CLARITY) else {
            self.other = None;
            return Step::On;
        };
        self.count(found);
        let needed = if watched { WATCHED_GLANCES } else { 2 };
        if self.n_other >= needed { self.begin(found) } else { Step::On }
    }

    /// Counts searches that agree with one another.
    fn count(&mut self, found: Found) {
        let agrees = self.other.is_some_and(|o| cents_between(o.f0_hz, found.f0_hz).abs() < SAME_PITCH_CENTS);
        self.n_other = if agrees { self.n_other + 1 } else { 1 };
        self.other = Some(found);
    }

    fn begin(&mut self, found: Found) -> Step {
        let window = self.harmonics.window_for(found.f0_hz);
        let loudness = self.harmonics.retune(found.f0_hz, self.history.tail(window));
        let window_s = window as f64 * self.frame_s / self.hop as f64;
        self.level_filter = Unflatten::for_level(self.frame_s, window_s);
        self.pitch_filter = Unflatten::for_pitch(self.frame_s, window_s, 2.0 * self.frame_s);
        let half = (window / 2) as u64;
        let earliest =
            self.history.end().saturating_sub(self.finder.window() as u64 + half).max(self.history.begin())
                + half;
        let first_frame = earliest.div_ceil(self.hop as u64);
        self.frames.restart_at(first_frame);
        self.tone = Some(Tone {
            first_frame,
            sounded_until: first_frame,
            clarity: found.clarity,
            spread_cents: 0.0,
            share: 1.0,
            expected: self.is_expected(found.f0_hz),
            next_frame: first_frame,
            loudness,
            last_midi: hz_to_midi(found.f0_hz, self.a4_hz),
            pending: None,
        });
        self.other = None;
        self.n_other = 0;
        self.follow();
        Step::Began
    }
}
