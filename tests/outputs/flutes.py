"""The flutes that outputs are made of: our examples, each opened once."""

from __future__ import annotations

from functools import cache

from scaledesign.cli.options import example_names
from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design
from scaledesign.outputs.make import Work

NAMES = example_names()


@cache
def example(name: str) -> Design:
    """One of our examples."""
    return load(EXAMPLES / f"{name}.toml")


@cache
def work(name: str) -> Work:
    """All that is worked out of it."""
    return Work(example(name))
