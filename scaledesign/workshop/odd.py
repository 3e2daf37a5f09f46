"""Readings that the others contradict, and a fit that strains what was measured: found, and said in words.

Apart from the fit, which takes every reading as it is: nothing is muted, the maker decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from scaledesign.model.saying import begun
from scaledesign.physics.arrays import Floats, Mask
from scaledesign.solver.belief import Fit

AGREED = 2
"""So many readings must agree for those that they contradict to be left out."""
MISREAD = 20.0
"""Cents from what the others say beyond which a reading is taken for misread: more than a player's ten and
the model's own doubts together (proposed here, no source)."""
ODD = 3.0
"""Standard deviations between a reading and what all others say beyond which it is called odd."""
FAR = 2.0
"""Standard deviations from what was measured or estimated beyond which what was learnt is worth a word."""
LEARNT: tuple[Literal["added_length", "drift", "bore", "wall", "warmth"], ...] = (
    "added_length", "drift", "bore", "wall", "warmth",
)  # fmt: skip
"""What the numbers of a state are, as ``solver.problem.Before`` has them."""


def odd_readings(found: Fit, witnesses: Sequence[object]) -> tuple[int, ...]:
    """Readings (0-based) that the others contradict, the worst one first; both where there are but two.

    The worst is left out, then the worst of the rest: one false reading must not make true ones look odd.
    Where that leaves out readings of several kinds, and leaving out one kind alone would do, that kind is
    odd: what is wrong with a hole or with a length is wrong each time it is blown.

    Parameters
    ----------
    found : Fit
    witnesses : for each reading what it is a witness of: the same for readings of one hole, or one length
    """
    odd = _contradicted(found, ())
    kinds = {witnesses[i] for i in odd}
    for kind in dict.fromkeys(witnesses):
        every = [i for i, each in enumerate(witnesses) if each == kind]
        if len(kinds) < 2 or len(every) < 2 or len(witnesses) - len(every) < AGREED:
            continue
        other = _contradicted(found, every)
        if len({witnesses[i] for i in other}) < len(kinds):
            odd, kinds = other, {witnesses[i] for i in other}
    return odd


def _contradicted(found: Fit, without: Sequence[int]) -> tuple[int, ...]:
    """Odd readings once those of ``without`` are left out, and they too."""
    left = np.arange(found.off.shape[1])
    precision, odd = found.lesson.precision[0], list[int]()
    while len(left) > 1:
        weighed = precision @ found.off[0, left]
        share = np.abs(weighed) / np.sqrt(np.diagonal(precision))
        here = [place for place, i in enumerate(left) if i in without]
        worst = here[int(share[here].argmax())] if here else int(share.argmax())
        if share[worst] < ODD and not here:
            break
        if len(left) == 2 and not here:
            return (*odd, *left.tolist())
        odd.append(int(left[worst]))
        kept = np.arange(len(left)) != worst
        beside = precision[kept, worst]
        left = left[kept]
        # the inverse without one: its complement, with no inverse to take again
        precision = precision[kept][:, kept] - np.outer(beside, beside) / precision[worst, worst]
    agree = _agreeing(found, left.tolist())
    return tuple(i for i in odd if i not in without or not agree[i])


def _agreeing(found: Fit, others: list[int]) -> Mask:
    """(K,) whether each reading goes with what some readings say."""
    every, off = np.linalg.inv(found.lesson.precision[0]), found.off[0]
    taken = np.linalg.solve(every[np.ix_(others, others)], every[others])  # (L, K)
    left = np.diagonal(every) - (every[others] * taken).sum(axis=0)
    return np.asarray(np.abs(off - off[others] @ taken) < ODD * np.sqrt(np.maximum(left, 0.0)))


def left_out(found: Fit, odd: tuple[int, ...]) -> tuple[int, ...]:
    """Those odd readings that must not teach: misread by the word of at least two others."""
    if found.off.shape[1] - len(odd) < AGREED:
        return ()
    against = _against(found, odd)
    return tuple(i for i in odd if abs(against[i]) >= MISREAD)


def _against(found: Fit, odd: tuple[int, ...]) -> Floats:
    """Cents (K,) by which each reading lies above what those that are not odd say."""
    agreed = [i for i in range(found.off.shape[1]) if i not in odd]
    return np.asarray(found.lesson.beyond(found.off, agreed)[0])


def words_for_odd(labels: Sequence[str], found: Fit, odd: tuple[int, ...]) -> tuple[str, ...]:
    """What to do about each odd reading."""
    if not odd:
        return ()
    if len(labels) == 2:
        one, other = labels
        apart = abs(float(found.lesson.surprise(found.off)[0][0, odd[0]]))
        words = f"{begun(one)} and {other} do not go together, by {apart:.0f} cents: "
        return (words + "blow both again, and look at the tube's length and the room's warmth.",)
    notes = []
    agreed = [j for j in range(len(labels)) if j not in odd]
    if len(agreed) < AGREED:
        named = ", ".join(labels[i] for i in sorted(odd))
        words = f"{begun(named)}: no two of these readings go together. Blow them again, "
        return (words + "and look at the tube's length and the room's warmth.",)
    against = _against(found, odd)
    for i in odd:
        cents = float(against[i])
        word = "sharp" if cents > 0 else "flat"
        out = ", and is left out" if abs(cents) >= MISREAD else ""
        notes.append(
            f"{begun(labels[i])} is {abs(cents):.0f} cents {word} of what the other readings say{out}: "
            "was it noted where it belongs? Blow it again, or take it back."
        )
    return tuple(notes)


def words_for_state(found: Fit, spread: Floats, basis: str) -> tuple[str, ...]:
    """Words for what was learnt far from what was believed; ``spread`` (5,) is how far that was trusted."""
    share = found.state[0] / np.maximum(spread, 1e-12)
    notes = []
    if abs(share[0]) > FAR or np.abs(found.lesson.unlikely(found.off)).max() > ODD:
        notes.append(
            f"The readings lie far from {basis}: check the tube's length and bore, the temperature, "
            "and whether the note was overblown."
        )
    for i, what, more, less, do in (
        (2, "bore", "wider", "narrower", "measure it again, at both ends and inside"),
        (3, "wall", "thicker", "thinner", "measure it again, at the holes"),
        (4, "air in the bore", "warmer", "colder", "warm the flute before you read it, and check the room"),
    ):
        if abs(share[i]) > FAR:
            word = more if share[i] > 0 else less
            notes.append(f"The readings want the {what} {word} than you said: {do}.")
    return tuple(notes)
