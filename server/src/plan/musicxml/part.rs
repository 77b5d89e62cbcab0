//! A part of a MusicXML score as notes, marks and tempos in quarters from its beginning. Knows the elements of the format; what
//! becomes of them is `line`'s work.

use super::ignored::Ignored;
use super::{BadMusicXml, child, child_text, short};
use crate::plan::play::PulseValue;
use roxmltree::Node;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Dynamic;

/// Times nearer to each other than this are the same, quarters: a tenth of a millisecond at 60, beyond any notated length.
pub(super) const SAME: f64 = 1e-4;
/// Longest part, quarters; only a broken file is longer.
const MAX_QUARTERS: f64 = 1e5;

/// A note or rest of the voice that is read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RawNote {
    pub(super) at: f64,
    pub(super) quarters: f64,
    /// Sounding MIDI number; absent: a rest.
    pub(super) midi: Option<i32>,
    pub(super) tied: bool,
    /// From its lyric.
    pub(super) value: Option<PulseValue>,
    pub(super) bar: String,
}

/// A hairpin as it is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wedge {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) grows: bool,
}

/// A part.
#[derive(Debug, Default)]
pub(super) struct Part {
    pub(super) notes: Vec<RawNote>,
    pub(super) dynamics: Vec<(f64, Dynamic)>,
    pub(super) wedges: Vec<Wedge>,
    /// Quarters a minute.
    pub(super) tempos: Vec<(f64, f64, String)>,
    /// Pulse values written as words, from there on.
    pub(super) values: Vec<(f64, PulseValue)>,
    /// Beats and beat type of the first time signature.
    pub(super) time: Option<(f64, f64)>,
    pub(super) ignored: Ignored,
}

/// What is carried from element to element.
#[derive(Debug)]
struct Reader {
    part: Part,
    divisions: f64,
    /// Semitones from the written to the sounding note.
    transposition: i32,
    /// Where the next note begins, quarters.
    now: f64,
    /// Where the note before it began, for chords.
    last_at: f64,
    /// Where the voice that is read has come to.
    voice_end: f64,
    voice: Option<String>,
    open_wedge: Option<(f64, bool)>,
    bar: String,
}

impl Part {
    pub(super) fn read(part: Node<'_, '_>) -> Result<Self, BadMusicXml> {
        let mut reader = Reader {
            part: Part::default(),
            divisions: 1.0,
            transposition: 0,
            now: 0.0,
            last_at: 0.0,
            voice_end: 0.0,
            voice: None,
            open_wedge: None,
            bar: String::new(),
        };
        let mut start = 0.0;
        for (i, measure) in part.children().filter(|node| node.has_tag_name("measure")).enumerate() {
            reader.bar = measure.attribute("number").map_or_else(|| (i + 1).to_string(), short);
            reader.now = start;
            let mut end: f64 = start;
            for node in measure.children().filter(Node::is_element) {
                reader.element(node)?;
                if reader.now < start - SAME || reader.now > MAX_QUARTERS {
                    return Err(BadMusicXml::at(node, Phrase::of("music-lengths")));
                }
                end = end.max(reader.now);
            }
            start = end;
        }
        if let Some((from, grows)) = reader.open_wedge {
            reader.part.wedges.push(Wedge { from, to: start, grows });
        }
        Ok(reader.part)
    }
}

fn number(node: Node<'_, '_>, name: &str) -> Result<Option<f64>, BadMusicXml> {
    let Some(text) = child_text(node, name) else { return Ok(None) };
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(Some(value)),
        _ => Err(BadMusicXml::at(
            node,
            Phrase::of("music-no-number").with("name", name).with("is", short(text)),
        )),
    }
}

impl Reader {
    fn ignore(&mut self, what: &str) {
        self.part.ignored.count(Phrase::of(what), &self.bar);
    }

    fn ignore_sign(&mut self, sign: &str) {
        self.part.ignored.count(Phrase::of("music-signs").with("sign", short(sign)), &self.bar);
    }

    fn quarters(&self, node: Node<'_, '_>) -> Result<f64, BadMusicXml> {
        let duration = number(node, "duration")?
            .ok_or_else(|| BadMusicXml::at(node, Phrase::of("music-no-duration")))?;
        if duration < 0.0 {
            return Err(BadMusicXml::at(node, Phrase::of("music-duration-below")));
        }
        Ok(duration / self.divisions)
    }

    fn element(&mut self, node: Node<'_, '_>) -> Result<(), BadMusicXml> {
        match node.tag_name().name() {
            "attributes" => self.attributes(node),
            "note" => self.note(node),
            "backup" => {
                self.now -= self.quarters(node)?;
                Ok(())
            }
            "forward" => {
                self.now += self.quarters(node)?;
                Ok(())
            }
            "direction" => self.direction(node),
            "sound" => self.sound(node),
            "barline" => {
                for (name, what) in
                    [("repeat", "music-repeats"), ("ending", "music-endings"), ("fermata", "music-fermatas")]
                {
                    if child(node, name).is_some() {
                        self.ignore(what);
                    }
                }
                Ok(())
            }
            "harmony" => {
                self.ignore("music-chord-symbols");
                Ok(())
            }
            "figured-bass" => {
                self.ignore("music-figured-bass");
                Ok(())
            }
            // Layout and links say nothing about the sound.
            _ => Ok(()),
        }
    }

    fn attributes(&mut self, node: Node<'_, '_>) -> Result<(), BadMusicXml> {
        if let Some(divisions) = number(node, "divisions")? {
            if divisions <= 0.0 {
                return Err(BadMusicXml::at(node, Phrase::of("music-divisions")));
            }
            self.divisions = divisions;
        }
        if let Some(transpose) = child(node, "transpose") {
            let semitones = number(transpose, "chromatic")?.unwrap_or(0.0);
            let octaves = number(transpose, "octave-change")?.unwrap_or(0.0);
            self.transposition = (semitones + 12.0 * octaves).round().clamp(-60.0, 60.0) as i32;
        }
        if let Some(time) = child(node, "time") {
            // "3+2" is five.
            let beats = child_text(time, "beats")
                .map(|text| text.split('+').filter_map(|part| part.trim().parse::<f64>().ok()).sum::<f64>());
            let kind = number(time, "beat-type")?;
            let signature = beats.zip(kind).filter(|&(beats, kind)| beats > 0.0 && kind > 0.0);
            match (self.part.time, signature) {
                (None, Some(_)) => self.part.time = signature,
                (Some(first), Some(other)) if first != other => self.ignore("music-metre-changes"),
                _ => {}
            }
        }
        Ok(())
    }

    fn note(&mut self, node: Node<'_, '_>) -> Result<(), BadMusicXml> {
        if child(node, "grace").is_some() {
            self.ignore("music-grace-notes");
            return Ok(());
        }
        let quarters = self.quarters(node)?;
        let is_chord = child(node, "chord").is_some();
        let at = if is_chord { self.last_at } else { self.now };
        if !is_chord {
            self.last_at = at;
            self.now = at + quarters;
        }
        if child(node, "cue").is_some() {
            self.ignore("music-cue-notes");
            return Ok(());
        }
        let voice = format!(
            "{} {}",
            child_text(node, "voice").unwrap_or("1"),
            child_text(node, "staff").unwrap_or("1")
        );
        if self.voice.get_or_insert_with(|| voice.clone()) != &voice {
            if child(node, "rest").is_none() {
                self.ignore("music-other-voices");
            }
            return Ok(());
        }
        let midi = self.sounding(node)?;
        if is_chord {
            self.ignore("music-lower-notes");
            let last = self.part.notes.last_mut().filter(|last| (last.at - at).abs() < SAME);
            if let Some(last) = last.filter(|last| last.midi < midi) {
                (last.midi, last.tied) = (midi, is_tied(node));
            }
            return Ok(());
        }
        if at < self.voice_end - SAME {
            self.ignore("music-overlapping");
            return Ok(());
        }
        if at > self.voice_end + SAME {
            self.rest(self.voice_end, at - self.voice_end);
        }
        self.voice_end = at + quarters;
        let value = self.lyrics(node);
        self.notations(node, at);
        if quarters > SAME {
            let bar = self.bar.clone();
            self.part.notes.push(RawNote {
                at,
                quarters,
                midi,
                tied: midi.is_some() && is_tied(node),
                value,
                bar,
            });
        }
        Ok(())
    }

    fn rest(&mut self, at: f64, quarters: f64) {
        let bar = self.bar.clone();
        self.part.notes.push(RawNote { at, quarters, midi: None, tied: false, value: None, bar });
    }

    /// The sounding MIDI number of a note; none for a rest.
    fn sounding(&mut self, node: Node<'_, '_>) -> Result<Option<i32>, BadMusicXml> {
        if child(node, "rest").is_some() {
            return Ok(None);
        }
        let Some(pitch) = child(node, "pitch") else {
            self.ignore("music-no-pitch");
            return Ok(None);
        };
        let step = match child_text(pitch, "step") {
            Some("C") => 0,
            Some("D") => 2,
            Some("E") => 4,
            Some("F") => 5,
            Some("G") => 7,
            Some("A") => 9,
            Some("B") => 11,
            _ => return Err(BadMusicXml::at(pitch, Phrase::of("music-step"))),
        };
        let octave = number(pitch, "octave")?
            .filter(|octave| (0.0..=9.0).contains(octave))
            .ok_or_else(|| BadMusicXml::at(pitch, Phrase::of("music-octave")))?;
        let alter = number(pitch, "alter")?.unwrap_or(0.0);
        if alter.fract().abs() > 0.0 {
            self.ignore("music-microtones");
        }
        let written = (octave as i32 + 1) * 12 + step + alter.round().clamp(-60.0, 60.0) as i32;
        let sounding = written + self.transposition;
        if !(0..=127).contains(&sounding) {
            return Err(BadMusicXml::at(pitch, Phrase::of("music-note-beyond")));
        }
        Ok(Some(sounding))
    }

    fn lyrics(&mut self, node: Node<'_, '_>) -> Option<PulseValue> {
        let mut value = None;
        for lyric in node.children().filter(|child| child.has_tag_name("lyric")) {
            let text = child_text(lyric, "text").unwrap_or_default();
            match value_named(text) {
                Some(named) => value = Some(named),
                None => self.ignore("music-lyrics"),
            }
        }
        value
    }

    fn notations(&mut self, node: Node<'_, '_>, at: f64) {
        let groups = node.children().filter(|child| child.has_tag_name("notations"));
        for notation in groups.flat_map(|group| group.children()).filter(Node::is_element) {
            match notation.tag_name().name() {
                "dynamics" => self.marks(notation, at),
                // Lengths and ties are read from the notes themselves.
                "tied" | "tuplet" => {}
                "slur" if notation.attribute("type") != Some("start") => {}
                "slur" => self.ignore("music-slurs"),
                "fermata" => self.ignore("music-fermatas"),
                "articulations" | "ornaments" | "technical" => {
                    for sign in notation.children().filter(Node::is_element) {
                        self.ignore_sign(sign.tag_name().name());
                    }
                }
                other => self.ignore_sign(other),
            }
        }
    }

    fn marks(&mut self, dynamics: Node<'_, '_>, at: f64) {
        for mark in dynamics.children().filter(Node::is_element) {
            let mark = match mark.tag_name().name() {
                "pp" | "ppp" | "pppp" | "ppppp" | "pppppp" => Dynamic::Pp,
                "p" => Dynamic::P,
                "mp" => Dynamic::Mp,
                "mf" => Dynamic::Mf,
                "f" => Dynamic::F,
                "ff" | "fff" | "ffff" | "fffff" | "ffffff" => Dynamic::Ff,
                other => {
                    self.ignore_sign(other);
                    continue;
                }
            };
            self.part.dynamics.push((at, mark));
        }
    }

    fn direction(&mut self, node: Node<'_, '_>) -> Result<(), BadMusicXml> {
        let kinds = node.children().filter(|child| child.has_tag_name("direction-type"));
        let has_sound = child(node, "sound").is_some_and(|sound| sound.attribute("tempo").is_some());
        for kind in kinds.flat_map(|kind| kind.children()).filter(Node::is_element) {
            match kind.tag_name().name() {
                "dynamics" => self.marks(kind, self.now),
                "wedge" => self.wedge(kind),
                "metronome" if has_sound => {}
                "metronome" => match metronome(kind)? {
                    Some(bpm) => self.part.tempos.push((self.now, bpm, self.bar.clone())),
                    None => self.ignore("music-tempo-no-number"),
                },
                "words" => match value_named(kind.text().unwrap_or_default()) {
                    Some(value) => self.part.values.push((self.now, value)),
                    None => self.ignore("music-words-over"),
                },
                other => self.ignore_sign(other),
            }
        }
        child(node, "sound").map_or(Ok(()), |sound| self.sound(sound))
    }

    fn sound(&mut self, node: Node<'_, '_>) -> Result<(), BadMusicXml> {
        if ["dacapo", "dalsegno", "tocoda", "fine"].iter().any(|jump| node.attribute(*jump).is_some()) {
            self.ignore("music-jumps");
        }
        let Some(tempo) = node.attribute("tempo") else { return Ok(()) };
        match tempo.parse::<f64>() {
            Ok(bpm) if bpm.is_finite() => self.part.tempos.push((self.now, bpm, self.bar.clone())),
            _ => return Err(BadMusicXml::at(node, Phrase::of("music-tempo-wrong").with("is", short(tempo)))),
        }
        Ok(())
    }

    fn wedge(&mut self, node: Node<'_, '_>) {
        if let Some((from, grows)) = self.open_wedge.take() {
            self.part.wedges.push(Wedge { from, to: self.now, grows });
        }
        match node.attribute("type") {
            Some("crescendo") => self.open_wedge = Some((self.now, true)),
            Some("diminuendo") => self.open_wedge = Some((self.now, false)),
            _ => {}
        }
    }
}

fn is_tied(note: Node<'_, '_>) -> bool {
    note.children().any(|child| child.has_tag_name("tie") && child.attribute("type") == Some("start"))
}

/// Quarters a minute of a metronome mark, if it is a note value and a number.
fn metronome(node: Node<'_, '_>) -> Result<Option<f64>, BadMusicXml> {
    let per_minute = child_text(node, "per-minute").and_then(|text| text.parse::<f64>().ok());
    let quarters = match child_text(node, "beat-unit") {
        Some("whole") => 4.0,
        Some("half") => 2.0,
        Some("quarter") => 1.0,
        Some("eighth") => 0.5,
        Some("16th") => 0.25,
        _ => return Ok(None),
    };
    let dots = node.children().filter(|child| child.has_tag_name("beat-unit-dot")).count();
    // Each dot adds half of what the one before added.
    let unit = quarters * (2.0 - 0.5_f64.powi(i32::try_from(dots).unwrap_or(0)));
    Ok(per_minute.filter(|bpm| bpm.is_finite()).map(|bpm| bpm * unit))
}

/// The pulse value that a word over or under a note names, in the words of this program, the British ones or German ones.
fn value_named(text: &str) -> Option<PulseValue> {
    let word = text.trim().trim_end_matches(['.', ':']).to_ascii_lowercase();
    Some(match word.trim_end_matches('s') {
        "straight" | "senza vibrato" | "non vibrato" | "gerade" | "ohne vibrato" => PulseValue::Straight,
        "quarter" | "crotchet" | "viertel" => PulseValue::Quarters,
        "eighth" | "quaver" | "achtel" => PulseValue::Eighths,
        "triplet" | "triole" | "triolen" => PulseValue::Triplets,
        "sixteenth" | "semiquaver" | "sechzehntel" => PulseValue::Sixteenths,
        "quintuplet" | "quintole" | "quintolen" => PulseValue::Quintuplets,
        "sextuplet" | "sextole" | "sextolen" => PulseValue::Sextuplets,
        "free" | "frei" => PulseValue::Free,
        _ => return None,
    })
}
