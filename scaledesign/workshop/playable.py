"""Everything one flute can play: all ways to cover its holes, in each register, found in one batch.

Apart from the rows of a design, which are the few fingerings that somebody wanted: this is what there is to
choose from. Nothing is ranked here.
"""

from __future__ import annotations

from itertools import combinations, product

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design, Finger
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.solver.problem import flutes_of
from scaledesign.solver.resonance import BLOCK, Fingerings, resonances
from scaledesign.values import dataclass

REGISTERS = (1, 2)
"""Registers that are looked for where nobody says otherwise."""
HALF_OPEN = 0.5
"""Open share of a hole that is partly open: what a row has that does not say."""
FREELY = 7
"""Fingered holes up to which any number of them may be partly open at once."""
HALVED = 2
"""Holes that may be partly open at once where there are more: nobody plays three (common practice, no
source)."""
MOST = 10_000
"""Fingerings, times registers, that are worked out at once."""


@dataclass(frozen=True)
class Playable:
    """M fingerings of a flute with H holes, F of them fingered, and what each plays.

    Register by register, and in each the letters in the order of ``product("XOH", ...)`` for one number of
    partly open holes after the other.
    """

    fingers: tuple[Finger, ...]
    """(F,) which finger each letter belongs to."""
    letters: tuple[str, ...]
    """(M,) one letter a fingered hole, mouth to foot: X closed, O open, H partly open; no blanks."""
    share: Floats
    """(H, M) open share of every hole; a hole with no finger is open."""
    register: Indices
    """(M,) counted from 1."""
    frequency: Floats
    """(M,) Hz; NaN where the fingering has no such register."""
    open_share: float
    """What H stands for."""
    remark: str = ""
    """What was left out, as a sentence; '' where everything is here."""

    @property
    def count(self) -> int:
        """M."""
        return len(self.register)

    @property
    def halves(self) -> Indices:
        """(M,) how many holes are partly open."""
        return np.array([letters.count("H") for letters in self.letters], np.intp)

    def fingerings(self, which: Indices) -> Fingerings:
        """Some of them (indices), as the solver takes them."""
        return Fingerings(self.share[:, which], self.register[which])


def playable(
    design: Design,
    *,
    halves: bool = True,
    registers: tuple[int, ...] = REGISTERS,
    open_share: float = HALF_OPEN,
) -> Playable:
    """All fingerings of a design and what they play, as it stands, readings taken in.

    Parameters
    ----------
    design : Design
    halves : whether holes may be partly open
    registers : which to look for, counted from 1
    open_share : share of the area that is open where a hole is partly open

    Raises
    ------
    EditError
        when there are too many holes to try all.
    """
    fingered = design.fingered()
    letters, remark = _letters(len(fingered), len(registers), halves)
    share = np.ones((len(design.holes), len(letters)))
    value = {"X": 0.0, "O": 1.0, "H": open_share}
    for place, hole in enumerate(fingered):
        share[hole] = [value[each[place]] for each in letters]
    share = np.tile(share, len(registers))
    register = np.repeat(np.array(registers, np.intp), len(letters))
    flutes = flutes_of(design)
    parts = [slice(first, first + BLOCK) for first in range(0, len(register), BLOCK)]
    heard = [resonances(flutes, Fingerings(share[:, p], register[p]), missing=True) for p in parts]
    fingers = tuple(design.holes[hole].finger for hole in fingered)
    return Playable(
        fingers,
        letters * len(registers),
        share,
        register,
        np.concatenate([each.frequency[0] for each in heard]),
        open_share,
        remark,
    )


def _letters(count: int, registers: int, halves: bool) -> tuple[tuple[str, ...], str]:
    """Fingerings of ``count`` holes, those with fewer partly open ones first, and what was left out."""
    if 2**count * registers > MOST:
        raise EditError(
            f"{count} holes have {2**count} fingerings, too many to try",
            'write finger = "none" for holes that stay open',
        )
    most = (count if count <= FREELY else HALVED) if halves else 0
    while True:
        letters = tuple(each for halved in range(most + 1) for each in _with_halves(count, halved))
        if len(letters) * registers <= MOST:
            break
        most -= 1
    if not halves or most == count:
        return letters, ""
    limit = {0: "none is", 1: "at most one is"}.get(most, f"at most {most} are")
    return letters, f"Of {count} holes {limit} tried partly open at once."


def _with_halves(count: int, halved: int) -> list[str]:
    found = []
    for places in combinations(range(count), halved):
        for rest in product("XO", repeat=count - halved):
            letters = iter(rest)
            found.append("".join("H" if hole in places else next(letters) for hole in range(count)))
    return sorted(found, key=lambda each: tuple("XOH".index(letter) for letter in each))
