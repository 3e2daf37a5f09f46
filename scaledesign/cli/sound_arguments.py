"""Arguments of the commands for hearing a flute and writing its notes; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands


def add(commands: Commands) -> None:
    """Add them to the tree."""
