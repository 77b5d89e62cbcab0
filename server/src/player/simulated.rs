//! The sound of an invented player with a habit, following the score on the device's own estimate of the server's time.
//! It makes samples alone: no socket, no clock.

use super::ear::Source;
use super::habit::{Habit, Manner};
use asked::{Asked, Follows, beat_in_phrase, phrase_beats};
use windrow_analysis::signals::{Moment, Timbre, Voice};
use windrow_analysis::tuning::midi_to_hz;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::note::Note;
use windrow_protocol::score::Target;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Cents, Name};
use windrow_web::TimeMap;

/// Half of what browsers use: it halves the work and holds twelve harmonics of every note played here.
const SAMPLE_RATE_HZ: f64 = 24_000.0;
/// Harmonics at most; more would cost time and change nothing that is measured.
const MAX_HARMONICS: usize = 12;
/// Noise of a quiet room at the microphone, dB re full scale.
const ROOM_NOISE_DB: f64 = -72.0;
/// As good as none.
const NO_NOISE_DB: f64 = -200.0;
/// Level at the peaks (linear).
const PEAK_GAIN: f64 = 0.2;
/// Seconds a tone takes to begin and to end.
const ATTACK_S: f64 = 0.05;
/// How fast a player becomes louder or softer where the next note asks for it, dB a second.
const LEVEL_DB_PER_S: f64 = 20.0;
/// Scatter of a human player, standard deviations: time of a pulse, ms, and as a share of the time between pulses where the
/// measure is only felt; depth, as a share; pitch, cents.
const SCATTER_MS: f64 = 5.0;
const SCATTER_LOOSELY: f64 = 0.06;
const SCATTER_DEPTH: f64 = 0.05;
const SCATTER_CENTS: f64 = 0.3;

/// Who plays, what, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct SimulatedPlayer {
    /// An invented name.
    pub name: Name,
    /// Instrument; shapes the timbre.
    pub instrument: Instrument,
    /// Sounding note where the score names none.
    pub note: Note,
    /// What is wrong with the pulses.
    pub habit: Habit,
    /// Of the scatter and the noise.
    pub seed: u64,
}

/// The sound of one simulated player.
pub struct SimulatedSound {
    instrument: Instrument,
    own_note: Note,
    voice: Voice,
    player: Playing,
}

impl SimulatedSound {
    /// Ready to play, tuned to A4 = `a4_hz`, in a quiet room.
    pub fn new(player: &SimulatedPlayer, a4_hz: f64) -> Self {
        Self::with_noise(player, a4_hz, ROOM_NOISE_DB)
    }

    /// The player's sound alone.
    pub(super) fn without_noise(player: &SimulatedPlayer, a4_hz: f64) -> Self {
        Self::with_noise(player, a4_hz, NO_NOISE_DB)
    }

    fn with_noise(player: &SimulatedPlayer, a4_hz: f64, noise_db: f64) -> Self {
        let f0_hz = midi_to_hz(f64::from(player.note.midi()), a4_hz);
        Self {
            instrument: player.instrument,
            own_note: player.note,
            voice: Voice::new(SAMPLE_RATE_HZ, timbre(player.instrument, f0_hz), noise_db, player.seed),
            player: Playing::new(player.habit.manner(), a4_hz, player.seed),
        }
    }
}

impl Source for SimulatedSound {
    fn sample_rate_hz(&self) -> f64 {
        SAMPLE_RATE_HZ
    }

    fn octave_of(&self, asked: Note) -> Note {
        let (low, high) = self.instrument.sounding_range();
        // Nearest octave first.
        let octaves = [0, -12, 12, -24, 24, -36, 36].map(|shift| i32::from(asked.midi()) + shift);
        let playable = |n: &Note| (low..=high).contains(n);
        octaves.into_iter().filter_map(Note::from_midi).find(playable).unwrap_or(self.own_note)
    }

    fn fill(&mut self, out: &mut [f32], music: Option<&Timeline>, time_map: &TimeMap) {
        let (player, own_note) = (&mut self.player, self.own_note);
        self.voice.fill(out, |t| player.moment(time_map.server_us(t), music, own_note));
    }
}

/// One peak to come or just past, and the valley after it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Peak {
    time_us: f64,
    depth_db: f64,
    swing_cents: f64,
    off_cents: f64,
}

/// Where a player is in the music.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Place {
    /// Beat nought of the score being played.
    start_us: f64,
    /// Beat of the next peak, before lateness and scatter.
    position: f64,
    last: Peak,
    next: Peak,
}

impl Place {
    /// The tone begins now, in the valley before its first peak: what came before was silence.
    fn begin_in_the_valley(&mut self, time_us: f64) {
        self.last = Peak { time_us: 2.0 * time_us - self.next.time_us, ..self.next };
    }
}

/// Follows the music, pulse by pulse.
#[derive(Debug, Clone)]
struct Playing {
    manner: Manner,
    a4_hz: f64,
    place: Option<Place>,
    /// 0 silent to 1 sounding; moves within [`ATTACK_S`].
    loudness: f64,
    /// What the dynamics make of the level, dB.
    level_db: f64,
    at_us: f64,
    seed: u64,
}

impl Playing {
    fn new(manner: Manner, a4_hz: f64, seed: u64) -> Self {
        Self {
            manner,
            a4_hz,
            place: None,
            loudness: 0.0,
            level_db: 0.0,
            at_us: f64::NEG_INFINITY,
            seed: seed | 1,
        }
    }

    /// Pitch and level at a server time; times come in order. Where the score names no note the player's own is played.
    fn moment(&mut self, time_us: f64, music: Option<&Timeline>, own_note: Note) -> Moment {
        let asked = music.map(|music| Asked::at(music, music.beat_at(time_us)));
        let span = asked.and_then(|asked| asked.span);
        let note = span.and_then(|span| span.note).unwrap_or(own_note);
        let tuned_cents = span.and_then(|span| span.cents).map_or(0.0, Cents::get);
        let passed_s = (time_us - self.at_us).clamp(0.0, 1e6) / 1e6;
        self.at_us = self.at_us.max(time_us);
        let mut place = music.and_then(|music| self.follow(music, time_us).map(|place| (music, place)));
        let sounds = place.is_some_and(|(music, _)| self.sounds(music, time_us));
        if let Some((_, place)) = place.as_mut().filter(|_| sounds && self.loudness == 0.0) {
            place.begin_in_the_valley(time_us);
            self.place = Some(*place);
        }
        let step = (passed_s / ATTACK_S).min(1.0);
        self.loudness =
            if sounds { (self.loudness + step).min(1.0) } else { (self.loudness - step).max(0.0) };
        if let Some(asked) = asked.filter(|_| sounds) {
            // After a silence the tone begins as loud as it is asked for.
            let most_db = if self.loudness < 1.0 { f64::INFINITY } else { LEVEL_DB_PER_S * passed_s };
            self.level_db += (asked.level_db() - self.level_db).clamp(-most_db, most_db);
        }
        let (wave, peak, drift_cents) = match place {
            Some((music, place)) => {
                let phase = (time_us - place.last.time_us) / (place.next.time_us - place.last.time_us);
                let wave = (std::f64::consts::TAU * phase.clamp(0.0, 1.0)).cos();
                (wave, place.last, self.drift_cents(music, time_us))
            }
            None => (1.0, STILL, 0.0),
        };
        let db = peak.depth_db / 2.0 * (wave - 1.0);
        let swing = if self.manner.falls_only { wave - 1.0 } else { wave };
        let cents = tuned_cents + peak.swing_cents / 2.0 * swing + drift_cents + peak.off_cents;
        let gain =
            if -db > self.manner.breaks_below_db { 0.0 } else { 10f64.powf((db + self.level_db) / 20.0) };
        Moment {
            f0_hz: midi_to_hz(f64::from(note.midi()) + cents / 100.0, self.a4_hz),
            gain: PEAK_GAIN * self.loudness * gain,
        }
    }

    /// Moves on to the pulse that is sounding; `None` before the music.
    fn follow(&mut self, music: &Timeline, time_us: f64) -> Option<Place> {
        let start_us = music.score().start_us.get();
        if self.place.is_some_and(|p| p.start_us != start_us) {
            self.place = None;
        }
        let mut place = match self.place {
            Some(place) => place,
            None => {
                let beat = music.beat_at(time_us).max(0.0);
                let step = Asked::at(music, beat).step(Follows::TheMusic);
                let position = (beat / step).round() * step;
                let next = self.plan(music, position);
                let before_us = music.time_of(position) - music.time_of(position - step);
                let last = Peak { time_us: next.time_us - before_us, ..next };
                Place { start_us, position, last, next }
            }
        };
        while time_us >= place.next.time_us {
            place.last = place.next;
            place.position = self.next_position(music, place.position);
            place.next = self.plan(music, place.position);
            // Scatter never turns two pulses round.
            place.next.time_us = place.next.time_us.max(place.last.time_us + 20_000.0);
        }
        self.place = Some(place);
        Some(place)
    }

    /// Beat of the pulse after the one at `position`: the next tick, or on by one's own measure.
    fn next_position(&self, music: &Timeline, position: f64) -> f64 {
        let asked = Asked::at(music, position);
        let (step, ratio) = (asked.step(self.manner.follows), self.manner.rate_ratio);
        match asked.target() {
            Some(Target::Pulses { .. }) if ratio == 1.0 => asked.next_tick(position, step),
            Some(Target::Pulses { .. }) => position + step / ratio,
            _ => position + step,
        }
    }

    /// The peak meant for a beat, with the habit and the scatter of a human.
    fn plan(&mut self, music: &Timeline, position: f64) -> Peak {
        let scatter = [self.scatter(), self.scatter(), self.scatter()];
        let asked = Asked::at(music, position);
        let step = asked.step(self.manner.follows);
        let period_us = music.time_of(position + step) - music.time_of(position);
        let m = &self.manner;
        let share = asked.vibrato(m.follows);
        let loosely_ms = if asked.is_loose() { SCATTER_LOOSELY * period_us / 1000.0 } else { 0.0 };
        let late_us = (1000.0 * m.late_ms).min(m.late_of_period * period_us);
        let scatter_us = 1000.0 * SCATTER_MS.max(loosely_ms) * scatter[0];
        let time_us = music.time_of(position) + late_us + scatter_us;
        match asked.target() {
            Some(Target::Pulses { .. } | Target::Free) => Peak {
                time_us,
                depth_db: share * m.depth_db * (1.0 + SCATTER_DEPTH * scatter[1]),
                swing_cents: share * m.swing_cents * (1.0 + SCATTER_DEPTH * scatter[1]),
                off_cents: SCATTER_CENTS * scatter[2],
            },
            _ => Peak { time_us, ..STILL },
        }
    }

    /// Whether there is a tone: not in a rest, past the end, or while breathing.
    fn sounds(&self, music: &Timeline, time_us: f64) -> bool {
        let beat = music.beat_at(time_us);
        // The tone begins half a pulse before the first peak: in a valley, as the air starts.
        let span = music.span_of_pulse(time_us).map(|i| &music.score().spans[i]);
        let sounding = span.is_some_and(|span| span.target.sounds());
        let to_next = phrase_beats(music) - beat_in_phrase(music, beat.max(0.0));
        let step = Asked::at(music, beat).step(Follows::TheMusic);
        let breathes = to_next <= 1.0 && to_next > (step / 2.0).min(0.5);
        sounding && !breathes
    }

    /// How far the pitch has risen since the phrase began, while vibrating.
    fn drift_cents(&self, music: &Timeline, time_us: f64) -> f64 {
        let m = &self.manner;
        let beat = music.beat_at(time_us).max(0.0);
        if m.drift_cents_per_s == 0.0 || matches!(Asked::at(music, beat).target(), Some(Target::Straight)) {
            return 0.0;
        }
        // From the breath on the new phrase has begun.
        let begun = beat + 0.5 - beat_in_phrase(music, beat + 0.5);
        let for_s = (time_us - music.time_of(begun)).max(0.0) / 1e6;
        (m.drift_cents_per_s * for_s).min(m.drift_up_to_cents)
    }

    /// About normal with deviation 1: the sum of twelve uniform numbers (xorshift64*), at most 6.
    fn scatter(&mut self) -> f64 {
        let mut sum = -6.0;
        for _ in 0..12 {
            self.seed ^= self.seed >> 12;
            self.seed ^= self.seed << 25;
            self.seed ^= self.seed >> 27;
            sum += (self.seed.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64;
        }
        sum
    }
}

/// A steady tone.
const STILL: Peak = Peak { time_us: 0.0, depth_db: 0.0, swing_cents: 0.0, off_cents: 0.0 };

/// Harmonics of an instrument at a pitch. Our own rough shapes: flutes fall fast, double reeds and saxophones peak where
/// published formant tables have their strongest band, clarinets lack even harmonics.
fn timbre(instrument: Instrument, f0_hz: f64) -> Timbre {
    let (formant_hz, width_hz) = match instrument {
        Instrument::Piccolo | Instrument::Flute | Instrument::AltoFlute => {
            return Timbre::new(&[1.0, 0.55, 0.25, 0.1, 0.05]);
        }
        Instrument::ClarinetEb
        | Instrument::ClarinetBb
        | Instrument::ClarinetA
        | Instrument::BassClarinet => return Timbre::odd(MAX_HARMONICS),
        Instrument::Oboe => (1150.0, 400.0),
        Instrument::CorAnglais => (950.0, 350.0),
        Instrument::Bassoon => (480.0, 200.0),
        Instrument::Contrabassoon => (250.0, 150.0),
        Instrument::SopranoSax | Instrument::AltoSax => (850.0, 450.0),
        Instrument::TenorSax | Instrument::BaritoneSax => (550.0, 350.0),
        Instrument::Horn => (350.0, 250.0),
    };
    let strength = |h: usize| {
        let hz = h as f64 * f0_hz;
        0.15 / h as f64 + 1.0 / (1.0 + ((hz - formant_hz) / width_hz).powi(2))
    };
    Timbre::new(&(1..=MAX_HARMONICS).map(strength).collect::<Vec<_>>())
}

pub(super) mod asked;
#[cfg(test)]
mod tests;
