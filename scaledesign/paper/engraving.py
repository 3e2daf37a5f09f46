"""Notes on a staff, as a small picture: one note, or two for a trill, on a piece of staff of a known size.

Apart from the charts because every chart wants the same pieces, and because the engraver is costly: verovio
is imported when the first piece is drawn, one toolkit serves the whole process, and it is handed notes and
nothing else. Names, fingers and cents are set by the sheet that shows the piece.

Pieces that stand side by side share a ``Frame``, that is clef, height and place of the lines, so that their
staves line up. Lengths are in staff spaces, the distance of two lines.
"""

from __future__ import annotations

import threading
import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence
from functools import cache, lru_cache
from typing import Any, Literal

from scaledesign.model.pitch import LETTERS, SEMITONES, Note
from scaledesign.values import dataclass

Clef = Literal["treble", "treble-8", "bass"]
"""``treble-8`` sounds an octave higher than it is written."""

MOST_LEDGERS = 3
"""Ledger lines beyond which another clef is looked for (common practice, no source)."""
STAFF = 4.0
"""Height of the five lines, spaces."""
CLEF_ROOM = 3.9
"""From a piece's left edge to the end of its clef with some air, spaces."""
ACCIDENTAL_ROOM = 2.1
"""From there to the middle of a head with its accidental, spaces."""
LINE, LEDGER = 0.1, 0.16
"""Thickness of a staff line and of a ledger line, spaces."""
HEAD_ROOM, SIGN_ROOM = 0.8, 1.9
"""Above and below the middle of a head, for itself, and with an accidental beside it, spaces."""
WIDTH = 12.0
"""Of a piece, unless another is asked for, spaces."""
APART = 3.4
"""From head to head, where there are two, spaces."""

_UNIT = 180.0
"""What the engraver calls a staff space."""
_TOP_STEP: dict[Clef, int] = {"treble": 38, "treble-8": 45, "bass": 26}
"""Step (7 a octave, C0 = 0) of the top line: F5, F6, A3."""
_CLEF_SIZE: dict[Clef, tuple[float, float]] = {
    "treble": (1.7, 2.0),
    "treble-8": (2.9, 2.0),
    "bass": (0.4, 0.4),
}
"""How far a clef rises above the top line and hangs below the bottom line, spaces."""
_MEI_CLEF: dict[Clef, str] = {
    "treble": 'clef.shape="G" clef.line="2"',
    "treble-8": 'clef.shape="G" clef.line="2" clef.dis="8" clef.dis.place="above"',
    "bass": 'clef.shape="F" clef.line="4"',
}
_ACCIDENTALS = {
    1.0: "s",
    2.0: "x",
    -1.0: "f",
    -2.0: "ff",
    0.5: "1qs",
    1.5: "3qs",
    -0.5: "1qf",
    -1.5: "3qf",
}
_MEI = """<?xml version="1.0" encoding="UTF-8"?>
<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><meiHead><fileDesc><titleStmt><title/>
</titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score><scoreDef><staffGrp>
<staffDef n="1" lines="5" {clef}/></staffGrp></scoreDef><section><measure n="1" right="invis"><staff n="1">
<layer n="1">{notes}</layer></staff></measure></section></score></mdiv></body></music></mei>"""
_SVG = "{http://www.w3.org/2000/svg}"
_LINK = "{http://www.w3.org/1999/xlink}href"
_LOCK = threading.Lock()


@dataclass(frozen=True, slots=True)
class Frame:
    """What pieces that stand side by side share."""

    clef: Clef = "treble"
    above: float = 2.0
    """From a piece's top edge to the top line, spaces."""
    below: float = 2.0
    """From the bottom line to a piece's bottom edge, spaces."""

    @property
    def height(self) -> float:
        """Of a piece, spaces."""
        return self.above + STAFF + self.below


def frame_of(notes: Sequence[Note]) -> Frame:
    """Clef and height that suit all ``notes``: treble unless it needs many ledger lines."""
    clefs: tuple[Clef, ...] = ("treble", "treble-8", "bass")
    clef = min(clefs, key=lambda clef: (max(_ledgers(notes, clef), MOST_LEDGERS), clefs.index(clef)))
    return framed(notes, clef)


def framed(notes: Sequence[Note], clef: Clef) -> Frame:
    """The lowest frame with a clef that holds all ``notes``: a line of a chart may be lower than another."""
    rise, hang = _CLEF_SIZE[clef]
    plain = [_plain(note) for note in notes]
    altered = {(note.letter, note.octave) for note in plain if note.alter}
    heads = [
        (head_place(note, clef), SIGN_ROOM if (note.letter, note.octave) in altered else HEAD_ROOM)
        for note in plain
    ]
    above = max([rise, *(room - head for head, room in heads)])
    below = max([hang, *(head + room - STAFF for head, room in heads)])
    return Frame(clef, above, below)


def head_place(note: Note, clef: Clef) -> float:
    """How far below the top line a note's head stands, spaces; negative above it."""
    plain = _plain(note)
    step = 7 * plain.octave + LETTERS.index(plain.letter)
    return (_TOP_STEP[clef] - step) / 2


def staff_svg(
    notes: Sequence[Note],
    frame: Frame | None = None,
    *,
    width: float = WIDTH,
    clef: bool = True,
    lines: bool = True,
    before: Sequence[Note] = (),
) -> bytes:
    """A piece of staff with its notes, as SVG whose unit is the staff space and whose box is the piece's.

    One note stands in the middle of the piece, two stand beside each other about it, unless the clef at the
    left edge pushes them to the right. Every note has the accidental it needs; a natural is there only where
    the same line or space was altered before.

    Parameters
    ----------
    notes : none (for a clef alone), one, or more
    frame : Frame
        that of its neighbours; None: what suits these notes
    width : of the piece, spaces
    clef : whether a clef is drawn
    lines : whether the five lines are drawn, from edge to edge
    before : notes that stand to the left on the same staff, where pieces are set side by side
    """
    held = frame or frame_of(notes)
    signs = tuple(_sign(note, (*before, *notes[:i])) for i, note in enumerate(notes))
    drawn = _engraved(tuple(_plain(note) for note in notes), signs, held.clef)
    parts = []
    if lines:
        ends = " ".join(f"M0 {_number(held.above + i)}H{_number(width)}" for i in range(5))
        parts.append(f'<path d="{ends}" fill="none" stroke="#000" stroke-width="{LINE}"/>')
    if clef:
        parts += [_placed(glyph, 0.0, held.above) for glyph in drawn.clef]
    first = width / 2 - APART * (len(notes) - 1) / 2
    if clef:
        first = max(first, CLEF_ROOM + ACCIDENTAL_ROOM)
    for i, group in enumerate(drawn.notes):
        shift = first + APART * i - group.middle
        parts += [_ledger(line, shift, held.above) for line in group.ledgers]
        parts += [_placed(glyph, shift, held.above) for glyph in group.glyphs]
    size = f"{_number(width)} {_number(held.height)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" width="{_number(width)}" '
        f'height="{_number(held.height)}">{"".join(parts)}</svg>'
    ).encode()


@dataclass(frozen=True, slots=True)
class _Glyph:
    """An outline, its place from the top line's left end (spaces) and its scale."""

    path: str
    x: float
    y: float
    scale: float


@dataclass(frozen=True, slots=True)
class _Head:
    """One note as engraved: glyphs, ledger lines (x, y, x, y), and the middle of its head."""

    glyphs: tuple[_Glyph, ...]
    ledgers: tuple[tuple[float, float, float], ...]
    middle: float


@dataclass(frozen=True, slots=True)
class _Engraved:
    clef: tuple[_Glyph, ...]
    notes: tuple[_Head, ...]


def _plain(note: Note) -> Note:
    """The note itself; one that is altered by more than a whole tone, for which there is no sign, respelt."""
    if abs(note.alter) <= 2:
        return note
    above = {letter: divmod(note.midi - 12 - SEMITONES[letter], 12) for letter in LETTERS}
    letter = min(LETTERS, key=lambda letter: above[letter][1])
    octave, rest = above[letter]
    return Note(letter, float(rest), int(octave))


def _sign(note: Note, before: Sequence[Note]) -> str:
    """Accidental as the engraver calls it; '' for none."""
    plain = _plain(note)
    if plain.alter:
        return _ACCIDENTALS[plain.alter]
    earlier = [one for one in map(_plain, before) if (one.letter, one.octave) == (plain.letter, plain.octave)]
    return "n" if earlier and earlier[-1].alter else ""


def _ledgers(notes: Sequence[Note], clef: Clef) -> int:
    """Most ledger lines that any of the notes needs."""
    heads = [head_place(note, clef) for note in notes]
    return max((int(max(-head, head - STAFF, 0)) for head in heads), default=0)


@lru_cache(maxsize=512)
def _engraved(notes: tuple[Note, ...], signs: tuple[str, ...], clef: Clef) -> _Engraved:
    """Let the engraver draw, and take its glyphs and ledger lines."""
    written = "".join(
        f'<note pname="{note.letter.lower()}" oct="{note.octave}" dur="1"'
        + (f' accid="{sign}"/>' if sign else "/>")
        for note, sign in zip(notes, signs, strict=True)
    )
    mei = _MEI.format(clef=_MEI_CLEF[clef], notes=written or "<space dur='1'/>")
    with _LOCK:
        toolkit = _toolkit()
        if not toolkit.loadData(mei):
            raise RuntimeError("the engraver refused a note")
        root = ElementTree.fromstring(toolkit.renderToSVG(1))
    outlines = {
        f"#{group.get('id')}": path.get("d")
        for group in root.findall(f"{_SVG}defs/{_SVG}g")
        for path in group.findall(f"{_SVG}path")
    }
    staff = _of_class(root, "staff")[0]
    top = _line(staff.findall(f"{_SVG}path")[0])[1]
    ledgers = [_line(path) for group in _of_class(staff, "ledgerLines") for path in group]
    heads = []
    for note in _of_class(staff, "note"):
        glyphs = _glyphs(note, outlines, top)
        head = _glyphs(_of_class(note, "notehead")[0], outlines, top)[0]
        middle = head.x + _HEAD / 2
        own = tuple(
            (left, (y - top) / _UNIT, right)
            for left, y, right in ((a / _UNIT, y, b / _UNIT) for a, y, b in ledgers)
            if left <= middle <= right
        )
        heads.append(_Head(glyphs, own, middle))
    return _Engraved(_glyphs(_of_class(staff, "clef")[0], outlines, top), tuple(heads))


_HEAD = 405 * 0.72 / _UNIT
"""Width of a whole note's head in the engraver's music font, spaces."""


@cache
def _toolkit() -> Any:
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(
        {
            "xmlIdSeed": 1,
            "breaks": "none",
            "header": "none",
            "footer": "none",
            "scale": 100,
            "adjustPageHeight": False,
            "pageWidth": 2100,
            "pageHeight": 2100,
            "pageMarginTop": 900,
            "pageMarginLeft": 0,
            "pageMarginRight": 0,
            "pageMarginBottom": 0,
        }
    )
    return toolkit


def _of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in root.iter(f"{_SVG}g") if name in (one.get("class") or "").split()]


def _line(path: ElementTree.Element) -> tuple[float, float, float]:
    """Left end, height, right end of a level line."""
    left, y, right, _ = (path.get("d") or "").replace("M", "").replace("L", "").split()
    return float(left), float(y), float(right)


def _glyphs(group: ElementTree.Element, outlines: dict[str, Any], top: float) -> tuple[_Glyph, ...]:
    made = []
    for use in group.iter(f"{_SVG}use"):
        text = (use.get("transform") or "").replace(",", " ").replace("(", " ").replace(")", " ").split()
        x, y, scale = float(text[1]), float(text[2]), float(text[4])
        made.append(_Glyph(outlines[use.get(_LINK) or ""], x / _UNIT, (y - top) / _UNIT, scale / _UNIT))
    return tuple(made)


def _placed(glyph: _Glyph, right: float, down: float) -> str:
    x, y, scale = _number(glyph.x + right), _number(glyph.y + down), f"{glyph.scale:.6f}"
    return f'<path transform="translate({x} {y}) scale({scale} -{scale})" d="{glyph.path}"/>'


def _ledger(line: tuple[float, float, float], right: float, down: float) -> str:
    a, y, b = line
    ends = f"M{_number(a + right)} {_number(y + down)}H{_number(b + right)}"
    return f'<path d="{ends}" fill="none" stroke="#000" stroke-width="{LEDGER}"/>'


def _number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
