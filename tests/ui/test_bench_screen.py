"""The bench on the screen: a step noted, refused, taken back; the grid's own undo; small and large."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

import scaledesign
from scaledesign.ui.bench_screen import BenchScreen
from scaledesign.workshop.making.plan import next_step
from scaledesign.workshop.noting import Told, note
from tests.cli.hidden import tuner
from tests.cli.test_bench import THREE
from tests.ui.driving import NARROW, WIDE, Grid, opened


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A flute of three holes, blown bare, to be cut."""
    path = tmp_path_factory.mktemp("rail") / "rail.toml"
    path.write_text(THREE, encoding="utf-8")
    design = scaledesign.solve(scaledesign.load(path)).design
    long = replace(design, tube=replace(design.tube, length=0.410))
    told = Told(blew=tuner(long, ()), length=0.410)
    noted = note(design, next_step(design), told, datetime(2026, 3, 1, 14, 30), next_step)
    scaledesign.save(noted.design, path)
    return path


def bench_of(grid: Grid) -> BenchScreen:
    screen = grid.screen
    assert isinstance(screen, BenchScreen)
    return screen


async def at_the_bench(grid: Grid, *keys: str) -> BenchScreen:
    await grid.press(*keys)
    return bench_of(grid)


async def test_a_step_is_noted_refused_taken_back_and_done_again(begun: Path) -> None:
    async with opened(begun, size=NARROW) as grid:
        before = grid.desk.design
        screen = await at_the_bench(grid, "alt+n")
        assert "Cut the foot: leave " in grid.shown()
        step = screen.bench.step
        assert step is not None
        # nothing is taken without a reading, and none that lies in another register
        await grid.press("enter")
        assert "Type what the tuner shows" in grid.shown()
        await grid.type("A5 +0")
        await grid.press("tab", "enter")  # from the length: the reading is in hand to be mended
        assert "an octave above" in grid.shown()
        assert screen.focused is screen.query_one("#tuner")
        assert grid.desk.design is before
        # as told, and heard: one step of the one history; what is typed takes the place of what was refused
        said = screen.bench.expected
        await grid.type(said)
        await grid.press("enter")
        after = grid.desk.design
        assert [entry.event for entry in after.log] == ["measured", "cut", "measured"]
        assert after.log[1].length == step.to
        assert after.log[2].measured == said
        assert grid.desk.history.undo_name.startswith("bench: Cut to")
        assert "Cut to" in grid.shown()
        assert f"Heard {said}, expected" in grid.shown()
        assert grid.desk.want is None
        assert grid.desk.answer.design == after  # nothing was moved since
        await grid.press("ctrl+z")
        assert grid.desk.design is before
        assert "Taken back: Cut to" in grid.shown()
        await grid.press("ctrl+y")
        assert grid.desk.design == after
        await grid.press("escape")
        assert grid.screen is grid.main
        await grid.press("ctrl+z")
        assert grid.desk.design is before


async def test_what_was_noted_another_day_is_taken_back_in_the_log(begun: Path) -> None:
    async with opened(begun, size=WIDE) as grid:
        await at_the_bench(grid, "shift+f4")
        await grid.press("ctrl+z")
        assert grid.desk.design.log == ()
        assert grid.desk.history.undo_name.startswith("bench: ")
        assert "Nothing is done to this tube yet" in grid.shown()
        assert "Blow the bare tube." in grid.shown()
        # the tube was left longer than planned: nothing is taken until its length is typed too
        nothing = grid.desk.design
        await grid.settled()
        await grid.type("G#4 -26")
        await grid.press("enter")
        assert "type its length too" in grid.shown()
        assert grid.desk.design is nothing
        await grid.type("wide")
        await grid.press("tab", "enter")  # the line that cannot be read is in hand to be mended
        assert bench_of(grid).focused is bench_of(grid).query_one("#size")
        await grid.type("410 mm")
        await grid.press("enter")
        await grid.until(lambda: grid.desk.design.log != (), "it is noted")


async def test_a_reading_that_is_left_out_is_seen_and_the_next_one_is_a_reading_alone(begun: Path) -> None:
    """On the small screen too: nobody who blows it again is booked to have taken wood off."""
    async with opened(begun, size=NARROW) as grid:
        screen = await at_the_bench(grid, "alt+n")
        while (step := screen.bench.step) is not None and step.kind != "read":
            if step.kind == "drill":
                await grid.press("f5")
            else:
                await grid.type(screen.bench.expected)
                await grid.press("enter")
            await grid.settled()
        assert step is not None
        assert step.sounds is not None
        await grid.type(f"{step.sounds * 2 ** (-40 / 1200):.1f} Hz")
        await grid.press("enter")
        await grid.settled()
        shown = grid.shown()
        assert "is left out: blow it once more before anything is cut" in shown
        assert "is left" in shown.partition("tuner shows")[2]
        assert "Blow it again" in shown
        before = grid.desk.design.log
        await grid.type(screen.bench.expected)
        await grid.press("enter")
        await grid.settled()
        assert [entry.event for entry in grid.desk.design.log[len(before) :]] == ["measured"]


async def test_something_else_was_done(begun: Path) -> None:
    async with opened(begun, size=WIDE) as grid:
        await at_the_bench(grid, "alt+n")
        await grid.press("f6")
        await grid.type("drilled")
        await grid.press("tab")
        await grid.type("3")
        await grid.press("tab")
        await grid.type("4.5 mm")
        await grid.press("tab", "enter")
        await grid.until(lambda: len(grid.desk.design.log) == 2, "it is noted")
        assert [entry.event for entry in grid.desk.design.log] == ["measured", "drilled"]
        await grid.settled()
        assert "Drilled hole 3 (R3), 4.5 mm." in grid.shown()
        assert "Blow B4" in grid.shown()


async def test_every_task_of_the_bench_has_one_door(begun: Path) -> None:
    from scaledesign.view.actions import ACTIONS

    async with opened(begun, size=WIDE) as grid:
        await grid.press("ctrl+p")
        await grid.type("at the bench")
        await grid.press("enter")
        shown = grid.shown()
        for action in ACTIONS:
            if action.group == "the bench" and action.name != "benchwork":
                assert action.title in shown
        await grid.press("enter")
        bench_of(grid)
