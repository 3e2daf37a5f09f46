"""README shows the screen as it is and the keys as they are."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scaledesign.files.settings import PaperSettings, Settings
from scaledesign.locations import HANDBOOK
from scaledesign.outputs import usual
from scaledesign.view.actions import BY_NAME
from tests.ui import readme_parts


@pytest.mark.parametrize("name", ["picture", "keys"])
async def test_readme_is_as_the_program_is(name: str) -> None:
    text = readme_parts.README.read_text(encoding="utf-8")
    made = await readme_parts.parts()
    assert readme_parts.filled(text, {name: made[name]}) == text, "python -m tests.ui.readme_parts --write"


async def test_the_picture_fits_a_small_screen() -> None:
    lines = (await readme_parts.picture()).splitlines()
    assert len(lines) == 24 + 2
    assert max(map(len, lines)) <= 80


def test_a_part_without_its_comments_is_noticed() -> None:
    with pytest.raises(AssertionError, match="keys begin"):
        readme_parts.filled("# nothing", {"keys": "|"})


def test_the_settings_that_the_handbook_shows_can_be_read(home: Path) -> None:
    page = (HANDBOOK / "settings.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```toml\n(theme = .*?)```", page, re.DOTALL)
    (home / "settings.toml").write_text(text, encoding="utf-8")
    settings, faults = usual.settings(BY_NAME)
    assert faults == ()
    paper = PaperSettings("letter", "german", "along", True, "Reed and rush", str(home / "mark.svg"))
    book = str(Path.home() / "flutes")
    assert settings == Settings("day", "typed", "in", (("undo", "ctrl+z,ctrl+u"),), paper, book)
