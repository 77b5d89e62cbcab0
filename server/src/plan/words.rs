//! What an exercise asks, as a teacher would say it. Pure.

use super::check::word;
use super::play::{
    Each, Ease, Free, Hairpin, Ladder, Music, Pass, Play, PulseValue, Pulses, Straight, Written,
};
use windrow_protocol::messages::{GoOn, Turns};
use windrow_protocol::metronome::Step;
use windrow_protocol::note::Note;
use windrow_protocol::score::Dynamic;
use windrow_protocol::units::{Beats, Bpm};

/// One sentence without its full stop: "triplets at 60, 63 and 66, 4 bars on each, 1 bar of rest between".
pub(crate) fn played(play: &Play) -> String {
    match play {
        Play::Straight(Straight { bpm, bars, dynamic }) => steady("a straight tone", *bpm, *bars, *dynamic),
        Play::Free(Free { bpm, bars, dynamic }) => steady("vibrato without a measure", *bpm, *bars, *dynamic),
        Play::Pulses(pulses) => of_pulses(pulses),
        Play::Ladder(ladder) => of_ladder(ladder),
        Play::Ease(ease) => of_ease(ease),
        Play::Hairpin(hairpin) => of_hairpin(hairpin),
        Play::Music(music) => of_music(music),
    }
}

/// Who plays when.
pub(crate) fn turns_word(turns: Turns) -> &'static str {
    match turns {
        Turns::Together => "all together",
        Turns::DownTheLine => "one after another",
        Turns::Pairs => "in pairs",
    }
}

/// A written note: "Bb4 for 4 beats, eighths, mp"; a rest: "rest for 1 beat".
pub(crate) fn written(note: &Written) -> String {
    let name = note.note.map_or("rest".to_owned(), Note::spelled);
    let mut words = format!("{name} for {}", beats(note.beats));
    if let Some(value) = note.value.filter(|_| note.note.is_some()) {
        words.push_str(&format!(", {}", word(value)));
    }
    match (note.dynamic, note.dynamic_to) {
        (Some(from), Some(to)) => words.push_str(&format!(", {} to {}", from.mark(), to.mark())),
        (Some(from), None) => words.push_str(&format!(", {}", from.mark())),
        (None, Some(to)) => words.push_str(&format!(", to {}", to.mark())),
        (None, None) => {}
    }
    if note.tied {
        words.push_str(", tied over");
    }
    words
}

/// "1 bar", "3 bars".
pub(crate) fn counted(n: impl Into<f64>, one: &str) -> String {
    let n = n.into();
    if (n - 1.0).abs() < f64::EPSILON { format!("1 {one}") } else { format!("{n} {one}s") }
}

fn bars(n: u16) -> String {
    counted(n, "bar")
}

fn beats(n: Beats) -> String {
    counted((n.get() * 1000.0).round() / 1000.0, "beat")
}

fn times(n: u16) -> String {
    match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}

/// "a, b and c".
fn listed(words: &[String]) -> String {
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

fn loudness(dynamic: Option<Dynamic>) -> String {
    dynamic.map(|dynamic| format!(", {}", dynamic.mark())).unwrap_or_default()
}

fn steady(what: &str, bpm: Bpm, n_bars: Option<u16>, dynamic: Option<Dynamic>) -> String {
    let long = n_bars.map_or("until it is stopped".to_owned(), bars);
    format!("{what}, {long} at {}{}", bpm.get(), loudness(dynamic))
}

fn tempo(bpm: Bpm, bpm_to: Option<Bpm>) -> String {
    bpm_to.map_or(format!("at {}", bpm.get()), |to| format!("from {} to {}", bpm.get(), to.get()))
}

fn of_pulses(pulses: &Pulses) -> String {
    let Pulses { bpm, bpm_to, values, each, times: n, dynamic } = pulses;
    let one = if *each == Each::Bar { "bar" } else { "beat" };
    let tempo = tempo(*bpm, *bpm_to);
    let loud = loudness(*dynamic);
    if let [value] = values.as_slice() {
        let long = n.map_or("until it is stopped".to_owned(), |n| counted(n, one));
        return format!("{}, {long} {tempo}{loud}", word(*value));
    }
    let values: Vec<String> = values.iter().copied().map(word).collect();
    format!("{}, a {one} each, {} {tempo}{loud}", listed(&values), times(n.unwrap_or(1)))
}

fn of_ladder(ladder: &Ladder) -> String {
    let marks = std::iter::successors(Some(ladder.from_bpm), |&mark| Step::Faster.from(mark));
    let marks: Vec<String> =
        marks.take_while(|&mark| mark <= ladder.to_bpm).map(|mark| mark.get().to_string()).collect();
    let rest = match ladder.rest_bars {
        0 => String::new(),
        n => format!(", {} of rest between", bars(n)),
    };
    let on = match ladder.go_on {
        GoOn::ByItself => String::new(),
        GoOn::ByHand => "; the conductor says when it goes on".to_owned(),
        GoOn::WhenMatched => {
            format!("; it goes on once {} % are matched", (ladder.matched.get() * 100.0).round())
        }
    };
    let back = if ladder.step_back { ", and a mark back when the section falls apart" } else { "" };
    let (value, each) = (word(ladder.value), bars(ladder.bars_per_rung));
    format!("{value} at {}, {each} on each{rest}{on}{back}", listed(&marks))
}

/// "; twice, 4 beats of rest between".
fn again(n: u16, rest: Beats) -> String {
    match (n, rest.get() > 0.0) {
        (1, _) => String::new(),
        (n, false) => format!("; {}", times(n)),
        (n, true) => format!("; {}, {} of rest between", times(n), beats(rest)),
    }
}

fn of_ease(ease: &Ease) -> String {
    let parts = [
        (ease.straight, "straight"),
        (ease.growing, "growing"),
        (ease.full, "full"),
        (ease.fading, "fading"),
        (ease.straight_after, "straight"),
    ];
    let parts: Vec<String> = parts
        .iter()
        .filter(|(length, _)| length.get() > 0.0)
        .map(|(length, what)| format!("{} {what}", beats(*length)))
        .collect();
    let value = if ease.value == PulseValue::Free { "free vibrato".to_owned() } else { word(ease.value) };
    format!("{value} at {}: {}{}", ease.bpm.get(), listed(&parts), again(ease.times, ease.rest))
}

fn of_hairpin(hairpin: &Hairpin) -> String {
    let values: Vec<String> = hairpin.values.iter().copied().map(word).collect();
    let values = if values == ["free"] { "free vibrato".to_owned() } else { listed(&values) };
    format!(
        "{values} at {}, {} to {} in {} and back in {}{}",
        hairpin.bpm.get(),
        hairpin.from.mark(),
        hairpin.to.mark(),
        beats(hairpin.growing),
        beats(hairpin.fading),
        again(hairpin.times, hairpin.rest)
    )
}

fn of_music(music: &Music) -> String {
    let whole: f64 = music.notes.iter().map(|note| note.beats.get()).sum();
    let n_notes = music.notes.iter().filter(|note| note.note.is_some()).count();
    let pass = |pass: &Pass| match pass {
        Pass::Measured => "measured".to_owned(),
        Pass::LessMeasured => "less measured".to_owned(),
        Pass::Free => "free".to_owned(),
    };
    let passes: Vec<String> = music.passes.iter().map(pass).collect();
    let rest = if passes.len() > 1 && music.rest.get() > 0.0 {
        format!(", {} of rest between", beats(music.rest))
    } else {
        String::new()
    };
    format!(
        "a line of {}, {} at {}: {}{rest}",
        counted(n_notes as f64, "note"),
        counted(whole, "beat"),
        music.bpm.get(),
        passes.join(", then ")
    )
}
