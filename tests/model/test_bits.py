"""Bits: the sizes of trade, nearest, next below, names."""

import csv
import itertools
from pathlib import Path

import pytest

from scaledesign.errors import UnknownNameError
from scaledesign.model import bits
from scaledesign.model.bits import bit_set

DATA = Path(__file__).parents[1] / "data"


def table(name):
    with (DATA / name).open(newline="") as file:
        return list(csv.DictReader(file))


def test_inch_drills_are_those_of_the_standard():
    """ANSI/ASME B94.11M, as copied in tests/data/drills-inch.csv.

    Read in a table of units, straight-line gaps of the numbers filled in; the standard itself was not seen.
    """
    everything = bit_set("inch all")
    kinds = {"number": "inch numbers", "letter": "inch letters", "fraction": "inch 1/64"}
    for row in table("drills-inch.csv"):
        diameter = float(row["inch"]) * 0.0254
        mine = bit_set(kinds[row["kind"]])
        assert abs(mine.nearest(diameter) - diameter) < 1e-9
        stamped = {"number": f"No. {row['size']}", "letter": row["size"], "fraction": f"{row['size']} in"}
        assert mine.label(diameter, "mm") == stamped[row["kind"]]
        assert abs(everything.nearest(diameter) - diameter) < 1e-9
    assert len(bit_set("inch numbers").diameters) == 80
    assert len(bit_set("inch letters").diameters) == 26


def test_metric_drills_are_those_of_the_standard():
    """BS 328 / ISO 235, as copied in tests/data/drills-metric.csv.

    Read in an encyclopedia; the standards themselves were not seen.
    """
    listed = tuple(float(row["mm"]) for row in table("drills-metric.csv"))
    mine = tuple(round(diameter * 1000, 2) for diameter in bit_set("metric").diameters)
    assert mine == listed


def test_trade_sizes():
    """ANSI/ASME B94.11M: 6.5 mm (0.2559 in) lies nearest to letter F, 6.5278 mm; E equals 1/4 in."""
    near = bit_set("inch all").nearest(0.0065)
    assert round(near * 1000, 4) == 6.5278
    assert bit_set("inch all").label(near, "mm") == "F"
    assert bit_set("inch all").label(0.00635, "mm") == "1/4 in"
    assert bit_set("inch letters").label(0.00635, "mm") == "E"
    assert bit_set("inch 1/64").diameters[0] == 0.000396875


@pytest.mark.parametrize(
    ("name", "first", "step"),
    [("metric 0.5", 0.001, 0.0005), ("metric 0.1", 0.001, 0.0001), ("inch 1/16", 0.0254 / 16, 0.0254 / 16)],
)
def test_even_sets(name, first, step):
    diameters = bit_set(name).diameters
    assert diameters[0] == pytest.approx(first, rel=1e-12)
    assert all(b - a == pytest.approx(step) for a, b in itertools.pairwise(diameters))


def test_nearest_and_below():
    half = bit_set("metric 0.5")
    assert half.nearest(0.00674) == 0.0065
    assert half.nearest(0.00676) == 0.007
    assert half.below(0.00699) == 0.0065
    assert half.below(0.007) == 0.007
    assert half.below(0.0005) is None
    assert half.label(0.0065, "in") == "6.5 mm"


def test_own_bits():
    own = bit_set((0.008, 0.006, 0.008, 0.00635))
    assert own.diameters == (0.006, 0.00635, 0.008)
    assert own.label(0.006, "mm") == "6.0 mm"
    assert own.label(0.00635, "in") == "1/4 in"
    assert own.nearest(1.0) == 0.008


def test_every_name_is_a_set_that_rises():
    for name in bits.NAMES:
        diameters = bit_set(name).diameters
        assert diameters == tuple(sorted(set(diameters)))
        assert len(bit_set(name).labels) == len(diameters)


def test_an_unknown_set_names_the_nearest():
    with pytest.raises(UnknownNameError, match=r"metric 0\.5"):
        bit_set("metric 0,5")
