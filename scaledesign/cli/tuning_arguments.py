"""Arguments of the commands for making and exchanging tunings; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands


def add(commands: Commands) -> None:
    """Add them to the tree."""
