"""DEVELOPERS.md says what is so: hooks, layers, and an example that works."""

from __future__ import annotations

import inspect
import re
import tomllib
from pathlib import Path

import pytest

from scaledesign.extend import hookspecs
from scaledesign.extend.registry import catalogue

CHECKOUT = Path(__file__).parents[2]
TEXT = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")


def hooks() -> dict[str, str]:
    """Every hook and its arguments, from the hookspecs."""
    return {
        name: ", ".join(inspect.signature(function).parameters)
        for name, function in vars(hookspecs).items()
        if hasattr(function, f"{hookspecs.PROJECT}_spec")
    }


def test_the_hook_table_is_the_hookspecs() -> None:
    rows = re.findall(r"^\| `(\w+)\(([^)]*)\)` \|", TEXT, re.MULTILINE)
    assert dict(rows) == hooks()


def test_the_layer_picture_is_the_contract() -> None:
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))
    (contract,) = project["tool"]["importlinter"]["contracts"]
    wanted = [layer for layer in contract["layers"] if layer != "__main__" and not layer.startswith("(")]
    picture = TEXT.split("```")[1].strip().splitlines()
    assert [re.split(r"\s{3,}", line)[0] for line in picture] == wanted


def test_the_example_plug_in_works(tmp_path: Path) -> None:
    (example,) = re.findall(r"```python\n(.*?)```", TEXT, re.DOTALL)
    (tmp_path / "two_hole.py").write_text(example, encoding="utf-8")
    found = catalogue(folders=(tmp_path,))
    system = found.system("two-hole")
    assert [fingering.holes for fingering in system.others] == ["OX"]
    (status,) = [plugin for plugin in found.plugins() if plugin.where.endswith("two_hole.py")]
    assert status.ok, status.problem


def test_the_example_scale_works(tmp_path: Path) -> None:
    (example,) = re.findall(r"```toml\n(\[scale\].*?)```", TEXT, re.DOTALL)
    example = example.replace('"just pentatonic minor"', '"just pentatonic minor, tried"')
    (tmp_path / "tried.toml").write_text(example, encoding="utf-8")
    scale = catalogue(folders=(tmp_path,)).scale("just pentatonic minor, tried")
    assert scale.cents[3] == pytest.approx(701.955, abs=1e-3)


def test_no_hook_is_without_a_docstring_that_says_since_when() -> None:
    for name in hooks():
        assert "Since " in (inspect.getdoc(getattr(hookspecs, name)) or ""), name
