"""Arguments of the commands for comparing tunings, scales and variants of a flute; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands


def add(commands: Commands) -> None:
    """Add them to the tree."""
