"""A maker's own keys as settings.toml has them, pressed at the screen."""

from __future__ import annotations

import string
from pathlib import Path

import pytest
from textual.keys import _character_to_key

from scaledesign.view.actions import keymap
from tests.ui.driving import opened


@pytest.mark.parametrize("sign", sorted({*string.punctuation} - {","}))
def test_a_sign_is_the_key_that_terminals_send_for_it(sign: str) -> None:
    assert keymap([("save", sign)])["save"] == (_character_to_key(sign),)


@pytest.mark.parametrize("sign", ["?", "]", "/"])
async def test_a_sign_as_own_key_does_what_it_is_for(home: Path, wren: Path, sign: str) -> None:
    (home / "settings.toml").write_text(f'[keys]\nhold = "{sign}"\n', encoding="utf-8")
    async with opened(wren) as grid:
        await grid.go(1, "plays")
        await grid.press(_character_to_key(sign))
        assert grid.desk.held
