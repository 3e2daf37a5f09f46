"""One thing to do at the bench, and what it should come to: plain values for screen, command line and paper.

Apart from how a step is found (``plan.py``) and from what is noted once it is done (``acts.py``).
"""

from __future__ import annotations

from typing import Literal

from scaledesign.model.document import HoleState
from scaledesign.values import dataclass

StepKind = Literal["blow", "cut", "drill", "read", "open", "file", "undercut", "fill", "done"]
"""``blow``: the bare tube, and type what the tuner says. ``cut``: saw or sand the foot to a length.
``drill``: a new hole. ``read``: blow a fingering. ``open``: with a wider bit. ``file``: a little at a time.
``undercut``: at the bore. ``fill``: a note that is sharp and cannot be helped otherwise. ``done``: nothing
more to do."""


Standing = Literal["planned", "begun", "drilled", "in tune", "sharp"]


@dataclass(frozen=True)
class Shift:
    """What a step does to another row."""

    row: int
    cents: float


@dataclass(frozen=True)
class Step:
    """One step, SI inside; None or () where it does not apply."""

    kind: StepKind
    why: str
    """In words: why this, why so much, and what to do should it come out otherwise."""
    hole: int | None = None
    """Hole (0-based) that is worked on or listened for."""
    at: float | None = None
    """m from the sounding edge: where to drill."""
    now: float | None = None
    """m: its width now, or the tube's length now."""
    to: float | None = None
    """m: the width, the undercut, or the length of the tube, to come to in this step."""
    bit: float | None = None
    """m: the bit that makes that width; None: by file, or none is meant."""
    final: float | None = None
    """m: how wide the hole will end, or how long the tube, as far as is known now."""
    row: int | None = None
    """Row (0-based) to listen to; None: no row tells."""
    holes: tuple[HoleState, ...] = ()
    """Fingering to blow, holes that are not drilled yet X; () with ``blow``."""
    register: int = 1
    sounds: float | None = None
    """Hz that should be heard after this step (for ``read`` and ``blow``: when blown now)."""
    sure: float | None = None
    """Cents: one standard deviation of that."""
    aim: float | None = None
    """Hz to be heard in this fingering once the hole is as wide as it is to be."""
    off: float | None = None
    """Cents by which the note of the finished flute would be off if nothing more were done to it."""
    off_sure: float | None = None
    """Cents: one standard deviation of that."""
    stays: tuple[float, float] | None = None
    """Cents off, and one standard deviation, at ``final`` where that is as wide as the rules let the hole be
    and its note is flat beyond the tolerance even so."""
    sharp: float | None = None
    """Chance, 0 to 1, that the note of the finished flute is sharp after this step already."""
    rest: bool = False
    """Whether to wait for another day with it."""
    shifts: tuple[Shift, ...] = ()
    """What else it does to the finished flute, largest first, where it is a cent or more."""


@dataclass(frozen=True)
class Account:
    """How one hole stands."""

    hole: int
    state: Standing
    """``begun``: drilled, and not yet in tune as far as is known; ``drilled``: no note was blown to tell."""
    width: float | None
    """m: how wide it is now; None: not drilled."""
    final: float
    """m: how wide it will end, as far as is known."""
    row: int | None
    off: float | None
    """Cents by which the finished note is off, as the hole is now; None where nothing was read."""
    sure: float | None


@dataclass(frozen=True)
class Plan:
    """Where a flute in the making stands, and everything that is left to do on it.

    ``steps`` begin with what to do now; what comes after is as far as can be foreseen, a step a hole.
    ``holes`` stand foot to mouth, as they are worked on. ``notes`` say in words what is odd or at the limit.
    """

    steps: tuple[Step, ...]
    holes: tuple[Account, ...]
    notes: tuple[str, ...] = ()

    @property
    def now(self) -> Step:
        """What to do now."""
        return self.steps[0]
