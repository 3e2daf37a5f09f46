"""The flute's body as drawn on the shop sheet: seen from the front, and cut along the bore.

Apart from holes and dimensions (``drawing.py``), which know nothing of mouths. Between the sounding edge and
the foot all is to scale; a slow-air chamber, and what will be sawn off, are cut short with a break where they
would take the room. What the design does not state of a mouth is drawn in usual proportions, for the eye.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, radians, tan

from scaledesign.model.document import Design, Station
from scaledesign.model.widths import foot_is_cut, length_there
from scaledesign.paper.layout import has_cut_end
from scaledesign.paper.sheet.marks import Fill, Mark, Oval, Path, Pen, Point, box, line
from scaledesign.solver.limits import profile
from scaledesign.values import dataclass

TALLEST = 24.0
"""mm on paper that the tube is drawn across at most."""
CHAMBER, WASTE = 24.0, 12.0
"""mm on paper that a slow-air chamber, and what will be sawn off, take at most."""
STUB = 7.0
"""mm on paper of a tube whose end nobody stated."""
BREAK = 1.6
"""mm on paper between the two lines of a break."""
SLIT = 0.35
"""mm on paper: a flue is drawn no lower."""
_STEP = 1e-7
"""m: either side of a step of the bore."""
_LEAST = 1e-3
"""m: a tube is drawn as if it were no shorter."""


@dataclass(frozen=True, slots=True)
class Head:
    """What lies before the sounding edge, m unless it says paper."""

    window: float = 0.0
    cavity: float = 0.0
    plug: float = 0.0
    chamber: float = 0.0
    """Slow-air chamber, whole."""
    open_end: bool = False
    """Nobody said where the tube ends: it is drawn broken off."""

    @property
    def solid(self) -> float:
        """All but the chamber."""
        return self.window + self.cavity + self.plug


@dataclass(frozen=True, slots=True)
class Frame:
    """Where x falls on paper."""

    ratio: float
    """Life size over paper, to a tenth."""
    edge: float
    """mm: the sounding edge."""
    left: float
    """mm: where the tube begins."""
    right: float
    """mm: where the tube, or what will be sawn off, ends."""
    head: Head
    short_chamber: bool
    short_waste: bool

    def x(self, metres: float) -> float:
        """Place (mm) of what lies ``metres`` from the sounding edge; true from the plug to the foot."""
        return self.edge + self.size(metres)

    def size(self, metres: float) -> float:
        """A length (m) on paper (mm)."""
        return metres * 1000 / self.ratio

    @property
    def plug(self) -> float:
        """mm: the chamber's side of the plug or stopper."""
        return self.x(-self.head.solid)


def head_of(design: Design) -> Head:
    """What lies before the sounding edge, as stated or in usual proportions."""
    bore, voicing, chamber = design.tube.bore[0].value, design.voicing, design.tube.chamber
    match design.instrument.mouth:
        case "duct":
            window = window_size(design)[0]
            flue = voicing.window.flue_length if voicing.window else None
            if chamber is None:
                return Head(window, voicing.cavity, flue or 1.2 * bore)
            return Head(window, voicing.cavity, chamber.wall or 0.3 * bore, chamber.length)
        case "transverse":
            cavity = max(voicing.cavity, 0.6 * embouchure_size(design)[0])
            plug = chamber.wall if chamber and chamber.wall else 0.5 * bore
            behind = chamber.length if chamber else 0.0
            return Head(0.0, cavity, plug, behind, open_end=not has_cut_end(design))
        case _:
            return Head()


def frame_of(design: Design, width: float) -> Frame:
    """The largest drawing that fits into ``width`` mm, at a ratio in tenths; never larger than life."""
    tube, head = design.tube, head_of(design)
    length = max(tube.length, _LEAST)
    waste = 0.0 if foot_is_cut(design) else max(0.0, (length_there(design) or 0.0) - tube.length)
    tenths = max(10, ceil(2 * widest(design) * 10_000 / TALLEST), ceil(length * 10_000 / width))
    while True:
        per_metre = 10_000 / tenths
        chamber = STUB if head.open_end else min(head.chamber * per_metre, CHAMBER)
        before = head.solid * per_metre + chamber
        after = min(waste * per_metre, WASTE)
        if before + length * per_metre + after <= width or tenths > 1_000_000:
            break
        tenths += 1
    free = max(0.0, width - before - length * per_metre - after)
    left = free / 2
    edge = left + before
    return Frame(
        tenths / 10, edge, left, edge + tube.length * per_metre + after, head,
        head.chamber * per_metre > chamber, waste * per_metre > after,
    )  # fmt: skip


def window_size(design: Design) -> tuple[float, float]:
    """Length and width (m) of a duct's window."""
    window, bore = design.voicing.window, design.tube.bore[0].value
    return (window.length, window.width) if window else (0.3 * bore, 0.6 * bore)


def embouchure_size(design: Design) -> tuple[float, float]:
    """Length and width (m) of an embouchure hole or a notch."""
    hole, bore = design.voicing.embouchure, design.tube.bore[0].value
    if hole:
        return hole.length, hole.width
    return (0.35 * bore, 0.45 * bore) if design.instrument.mouth == "notch" else (0.6 * bore, 0.55 * bore)


def outer(design: Design, x: float) -> float:
    """Outer radius (m) of the tube at ``x``."""
    return profile(design.tube.bore, x) / 2 + profile(design.tube.wall, x)


def widest(design: Design) -> float:
    """Largest outer radius (m)."""
    return max(outer(design, x) for x in _places(design))


def from_the_front(design: Design, frame: Frame, axis: float) -> Iterator[Mark]:
    """The outside, the bore behind it dashed, and the mouth; ``axis`` mm is the height of the middle."""
    yield from _waste(design, frame, axis)
    x, size = frame.x, frame.size
    outside = _profile(design, frame, 1.0)
    yield Path(_around(outside, axis), "outline", closed=True, fill="paper")
    inside = _profile(design, frame, 0.0)
    for sign in (-1, 1):
        yield Path(tuple((px, axis + sign * r) for px, r in inside), "hidden")
    for start, stop in design.tube.avoid:
        yield from _node(design, frame, axis, start, stop)
    match design.instrument.mouth:
        case "duct":
            length, width = window_size(design)
            yield box(x(-length), axis - size(width) / 2, x(0), axis + size(width) / 2, "outline", "paper")
            yield line(x(0), axis - size(width) / 2, x(0), axis + size(width) / 2, "outline")
            if design.tube.chamber:
                back, half = x(-_flue_back(design) - length), size(0.62 * outer(design, 0.0))
                yield box(back, axis - half, x(-length), axis + half, "thin", "paper")
        case "transverse":
            length, width = embouchure_size(design)
            yield Oval(x(0), axis, size(length) / 2, size(width) / 2, "outline", "paper")
        case "notch":
            length, width = (size(each) for each in embouchure_size(design))
            half = width / 2
            bend = min(half, length)
            steps = [(length - bend) + bend * c for c in (0.0, 0.5, 0.866, 1.0, 0.866, 0.5, 0.0)]
            rise = [half * s for s in (-1.0, -0.866, -0.5, 0.0, 0.5, 0.866, 1.0)]
            curve = [(x(0) + a, axis + b) for a, b in zip(steps, rise, strict=True)]
            cut = ((x(0) - 0.4, axis - half), *curve, (x(0) - 0.4, axis + half))
            yield Path(cut, "", closed=True, fill="paper")
            yield Path(((x(0), axis - half), *curve, (x(0), axis + half)), "outline")
        case "rim":
            r = size(outer(design, 0.0))
            yield line(x(0) + 0.9, axis - r, x(0) + 0.9, axis + r, "thin")
    yield from _foot(design, frame, axis, section=False)
    yield from _breaks(design, frame, axis)


def cut_open(design: Design, frame: Frame, axis: float) -> Iterator[Mark]:
    """Cut along the bore through the front: walls, block or stopper, lip, holes, foot."""
    yield from _waste(design, frame, axis)
    outside, inside = _profile(design, frame, 1.0), _profile(design, frame, 0.0)
    for sign in (-1, 1):
        wall = tuple((px, axis + sign * r) for px, r in (*outside, *inside[::-1]))
        yield Path(wall, "outline", closed=True, fill="wood")
    for start, stop in design.tube.avoid:
        yield from _node(design, frame, axis, start, stop)
    yield from _holes(design, frame, axis)
    yield from _mouth(design, frame, axis)
    yield from _foot(design, frame, axis, section=True)
    yield from _breaks(design, frame, axis)


def _mouth(design: Design, frame: Frame, axis: float) -> Iterator[Mark]:
    x, size, head = frame.x, frame.size, frame.head
    bore, top = size(design.tube.bore[0].value / 2), size(outer(design, 0.0))
    high, low = axis - top, axis - bore
    wall = top - bore
    match design.instrument.mouth:
        case "duct":
            flue = design.voicing.window.flue_height if design.voicing.window else None
            slit = max(SLIT, size(flue or 0.0))
            ramp = min(1.4 * wall, size(design.tube.length) / 3)
            gap = ((x(-head.window), high), (x(0) + ramp, high), (x(0), low), (x(-head.window), low))
            yield _opening(gap)
            yield line(x(-head.window), high, x(-head.window), low, "outline")
            yield line(x(0) + ramp, high, x(0), low, "outline")
            face = x(-head.window - head.cavity)
            yield box(frame.plug, low, face, axis + bore, "outline", "solid")
            if design.tube.chamber:  # the air rises before the plug and runs under a block tied on top
                back = x(-head.window - _flue_back(design))
                rise = min(size(1.0 * head.window), frame.plug - back)
                yield _opening(((back, high), (back + rise, high), (back + rise, low), (back, low)))
                yield line(back, high, back, low, "outline")
                yield line(back + rise, high, back + rise, low, "outline")
                end = x(-head.window)
                yield box(back + rise, high, end, high + min(slit, wall), "thin", "paper")
                yield box(back, high - 0.45 * bore, end, high, "thin", "solid")
            else:
                yield box(frame.plug, low, face, low + slit, "thin", "paper")
        case "transverse":
            half = size(embouchure_size(design)[0]) / 2
            yield _opening(((x(0) - half, high), (x(0) + half, high), (x(0) + half, low), (x(0) - half, low)))
            for side in (-half, half):
                yield line(x(0) + side, high, x(0) + side, low, "outline")
            yield box(frame.plug, low, x(-head.cavity), axis + bore, "outline", "solid")
        case "notch":
            length = size(embouchure_size(design)[0])
            yield _opening(((x(0) - 0.4, high - 0.4), (x(0) + length, high), (x(0), low), (x(0) - 0.4, low)))
            yield line(x(0), low, x(0) + length, high, "outline")
        case "rim":
            for sign in (-1, 1):
                tip, out = axis + sign * (bore + 0.25 * wall), axis + sign * top
                before, after = x(0) - 0.4, x(0) + 0.6 * wall
                yield _opening(((before, tip), (before, out + sign * 0.4), (after, out), (x(0), tip)))
                yield line(x(0), tip, after, out, "outline")


def _flue_back(design: Design) -> float:
    """m from the window back to where the air rises out of the slow-air chamber."""
    window, head = design.voicing.window, head_of(design)
    flue = (window.flue_length if window else None) or 0.0
    return max(flue, head.cavity + head.plug) + head.window


def _holes(design: Design, frame: Frame, axis: float) -> Iterator[Mark]:
    """Holes that the cut goes through: in the upper wall those in front, in the lower those behind."""
    for hole in design.holes:
        turn = abs((hole.side + 180) % 360 - 180)
        sign = -1 if turn <= 45 else 1 if turn >= 135 else 0
        if not sign:
            continue
        inner, out = profile(design.tube.bore, hole.at) / 2, outer(design, hole.at)
        near, far = axis + sign * frame.size(inner), axis + sign * frame.size(out)
        x, half = frame.x(hole.at), frame.size(hole.diameter) / 2
        shift = frame.size((out - inner) * tan(radians(hole.slant)))
        wide = half + frame.size(hole.undercut) / 2
        gap = ((x - half, far), (x + half, far), (x + shift + wide, near), (x + shift - wide, near))
        yield _opening(gap)
        yield Path((gap[1], gap[2]), "outline")
        yield Path((gap[3], gap[0]), "outline")


def _opening(gap: Sequence[Point]) -> Path:
    """Wood that is not there: paper a little beyond the outlines it takes away."""
    middle = sum(y for _, y in gap) / len(gap)
    wider = tuple((x, y + (0.3 if y > middle else -0.3)) for x, y in gap)
    return Path(wider, "", closed=True, fill="paper")


def _profile(design: Design, frame: Frame, share: float) -> list[Point]:
    """Radius (mm) along the tube with ``share`` of the wall, from the tube's beginning to its foot."""

    def radius(x: float) -> float:
        return frame.size(profile(design.tube.bore, x) / 2 + share * profile(design.tube.wall, x))

    points = [(frame.left, radius(0.0))] if frame.left < frame.edge - 1e-6 else []
    for place in _places(design):
        points += [(frame.x(place), radius(max(0.0, place - _STEP)))]
        if abs(radius(place + _STEP) - radius(place - _STEP)) > 1e-3:
            points += [(frame.x(place), radius(place + _STEP))]
    return points


def _places(design: Design) -> list[float]:
    """Where the tube's outline may bend: its ends and its stations (m)."""
    stations: tuple[Station, ...] = (*design.tube.bore, *design.tube.wall)
    length = design.tube.length
    return sorted({0.0, length, *(s.x for s in stations if 0.0 < s.x < length)})


def _around(profile_points: list[Point], axis: float) -> tuple[Point, ...]:
    return (
        *((x, axis - r) for x, r in profile_points),
        *((x, axis + r) for x, r in reversed(profile_points)),
    )


def _node(design: Design, frame: Frame, axis: float, start: float, stop: float) -> Iterator[Mark]:
    """A stretch where no hole may go: hatched across."""
    start, stop = max(0.0, start), min(design.tube.length, stop)
    if stop <= start:
        return
    x1, x2 = frame.x(start), frame.x(stop)
    r = frame.size(outer(design, (start + stop) / 2))
    yield box(x1, axis - r, x2, axis + r, "hair", "")
    count = max(1, round(2 * r / 1.2))
    for i in range(count):
        y = axis - r + (i + 0.5) * 2 * r / count
        yield line(x1, min(axis + r, y + 0.4), x2, max(axis - r, y - 0.4), "hair")


def _waste(design: Design, frame: Frame, axis: float) -> Iterator[Mark]:
    """What will be sawn off."""
    foot = frame.x(design.tube.length)
    if frame.right > foot + 0.1:
        r = frame.size(outer(design, design.tube.length))
        for sign in (-1, 1):
            yield line(foot, axis + sign * r, frame.right, axis + sign * r, "hidden")
        if not frame.short_waste:
            yield line(frame.right, axis - r, frame.right, axis + r, "hidden")


def _foot(design: Design, frame: Frame, axis: float, *, section: bool) -> Iterator[Mark]:
    tube = design.tube
    x, end = frame.x(tube.length), tube.length
    bore, out = frame.size(profile(tube.bore, end) / 2), frame.size(outer(design, end))
    thick = max(0.7, frame.size(profile(tube.wall, end)) * 0.6)
    fill: Fill = "solid" if section else "paper"
    match tube.foot.kind:
        case "flanged":
            for sign in (-1, 1):
                yield box(x - thick, axis + sign * out, x, axis + sign * (out + 2.2), "outline", fill)
        case "stopped" if section:
            yield box(x - 1.6 * thick, axis - bore, x, axis + bore, "outline", "solid")
        case "node" if section:
            hole = frame.size((tube.foot.diameter or 0.0) / 2)
            for sign in (-1, 1):
                yield box(x - thick, axis + sign * hole, x, axis + sign * bore, "outline", "solid")
    pen: Pen = "outline" if foot_is_cut(design) else "cut"
    yield line(x, axis - out - 2.6, x, axis + out + 2.6, pen)


def _breaks(design: Design, frame: Frame, axis: float) -> Iterator[Mark]:
    r = frame.size(outer(design, 0.0)) + 1.2
    if frame.head.open_end:
        yield from _break(frame.left + 1.5, axis, r, before=True)
    elif frame.short_chamber:
        yield from _break((frame.left + frame.plug) / 2, axis, r)
    if frame.short_waste:
        r = frame.size(outer(design, design.tube.length)) + 1.2
        yield from _break(frame.right - 1.5, axis, r, after=True)


def _break(x: float, axis: float, r: float, *, before: bool = False, after: bool = False) -> Iterator[Mark]:
    """Two slanting lines with nothing between; ``before`` and ``after``: nothing beyond either."""
    lean, half = 0.8, BREAK / 2
    wipe_left = half + (3.0 if before else 0.0)
    wipe_right = half + (3.0 if after else 0.0)
    yield Path(
        ((x - wipe_left + lean, axis - r), (x + wipe_right + lean, axis - r),
         (x + wipe_right - lean, axis + r), (x - wipe_left - lean, axis + r)),
        "", closed=True, fill="paper",
    )  # fmt: skip
    for side in (-half, half):
        if (before and side < 0) or (after and side > 0):
            continue
        yield line(x + side + lean, axis - r, x + side - lean, axis + r, "thin")
