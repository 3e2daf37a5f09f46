"""Which scales the flute plays as it stands, as a list to search, and one of them taken as its tuning.

Apart from the reckoning (``workshop/suits.py``). A scale is taken in one of two ways: with the fingerings
that play it now, so that the holes hardly move, or by rewriting the rows there are, degree by degree.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scaledesign.model.document import Design, Role, Row
from scaledesign.model.edits import Become, Edit, Retune
from scaledesign.model.fingering import parse_fingering
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Scale, Tuned
from scaledesign.model.spelling import names_like
from scaledesign.model.system import WEIGHTS
from scaledesign.values import dataclass
from scaledesign.view.columns import Sheet
from scaledesign.view.found_lines import drawn, off_span
from scaledesign.view.hearing import steps
from scaledesign.view.lines import Line, Span, Tone, wrapped
from scaledesign.view.listing import Entry, Listing, Tune
from scaledesign.view.scale_degrees import note_text, spelled
from scaledesign.workshop import ask
from scaledesign.workshop.finder import FAR
from scaledesign.workshop.playable import Playable
from scaledesign.workshop.suits import CARE, CLEAN, VERDICTS, Suit, Suits, Taken, suits

BELOW = 7
"""Lines beneath the list: two blocks of notes and a sentence."""
NAME = 23
"""Letters of a scale's name."""
HELP = (
    (
        f"Judged are the notes of one octave up from the tonic: clean is within {CLEAN:.0f} cents on "
        f"every one, with care within {CARE:.0f} (common practice, no source). worst, at: the note "
        "furthest off. all: cents off, all of them together. half: notes that need a hole half "
        "covered. in tune: how far the scale goes on beyond that octave."
    ),
    (
        "Beneath stands how each note is fingered: by your own row where that is clean, else by what is "
        "easiest and clean, else by the nearest there is."
    ),
    "Type parts of a name, a tonic or a verdict, in any order: dorian clean, or d5.",
)
TONES: dict[str, Tone] = {"clean": "true", "with care": "plain", "not": "faint"}


@dataclass(frozen=True)
class Tunable:
    """One scale on one tonic, and the fingerings that play it."""

    scale: Scale
    tonic: str
    taken: tuple[Taken, ...]
    shares: tuple[float, ...]
    """Open share of what is partly open, a note."""


def scales(sheet: Sheet, found: Playable) -> Listing:
    """Every scale on every tonic, what suits best first.

    Raises
    ------
    EditError
        when nothing speaks.
    """
    ranked = suits(sheet.design, ask.offers().scales(), found=found)
    pairs = ranked.ranked()
    every = [ranked.suit(*pair) for pair in pairs]
    clean, care = (sum(suit.verdict == verdict for suit in every) for verdict in VERDICTS[:2])
    said = (
        f"Of {len(every)} scales and tonics {clean} are clean (within {CLEAN:.0f} cents), {care} can be "
        f"played with care (within {CARE:.0f})."
    )
    head = (Span(f"{'scale'.ljust(NAME)} on   {''.ljust(9)}  worst  at    all half  in tune", "label"),)
    entries = tuple(_entry(sheet, ranked, pair, suit) for pair, suit in zip(pairs, every, strict=True))
    return Listing("scales", said, head, entries, BELOW, help=HELP, searched=True)


def _entry(sheet: Sheet, ranked: Suits, pair: tuple[int, int], suit: Suit) -> Entry:
    name = suit.scale if len(suit.scale) <= NAME else f"{suit.scale[: NAME - 1]}{sheet.signs.ellipsis}"

    scale = ranked.scales[pair[0]]
    tuned = Tuned(scale, parse_note(suit.tonic), ranked.reference)

    def note(hertz: float) -> str:
        return spelled(tuned, hertz, names_like([tuned.tonic]))

    tone = TONES[suit.verdict]
    line: Line = (
        Span(name.ljust(NAME + 1), "faint" if tone == "faint" else "strong"),
        Span(suit.tonic.ljust(5), "faint" if tone == "faint" else "plain"),
        Span(suit.verdict.ljust(9), tone),
        off_span(sheet, suit.worst, 7),
        Span(f" {note(suit.worst_at).ljust(4)}{suit.rms:>5.0f}", "faint"),
        Span(f"{suit.halves or '':>5}  ", "plain"),
        Span(f"{note(suit.low)} to {note(suit.high)}" if suit.suits else "", "faint"),
    )
    notes = ranked.notes(*pair)
    judged = [each for each in notes if each.judged]
    return Entry(
        line,
        _about(sheet, suit, tuple(judged), note),
        Tunable(scale, suit.tonic, notes, tuple(_share(ranked, sheet, each) for each in notes)),
        f"{suit.scale} {suit.tonic} {suit.verdict}",
        Tune(steps([each.frequency for each in judged]), f"{suit.scale} on {suit.tonic}, as it will play."),
    )


def _share(ranked: Suits, sheet: Sheet, taken: Taken) -> float:
    halved = [
        hole for hole, letter in zip(sheet.design.fingered(), taken.letters, strict=True) if letter == "H"
    ]
    return float(ranked.playable.share[halved[0], taken.column]) if halved else ranked.playable.open_share


def _about(
    sheet: Sheet, suit: Suit, notes: tuple[Taken, ...], name: Callable[[float], str]
) -> Callable[[int, int], tuple[Line, ...]]:
    """The notes of the octave side by side: name, fingering, cents off; as many as there is room for."""

    def lines(width: int, height: int) -> tuple[Line, ...]:
        cell = max(8, len(drawn(sheet, notes[0].letters)) + 2)
        across = max(1, width // cell)
        out: list[Line] = []
        for first in range(0, len(notes), across):
            some = notes[first : first + across]
            off = [off_span(sheet, each.cents, 0) for each in some]
            out += [
                tuple(Span(_named(each, name).ljust(cell), "label") for each in some),
                tuple(Span(drawn(sheet, each.letters).ljust(cell)) for each in some),
                tuple(Span(span.text.ljust(cell), span.tone) for span in off),
            ]
        said = _said(suit, notes)
        if len(out) > height - 1:
            out = out[: (height - 1) // 3 * 3]
            said = f"The first {len(out) // 3 * across} of {len(notes)} notes. {said}"
        return (*out, *wrapped(said, width)[:1])

    return lines


def _named(taken: Taken, name: Callable[[float], str]) -> str:
    """A note by its name, with the register it is overblown into."""
    return f"{name(taken.wanted)} ({taken.register})" if taken.register > 1 else name(taken.wanted)


def _said(suit: Suit, notes: tuple[Taken, ...]) -> str:
    """What the figures do not say."""
    said = []
    if suit.doubled:
        said.append(f"{suit.doubled} of its notes would share the fingering of the one below.")
    if suit.halves:
        said.append(f"{suit.halves} of {suit.notes} notes with a hole half covered.")
    if any(each.register > 1 for each in notes):
        said.append("(2): overblown.")
    return " ".join(said)


# Taken


def as_rows(design: Design, chosen: Tunable) -> Edit:
    """The scale as the design's tuning, with a row for each fingering that plays it now."""
    tuning = replace(design.tuning, scale=chosen.scale.name, tonic=chosen.tonic, degrees=())
    tuned = Tuned(chosen.scale, parse_note(chosen.tonic), design.tuning.reference)
    rows: list[Row] = []
    for each, share in zip(chosen.taken, chosen.shares, strict=True):
        same = any("".join(row.holes) == each.letters and row.register == each.register for row in rows)
        if same or abs(each.cents) > FAR:
            continue
        role: Role = "scale" if each.judged and each.register == 1 else "alternate"
        rows.append(
            Row(
                note=note_text(tuned, each.wanted),
                holes=parse_fingering(each.letters),
                register=each.register,
                weight=WEIGHTS[role],
                role=role,
                open_share=share,
            )
        )
    if rows and all(row.role != "scale" for row in rows):
        rows = [replace(row, role="scale", weight=WEIGHTS["scale"]) for row in rows]
    return Become(
        f"play {chosen.tonic} {chosen.scale.name}", replace(design, tuning=tuning, rows=tuple(rows))
    )


def retuned(design: Design, chosen: Tunable) -> Edit:
    """The scale as the design's tuning, the rows there are rewritten degree by degree.

    Raises
    ------
    UnknownNameError
        when nobody offers the scale it has now.
    """
    tuning = replace(design.tuning, scale=chosen.scale.name, tonic=chosen.tonic, degrees=())
    return Retune(tuning, ask.scale_of(design), chosen.scale)
