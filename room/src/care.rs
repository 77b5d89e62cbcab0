//! Care for players: how long has been played without a rest, how much of it loud, and what to remind a conductor of. Pure;
//! knows only the time and what is played.
//!
//! How loud it is in the room nobody here knows: devices tell levels under their own full scale. What is counted is how loud
//! it was asked for.

use std::collections::VecDeque;
use windrow_protocol::phrase::Phrase;

/// So much playing without [`REST_US`] of silence calls for a rest. No source gives minutes (the NASM-PAMA sheet on musicians'
/// health asks for regular breaks); our own choice.
const PLAY_US: f64 = 10.0 * MINUTE_US;
const REST_US: f64 = 2.0 * MINUTE_US;
/// So much of the last half hour asked forte or louder calls for something soft; our own choice.
const LOUD_US: f64 = 20.0 * MINUTE_US;
const LOUD_MINUTES: i64 = 30;
const MINUTE_US: f64 = 60e6;
/// Time between two looks counts at most so much.
const LONGEST_STEP_US: f64 = 1e6;

/// What is going on at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Activity {
    Silent,
    /// The count before somebody plays, or the playing itself.
    Music {
        /// Somebody is to play now.
        sounds: bool,
        /// Forte or louder is asked.
        loud: bool,
        /// Pulses of the breath are asked, now or after the count.
        pulsed: bool,
    },
}

/// Why a rest is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tired {
    /// Whole minutes played without a rest.
    Played(u32),
    /// Whole minutes of the last half hour that were loud.
    Loud(u32),
}

/// What has been played lately.
#[derive(Debug, Clone, Default)]
pub(super) struct Care {
    looked_us: Option<f64>,
    /// Played since the last rest, and silent since the last note.
    played_us: f64,
    silent_us: f64,
    /// Loud time by minute of the server's clock, oldest first.
    loud: VecDeque<(i64, f64)>,
    /// Times that a rest was asked for since the last one.
    n_rests_asked: u32,
    is_loud_told: bool,
    is_breath_told: bool,
}

impl Care {
    /// Looks at what is going on; what the conductor should read once, if anything.
    pub(super) fn look(&mut self, activity: Activity, now_us: f64) -> Option<Phrase> {
        let step_us = self.looked_us.map_or(0.0, |us| (now_us - us).clamp(0.0, LONGEST_STEP_US));
        self.looked_us = Some(now_us);
        let Activity::Music { sounds, loud, pulsed } = activity else {
            self.be_silent(step_us);
            self.let_go_of_loud(now_us);
            return None;
        };
        if sounds {
            self.played_us += step_us;
            self.silent_us = 0.0;
        } else {
            self.be_silent(step_us);
        }
        if sounds && loud {
            self.add_loud(step_us, now_us);
        }
        self.let_go_of_loud(now_us);
        self.reminder(pulsed)
    }

    fn be_silent(&mut self, step_us: f64) {
        self.silent_us += step_us;
        if self.silent_us >= REST_US {
            (self.played_us, self.n_rests_asked) = (0.0, 0);
        }
    }

    fn add_loud(&mut self, step_us: f64, now_us: f64) {
        let minute = minute_of(now_us);
        match self.loud.back_mut().filter(|(m, _)| *m == minute) {
            Some((_, us)) => *us += step_us,
            None => self.loud.push_back((minute, step_us)),
        }
    }

    fn let_go_of_loud(&mut self, now_us: f64) {
        while self.loud.front().is_some_and(|(m, _)| *m <= minute_of(now_us) - LOUD_MINUTES) {
            self.loud.pop_front();
        }
        self.is_loud_told &= self.loud_us() >= LOUD_US;
    }

    fn loud_us(&self) -> f64 {
        self.loud.iter().map(|(_, us)| us).sum()
    }

    fn reminder(&mut self, pulsed: bool) -> Option<Phrase> {
        if pulsed && !self.is_breath_told {
            self.is_breath_told = true;
            return Some(Phrase::of("care-breath"));
        }
        if self.loud_us() >= LOUD_US && !self.is_loud_told {
            self.is_loud_told = true;
            return Some(Phrase::of("care-loud"));
        }
        let n_due = (self.played_us / PLAY_US).floor();
        if n_due > f64::from(self.n_rests_asked) {
            self.n_rests_asked = n_due as u32;
            let minutes = minutes(self.played_us);
            return Some(Phrase::of("care-rest").with("minutes", minutes));
        }
        None
    }

    /// Whether a rest is due, and why.
    pub(super) fn tired(&self) -> Option<Tired> {
        if self.loud_us() >= LOUD_US {
            return Some(Tired::Loud(minutes(self.loud_us())));
        }
        (self.played_us >= PLAY_US).then(|| Tired::Played(minutes(self.played_us)))
    }
}

fn minute_of(us: f64) -> i64 {
    (us / MINUTE_US).floor() as i64
}

fn minutes(us: f64) -> u32 {
    (us / MINUTE_US).floor() as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAYED: Activity = Activity::Music { sounds: true, loud: false, pulsed: false };
    const LOUD: Activity = Activity::Music { sounds: true, loud: true, pulsed: false };

    use windrow_words::english;

    /// A rehearsal with a hand on its clock: a look every fifth of a second.
    #[derive(Default)]
    struct Hour {
        care: Care,
        n_looks: u32,
    }

    impl Hour {
        /// What is said meanwhile.
        fn pass(&mut self, seconds: u32, activity: Activity) -> Vec<String> {
            (0..5 * seconds)
                .filter_map(|_| {
                    self.n_looks += 1;
                    self.care.look(activity, f64::from(self.n_looks) * 2e5)
                })
                .map(|text| english(&text))
                .collect()
        }
    }

    #[test]
    fn ten_minutes_without_a_rest_call_for_one() {
        let mut hour = Hour::default();
        assert_eq!(hour.pass(599, PLAYED), [] as [String; 0]);
        assert_eq!(hour.care.tired(), None);
        assert!(hour.pass(2, PLAYED)[0].starts_with("10 minutes"));
        assert_eq!(hour.care.tired(), Some(Tired::Played(10)));
        // Again ten minutes later, not at every look.
        let said = hour.pass(600, PLAYED);
        assert!(said.len() == 1 && said[0].starts_with("20 minutes"), "{said:?}");
    }

    #[test]
    fn two_minutes_of_silence_are_a_rest_and_one_is_none() {
        let mut hour = Hour::default();
        hour.pass(500, PLAYED);
        hour.pass(60, Activity::Silent);
        hour.pass(110, PLAYED);
        assert_eq!(hour.care.tired(), Some(Tired::Played(10)));
        hour.pass(121, Activity::Silent);
        assert_eq!(hour.care.tired(), None);
        assert_eq!(hour.pass(599, PLAYED), [] as [String; 0]);
    }

    #[test]
    fn rests_in_the_music_are_not_played() {
        let mut hour = Hour::default();
        let rest = Activity::Music { sounds: false, loud: false, pulsed: true };
        hour.pass(1, rest);
        for _ in 0..60 {
            hour.pass(5, PLAYED);
            hour.pass(5, rest);
        }
        assert_eq!(hour.care.tired(), None, "five minutes of ten were played");
    }

    #[test]
    fn twenty_loud_minutes_of_thirty_are_enough() {
        let mut hour = Hour::default();
        hour.pass(15 * 60, LOUD);
        hour.pass(5 * 60, Activity::Silent);
        assert_eq!(hour.care.tired(), None);
        let said = hour.pass(5 * 60 + 5, LOUD);
        assert!(said.iter().any(|text| text.contains("loud")), "{said:?}");
        assert_eq!(hour.care.tired(), Some(Tired::Loud(20)));
        // Half an hour after it began, what was loud first counts no more.
        hour.pass(20 * 60, Activity::Silent);
        assert_eq!(hour.care.tired(), None);
    }

    #[test]
    fn light_headedness_is_said_once_before_the_first_pulses() {
        let mut hour = Hour::default();
        hour.pass(30, PLAYED);
        let counted = Activity::Music { sounds: false, loud: false, pulsed: true };
        let said = hour.pass(4, counted);
        assert!(said.len() == 1 && said[0].contains("light-headed"), "{said:?}");
        assert_eq!(hour.pass(30, counted), [] as [String; 0]);
    }
}
