"""The maker's book on the screen: opened from the commands, read in a thread, taken as one step."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scaledesign.ui.question_screen import QuestionScreen
from scaledesign.ui.worked_list import WorkedList
from tests.ui.driving import NARROW, opened
from tests.workshop.makers import Maker, filled


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("flutes")
    filled(folder, Maker(0.22, 0.0, 0.0, 0.05), 3, np.random.default_rng(1))
    return folder


async def test_what_the_flutes_taught_is_put_into_the_one_in_hand(
    wren: Path, home: Path, finished: Path
) -> None:
    (home / "settings.toml").write_text(f"[book]\nfolder = '{finished}'\n")
    async with opened(wren, size=NARROW) as grid:
        before = grid.desk.design.voicing
        await grid.press("ctrl+p")
        await grid.type("finished flutes taught")
        await grid.press("enter")
        assert isinstance(grid.screen, WorkedList)
        assert "Flute 2" in grid.shown()
        assert "measured the bare tube" in grid.shown()
        await grid.press("tab")
        assert "from 3 flutes of yours, ± 59 without" in grid.shown()
        await grid.press("enter")
        assert grid.desk.design.voicing.added_length is not None
        assert grid.said.startswith("The mouth is taken to add 3")
        await grid.press("ctrl+z")
        assert grid.desk.design.voicing == before
        await grid.press("ctrl+n")
        assert isinstance(grid.screen, QuestionScreen)
        await grid.type("16 x 4")
        await grid.until(lambda: "from 3 flutes of yours" in " ".join(grid.shown().split()), "the book")


async def test_without_a_folder_it_is_asked_for_once(wren: Path, home: Path, finished: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        for first in (True, False):
            await grid.press("ctrl+p")
            await grid.type("finished flutes taught")
            await grid.press("enter")
            if first:
                assert "settings.toml" in grid.shown()
                assert not list(home.rglob("settings.toml"))
                await grid.type("nowhere-at-all")
                await grid.press("enter")
                assert "There is no folder" in grid.shown()
                await grid.press(*["backspace"] * 14)
                await grid.type(str(finished))
                await grid.press("enter")
            assert isinstance(grid.screen, WorkedList)
            assert "Flute 2" in grid.shown()
            await grid.press("escape")
