//! What a whole file comes to, from all its readings and pulses. Pure: it knows no files, no text formats and no
//! clock. Times are seconds from the file's first sample, pitches are MIDI note numbers with fraction.

mod numbers;

use numbers::{Timing, mean, median, run_lengths, slope, timing_of};
use windrow_analysis::{Capture, Hearing, Pulse, Reading, tuning};
use windrow_protocol::judge::{Asked, Bands, Evidence, State, judge};
use windrow_protocol::note::Note;
use windrow_protocol::score::{PerBeat, Target};
use windrow_protocol::units::Bpm;

/// A tone is left alone for this long before its pitch counts: the attack is not the note.
const ATTACK_S: f64 = 0.3;
/// Width of the window, in semitones, whose fullest place is the note of the file: a vibrato wide enough to be
/// mistaken for two notes does not exist, and neighbouring notes are a semitone apart.
const ONE_NOTE: f64 = 1.2;
/// Shortest stretch a slope is told from, seconds, and the fewest points.
const SLOPE_MIN_S: f64 = 1.5;
const SLOPE_MIN_POINTS: usize = 4;
/// From this many pulses on the first is left out of the rate, and the first and the last of the pitch centre.
const FEW_PULSES: usize = 5;
/// Share of the clear readings that must show pulses for the file to have vibrato: a shudder in a straight tone is not
/// one, and vibrato that begins late in a note is.
const PULSED_SHARE: f64 = 0.2;
/// Intervals an evenness is told from.
const EVENNESS_MIN_INTERVALS: usize = 3;

/// What was heard in a file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sound<'a> {
    pub(super) duration_s: f64,
    pub(super) sample_rate_hz: u32,
    pub(super) readings: &'a [Reading],
    pub(super) pulses: &'a [Pulse],
}

/// What the file is measured against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Question {
    pub(super) a4_hz: f64,
    pub(super) expected: Option<Note>,
    pub(super) beat: Option<Beat>,
}

/// A beat that was to be kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beat {
    pub(super) bpm: Bpm,
    pub(super) per_beat: PerBeat,
    /// Where a beat lies; if not known, timing counts from the start of the file and is not judged.
    pub(super) beat_at_s: Option<f64>,
}

impl Beat {
    fn tick_s(&self) -> f64 {
        60.0 / self.bpm.get() / f64::from(self.per_beat.get())
    }
}

/// What a file comes to. `None` where it cannot be told, and nothing of the pulses where the file is not trusted; every
/// number is finite.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Summary {
    pub(super) duration_s: f64,
    pub(super) sample_rate_hz: u32,
    pub(super) note: Option<Note>,
    pub(super) f0_hz: Option<f64>,
    pub(super) centre_cents: Option<f64>,
    /// Mean of the highest pitch of each whole pulse.
    pub(super) upper_cents: Option<f64>,
    pub(super) pulse_rate_hz: Option<f64>,
    pub(super) depth_db_pp: Option<f64>,
    pub(super) swing_cents_pp: Option<f64>,
    pub(super) evenness_cv: Option<f64>,
    pub(super) drift_cents_per_10s: Option<f64>,
    pub(super) pulse_times_s: Vec<f64>,
    pub(super) timing_ms: Option<f64>,
    pub(super) spread_ms: Option<f64>,
    pub(super) state: State,
    pub(super) trusted: bool,
    pub(super) first_trusted_s: Option<f64>,
    /// The worst that the microphone's path did anywhere in the file.
    pub(super) capture: Capture,
}

/// Sums a file up.
pub(super) fn summarise(sound: &Sound, question: &Question) -> Summary {
    let tone = Tone::main(sound);
    let is_pulsed = tone.is_pulsed();
    let pulses: &[Pulse] = if is_pulsed { &tone.pulses } else { &[] };
    let times: Vec<f64> = pulses.iter().map(|p| p.time_s).collect();
    // The attack can move the first peak.
    let n_attack = usize::from(times.len() >= FEW_PULSES);
    let runs = run_lengths(&times[n_attack..]);
    let points = if is_pulsed { tone.pulse_centres() } else { tone.straight_centres() };
    let centre_midi = mean(points.iter().map(|&(_, midi)| midi)).or_else(|| tone.any_centre());
    let note = question.expected.or_else(|| centre_midi.and_then(|m| Note::from_midi(m.round() as i32)));
    let cents = |midi: f64| note.map(|note| 100.0 * (midi - f64::from(note.midi())));
    let timing = question.beat.and_then(|beat| {
        let phases = times.iter().map(|t| (t - beat.beat_at_s.unwrap_or(0.0)) / beat.tick_s());
        timing_of(phases, beat.tick_s() * 1000.0)
    });
    let of_last_readings = |of: fn(&Reading) -> Option<f64>| median(tone.pulsed_readings().filter_map(of));
    let mut summary = Summary {
        duration_s: sound.duration_s,
        sample_rate_hz: sound.sample_rate_hz,
        note,
        f0_hz: centre_midi.map(|midi| tuning::midi_to_hz(midi, question.a4_hz)),
        centre_cents: centre_midi.and_then(cents),
        upper_cents: mean(inner(pulses).iter().filter_map(|p| p.top_midi)).and_then(cents),
        pulse_rate_hz: runs.rate_hz(),
        depth_db_pp: median(pulses.iter().map(|p| p.depth_db)),
        swing_cents_pp: median(pulses.iter().map(|p| p.swing_cents)),
        evenness_cv: runs.evenness_cv(EVENNESS_MIN_INTERVALS),
        drift_cents_per_10s: slope(&points, SLOPE_MIN_S, SLOPE_MIN_POINTS).map(|s| s * 1000.0),
        timing_ms: timing.and_then(|t: Timing| t.offset_ms),
        spread_ms: timing.and_then(|t| t.spread_ms),
        state: State::NotHeard,
        trusted: tone.trusted(),
        first_trusted_s: tone.first_trusted_s(),
        capture: worst_capture(sound.readings),
        pulse_times_s: times,
    };
    if is_pulsed {
        // A tone of two or three pulses: the readings know the rate before two whole intervals are certain.
        summary.pulse_rate_hz = summary.pulse_rate_hz.or_else(|| of_last_readings(|r| r.pulse_rate_hz));
        summary.depth_db_pp = summary.depth_db_pp.or_else(|| of_last_readings(|r| r.depth_db_pp));
        summary.swing_cents_pp = summary.swing_cents_pp.or_else(|| of_last_readings(|r| r.swing_cents_pp));
    }
    if !summary.trusted {
        summary.withhold_pulses();
    }
    summary.state = tone.judge(sound, &summary, question, runs.choked_share(&pulses[n_attack..]), cents);
    summary
}

impl Summary {
    /// Takes out what nobody vouches for: the pulses may be another player's, or the room's. The pitch stays.
    fn withhold_pulses(&mut self) {
        self.upper_cents = None;
        self.pulse_rate_hz = None;
        self.depth_db_pp = None;
        self.swing_cents_pp = None;
        self.evenness_cv = None;
        self.timing_ms = None;
        self.spread_ms = None;
        self.pulse_times_s.clear();
    }
}

/// The tone of the file's main note.
struct Tone<'a> {
    readings: Vec<&'a Reading>,
    pulses: Vec<Pulse>,
}

impl<'a> Tone<'a> {
    /// Readings and pulses around the pitch that most readings show; pulses too broken to have a pitch count as well.
    fn main(sound: &Sound<'a>) -> Self {
        let mut pitches: Vec<f64> = sound.readings.iter().filter_map(centre_midi_of).collect();
        pitches.sort_by(f64::total_cmp);
        let within = |from: usize| pitches[from..].partition_point(|&p| p <= pitches[from] + ONE_NOTE);
        let fullest = (0..pitches.len()).max_by_key(|&from| (within(from), usize::MAX - from));
        let Some(middle) = fullest.and_then(|from| mean(pitches[from..from + within(from)].iter().copied()))
        else {
            return Self { readings: Vec::new(), pulses: Vec::new() };
        };
        let near = |midi: f64| (midi - middle).abs() <= ONE_NOTE;
        Self {
            readings: sound.readings.iter().filter(|r| centre_midi_of(r).is_some_and(near)).collect(),
            pulses: sound.pulses.iter().filter(|p| p.mean_midi.is_none_or(near)).copied().collect(),
        }
    }

    fn clear_readings(&self) -> impl Iterator<Item = &'a Reading> {
        let clear = |r: &&&Reading| r.trusted() && matches!(r.hearing, Hearing::Straight | Hearing::Pulsed);
        self.readings.iter().filter(clear).copied()
    }

    fn pulsed_readings(&self) -> impl Iterator<Item = &'a Reading> {
        self.clear_readings().filter(|r| r.hearing == Hearing::Pulsed)
    }

    fn is_pulsed(&self) -> bool {
        let (n_pulsed, n_clear) = (self.pulsed_readings().count(), self.clear_readings().count());
        n_pulsed > 0 && n_pulsed as f64 >= PULSED_SHARE * n_clear as f64
    }

    /// Time and mean pitch of each whole pulse.
    fn pulse_centres(&self) -> Vec<(f64, f64)> {
        inner(&self.pulses).iter().filter_map(|p| Some((p.time_s, p.mean_midi?))).collect()
    }

    /// Time and pitch at each moment of a straight tone, its attack left out.
    fn straight_centres(&self) -> Vec<(f64, f64)> {
        let Some(first) = self.readings.first() else { return Vec::new() };
        let settled = |r: &&Reading| r.hearing == Hearing::Straight && r.time_s >= first.time_s + ATTACK_S;
        self.clear_readings().filter(settled).filter_map(|r| Some((r.time_s, midi_now(r)?))).collect()
    }

    /// The centre of whatever was heard, for a tone too short for the others.
    fn any_centre(&self) -> Option<f64> {
        median(self.readings.iter().filter_map(|r| centre_midi_of(r)))
    }

    fn first_trusted_s(&self) -> Option<f64> {
        let kind = if self.is_pulsed() { Hearing::Pulsed } else { Hearing::Straight };
        self.clear_readings().find(|r| r.hearing == kind).map(|r| r.heard_until_s)
    }

    /// Whether the file may be judged by: from the first trusted reading on, at least half of them are.
    fn trusted(&self) -> bool {
        let Some(first_s) = self.first_trusted_s() else { return false };
        let since: Vec<_> = self.readings.iter().filter(|r| r.heard_until_s >= first_s).collect();
        2 * since.iter().filter(|r| r.trusted()).count() >= since.len()
    }

    fn judge(
        &self,
        sound: &Sound,
        summary: &Summary,
        question: &Question,
        choked_share: Option<f64>,
        cents: impl Fn(f64) -> Option<f64>,
    ) -> State {
        let reference = |r: &Reading| Some(f64::from(r.note_midi?) + r.straight_reference_cents? / 100.0);
        let evidence = Evidence {
            present: true,
            resting: false,
            heard: sound.readings.iter().any(|r| r.hearing != Hearing::Silence),
            trusted: summary.trusted,
            pulsed: self.is_pulsed(),
            n_pulses: u16::try_from(summary.pulse_times_s.len()).unwrap_or(u16::MAX),
            pulse_rate_hz: summary.pulse_rate_hz,
            depth_db: summary.depth_db_pp,
            swing_cents: summary.swing_cents_pp,
            centre_cents: summary.centre_cents,
            drift_cents_per_10s: summary.drift_cents_per_10s,
            straight_reference_cents: self.pulsed_readings().filter_map(reference).last().and_then(cents),
            evenness_cv: summary.evenness_cv,
            choked_share,
            timing_ms: summary.timing_ms.filter(|_| question.beat.is_some_and(|b| b.beat_at_s.is_some())),
            levels_changed: summary.capture.changes_levels(),
        };
        let asked = question.beat.map_or(Asked::NOTHING, |beat| {
            Asked::at(Target::Pulses { per_beat: beat.per_beat }, beat.bpm.get())
        });
        judge(&evidence, &asked, &Bands::default())
    }
}

/// The pulses whose pitch counts. The first has the attack in it and the last the end of the tone, so they do only where
/// there are few.
fn inner(pulses: &[Pulse]) -> &[Pulse] {
    match pulses.len() {
        n @ FEW_PULSES.. => &pulses[1..n - 1],
        _ => pulses,
    }
}

fn worst_capture(readings: &[Reading]) -> Capture {
    readings.iter().fold(Capture::default(), |worst, r| Capture {
        clipped_share: worst.clipped_share.max(r.capture.clipped_share),
        band_hz: r.capture.band_hz.or(worst.band_hz),
        gain_riding: worst.gain_riding || r.capture.gain_riding,
    })
}

/// Pitch at a reading's moment.
fn midi_now(r: &Reading) -> Option<f64> {
    Some(f64::from(r.note_midi?) + r.cents? / 100.0)
}

/// Pitch centre of a reading, or its pitch at the moment where there is none yet.
fn centre_midi_of(r: &Reading) -> Option<f64> {
    r.note_midi
        .zip(r.centre_cents)
        .map(|(note, cents)| f64::from(note) + cents / 100.0)
        .or_else(|| midi_now(r))
}

#[cfg(test)]
mod tests;
