"""A score as MusicXML 4.0: notes as the maker spells them, exact cents, fingerings.

Apart from MIDI, which knows no names. Written with the standard library alone: what is exact here, an
alteration in parts of a semitone, the usual libraries leave out.

Every note has its exact pitch in ``<alter>`` (to a millionth of a semitone), the accidental of its name, how
many cents it lies from that name as a text above it, and the state of each hole. As in all notation A4 is a
note and not a frequency: where the flute's A4 is not 440 Hz, that is said at the beginning, and whoever plays
the file tells the program so.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from itertools import groupby

from scaledesign.model.document import HoleState
from scaledesign.model.fingering import format_fingering
from scaledesign.model.pitch import Note
from scaledesign.model.units import format_cents, format_number
from scaledesign.sounding.score import DRONE, MELODY, Pitch, Score, Sounded

BEATS = 4
"""In a measure."""
_DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_ACCIDENTALS = {
    0.0: "natural",
    0.5: "quarter-sharp",
    1.0: "sharp",
    1.5: "three-quarters-sharp",
    2.0: "double-sharp",
    3.0: "triple-sharp",
    -0.5: "quarter-flat",
    -1.0: "flat",
    -1.5: "three-quarters-flat",
    -2.0: "flat-flat",
    -3.0: "triple-flat",
}
_ILLEGAL = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_CLOSED: dict[HoleState, str] = {"X": "yes", "O": "no", "H": "half"}
_TYPES = {1: ("quarter", 0), 2: ("half", 0), 3: ("half", 1), 4: ("whole", 0)}
"""Beats: what such a note is called, and its dots."""
_NAMES = {MELODY: "Flute", DRONE: "Drone"}


def musicxml_text(score: Score) -> str:
    """Text of the file, in UTF-8 and with its declaration."""
    root = ET.Element("score-partwise", version="4.0")
    ET.SubElement(ET.SubElement(root, "work"), "work-title").text = _legal(score.title) or "Notes"
    encoding = ET.SubElement(ET.SubElement(root, "identification"), "encoding")
    ET.SubElement(encoding, "software").text = "scaledesign"
    listed = ET.SubElement(root, "part-list")
    for part in _parts(score):
        entry = ET.SubElement(listed, "score-part", id=f"P{part + 1}")
        ET.SubElement(entry, "part-name").text = _NAMES[part]
    for part in _parts(score):
        _part(ET.SubElement(root, "part", id=f"P{part + 1}"), score, part)
    ET.indent(root)
    return _DOCTYPE + ET.tostring(root, encoding="unicode") + "\n"


def _parts(score: Score) -> list[int]:
    return sorted({note.part for note in score.notes})


def _part(element: ET.Element, score: Score, part: int) -> None:
    notes = [note for note in score.notes if note.part == part]
    groups = [list(group) for _, group in groupby(notes, key=lambda note: (note.beat, note.beats))]
    measures = max(1, -(-score.beats // BEATS))
    for number in range(measures):
        measure = ET.SubElement(element, "measure", number=str(number + 1))
        if number == 0:
            _beginning(measure, score, part, [note.pitch for note in notes])
        _fill(measure, groups, number * BEATS, (number + 1) * BEATS)
        if number == measures - 1:
            barline = ET.SubElement(measure, "barline", location="right")
            ET.SubElement(barline, "bar-style").text = "light-heavy"


def _beginning(measure: ET.Element, score: Score, part: int, pitches: Sequence[Pitch]) -> None:
    attributes = ET.SubElement(measure, "attributes")
    ET.SubElement(attributes, "divisions").text = "1"
    ET.SubElement(ET.SubElement(attributes, "key"), "fifths").text = "0"
    time = ET.SubElement(attributes, "time")
    ET.SubElement(time, "beats").text = str(BEATS)
    ET.SubElement(time, "beat-type").text = "4"
    clef = ET.SubElement(attributes, "clef")
    middle = sorted(pitch.note.midi for pitch in pitches)[len(pitches) // 2]
    sign, line, octaves = ("F", "4", 0) if middle < 55 else ("G", "2", int(middle > 84))
    ET.SubElement(clef, "sign").text = sign
    ET.SubElement(clef, "line").text = line
    if octaves:
        ET.SubElement(clef, "clef-octave-change").text = str(octaves)
    if part != _parts(score)[0]:
        return
    direction = ET.SubElement(measure, "direction", placement="above")
    metronome = ET.SubElement(ET.SubElement(direction, "direction-type"), "metronome")
    ET.SubElement(metronome, "beat-unit").text = "quarter"
    ET.SubElement(metronome, "per-minute").text = format_number(score.tempo)
    ET.SubElement(direction, "sound", tempo=format_number(score.tempo))
    if score.reference != 440.0:
        _words(measure, f"A4 = {format_number(score.reference)} Hz")


def _fill(measure: ET.Element, groups: Sequence[Sequence[Sounded]], first: int, end: int) -> None:
    """What sounds in one measure, with rests where nothing does."""
    at = first
    signs: dict[tuple[str, int], float] = {}
    before = ""
    for group in groups:
        words, before = group[0].pitch.words * (group[0].pitch.words != before), group[0].pitch.words
        begin, stop = group[0].beat, group[0].beat + group[0].beats
        if stop <= first or begin >= end:
            continue
        _rest(measure, max(begin, first) - at)
        at = min(stop, end)
        length = at - max(begin, first)
        if begin >= first:
            _told(measure, words, [note.pitch for note in group])
        for place, note in enumerate(group):
            _note(measure, note, length, signs, chord=place > 0, tied=(begin < first, stop > end))
    _rest(measure, end - at)


def _told(measure: ET.Element, words: str, pitches: Sequence[Pitch]) -> None:
    """Which of several tunings begins, and the cents from the written name, over the note."""
    cents = [format_cents(pitch.off).replace("-", "\N{MINUS SIGN}") for pitch in pitches]
    told = " ".join(cents) if any(one != "0" for one in cents) else ""
    if words or told:
        _words(measure, " ".join(text for text in (words, told) if text))


def _words(measure: ET.Element, text: str) -> None:
    direction = ET.SubElement(measure, "direction", placement="above")
    ET.SubElement(ET.SubElement(direction, "direction-type"), "words").text = _legal(text)


def _legal(text: str) -> str:
    """Somebody's words without the signs that XML 1.0 (section 2.2) has no place for."""
    return _ILLEGAL.sub(" ", text).strip()


def _rest(measure: ET.Element, beats: int) -> None:
    if beats > 0:
        note = ET.SubElement(measure, "note")
        ET.SubElement(note, "rest")
        _duration(note, beats)
        _type(note, beats)


def _duration(note: ET.Element, beats: int) -> None:
    ET.SubElement(note, "duration").text = str(beats)


def _type(note: ET.Element, beats: int) -> None:
    name, dots = _TYPES[beats]
    ET.SubElement(note, "type").text = name
    for _ in range(dots):
        ET.SubElement(note, "dot")


def _note(
    measure: ET.Element,
    sounded: Sounded,
    beats: int,
    signs: dict[tuple[str, int], float],
    *,
    chord: bool,
    tied: tuple[bool, bool],
) -> None:
    """One note, its children in the order that the standard asks for."""
    pitch, written = sounded.pitch, sounded.pitch.note
    note = ET.SubElement(measure, "note")
    if chord:
        ET.SubElement(note, "chord")
    placed = ET.SubElement(note, "pitch")
    ET.SubElement(placed, "step").text = written.letter
    alter = round(written.alter + pitch.off / 100.0, 6) + 0.0
    if alter:
        ET.SubElement(placed, "alter").text = format_number(alter) if alter == int(alter) else f"{alter:.6f}"
    ET.SubElement(placed, "octave").text = str(written.octave)
    _duration(note, beats)
    ends = [kind for kind, there in zip(("stop", "start"), tied, strict=True) if there]
    for kind in ends:
        ET.SubElement(note, "tie", type=kind)
    _type(note, beats)
    _accidental(note, written, signs)
    marks = pitch.holes if not tied[0] else ()
    if ends or marks:
        notations = ET.SubElement(note, "notations")
        for kind in ends:
            ET.SubElement(notations, "tied", type=kind)
        if marks:
            technical = ET.SubElement(notations, "technical")
            fingers, states = zip(*marks, strict=True)
            ET.SubElement(technical, "fingering").text = format_fingering(states, fingers)
            for finger, state in marks:
                hole = ET.SubElement(technical, "hole")
                ET.SubElement(hole, "hole-type").text = finger
                ET.SubElement(hole, "hole-closed").text = _CLOSED[state]


def _accidental(note: ET.Element, written: Note, signs: dict[tuple[str, int], float]) -> None:
    """The sign of a note's name, wherever its pitch is altered or the measure says something else.

    Some programs take an alteration that is no whole quarter tone only beside a sign.
    """
    place = (written.letter, written.octave)
    altered = note.find("pitch/alter") is not None or signs.get(place, 0.0) != 0.0
    if altered and written.alter in _ACCIDENTALS:
        accidental = ET.Element("accidental")
        accidental.text = _ACCIDENTALS[written.alter]
        kind = next(i for i, child in enumerate(note) if child.tag == "type")
        dots = len(note.findall("dot"))
        note.insert(kind + 1 + dots, accidental)
    signs[place] = written.alter
