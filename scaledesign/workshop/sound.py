"""The input impedance of one fingering, and where its registers speak.

What a maker looks at to see why a note is weak and which octave answers. Apart from predictions, which need
the playing frequency of each row and no curve; registers that no row asks for are read off the curve here,
since the solver would look for a weak one for as long as it takes. Nothing is drawn.
"""

from __future__ import annotations

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats
from scaledesign.physics.field import Field
from scaledesign.physics.flute import Layout, lay_out
from scaledesign.physics.network import evaluate
from scaledesign.solver.problem import fingerings_of, flutes_of
from scaledesign.solver.resonance import WIDE, Fingerings, first_guess, resonances
from scaledesign.values import dataclass

REGISTERS = 3
"""Registers that are marked, besides the row's own."""
BELOW, ABOVE, PAST = 0.5, 3.6, 1.2
"""Ends of the curve, in first registers; past the row's own register where that is higher."""
DEEP = 2.5
"""How far below a register's share of its frequency its first register is looked for."""
SMOOTH = 1.0
"""Radians between two points from which a phase has jumped instead of risen: nothing speaks there."""
FINE = 33
"""Points between two points of the curve to which a register is told apart."""
POINTS, COARSE = 600, 240
"""Points of a curve and of the search for its registers; points on which the first register is looked for."""
ALIKE = 1.005
"""Frequencies within this ratio (9 cents) are one register."""
FAINTEST = 1e-6
"""Of |Z| / (rho c / S): keeps the level of a dip without any loss finite (-120 dB)."""


@dataclass(frozen=True)
class Mark:
    """One register: its number, where it speaks, how firm it is, and whether the row is blown in it."""

    number: int
    frequency: float
    """Hz."""
    depth: float
    """dB by which the impedance lies below rho c / S there: the larger, the firmer the note."""
    sounding: bool


@dataclass(frozen=True)
class Curve:
    """``level`` (F,) dB of the total impedance over rho c / S at ``frequency`` (F,) Hz, rising."""

    frequency: Floats
    level: Floats
    registers: tuple[Mark, ...]


def impedance_curve(
    design: Design,
    row: int,
    *,
    low: float | None = None,
    high: float | None = None,
    points: int = POINTS,
    playing: float | None = None,
    losses: bool = True,
) -> Curve:
    """Total impedance at the mouth over frequency, under the fingering of one row.

    Z is that of the bore plus that of the mouth end (convention in ``physics/network.py``), over rho c / S
    at the mouth. A flute is open where it is blown, so it speaks where Z is small: a register plays at the
    zero of Im Z where that rises (N. H. Fletcher and T. D. Rossing, The Physics of Musical Instruments, 2nd
    edition 1998, chapter 16; from memory). |Z| dips close by, the closer the deeper; what remains at the
    bottom is Re Z, the friction and what is radiated.

    Parameters
    ----------
    design : Design
    row : index of the row
    low, high : Hz, ends of the axis; None: half the first register, and past the third; never beyond what
        radiation is known for (k a = 1.5)
    points : how many frequencies, in even steps of ln f
    playing : Hz, what the row was predicted to play, nan where it has no pitch; None: it is found here
    losses : False for the ideal fluid (no viscosity, no heat conduction)

    Returns
    -------
    Curve: with the registers 1 to 3 that lie within 3.6 times the first, and the row's own.
    """
    layout = lay_out(flutes_of(design))
    fingering = fingerings_of(design, (design.rows[row],))
    own = int(fingering.register[0])
    if playing is None:
        playing = _playing(layout, fingering, losses)
    elif not np.isfinite(playing):
        playing = None
    highest = _highest(layout)
    first = min(_first(layout, fingering, playing, losses), highest)
    furthest = max(ABOVE * first, PAST * (playing or first))
    axis = np.geomspace(BELOW * first, min(furthest, highest), POINTS)
    field = _along(layout, fingering, axis, losses)
    numbers = _numbered(_zeros(layout, fingering, field, losses), own, playing)
    depth = -_level(_along(layout, fingering, np.array(list(numbers.values())), losses))
    marks = tuple(
        Mark(number, frequency, float(firm), number == own and playing is not None)
        for (number, frequency), firm in zip(numbers.items(), depth, strict=True)
    )
    if low is not None or high is not None or points != POINTS:
        axis = np.geomspace(low or axis[0], min(high or axis[-1], highest), points)
        field = _along(layout, fingering, axis, losses)
    return Curve(axis, _level(field), marks)


def _along(layout: Layout, fingering: Fingerings, frequency: Floats, losses: bool) -> Field:
    """The field of one fingering at many frequencies at once."""
    share = np.repeat(fingering.share, len(frequency), axis=1)
    return evaluate(layout, share, frequency[None], losses=losses, partials=False)


def _level(field: Field) -> Floats:
    """Impedance in dB, (F,)."""
    return np.asarray(20.0 * np.log10(np.maximum(np.abs(field.impedance[0]), FAINTEST)))


def _highest(layout: Layout) -> float:
    """Hz up to which radiation is known: k a = ``WIDE`` at the bore's widest."""
    flutes, slices = layout.flutes, layout.flutes.body.slices
    widest = max(float(slices.radius.max()), float(slices.end_radius.max()))
    return float(WIDE * flutes.air.c[0] / (2 * np.pi * widest))


def _playing(layout: Layout, fingering: Fingerings, losses: bool) -> float | None:
    try:
        return float(resonances(layout.flutes, fingering, losses=losses).frequency[0, 0])
    except NoPitchError:
        return None


def _first(layout: Layout, fingering: Fingerings, playing: float | None, losses: bool) -> float:
    """The first register, Hz; a guess where there is none."""
    own = int(fingering.register[0])
    if playing is not None and own == 1:
        return playing
    guess = float(first_guess(layout, Fingerings(fingering.share, np.ones(1, np.intp)))[0, 0])
    start, stop = (guess / DEEP, guess * DEEP) if playing is None else (playing / (DEEP * own), playing)
    axis = np.geomspace(start, min(stop, _highest(layout)), COARSE)
    zeros = _zeros(layout, fingering, _along(layout, fingering, axis, losses), losses)
    return zeros[0] if zeros else playing or guess


def _zeros(layout: Layout, fingering: Fingerings, field: Field, losses: bool) -> list[float]:
    """Where the phase passes a multiple of pi smoothly between the points of a field, Hz, rising."""
    axis, phase = field.frequency[0], field.phase[0]
    cells = np.flatnonzero(np.floor(phase[1:] / np.pi) > np.floor(phase[:-1] / np.pi))
    if not len(cells):
        return []
    fine = np.geomspace(axis[cells], axis[cells + 1], FINE, axis=1)
    phases = _along(layout, fingering, fine.ravel(), losses).phase[0].reshape(fine.shape)
    target = np.pi * np.floor(phase[cells + 1] / np.pi)[:, None]
    rise = np.diff(phases, axis=1)
    passed = (phases[:, :-1] < target) & (phases[:, 1:] >= target) & (rise < SMOOTH)
    zeros = []
    for cell in np.flatnonzero(passed.any(axis=1)):
        i = int(passed[cell].argmax())
        part = (target[cell, 0] - phases[cell, i]) / rise[cell, i]
        zeros.append(float(fine[cell, i] * (fine[cell, i + 1] / fine[cell, i]) ** part))
    return zeros


def _numbered(zeros: list[float], own: int, playing: float | None) -> dict[int, float]:
    """Frequency by register, counted so that the row's own has the number that the solver gave it.

    The solver sees registers that are too faint for the points of a curve.
    """
    most = max(REGISTERS, own)
    if playing is None:
        return dict(zip(range(1, REGISTERS + 1), zeros, strict=False))
    below = [f for f in zeros if f < playing / ALIKE][: own - 1]
    above = [f for f in zeros if f > playing * ALIKE][: most - own]
    return dict(enumerate(below, 1)) | {own: playing} | dict(enumerate(above, own + 1))
