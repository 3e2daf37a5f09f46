"""The registers of every fingering: where they lie, how firm they are, what breath they ask, which speak.

Numbers and a verdict for each; the sentences are in ``register_words.py``. The limits that turn a number into
a verdict are rules of thumb and each says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, nan
from typing import Literal

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.document import Design, Row
from scaledesign.physics import jet
from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes, Layout
from scaledesign.physics.gradient import derivatives
from scaledesign.physics.lattice import cutoff
from scaledesign.solver.problem import CENT, flutes_of, shares
from scaledesign.solver.resonance import Fingerings, field_at, resonances
from scaledesign.values import dataclass
from scaledesign.workshop import advice
from scaledesign.workshop.octave import Bend, bend_of
from scaledesign.workshop.sound import FAINTEST, Curve

Speech = Literal["speaks", "weakly", "hardly", "none"]
SPEECHES: tuple[Speech, ...] = ("speaks", "weakly", "hardly", "none")
"""From the best to the worst; none: there is no such register, or it is none of this note."""
THREE = ("notch", "rim", "transverse", "open")
"""Mouths that are overblown into a third register too; a duct is not (common practice, no source)."""
FIRM, FAINT = 12.0, 6.0
"""dB by which the impedance must dip below rho c/S for a note to speak freely, and to speak at all: so that
a keyless six-hole flute has its second octave freely up to the sixth note, and hardly with all holes open
(proposed here, to agree with common practice; no source)."""
WRONG = 150.0
"""Cents from the whole multiple beyond which what speaks is another note (proposed here, no source)."""
NEAR = 0.7
"""Share of the cutoff above which octaves go wrong (common practice, no source). It explains a verdict and
makes none: how wrong and how weak is the model's to say."""
BREATH = (50.0, 1000.0)
"""Pa: the softest and the strongest breath into a duct that a player holds (common practice, no source)."""
LEANING = (0.7, 1.5)
"""Shares of a breath's pressure within which a player leans on a note and lets go of it (common practice, no
source)."""
TOP = 3
"""Spaces between open holes that set the cutoff, from the mouth: below them next to nothing is left of the
wave."""
HALF = 0.5
"""Open share from which a hole belongs to the row of open holes."""


@dataclass(frozen=True)
class Register:
    """One register of one fingering, counted from 1; ``frequency`` is nan where there is none."""

    number: int
    frequency: float
    """Hz."""
    stretch: float
    """Cents by which it lies above ``number`` times the first register."""
    depth: float
    """dB by which the impedance lies below rho c / S: the larger, the firmer."""
    quality: float
    """Q of the air column."""
    pressure: float
    """Pa of breath that suits it best over the window; nan where no window is known."""
    speech: Speech
    reason: str
    """Why it does not speak freely, as the rest of a sentence; '' where it does."""


@dataclass(frozen=True)
class Played:
    """One fingering with its registers, lowest first."""

    note: str
    """What the maker calls it: the target of the lowest row that is fingered so."""
    row: Row | None
    """That row; None for a tube without rows."""
    rows: tuple[int, ...]
    """All rows that are fingered so."""
    cutoff: float
    """Hz of its row of open holes; nan where fewer than two are open."""
    registers: tuple[Register, ...]
    bend: Bend | None
    """What would move the octave; None where there is none."""

    @property
    def low(self) -> Register:
        """The first register."""
        return self.registers[0]

    @property
    def vented(self) -> bool:
        """Whether it is fingered for an overblown note alone, so that its first register is none of ours."""
        return self.row is not None and self.row.register > 1

    @property
    def of_the_scale(self) -> bool:
        """Whether the layout is made for its first register."""
        return self.row is None or (self.row.counts and not self.vented)

    def share(self, register: Register) -> float:
        """Frequency of a register over the cutoff; nan where fewer than two holes are open."""
        return register.frequency / self.cutoff

    def leaning(self, ratio: float) -> float:
        """Cents by which the low note rises when the breath's pressure becomes ``ratio`` times itself."""
        return jet.sharper(self.low.quality, ratio)


@dataclass(frozen=True)
class Registers:
    """All fingerings of a design, and the tube's length in bores."""

    slenderness: float
    fingerings: tuple[Played, ...]


def registers(design: Design, known: Floats | None = None) -> Registers:
    """Find and judge the registers of every fingering of a design; of the closed tube where it has no rows.

    A register that a fingering does not have is told as none: nothing is raised for it.

    Parameters
    ----------
    design : Design
    known : (M, ``judged(design)``) Hz, registers of its fingerings where they were found already, nan where
        there is none
    """
    flutes = flutes_of(design)
    fingered = _fingered(design)
    share = _shares(design, [row for row, _ in fingered])
    frequency = _frequencies(flutes, share, judged(design)) if known is None else known
    return Registers(advice.slenderness(design), _judged(design, flutes, fingered, share, frequency))


def judged(design: Design) -> int:
    """How many registers of each fingering are judged."""
    return max(3 if design.instrument.mouth in THREE else 2, *(row.register for row in design.rows), 2)


def heard(design: Design, row: int, curve: Curve) -> Played:
    """The registers of one row (0-based) as its curve shows them: nothing is searched for again."""
    wanted = max(2, design.rows[row].register)
    found = {mark.number: mark.frequency for mark in curve.registers}
    frequency = np.array([[found.get(number, nan) for number in range(1, wanted + 1)]])
    fingered = [(design.rows[row], (row,))]
    return _judged(design, flutes_of(design), fingered, _shares(design, [design.rows[row]]), frequency)[0]


Reason = tuple[Speech, str]
"""A verdict and what it rests on."""
Fingered = tuple[Row | None, tuple[int, ...]]
"""A row, and all that are fingered like it."""


def _fingered(design: Design) -> list[Fingered]:
    """Every fingering once, in the order of the rows; a row of the scale's first register speaks for it."""
    alike: dict[object, list[int]] = {}
    for i, row in enumerate(design.rows):
        alike.setdefault((row.holes, row.open_share if "H" in row.holes else None), []).append(i)
    if not alike:
        return [(None, ())]

    def rank(i: int) -> tuple[int, bool, int]:
        return design.rows[i].register, not design.rows[i].counts, i

    return [(design.rows[min(rows, key=rank)], tuple(rows)) for rows in alike.values()]


def _shares(design: Design, rows: Sequence[Row | None]) -> Floats:
    """Open share (H, M) of every hole."""
    closed = [1.0 if hole.finger == "none" else 0.0 for hole in design.holes]
    share = [closed if row is None else shares(design, row) for row in rows]
    return np.array(share).reshape(len(rows), len(design.holes)).T.copy()


def _frequencies(flutes: Flutes, share: Floats, wanted: int) -> Floats:
    """Frequencies (M, wanted) of the registers, nan where a fingering has none."""
    many = np.repeat(share, wanted, axis=1)
    register = np.tile(np.arange(1, wanted + 1), share.shape[1])
    frequency = np.full(len(register), nan)
    left = np.arange(len(register))
    while len(left):
        try:
            frequency[left] = resonances(flutes, Fingerings(many[:, left], register[left])).frequency[0]
            break
        except NoPitchError as silent:
            left = np.delete(left, list(silent.rows))
    return frequency.reshape(-1, wanted)


def _judged(
    design: Design, flutes: Flutes, fingered: Sequence[Fingered], share: Floats, frequency: Floats
) -> tuple[Played, ...]:
    """Judge M fingerings whose registers (M, R) were found; the field is walked once for all that exist."""
    wanted = frequency.shape[1]
    known = np.flatnonzero(np.isfinite(frequency))
    depth, quality = np.full(frequency.size, nan), np.full(frequency.size, nan)
    each = Fingerings(np.repeat(share, wanted, axis=1)[:, known], known % wanted + 1)
    field = field_at(flutes, each, frequency.ravel()[known][None])
    slopes = derivatives(field)
    quality[known] = jet.quality(field, slopes.log_frequency)[0]
    depth[known] = -20 * np.log10(np.maximum(np.abs(field.impedance[0]), FAINTEST))
    place = {int(one): column for column, one in enumerate(known)}
    edges = _cutoffs(flutes, field.layout, share)
    judge = _Judge(design, flutes)
    made = []
    for i, (row, rows) in enumerate(fingered):
        edge, numbers = float(edges[i]), range(i * wanted, (i + 1) * wanted)
        own = 1 if row is None else row.register
        listed = tuple(
            judge.register(n + 1, own, frequency[i], float(depth[one]), float(quality[one]), edge)
            for n, one in enumerate(numbers)
        )
        low, octave = place.get(numbers[0]), place.get(numbers[1])
        bend = None if low is None or octave is None else bend_of(field, slopes, low, octave, share[:, i])
        note = design.tuning.tonic if row is None else row.note
        made.append(Played(note, row, rows, edge, listed, bend))
    return tuple(made)


class _Judge:
    """What turns the numbers of a register into a verdict, for one design."""

    def __init__(self, design: Design, flutes: Flutes) -> None:
        window = design.voicing.window
        self.window = window.length if window and design.instrument.mouth == "duct" else nan
        self.rho = float(flutes.air.rho[0])
        self.bores = advice.slenderness(design)

    def register(
        self, number: int, own: int, found: Floats, depth: float, quality: float, edge: float
    ) -> Register:
        """One of the registers ``found`` of a fingering that is meant for its register ``own``."""
        frequency = float(found[number - 1])
        if not isfinite(frequency):
            return Register(number, nan, nan, nan, nan, nan, "none", "there is no such register")
        stretch = float(CENT * np.log(frequency / (number * found[0])))
        pressure = jet.needed_pressure(frequency, self.window, self.rho)
        reasons = [*_depth(depth, frequency, edge), *self._tube(number), *self._breath(pressure)]
        if own == 1 < number:
            reasons += _tuning(number, stretch, frequency, edge)
        speech, reason = max(reasons, key=lambda each: SPEECHES.index(each[0]), default=("speaks", ""))
        return Register(number, frequency, stretch, depth, quality, pressure, speech, reason)

    def _tube(self, number: int) -> list[Reason]:
        verdict = advice.verdict(self.bores)
        if verdict != ("too slender" if number == 1 else "stout"):
            return []
        return [("weakly", f"the tube is {self.bores:.0f} bores long, {verdict}")]

    def _breath(self, best: float) -> list[Reason]:
        """A note sounds from theta 3 to 10, so between (3/5)^2 and (10/5)^2 of its best pressure."""
        least, most = (best * (theta / jet.BEST) ** 2 for theta in jet.USABLE)
        low, high = BREATH
        if best > high:
            asked = f"it asks {best:.0f} Pa, a strong breath is {high:.0f}"
            return [("hardly" if least > high else "weakly", asked)]
        if best < low:
            asked = f"it asks {best:.0f} Pa, a soft breath is {low:.0f}: it breaks upward"
            return [("hardly" if most < low else "weakly", asked)]
        return []


def firmness(depth: float) -> float:
    """How firm a note of so many dB is: 1 where it just speaks freely, half of that where it hardly does."""
    return float(10 ** ((depth - FIRM) / 20))


def _depth(depth: float, frequency: float, edge: float) -> list[Reason]:
    if depth >= FIRM:
        return []
    speech: Speech = "weakly" if depth >= FAINT else "hardly"
    share = f"{100 * firmness(depth):.0f}%"
    return [(speech, f"it is {share} as firm as it takes to speak freely{_beyond(frequency, edge)}")]


def _tuning(number: int, stretch: float, frequency: float, edge: float) -> list[Reason]:
    if not abs(stretch) > WRONG:
        return []
    way = "above" if stretch > 0 else "below"
    name = {2: "octave", 3: "twelfth"}.get(number, f"register {number}")
    said = f"what speaks lies {abs(stretch):.0f} cents {way} the {name}"
    return [("none", f"{said}{_beyond(frequency, edge)}")]


def _beyond(frequency: float, edge: float) -> str:
    """Both numbers, where a register lies above its share of the cutoff."""
    if not frequency > NEAR * edge:
        return ""
    return f", at {frequency / edge:.2f} of the cutoff of its open holes ({frequency:.0f} of {edge:.0f} Hz)"


def _cutoffs(flutes: Flutes, layout: Layout, share: Floats) -> Floats:
    """Cutoff (M,) of every fingering's open holes, nan where fewer than two are open.

    The mean of the logarithms over the spaces between the topmost open holes, each with the hole on its mouth
    side: that of an even row of their mean spacing, width and height, as powers multiply. A partly open
    hole counts with the radius of what is open, from ``HALF`` on.
    """
    at, c = flutes.at[0], float(flutes.air.c[0])
    found = np.full(share.shape[1], nan)
    for i, opened in enumerate(share.T):
        holes = np.flatnonzero(opened >= HALF)
        holes = holes[np.argsort(at[holes], kind="stable")]
        row = holes[:-1][:TOP]
        if len(row):
            hole = flutes.radius[0, row] * np.sqrt(opened[row])
            gap = np.maximum(np.diff(at[holes])[:TOP], 2 * hole)
            each = cutoff(c, layout.a[row, 0], hole, layout.t[row, 0], gap)
            found[i] = np.exp(np.log(each).mean())
    return found
