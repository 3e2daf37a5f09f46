"""Desks to work at without a screen: opened, answered as a screen would have it, moved about and typed at."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Hole, Row, Station, Tube, Tuning
from scaledesign.view.columns import Cell, Column, PaneName, cell_of
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.lines import Line, text_of
from scaledesign.view.selection import Selection
from scaledesign.view.setup import fields
from scaledesign.workshop import live

NAMES = tuple(sorted(path.stem for path in EXAMPLES.glob("*.toml")))
WREN = "marsh-wren"


@cache
def example(name: str = WREN) -> Design:
    """One of the designs that the package ships."""
    return scaledesign.load(EXAMPLES / f"{name}.toml")


def answered(desk: Desk) -> Desk:
    """The desk once the engine has said all it has to say, asked as a screen asks it."""
    while desk.want is not None:
        want = desk.want
        if want.kind == "predict":
            answer = live.held(want.design)
        else:
            answer = live.quick(want.design, want.last)
            if not answer.final:
                desk = desk.answered(answer, want.revision)
                answer = live.thorough(want.design)
        desk = desk.answered(answer, want.revision)
    return desk


@cache
def opened(name: str = WREN) -> Desk:
    """An example just opened, and predicted."""
    return answered(Desk.of(example(name), EXAMPLES / f"{name}.toml"))


def desk_of(design: Design) -> Desk:
    """Any design just opened, and asked about."""
    return answered(Desk.of(design, None))


def column_of(desk: Desk, pane: PaneName, key: str) -> int:
    """The number of a pane's column."""
    return [column.key for column in PANES[pane].columns(desk.sheet)].index(key)


def line_of(desk: Desk, *path: str) -> int:
    """The line of the form that holds a field."""
    return [field.path for field in fields(desk.design)].index(path)


def at(desk: Desk, pane: PaneName, row: int, key: str) -> Desk:
    """The cursor in a cell."""
    return desk.going(Selection(row, column_of(desk, pane, key)), pane)


def ranged(desk: Desk, pane: PaneName, rows: range, first: str, last: str) -> Desk:
    """The selection drawn over a block of cells."""
    left, right = column_of(desk, pane, first), column_of(desk, pane, last)
    return desk.going(Selection(rows[-1], right, rows[0], left), pane)


def typed(desk: Desk, pane: PaneName, row: int, key: str, text: str, now: float | None = None) -> Desk:
    """A text typed into a cell and answered; each a step of its own unless ``now`` says otherwise."""
    return answered(at(desk, pane, row, key).typed(text, later(desk) if now is None else now))


def set_field(desk: Desk, text: str, *path: str) -> Desk:
    """A text typed into a field of the form and answered."""
    return typed(desk, "setup", line_of(desk, *path), "value", text)


def later(desk: Desk) -> float:
    """A time long after the last edit."""
    return desk.history.time + 60.0


def cell(desk: Desk, pane: PaneName, row: int, key: str) -> Cell:
    """What a cell shows."""
    return cell_of(desk.sheet, pane, row, column(desk, pane, key))


def column(desk: Desk, pane: PaneName, key: str) -> Column:
    """A column of a pane."""
    return PANES[pane].columns(desk.sheet)[column_of(desk, pane, key)]


def shown(desk: Desk, pane: PaneName, row: int, key: str) -> str:
    """What a cell shows, without its tones."""
    return text_of(cell(desk, pane, row, key).line)


def text(desk: Desk, pane: PaneName, row: int, key: str) -> str:
    """The exact text of a cell."""
    return column(desk, pane, key).text(desk.sheet, row)


def words(*lines: Line) -> str:
    """Lines of the screen as one text."""
    return "\n".join(text_of(line) for line in lines)


def see_everything(desk: Desk) -> None:
    """Look at every cell of every pane as a screen and the clipboard do; none may raise."""
    sheet = desk.sheet
    for name, pane in PANES.items():
        columns = pane.columns(sheet)
        for row in range(pane.count(sheet)):
            pane.heading(sheet, row)
            for one in columns:
                cell_of(sheet, name, row, one)
                one.text(sheet, row)
                pane.help(sheet, row, one)
                if one.choices is not None:
                    one.choices(sheet, row)
                if one.order is not None:
                    one.order(sheet, row)


def without_rows() -> Design:
    return replace(example(), rows=())


def without_holes() -> Design:
    rows = (Row("A4", ()), Row("A5", (), register=2, role="alternate"))
    return replace(example(), holes=(), rows=rows)


def bare() -> Design:
    """A tube, and nothing else."""
    return Design(Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.0035),)))


def silent() -> Design:
    """A tube so wide that the third register of its last row is no plane wave any more."""
    design = three_holes()
    holes = tuple(replace(hole, at=hole.at / 2) for hole in design.holes)
    tube = replace(design.tube, length=0.2, bore=(Station(0.0, 0.06),))
    return replace(
        design, tube=tube, holes=holes, rows=(*design.rows[:2], replace(design.rows[2], register=3))
    )


def nameless_scale() -> Design:
    """A scale that nobody offers."""
    return replace(example(), tuning=replace(example().tuning, scale="moonlit", degrees=()))


def three_holes() -> Design:
    """A small flute with a tuning hole, solved for nothing."""
    return Design(
        tube=Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.0035),)),
        tuning=Tuning(tonic="A4", scale="pentatonic minor"),
        holes=(Hole(0.15, 0.008, finger="L1"), Hole(0.2, 0.007), Hole(0.25, 0.006, finger="R1")),
        rows=(Row("A4", ("X", "X")), Row("C5", ("X", "O")), Row("D5", ("O", "O"))),
    )
