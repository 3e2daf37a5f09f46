"""What the engine says of a design, as a screen shows it.

Apart from ``live.py``, which works it out: an answer is looked at, and none is there yet when the screen is
first painted, without anything of the engine.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from scaledesign.model.document import Design
from scaledesign.values import dataclass

if TYPE_CHECKING:
    from scaledesign.solver.prediction import Prediction
    from scaledesign.solver.resonance import Resonances


@dataclass(frozen=True)
class Answer:
    """What the engine says of a design.

    ``prediction`` has a number for every row of ``design``, NaN for one that cannot sound; it is None where
    nothing can be said at all (``notes`` says why).
    """

    design: Design
    """With holes and foot where they belong, or as asked where they were held still."""
    prediction: Prediction | None
    notes: tuple[str, ...] = ()
    placed: tuple[str, ...] = ()
    """How each hole was placed; empty where the holes were held still."""
    binding: tuple[str, ...] = ()
    """Of ``notes`` those that say why a row cannot be met."""
    final: bool = True
    """False: ``thorough`` may find other bits, or say what binds."""
    near: tuple[object, Resonances] | None = None
    """Fingerings and their resonances, for the next ``quick``."""
