"""Writes the MusicXML files that the import is tested with, and beside each what has to come out of it. music21 (10.5.1, from PyPI;
its own dependencies with it) makes the files; what is expected is written down here from the same figures, in sounding notes and
quarters, and read from no file. It knows nothing of Windrow. Run it only to make the files anew:

    python tests/reference/make_music.py tests/reference/musicxml
"""

import json
import re
import sys
from fractions import Fraction
from pathlib import Path

from music21 import (articulations, bar, chord, clef, dynamics, expressions, instrument, metadata, meter, note, spanner, stream,
                     tempo, tie)


def score(title, *parts):
    whole = stream.Score()
    whole.metadata = metadata.Metadata(title=title)
    for part in parts:
        whole.insert(0, part)
    return whole


def part_of(player, signature, bpm):
    part = stream.Part()
    part.insert(0, player)
    part.insert(0, meter.TimeSignature(signature))
    if bpm is not None:
        part.insert(0, tempo.MetronomeMark(number=bpm))
    return part


def expected(name, title, bpm, beats_per_bar, notes, ignored=()):
    """`notes` in order: sounding name or None, quarters, and what else stands at the note."""
    return {"file": name, "title": title, "bpm": bpm, "beats_per_bar": beats_per_bar,
            "notes": [dict({"note": pitch, "beats": float(beats)}, **marks) for pitch, beats, marks in notes],
            # Words that have to stand in one of the sentences about what was not used.
            "ignored": list(ignored)}


def long_notes():
    """Long notes with marks, a hairpin, a tie over the bar and rests, in concert pitch."""
    part = part_of(instrument.Flute(), "4/4", 66)
    line = [("F4", 4), ("G4", 4), ("A4", 4), ("A4", 2), (None, 2), ("C5", 3), (None, 1)]
    made = [note.Note(pitch, quarterLength=length) if pitch else note.Rest(quarterLength=length) for pitch, length in line]
    made[2].tie, made[3].tie = tie.Tie("start"), tie.Tie("stop")
    for element in made:
        part.append(element)
    part.insert(0, dynamics.Dynamic("p"))
    part.insert(8, dynamics.Dynamic("f"))
    part.insert(16, dynamics.Dynamic("mp"))
    part.insert(0, dynamics.Crescendo(made[0], made[1]))
    out = [("F4", 4, {"dynamic": "p", "dynamic_to": "mf"}), ("G4", 4, {"dynamic_to": "f"}), ("A4", 4, {"tied": True}),
           ("A4", 2, {}), (None, 2, {}), ("C5", 3, {"dynamic": "mp"})]
    return score("Long notes", part), expected("long-notes", "Long notes", 66, 4, out, ["no pulse values"])


def transposed(player, name, written, sounding):
    """Written for a transposing instrument; what is expected sounds."""
    part = part_of(player, "3/4", 72)
    for pitch in written:
        part.append(note.Note(pitch, quarterLength=3))
    # Written as it stands on the page: music21 then writes the transposition into the file.
    part.atSoundingPitch = False
    out = [(pitch, 3, {}) for pitch in sounding]
    return score(name, part), expected(name, name, 72, 3, out)


def rhythms():
    """Tuplets, dots, short notes and an upbeat in cut time; the tempo is given in halves."""
    part = part_of(instrument.Oboe(), "2/2", None)
    part.insert(0, tempo.MetronomeMark(number=36, referent="half"))
    lengths = [Fraction(4, 3)] * 3 + [1.5, 0.5, 2] + [Fraction(1, 3)] * 3 + [3] + [Fraction(2, 5)] * 5 + [2]
    pitches = ["Bb4", "C5", "D5", "Eb5", "D5", "C5", "Bb4", "A4", "Bb4", "C5", "A4", "Bb4", "C5", "D5", "C5", "Bb4"]
    for pitch, length in zip(pitches, lengths, strict=True):
        part.append(note.Note(pitch.replace("b", "-"), quarterLength=length))
    out = [(pitch, length, {}) for pitch, length in zip(pitches, lengths, strict=True)]
    return score("Rhythms", part), expected("rhythms", "Rhythms", 72, 4, out, ["beat of 2/2"])


def words():
    """Pulse values as words over the notes and as lyrics under them."""
    part = part_of(instrument.Bassoon(), "4/4", 60)
    part.insert(0, clef.BassClef())
    line = [("F3", "eighths", "words"), ("G3", None, None), ("A3", "Triplets", "words"), ("Bb3", "sixteenths", "lyric"),
            ("A3", "straight", "lyric"), ("F3", "free", "words")]
    for i, (pitch, value, how) in enumerate(line):
        made = note.Note(pitch.replace("b", "-"), quarterLength=4)
        if how == "lyric":
            made.lyric = value
        part.append(made)
        if how == "words":
            part.insert(4 * i, expressions.TextExpression(value))
    values = ["eighths", "eighths", "triplets", "sixteenths", "straight", "free"]
    out = [(pitch, 4, {"value": value}) for (pitch, *_), value in zip(line, values, strict=True)]
    return score("Words", part), expected("words", "Words", 60, 4, out)


def unused():
    """Chords, grace notes, slurs, staccato, a fermata, a repeat, a change of metre and of tempo, sforzato, lyrics, two parts."""
    first = note.Note("F4", quarterLength=2)
    first.articulations.append(articulations.Staccato())
    last = note.Note("G4", quarterLength=2)
    last.expressions.append(expressions.Fermata())
    last.lyric = "ah"
    grace = note.Note("E4", quarterLength=0.5).getGrace()
    bars = [stream.Measure(number=n) for n in (1, 2, 3)]
    bars[0].append([meter.TimeSignature("4/4"), first, chord.Chord(["C4", "F4", "A4"], quarterLength=2)])
    bars[1].append([grace, note.Note("B-4", quarterLength=2), last])
    bars[1].insert(0, dynamics.Dynamic("sfz"))
    bars[2].append([meter.TimeSignature("3/4"), note.Note("C5", quarterLength=3)])
    bars[2].insert(0, tempo.MetronomeMark(number=96))
    bars[1].rightBarline = bar.Repeat(direction="end")
    part = stream.Part([instrument.Flute()] + bars)
    bars[0].insert(0, tempo.MetronomeMark(number=80))
    part.insert(0, spanner.Slur(first, last))
    other = part_of(instrument.Oboe(), "4/4", None)
    other.append([note.Note("C4", quarterLength=4), note.Note("C4", quarterLength=4)])
    out = [("F4", 2, {}), ("A4", 2, {}), ("Bb4", 2, {}), ("G4", 2, {}), ("C5", 3, {})]
    ignored = ["other parts: Oboe", "lower notes of chords: 2 (bar 1)", "grace notes: 1 (bar 2)", "slurs: 1 (bar 1)",
               "signs such as staccato: 1 (bar 1)", "fermatas: 1 (bar 2)", "lyrics: 1 (bar 2)", "signs such as sfz: 1 (bar 2)",
               "repeat signs: 1 (bar 2)", "changes of the time signature: 1 (bar 3)", "changes of tempo: 1 (bar 3)"]
    return score("Unused", part, other), expected("unused", "Unused", 80, 4, out, ignored)


def voices():
    """Two voices in one bar; the first is read, with a gap in it."""
    part = stream.Part([instrument.Clarinet()])
    part.partName = "Clarinet"
    for number, upper in ((1, "D5"), (2, "E5")):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.append(meter.TimeSignature("4/4"))
        high, low = stream.Voice(id="1"), stream.Voice(id="2")
        high.append([note.Note(upper, quarterLength=2), note.Rest(quarterLength=2)] if number == 1
                    else [note.Note(upper, quarterLength=4)])
        low.append([note.Note("F4", quarterLength=4)])
        measure.insert(0, high)
        measure.insert(0, low)
        part.append(measure)
    part.atSoundingPitch = False
    # Clarinet in B flat: a whole tone lower than written.
    out = [("C5", 2, {}), (None, 2, {}), ("D5", 4, {})]
    return score("Voices", part), expected("voices", "Voices", 60, 4, out, ["notes of other voices: 2", "names no tempo"])


def main(folder):
    folder.mkdir(parents=True, exist_ok=True)
    made = [
        long_notes(), rhythms(), words(), unused(), voices(),
        # What sounds lies a major sixth below what is written; a fifth; an octave above it; a major ninth below it, twice (the usual
        # tables of orchestration).
        transposed(instrument.AltoSaxophone(), "alto-sax", ["D5", "E5", "F#5"], ["F4", "G4", "A4"]),
        transposed(instrument.Horn(), "horn", ["C5", "D5", "E5"], ["F4", "G4", "A4"]),
        transposed(instrument.Piccolo(), "piccolo", ["F4", "G4"], ["F5", "G5"]),
        transposed(instrument.BassClarinet(), "bass-clarinet", ["G4", "A4"], ["F3", "G3"]),
        transposed(instrument.TenorSaxophone(), "tenor-sax", ["G4", "B4"], ["F3", "A3"]),
    ]
    # The first compressed as well; music21 takes away the plain file that it makes on the way.
    made[0][0].write("mxl", fp=folder / f"{made[0][1]['file']}.mxl")
    truths = []
    for whole, truth in made:
        path = folder / f"{truth['file']}.musicxml"
        whole.write("musicxml", fp=path)
        text = path.read_text(encoding="utf-8")
        # The day it was made on says nothing.
        path.write_text(re.sub(r"\s*<encoding-date>[^<]*</encoding-date>", "", text), encoding="utf-8")
        truths.append(truth)
    (folder / "expected.json").write_text(json.dumps(truths, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
