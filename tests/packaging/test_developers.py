"""DEVELOPERS.md says what is so: layers, and a scale that works.

Its hook table and plug-in are held to the hooks in ``tests/extend/test_hooks.py``.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from scaledesign.extend.registry import catalogue

CHECKOUT = Path(__file__).parents[2]
TEXT = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_layer_picture_is_the_contract() -> None:
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))
    (contract,) = project["tool"]["importlinter"]["contracts"]
    wanted = [layer for layer in contract["layers"] if layer != "__main__" and not layer.startswith("(")]
    picture = TEXT.split("```")[1].strip().splitlines()
    assert [re.split(r"\s{3,}", line)[0] for line in picture] == wanted


def test_the_example_scale_works(tmp_path: Path) -> None:
    (example,) = re.findall(r"```toml\n(\[scale\].*?)```", TEXT, re.DOTALL)
    example = example.replace('"just pentatonic minor"', '"just pentatonic minor, tried"')
    (tmp_path / "tried.toml").write_text(example, encoding="utf-8")
    scale = catalogue(folders=(tmp_path,)).scale("just pentatonic minor, tried")
    assert scale.cents[3] == pytest.approx(701.955, abs=1e-3)
