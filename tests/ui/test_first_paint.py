"""What is loaded by the time the first screen stands: nothing that the screen does not show."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

LAZY = {
    "csv", "fontTools", "matplotlib", "msgspec", "music21", "scipy", "tomli_w", "typst", "verovio",
    "scaledesign.paper.press", "scaledesign.solver.solution", "scaledesign.files.document_write",
    "scaledesign.ui.search_work", "scaledesign.ui.cell_editor", "scaledesign.view.listing",
    "scaledesign.solver.resonance", "scaledesign.physics.flute", "scaledesign.extend.registry", "pluggy",
}  # fmt: skip
PROGRAM = """
import asyncio, sys
from pathlib import Path
from scaledesign.cli.grid_command import LATE
from scaledesign.later import later
later(*LATE)
stand_ins = {name: sys.modules[name] for name in LATE}
from scaledesign.ui.app import GridApp

path = Path(sys.argv[1]) if sys.argv[1:] else None
painted = []

class Watched(GridApp):
    def _begin(self):
        screen = self.screen._compositor.render_strips()
        painted.append("Marsh wren" in "".join(segment.text for line in screen for segment in line))
        painted.append(",".join(name for name in LATE if sys.modules[name] is not stand_ins[name]) or "none")
        painted.extend(sys.modules)
        super()._begin()

async def run():
    async with Watched(path).run_test(size=(140, 40)) as pilot:
        await pilot.pause()

asyncio.run(run())
print(*painted)
"""


@pytest.mark.parametrize("own", [False, True], ids=["an example", "a file"])
def test_the_first_screen_needs_no_library_that_it_does_not_show(wren: Path, own: bool) -> None:
    words = [sys.executable, "-c", PROGRAM, *([str(wren)] if own else [])]
    run = subprocess.run(words, capture_output=True, text=True, check=True)
    painted, too_early, *loaded = run.stdout.split()
    assert painted == "True"
    assert too_early == "none", "used before what is typed was painted"
    assert {"textual", "numpy", "scaledesign"} <= set(loaded)
    assert LAZY.isdisjoint({*loaded, *(name.partition(".")[0] for name in loaded)})
