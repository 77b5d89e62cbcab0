//! The analyser: checked configuration in, samples in, readings and pulses out. Owns every buffer.

use crate::capture::{Capture, CaptureWatch};
use crate::centre::CentreTrack;
use crate::config::{Config, ConfigError};
use crate::follower::{Step, ToneFollower};
use crate::lines::Line;
use crate::pulses::{FoundPulse, is_by_air};
use crate::reading::{Hearing, Pulse, Reading, TRUSTED_FROM};
use crate::rhythm::Rhythm;
use crate::run::PulseRun;
use crate::tuning::midi_to_hz;
use crate::vibrato::{Look, Vibrato, is_spaced_as};

/// Hops from reading to reading: twenty a second.
const READING_HOPS: u64 = 10;
/// The attack: frames after a tone's start that say nothing about its vibrato, seconds.
const ATTACK_S: f64 = 0.03;
/// Correlation of the tone that earns trust 0 and trust 1.
const TONE_CLARITY: (f64, f64) = (0.5, 0.85);
/// A straight tone is fully trusted after this time, seconds, and half after half of it; sooner where pulses were heard
/// before, whose absence shows within a period.
const STRAIGHT_SURE_S: f64 = 2.0;
const STRAIGHT_SURE_AFTER_PULSES_S: f64 = 1.2;
/// Unrhythmic wavering that is still a straight tone: standard deviations in dB and cents; early on it might be the
/// beginning of a slow pulse, so the bar is lower.
const WAVER: (f64, f64) = (1.5, 12.0);
const WAVER_EARLY: (f64, f64) = (0.4, 4.0);
const WAVER_EARLY_UNTIL_S: f64 = 2.3;
/// A straight tone becomes the reference only where its newest part, of this length, is calm, seconds.
const REFERENCE_CALM_S: f64 = 0.5;
/// No pulse for this many periods: the vibrato has stopped.
const STOPPED_PERIODS: f64 = 1.6;
/// A pulse is certain once the tone has gone on for this many periods after its peak.
const CERTAIN_PERIODS: f64 = 0.6;
/// Crowding from which others, or echoes, may explain a rhythm: then it must have a line of its own in the modulation's
/// spectrum,
const CROWDED_FROM: f64 = 0.3;
/// as fast as it, within this share,
const LINE_MISFIT: f64 = 0.06;
/// and stand out: relative size of the next line that leaves full trust, and none (our own measurement).
const COMPETING: (f64, f64) = (0.45, 0.75);
/// In the level of all harmonics summed, in which the strongest count most, it may not be this much weaker than another.
const COMPETING_SUMMED: f64 = 1.4;
/// A note further from the expected one than this, semitones, may be the root of the chord that the others play, unless
/// the crowding is under this.
const WRONG_NOTE_SEMITONES: f64 = 7.5;
const ALONE_UNDER: f64 = 0.1;
/// A tone's last pulse, whose valley is its end, counts when the tone goes on for this many periods after its peak,
const LAST_PERIODS: f64 = 0.35;
/// and this long, seconds.
const LAST_S: f64 = 0.1;
/// Sound without a tone below this is silence, dB re full scale.
const QUIET_DB: f64 = -45.0;
/// Stretch over which a straight tone's centre is taken, seconds.
const STRAIGHT_CENTRE_S: f64 = 1.0;

/// A tone that has not sounded for this long, beyond the window its frames reach over, makes a pause, seconds.
const PAUSE_S: f64 = 0.1;

/// What one push of samples brought.
#[derive(Debug, Clone, Copy)]
pub struct Heard<'a> {
    /// Readings, about twenty a second, oldest first.
    pub readings: &'a [Reading],
    /// Pulses that became certain, oldest first.
    pub pulses: &'a [Pulse],
}

/// A streaming analyser for one player.
///
/// Memory is allocated by [`Analyser::new`] alone, except that a block of more than three seconds may grow the lists of
/// readings and pulses.
pub struct Analyser {
    config: Config,
    capture: CaptureWatch,
    follower: ToneFollower,
    vibrato: Vibrato,
    run: PulseRun,
    centre: CentreTrack,
    hops: u64,
    /// First frame after the attack of the present tone, once known.
    settled: Option<u64>,
    /// Frame of the last pulse reported.
    reported_until: f64,
    /// Frame from which the tone has been without pulses.
    straight_since: u64,
    note_midi: Option<u8>,
    /// When the expected note became another one, and when the sound began that the newest centre is of, s.
    note_since_s: f64,
    centre_since_s: f64,
    readings: Vec<Reading>,
    pulses: Vec<Pulse>,
}

impl Analyser {
    /// Checks the settings and allocates every buffer.
    ///
    /// # Errors
    /// [`ConfigError`] names the setting that is out of range.
    pub fn new(config: Config) -> Result<Self, ConfigError> {
        config.check()?;
        let mut follower = ToneFollower::new(config.sample_rate_hz, config.a4_hz);
        follower.expect(config.expected_midi);
        Ok(Self {
            config,
            capture: CaptureWatch::new(config.sample_rate_hz),
            vibrato: Vibrato::new(follower.frame_s()),
            run: PulseRun::new(),
            centre: CentreTrack::new(),
            follower,
            hops: 0,
            settled: None,
            reported_until: 0.0,
            straight_since: 0,
            note_midi: None,
            note_since_s: f64::NEG_INFINITY,
            centre_since_s: f64::INFINITY,
            readings: Vec::with_capacity(64),
            pulses: Vec::with_capacity(64),
        })
    }

    /// Sets or clears the note the player is to play.
    ///
    /// # Errors
    /// [`ConfigError::ExpectedNote`] outside MIDI 21 to 108.
    pub fn expect_note(&mut self, midi: Option<u8>) -> Result<(), ConfigError> {
        let config = Config { expected_midi: midi, ..self.config };
        config.check()?;
        if config.expected_midi != self.config.expected_midi {
            // Where the tone goes on in another note, that is no drift.
            self.centre.new_tone();
            self.note_since_s = self.follower.heard_until_s();
        }
        self.config = config;
        self.follower.expect(midi);
        Ok(())
    }

    /// Takes in samples, in blocks of any length (the cut does not change the readings), and says what they brought.
    /// Samples that are not finite count as silence.
    pub fn push(&mut self, samples: &[f32]) -> Heard<'_> {
        self.readings.clear();
        self.pulses.clear();
        for &sample in samples {
            let sample = if sample.is_finite() { sample.clamp(-16.0, 16.0) } else { 0.0 };
            if self.capture.push(sample) {
                let sounds = self.follower.silent_s().is_some_and(|s| s < PAUSE_S);
                self.capture.end_block(sounds);
            }
            let Some(step) = self.follower.push(sample) else { continue };
            self.hops += 1;
            match step {
                Step::Began => self.begin_tone(),
                Step::Ended => self.end_tone(),
                Step::On => {}
            }
            if self.hops % READING_HOPS == 0 {
                let capture = self.capture();
                let reading = self.read();
                self.readings.push(Reading { capture, ..reading });
            }
        }
        Heard { readings: &self.readings, pulses: &self.pulses }
    }

    /// Says that no more samples come: the last pulses of a tone that was still sounding become certain. Afterwards the
    /// analyser waits for a new tone, as after silence.
    pub fn finish(&mut self) -> Heard<'_> {
        self.readings.clear();
        self.pulses.clear();
        if self.follower.tone().is_some() {
            self.follower.end();
            self.end_tone();
        }
        Heard { readings: &self.readings, pulses: &self.pulses }
    }

    /// What the microphone's path does to the sound, as far as it is known by now.
    pub fn capture(&self) -> Capture {
        self.capture.capture()
    }

    fn begin_tone(&mut self) {
        self.settled = None;
        self.note_midi = None;
        self.run.clear();
        self.centre.new_tone();
        if let Some(tone) = self.follower.tone() {
            self.reported_until = f64::NEG_INFINITY;
            self.straight_since = tone.first_frame;
        }
    }

    /// The tone is over: its last pulse, whose valley is the end, becomes certain.
    fn end_tone(&mut self) {
        let look = self.look(self.follower.ended_at());
        if let Some(look) = look.filter(|l| l.rhythm.trust() >= TRUSTED_FROM) {
            self.vibrato.find_pulses(&look);
            self.report_pulses(&look.rhythm, true);
        }
        self.run.clear();
        self.settled = None;
    }

    fn read(&mut self) -> Reading {
        let heard_until_s = self.follower.heard_until_s();
        let Some((sounded_until, clarity)) = self.follower.tone().map(|t| (t.sounded_until, t.clarity()))
        else {
            let silence = self.follower.sound_db() < QUIET_DB;
            let hearing = if silence { Hearing::Silence } else { Hearing::Unclear };
            return Reading::empty(hearing, self.follower.sound_db(), heard_until_s);
        };
        let look = self.look(sounded_until);
        let tracks = self.vibrato.tracks();
        if tracks.len() < 4 {
            return Reading::empty(Hearing::Unclear, self.follower.sound_db(), heard_until_s);
        }
        let tone_trust = ((clarity - TONE_CLARITY.0) / (TONE_CLARITY.1 - TONE_CLARITY.0)).clamp(0.0, 1.0);
        let last = tracks.len() - 1;
        let midi_now = tracks.base_midi() + tracks.cents()[last] / 100.0;
        let now_frame = tracks.first_frame() as f64 + last as f64;
        let mut reading = Reading::empty(Hearing::Unclear, tracks.level_db()[last], heard_until_s);
        reading.time_s = self.follower.time_s(now_frame);
        reading.f0_hz = Some(midi_to_hz(midi_now, self.config.a4_hz));
        let pulsed = look.filter(|l| l.rhythm.trust() > 0.0).and_then(|look| {
            let rhythm = look.rhythm;
            let (line, line_trust) = self.line_of(&look);
            let trust = rhythm.trust() * tone_trust * line_trust;
            self.follower.set_pulse_period(Some(rhythm.period * self.follower.frame_s()));
            let found = self.vibrato.find_pulses(&look);
            let last_peak = found.last()?.frame;
            if !is_spaced_as(found, rhythm.period) {
                return None;
            }
            if trust >= TRUSTED_FROM {
                self.report_pulses(&rhythm, false);
            }
            (now_frame - last_peak < STOPPED_PERIODS * rhythm.period).then_some((rhythm, trust, line))
        });
        let centre_midi = match pulsed {
            Some((rhythm, trust, line)) => {
                reading.hearing = Hearing::Pulsed;
                reading.trust = trust;
                self.straight_since = now_frame as u64;
                self.describe_pulses(&mut reading, &rhythm, line)
            }
            None => self.describe_straight(&mut reading, now_frame, tone_trust),
        };
        self.describe_pitch(&mut reading, midi_now, centre_midi);
        reading
    }

    /// Looks at the last seconds of the tone. `until` leaves out what has not sounded since (a broken valley, or the end).
    fn look(&mut self, until: u64) -> Option<Look> {
        let settled = self.settled_frame();
        let (frames, first) = self.follower.frames_from(settled);
        let n = (until.saturating_sub(first) as usize).min(frames.len());
        let (level, pitch) = self.follower.filters();
        self.vibrato.fill(&frames[..n], first, level, pitch);
        self.vibrato.look()
    }

    /// Where others, or echoes, may explain a rhythm: its line in the spectrum of the modulation, and the trust it earns.
    fn line_of(&mut self, look: &Look) -> (Option<Line>, f64) {
        let (crowding, midi) = (self.vibrato.tracks().crowding(), self.vibrato.tracks().base_midi());
        let is_far = |expected: u8| (midi - f64::from(expected)).abs() > WRONG_NOTE_SEMITONES;
        if crowding > ALONE_UNDER && self.config.expected_midi.is_some_and(is_far) {
            return (None, 0.0);
        }
        if crowding < CROWDED_FROM {
            return (None, 1.0);
        }
        let is_its_own = |line: &Line| (line.period / look.rhythm.period - 1.0).abs() < LINE_MISFIT;
        let Some(line) = self.vibrato.line(look).filter(is_its_own) else { return (None, 0.0) };
        let Rhythm { depth_db, swing_cents, .. } = look.rhythm;
        let by_air = is_by_air(depth_db, swing_cents, crowding);
        if by_air && self.vibrato.summed_line(look).is_none_or(|summed| summed.competing > COMPETING_SUMMED) {
            return (None, 0.0);
        }
        let (full, none) = COMPETING;
        (Some(line), ((none - line.competing) / (none - full)).clamp(0.0, 1.0))
    }

    /// First frame after the attack.
    fn settled_frame(&mut self) -> u64 {
        if let Some(settled) = self.settled {
            return settled;
        }
        let first = self.follower.tone().map_or(0, |t| t.first_frame);
        let (frames, first) = self.follower.frames_from(first);
        let frame_s = self.follower.frame_s();
        let early = &frames[..frames.len().min((0.2 / frame_s) as usize)];
        let loudest = early.iter().map(|f| f.level).fold(0.0, f64::max);
        let rise = early.iter().position(|f| f.level > 0.4 * loudest && f.midi.is_some()).unwrap_or(0);
        let settled = first + rise as u64 + (ATTACK_S / frame_s) as u64;
        if frames.len() as f64 * frame_s > 0.25 {
            self.settled = Some(settled);
        }
        settled
    }

    /// Reports those of the pulses just found that are certain and have not been reported.
    fn report_pulses(&mut self, rhythm: &Rhythm, tone_is_over: bool) {
        let end = (self.vibrato.tracks().first_frame() + self.vibrato.tracks().len() as u64) as f64;
        let period_s = rhythm.period * self.follower.frame_s();
        for found in self.vibrato.pulses() {
            // Where a tone stops in the middle of a rise, that is no peak.
            let went_on = end - found.frame;
            let certain = if tone_is_over {
                found.closed
                    || went_on >= (LAST_PERIODS * rhythm.period).max(LAST_S / self.follower.frame_s())
            } else {
                found.closed && went_on >= CERTAIN_PERIODS * rhythm.period
            };
            if !certain || found.frame < self.reported_until + 0.5 * rhythm.period {
                continue;
            }
            let pulse = pulse_from(found, self.follower.time_s(found.frame));
            self.reported_until = found.frame;
            self.run.push(pulse, period_s);
            self.pulses.push(pulse);
        }
    }

    /// Rate, depth, swing and so on; gives the centre over whole pulses.
    fn describe_pulses(&mut self, reading: &mut Reading, rhythm: &Rhythm, line: Option<Line>) -> Option<f64> {
        let period_s = rhythm.period * self.follower.frame_s();
        let counted =
            self.run.rate_hz().filter(|hz| self.run.len() >= 4 && (hz * period_s - 1.0).abs() < 0.25);
        let found = self.vibrato.pulses();
        let by_line = line.map(|l| 1.0 / (l.period * self.follower.frame_s()));
        reading.pulse_rate_hz = Some(by_line.or(counted).unwrap_or(1.0 / period_s));
        reading.n_pulses = self.run.len().max(found.len()) as u16;
        // The last four pulses make the centre, so that it is of now.
        let from = found.len().saturating_sub(5);
        let ends = (found.len() >= 2).then(|| (found[from].frame, found[found.len() - 1].frame));
        reading.depth_db_pp = self.run.depth_db().or(Some(rhythm.depth_db));
        reading.swing_cents_pp = self.run.swing_cents().or(Some(rhythm.swing_cents));
        reading.evenness_cv = self.run.evenness_cv();
        reading.choked_share = self.run.choked_share();
        let tracks = self.vibrato.tracks();
        let first = tracks.first_frame() as f64;
        let (from, to) = ends?;
        self.centre_since_s = self.follower.time_s(from);
        tracks.mean_midi(from - first, to - first)
    }

    /// A tone without rhythm: straight, or not clear; gives its centre.
    fn describe_straight(&mut self, reading: &mut Reading, now_frame: f64, tone_trust: f64) -> Option<f64> {
        let frame_s = self.follower.frame_s();
        let settled = self.settled_frame();
        let had_pulses = self.straight_since > settled;
        let sure_s = if had_pulses { STRAIGHT_SURE_AFTER_PULSES_S } else { STRAIGHT_SURE_S };
        let since = self.straight_since.max(settled) as f64;
        let lasted_s = (now_frame - since) * frame_s;
        let tracks = self.vibrato.tracks();
        let n = ((lasted_s / frame_s) as usize).min(tracks.len());
        let limit = if lasted_s < WAVER_EARLY_UNTIL_S { WAVER_EARLY } else { WAVER };
        let is_within = |waver: (f64, f64), limit: (f64, f64)| waver.0 < limit.0 && waver.1 < limit.1;
        let steady = is_within(tracks.waver(n), limit);
        let last = tracks.len() as f64 - 1.0;
        let from = last - (STRAIGHT_CENTRE_S / frame_s).min(n as f64 - 1.0).max(1.0);
        let centre = tracks.mean_midi(from, last);
        self.centre_since_s = self.follower.time_s(tracks.first_frame() as f64 + from);
        if steady && lasted_s > 0.3 {
            self.follower.set_pulse_period(None);
            reading.hearing = Hearing::Straight;
            reading.trust = (lasted_s / sure_s).clamp(0.0, 1.0) * tone_trust;
            // A vibrato that has just begun is not yet known as one; it must not become the reference.
            let newest = n.min((REFERENCE_CALM_S / frame_s) as usize);
            let calm = is_within(tracks.waver(newest), WAVER_EARLY);
            if let (Some(midi), true) = (centre, calm) {
                self.centre.push_straight(midi, lasted_s);
            }
        }
        centre.filter(|_| steady)
    }

    /// Note, cents, centre, drift and reference.
    fn describe_pitch(&mut self, reading: &mut Reading, midi_now: f64, centre_midi: Option<f64>) {
        let around = centre_midi.unwrap_or(midi_now);
        let keeps = |note: u8| (around - f64::from(note)).abs() < 0.6;
        let nearest = around.round().clamp(0.0, 127.0) as u8;
        let note =
            self.config.expected_midi.unwrap_or(self.note_midi.filter(|&n| keeps(n)).unwrap_or(nearest));
        self.note_midi = Some(note);
        let cents = |midi: f64| 100.0 * (midi - f64::from(note));
        reading.note_midi = Some(note);
        reading.cents = Some(cents(midi_now));
        reading.centre_cents = centre_midi.map(cents);
        let is_pulsed = reading.hearing == Hearing::Pulsed;
        reading.upper_cents = self.run.upper_midi().filter(|_| is_pulsed).map(cents);
        if let Some(centre) = centre_midi {
            if reading.trusted() && self.centre_since_s >= self.note_since_s {
                self.centre.push(reading.time_s, centre, reading.hearing);
            }
            reading.straight_reference_cents = self.centre.straight_reference_midi(centre).map(cents);
        }
        reading.drift_cents_per_10s = self.centre.drift_cents_per_10s();
    }
}

fn pulse_from(found: &FoundPulse, time_s: f64) -> Pulse {
    Pulse {
        time_s,
        depth_db: found.depth_db,
        swing_cents: found.swing_cents,
        mean_midi: found.mean_midi,
        top_midi: found.top_midi,
        valley_db: -found.valley_before_db.unwrap_or(found.depth_db),
        choked: found.broke_before,
    }
}
