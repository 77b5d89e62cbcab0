//! What an exercise asks, as a teacher would say it, in the reader's language. Pure.

use super::check::word;
use super::play::{
    Each, Ease, Free, Hairpin, Ladder, Music, Pass, Play, PulseValue, Pulses, Straight, Written,
};
use crate::words::Words;
use windrow_protocol::messages::{GoOn, Turns};
use windrow_protocol::metronome::Step;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Dynamic;
use windrow_protocol::units::{Beats, Bpm};
use windrow_protocol::voicing::{Tuning, Voicing};

/// What an exercise without a title is called.
pub(crate) fn usual_name(play: &Play) -> Phrase {
    let of = |value: PulseValue| value.target().phrase();
    match play {
        Play::Straight(_) => of(PulseValue::Straight),
        Play::Free(_) => of(PulseValue::Free),
        Play::Pulses(pulses) => one_value(pulses).map_or_else(|| Phrase::of("exercise-pulses-in-turn"), of),
        Play::Ladder(_) => Phrase::of("exercise-ladder"),
        Play::Ease(_) => Phrase::of("exercise-ease"),
        Play::Hairpin(_) => Phrase::of("exercise-hairpin"),
        Play::Music(_) => Phrase::of("exercise-long-notes"),
    }
}

/// The value of pulses that are all alike.
pub(super) fn one_value(pulses: &Pulses) -> Option<PulseValue> {
    let first = *pulses.values.first()?;
    pulses.values.iter().all(|&value| value == first).then_some(first)
}

/// "triplets", as it stands within a sentence.
pub(super) fn value_word(value: PulseValue) -> Phrase {
    Phrase::of(&format!("asks-value-{}", word(value)))
}

/// Who plays when.
pub(crate) fn turns_word(turns: Turns) -> Phrase {
    Phrase::of(match turns {
        Turns::Together => "asks-turns-together",
        Turns::DownTheLine => "asks-turns-down-the-line",
        Turns::Pairs => "asks-turns-pairs",
    })
}

/// How a note is spread over the chairs.
pub(crate) fn voicing_word(voicing: Voicing) -> Phrase {
    Phrase::of(&format!("asks-voicing-{}", voicing.word()))
}

/// Where the notes of a chord lie.
pub(crate) fn tuning_word(tuning: Tuning) -> Phrase {
    Phrase::of(match tuning {
        Tuning::Equal => "asks-tuning-equal",
        Tuning::Just => "asks-tuning-just",
    })
}

/// One sentence without its full stop: "triplets at 60, 63 and 66, 4 bars on each, 1 bar of rest between".
pub(crate) fn played(play: &Play, words: Words) -> String {
    let telling = Telling(words);
    match play {
        Play::Straight(Straight { bpm, bars, dynamic }) => {
            telling.steady("asks-straight-tone", *bpm, *bars, *dynamic)
        }
        Play::Free(Free { bpm, bars, dynamic }) => {
            telling.steady("asks-without-measure", *bpm, *bars, *dynamic)
        }
        Play::Pulses(pulses) => telling.pulses(pulses),
        Play::Ladder(ladder) => telling.ladder(ladder),
        Play::Ease(ease) => telling.ease(ease),
        Play::Hairpin(hairpin) => telling.hairpin(hairpin),
        Play::Music(music) => telling.music(music),
    }
}

/// A written note: "B♭4 for 4 beats, eighths, mp"; a rest: "rest for 1 beat".
pub(crate) fn written(note: &Written, words: Words) -> String {
    let name = note.note.map_or_else(|| words.say("asks-rest"), |note| words.note(note));
    let beats = Telling(words).beats(note.beats);
    let mut parts = vec![words.of("asks-note").arg("note", name).arg("beats", beats).to_string()];
    parts.extend(note.value.filter(|_| note.note.is_some()).map(|v| words.phrase(&value_word(v))));
    parts.extend(match (note.dynamic, note.dynamic_to) {
        (Some(from), Some(to)) => {
            Some(words.of("asks-dynamic-way").arg("from", from.mark()).arg("to", to.mark()).to_string())
        }
        (Some(from), None) => Some(from.mark().to_owned()),
        (None, Some(to)) => Some(words.of("asks-dynamic-to").arg("to", to.mark()).to_string()),
        (None, None) => None,
    });
    parts.extend(note.tied.then(|| words.say("asks-tied")));
    parts.join(", ")
}

/// "4 bars".
pub(super) fn bars(n: u16, words: Words) -> String {
    words.of("asks-bars").arg("n", n).to_string()
}

/// Until it is stopped, where there is no length.
pub(super) fn bars_or_open(n: Option<u16>, words: Words) -> String {
    n.map_or_else(|| words.say("asks-until-stopped"), |n| bars(n, words))
}

/// "2.5 beats".
pub(super) fn beats(n: f64, words: Words) -> String {
    words.of("asks-beats").arg("n", n).to_string()
}

/// "4 bars of rest between".
pub(super) fn rest_between(length: String, words: Words) -> String {
    words.of("asks-rest-between").arg("length", length).to_string()
}

/// "once", "3 times".
pub(super) fn times(n: u16, words: Words) -> String {
    words.of("asks-times").arg("n", n).to_string()
}

/// How a line is played that time.
pub(super) fn pass_word(pass: Pass, words: Words) -> String {
    words.say(match pass {
        Pass::Measured => "asks-pass-measured",
        Pass::LessMeasured => "asks-pass-less-measured",
        Pass::Free => "asks-pass-free",
    })
}

/// "measured, then free".
pub(super) fn one_then_another(parts: impl IntoIterator<Item = String>, words: Words) -> String {
    let then =
        |first: String, then: String| words.of("asks-then").arg("first", first).arg("then", then).to_string();
    parts.into_iter().reduce(then).unwrap_or_default()
}

/// The parts of an ease, each with what it is called; without what has no length.
pub(super) fn phases(ease: &Ease) -> impl Iterator<Item = (Beats, &'static str)> {
    let parts = [
        (ease.straight, "asks-phase-straight"),
        (ease.growing, "asks-phase-growing"),
        (ease.full, "asks-phase-full"),
        (ease.fading, "asks-phase-fading"),
        (ease.straight_after, "asks-phase-straight"),
    ];
    parts.into_iter().filter(|(length, _)| length.get() > 0.0)
}

struct Telling(Words);

impl Telling {
    fn value(&self, value: PulseValue) -> String {
        self.0.phrase(&value_word(value))
    }

    fn values(&self, values: &[PulseValue]) -> String {
        self.0.list(&values.iter().map(|&value| self.value(value)).collect::<Vec<_>>())
    }

    fn beats(&self, n: Beats) -> String {
        beats((n.get() * 1000.0).round() / 1000.0, self.0)
    }

    fn steady(&self, what: &str, bpm: Bpm, n_bars: Option<u16>, dynamic: Option<Dynamic>) -> String {
        let steady = self.0.of("asks-steady").arg("what", self.0.say(what));
        let steady = steady.arg("long", bars_or_open(n_bars, self.0)).arg("bpm", bpm.get());
        format!("{steady}{}", loudness(dynamic))
    }

    fn tempo(&self, bpm: Bpm, bpm_to: Option<Bpm>) -> String {
        let tempo = self.0.of(if bpm_to.is_some() { "asks-tempo-changing" } else { "asks-tempo" });
        tempo.arg("bpm", bpm.get()).arg("bpm_to", bpm_to.map_or(0.0, Bpm::get)).to_string()
    }

    fn pulses(&self, pulses: &Pulses) -> String {
        let Pulses { bpm, bpm_to, values, each, times: n, dynamic } = pulses;
        let tempo = self.tempo(*bpm, *bpm_to);
        let loud = loudness(*dynamic);
        if let [value] = values.as_slice() {
            let long = match (n, each) {
                (None, _) => self.0.say("asks-until-stopped"),
                (Some(n), Each::Bar) => bars(*n, self.0),
                (Some(n), Each::Beat) => beats(f64::from(*n), self.0),
            };
            let told = self.0.of("asks-one-value").arg("value", self.value(*value));
            return format!("{}{loud}", told.arg("long", long).arg("tempo", tempo));
        }
        let told = self.0.of(match each {
            Each::Bar => "asks-values-by-bar",
            Each::Beat => "asks-values-by-beat",
        });
        let told = told.arg("values", self.values(values)).arg("times", times(n.unwrap_or(1), self.0));
        format!("{}{loud}", told.arg("tempo", tempo))
    }

    fn ladder(&self, ladder: &Ladder) -> String {
        let marks = std::iter::successors(Some(ladder.from_bpm), |&mark| Step::Faster.from(mark));
        let marks: Vec<String> =
            marks.take_while(|&mark| mark <= ladder.to_bpm).map(|mark| mark.get().to_string()).collect();
        let told = self.0.of("asks-ladder").arg("value", self.value(ladder.value));
        let told = told.arg("marks", self.0.list(&marks)).arg("bars", bars(ladder.bars_per_rung, self.0));
        let mut text = told.to_string();
        if ladder.rest_bars > 0 {
            text.push_str(&format!(", {}", rest_between(bars(ladder.rest_bars, self.0), self.0)));
        }
        match ladder.go_on {
            GoOn::ByItself => {}
            GoOn::ByHand => text.push_str(&format!("; {}", self.0.say("asks-by-hand"))),
            GoOn::WhenMatched => {
                let percent = (ladder.matched.get() * 100.0).round();
                text.push_str(&format!("; {}", self.0.of("asks-when-matched").arg("percent", percent)));
            }
        }
        if ladder.step_back {
            text.push_str(&format!(", {}", self.0.say("asks-step-back")));
        }
        text
    }

    /// "; twice, 4 beats of rest between".
    fn again(&self, n: u16, rest: Beats) -> String {
        match (n, rest.get() > 0.0) {
            (1, _) => String::new(),
            (n, false) => format!("; {}", times(n, self.0)),
            (n, true) => format!("; {}, {}", times(n, self.0), rest_between(self.beats(rest), self.0)),
        }
    }

    fn ease(&self, ease: &Ease) -> String {
        let part = |(length, phase): (Beats, &str)| {
            let part = self.0.of("asks-phase").arg("length", self.beats(length));
            part.arg("phase", self.0.say(phase)).to_string()
        };
        let value = match ease.value {
            PulseValue::Free => self.0.say("asks-free-vibrato"),
            value => self.value(value),
        };
        let told = self.0.of("asks-ease").arg("value", value).arg("bpm", ease.bpm.get());
        let told = told.arg("phases", self.0.list(&phases(ease).map(part).collect::<Vec<_>>()));
        format!("{told}{}", self.again(ease.times, ease.rest))
    }

    fn hairpin(&self, hairpin: &Hairpin) -> String {
        let values = match hairpin.values.as_slice() {
            [PulseValue::Free] => self.0.say("asks-free-vibrato"),
            values => self.values(values),
        };
        let told = self.0.of("asks-hairpin").arg("values", values).arg("bpm", hairpin.bpm.get());
        let told = told.arg("from", hairpin.from.mark()).arg("to", hairpin.to.mark());
        let told = told.arg("growing", self.beats(hairpin.growing)).arg("fading", self.beats(hairpin.fading));
        format!("{told}{}", self.again(hairpin.times, hairpin.rest))
    }

    fn music(&self, music: &Music) -> String {
        let whole: f64 = music.notes.iter().map(|note| note.beats.get()).sum();
        let n_notes = music.notes.iter().filter(|note| note.note.is_some()).count();
        let passes = music.passes.iter().map(|&pass| pass_word(pass, self.0));
        let told = self.0.of("asks-line").arg("notes", self.0.of("asks-notes").arg("n", n_notes).to_string());
        let told = told.arg("beats", beats(whole, self.0)).arg("bpm", music.bpm.get());
        let told = told.arg("passes", one_then_another(passes, self.0));
        if music.passes.len() > 1 && music.rest.get() > 0.0 {
            format!("{told}, {}", rest_between(self.beats(music.rest), self.0))
        } else {
            told.to_string()
        }
    }
}

fn loudness(dynamic: Option<Dynamic>) -> String {
    dynamic.map(|dynamic| format!(", {}", dynamic.mark())).unwrap_or_default()
}
