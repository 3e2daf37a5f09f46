"""Scales that repeat a pattern within the octave, equal-tempered, so that no note of them is home.

The pattern is written once and repeated: what it sums to divides the octave. Steps: common practice, no
source; the number that O. Messiaen gives a mode, Technique de mon langage musical, 1944, is from memory.
"""

from itertools import accumulate

from scaledesign.api import RegisterScale, Scale, hookimpl

SOURCE = "common practice, no source; equal-tempered"
MESSIAEN = "O. Messiaen, Technique de mon langage musical, 1944 (from memory), mode {}; equal-tempered"


@hookimpl
def register_scales(register: RegisterScale) -> None:
    """Offer them by the size of their pattern."""
    for name, pattern, also, source, words in (
        (
            "whole tone",
            (2,),
            (),
            MESSIAEN.format(1),
            "Six whole steps: floating, for no note of it is home.",
        ),
        (
            "octatonic half-whole",
            (1, 2),
            ("octatonic",),
            MESSIAEN.format(2),
            "Eight notes, half and whole steps by turns: major and minor third side by side.",
        ),
        (
            "octatonic whole-half",
            (2, 1),
            ("diminished",),
            MESSIAEN.format(2) + ", from its second note",
            "Eight notes, whole and half steps by turns: restless and even.",
        ),
        (
            "augmented",
            (3, 1),
            (),
            SOURCE,
            "Six notes, wide and half steps by turns: three major thirds to lean on.",
        ),
        (
            "Messiaen 3",
            (2, 1, 1),
            (),
            MESSIAEN.format(3),
            "Nine notes, the same pattern over each major third: rich, for flutes with many holes.",
        ),
    ):
        steps = pattern * (12 // sum(pattern))
        cents = tuple(100.0 * step for step in accumulate(steps[:-1], initial=0))
        register(Scale(name, cents, source=source, words=words, also=also, kind="even patterns"))
