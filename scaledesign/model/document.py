"""The document: one flute design as frozen values in SI units.

This is what a design file means once it has been read. It is apart from the file format
(``files/document_file.py``) and from the solver's arrays (``solver/problem.py``); nothing here
parses, prints, computes acoustics or knows a plug-in. Tuples and frozen dataclasses only, so that a
document can be compared, hashed and kept for undo.

Lengths are metres, temperatures degrees Celsius, angles degrees, frequencies hertz, pressures
pascals. x runs along the bore from the sounding edge (0) to the foot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from datetime import datetime
from typing import Literal

from scaledesign.values import dataclass

Units = Literal["mm", "in"]
Mouth = Literal["duct", "notch", "rim", "transverse", "open"]
FootKind = Literal["open", "flanged", "stopped", "node"]
Role = Literal["scale", "chromatic", "alternate"]
HoleState = Literal["X", "O", "H"]
Finger = Literal["L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4", "LT", "RT", "none"]

FORMAT = 1
COUNTS = 0.5
"""Weight from which a row counts whatever its role."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """What kind of flute it is."""

    mouth: Mouth = "duct"
    system: str = ""
    """Name of a fingering system, or '' for none."""
    pad: float = 0.5
    """How far a finger pad dips into a closed hole, in hole radii."""
    material: str = ""


@dataclass(frozen=True, slots=True)
class Station:
    """A diameter of the bore (or a wall thickness) at one place; straight lines between."""

    x: float
    """m from the sounding edge."""
    value: float
    """m: diameter (bore) or thickness (wall)."""
    across: float | None = None
    """m: second diameter of an oval bore; None when round."""


@dataclass(frozen=True, slots=True)
class Foot:
    """The end of the tube. ``diameter`` is that of the hole in a node, for kind "node" only."""

    kind: FootKind = "open"
    diameter: float | None = None


@dataclass(frozen=True, slots=True)
class Chamber:
    """Slow-air chamber and plug of a duct flute, for overall length and drawings."""

    length: float
    wall: float = 0.0


@dataclass(frozen=True, slots=True)
class Tube:
    """The tube. ``bore`` and ``wall`` hold one station at x = 0 when given as a plain number.

    Two bore stations at one x are a step, the first towards the mouth. Beyond the last station the
    value stays as it is there.
    """

    length: float
    """m, sounding edge to foot."""
    bore: tuple[Station, ...]
    wall: tuple[Station, ...]
    foot: Foot = Foot()
    locked: bool = False
    """True: the foot is cut, the solver may not move it."""
    blank: float | None = None
    """m, length of the raw tube measured as ``length`` is, if it limits; else None."""
    avoid: tuple[tuple[float, float], ...] = ()
    """Stretches (from, to) in m where no hole may go."""
    chamber: Chamber | None = None


@dataclass(frozen=True, slots=True)
class Window:
    """Window of a duct flute (m)."""

    length: float
    width: float
    wall: float | None = None
    flue_length: float | None = None
    flue_height: float | None = None


@dataclass(frozen=True, slots=True)
class Embouchure:
    """Embouchure hole, notch or blown rim (m); ``covered`` is the share the lip covers."""

    length: float
    width: float
    wall: float | None = None
    covered: float | None = None


@dataclass(frozen=True, slots=True)
class Voicing:
    """The mouth end. ``None`` means: not stated, estimate it."""

    added_length: float | None = None
    """m: inertance of the mouth end as a length of bore."""
    cavity: float = 0.0
    """m: bore behind the window, to the block or stopper."""
    drift: float = 0.0
    """m per kHz squared."""
    uncertainty: float | None = None
    """m: one standard deviation of added_length."""
    calibrated: bool = False
    """True: added_length was fitted to the readings that this file holds."""
    window: Window | None = None
    embouchure: Embouchure | None = None


@dataclass(frozen=True, slots=True)
class Learned:
    """What readings taught of what was measured with a rule, in force while ``Voicing.calibrated``.

    ``stated_*`` is what ``Voicing`` said before the first reading; it comes back with the last one gone.
    """

    bore: float = 0.0
    """m, added to the bore's diameter everywhere."""
    wall: float = 0.0
    """m, added to the tube's wall everywhere."""
    warmth: float = 0.0
    """K, added to the air in the bore."""
    stated_length: float | None = None
    """m: added_length; None where it was estimated."""
    stated_uncertainty: float | None = None
    """m."""
    stated_drift: float = 0.0
    """m per kHz squared."""
    left_out: str = ""
    """Readings that the others contradict, and that taught nothing; parted by semicolons."""


@dataclass(frozen=True, slots=True)
class AirSetting:
    """The air of the room and of the breath. ``pressure`` overrides ``altitude``."""

    temperature: float = 22.0
    """degrees Celsius."""
    humidity: float = 50.0
    """percent, 0..100."""
    altitude: float = 0.0
    """m."""
    pressure: float | None = None
    """Pa."""
    breath: float = 1.0
    """1: played warm; 0: still air at room temperature."""


@dataclass(frozen=True, slots=True)
class Tuning:
    """What the notes mean. ``degrees`` (as written) overrides ``scale``."""

    reference: float = 440.0
    """Hz of A4."""
    tonic: str = "A4"
    scale: str = ""
    degrees: tuple[str, ...] = ()
    tolerance: float = 5.0
    """cents a row may be off before it is flagged."""


@dataclass(frozen=True, slots=True)
class Hand:
    """What one pair of hands covers (m)."""

    spread: tuple[float, float, float]
    """Widest comfortable distance index-middle, middle-ring, ring-little."""
    gap: float
    """Widest comfortable distance from the upper hand's last hole to the lower hand's first."""
    pad: float
    """Breadth of a finger tip: neighbouring holes no closer, holes narrower by the seal."""


@dataclass(frozen=True, slots=True)
class Shop:
    """The maker's bits, limits and hands."""

    bits: str | tuple[float, ...] = "metric 0.5"
    """Name of a bit set, or diameters in m."""
    smallest: float = 0.004
    largest: float = 0.012
    share_of_bore: float = 0.75
    wood: float = 0.005
    """m: least wood between hole edges, along the outside."""
    hand: str | Hand = "medium"


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """One standard deviation of what the maker cannot know better; None: the program's default."""

    bore: float | None = None
    """m of diameter."""
    wall: float | None = None
    """m."""
    at: float | None = None
    """m of each hole's position."""
    diameter: float | None = None
    """m of each hole's diameter."""
    length: float | None = None
    """m of the cut."""
    temperature: float | None = None
    """K of the air in the bore."""
    tuner: float | None = None
    """cents of one reading."""
    model: float | None = None
    """cents a row, what the acoustic model leaves out."""


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole; its place in ``Design.holes`` is what a fingering's letter refers to."""

    at: float
    """m from the sounding edge, centre."""
    diameter: float
    """m, along the bore."""
    across: float | None = None
    """m, across the bore, for an oval; None when round."""
    side: float = 0.0
    """degrees around the tube, clockwise as seen from the mouth: 0 front, 180 back."""
    finger: Finger = "none"
    wall: float | None = None
    """m, chimney where it differs from the tube's wall."""
    slant: float = 0.0
    undercut: float = 0.0
    """m, widening of the diameter at the bore."""
    drilled: bool = False
    locked: frozenset[Literal["at", "diameter"]] = frozenset()


@dataclass(frozen=True, slots=True)
class Row:
    """One fingering and the note wanted of it."""

    note: str
    holes: tuple[HoleState, ...]
    """One state a fingered hole (``finger != "none"``), in the order of ``Design.holes``."""
    cents: float = 0.0
    register: int = 1
    weight: float = 1.0
    """0: shown, not solved for."""
    role: Role = "scale"
    open_share: float = 0.5
    """Share of the area that is open where the state is H."""
    measured: str = ""
    """What a tuner showed, as written; '' when nothing was measured."""

    @property
    def counts(self) -> bool:
        """Whether the layout is made for this row, rather than only nudged by it."""
        return self.weight > 0 and (self.role == "scale" or self.weight >= COUNTS)


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One entry of the maker's bench log."""

    when: datetime
    event: Literal["cut", "drilled", "opened", "filled", "measured", "note"]
    holes: tuple[HoleState, ...] = ()
    """Empty: no fingering; on "measured", the bare tube."""
    measured: str = ""
    temperature: float | None = None
    """degrees Celsius."""
    length: float | None = None
    """m, sounding edge to foot at that time, where it differed."""
    note: str = ""
    register: int | None = None
    """Of a bare tube that was blown; None: the one that lies nearest."""
    drilled: tuple[HoleState, ...] = ()
    """Which holes there were then, O drilled and X not yet; empty: all."""
    hole: int | None = None
    """Hole (0-based in ``Design.holes``) that was worked on; on "measured" the one that was listened for."""
    at: float | None = None
    """m, where that hole was begun."""
    diameter: float | None = None
    """m, how wide it was then."""
    undercut: float | None = None
    """m, how far it was undercut then."""
    was: float | None = None
    """m, how wide it was before."""


@dataclass(frozen=True, slots=True)
class Design:
    """A flute design. ``text`` is the file it came from, byte for byte, or None.

    ``text`` takes no part in comparison: two designs are equal when they mean the same flute.
    """

    tube: Tube
    instrument: Instrument = Instrument()
    units: Units = "mm"
    name: str = ""
    notes: str = ""
    voicing: Voicing = Voicing()
    learned: Learned = Learned()
    air: AirSetting = AirSetting()
    tuning: Tuning = Tuning()
    shop: Shop = Shop()
    uncertainty: Uncertainty = Uncertainty()
    holes: tuple[Hole, ...] = ()
    rows: tuple[Row, ...] = ()
    log: tuple[LogEntry, ...] = ()
    format: int = FORMAT
    text: str | None = field(default=None, compare=False, repr=False)

    def fingered(self) -> tuple[int, ...]:
        """Indices of the holes that have a letter in a fingering."""
        return tuple(i for i, hole in enumerate(self.holes) if hole.finger != "none")

    def opened_by(self, rows: Sequence[Row]) -> set[int]:
        """Holes (0-based) that some of these rows open."""
        fingered = self.fingered()
        return {i for row in rows for i, state in zip(fingered, row.holes, strict=True) if state != "X"}
