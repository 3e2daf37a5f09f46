"""Arguments of the commands for finding fingerings; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands


def add(commands: Commands) -> None:
    """Add them to the tree."""
