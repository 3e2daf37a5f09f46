"""A fingering chart in plain text: one line a note, for a message or an arm's length.

Apart from the report because the player gets it: notes and fingers, nothing about acoustics. A fingering
that would not be heard as its note is not promised to anybody.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from math import ceil
from typing import TYPE_CHECKING

from scaledesign.errors import QuantityError
from scaledesign.model.document import Design, Finger, HoleState, Row
from scaledesign.model.pitch import parse_note
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.note_names import OF_TONIC, note_name
from scaledesign.paper.text import GAP, WIDTH, on_one_line

if TYPE_CHECKING:
    from scaledesign.paper.chart.content import ChartTrill

CIRCLES: dict[HoleState, str] = {"X": "●", "O": "○", "H": "◐"}
LETTERS: dict[HoleState, str] = {"X": "X", "O": "o", "H": "/"}
MOVES = ("◎", "*")
"""A hole that moves in a trill, in circles and in letters."""
HEARD = 50.0
"""Cents beyond which a fingering is nearer to another note, and no lip mends it."""
BREATHS = ("blow gently", "blow harder", "blow harder still")
MENDED = 20.0
"""Cents up to which lip and breath mend a note without a thought (common practice, no source)."""
HELP: dict[str, str] = {"↑": "flat: lift it", "↓": "sharp: ease it"}
"""What a player does for a note that is farther off, by its sign."""
PLAIN_HELP: dict[str, str] = {"↑": "^", "↓": "v"}
"""The same signs in ASCII."""
NARROW = 32
"""Characters a line that a telephone shows without breaking it (common practice, no source)."""
NO_NOTES = "There is no note yet that this flute would play as it is written."
USUAL = PaperChoices()
_ASCII = str.maketrans(
    {"♯": "#", "♭": "b", "′": "'", "͵": ",", "\u0307": "'", "\u0308": "''", "\u0323": ",", "\u0324": ",,"}
)


def fingering_chart(
    design: Design,
    cents: Sequence[float] = (),
    *,
    ascii_only: bool = False,
    narrow: bool = False,
    choices: PaperChoices = USUAL,
    trills: Sequence[ChartTrill] = (),
    costs: Sequence[float] = (),
) -> str:
    """Chart of the notes in the file's order, of each note the best fingering first (``best_first``).

    Thumb holes stand first and apart, then the upper and the lower hand, mouth to the left.

    Parameters
    ----------
    design : Design
    cents : (R,) how far each row is off, NaN where it cannot sound; those that miss by more than ``HEARD``
        are left out, and notes that no row is left for are named. Empty: all are kept
    ascii_only : bool
        letters instead of circles, for a terminal or a phone that spoils them
    narrow : bool
        lines of at most ``NARROW`` characters, for a telephone, else of ``WIDTH``
    choices : PaperChoices
        of which names, registers, alternates and trills count
    trills : of the chart, shown where they were chosen
    costs : (R,) cents that each row is worth to a player, as ``best_first`` takes them

    Raises
    ------
    EditError
        when nobody knows the language of the names.
    """
    shown = [trill for trill in trills if choices.trills and (choices.registers or trill.register == 1)]
    return _Text(design, ascii_only, narrow, choices).chart(cents, shown, costs)


def heard_as_its_note(off: float) -> bool:
    """Whether what sounds ``off`` cents beside its note would be heard as it; NaN: it cannot sound."""
    return abs(off) <= HEARD


def breath_words(register: int) -> str:
    """How hard to blow."""
    return BREATHS[min(register, len(BREATHS)) - 1]


def help_sign(off: float) -> str:
    """The key of ``HELP`` for a note that sounds ``off`` cents beside itself; '' where it needs no help."""
    return "" if abs(off) <= MENDED else "↑" if off < 0.0 else "↓"


def best_first(
    rows: Sequence[Row], off: Sequence[float], ways: Iterable[int], costs: Sequence[float]
) -> list[int]:
    """Rows that play one note, the one to learn first.

    In tune comes before all: what lip and breath mend without a thought is alike, beyond it each ten cents
    count. Of those alike the scale's own come first, then what costs a player least, then the lower register.

    Parameters
    ----------
    rows : of the design
    off : (R,) cents beside the note
    ways : indices of those that play the note
    costs : (R,) cents that a row is worth to a player (``workshop.row_cost``); empty: nobody knows
    """

    def worth(i: int) -> tuple[int, bool, float, int, int]:
        beyond = ceil(max(0.0, abs(off[i]) - MENDED) / 10.0)
        return beyond, rows[i].role != "scale", costs[i] if costs else 0.0, rows[i].register, i

    return sorted(ways, key=worth)


def left_out_words(names: Sequence[str], own: Sequence[str] = ()) -> tuple[str, ...]:
    """What a chart does not promise, named, a sentence each.

    Parameters
    ----------
    names : notes that no row plays
    own : notes that another row plays, but the scale's own fingering does not
    """
    said = []
    if names:
        which = "them" if len(names) > 1 else "it"
        said.append(f"Left out, because this flute does not play {which}: {', '.join(names)}.")
    if own:
        *others, last = own
        named = f"{', '.join(others)} and {last}" if others else last
        one = f"the scale's own fingering of {named}: it does not sound as that note on this flute"
        several = f"the scale's own fingerings of {named}: they do not sound as those notes on this flute"
        said.append(f"Left out: {several if others else one}.")
    return tuple(said)


class _Text:
    """One chart in the making."""

    def __init__(self, design: Design, ascii_only: bool, narrow: bool, choices: PaperChoices) -> None:
        self.design, self.choices, self.narrow, self.ascii_only = design, choices, narrow, ascii_only
        self.signs = LETTERS if ascii_only else CIRCLES
        self.width = NARROW if narrow else WIDTH
        self.moves = MOVES[ascii_only]
        self.fingers = [hole.finger for hole in design.holes if hole.finger != "none"]

    def chart(self, cents: Sequence[float], trills: Sequence[ChartTrill], costs: Sequence[float]) -> str:
        rows = self.design.rows
        off = [float(one) for one in cents] or [0.0] * len(rows)
        far = [i for i, one in enumerate(off) if not heard_as_its_note(one)]
        near = [i for i in range(len(rows)) if i not in far]
        shown = list(self._chosen(self._best_first(near, off, costs)))
        lines = self._columns(
            [
                (self._name(rows[i].note), self._fingers(rows[i].holes), self._words(i, shown[:k], off[i]))
                for k, i in enumerate(shown)
            ]
        )
        if trills:
            lines += ["", "Trills", "", *self._columns([self._trill(trill) for trill in trills])]
        if not shown and not trills:
            lines.append(self._filled(NO_NOTES))
        kept = {rows[i].note for i in near}
        lost = dict.fromkeys(self._name(rows[i].note) for i in far if rows[i].note not in kept)
        own = dict.fromkeys(
            self._name(rows[i].note) for i in far if rows[i].note in kept and rows[i].role == "scale"
        )
        for sentence in left_out_words(tuple(lost), tuple(own)):
            lines += ["", self._filled(sentence)]
        helped = {help_sign(off[i]) for i in shown}
        key = self._key([rows[i] for i in shown], trills, [sign for sign in HELP if sign in helped])
        return "\n".join((self._filled(self._head()), key, "", *lines))

    def _best_first(self, near: Sequence[int], off: Sequence[float], costs: Sequence[float]) -> list[int]:
        """Rows in their order, but of those that play one note the best in the place of the first."""
        rows = self.design.rows
        notes: dict[str, list[int]] = {}
        for i in near:
            notes.setdefault(rows[i].note, []).append(i)
        ranked = {note: iter(best_first(rows, off, ways, costs)) for note, ways in notes.items()}
        return [next(ranked[rows[i].note]) for i in near]

    def _chosen(self, near: Sequence[int]) -> Iterator[int]:
        """Overblown notes and other fingerings only where they were chosen."""
        met: set[str] = set()
        for i in near:
            row = self.design.rows[i]
            if row.register > 1 and not self.choices.registers:
                continue
            if row.note in met and not self.choices.alternates:
                continue
            met.add(row.note)
            yield i

    def _head(self) -> str:
        tuning = self.design.tuning
        tonic = tuning.tonic if self.choices.names in OF_TONIC else self._name(tuning.tonic)
        head = f"{on_one_line(self.design.name) or 'Flute'} in {tonic}"
        return f"{head}, {on_one_line(tuning.scale)}" if tuning.scale else head

    def _key(self, shown: Sequence[Row], trills: Sequence[ChartTrill], helped: Sequence[str]) -> str:
        words = [f"{self.signs['X']} closed", f"{self.signs['O']} open"]
        if any("H" in row.holes for row in shown):
            words.append(f"{self.signs['H']} partly open")
        if trills:
            words.append(f"{self.moves} moves")
        if self.narrow:
            most = max([row.register for row in shown] + [trill.register for trill in trills], default=1)
            words += ["+ blow harder", "++ harder still"][: most - 1]
            signs = PLAIN_HELP if self.ascii_only else dict(zip(HELP, HELP, strict=True))
            words += [f"{signs[sign]} {HELP[sign]}" for sign in helped]
        words.append("mouth to the left")
        lines, gap = [words[0]], "  " if self.narrow else "   "
        for word in words[1:]:
            if len(lines[-1] + gap + word) <= self.width:
                lines[-1] += gap + word
            else:
                lines.append(word)
        return "\n".join(lines)

    def _trill(self, trill: ChartTrill) -> tuple[str, str, str]:
        names = "-".join(self._name(note.name) for note in (trill.low, trill.high))
        return names, self._fingers(trill.low_states, trill.moving), self._blow(trill.register)

    def _fingers(self, states: Sequence[HoleState], moving: Sequence[Finger] = ()) -> str:
        """Thumbs, upper hand, lower hand."""
        groups: dict[str, list[str]] = {"T": [], "L": [], "R": []}
        for finger, state in zip(self.fingers, states, strict=True):
            group = "T" if finger.endswith("T") else finger[0]
            groups[group].append(self.moves if finger in moving else self.signs[state])
        within, between = ("", " ") if self.narrow else (" ", "   ")
        return between.join(within.join(group) for group in groups.values() if group)

    def _words(self, i: int, above: Sequence[int], off: float) -> str:
        """How to blow it, and whether it is of the scale; "also" where the note stands above already."""
        rows = self.design.rows
        row, sign = rows[i], help_sign(off)
        words = [self._blow(row.register)]
        if self.narrow and sign:
            words[0] += PLAIN_HELP[sign] if self.ascii_only else sign
        roles = {other.role for other in rows if other.note == row.note}
        if any(rows[other].note == row.note for other in above):
            words.append("also")
        elif "chromatic" in roles and "scale" not in roles:
            words.append("between")
        if not self.narrow and sign:
            words.append(HELP[sign])
        return (" " if self.narrow else ", ").join(filter(None, words))

    def _blow(self, register: int) -> str:
        if self.narrow:
            return "+" * min(register - 1, 2)
        return "" if register == 1 else breath_words(register)

    def _name(self, written: str) -> str:
        """What a note is called; a pitch that is written in another way stands as it is written."""
        names = self.choices.names
        if names == "english":
            return written
        try:
            note = parse_note(written)
        except QuantityError:
            return written
        name = note_name(note, names, parse_note(self.design.tuning.tonic), octave=True)
        return (_plain(name) or written) if self.ascii_only else name

    def _columns(self, rows: Sequence[tuple[str, str, str]]) -> list[str]:
        names = max((_shown(name) for name, _, _ in rows), default=0)
        holes = max((len(fingers) for _, fingers, _ in rows), default=0)
        room = self.width - names - holes - max((len(words) for _, _, words in rows), default=0)
        gap = GAP if room >= 2 * len(GAP) else " "
        return [
            gap.join((name + " " * (names - _shown(name)), fingers.ljust(holes), words)).rstrip()
            for name, fingers, words in rows
        ]

    def _filled(self, text: str) -> str:
        return textwrap.fill(text, self.width, break_on_hyphens=False, break_long_words=self.narrow)


def _plain(name: str) -> str:
    """A name in ASCII, without accents; '' where it has a sign that ASCII has not."""
    bare = unicodedata.normalize("NFD", name).translate(_ASCII)
    bare = "".join(sign for sign in bare if not unicodedata.combining(sign))
    return bare if bare.isascii() else ""


def _shown(name: str) -> int:
    """Characters that a name takes on a line: dots over or under a figure take none."""
    return sum(not unicodedata.combining(sign) for sign in name)
