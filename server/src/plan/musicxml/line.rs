//! A line of a plan from the notes of a part: rests joined, ties that lead somewhere, loudness at each note's ends, a pulse value
//! over each. Pure.

use super::loudness::Loudness;
use super::part::{Part, RawNote, SAME};
use super::{BadMusicXml, Imported, passes};
use crate::plan::play::{Music, PulseValue, Written};
use crate::plan::wording::of_value;
use crate::plan::words::value_word;
use windrow_protocol::note::Note;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Beats, Bpm};

/// Most notes and rests of a line, as the check has it.
const MAX_NOTES: usize = 200;
/// Longest note, beats, as the check has it.
const MAX_BEATS: f64 = 64.0;
/// Where a file names no tempo. Our own choice: that of most exercises.
const USUAL_BPM: f64 = 60.0;
/// Pulses a second that a value is chosen for where a file names none: the lower end of what is heard as vibrato (R. Weiner: "at 5
/// a second"), and the shortest note that gets one, beats. Our own choice.
const CHOSEN_HZ: f64 = 5.0;
const SHORTEST_PULSED: f64 = 2.0;

pub(super) fn imported(mut part: Part, title: Option<String>) -> Result<Imported, BadMusicXml> {
    let notes = without_outer_rests(joined_rests(std::mem::take(&mut part.notes)), &mut part);
    if notes.is_empty() {
        return Err(BadMusicXml::new(Phrase::of("music-no-notes")));
    }
    if notes.len() > MAX_NOTES {
        let text = Phrase::of("music-too-many-notes").with("n", notes.len()).with("most", MAX_NOTES);
        return Err(BadMusicXml::new(text));
    }
    if let Some(long) = notes.iter().find(|note| note.quarters > MAX_BEATS) {
        let text = Phrase::of("music-long-note").with("bar", long.bar.as_str());
        return Err(BadMusicXml::new(text.with("quarters", long.quarters).with("most", MAX_BEATS)));
    }
    let bpm = tempo(&mut part, notes[0].at);
    let beats_per_bar = beats_per_bar(&mut part);
    let (loudness, assumed) = Loudness::new(&part.dynamics, &part.wedges, &notes);
    if let Some(assumed) = assumed {
        part.ignored.say(assumed);
    }
    let has_values = !part.values.is_empty() || notes.iter().any(|note| note.value.is_some());
    let usual = usual_value(bpm);
    if !has_values {
        part.ignored.say(Phrase::of("music-values-chosen").with("values", value_word(usual)));
    }
    let value = |note: &RawNote| {
        let named = part.values.iter().rev().find(|(at, _)| *at <= note.at + SAME).map(|&(_, value)| value);
        let by_length = (!has_values && note.quarters >= SHORTEST_PULSED - SAME).then_some(usual);
        note.value.or(named).or(by_length)
    };
    let mut written = Vec::new();
    let mut now = None;
    for (i, note) in notes.iter().enumerate() {
        let beats = beats(note.quarters);
        let Some(midi) = note.midi else {
            written.push(Written {
                note: None,
                beats,
                value: None,
                dynamic: None,
                dynamic_to: None,
                tied: false,
            });
            continue;
        };
        let leads_on = notes.get(i + 1).is_some_and(|next| next.midi == Some(midi));
        if note.tied && !leads_on {
            part.ignored.count(Phrase::of("music-ties-to-nowhere"), &note.bar);
        }
        let (from, to) = loudness.of(note);
        let is_known = !loudness.is_silent();
        let dynamic = (is_known && now != Some(from)).then_some(from);
        let dynamic_to = (is_known && to != from).then_some(to);
        now = Some(to);
        written.push(Written {
            note: Note::from_midi(midi),
            beats,
            value: value(note),
            dynamic,
            dynamic_to,
            tied: note.tied && leads_on,
        });
    }
    let rest = Beats::clamped(0.0).expect("a number");
    let music = Music { bpm, notes: written, passes: passes(), rest };
    Ok(Imported { music, beats_per_bar, title, ignored: part.ignored.into_sentences() })
}

/// To a millionth: thirds of a quarter have no end.
fn beats(quarters: f64) -> Beats {
    Beats::clamped((quarters * 1e6).round() / 1e6).expect("a number")
}

/// Rests beside each other become one, but none that is too long.
fn joined_rests(notes: Vec<RawNote>) -> Vec<RawNote> {
    let mut joined: Vec<RawNote> = Vec::new();
    for note in notes {
        let is_rest = note.midi.is_none();
        match joined.last_mut() {
            Some(last) if is_rest && last.midi.is_none() && last.quarters + note.quarters <= MAX_BEATS => {
                last.quarters += note.quarters;
            }
            _ => joined.push(note),
        }
    }
    joined
}

fn without_outer_rests(mut notes: Vec<RawNote>, part: &mut Part) -> Vec<RawNote> {
    while notes.pop_if(|last| last.midi.is_none()).is_some() {}
    let n_rests = notes.iter().take_while(|note| note.midi.is_none()).count();
    let silent: f64 = notes.drain(..n_rests).map(|rest| rest.quarters).sum();
    if silent > 0.0 {
        part.ignored.say(Phrase::of("music-rest-before").with("quarters", silent));
    }
    notes
}

/// The tempo at the first note.
fn tempo(part: &mut Part, first_at: f64) -> Bpm {
    let before = part.tempos.iter().rposition(|(at, ..)| *at <= first_at + SAME);
    let chosen = before.unwrap_or(0);
    for (i, (_, bpm, bar)) in part.tempos.iter().enumerate() {
        if i > chosen && (bpm - part.tempos[chosen].1).abs() > SAME {
            part.ignored.count(Phrase::of("music-tempo-changes"), bar);
        }
    }
    let usual = Bpm::clamped(USUAL_BPM).expect("a number");
    let Some(&(_, bpm, _)) = part.tempos.get(chosen) else {
        part.ignored.say(Phrase::of("music-no-tempo").with("bpm", USUAL_BPM));
        return usual;
    };
    let tenths = (bpm * 10.0).round() / 10.0;
    Bpm::new(tenths).unwrap_or_else(|wrong| {
        let text = Phrase::of("music-tempo-beyond").with("wrong", of_value(&wrong.to_string()));
        part.ignored.say(text.with("bpm", USUAL_BPM));
        usual
    })
}

/// Quarters in a bar; a plan's beats are quarters.
fn beats_per_bar(part: &mut Part) -> u8 {
    let (beats, kind) = part.time.unwrap_or((4.0, 4.0));
    let quarters = beats * 4.0 / kind;
    let whole = quarters.round().clamp(1.0, 12.0);
    let counted = |id: &str| Phrase::of(id).with("beats", beats).with("kind", kind).with("whole", whole);
    if (whole - quarters).abs() > SAME {
        part.ignored.say(counted("music-metre"));
    } else if (kind - 4.0).abs() > SAME {
        part.ignored.say(counted("music-beat"));
    }
    whole as u8
}

/// Of eighths, triplets and sixteenths the one nearest to five pulses a second.
fn usual_value(bpm: Bpm) -> PulseValue {
    let off = |per_beat: f64| (bpm.get() / 60.0 * per_beat - CHOSEN_HZ).abs();
    let values = [(PulseValue::Sixteenths, 4.0), (PulseValue::Triplets, 3.0), (PulseValue::Eighths, 2.0)];
    let nearest = values.into_iter().min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
    nearest.map_or(PulseValue::Sixteenths, |(value, _)| value)
}
