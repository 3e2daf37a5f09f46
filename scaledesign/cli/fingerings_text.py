"""Fingerings that were found, as text to read and as JSON for programs.

Apart from the command, which finds them and may write them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict

from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering, parse_fingering
from scaledesign.model.units import format_cents
from scaledesign.paper.chart_text import CIRCLES, LETTERS
from scaledesign.paper.text import bullets, paragraph, table
from scaledesign.workshop.finder import FAR, Found
from scaledesign.workshop.trills import Trill
from scaledesign.workshop.wanted_notes import WantedNote
from scaledesign.workshop.whole_chart import Chart

PARTS = {
    "oct": (("register",), "overblown"),
    "weak": (("weak",), "not firm, from 12 on it hardly speaks"),
    "half": (("halves",), "holes half covered"),
    "fork": (("forks",), "fingers down below open holes"),
    "way": (("moved",), "fingers that move from and to the notes beside it"),
    "bend": (("breath", "placing"), "it bends with the breath and with careless fingers"),
}
"""Columns of what is counted into a cost besides the cents off: which parts of it, and what they are for."""
WHY = {
    "overblown": (("register",), "it sounds in a higher register"),
    "weak": (("weak",), "it is not firm"),
    "half hole": (("halves",), "a hole is half covered"),
    "fork": (("forks",), "a finger is down below an open hole"),
    "bends": (("breath", "placing"), "breath and careless fingers move it"),
}
"""What is against a fingering, in a word: the part of its cost that weighs most, and what the word means."""
LIGHT = 5.0
"""Cents below which nothing is against a fingering."""
COST = "cost: cents off and, in cents too, what all else is worth to a player"
REACH = 200.0
"""Cents that a hole a little open may change a note by; what is further off lies beyond the flute."""
FEW = 4
"""Fingers of a trill that are named."""
RULES = "What is worth how much is common practice; no source measures it."


class Drawing:
    """Fingerings and pitches of one design, as drawn."""

    def __init__(self, design: Design, ascii_only: bool, parts: bool = False) -> None:
        self.parts = parts
        self.fingers = [hole.finger for hole in design.holes if hole.finger != "none"]
        signs = LETTERS if ascii_only else CIRCLES
        self._signs = str.maketrans({str(letter): sign for letter, sign in signs.items()})
        self._key = f"{signs['X']} closed   {signs['O']} open"
        self._half = f"   {signs['H']} partly open"

    def fingering(self, letters: str) -> str:
        """Signs, mouth to the left, with a blank where one hand ends."""
        return format_fingering(parse_fingering(letters), self.fingers).translate(self._signs)

    def notes(self, notes: Iterable[tuple[WantedNote, Sequence[Found]]]) -> str:
        """One line a fingering, note by note, with what is against it; '' where there is none.

        With ``parts`` all that its cost is made of, instead of the one word.
        """
        last = tuple(PARTS) if self.parts else ("",)
        header = ("note", "fingering", "reg", "off", "cost", *last)
        lines = [
            (note.name if place == 0 else "", *self._line(found))
            for note, some in notes
            for place, found in enumerate(some)
        ]
        if not lines:
            return ""
        drawn = table(header, lines, "llrrr" + ("r" * len(PARTS) if self.parts else "l"))
        shown = drawn.splitlines()[0].split() if self.parts else {line[-1] for line in lines}
        names = PARTS if self.parts else WHY
        made = "; ".join(f"{name}: {words}" for name, (_, words) in names.items() if name in shown)
        said = [f"off: cents from the note. {COST}."]
        if made and not self.parts:
            said.append(f"A word at the end: what weighs most, from {LIGHT:.0f} cents on.")
        said += [f"{made}."] if made else []
        said += [] if self.parts else ["--parts shows all that is counted."]
        return self._explained(drawn, " ".join(said))

    def chart(self, notes: Sequence[WantedNote], chart: Chart) -> str:
        """The lines of a chart and what its ways come to."""
        found = [(note, (one,) if one else ()) for note, one in zip(notes, chart.notes, strict=True)]
        drawn = self.notes(found)
        if not drawn:
            return ""
        said = f"From first to last {chart.moved} fingers move."
        if self.parts:
            saved = chart.separate - chart.total
            than = f", {saved:.0f} less than with each note's best by itself" if saved >= 0.5 else ""
            said += f" The chart costs {chart.total:.0f} cents{than}."
        return f"{drawn}\n\n{paragraph(said)}"

    def trills(self, found: Iterable[tuple[tuple[WantedNote, WantedNote], Sequence[Trill]]]) -> str:
        """One line a trill: both fingerings, their cents, the fingers that move; '' where there is none."""
        lines = [
            (
                f"{low.name} {high.name}" if place == 0 else "",
                *self._half_of(trill.low),
                *self._half_of(trill.high),
                " ".join(trill.fingers) if len(trill.fingers) <= FEW else f"{len(trill.fingers)} fingers",
                f"{trill.total:.0f}",
            )
            for (low, high), some in found
            for place, trill in enumerate(some)
        ]
        if not lines:
            return ""
        header = ("trill", "fingering", "reg", "off", "and", "reg", "off", "moves", "cost")
        return self._explained(
            table(header, lines, "llrrlrrlr"), f"off: cents from the note. {COST}, both notes and the way."
        )

    def missed(self, notes: Sequence[tuple[WantedNote, Found | None]], halves: bool) -> str:
        """Notes that no fingering plays, what comes nearest, and what may help."""
        said = []
        for note, found in notes:
            near = ""
            if found:
                way = "sharp" if found.cents > 0 else "flat"
                again = f" in register {found.register}" if found.register > 1 else ""
                shown = self.fingering(found.letters)
                near = f"; {shown}{again} comes nearest, {abs(found.cents):.0f} cents {way}"
            said.append(f"{note.name}: no fingering within {FAR:.0f} cents{near}.")
        if halves and any(found and abs(found.cents) <= REACH for _, found in notes):
            said.append("Half a hole may be too much: try --open-share 0.1.")
        return bullets(said)

    def _line(self, found: Found) -> tuple[str, ...]:
        fingering, blow, off = self._half_of(found)
        last = (_whole(_part(found, parts)) for parts, _ in PARTS.values()) if self.parts else (_why(found),)
        return (fingering, blow, off, f"{found.total:.0f}", *last)

    def _half_of(self, found: Found) -> tuple[str, str, str]:
        register = "" if found.register == 1 else str(found.register)
        return self.fingering(found.letters), register, format_cents(found.cents)

    def _explained(self, drawn: str, legend: str) -> str:
        key = self._key + (self._half if self._half.strip()[0] in drawn else "")
        return f"{key}   mouth to the left\n\n{drawn}\n\n{paragraph(f'{legend} {RULES}')}"


def object_of(found: Found, fingers: Sequence[str]) -> dict[str, object]:
    """One fingering with every figure behind its place."""
    return {
        "fingering": format_fingering(parse_fingering(found.letters), fingers),
        "register": found.register,
        "frequency_hz": found.frequency,
        "cents": found.cents,
        "cost_cents": found.total,
        "costs_cents": asdict(found.cost),
        "partly_open": found.halves,
        "down_below_open": found.crossed,
        "lifted_above_down": found.lifted,
        "fingers_moved": found.moved,
        "depth_db": found.depth,
        "harder_cents": found.harder,
        "slip_cents": found.slip,
        "verdict": found.speech,
    }


def trill_object(trill: Trill, fingers: Sequence[str]) -> dict[str, object]:
    """Both fingerings of a trill, and the fingers that move."""
    return {
        "low": object_of(trill.low, fingers),
        "high": object_of(trill.high, fingers),
        "fingers": list(trill.fingers),
        "way_cents": trill.way,
        "cost_cents": trill.total,
    }


def _whole(cents: float) -> str:
    """Whole cents; nothing for less than half a one."""
    return f"{cents:.0f}" if cents >= 0.5 else ""


def _part(found: Found, parts: Sequence[str]) -> float:
    """Cents of some parts of a cost together."""
    return float(sum(getattr(found.cost, part) for part in parts))


def _why(found: Found) -> str:
    """What weighs most against a fingering, in a word; '' where nothing much does."""
    cents, word = max((_part(found, parts), word) for word, (parts, _) in WHY.items())
    return word if cents >= LIGHT else ""
