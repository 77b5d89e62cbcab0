//! What a sheet says in words about an exercise: its name, tempo, how long and how often, and what a picture shows to whoever
//! cannot see it. Knows no pictures.

use crate::plan::words::counted;
use crate::plan::{Each, Ease, Exercise, Ladder, Music, Pass, Play, PulseValue, Pulses};
use windrow_protocol::messages::{GoOn, Turns};
use windrow_protocol::metronome::Step;
use windrow_protocol::units::{Beats, Bpm};
use windrow_protocol::voicing::Voicing;

fn times(n: u16) -> String {
    match n {
        1 => String::new(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}

/// "Sixteenths", "Free vibrato".
fn capital(value: PulseValue) -> &'static str {
    value.target().word()
}

fn small(value: PulseValue) -> String {
    match value {
        PulseValue::Straight => "straight".to_owned(),
        PulseValue::Free => "free".to_owned(),
        value => capital(value).to_lowercase(),
    }
}

/// What it is called, also where the plan gives it no title.
pub(super) fn title(exercise: &Exercise) -> String {
    if let Some(title) = &exercise.title {
        return title.clone();
    }
    let name = match &exercise.play {
        Play::Straight(_) => capital(PulseValue::Straight),
        Play::Free(_) => capital(PulseValue::Free),
        Play::Pulses(pulses) => one_value(pulses).map_or("Pulses in turn", capital),
        Play::Ladder(_) => "Ladder",
        Play::Ease(_) => "Ease in and out",
        Play::Hairpin(_) => "Hairpin",
        Play::Music(_) => "Long notes",
    };
    name.to_owned()
}

fn one_value(pulses: &Pulses) -> Option<PulseValue> {
    let first = *pulses.values.first()?;
    pulses.values.iter().all(|&value| value == first).then_some(first)
}

/// Tempo, and the one it goes to; a ladder's are its marks.
pub(super) fn tempo(play: &Play) -> Option<String> {
    let bpm = match play {
        Play::Straight(straight) => straight.bpm,
        Play::Free(free) => free.bpm,
        Play::Pulses(Pulses { bpm, bpm_to: Some(to), .. }) => {
            return Some(format!("{} to {}, evenly", bpm.mark(), to.mark()));
        }
        Play::Pulses(pulses) => pulses.bpm,
        Play::Ladder(_) => return None,
        Play::Ease(ease) => ease.bpm,
        Play::Hairpin(hairpin) => hairpin.bpm,
        Play::Music(music) => music.bpm,
    };
    Some(bpm.mark())
}

/// A ladder's rungs: the marks of a metronome from its first to its last.
pub(super) fn rungs(play: &Play) -> Vec<String> {
    let Play::Ladder(ladder) = play else { return Vec::new() };
    let marks = std::iter::successors(Some(ladder.from_bpm), |&rung| Step::Faster.from(rung));
    marks.take_while(|&rung| rung <= ladder.to_bpm || rung == ladder.from_bpm).map(Bpm::mark).collect()
}

/// How long, how often, in what order, as short sayings; the last is the rest after it.
pub(super) fn facts(exercise: &Exercise) -> Vec<String> {
    let mut facts = match &exercise.play {
        Play::Straight(straight) => vec![bars(straight.bars)],
        Play::Free(free) => vec!["free".to_owned(), bars(free.bars)],
        Play::Pulses(pulses) => how_often(pulses),
        Play::Ladder(ladder) => climbed(ladder),
        Play::Ease(ease) => {
            let way = format!("{}: {}", small(ease.value), eased(ease));
            vec![way, times(ease.times), rest_between(ease.times, ease.rest)]
        }
        Play::Hairpin(hairpin) => {
            vec![times(hairpin.times), rest_between(hairpin.times, hairpin.rest)]
        }
        Play::Music(music) => passes(music),
    };
    facts.extend(together(exercise));
    facts.extend(rest_after(exercise.rest_s));
    facts.retain(|fact| !fact.is_empty());
    facts
}

fn bars(n: Option<u16>) -> String {
    n.map_or_else(|| "until it is stopped".to_owned(), |n| counted(n, "bar"))
}

fn how_often(pulses: &Pulses) -> Vec<String> {
    let n = pulses.times;
    match (one_value(pulses), pulses.each) {
        (Some(value), Each::Bar) => vec![small(value), bars(n)],
        (Some(value), Each::Beat) => {
            let beats = n.map_or_else(
                || "until it is stopped".to_owned(),
                |n| counted(u32::from(n) * pulses.values.len() as u32, "beat"),
            );
            vec![small(value), beats]
        }
        (None, _) => vec![times(n.unwrap_or(1))],
    }
}

fn climbed(ladder: &Ladder) -> Vec<String> {
    let rest = match ladder.rest_bars {
        0 => String::new(),
        n => format!("{} of rest between", counted(n, "bar")),
    };
    let next = match ladder.go_on {
        GoOn::ByItself => "",
        GoOn::WhenMatched => "the next when this one is matched",
        GoOn::ByHand => "the next when the conductor says so",
    };
    let each = format!("{}, {} on each mark", small(ladder.value), counted(ladder.bars_per_rung, "bar"));
    vec![each, rest, next.to_owned()]
}

fn rest_between(n: u16, rest: Beats) -> String {
    if n > 1 && rest.get() > 0.0 {
        format!("{} of rest between", counted(rest.get(), "beat"))
    } else {
        String::new()
    }
}

fn passes(music: &Music) -> Vec<String> {
    let word = |pass: &Pass| match pass {
        Pass::Measured => "measured",
        Pass::LessMeasured => "less measured",
        Pass::Free => "free",
    };
    let words: Vec<&str> = music.passes.iter().map(word).collect();
    let order = match words.as_slice() {
        ["measured"] => String::new(),
        [one] => (*one).to_owned(),
        several => format!("first {}", several.join(", then ")),
    };
    vec![order, rest_between(music.passes.len() as u16, music.rest)]
}

/// The way into vibrato and out again: "4 beats straight, 4 growing, 8 full".
fn eased(ease: &Ease) -> String {
    let parts = [
        (ease.straight, "straight"),
        (ease.growing, "growing"),
        (ease.full, "full"),
        (ease.fading, "fading"),
        (ease.straight_after, "straight"),
    ];
    let parts = parts.into_iter().filter(|(length, _)| length.get() > 0.0).enumerate();
    let parts = parts.map(|(i, (length, word))| match i {
        0 => format!("{} {word}", counted(length.get(), "beat")),
        _ => format!("{} {word}", length.get()),
    });
    parts.collect::<Vec<_>>().join(", ")
}

/// Who plays when, and how the note is spread.
fn together(exercise: &Exercise) -> Vec<String> {
    let turns = match exercise.turns {
        Some(Turns::DownTheLine) => "down the line",
        Some(Turns::Pairs) => "in pairs",
        Some(Turns::Together) | None => "",
    };
    let spread = match exercise.voicing {
        Some(Voicing::Fifth) => "root and fifth",
        Some(Voicing::Triad) => "a triad",
        Some(Voicing::Steps) => "neighbouring steps",
        Some(Voicing::Octaves) => "octaves",
        Some(Voicing::Unison) | None => "",
    };
    vec![turns.to_owned(), spread.to_owned()]
}

/// Whether its notes are dealt, so that a player's own may be another one.
pub(super) fn is_spread(exercise: &Exercise) -> bool {
    matches!(exercise.voicing, Some(Voicing::Fifth | Voicing::Triad | Voicing::Steps))
}

fn rest_after(rest_s: u16) -> Option<String> {
    let (min, s) = (rest_s / 60, rest_s % 60);
    let length = match (min, s) {
        (0, 0) => return None,
        (0, s) => format!("{s} s"),
        (min, 0) => format!("{min} min"),
        (min, s) => format!("{min} min {s} s"),
    };
    Some(format!("rest {length}").replace(' ', "\u{a0}"))
}

/// The picture for whoever cannot see it.
pub(super) fn described(exercise: &Exercise) -> String {
    let listed = |values: &[PulseValue]| values.iter().map(|&v| small(v)).collect::<Vec<_>>().join(", ");
    match &exercise.play {
        Play::Straight(_) => "A long tone, straight".to_owned(),
        Play::Free(_) => "A long tone with free vibrato".to_owned(),
        Play::Pulses(Pulses { values, each, .. }) => {
            let each = match each {
                Each::Bar => "bar",
                Each::Beat => "beat",
            };
            format!("Long tones; on each {each} in turn: {}", listed(values))
        }
        Play::Ladder(ladder) => format!("A long tone in {}", small(ladder.value)),
        Play::Ease(ease) => format!("A long tone: {}", eased(ease)),
        Play::Hairpin(hairpin) => format!(
            "A long tone that grows for {} and fades for {}: {}",
            counted(hairpin.growing.get(), "beat"),
            counted(hairpin.fading.get(), "beat"),
            listed(&hairpin.values)
        ),
        Play::Music(music) => {
            let values: Vec<PulseValue> = music.notes.iter().filter_map(|note| note.value).collect();
            format!(
                "A line of {} with over it: {}",
                counted(music.notes.len() as u32, "note"),
                listed(&values)
            )
        }
    }
}
