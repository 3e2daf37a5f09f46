"""scales, systems and plugins list what the catalogue has."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.extend.registry import catalogue
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run


@pytest.mark.parametrize("command", ["scales", "systems", "plugins"])
def test_text_and_json_name_the_same(run: Run, command: str) -> None:
    text = run(command)
    assert (text.code, text.err) == (0, "")
    assert max(map(len, text.out.splitlines())) <= WIDTH
    found = run(command, "--json").object[command]
    names = [each["name"] for each in found]
    assert names == [each.name for each in getattr(catalogue(), command)()]
    assert names
    assert all(name in text.out for name in names)


def test_every_scale_has_words_and_a_source(run: Run) -> None:
    for scale in run("scales", "--json").object["scales"]:
        assert scale["words"], scale["name"]
        assert scale["source"], scale["name"]


def test_a_broken_plug_in_is_named_and_the_rest_goes_on(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "bad.py").write_text("raise RuntimeError('out of reeds')\n")
    monkeypatch.setenv("SCALEDESIGN_PLUGINS", str(tmp_path))
    result = run("plugins")
    assert result.code == 0
    assert "switched off" in result.out
    assert "out of reeds" in result.out
    assert "pentatonic minor" in run("scales").out
