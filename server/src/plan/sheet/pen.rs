//! Writes an exercise down as a line: which tones are drawn, and what stands over and under them. A long exercise is drawn by
//! its pattern; the words beside it say how often. Pure; knows no pictures.

use super::line::{Drawn, Ending, Line, Loudness, Over, Phase, TICKS_PER_BEAT, Tone};
use super::staff::{Pitch, Reader};
use crate::plan::{Each, Ease, Exercise, Free, Hairpin, Ladder, Music, Play, PulseValue, Pulses, Straight};
use crate::words::Words;
use windrow_protocol::note::Note;
use windrow_protocol::score::Dynamic;
use windrow_protocol::units::Beats;

/// Bars of a long tone up to which all are drawn, and how many of a longer one.
const MOST_TONE_BARS: u32 = 4;
const SOME_TONE_BARS: u32 = 2;
/// Bars of pulses that are drawn where their order does not come round at a bar line.
const MOST_PULSE_BARS: u32 = 8;
/// F lies well on every wind instrument's staff; common practice, no source.
const EXAMPLE: &str = "F4";

/// Writes an exercise down for a reader.
pub(super) fn line(exercise: &Exercise, beats_per_bar: u8, reader: Reader, words: Words) -> Line {
    let mut pen = Pen { pitch: None, line: Line::new(beats_per_bar) };
    if let Play::Music(music) = &exercise.play {
        pen.music(music, reader);
        return pen.line;
    }
    pen.line.is_example = exercise.note.is_none();
    let note: Option<Note> = exercise.note.or_else(|| EXAMPLE.parse().ok());
    pen.pitch = note.and_then(|note| reader.line(&[note]).pop());
    match &exercise.play {
        Play::Straight(Straight { bars, dynamic, .. }) => {
            pen.long_tone(*bars, PulseValue::Straight, *dynamic);
        }
        Play::Free(Free { bars, dynamic, .. }) => pen.long_tone(*bars, PulseValue::Free, *dynamic),
        Play::Pulses(pulses) => pen.pulses(pulses),
        Play::Ladder(ladder) => pen.rung(ladder),
        Play::Ease(ease) => pen.ease(ease, words),
        Play::Hairpin(hairpin) => pen.hairpin(hairpin),
        Play::Music(_) => {}
    }
    pen.line
}

fn ticks(beats: Beats) -> u32 {
    (beats.get() * f64::from(TICKS_PER_BEAT)).round() as u32
}

/// What is being written.
struct Pen {
    /// Of everything but music.
    pitch: Option<Pitch>,
    line: Line,
}

impl Pen {
    fn bar(&self) -> u32 {
        self.line.bar_ticks()
    }

    /// A tone, or a rest, from where the line has come to.
    fn tone(&mut self, ticks: u32, sounds: bool, tied: bool) {
        let tone = Tone { from: self.line.end(), ticks, pitch: self.pitch.filter(|_| sounds), tied };
        self.line.tones.push(tone);
    }

    fn over(&mut self, from: u32, to: u32, value: PulseValue, drawn: Drawn) {
        if value != PulseValue::Rest && to > from {
            self.line.over.push(Over { from, to, value, drawn });
        }
    }

    fn steadily(&mut self, dynamic: Option<Dynamic>) {
        let at = |mark| Loudness { from: 0, to: 0, start: mark, end: mark };
        self.line.loudness.extend(dynamic.map(at));
    }

    /// A tone of so many bars; some of it where it is longer or has no end.
    fn long_tone(&mut self, bars: Option<u16>, value: PulseValue, dynamic: Option<Dynamic>) {
        let whole = bars.map(u32::from).filter(|&n| n <= MOST_TONE_BARS);
        if whole.is_none() {
            self.line.ending = Ending::Open;
        }
        let length = self.bar() * whole.unwrap_or(SOME_TONE_BARS);
        self.tone(length, true, whole.is_none());
        self.over(0, length, value, Drawn::EveryBeat);
        self.steadily(dynamic);
    }

    fn pulses(&mut self, pulses: &Pulses) {
        let Pulses { values, each, times, dynamic, .. } = pulses;
        let bar = self.bar();
        let each_ticks = match each {
            Each::Bar => bar,
            Each::Beat => TICKS_PER_BEAT,
        };
        let n_all = values.len() as u32 * times.map_or(1, u32::from);
        let is_one = values.iter().all(|value| Some(value) == values.first());
        let pattern = if is_one { bar / each_ticks } else { values.len() as u32 };
        let comes_round = (pattern * each_ticks).is_multiple_of(bar);
        let n_drawn = if is_one && times.is_none() {
            pattern
        } else if comes_round {
            pattern.min(n_all)
        } else {
            n_all.min(MOST_PULSE_BARS * bar / each_ticks)
        };
        if comes_round && (n_drawn < n_all || (is_one && times.is_none())) {
            self.line.ending = Ending::Repeat;
        }
        for (i, value) in (0..n_drawn).zip(values.iter().copied().cycle()) {
            let from = i * each_ticks;
            let sounds = value != PulseValue::Rest;
            self.over(from, from + each_ticks, value, Drawn::EveryBeat);
            // Within a bar it is one tone, whatever is pulsed on it.
            let is_in_bar = !from.is_multiple_of(bar);
            match self.line.tones.last_mut().filter(|tone| is_in_bar && tone.pitch.is_some() == sounds) {
                Some(tone) => tone.ticks += each_ticks,
                None => self.tone(each_ticks, sounds, false),
            }
        }
        self.steadily(*dynamic);
    }

    /// A bar of a rung; the metronome's marks stand below.
    fn rung(&mut self, ladder: &Ladder) {
        let bar = self.bar();
        self.tone(bar, true, false);
        self.over(0, bar, ladder.value, Drawn::EveryBeat);
        if ladder.bars_per_rung > 1 {
            self.line.ending = Ending::Repeat;
        }
    }

    fn ease(&mut self, ease: &Ease, words: Words) {
        let parts = [
            ("asks-phase-straight", (0.0, 0.0), ease.straight),
            ("asks-phase-growing", (0.0, 1.0), ease.growing),
            ("asks-phase-full", (1.0, 1.0), ease.full),
            ("asks-phase-fading", (1.0, 0.0), ease.fading),
            ("asks-phase-straight", (0.0, 0.0), ease.straight_after),
        ];
        let mut from = 0;
        for (id, share, length) in parts {
            let to = from + ticks(length);
            if to > from {
                let word = words.say(id);
                self.line.phases.push(Phase { from, to, share, word, value: ease.value });
            }
            from = to;
        }
        self.tone(from, true, false);
        self.again(ease.times, ease.rest);
    }

    fn hairpin(&mut self, hairpin: &Hairpin) {
        let (turn, end) = (ticks(hairpin.growing), ticks(hairpin.growing) + ticks(hairpin.fading));
        self.tone(end, true, false);
        let values = &hairpin.values;
        let there = values.iter().copied();
        let ways = [(0, turn, there.clone().collect::<Vec<_>>()), (turn, end, there.rev().collect())];
        for (from, to, values) in ways {
            let at = |i: usize| from + (to - from) * i as u32 / values.len() as u32;
            for (i, &value) in values.iter().enumerate() {
                self.over(at(i), at(i + 1), value, Drawn::EveryBeat);
            }
        }
        let &Hairpin { from: soft, to: loud, .. } = hairpin;
        self.line.loudness.push(Loudness { from: 0, to: turn, start: soft, end: loud });
        self.line.loudness.push(Loudness { from: turn, to: end, start: loud, end: soft });
        self.again(hairpin.times, hairpin.rest);
    }

    /// The rest before the next time, and a repeat.
    fn again(&mut self, times: u16, rest: Beats) {
        if times > 1 {
            self.line.ending = Ending::Repeat;
            if rest.get() > 0.0 {
                self.tone(ticks(rest), false, false);
            }
        }
    }

    fn music(&mut self, music: &Music, reader: Reader) {
        let sounding: Vec<Note> = music.notes.iter().filter_map(|written| written.note).collect();
        let mut pitches = reader.line(&sounding).into_iter();
        let mut end_beats = 0.0;
        let mut is_tied = false;
        let mut last = None;
        for written in &music.notes {
            // Lengths are rounded by where notes begin, so that errors do not add up.
            let from = self.line.end();
            end_beats += written.beats.get();
            let to = Beats::clamped(end_beats).map_or(from, ticks).max(from + 1);
            self.pitch = written.note.and_then(|_| pitches.next());
            self.tone(to - from, true, written.tied);
            let value = written.value.unwrap_or(PulseValue::Straight);
            if self.pitch.is_some() && !(is_tied && last == Some(value)) {
                self.over(from, to, value, Drawn::Once);
            } else if let Some(over) = self.line.over.last_mut().filter(|_| self.pitch.is_some()) {
                over.to = to;
            }
            self.loudness_of(from, to, written.dynamic, written.dynamic_to);
            is_tied = written.tied;
            last = Some(value);
        }
        if music.passes.len() > 1 {
            self.line.ending = Ending::Repeat;
        }
    }

    fn loudness_of(&mut self, from: u32, to: u32, at: Option<Dynamic>, towards: Option<Dynamic>) {
        let before = self.line.loudness.last().map(|mark| mark.end);
        // A hairpin that has no beginning written begins as loud as it was.
        let start = at.or(before).or(towards.map(|_| Dynamic::Mf));
        if let Some(start) = start.filter(|_| at.is_some() || towards.is_some()) {
            let end = towards.unwrap_or(start);
            let to = if end == start { from } else { to };
            self.line.loudness.push(Loudness { from, to, start, end });
        }
    }
}
