"""The plain design solver finds its way back to a flute whose notes it was given."""

from dataclasses import replace

import pytest

from tests.reference.design import Free, Row, frequencies, solve
from tests.reference.plain import CHECK_AIR, Flute, Hole, cents, pattern

MM = 1e-3
FLUTE = Flute(
    bore=((0.0, 8 * MM),),
    length=0.36,
    holes=(Hole(0.20, 3.5 * MM, 3 * MM, 11 * MM), Hole(0.27, 3 * MM, 3 * MM, 11 * MM)),
    foot_wall=3 * MM,
    delta0=0.030,
)
FINGERINGS = (("00", 1), ("01", 1), ("11", 1), ("01", 2), ("11", 2))


def test_it_returns_to_a_known_flute():
    rows = tuple(Row(pattern(text), register, 0.0) for text, register in FINGERINGS)
    wanted = frequencies(FLUTE, rows, CHECK_AIR)
    rows = tuple(replace(row, target=f) for row, f in zip(rows, wanted, strict=True))
    start = replace(
        FLUTE,
        length=0.365,
        holes=(replace(FLUTE.holes[0], x=0.205, radius=3.2 * MM), replace(FLUTE.holes[1], x=0.262)),
    )
    free = Free(at=((0.18, 0.23), (0.24, 0.30)), diameter=((5 * MM, 10 * MM),) * 2, length=(0.34, 0.38))
    found, result = solve(start, rows, CHECK_AIR, free)
    off = [cents(f, row.target) for f, row in zip(frequencies(found, rows, CHECK_AIR), rows, strict=True)]
    assert off == pytest.approx([0.0] * 5, abs=0.01)
    assert found.length == pytest.approx(FLUTE.length, abs=0.02 * MM)
    assert [hole.x for hole in found.holes] == pytest.approx([0.20, 0.27], abs=0.05 * MM)
    assert result.nfev < 30


def test_bounds_hold_and_leave_a_residual():
    rows = (Row(pattern("01"), 1, 440.0),)
    free = Free(at=(None, (0.26, 0.28)), diameter=(None, None))
    found, _ = solve(FLUTE, rows, CHECK_AIR, free)
    sounds = frequencies(found, rows, CHECK_AIR)[0]
    assert 0.26 <= found.holes[1].x <= 0.28
    assert found.holes[1].x == pytest.approx(0.28, abs=0.01 * MM)
    assert sounds > 441
