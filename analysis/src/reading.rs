//! What the analyser says. Plain data; conversion to messages is the web crate's work.

use crate::capture::Capture;

/// Trust from which a reading may be judged by.
pub const TRUSTED_FROM: f64 = 0.5;

/// Kind of sound heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hearing {
    /// Nothing above the noise.
    Silence,
    /// Sound without a steady note, or too little of it to say.
    Unclear,
    /// A tone without pulses.
    Straight,
    /// A tone with pulses.
    Pulsed,
}

/// What is heard at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Moment this reading speaks for: the centre of its newest frame, seconds from the first sample.
    pub time_s: f64,
    /// Time of the last sample known when this reading was made, seconds.
    pub heard_until_s: f64,
    /// Kind of sound.
    pub hearing: Hearing,
    /// Level of the player's own harmonics, dB re full scale; of the whole sound where no note is found.
    pub level_db: f64,
    /// Fundamental frequency at this moment, Hz.
    pub f0_hz: Option<f64>,
    /// Note the cents count from, MIDI number: the expected one if set, else the nearest to the pitch centre.
    pub note_midi: Option<u8>,
    /// Pitch at this moment, cents from the note.
    pub cents: Option<f64>,
    /// Mean of cents over whole pulses (over the last second of a straight tone), cents from the note.
    pub centre_cents: Option<f64>,
    /// Mean of the highest pitch of each of the last whole pulses, cents from the note: where the pitch only falls from
    /// it, as with the jaw, this is the note meant.
    pub upper_cents: Option<f64>,
    /// Pulses a second: intervals counted over the time they took.
    pub pulse_rate_hz: Option<f64>,
    /// Pulses the rate rests on.
    pub n_pulses: u16,
    /// Peak over valley of the last pulses (median), dB.
    pub depth_db_pp: Option<f64>,
    /// Pitch excursion of the last pulses (median), cents peak to peak.
    pub swing_cents_pp: Option<f64>,
    /// Coefficient of variation of the intervals between the last pulses.
    pub evenness_cv: Option<f64>,
    /// Slope of the pitch centre, cents in ten seconds.
    pub drift_cents_per_10s: Option<f64>,
    /// Pitch centre of the last straight tone on this note, cents.
    pub straight_reference_cents: Option<f64>,
    /// Share of the last valleys in which the tone broke.
    pub choked_share: Option<f64>,
    /// How sure it is that kind, rate and depth are right: 0 not at all, 1 fully.
    pub trust: f64,
    /// What the microphone's path does to the sound.
    pub capture: Capture,
}

impl Reading {
    /// A reading that knows no more than a level.
    pub fn empty(hearing: Hearing, level_db: f64, heard_until_s: f64) -> Self {
        Self {
            time_s: heard_until_s,
            heard_until_s,
            hearing,
            level_db: level_db.max(-200.0),
            f0_hz: None,
            note_midi: None,
            cents: None,
            centre_cents: None,
            upper_cents: None,
            pulse_rate_hz: None,
            n_pulses: 0,
            depth_db_pp: None,
            swing_cents_pp: None,
            evenness_cv: None,
            drift_cents_per_10s: None,
            straight_reference_cents: None,
            choked_share: None,
            trust: 0.0,
            capture: Capture::default(),
        }
    }

    /// Whether this may be judged by.
    pub fn trusted(&self) -> bool {
        self.trust >= TRUSTED_FROM
    }
}

/// One pulse that has become certain. Each is reported once, in order of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulse {
    /// Time of the peak, seconds from the first sample.
    pub time_s: f64,
    /// Peak over valley, dB.
    pub depth_db: f64,
    /// Pitch excursion within the pulse, cents peak to peak.
    pub swing_cents: f64,
    /// Mean pitch of the pulse as MIDI note number with fraction; `None` where the tone was too broken to tell.
    pub mean_midi: Option<f64>,
    /// Highest pitch of the pulse, likewise.
    pub top_midi: Option<f64>,
    /// Level of the valley before it relative to the peak, dB (negative).
    pub valley_db: f64,
    /// Whether the tone broke in that valley.
    pub choked: bool,
}
