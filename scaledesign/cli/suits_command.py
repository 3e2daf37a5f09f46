"""suits: which scales a flute can play as it stands: an overview, a ranking, or one scale note by note.

The more is asked for by name, the more is said of it. Apart from the reckoning (``workshop/suits.py``).
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import read_design
from scaledesign.errors import EditError
from scaledesign.extend.registry import catalogue
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering, parse_fingering
from scaledesign.model.pitch import OCTAVE, format_reading, nearest_note
from scaledesign.model.units import format_cents, format_number
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import paragraph, table
from scaledesign.workshop.suits import CLEAN, TONICS, VERDICTS, Suit, Suits, suits

BEST = 5
"""How many are named above the overview."""
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
    one = len(pairs) == 1
    some = bool(args.scale or args.tonic)
    print(
        blocks(
            title(design),
            paragraph(_answer(found, pairs)),
            _notes(design, found, *pairs[0]) if one else _ranking(found, pairs) if some else _overview(found),
            paragraph(_legend(found, "notes" if one else "ranking" if some else "overview")),
            paragraph(found.playable.remark),
        )
    )
    return OK


def _answer(found: Suits, pairs: Sequence[tuple[int, int]]) -> str:
    """The best of them in one sentence, or what is wrong with the only one."""
    first = found.suit(*pairs[0])
    if len(pairs) == 1:
        return f"{first.scale} on {first.tonic}: {_verdict(found, first)}."
    good = [found.suit(*pair) for pair in pairs[:BEST]]
    good = [suit for suit in good if suit.suits]
    total = int((found.verdict < 2).sum())
    if not good:
        return (
            f"None of {_counted(found)} is in tune within {found.within:g} cents. Nearest: {first.scale} on "
            f"{first.tonic}: {_verdict(found, first)}."
        )
    named = "; ".join(f"{suit.scale} on {suit.tonic} ({_short(suit)})" for suit in good)
    plain = int(((found.verdict < 2) & (found.halves == 0)).sum())
    counted = f"{total} of {_counted(found)} can be played"
    if plain < total:
        counted += f", {plain or 'none'} of them with no hole partly open"
    return f"{counted}. Best: {named}."


def _counted(found: Suits) -> str:
    scales, tonics = len(found.scales), len(found.tonics)
    if scales == 1 or tonics == 1:
        return f"{scales * tonics}"
    return f"{scales * tonics} ({scales} scales on {tonics} tonics)"


def _short(suit: Suit) -> str:
    halved = f", {suit.halves} with a hole partly open" if suit.halves else ""
    return f"{suit.verdict}, {abs(suit.worst):.0f} cents{halved}"


def _verdict(found: Suits, suit: Suit) -> str:
    """A verdict with what it rests on."""
    note = _note(found, suit.worst_at)
    off = f"{note} is {abs(suit.worst):.0f} cents {'sharp' if suit.worst > 0 else 'flat'}"
    if suit.doubled:
        return f"not: {suit.doubled} of its notes would share the fingering of the one below"
    if suit.verdict == VERDICTS[-1]:
        return f"not: {off}"
    need = "needs" if suit.halves == 1 else "need"
    halves = f"; {suit.halves} of {suit.notes} notes {need} a hole partly open" if suit.halves else ""
    return f"{suit.verdict}: at worst {off}{halves}"


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
                _note(found, suit.worst_at),
                f"{suit.rms:.0f}",
                str(suit.halves or ""),
                str(suit.doubled or ""),
                f"{_note(found, suit.low)}-{_note(found, suit.high)}" if suit.suits else "",
            )
        )
    return table(("scale", "on", "", "worst", "at", "rms", "half", "same", "range"), rows, "lllrlrrrl")


def _notes(design: Design, found: Suits, scale: int, tonic: int) -> str:
    fingers = [hole.finger for hole in design.holes if hole.finger != "none"]
    rows = [
        (
            "" if each.judged else "beyond",
            _note(found, each.wanted),
            format_fingering(parse_fingering(each.letters), fingers),
            str(each.register) if each.register > 1 else "",
            format_reading(each.wanted, found.reference),
            format_reading(each.frequency, found.reference),
            format_cents(each.cents),
            "" if abs(each.cents) <= CLEAN else "sharp" if each.cents > 0 else "flat",
        )
        for each in found.notes(scale, tonic)
    ]
    header = ("", "note", "fingering", "reg", "want", "plays", "off", "")
    return table(header, rows, "lllrrrrl")


def _legend(found: Suits, shown: str) -> str:
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
    elif shown == "ranking":
        told = (
            f"worst, rms: cents off. {rule} half: notes that need a hole partly open. same: notes with no "
            "fingering but that of the note below. range: how far it goes on in tune beyond that octave."
        )
    else:
        told = (
            f"{rule} beyond: notes below and above that octave. Each has the nearest fingering whose "
            "resonance is deep enough to speak at all; scaledesign registers says how freely."
        )
    return f"{told} {halves}" if (found.halves > 0).any() else told


def _short_name(name: str) -> str:
    return name if len(name) <= NAME else name[: NAME - 1] + "…"


def _note(found: Suits, hertz: float) -> str:
    return nearest_note(hertz, found.reference)[0].name


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
