"""Arguments of the commands for looking after plug-ins; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands


def add(commands: Commands) -> None:
    """Add them to the tree."""
