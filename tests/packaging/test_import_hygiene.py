"""What an import may bring with it: one fresh interpreter a module."""

from __future__ import annotations

import pkgutil
import subprocess
import sys
from pathlib import Path

import pytest

import scaledesign

LAZY = ("ezdxf", "matplotlib", "msgspec", "music21", "scipy", "tomli_w", "typst", "verovio")
SCREEN = ("platformdirs", "rich", "textual")
"""What the screen is made of, and what that brings with it."""
SERVING = ("aiohttp", "textual_serve")
"""What only the screen in a browser needs; it may not be installed."""
PACKAGE = Path(scaledesign.__file__).parent
MODULES = [
    "scaledesign",
    *(
        module.name
        for module in pkgutil.walk_packages([str(PACKAGE)], "scaledesign.")
        if module.name != "scaledesign.__main__" and not module.name.startswith("scaledesign.bundled.")
    ),
]


def loaded_by(statement: str) -> set[str]:
    """Top-level names in ``sys.modules`` after ``statement`` in a new interpreter."""
    code = f"import sys\n{statement}\nprint(*{{name.partition('.')[0] for name in sys.modules}})"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(run.stdout.split())


@pytest.mark.parametrize("module", MODULES)
def test_import_leaves_the_lazy_libraries_alone(module: str) -> None:
    unwanted = set(LAZY)
    if not module.startswith("scaledesign.ui."):
        unwanted |= set(SCREEN)
    if module != "scaledesign.ui.browser":
        unwanted |= set(SERVING)
    assert loaded_by(f"import {module}").isdisjoint(unwanted)


@pytest.mark.parametrize("module", ["scaledesign", "scaledesign.cli", "scaledesign.cli.parser"])
def test_import_leaves_numpy_alone(module: str) -> None:
    assert "numpy" not in loaded_by(f"import {module}")


def test_the_probe_sees_an_import() -> None:
    assert {"numpy", "tomli_w"} <= loaded_by("import numpy, tomli_w")


def test_help_needs_no_library() -> None:
    loaded = loaded_by("from scaledesign.cli import main\nassert main(['completion', 'bash']) == 0")
    assert loaded.isdisjoint((*LAZY, *SCREEN, *SERVING, "numpy", "pluggy"))
