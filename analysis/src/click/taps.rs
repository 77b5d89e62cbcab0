//! Taps on a microphone: sudden, broad in frequency, and far above what was there before. Knows no ticks.

/// Length of the steps in which levels are compared, seconds: how exactly a tap is timed.
const STEP_S: f64 = 0.001;
/// A tap stands so far above the floor, power (20 dB), and above this level re full scale (-50 dB),
const ABOVE_FLOOR: f32 = 100.0;
const LEAST: f32 = 1e-5;
/// and has risen from a tenth of its power within this many steps.
const RISE_STEPS: usize = 8;
/// The floor is the mean power of the time before, falling off with this time constant, seconds.
const FLOOR_S: f64 = 0.1;
/// Nobody taps twice within this time, seconds; what comes is the same tap's rest.
const REST_S: f64 = 0.15;
/// Most taps that are kept.
const MOST: usize = 100;

/// Finds taps in a stream.
pub(crate) struct TapWatch {
    step_samples: usize,
    n_samples: u64,
    former: f32,
    power: f32,
    /// Powers of the last steps, newest last.
    recent: [f32; RISE_STEPS],
    floor: f32,
    floor_share: f32,
    rest_until: u64,
    sample_rate_hz: f64,
    times_s: Vec<f64>,
}

impl TapWatch {
    pub(crate) fn new(sample_rate_hz: f64) -> Self {
        Self {
            step_samples: ((STEP_S * sample_rate_hz) as usize).max(1),
            n_samples: 0,
            former: 0.0,
            power: 0.0,
            recent: [0.0; RISE_STEPS],
            floor: 0.0,
            floor_share: (STEP_S / FLOOR_S) as f32,
            // What was there before the first samples is not known.
            rest_until: (REST_S * sample_rate_hz) as u64,
            sample_rate_hz,
            times_s: Vec::with_capacity(MOST),
        }
    }

    pub(crate) fn push(&mut self, sample: f32) {
        // The difference raises what is sudden over what is low and slow.
        let rise = sample - self.former;
        self.former = sample;
        self.power += rise * rise;
        self.n_samples += 1;
        if self.n_samples % self.step_samples as u64 == 0 {
            let power = self.power / self.step_samples as f32;
            self.power = 0.0;
            self.end_step(power);
        }
    }

    fn end_step(&mut self, power: f32) {
        let before = self.recent[0];
        let loud = power > LEAST && power > ABOVE_FLOOR * self.floor && power > 10.0 * before;
        if loud && self.n_samples >= self.rest_until && self.times_s.len() < MOST {
            // The middle of the step it rose in.
            let at = self.n_samples as f64 - self.step_samples as f64 / 2.0;
            self.times_s.push(at / self.sample_rate_hz);
            self.rest_until = self.n_samples + (REST_S * self.sample_rate_hz) as u64;
        }
        self.recent.rotate_left(1);
        self.recent[RISE_STEPS - 1] = power;
        self.floor += self.floor_share * (self.recent[0] - self.floor);
    }

    /// When there were taps, seconds from the first sample.
    pub(crate) fn times_s(&self) -> &[f64] {
        &self.times_s
    }
}
