//! What a sheet says in words about an exercise: its name, tempo, how long and how often, and what a picture shows to whoever
//! cannot see it; in the reader's language. Knows no pictures.

use crate::plan::words::{
    bars, bars_or_open, beats, one_then_another, one_value, pass_word, phases, rest_between, times,
    usual_name, value_word,
};
use crate::plan::{Each, Ease, Exercise, Ladder, Music, Pass, Play, PulseValue, Pulses};
use crate::words::Words;
use windrow_protocol::messages::{GoOn, Turns};
use windrow_protocol::metronome::Step;
use windrow_protocol::units::{Beats, Bpm};
use windrow_protocol::voicing::Voicing;

/// What it is called, also where the plan gives it no title.
pub(super) fn title(exercise: &Exercise, words: Words) -> String {
    exercise.title.clone().unwrap_or_else(|| words.phrase(&usual_name(&exercise.play)))
}

fn value(value: PulseValue, words: Words) -> String {
    words.phrase(&value_word(value))
}

/// Tempo, and the one it goes to; a ladder's are its marks.
pub(super) fn tempo(play: &Play, words: Words) -> Option<String> {
    let bpm = match play {
        Play::Straight(straight) => straight.bpm,
        Play::Free(free) => free.bpm,
        Play::Pulses(Pulses { bpm, bpm_to: Some(to), .. }) => {
            let tempo = words.of("sheet-tempo-changing").arg("bpm", tenths(*bpm));
            return Some(tempo.arg("bpm_to", tenths(*to)).to_string());
        }
        Play::Pulses(pulses) => pulses.bpm,
        Play::Ladder(_) => return None,
        Play::Ease(ease) => ease.bpm,
        Play::Hairpin(hairpin) => hairpin.bpm,
        Play::Music(music) => music.bpm,
    };
    Some(words.of("sheet-tempo").arg("bpm", tenths(bpm)).to_string())
}

fn tenths(bpm: Bpm) -> f64 {
    (bpm.get() * 10.0).round() / 10.0
}

/// A ladder's rungs: the marks of a metronome from its first to its last.
pub(super) fn rungs(play: &Play) -> Vec<String> {
    let Play::Ladder(ladder) = play else { return Vec::new() };
    let marks = std::iter::successors(Some(ladder.from_bpm), |&rung| Step::Faster.from(rung));
    marks.take_while(|&rung| rung <= ladder.to_bpm || rung == ladder.from_bpm).map(Bpm::mark).collect()
}

/// How long, how often, in what order, as short sayings; the last is the rest after it.
pub(super) fn facts(exercise: &Exercise, words: Words) -> Vec<String> {
    let mut facts = match &exercise.play {
        Play::Straight(straight) => vec![bars_or_open(straight.bars, words)],
        Play::Free(free) => vec![value(PulseValue::Free, words), bars_or_open(free.bars, words)],
        Play::Pulses(pulses) => how_often(pulses, words),
        Play::Ladder(ladder) => climbed(ladder, words),
        Play::Ease(ease) => {
            let way = words.of("sheet-ease").arg("value", value(ease.value, words));
            let way = way.arg("phases", eased(ease, words)).to_string();
            [vec![way], several(ease.times, words), pause(ease.times, ease.rest, words)].concat()
        }
        Play::Hairpin(hairpin) => {
            [several(hairpin.times, words), pause(hairpin.times, hairpin.rest, words)].concat()
        }
        Play::Music(music) => passes(music, words),
    };
    facts.extend(together(exercise).into_iter().map(|id| words.say(id)));
    facts.extend(rest_after(exercise.rest_s, words));
    facts
}

/// "twice"; nothing for once.
fn several(n: u16, words: Words) -> Vec<String> {
    if n == 1 { Vec::new() } else { vec![times(n, words)] }
}

fn how_often(pulses: &Pulses, words: Words) -> Vec<String> {
    let n = pulses.times;
    match (one_value(pulses), pulses.each) {
        (Some(one), Each::Bar) => vec![value(one, words), bars_or_open(n, words)],
        (Some(one), Each::Beat) => {
            let long = match n {
                Some(n) => beats(f64::from(u32::from(n) * pulses.values.len() as u32), words),
                None => bars_or_open(None, words),
            };
            vec![value(one, words), long]
        }
        (None, _) => several(n.unwrap_or(1), words),
    }
}

fn climbed(ladder: &Ladder, words: Words) -> Vec<String> {
    let each = words.of("sheet-rung").arg("value", value(ladder.value, words));
    let mut facts = vec![each.arg("bars", bars(ladder.bars_per_rung, words)).to_string()];
    if ladder.rest_bars > 0 {
        facts.push(rest_between(bars(ladder.rest_bars, words), words));
    }
    match ladder.go_on {
        GoOn::ByItself => {}
        GoOn::WhenMatched => facts.push(words.say("sheet-when-matched")),
        GoOn::ByHand => facts.push(words.say("sheet-by-hand")),
    }
    facts
}

fn pause(n: u16, rest: Beats, words: Words) -> Vec<String> {
    if n > 1 && rest.get() > 0.0 { vec![rest_between(beats(rest.get(), words), words)] } else { Vec::new() }
}

fn passes(music: &Music, words: Words) -> Vec<String> {
    let order = match music.passes.as_slice() {
        [Pass::Measured] => Vec::new(),
        [one] => vec![pass_word(*one, words)],
        several => {
            let several = several.iter().map(|&pass| pass_word(pass, words));
            vec![words.of("sheet-passes").arg("passes", one_then_another(several, words)).to_string()]
        }
    };
    [order, pause(music.passes.len() as u16, music.rest, words)].concat()
}

/// The way into vibrato and out again: "4 beats straight, 4 growing, 8 full".
fn eased(ease: &Ease, words: Words) -> String {
    let parts = phases(ease).enumerate().map(|(i, (length, phase))| {
        let part = words.of("asks-phase").arg("phase", words.say(phase));
        match i {
            0 => part.arg("length", beats(length.get(), words)),
            _ => part.arg("length", length.get()),
        }
        .to_string()
    });
    parts.collect::<Vec<_>>().join(", ")
}

/// Who plays when, and how the note is spread.
fn together(exercise: &Exercise) -> Vec<&'static str> {
    let turns = match exercise.turns {
        Some(Turns::DownTheLine) => Some("sheet-down-the-line"),
        Some(Turns::Pairs) => Some("asks-turns-pairs"),
        Some(Turns::Together) | None => None,
    };
    let spread = match exercise.voicing {
        Some(Voicing::Fifth) => Some("sheet-fifth"),
        Some(Voicing::Triad) => Some("sheet-triad"),
        Some(Voicing::Steps) => Some("sheet-steps"),
        Some(Voicing::Octaves) => Some("asks-voicing-octaves"),
        Some(Voicing::Unison) | None => None,
    };
    turns.into_iter().chain(spread).collect()
}

/// Whether its notes are dealt, so that a player's own may be another one.
pub(super) fn is_spread(exercise: &Exercise) -> bool {
    matches!(exercise.voicing, Some(Voicing::Fifth | Voicing::Triad | Voicing::Steps))
}

fn rest_after(rest_s: u16, words: Words) -> Option<String> {
    let (min, s) = (rest_s / 60, rest_s % 60);
    let id = match (min, s) {
        (0, 0) => return None,
        (0, _) => "sheet-rest-s",
        (_, 0) => "sheet-rest-min",
        _ => "sheet-rest-min-s",
    };
    Some(words.of(id).arg("min", min).arg("s", s).to_string().replace(' ', "\u{a0}"))
}

/// The picture for whoever cannot see it.
pub(super) fn described(exercise: &Exercise, words: Words) -> String {
    let listed =
        |values: &[PulseValue]| values.iter().map(|&one| value(one, words)).collect::<Vec<_>>().join(", ");
    let said = match &exercise.play {
        Play::Straight(_) => words.of("sheet-shows-straight"),
        Play::Free(_) => words.of("sheet-shows-free"),
        Play::Pulses(Pulses { values, each, .. }) => {
            let said = words.of(match each {
                Each::Bar => "sheet-shows-by-bar",
                Each::Beat => "sheet-shows-by-beat",
            });
            said.arg("values", listed(values))
        }
        Play::Ladder(ladder) => words.of("sheet-shows-value").arg("value", value(ladder.value, words)),
        Play::Ease(ease) => words.of("sheet-shows-ease").arg("phases", eased(ease, words)),
        Play::Hairpin(hairpin) => {
            let said = words.of("sheet-shows-hairpin").arg("values", listed(&hairpin.values));
            let said = said.arg("growing", beats(hairpin.growing.get(), words));
            said.arg("fading", beats(hairpin.fading.get(), words))
        }
        Play::Music(music) => {
            let values: Vec<PulseValue> = music.notes.iter().filter_map(|note| note.value).collect();
            let notes = words.of("asks-notes").arg("n", music.notes.len()).to_string();
            words.of("sheet-shows-line").arg("notes", notes).arg("values", listed(&values))
        }
    };
    said.to_string()
}
