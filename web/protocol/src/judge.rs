//! From measures to one of the agreed words. Pure: the bands and the evidence come in, a state goes out. The room, the
//! `measure` command and any device judge with this one function.
//!
//! The order is from "no verdict" to what a teacher acts on first: how the pulse is made (choked, by the jaw), whether
//! there is one, whether it keeps the measure, whether it is deep enough, then pitch, then the finer timing. That order
//! is common practice, no source: a pulse that is made wrongly or not at all cannot be brought into time.

use crate::phrase::Phrase;
use crate::score::{Span, Target};
use serde::{Deserialize, Serialize};

/// A player's state, in the words used on screen, on the wire and in the database.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[expect(missing_docs, reason = "the words are their own explanation")]
pub enum State {
    Matched,
    Slow,
    Fast,
    Early,
    Late,
    Sharp,
    Flat,
    DriftingSharp,
    DriftingFlat,
    Shallow,
    ChokedValleys,
    PitchLed,
    Uneven,
    Straight,
    Resting,
    NotHeard,
    Blended,
    Away,
}

impl State {
    /// All of them.
    pub const ALL: [State; 18] = [
        State::Matched,
        State::Slow,
        State::Fast,
        State::Early,
        State::Late,
        State::Sharp,
        State::Flat,
        State::DriftingSharp,
        State::DriftingFlat,
        State::Shallow,
        State::ChokedValleys,
        State::PitchLed,
        State::Uneven,
        State::Straight,
        State::Resting,
        State::NotHeard,
        State::Blended,
        State::Away,
    ];

    /// To be read in any language: "state-drifting-sharp".
    pub fn phrase(self) -> Phrase {
        Phrase::of(&format!("state-{}", self.word().replace(' ', "-")))
    }

    /// As people read it.
    pub fn word(self) -> &'static str {
        match self {
            State::Matched => "matched",
            State::Slow => "slow",
            State::Fast => "fast",
            State::Early => "early",
            State::Late => "late",
            State::Sharp => "sharp",
            State::Flat => "flat",
            State::DriftingSharp => "drifting sharp",
            State::DriftingFlat => "drifting flat",
            State::Shallow => "shallow",
            State::ChokedValleys => "choked valleys",
            State::PitchLed => "pitch-led",
            State::Uneven => "uneven",
            State::Straight => "straight",
            State::Resting => "resting",
            State::NotHeard => "not heard",
            State::Blended => "blended",
            State::Away => "away",
        }
    }
}

/// The bands an exercise judges by.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Bands {
    /// Rate counts as matched within this share of the target.
    pub rate_share: f64,
    /// Fewest pulses a rate is judged on.
    pub rate_pulses: u16,
    /// Constant offset beyond which a calibrated player is early or late, ms; also never more than `timing_of_period`.
    pub timing_ms: f64,
    /// Share of the tick's period beyond which a calibrated player is early or late at fast values.
    pub timing_of_period: f64,
    /// Pitch centre beyond which a player is sharp or flat, cents.
    pub centre_cents: f64,
    /// Slope beyond which the centre is drifting, cents in ten seconds.
    pub drift_cents_per_10s: f64,
    /// Distance from the player's own straight reference beyond which the centre has drifted, cents.
    pub drift_from_straight_cents: f64,
    /// Depth under which pulses are shallow, dB.
    pub shallow_db: f64,
    /// Swing above which a pulse may be pitch-led, cents.
    pub pitch_led_swing_cents: f64,
    /// Cents of swing for each dB of depth above which it is.
    pub pitch_led_cents_per_db: f64,
    /// Coefficient of variation above which pulses are uneven.
    pub uneven_cv: f64,
    /// Share of broken valleys above which they count as choked.
    pub choked_share: f64,
}

impl Bands {
    /// How much wider the band of the rate is where the measure is felt, not kept. Our own choice: the usual 3 % become
    /// 12 %, which lets a pulse in eight go by.
    pub const LOOSELY: f64 = 4.0;
}

impl Default for Bands {
    /// Rate 3 %, tempo discrimination of isochronous sequences (Drake & Botte 1993: 3 % at six intervals); timing
    /// 50 ms, the outer band of ensemble onsets (Rasch 1979: 27 to 37 ms standard deviation in wind trios); centre
    /// 25 cents, reliably judged out of tune in music (Geringer et al. 2015); 3 dB and 30 cents common practice, no
    /// source; evenness 0.2, above the 18 % cycle-to-cycle difference of concert violinists (Small, in Seashore 1938);
    /// the rest our own choice.
    fn default() -> Self {
        Self {
            rate_share: 0.03,
            rate_pulses: 4,
            timing_ms: 50.0,
            timing_of_period: 0.25,
            centre_cents: 25.0,
            drift_cents_per_10s: 10.0,
            drift_from_straight_cents: 10.0,
            shallow_db: 3.0,
            pitch_led_swing_cents: 30.0,
            pitch_led_cents_per_db: 10.0,
            uneven_cv: 0.2,
            choked_share: 0.3,
        }
    }
}

/// What is known of a player at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Evidence {
    /// The device is connected.
    pub present: bool,
    /// The player asked for a rest, or the score has one.
    pub resting: bool,
    /// A tone is heard.
    pub heard: bool,
    /// The evidence is the player's own and enough to judge by.
    pub trusted: bool,
    /// The tone has pulses.
    pub pulsed: bool,
    /// Pulses the rate rests on.
    pub n_pulses: u16,
    /// Pulses a second.
    pub pulse_rate_hz: Option<f64>,
    /// Peak over valley.
    pub depth_db: Option<f64>,
    /// Pitch excursion, peak to peak.
    pub swing_cents: Option<f64>,
    /// Pitch centre, cents from the note.
    pub centre_cents: Option<f64>,
    /// Slope of the centre.
    pub drift_cents_per_10s: Option<f64>,
    /// Centre of the last straight tone on the note.
    pub straight_reference_cents: Option<f64>,
    /// Coefficient of variation of the intervals.
    pub evenness_cv: Option<f64>,
    /// Share of the last valleys in which the tone broke.
    pub choked_share: Option<f64>,
    /// Median of pulse time minus tick; only where the device is calibrated.
    pub timing_ms: Option<f64>,
    /// The microphone's path changes levels: it clips, or its gain rides. Depth and valleys are then not the player's, and
    /// nothing is judged by them.
    pub levels_changed: bool,
}

/// What a player is asked for at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Kind of tone.
    pub target: Target,
    /// Pulse rate asked for, if measured.
    pub pulse_rate_hz: Option<f64>,
    /// The vibrato is on its way from none to full or back: no depth is asked for, and a straight tone is no fault.
    pub is_easing: bool,
    /// The measure is felt, not kept: timing is left to the player, and the rate within [`Bands::LOOSELY`].
    pub is_loose: bool,
}

impl Asked {
    /// Nothing in particular: a file or a player without a score.
    pub const NOTHING: Asked =
        Asked { target: Target::Free, pulse_rate_hz: None, is_easing: false, is_loose: false };

    /// A target at a tempo.
    pub fn at(target: Target, bpm: f64) -> Self {
        let pulse_rate_hz = match target {
            Target::Pulses { per_beat } => Some(bpm / 60.0 * f64::from(per_beat.get())),
            _ => None,
        };
        Self { target, pulse_rate_hz, ..Self::NOTHING }
    }

    /// Whether pulses are to be of some size: in a straight tone the smaller they are the better.
    fn wants_depth(&self) -> bool {
        !self.is_easing && self.target != Target::Straight
    }

    /// What a span asks at a tempo.
    pub fn of(span: &Span, bpm: f64) -> Self {
        Self { is_easing: span.ease.is_some(), is_loose: span.loosely, ..Self::at(span.target, bpm) }
    }
}

/// The state the evidence shows. Without enough of it the state is one of the words that pass no verdict.
pub fn judge(evidence: &Evidence, asked: &Asked, bands: &Bands) -> State {
    let e = evidence;
    if !e.present {
        return State::Away;
    }
    if e.resting {
        return State::Resting;
    }
    if !e.heard {
        return State::NotHeard;
    }
    if !e.trusted {
        return State::Blended;
    }
    if e.pulsed { judge_pulses(e, asked, bands) } else { judge_straight(e, asked, bands) }
}

fn judge_straight(e: &Evidence, asked: &Asked, bands: &Bands) -> State {
    match asked.target {
        Target::Straight => judge_pitch(e, bands).unwrap_or(State::Matched),
        Target::Pulses { .. } | Target::Free if asked.is_easing => {
            judge_pitch(e, bands).unwrap_or(State::Matched)
        }
        Target::CountIn | Target::Free | Target::Rest => judge_pitch(e, bands).unwrap_or(State::Straight),
        Target::Pulses { .. } => State::Straight,
    }
}

fn judge_pulses(e: &Evidence, asked: &Asked, bands: &Bands) -> State {
    let by_depth = !e.levels_changed;
    if by_depth && e.choked_share.is_some_and(|c| c > bands.choked_share) {
        return State::ChokedValleys;
    }
    let by_the_jaw = |(swing, depth): (f64, f64)| {
        swing > bands.pitch_led_swing_cents && swing > bands.pitch_led_cents_per_db * depth
    };
    if by_depth && e.swing_cents.zip(e.depth_db).is_some_and(by_the_jaw) {
        return State::PitchLed;
    }
    let enough = e.n_pulses >= bands.rate_pulses;
    // A tone that is to be straight and has pulses of the size that vibrato should have is not.
    let is_deep = by_depth && e.depth_db.is_some_and(|d| d >= bands.shallow_db);
    if enough && is_deep && asked.target == Target::Straight {
        return State::Uneven;
    }
    if enough && e.evenness_cv.is_some_and(|cv| cv > bands.uneven_cv) {
        return State::Uneven;
    }
    if let (true, Some(rate), Some(asked_rate)) = (enough, e.pulse_rate_hz, asked.pulse_rate_hz) {
        let share = if asked.is_loose { bands.rate_share * Bands::LOOSELY } else { bands.rate_share };
        if rate > asked_rate * (1.0 + share) {
            return State::Fast;
        }
        if rate < asked_rate * (1.0 - share) {
            return State::Slow;
        }
    }
    if by_depth && asked.wants_depth() && e.depth_db.is_some_and(|d| d < bands.shallow_db) {
        return State::Shallow;
    }
    if let Some(state) = judge_pitch(e, bands) {
        return state;
    }
    if let (Some(ms), Some(rate), false) = (e.timing_ms, asked.pulse_rate_hz, asked.is_loose) {
        let limit = bands.timing_ms.min(bands.timing_of_period * 1000.0 / rate);
        if ms > limit {
            return State::Late;
        }
        if ms < -limit {
            return State::Early;
        }
    }
    State::Matched
}

fn judge_pitch(e: &Evidence, bands: &Bands) -> Option<State> {
    let from_straight = e.centre_cents.zip(e.straight_reference_cents).map(|(c, s)| c - s);
    let drift = e
        .drift_cents_per_10s
        .filter(|d| d.abs() > bands.drift_cents_per_10s)
        .or(from_straight.filter(|d| e.pulsed && d.abs() > bands.drift_from_straight_cents));
    match (drift, e.centre_cents) {
        (Some(d), _) if d > 0.0 => Some(State::DriftingSharp),
        (Some(_), _) => Some(State::DriftingFlat),
        (None, Some(c)) if c > bands.centre_cents => Some(State::Sharp),
        (None, Some(c)) if c < -bands.centre_cents => Some(State::Flat),
        _ => None,
    }
}

/// Keeps a state on the page until another has stood for a whole beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateKeeper {
    shown: State,
    candidate: State,
    since_us: f64,
}

impl StateKeeper {
    /// Starts with a state that is shown at once.
    pub fn new(state: State) -> Self {
        Self { shown: state, candidate: state, since_us: f64::NEG_INFINITY }
    }

    /// The state on the page.
    pub fn shown(&self) -> State {
        self.shown
    }

    /// Takes the newest verdict; the page changes once it has been the same for `beat_us`. Leaving, coming back and
    /// resting are facts, not verdicts, and show at once; so does the end of a rest in which nothing is heard yet.
    pub fn update(&mut self, verdict: State, now_us: f64, beat_us: f64) -> State {
        let fact = |s: State| matches!(s, State::Away | State::Resting);
        if verdict != self.candidate {
            self.candidate = verdict;
            self.since_us = now_us;
        }
        let is_over = fact(self.shown) && verdict == State::NotHeard;
        if fact(verdict) || is_over || now_us - self.since_us >= beat_us {
            self.shown = verdict;
        }
        self.shown
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::PerBeat;

    fn triplets_at_60() -> Asked {
        Asked::at(Target::Pulses { per_beat: PerBeat::new(3).unwrap() }, 60.0)
    }

    fn good() -> Evidence {
        Evidence {
            present: true,
            heard: true,
            trusted: true,
            pulsed: true,
            n_pulses: 8,
            pulse_rate_hz: Some(3.0),
            depth_db: Some(6.0),
            swing_cents: Some(12.0),
            centre_cents: Some(3.0),
            drift_cents_per_10s: Some(1.0),
            evenness_cv: Some(0.05),
            choked_share: Some(0.0),
            timing_ms: Some(5.0),
            ..Evidence::default()
        }
    }

    fn check(change: impl FnOnce(&mut Evidence), expected: State) {
        let mut e = good();
        change(&mut e);
        assert_eq!(judge(&e, &triplets_at_60(), &Bands::default()), expected, "{e:?}");
    }

    #[test]
    fn each_fault_gets_its_word() {
        check(|_| {}, State::Matched);
        check(|e| e.present = false, State::Away);
        check(|e| e.resting = true, State::Resting);
        check(|e| e.heard = false, State::NotHeard);
        check(|e| e.trusted = false, State::Blended);
        check(|e| e.pulsed = false, State::Straight);
        check(|e| e.pulse_rate_hz = Some(3.1), State::Fast);
        check(|e| e.pulse_rate_hz = Some(2.9), State::Slow);
        check(|e| e.timing_ms = Some(60.0), State::Late);
        check(|e| e.timing_ms = Some(-60.0), State::Early);
        check(|e| e.centre_cents = Some(26.0), State::Sharp);
        check(|e| e.centre_cents = Some(-26.0), State::Flat);
        check(|e| e.drift_cents_per_10s = Some(12.0), State::DriftingSharp);
        check(|e| e.drift_cents_per_10s = Some(-12.0), State::DriftingFlat);
        check(|e| e.straight_reference_cents = Some(-9.0), State::DriftingSharp);
        check(|e| e.depth_db = Some(2.0), State::Shallow);
        check(|e| e.choked_share = Some(0.5), State::ChokedValleys);
        check(|e| (e.swing_cents, e.depth_db) = (Some(50.0), Some(2.0)), State::PitchLed);
        check(|e| e.evenness_cv = Some(0.3), State::Uneven);
    }

    #[test]
    fn on_the_way_to_full_vibrato_a_small_one_and_none_are_right() {
        let easing = Asked { is_easing: true, ..triplets_at_60() };
        let state = |e: &Evidence| judge(e, &easing, &Bands::default());
        assert_eq!(state(&Evidence { depth_db: Some(0.8), ..good() }), State::Matched);
        assert_eq!(state(&Evidence { pulsed: false, ..good() }), State::Matched);
        assert_eq!(state(&Evidence { pulse_rate_hz: Some(3.2), ..good() }), State::Fast);
        assert_eq!(state(&Evidence { pulsed: false, centre_cents: Some(30.0), ..good() }), State::Sharp);
    }

    #[test]
    fn who_is_to_play_straight_is_not_told_that_a_waver_is_too_small() {
        let waver = Evidence { depth_db: Some(0.8), ..good() };
        let straight = Asked::at(Target::Straight, 60.0);
        let state = |e: &Evidence| judge(e, &straight, &Bands::default());
        assert_eq!(state(&waver), State::Matched);
        // Vibrato is something else; a device that turns its level cannot tell.
        assert_eq!(state(&good()), State::Uneven);
        assert_eq!(state(&Evidence { levels_changed: true, ..good() }), State::Matched);
        assert_eq!(state(&Evidence { n_pulses: 1, ..good() }), State::Matched);
    }

    #[test]
    fn where_the_measure_is_felt_neither_timing_nor_a_little_speed_matters() {
        let loose = Asked { is_loose: true, ..triplets_at_60() };
        let state = |e: &Evidence| judge(e, &loose, &Bands::default());
        assert_eq!(state(&Evidence { timing_ms: Some(80.0), ..good() }), State::Matched);
        assert_eq!(state(&Evidence { pulse_rate_hz: Some(3.3), ..good() }), State::Matched);
        assert_eq!(state(&Evidence { pulse_rate_hz: Some(3.5), ..good() }), State::Fast);
    }

    #[test]
    fn where_the_microphone_changes_levels_nothing_is_judged_by_depth() {
        let bad = |change: fn(&mut Evidence)| {
            move |e: &mut Evidence| {
                (e.levels_changed, e.depth_db) = (true, Some(2.0));
                change(e);
            }
        };
        check(bad(|_| {}), State::Matched);
        check(bad(|e| e.choked_share = Some(0.5)), State::Matched);
        check(bad(|e| e.swing_cents = Some(50.0)), State::Matched);
        // Rate, pitch and evenness are known all the same.
        check(bad(|e| e.pulse_rate_hz = Some(3.1)), State::Fast);
        check(bad(|e| e.centre_cents = Some(26.0)), State::Sharp);
        check(bad(|e| e.evenness_cv = Some(0.3)), State::Uneven);
    }

    #[test]
    fn deep_air_pulses_with_some_swing_are_not_pitch_led() {
        check(|e| (e.swing_cents, e.depth_db) = (Some(40.0), Some(9.0)), State::Matched);
    }

    #[test]
    fn a_rate_is_not_judged_on_three_pulses() {
        check(|e| (e.pulse_rate_hz, e.n_pulses) = (Some(3.4), 3), State::Matched);
    }

    #[test]
    fn the_page_changes_after_a_beat_of_the_same_evidence() {
        let mut keeper = StateKeeper::new(State::NotHeard);
        assert_eq!(keeper.update(State::Matched, 0.0, 1e6), State::NotHeard);
        assert_eq!(keeper.update(State::Matched, 0.9e6, 1e6), State::NotHeard);
        assert_eq!(keeper.update(State::Fast, 0.95e6, 1e6), State::NotHeard);
        assert_eq!(keeper.update(State::Fast, 1.9e6, 1e6), State::NotHeard);
        assert_eq!(keeper.update(State::Fast, 1.95e6, 1e6), State::Fast);
        assert_eq!(keeper.update(State::Away, 2e6, 1e6), State::Away);
        // A rest is over when it is over, and a verdict after it is one.
        assert_eq!(keeper.update(State::Resting, 2.1e6, 1e6), State::Resting);
        assert_eq!(keeper.update(State::NotHeard, 2.2e6, 1e6), State::NotHeard);
        assert_eq!(keeper.update(State::Matched, 2.3e6, 1e6), State::NotHeard);
    }
}
