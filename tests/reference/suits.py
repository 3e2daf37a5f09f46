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


def room(note: float, degrees: Sequence[float], period: float) -> float:
    """Cents from a note of a scale to the next, up or down."""
    at = int(note // period)
    notes = [n * period + cents for n in range(at - 2, at + 3) for cents in degrees]
    return min(abs(other - note) for other in notes if abs(other - note) > 1e-6)


def effort(letters: str, fingers: Sequence[str], own: bool) -> float:
    """What a fingering asks of the hands, in cents; ``fingers`` such as L1 or LT, mouth to foot.

    A row of the flute's ``own`` goes before all others (common practice, as are the figures).
    """
    cost = -1000.0 if own else 0.0
    opened, above = False, ""
    for letter, finger in zip(letters, fingers, strict=True):
        thumb = finger.endswith("T")
        if letter == "H":
            cost += 7.0 if thumb else 15.0
        if thumb:
            continue
        if letter == "O":
            opened, above = True, finger[0]
            continue
        if opened:
            cost += 1.5
        if above == finger[0]:
            cost += 2.0
        above = ""
    return cost


Fingering = tuple[float, int, float]
"""Cents, holes partly open, effort."""


def taken(
    wanted: float, fingerings: Sequence[Fingering], clean: float, within: float, room: float, most: int = 2
) -> tuple[float, int]:
    """Cents off, and which of the ``fingerings`` one note takes that has so much ``room`` around it.

    Among clean ones that with fewest holes partly open, then the easiest, then the nearest. Where none is
    clean, or there is no room: the nearest with fewer holes partly open, unless one more comes out better by
    a step.
    """
    if room >= clean + within - 1e-6:
        easiest = [
            (halves, effort, abs(cents - wanted), place)
            for place, (cents, halves, effort) in enumerate(fingerings)
            if halves <= most and abs(cents - wanted) <= clean
        ]
        if easiest:
            place = min(easiest)[3]
            return fingerings[place][0] - wanted, place
    best: tuple[float, int] | None = None
    for halves in range(most + 1):
        near: tuple[float, int] | None = None
        for place, (cents, opened, _) in enumerate(fingerings):
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
