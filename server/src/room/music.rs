//! The music of a room: settings, the score now, and how a change takes effect. Pure; knows only the protocol.

use windrow_protocol::judge::Asked;
use windrow_protocol::messages::Settings;
use windrow_protocol::note::Note;
use windrow_protocol::score::{PerBeat, Score, Span, Target};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Beats, Bpm, Micros};

/// From the command to the first beat of the count-in: time for the fact to reach every device over a busy Wi-Fi. Our
/// own choice: several times the delay of a room's network, short enough that a start still feels immediate.
const LEAD_US: f64 = 600_000.0;
/// A change is not put on a bar line nearer than this, so that every device knows in time. Our own choice.
const NOTICE_US: f64 = 300_000.0;

/// What is asked of the players at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Now {
    pub(super) asked: Asked,
    pub(super) beat_us: f64,
    /// Server time since which this has been asked; `None` while nothing is.
    pub(super) since_us: Option<f64>,
}

impl Now {
    /// Server time from which a pulse belongs to what is asked: half a tick before it begins, since its first pulse may
    /// come early.
    pub(super) fn first_pulse_us(&self) -> Option<f64> {
        self.since_us.map(|since| since - self.asked.pulse_rate_hz.map_or(0.0, |hz| 0.5e6 / hz))
    }
}

/// What becomes of a count-in that has begun when the settings change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum CountIn {
    Anew,
    AsItIs,
}

/// Settings and score.
#[derive(Debug, Clone)]
pub(super) struct Music {
    settings: Settings,
    timeline: Option<Timeline>,
    /// Version of the last score made, 0 before the first. Goes on across stops, so a late message is never mistaken
    /// for a new one.
    version: u32,
}

impl Music {
    /// The first exercise of a section that is new to this: quarters at 60, four beats in a bar, one bar counted in.
    pub(super) fn new() -> Self {
        Self {
            settings: Settings {
                bpm: Bpm::new(60.0).expect("60 is a tempo"),
                beats_per_bar: 4,
                per_beat: Some(PerBeat::new(1).expect("1 is a subdivision")),
                count_in_bars: 1,
                note: None,
            },
            timeline: None,
            version: 0,
        }
    }

    pub(super) fn settings(&self) -> &Settings {
        &self.settings
    }

    pub(super) fn timeline(&self) -> Option<&Timeline> {
        self.timeline.as_ref()
    }

    pub(super) fn score(&self) -> Option<&Score> {
        self.timeline.as_ref().map(Timeline::score)
    }

    /// Counts in and plays by the present settings, from beat nought.
    pub(super) fn start(&mut self, now_us: f64) {
        let start_us = now_us + LEAD_US + self.count_in_us();
        self.play(start_us, vec![self.wanted_span()]);
    }

    pub(super) fn stop(&mut self) {
        self.timeline = None;
    }

    /// Sets the tempo; whether the score changed by it.
    ///
    /// # Errors
    /// A sentence for the conductor when the score can take no more changes.
    pub(super) fn set_tempo(&mut self, bpm: Bpm, now_us: f64) -> Result<bool, String> {
        self.change(Settings { bpm, ..self.settings }, now_us, CountIn::Anew)
    }

    /// Sets the pulses per beat, `None` for a straight tone; whether the score changed by it.
    ///
    /// # Errors
    /// As [`Music::set_tempo`].
    pub(super) fn set_per_beat(&mut self, per_beat: Option<PerBeat>, now_us: f64) -> Result<bool, String> {
        self.change(Settings { per_beat, ..self.settings }, now_us, CountIn::AsItIs)
    }

    pub(super) fn set_count_in(&mut self, bars: u8) {
        self.settings.count_in_bars = bars;
    }

    pub(super) fn set_note(&mut self, note: Option<Note>) {
        self.settings.note = note;
    }

    /// What is asked at a time. While nothing is played, and during the count-in, that is nothing.
    pub(super) fn now(&self, now_us: f64) -> Now {
        let idle = |bpm: Bpm| Now { asked: Asked::NOTHING, beat_us: 60e6 / bpm.get(), since_us: None };
        let Some(timeline) = &self.timeline else { return idle(self.settings.bpm) };
        let Some(idx) = timeline.span_index_at(timeline.beat_at(now_us)) else {
            return idle(timeline.score().spans[0].bpm);
        };
        let span = &timeline.score().spans[idx];
        let first_beat = timeline.span_start(idx).expect("a span has a first beat");
        Now {
            asked: Asked::at(span.target, span.bpm.get()),
            beat_us: 60e6 / span.bpm.get(),
            since_us: Some(timeline.time_of(first_beat)),
        }
    }

    /// Title of what is played, or of what a start would play: "Triplets at 66".
    pub(super) fn title(&self, now_us: f64) -> String {
        let wanted = self.wanted_span();
        let span =
            self.timeline.as_ref().and_then(|t| t.span_at(t.beat_at(now_us).max(0.0))).unwrap_or(&wanted);
        let word = match span.target {
            Target::Straight => "Straight tone",
            Target::Pulses { per_beat } => per_beat.word(),
            Target::Free => "Free vibrato",
            Target::Rest => "Rest",
        };
        // Whole marks read as a metronome writes them; others keep one decimal.
        let bpm = span.bpm.get();
        if bpm.fract() == 0.0 { format!("{word} at {bpm:.0}") } else { format!("{word} at {bpm:.1}") }
    }

    fn wanted_span(&self) -> Span {
        let target = match self.settings.per_beat {
            Some(per_beat) => Target::Pulses { per_beat },
            None => Target::Straight,
        };
        Span { length_beats: None, bpm: self.settings.bpm, target }
    }

    fn count_in_us(&self) -> f64 {
        let beats = f64::from(self.settings.count_in_bars) * f64::from(self.settings.beats_per_bar);
        beats * 60e6 / self.settings.bpm.get()
    }

    /// Puts new settings into the music. While it plays they take effect on the next bar line that all devices can
    /// know of in time. During the count-in a new tempo counts in anew: the bar that has begun would otherwise change
    /// its speed behind the players' backs.
    fn change(&mut self, settings: Settings, now_us: f64, count_in: CountIn) -> Result<bool, String> {
        if settings == self.settings {
            return Ok(false);
        }
        let Some(timeline) = &self.timeline else {
            self.settings = settings;
            return Ok(false);
        };
        let score = timeline.score();
        let earliest_us = now_us + NOTICE_US;
        if earliest_us < score.start_us.get() {
            let start_us = score.start_us.get();
            self.settings = settings;
            match count_in {
                CountIn::Anew => self.start(now_us),
                CountIn::AsItIs => self.play(start_us, vec![self.wanted_span()]),
            }
            return Ok(true);
        }
        let beats_per_bar = f64::from(score.beats_per_bar);
        let line = (timeline.beat_at(earliest_us).max(0.0) / beats_per_bar).ceil() * beats_per_bar;
        let last = score.spans.len() - 1;
        let last_start = timeline.span_start(last).expect("the last span has a first beat");
        let (mut spans, start_us) = (score.spans.clone(), score.start_us.get());
        let before = self.settings;
        self.settings = settings;
        if last_start >= line {
            // The last change has not begun yet: this one takes its place.
            spans[last] = self.wanted_span();
        } else if spans.len() >= Score::MAX_SPANS {
            self.settings = before;
            return Err("this exercise has been changed too often: choose Again to begin it anew".to_owned());
        } else {
            let length = Beats::clamped(line - last_start).expect("beats of a timeline are numbers");
            spans[last].length_beats = Some(length);
            spans.push(self.wanted_span());
        }
        self.play(start_us, spans);
        Ok(true)
    }

    fn play(&mut self, start_us: f64, spans: Vec<Span>) {
        self.version += 1;
        // A change while playing keeps the count-in and the note the score began with.
        let (count_in_bars, note) = match self.score() {
            Some(score) if spans.len() > 1 || score.start_us.get() == start_us => {
                (score.count_in_bars, score.note)
            }
            _ => (self.settings.count_in_bars, self.settings.note),
        };
        let score = Score {
            version: self.version,
            start_us: Micros::clamped(start_us).expect("server time is a number"),
            beats_per_bar: self.settings.beats_per_bar,
            count_in_bars,
            spans,
            note,
        };
        self.timeline = Some(Timeline::new(score).expect("settings hold only what a score may have"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bpm(value: f64) -> Bpm {
        Bpm::new(value).unwrap()
    }

    /// Playing at 60 since server time 10 s (beat nought), one bar counted in.
    fn playing() -> Music {
        let mut music = Music::new();
        music.start(10e6 - LEAD_US - 4e6);
        assert_eq!(music.score().unwrap().start_us.get(), 10e6);
        music
    }

    fn spans(music: &Music) -> Vec<(Option<f64>, f64)> {
        music.score().unwrap().spans.iter().map(|s| (s.length_beats.map(Beats::get), s.bpm.get())).collect()
    }

    #[test]
    fn a_start_leaves_time_for_the_count_in() {
        let mut music = Music::new();
        music.start(1e6);
        // 0.6 s of notice and four beats of a second.
        assert_eq!(music.score().unwrap().start_us.get(), 5.6e6);
        assert_eq!(spans(&music), [(None, 60.0)]);
    }

    #[test]
    fn a_tempo_change_waits_for_the_bar_line() {
        let mut music = playing();
        assert_eq!(music.set_tempo(bpm(72.0), 15e6), Ok(true));
        // Five seconds in is beat 5; the next bar line is beat 8.
        assert_eq!(spans(&music), [(Some(8.0), 60.0), (None, 72.0)]);
        assert_eq!(music.score().unwrap().version, 2);
        assert_eq!(music.settings().bpm.get(), 72.0);
    }

    #[test]
    fn a_bar_line_too_near_to_be_known_in_time_is_skipped() {
        let mut music = playing();
        music.set_tempo(bpm(72.0), 10e6 + 7.8e6).unwrap();
        assert_eq!(spans(&music), [(Some(12.0), 60.0), (None, 72.0)]);
        let mut music = playing();
        music.set_tempo(bpm(72.0), 10e6 + 7.6e6).unwrap();
        assert_eq!(spans(&music), [(Some(8.0), 60.0), (None, 72.0)]);
    }

    #[test]
    fn a_second_change_before_the_bar_line_takes_the_place_of_the_first() {
        let mut music = playing();
        music.set_tempo(bpm(72.0), 15e6).unwrap();
        music.set_tempo(bpm(80.0), 15.5e6).unwrap();
        music.set_per_beat(PerBeat::new(3).ok(), 15.6e6).unwrap();
        assert_eq!(spans(&music), [(Some(8.0), 60.0), (None, 80.0)]);
        assert_eq!(music.score().unwrap().version, 4);
        assert_eq!(
            music.score().unwrap().spans[1].target,
            Target::Pulses { per_beat: PerBeat::new(3).unwrap() }
        );
    }

    #[test]
    fn changes_follow_one_another_on_bar_lines() {
        let mut music = playing();
        music.set_tempo(bpm(120.0), 15e6).unwrap();
        // Beat 8 is at 18 s; from there half a second a beat: 19 s is beat 10, the next bar line beat 12.
        music.set_tempo(bpm(60.0), 19e6).unwrap();
        assert_eq!(spans(&music), [(Some(8.0), 60.0), (Some(4.0), 120.0), (None, 60.0)]);
    }

    #[test]
    fn the_tempo_that_is_played_already_changes_nothing() {
        let mut music = playing();
        assert_eq!(music.set_tempo(bpm(60.0), 15e6), Ok(false));
        assert_eq!((spans(&music), music.score().unwrap().version), (vec![(None, 60.0)], 1));
    }

    #[test]
    fn a_new_tempo_in_the_count_in_counts_in_anew() {
        let mut music = playing();
        music.set_tempo(bpm(120.0), 8e6).unwrap();
        assert_eq!(spans(&music), [(None, 120.0)]);
        assert_eq!(music.score().unwrap().start_us.get(), 8e6 + LEAD_US + 2e6);
    }

    #[test]
    fn a_new_subdivision_in_the_count_in_keeps_the_count() {
        let mut music = playing();
        music.set_per_beat(None, 8e6).unwrap();
        let score = music.score().unwrap();
        assert_eq!((score.start_us.get(), score.spans[0].target), (10e6, Target::Straight));
    }

    #[test]
    fn nothing_is_asked_before_beat_nought() {
        let music = playing();
        assert_eq!(music.now(9.9e6).asked, Asked::NOTHING);
        let now = music.now(10.1e6);
        assert_eq!((now.asked.pulse_rate_hz, now.since_us, now.beat_us), (Some(1.0), Some(10e6), 1e6));
    }

    #[test]
    fn the_title_names_what_is_played_not_what_is_to_come() {
        let mut music = playing();
        music.set_tempo(bpm(72.5), 15e6).unwrap();
        assert_eq!(music.title(16e6), "Quarters at 60");
        assert_eq!(music.title(18.1e6), "Quarters at 72.5");
        music.stop();
        music.set_per_beat(None, 20e6).unwrap();
        assert_eq!(music.title(20e6), "Straight tone at 72.5");
    }

    #[test]
    fn a_score_changed_too_often_says_what_to_do() {
        let mut music = playing();
        let mut tempos = [bpm(300.0), bpm(299.0)].into_iter().cycle();
        let mut now_us = 10e6;
        let (before, refused) = loop {
            // Longer than a bar, so that each change has a bar line of its own.
            now_us += 5e6;
            let before = *music.settings();
            if let Err(text) = music.set_tempo(tempos.next().unwrap(), now_us) {
                break (before, text);
            }
        };
        assert_eq!(music.score().unwrap().spans.len(), Score::MAX_SPANS);
        assert!(refused.contains("choose Again"), "{refused}");
        assert_eq!(*music.settings(), before);
    }
}
