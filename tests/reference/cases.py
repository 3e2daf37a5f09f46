"""Check values T1 to T5: playing frequencies computed once by independent programs, stated to 0.001 Hz.

The formulas are those of elements.py; two implementations agree on every value, and a third, a nodal
formulation, on three of the six-hole patterns. Air: ``plain.CHECK_AIR``. The tolerance they are stated
with is 0.02 Hz.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tests.reference.plain import Flute, Hole, pattern

MM = 1e-3

TUBE = Flute(bore=((0.0, 8 * MM),), length=0.4)
THIN = replace(TUBE, foot="unflanged")
WALL = replace(TUBE, foot="wall", foot_wall=4 * MM)


@dataclass(frozen=True)
class Case:
    """A flute, a fingering, "exact", "series" or "none" for the losses, and f1, f2 ... in Hz."""

    name: str
    flute: Flute
    expected: tuple[float, ...]
    fingering: tuple[float, ...] = ()
    losses: str = "exact"

    def __str__(self) -> str:
        return self.name


def one_hole(x: float = 300, diameter: float = 7) -> Flute:
    """The tube of case T2, closed by a rigid cap where closed: position and diameter in mm."""
    return replace(WALL, holes=(Hole(x * MM, diameter / 2 * MM, 4 * MM, 12 * MM),), pad=0.0)


SIX_HOLES = replace(
    TUBE,
    holes=tuple(
        Hole(x * MM, d / 2 * MM, 3 * MM, 11 * MM)
        for x, d in ((190, 6), (218, 7), (246, 7.5), (277, 6.5), (305, 8), (341, 7))
    ),
    foot="wall",
    foot_wall=3 * MM,
    delta0=35 * MM,
    pad=0.5,
)


def taper(first: float, last: float, slice_length: float = 0.010) -> Flute:
    """A tube of 400 mm with straight sides, radii in mm."""
    return replace(THIN, bore=((0, first * MM), (0.4, last * MM)), slice_length=slice_length)


ZERO = replace(WALL, foot="zero")
IDEAL = "none"

T1 = (
    Case("T1 ideal end, lossless", ZERO, (429.212, 858.425, 1287.638, 1716.850), losses=IDEAL),
    Case("T1 unflanged, lossless", THIN, (424.016, 848.059, 1272.153, 1696.323), losses=IDEAL),
    Case("T1 ideal end", ZERO, (425.060, 852.537, 1280.418, 1708.508)),
    Case("T1 unflanged", THIN, (419.956, 842.301, 1265.092, 1688.162)),
    Case("T1 unflanged, Keefe series", THIN, (419.954, 842.299, 1265.090, 1688.159), losses="series"),
    Case("T1 wall of 4 mm", WALL, (419.114, 840.603, 1262.520, 1684.686)),
)

OPEN, CLOSED = (1.0,), (0.0,)

T2 = (
    Case("T2 open", one_hole(), (509.564, 982.843, 1320.864, 1686.954), OPEN),
    Case("T2 open, lossless", one_hole(), (514.151, 989.153, 1328.084, 1695.155), OPEN, IDEAL),
    Case("T2 rigid cap", one_hole(), (418.758, 838.930, 1261.861, 1685.419), CLOSED),
    Case("T2 finger", replace(one_hole(), pad=0.5), (418.945, 839.629, 1262.286, 1685.442), CLOSED),
    Case("T2 rigid cap at 200", one_hole(200), (418.275, 840.998, 1259.996, 1685.463), CLOSED),
    Case("T2 rigid cap at 100", one_hole(100), (418.803, 838.919, 1261.455, 1685.493), CLOSED),
    Case("T2 open, 4 mm", one_hole(300, 4), (474.076, 909.925, 1284.531, 1685.450), OPEN),
    Case("T2 open, 5 mm", one_hole(300, 5), (488.115, 935.332, 1295.048, 1685.854), OPEN),
    Case("T2 open, 6 mm", one_hole(300, 6), (499.853, 959.945, 1307.204, 1686.352), OPEN),
    Case("T2 open, 8 mm", one_hole(300, 8), (517.610, 1003.534, 1335.843, 1687.669), OPEN),
    Case("T2 open, 10 mm", one_hole(300, 10), (530.005, 1037.902, 1368.888, 1689.485), OPEN),
    Case("T2 three quarters open", one_hole(), (507.376, 977.387), (0.75,)),
    Case("T2 half open", one_hole(), (502.847, 966.485), (0.5,)),
    Case("T2 0.35 open", one_hole(), (497.996, 955.386), (0.35,)),
    Case("T2 quarter open", one_hole(), (492.912, 944.386), (0.25,)),
    Case("T2 tenth open", one_hole(), (477.893, 915.421), (0.1,)),
)

CONE = (425.314, 850.639, 1275.986, 1701.366)

T3 = (
    Case("T3 8 to 6", taper(8, 6), (420.655, 844.005, 1267.843, 1691.952)),
    Case("T3 6 to 8", taper(6, 8), (419.338, 841.396, 1263.969, 1686.854)),
    Case("T3 8 to 6, one lossless cone", taper(8, 6, 0.4), CONE, losses=IDEAL),
    Case("T3 8 to 6, lossless, in slices", taper(8, 6), CONE, losses=IDEAL),
)

T4 = (
    Case("T4 20 mm", replace(WALL, delta0=20 * MM), (399.695, 802.276, 1206.555)),
    Case("T4 30 mm", replace(WALL, delta0=30 * MM), (390.857, 785.933, 1184.879)),
    Case("T4 40 mm", replace(WALL, delta0=40 * MM), (382.609, 771.590, 1167.295)),
    Case("T4 cavity", replace(WALL, delta0=30 * MM, cavity=10 * MM), (390.456, 782.918, 1175.707)),
    Case("T4 30 mm of tube instead", replace(WALL, length=0.430), (390.116, 782.522, 1175.334)),
)

_SIX = (
    ("000000", (386.143, 777.829), 389.672),
    ("000001", (425.025, 852.372), 428.748),
    ("000011", (472.489, 946.884), 476.344),
    ("000111", (509.144, 1020.367), 513.160),
    ("001111", (565.305, 1132.005), 569.447),
    ("011111", (622.623, 1246.142), 626.931),
    ("111111", (684.829, 1361.286), 689.376),
    ("000100", (490.229, 923.708), 494.216),
    ("010011", (601.082, 1107.308), 605.340),
    ("101111", (665.783, 1273.617), 670.328),
)

T5 = (
    *(Case(f"T5 {text}", SIX_HOLES, lossy, pattern(text)) for text, lossy, _ in _SIX),
    *(Case(f"T5 {text}, lossless", SIX_HOLES, (ideal,), pattern(text), IDEAL) for text, _, ideal in _SIX),
)

CASES = (*T1, *T2, *T3, *T4, *T5)
