"""Which fingering each note of a scale takes, by plain loops: what the package's one search is held against.

Nothing here may import ``scaledesign``.
"""

from __future__ import annotations

from collections.abc import Sequence

SLACK = 50.0
"""Cents that an octave may lack, and that a tonic may lie below the lowest note."""


def octave(degrees: Sequence[float], period: float) -> list[float]:
    """Cents above the tonic of the notes from it up to the first period that makes an octave."""
    top = period
    while top < 1200 - SLACK:
        top += period
    notes = [n * period + cents for n in range(round(top / period) + 1) for cents in degrees]
    return sorted(note for note in notes if note <= top + 1e-6)


def root(tonic: float, lowest: float) -> float:
    """Cents of the lowest note of a tonic's name (cents, any octave) that a flute has."""
    while tonic - 1200 >= lowest - SLACK:
        tonic -= 1200
    while tonic < lowest - SLACK:
        tonic += 1200
    return tonic


def taken(
    wanted: float, fingerings: Sequence[tuple[float, int]], clean: float, within: float, most: int = 2
) -> tuple[float, int]:
    """Cents off, and which of the ``fingerings`` (cents, holes partly open) one note takes.

    The nearest with fewer holes partly open, unless one more comes out better by a step.
    """
    best: tuple[float, int] | None = None
    for halves in range(most + 1):
        near: tuple[float, int] | None = None
        for place, (cents, opened) in enumerate(fingerings):
            off = cents - wanted
            if opened <= halves and (near is None or abs(off) < abs(near[0])):
                near = off, place
        if near is None:
            continue
        if best is None or _better(near[0], best[0], clean, within):
            best = near
    if best is None:
        raise ValueError("no fingering at all")
    return best


def _better(off: float, than: float, clean: float, within: float) -> bool:
    if abs(than) > within and abs(off) < abs(than):
        return True
    return _step(off, clean, within) < _step(than, clean, within)


def _step(off: float, clean: float, within: float) -> int:
    return 0 if abs(off) <= clean else 1 if abs(off) <= within else 2
