"""Everything that is known of how far off the program is, worked out now.

Apart from the page, which prints it, and from the cases, which know nothing of each other.
"""

from __future__ import annotations

from collections.abc import Mapping

from scaledesign.accuracy import formulas, layouts, pipes, scales
from scaledesign.accuracy.case import Compute, Result, cases, read
from scaledesign.accuracy.fields import FieldTube, field_tubes
from scaledesign.accuracy.reference import Agreement, agreement
from scaledesign.values import dataclass
from scaledesign.wanted import each

COMPUTE: Mapping[str, Compute] = {
    **pipes.COMPUTE,
    **layouts.COMPUTE,
    **formulas.COMPUTE,
    **scales.COMPUTE,
}
"""What works each case out, by its key, in the order of the page."""


@dataclass(frozen=True)
class Untested:
    """Something in print that could not be tested, and why."""

    source: str
    status: str
    has: str
    missing: str


@dataclass(frozen=True)
class Report:
    """All cases with what became of them, and what there is no case for."""

    results: tuple[Result, ...]
    fields: tuple[FieldTube, ...]
    own: Agreement
    untested: tuple[Untested, ...]
    uncovered: tuple[str, ...]
    """What no publication covers, in sentences."""


def result_of(key: str) -> Result:
    """One case worked out."""
    case = cases()[key]
    return Result(case, COMPUTE[key](case.figures))


def report() -> Report:
    """Work out every case."""
    rest = read("untested")
    return Report(
        results=tuple(result_of(key) for key in each(tuple(COMPUTE))),
        fields=field_tubes(),
        own=agreement(),
        untested=tuple(Untested(**item) for item in rest["items"]),
        uncovered=tuple(item["words"] for item in rest["uncovered"]),
    )
