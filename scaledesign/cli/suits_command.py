"""suits: which scales a flute can play as it stands: the best few, all of them, or one scale note by note.

The more is asked for by name, the more is said of it. Apart from the reckoning (``workshop/suits.py``).
"""

from __future__ import annotations

import argparse
import shlex
from bisect import bisect
from collections.abc import Sequence

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import read_design
from scaledesign.errors import EditError, ScaledesignError
from scaledesign.extend.registry import catalogue
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering, parse_fingering
from scaledesign.model.pitch import (
    OCTAVE,
    cents_between,
    format_reading,
    nearest_note,
    note_frequency,
    parse_note,
)
from scaledesign.model.scale import Tuned
from scaledesign.model.spelling import names_like
from scaledesign.model.units import format_cents, format_number
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import paragraph, table
from scaledesign.workshop.suits import CARE, CLEAN, TONICS, VERDICTS, Suits, suits

FEW = 12
"""Scales that are shown where none is named, unless all are asked for."""
MANY = 24
"""Notes beyond which a scale that cannot be played is told by its worst ones."""
ALSO = 5
"""Other tonics that are named beside one of these."""
SLIP = 0.01
"""Cents that a note may lie beside its degree by rounding."""
NAME = 26
"""Letters of a scale's name in a table."""


def show(args: argparse.Namespace) -> int:
    """Print which scales on which tonics suit the flute."""
    design = read_design(args)
    if not CLEAN <= args.within <= OCTAVE:
        raise EditError(f"--within {args.within:g} says little", f"give {CLEAN:g} to {OCTAVE:g} cents")
    offers = catalogue()
    scales = tuple(dict.fromkeys(offers.scale(name) for name in args.scale)) or offers.scales()
    tonics = tuple(dict.fromkeys(args.tonic)) or TONICS
    found = suits(design, scales, tonics, within=args.within, halves=not args.no_halves)
    pairs = found.ranked()
    if args.json:
        print_json(_object(design, found, pairs))
        return OK
    own, more, halved = "", "", bool((found.halves > 0).any())
    if len(pairs) == 1:
        shown, text = "notes", _notes(design, found, *pairs[0], every=args.all)
    elif args.scale or (args.tonic and args.all):
        shown, text = "ranking", _ranking(found, pairs)
    elif args.all:
        shown, text = "overview", _overview(found)
    else:
        shown, best = "best", _best(found, pairs)
        text, left = _few(found, best[:FEW], not args.tonic), best[FEW:]
        halved = any(found.halves[pair] for pair in best[:FEW])
        more = _more(found, left, _again(args))
        own = "" if args.tonic else _own(design, found, not args.no_halves)
    print(
        blocks(
            title(design),
            "\n".join(filter(None, (paragraph(own), paragraph(_answer(found, pairs))))),
            text,
            paragraph(more),
            paragraph(_legend(found, shown, halved)),
            paragraph(found.playable.remark),
        )
    )
    return OK


def _own(design: Design, found: Suits, halves: bool) -> str:
    """How the scale that the flute is made for fares, in a sentence; '' where it begins on no note of it."""
    try:
        scale = catalogue().scale_of(design.tuning)
        tonic = (design.tuning.tonic,)
        only = suits(design, (scale,), tonic, within=found.within, halves=halves, found=found.playable)
    except ScaledesignError:
        return ""
    return f"Its own {scale.name} on {design.tuning.tonic} {_verdict(only, (0, 0))}."


def _answer(found: Suits, pairs: Sequence[tuple[int, int]]) -> str:
    """The best of them in one sentence, or what is wrong with the only one."""
    first = found.suit(*pairs[0])
    if len(pairs) == 1:
        return f"{first.scale} on {first.tonic} {_verdict(found, pairs[0])}."
    total = int((found.verdict < 2).sum())
    if not total:
        return (
            f"None of {_counted(found)} is in tune within {found.within:g} cents. Nearest: {first.scale} on "
            f"{first.tonic}; it {_verdict(found, pairs[0])}."
        )
    plain = int(((found.verdict < 2) & (found.halves == 0)).sum())
    counted = f"{total} of {_counted(found)} can be played"
    if plain < total:
        counted += f", {plain or 'none'} of them with no hole partly open"
    return f"{counted}."


def _counted(found: Suits) -> str:
    scales, tonics = len(found.scales), len(found.tonics)
    if scales == 1 or tonics == 1:
        return f"{scales * tonics}"
    return f"{scales * tonics} ({scales} scales on {tonics} tonics)"


def _verdict(found: Suits, pair: tuple[int, int]) -> str:
    """A verdict with what it rests on."""
    suit = found.suit(*pair)
    note = _note(found, pair, suit.worst_at)
    off = f"{note} is {abs(suit.worst):.0f} cents {'sharp' if suit.worst > 0 else 'flat'}"
    if suit.doubled:
        which = "one of its notes" if suit.doubled == 1 else f"{suit.doubled} of its notes"
        return f"cannot be played: {which} would share the fingering of the one below"
    if suit.verdict == VERDICTS[-1]:
        return f"cannot be played in tune: {off}"
    need = "needs" if suit.halves == 1 else "need"
    halves = f"; {suit.halves} of {suit.notes} notes {need} a hole partly open" if suit.halves else ""
    how = "is clean" if suit.verdict == VERDICTS[0] else "can be played with care"
    if abs(suit.worst) < 0.5:
        return f"{how}: no note is a cent off{halves}"
    return f"{how}: at worst {off}{halves}"


def _best(found: Suits, pairs: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Each scale once, on the tonic that suits it best; without those that cannot be played, if any can."""
    first: dict[int, tuple[int, int]] = {}
    for pair in pairs:
        first.setdefault(pair[0], pair)
    return [pair for pair in first.values() if found.verdict[pair] < 2] or list(first.values())


def _few(found: Suits, pairs: Sequence[tuple[int, int]], tonics: bool) -> str:
    """The best scales, and on which other ``tonics`` they need no hole partly open."""
    rows = []
    for pair in pairs:
        suit = found.suit(*pair)
        others = [
            note.name.rstrip("0123456789")
            for place, note in enumerate(found.tonics)
            if place != pair[1] and found.verdict[pair[0], place] < 2 and not found.halves[pair[0], place]
        ]
        more = f" and {len(others) - ALSO} more" if len(others) > ALSO else ""
        rows.append(
            (
                _short_name(suit.scale),
                suit.tonic,
                suit.verdict,
                format_cents(suit.worst),
                str(suit.halves or ""),
                _range(found, pair) if suit.suits else "",
                " ".join(others[:ALSO]) + more if tonics else "",
            )
        )
    return table(("scale", "on", "", "worst", "half", "range", "also on"), rows, "lllrrll")


def _again(args: argparse.Namespace) -> str:
    """The words that ask the same once more."""
    words = ["--example", args.example] if args.example else [args.file]
    words += (word for note in args.tonic for word in ("--tonic", note))
    if args.within != CARE:
        words += ["--within", f"{args.within:g}"]
    return shlex.join([*words, *(["--no-halves"] if args.no_halves else [])])


def _more(found: Suits, left: Sequence[tuple[int, int]], which: str) -> str:
    """How many scales are not shown, and how to see them."""
    if not left:
        return ""
    said = f"scaledesign suits {which} --all"
    if not (found.verdict < 2).any():
        return f"{said} shows the others."
    plain = sum(not found.halves[pair] for pair in left)
    halves = f", {plain or 'none'} of them with no hole partly open" if plain < len(left) else ""
    scales = "scale" if len(left) == 1 else "scales"
    return f"{len(left)} more {scales} can be played{halves}: {said}"


def _overview(found: Suits) -> str:
    """Scales by tonics, one sign each: those that suit best come first, those that never do are named."""
    verdict, halved = found.verdict, found.halves > 0
    order: list[int] = []
    for scale, _ in found.ranked():
        if scale not in order:
            order.append(scale)
    rows = []
    for scale in order:
        if (verdict[scale] < 2).any():
            signs = (
                "." if verdict[scale, t] == 2 else "H" if halved[scale, t] else "+~"[int(verdict[scale, t])]
                for t in range(len(found.tonics))
            )
            rows.append((_short_name(found.scales[scale].name), *signs))
    never = [found.scales[scale].name for scale in order if not (verdict[scale] < 2).any()]
    header = ("", *(note.name for note in found.tonics))
    shown = table(header, rows, "l" + "l" * len(found.tonics)) if rows else ""
    return blocks(shown, paragraph(f"On no tonic: {', '.join(never)}.") if never else "")


def _ranking(found: Suits, pairs: Sequence[tuple[int, int]]) -> str:
    rows = []
    for pair in pairs:
        suit = found.suit(*pair)
        rows.append(
            (
                _short_name(suit.scale),
                suit.tonic,
                suit.verdict,
                format_cents(suit.worst),
                _note(found, pair, suit.worst_at),
                f"{suit.rms:.0f}",
                str(suit.halves or ""),
                str(suit.doubled or ""),
                _range(found, pair) if suit.suits else "",
            )
        )
    return table(("scale", "on", "", "worst", "at", "all", "half", "same", "range"), rows, "lllrlrrrl")


def _notes(design: Design, found: Suits, scale: int, tonic: int, every: bool) -> str:
    """Note by note; of many that cannot be played the worst of an octave, unless ``every`` is wanted."""
    fingers = [hole.finger for hole in design.holes if hole.finger != "none"]
    notes = found.notes(scale, tonic)
    few = not every and len(notes) > MANY and not found.suit(scale, tonic).suits
    if few:
        off = sorted((abs(each.cents) for each in notes if each.judged), reverse=True)
        least = max(off[:FEW][-1], min(found.within, off[0]))
        notes = tuple(each for each in notes if each.judged and abs(each.cents) >= least)
    written = [_note(found, (scale, tonic), each.wanted) for each in notes]
    names = names_like([parse_note(name) for name in written])
    rows = [
        (
            "" if each.judged else "beyond",
            name,
            format_fingering(parse_fingering(each.letters), fingers),
            str(each.register) if each.register > 1 else "",
            format_reading(each.wanted, found.reference, names),
            format_reading(each.frequency, found.reference, names),
            format_cents(each.cents),
            "" if abs(each.cents) <= CLEAN else "sharp" if each.cents > 0 else "flat",
        )
        for each, name in zip(notes, written, strict=True)
    ]
    header = ("", "note", "fingering", "reg", "want", "plays", "off", "")
    drawn = table(header, rows, "lllrrrrl")
    return blocks(drawn, "These are its worst notes; --all shows every one.") if few else drawn


def _legend(found: Suits, shown: str, halved: bool) -> str:
    """What the signs and columns of what is ``shown`` mean; ``halved``: holes partly open are among it."""
    rule = (
        f"Clean is within {CLEAN:g} cents on every note of an octave up from the tonic, with care within "
        f"{found.within:g}."
    )
    share = format_number(round(100 * found.playable.open_share))
    halves = (
        f"A hole partly open has {share}% of its area open, or what a row of yours says; a player finds such "
        "a note by ear."
    )
    if shown == "overview":
        told = f"+: clean. ~: with care. H: with a hole partly open on some note. .: not. {rule}"
    elif shown == "best":
        told = (
            f"worst: cents off. {rule} range: how far it goes on in tune beyond that octave. also on: other "
            "tonics, with no hole partly open."
        )
    elif shown == "ranking":
        told = (
            f"worst, all: cents off, of the worst note and of all together. {rule} half: notes that need a "
            "hole partly open. same: notes with no fingering but that of the note below. range: how far it "
            "goes on in tune beyond that octave."
        )
    else:
        told = (
            f"{rule} beyond: notes below and above that octave. Each has a fingering of your own rows where "
            "that is clean, else the easiest clean one, else the nearest, of all that speak at all; "
            "scaledesign registers says how freely."
        )
    if shown == "best" and halved:
        told += " half: notes that need a hole partly open."
    return f"{told} {halves}" if halved else told


def _short_name(name: str) -> str:
    return name if len(name) <= NAME else name[: NAME - 1] + "…"


def _range(found: Suits, pair: tuple[int, int]) -> str:
    suit = found.suit(*pair)
    return f"{_note(found, pair, suit.low)}-{_note(found, pair, suit.high)}"


def _note(found: Suits, pair: tuple[int, int], hertz: float) -> str:
    """What a note of a scale is called on its tonic; the nearest where it has too many to be written."""
    scale, tonic = found.scales[pair[0]], found.tonics[pair[1]]
    if not scale.places:
        return nearest_note(hertz, found.reference, names_like([tonic]))[0].name
    above = cents_between(note_frequency(tonic, found.reference), hertz) + SLIP
    period = int(above // scale.period)
    degree = bisect(scale.cents, above - period * scale.period) - 1
    place = scale.place_of(period * len(scale.cents) + degree)
    return Tuned(scale, tonic, found.reference).written(place).name


def _object(design: Design, found: Suits, pairs: Sequence[tuple[int, int]]) -> dict[str, object]:
    every = []
    for pair in pairs:
        suit = found.suit(*pair)
        one: dict[str, object] = {
            "scale": suit.scale,
            "tonic": suit.tonic,
            "verdict": suit.verdict,
            "worst_cents": suit.worst,
            "worst_hz": suit.worst_at,
            "rms_cents": suit.rms,
            "notes": suit.notes,
            "partly_open_notes": suit.halves,
            "same_fingering_notes": suit.doubled,
            "low_hz": suit.low,
            "high_hz": suit.high,
        }
        if len(pairs) <= len(TONICS):
            one["fingerings"] = [
                {
                    "target_hz": each.wanted,
                    "fingering": format_fingering(parse_fingering(each.letters)),
                    "register": each.register,
                    "frequency_hz": each.frequency,
                    "cents": each.cents,
                    "judged": each.judged,
                }
                for each in found.notes(*pair)
            ]
        every.append(one)
    return {
        "name": design.name,
        "clean_cents": CLEAN,
        "within_cents": found.within,
        "open_share": found.playable.open_share,
        "remark": found.playable.remark,
        "suits": every,
    }
