"""What every test shares: the rule for tests that need a system program, and repeatable random examples.

``pytest --hypothesis-profile=search`` looks for new counterexamples instead of the same ones each time.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

import pytest
from hypothesis import Phase, settings

WITHOUT_SHRINKING = (Phase.explicit, Phase.generate)
settings.register_profile("repeatable", derandomize=True, deadline=None, phases=WITHOUT_SHRINKING)
settings.register_profile("search", deadline=None)
settings.load_profile("repeatable")


def pytest_configure() -> None:
    """Nobody's own folders: what a test does not put elsewhere goes to a folder of this run."""
    if "SCALEDESIGN_HOME" not in os.environ:
        os.environ["SCALEDESIGN_HOME"] = tempfile.mkdtemp(prefix="scaledesign-tests-")
        atexit.register(shutil.rmtree, os.environ["SCALEDESIGN_HOME"], ignore_errors=True)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip a test marked ``system("zsh")`` where zsh is not installed, and say so."""
    for item in items:
        for mark in item.iter_markers("system"):
            (program,) = mark.args
            if shutil.which(program) is None:
                item.add_marker(pytest.mark.skip(reason=f"needs the system program {program!r}"))
