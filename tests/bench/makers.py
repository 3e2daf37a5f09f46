"""Three makers of the same hidden flute: by the plan, by the design alone, by the tuner alone.

Apart from the flute and the bench they work at (``hidden_flute.py``), whose secrets none of them sees.

plan      does what ``next_step`` says, word for word, until it says done or ``CAP`` steps were taken;
          where it says to wait for another day, another day begins (``Bench.another_day``). What
          was asked for goes into the log; of a filed hole what the callipers show. The design is laid out
          anew before the next hole or cut; while a hole is in hand that would hardly move anything on it.
straight  cuts the tube and drills every hole as the design has it; blows nothing.
thumb     a good maker without a model (common practice, no source): cuts the bare tube to pitch in three or
          four goes, reckoning what to cut from the cents and what the last cut did, and lets it stay 3
          cents flat, as new holes seldom sharpen it; marks the holes from the foot as the design has them,
          so that a mouth that adds more or less than planned moves them along; then from the foot upward a
          pilot of 60 % of the planned bit, the tuner, and the next bit 0.5 mm wider, while the note is
          flat. When the next bit would, by what the last one did, go past the note, the rest is filed by
          the same rule of three. A note within 3 cents is left. A reading near the edge is taken twice. At
          the end the foot is trimmed where the lowest note is flat, every note is blown again, and those
          more than 4 cents flat are filed once more. The room is the design's, and the flute is never laid
          aside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Row
from scaledesign.workshop import ask
from tests.bench.hidden_flute import CENT, MM, Bench, HiddenFlute, World

CAP = 150
"""Steps after which a plan is left: the flute counts as it stands."""
LEFT_LONG = (15.0, 40.0)
"""mm by which a raw tube is longer than planned where the design names none."""
START = datetime(2026, 1, 5, 9)
WORK = ("drill", "open", "file", "undercut", "fill")
BIT = 0.5 * MM
GIVE, LEFT_FLAT = 3.0, 3.0
"""Cents within which the tuner's man leaves a note, and by which he leaves the bare tube flat."""


@dataclass
class Made:
    """What came of one flute."""

    flute: HiddenFlute
    steps: int = 0
    """From the first hole on."""
    readings: int = 0
    """The same."""
    work: int = 0
    """On holes."""
    filled: int = 0
    days: int = 0
    """On how many more the plan asked for the flute to be taken up again."""
    capped: bool = False
    failed: str = ""
    story: list[str] = field(default_factory=list)


def flute_of(design: Design, world: World, raw: float) -> HiddenFlute:
    """The raw tube with its mouth made; ``raw`` m by which it is longer than planned."""
    target = ask.targets(design)
    lowest = min(f for f, row in zip(target, design.rows, strict=True) if row.counts)
    length = design.tube.length + raw
    if design.tube.blank is not None:
        length = max(design.tube.blank, design.tube.length)
    return HiddenFlute(design, world, length, lowest)


def straight(design: Design, flute: HiddenFlute, rng: np.random.Generator) -> Made:
    """By the design's numbers alone."""
    bench = Bench.begun(flute, rng)
    bench.cut(design.tube.length)
    for h, hole in enumerate(design.holes):
        bench.drill(h, hole.at, hole.diameter)
        if hole.undercut:
            bench.undercut(h, hole.undercut)
    return Made(flute, steps=len(design.holes), work=len(design.holes))


# ---- by the tuner alone ----


def thumb(design: Design, flute: HiddenFlute, rng: np.random.Generator) -> Made:
    """A good maker with a tuner and no model; see the module."""
    return _Tuner(design, flute, Bench.begun(flute, rng, off=0.0)).made()


def told_by(design: Design, hole: int) -> Row | None:
    """The note that tells of a hole: it counts and opens this one topmost; of several what opens most."""
    fingered = design.fingered()
    told = []
    for row in design.rows:
        opened = [i for i, s in zip(fingered, row.holes, strict=True) if s == "O"]
        plain = row.counts and row.register == 1 and "H" not in row.holes
        if plain and min(opened, key=lambda i: design.holes[i].at, default=None) == hole:
            told.append((len(opened), row))
    return max(told, key=lambda pair: pair[0])[1] if told else None


class _Tuner:
    def __init__(self, design: Design, flute: HiddenFlute, bench: Bench) -> None:
        self.design, self.flute, self.bench = design, flute, bench
        self.target = dict(zip(design.rows, ask.targets(design), strict=True))
        self.gain: dict[int, float] = {}
        """Cents a mm, by the last step of a bit."""
        self.width: dict[int, float] = {}
        self.asked = flute.length

    def made(self) -> Made:
        """Cut, drilled and touched up."""
        design = self.design
        lowest = min((row for row in design.rows if row.counts), key=lambda row: self.target[row])
        self.cut(lowest, LEFT_FLAT, (0.7, 0.85, 1.0, 1.0))
        work, read = self.bench.work, self.bench.readings
        moved = self.asked - design.tube.length
        for h in sorted(range(len(design.holes)), key=lambda i: -design.holes[i].at):
            self.hole(h, design.holes[h].at + moved)
        self.cut(lowest, 0.0, (0.8, 1.0))
        for h, hole in enumerate(design.holes):
            row = told_by(design, h)
            if row is not None and (off := self.off(row)) < -GIVE - 1:
                more = -off / self.gain.get(h, 30.0)
                self.file(h, self.width[h] + min(more, 0.1 * hole.diameter / MM) * MM)
        work, read = self.bench.work - work, self.bench.readings - read
        return Made(self.flute, steps=work + read, readings=read, work=work)

    def off(self, row: Row) -> float:
        """Cents the tuner shows off a row's note; far flat where it does not speak. Twice near the edge."""
        read = [self._once(row)]
        if GIVE - 2 <= abs(read[0]) <= GIVE + 3:
            read.append(self._once(row))
        return float(np.mean(read))

    def _once(self, row: Row) -> float:
        shown = self.bench.tuner(row.holes, row.register)
        return -300.0 if shown is None else CENT * math.log(shown[1] / self.target[row])

    def cut(self, row: Row, flat: float, shares: tuple[float, ...]) -> None:
        """The tube to a note with all closed, left ``flat`` cents; ``shares`` of what is left each time."""
        each = 1200 / math.log(2) / (345.0 / (2 * self.target[row]))
        last: tuple[float, float] | None = None
        for share in shares:
            off = self.off(row) + flat
            if off > -GIVE:
                return
            if last is not None and off - last[1] > 8:
                each = (off - last[1]) / (last[0] - self.asked)
            last = (self.asked, off)
            self.asked -= share * -off / each
            self.bench.cut(self.asked)

    def hole(self, h: int, at: float) -> None:
        """From the pilot until the tuner says that it is in tune."""
        design, bench, planned = self.design, self.bench, self.design.holes[h].diameter
        row, bits = told_by(design, h), bit_set(design.shop.bits)
        width = planned if row is None else bits.below(0.6 * planned) or bits.diameters[0]
        bench.drill(h, at, width)
        self.width[h] = width
        if row is None:
            return
        most = min(max(planned + 2 * MM, 1.25 * planned), 0.85 * design.tube.bore[0].value)
        off = self.off(row)
        while off < -GIVE and width < most - 0.05 * MM:
            room = -off / self.gain[h] * MM if h in self.gain else math.inf
            if room < BIT:
                self.file(h, min(width + max(0.9 * room, 0.1 * MM), most))
            else:
                bench.open(h, min(width + BIT, most))
                self.width[h] = min(width + BIT, most)
            now = self.off(row)
            if self.width[h] - width > 0.6 * BIT:  # a step wide enough to tell what a step does
                self.gain[h] = max((now - off) / ((self.width[h] - width) / MM), 8.0)
            off, width = now, self.width[h]

    def file(self, h: int, width: float) -> None:
        """Opened with a file; he does not write down what the callipers show."""
        self.bench.file(h, width)
        self.width[h] = max(width, self.width[h])


# ---- by the plan ----


def follow(design: Design, flute: HiddenFlute, rng: np.random.Generator, *, tell: bool = False) -> Made:
    """What the plan says, step by step."""
    return _Follower(design, flute, Bench.begun(flute, rng), rng, tell).made()


class _Follower:
    def __init__(self, design, flute, bench, rng, tell) -> None:
        self.design, self.flute, self.bench, self.tell = design, flute, bench, tell
        self.when = START
        aside = rng.random() < 0.5
        self.aside = int(rng.integers(1, len(design.holes))) if aside else None
        self.result = Made(flute)
        self.begun = 0

    def made(self) -> Made:
        from scaledesign.workshop.making import acts, plan

        stale = False
        try:
            for _ in range(CAP):
                step = plan.next_step(self.design)
                if stale and step.kind not in ("read", "open", "file", "undercut", "fill"):
                    self.design = acts.resolved(self.design)
                    stale = False
                    step = plan.next_step(self.design)
                if step.kind == "done":
                    break
                self.when += timedelta(minutes=5)
                self._maybe_aside(step)
                if step.rest:
                    self.result.days += 1
                    self._another_day(1)
                self.do(step, acts)
                stale = True
            else:
                self.result.capped = True
        except Exception as error:  # noqa: BLE001 - a plan that breaks off is counted, not hidden
            self.result.failed = f"{type(error).__name__}: {error}"
        return self.result

    def _maybe_aside(self, step) -> None:
        if self.aside is not None and step.kind == "drill" and len(self.flute.holes) >= self.aside:
            self.aside = None
            self._another_day(3)

    def _another_day(self, later: int) -> None:
        self.bench.another_day()
        self.when += timedelta(days=later)
        self._say("another day")

    def do(self, step, acts) -> None:
        bench, when, hole = self.bench, self.when, step.hole
        counted = bool(self.flute.holes) or step.kind == "drill"
        self.result.steps += counted
        self.result.work += step.kind in WORK
        self.result.filled += step.kind == "fill"
        if step.kind == "blow":
            self._heard(bench.tuner((), step.register), step, acts)
        elif step.kind == "read":
            self.result.readings += counted
            self._heard(bench.tuner(step.holes, step.register), step, acts)
        elif step.kind == "cut":
            bench.cut(step.to)
            self.design = acts.cut(self.design, step.to, when)
        elif step.kind == "drill":
            bench.drill(hole, step.at, step.bit or step.to)
            self.design = acts.drilled(self.design, hole, step.bit or step.to, when, at=step.at)
        elif step.kind == "open":
            bench.open(hole, step.bit or step.to)
            self.design = acts.opened(self.design, hole, when, diameter=step.bit or step.to)
        elif step.kind == "file":
            shown = bench.file(hole, step.to)
            self.design = acts.opened(self.design, hole, when, diameter=max(shown, step.now or 0.0))
        elif step.kind == "undercut":
            bench.undercut(hole, step.to)
            self.design = acts.opened(self.design, hole, when, undercut=step.to)
        elif step.kind == "fill":
            bench.fill(hole, step.to)
            self.design = acts.filled(self.design, hole, when, diameter=step.to)
        else:
            raise ValueError(f"no such step: {step.kind}")
        if self.tell and step.kind not in ("read", "blow"):
            self._say(_shown(step))

    def _heard(self, shown, step, acts) -> None:
        if shown is None:
            raise ValueError("the note does not speak")
        said = shown[0]
        length = self.flute.length if step.kind == "blow" else None
        if length is not None:
            known = acts.length_now(self.design)
            length = known if known is not None else round(length, 4)
        reads = acts.blown(
            self.design, said, self.when, hole=hole_of(step), holes=step.holes, register=step.register,
            temperature=self.bench.day.typed, length=length,
        )  # fmt: skip
        if reads.design is self.design:
            raise ValueError(f"the plan does not take {said}: {' '.join(reads.notes)}")
        self.design = reads.design
        if self.tell:
            off = CENT * math.log(shown[1] / step.sounds) if step.sounds else math.nan
            self._say(f"{_shown(step)} -> {said} ({off:+.0f} from foretold ±{step.sure or 0:.0f})")

    def _say(self, text: str) -> None:
        self.result.story.append(text)


def hole_of(step) -> int | None:
    """The hole that is listened for; none for the bare tube."""
    return step.hole if step.kind == "read" else None


def _shown(step) -> str:
    def mm(value):
        return "-" if value is None else f"{value / MM:.2f}"

    off = "" if step.off is None else f" off {step.off:+.1f}±{step.off_sure or 0:.1f}"
    fingering = "".join(step.holes)
    where = "" if step.hole is None else f" hole {step.hole + 1}"
    return f"{step.kind}{where} {mm(step.now)} -> {mm(step.to)} of {mm(step.final)} {fingering}{off}"
