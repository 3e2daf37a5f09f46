"""What every test shares: the rule for tests that need a system program."""

from __future__ import annotations

import shutil

import pytest


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip a test marked ``system("zsh")`` where zsh is not installed, and say so."""
    for item in items:
        for mark in item.iter_markers("system"):
            (program,) = mark.args
            if shutil.which(program) is None:
                item.add_marker(pytest.mark.skip(reason=f"needs the system program {program!r}"))
