"""What an import may bring with it: each module as the first of a process."""

from __future__ import annotations

import json
import pkgutil
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pytest

import scaledesign

LAZY = (
    "ezdxf", "matplotlib", "msgspec", "music21", "parselmouth", "scipy", "soundfile", "tomli_w", "typst",
    "verovio",
)  # fmt: skip
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


@cache
def brought(*, screen: bool) -> dict[str, list[str] | str]:
    """What each module of the screen, or each other one, brings; numpy any may, textual the screen's may."""
    libraries = ("numpy", "textual.app", "textual.widgets") if screen else ("numpy",)
    modules = [module for module in MODULES if module.startswith("scaledesign.ui") == screen]
    return probed(libraries, modules)


def probed(libraries: Sequence[str], modules: Sequence[str]) -> dict[str, list[str] | str]:
    """What each module brings, as the first one imported after the libraries."""
    run = subprocess.run(
        [sys.executable, Path(__file__).with_name("import_probe.py"), *libraries],
        input=" ".join(modules), capture_output=True, text=True, check=True,
    )  # fmt: skip
    said: dict[str, list[str] | str] = json.loads(run.stdout)
    return said


@pytest.mark.parametrize("module", MODULES)
def test_import_leaves_the_lazy_libraries_alone(module: str) -> None:
    screen = module.startswith("scaledesign.ui")
    unwanted = set(LAZY)
    if not screen:
        unwanted |= set(SCREEN)
    if module != "scaledesign.ui.browser":
        unwanted |= set(SERVING)
    found = brought(screen=screen)[module]
    assert not isinstance(found, str), found
    assert module.partition(".")[0] in found
    assert unwanted.isdisjoint(found)


@pytest.mark.parametrize("module", ["scaledesign", "scaledesign.cli", "scaledesign.cli.parser"])
def test_import_leaves_numpy_alone(module: str) -> None:
    assert "numpy" not in loaded_by(f"import {module}")


def test_the_probe_sees_an_import() -> None:
    assert {"numpy", "tomli_w"} <= loaded_by("import numpy, tomli_w")
    found = probed(("numpy",), ("tomli_w", "wave", "no_such_module"))
    assert {"numpy", "tomli_w"} <= set(found["tomli_w"])
    assert "numpy" in found["wave"]
    assert "tomli_w" not in found["wave"]
    assert "ModuleNotFoundError" in found["no_such_module"]


def test_help_needs_no_library() -> None:
    loaded = loaded_by("from scaledesign.cli import main\nassert main(['completion', 'bash']) == 0")
    assert loaded.isdisjoint((*LAZY, *SCREEN, *SERVING, "numpy", "pluggy"))


FOR_OTHERS = (
    "asyncio", "csv", "difflib", "importlib.metadata", "json", "numpy.random", "secrets", "subprocess",
    "traceback", "xml", "scaledesign.cli.as_json", "scaledesign.cli.show", "scaledesign.cli.paper_arguments",
    "scaledesign.files.document_write", "scaledesign.files.settings", "scaledesign.paper.layout",
    "scaledesign.solver.solution", "scaledesign.view", "scaledesign.ui",
)  # fmt: skip
"""What a prediction does without; each was a part of every start once, or would be a large one."""
MOST = 90
"""Modules of ours that a prediction may bring, plug-ins aside."""


def test_predict_brings_what_predicting_needs() -> None:
    said = "from scaledesign.cli import main\nassert main(['predict', '--example', 'marsh-wren']) == 0"
    code = f"import sys\n{said}\nprint('LOADED', *sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(run.stdout.partition("LOADED")[2].split())
    assert {"numpy", "scaledesign.solver.prediction"} <= loaded
    assert loaded.isdisjoint(FOR_OTHERS)
    ours = [name for name in loaded if name.startswith("scaledesign.") and ".bundled" not in name]
    assert len(ours) <= MOST


@pytest.mark.parametrize("command", ["predict", "grid", "plugins"])
def test_a_command_brings_the_arguments_of_its_own_group(command: str) -> None:
    code = (
        f"import sys\nfrom scaledesign.cli.parser import parse\nparse(['{command}'] + ['x.toml'] * "
        f"('{command}' != 'plugins'))\nprint(*(n for n in sys.modules if n.endswith('_arguments')))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    (brought,) = run.stdout.split()
    assert brought.startswith("scaledesign.cli.")
