"""The large work whose growth is measured: its sizes, what the exponent may be and why, and the work.

Apart from ``growth.py``, which times and draws. Everything is made up here; nothing is read but the bench
flute.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from scaledesign.locations import HOME_VARIABLE
from scaledesign.model.document import Design, Hand, LogEntry
from scaledesign.solver.sampling import scatter
from scaledesign.view.columns import cell_of
from scaledesign.view.desk import Desk
from scaledesign.view.rows import RowsPane
from scaledesign.workshop import ask, live
from scaledesign.workshop.book import read_book
from scaledesign.workshop.book_advice import advise
from scaledesign.workshop.calibration import learn
from scaledesign.workshop.making.plan import plan
from scaledesign.workshop.playable import playable
from tests.bench import workload
from tests.workshop.makers import WORLDS, filled, maker, tube

Call = Callable[[], object]
ANY_HAND = Hand(spread=(1.0, 1.0, 1.0), gap=1.0, pad=0.0195)
"""Reaches wherever holes are."""
ROWS = (6, 12, 25, 50, 100, 200)
HOLES = (2, 4, 6, 8, 11, 16)
READINGS = (9, 19, 38, 75, 150)
LINES = 38
"""Lines of a table in view, at most."""


@dataclass(frozen=True)
class Curve:
    """One piece of work at several sizes."""

    name: str
    counted: str
    sizes: tuple[int, ...]
    aim: float
    """The exponent may be so much."""
    why: str
    work: Callable[[int], AbstractContextManager[Call]]


@cache
def _wide() -> Design:
    return workload.wide()


def wide(rows: int, holes: int = 16) -> Design:
    """A long tube with so many rows and holes, each row wanting the note it is nearest to."""
    whole = _wide()
    if holes == len(whole.holes):
        return replace(whole, rows=whole.rows[:rows])
    places = [round(n * 15 / max(1, holes - 1)) for n in range(holes)]
    chosen = tuple(whole.holes[n] for n in places)
    return replace(
        whole,
        holes=chosen,
        rows=tuple(replace(row, holes=row.holes[:holes]) for row in whole.rows[:rows]),
    )


def meant(rows: int, holes: int = 16) -> Design:
    """The same, its rows wanting what they play with every hole 1 mm from where it is: all can be met.

    Nothing is in the way: to find out why a row cannot be met is other work than solving.
    """
    start = wide(rows, holes)
    heard = ask.predict(start).frequency
    moved = tuple(replace(hole, at=hole.at + 1e-3 * (-1) ** n) for n, hole in enumerate(start.holes))
    named = tuple(replace(row, note=f"{hertz:.3f} Hz") for row, hertz in zip(start.rows, heard, strict=True))
    return replace(start, holes=moved, rows=named, shop=replace(start.shop, hand=ANY_HAND))


def read(count: int, *, wild: bool) -> Design:
    """The bench flute with so many readings in its log; ``wild``: each of another tube in another room."""
    rng = np.random.default_rng(1)
    design = workload.load(workload.FILE)
    heard = ask.predict(design).frequency
    begun, log = datetime(2026, 1, 5, 10), []
    for number in range(count):
        row = number % 7
        hertz = heard[row] * 2 ** (rng.normal(0, 4) / 1200)
        log.append(
            LogEntry(
                begun + timedelta(hours=number), "measured", design.rows[row].holes, f"{hertz:.2f} Hz",
                round(float(rng.uniform(15, 25)), 1) if wild else 22.0,
                design.tube.length * (1 + 0.01 * float(rng.random())) if wild else None,
                hole=number % 6,
            )
        )  # fmt: skip
    return replace(design, log=tuple(log))


@cache
def _finished() -> tuple[str, ...]:
    """Files of twenty finished flutes of one maker's."""
    random = np.random.default_rng(7)
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home)
        filled(folder, maker(WORLDS[1], random), 20, random)
        return tuple(path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.toml")))


@contextmanager
def _book(count: int) -> Iterator[Path]:
    """A folder of so many designs, in a home of its own; several may be open, so a call says which home."""
    before, texts = os.environ.get(HOME_VARIABLE), _finished()
    with tempfile.TemporaryDirectory() as home:
        os.environ[HOME_VARIABLE] = home
        folder = Path(home) / "flutes"
        folder.mkdir()
        for number in range(count):
            when = (datetime(2000, 1, 1) + timedelta(hours=7 * number)).isoformat()
            text = re.sub(r"(?m)^when .*", f"when = {when}", texts[number % len(texts)])
            (folder / f"{number:04}.toml").write_text(text, encoding="utf-8")
        try:
            yield folder
        finally:
            os.environ.pop(HOME_VARIABLE)
            if before is not None:
                os.environ[HOME_VARIABLE] = before


def _plain(make: Callable[[int], Call]) -> Callable[[int], AbstractContextManager[Call]]:
    """Work that needs nothing around it."""

    @contextmanager
    def work(size: int) -> Iterator[Call]:
        yield make(size)

    return work


def _predict_rows(rows: int) -> Call:
    design = wide(rows)
    return lambda: ask.predict(design)


def _predict_holes(holes: int) -> Call:
    design = wide(200, holes)
    return lambda: ask.predict(design)


def _solve_rows(rows: int) -> Call:
    design = meant(rows)
    return lambda: ask.solve(design)


def _solve_holes(holes: int) -> Call:
    design = meant(50, holes)
    return lambda: ask.solve(design)


def _sampled(count: int) -> Call:
    problem = workload.lowered(workload.load(workload.FILE)).problem
    return lambda: scatter(problem, count=count)


def _sampled_wide(count: int) -> Call:
    problem = workload.lowered(wide(200)).problem
    return lambda: scatter(problem, count=count)


def _learnt(count: int) -> Call:
    design = read(count, wild=False)
    return lambda: learn(design, design)


def _learnt_wild(count: int) -> Call:
    design = read(count, wild=True)
    return lambda: learn(design, design)


def _planned(count: int) -> Call:
    design = read(count, wild=False)
    bored = tuple(
        LogEntry(design.log[0].when, "drilled", hole=i, at=hole.at, diameter=hole.diameter)
        for i, hole in enumerate(design.holes)
    )
    design = replace(
        design,
        log=(*bored, *design.log),
        holes=tuple(replace(hole, drilled=True) for hole in design.holes),
    )
    taught = learn(design, design).design
    return lambda: plan(taught)


def _fingerings(count: int) -> Call:
    holes = int(np.log2(count)) - 1
    design = wide(1, holes)
    return lambda: playable(design, halves=False)


@contextmanager
def _book_cold(count: int) -> Iterator[Call]:
    with _book(count) as folder:
        notes = os.environ[HOME_VARIABLE]

        def call() -> None:
            os.environ[HOME_VARIABLE] = notes
            for path in Path(notes).rglob("book.json"):
                path.unlink()
            read_book(folder)

        yield call


@contextmanager
def _book_warm(count: int) -> Iterator[Call]:
    with _book(count) as folder:
        notes = os.environ[HOME_VARIABLE]

        def call() -> None:
            os.environ[HOME_VARIABLE] = notes
            read_book(folder)

        call()
        yield call


@contextmanager
def _book_asked(count: int) -> Iterator[Call]:
    with _book(count) as folder:
        found = read_book(folder)
        design = tube(np.random.default_rng(3))
        yield lambda: advise(replace(found), design)


def _desk(rows: int) -> Desk:
    desk = Desk.of(wide(rows), None).holding()
    return desk.answered(live.held(desk.design), desk.revision)


def _painted(desk: Desk) -> None:
    pane = RowsPane()
    columns = pane.columns(desk.sheet)
    for row in range(min(LINES, pane.count(desk.sheet))):
        for column in columns:
            cell_of(desk.sheet, "rows", row, column)


def _paint(rows: int) -> Call:
    desk = _desk(rows)
    return lambda: _painted(replace(desk))


def _edit(rows: int) -> Call:
    desk = _desk(rows)

    def call() -> None:
        after = desk.nudged(1, 0.0)
        after = after.answered(live.held(after.design), after.revision)
        _painted(after)

    return call


NEAR = "one step more for each: near linear"
CURVES = (
    Curve("predict, rows", "rows of 16 holes", ROWS, 1.2, NEAR, _plain(_predict_rows)),
    Curve("predict, holes", "holes, 200 rows", HOLES, 2.2, "openings act on each other two by two: square",
          _plain(_predict_holes)),
    Curve("solve, rows", "rows of 16 holes", ROWS, 1.2, NEAR, _plain(_solve_rows)),
    Curve("solve, holes", "holes, 50 rows", HOLES, 3.2,
          "each step solves for 2 holes + 1 dimensions under as many rules: cube", _plain(_solve_holes)),
    Curve("sampled flutes", "flutes, 13 rows of 6 holes", (312, 625, 1250, 2500, 5000, 10_000), 1.2, NEAR,
          _plain(_sampled)),
    Curve("sampled flutes, wide", "flutes, 200 rows of 16 holes", (10, 20, 40, 80, 160), 1.2, NEAR,
          _plain(_sampled_wide)),
    Curve("book, first read", "designs", (62, 125, 250, 500, 1000, 2000), 1.2, NEAR, _book_cold),
    Curve("book, read again", "designs", (62, 125, 250, 500, 1000, 2000), 1.2, NEAR, _book_warm),
    Curve("book, asked", "designs", (62, 125, 250, 500, 1000, 2000), 1.2,
          "the sixty most alike are weighed against each other, the others only found: near linear",
          _book_asked),
    Curve("readings, one room", "readings", READINGS, 1.2, NEAR, _plain(_learnt)),
    Curve("readings, each its own", "readings, each of a tube and room of its own", READINGS, 1.2, NEAR,
          _plain(_learnt_wild)),
    Curve("bench plan", "readings in the log", READINGS, 1.2, NEAR, _plain(_planned)),
    Curve("fingering search", "fingerings of 4 to 12 holes", (32, 128, 512, 2048, 8192), 1.4,
          "four times as many fingerings have two holes more: a little over linear", _plain(_fingerings)),
    Curve("grid, one paint", "rows of 16 holes", (40, 60, 90, 134, 200), 0.3,
          "only the lines in view are made: none", _plain(_paint)),
    Curve("grid, one edit", "rows of 16 holes, held still", ROWS, 1.2, NEAR, _plain(_edit)),
)  # fmt: skip
