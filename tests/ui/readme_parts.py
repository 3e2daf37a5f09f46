"""The parts of README that the program knows better: what the screen looks like, and the keys.

``python -m tests.ui.readme_parts`` says whether README has them as they are, ``--write`` writes them between
their comments. A test holds README to it.
"""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
from pathlib import Path

from scaledesign import locations
from scaledesign.view.actions import ACTIONS, GROUPS, key_words
from scaledesign.view.help import MOVING
from tests.ui.driving import NARROW, opened

README = Path(__file__).parents[2] / "README.md"
PICTURED = locations.EXAMPLES / "marsh-wren.toml"


async def picture() -> str:
    """An example on the smallest screen that is meant, as text."""
    async with opened(PICTURED, size=NARROW) as grid:
        await grid.press("down")
        lines = [line.rstrip() for line in grid.shown().splitlines()]
    return "\n".join(("```text", *lines, "```"))


def key_table() -> str:
    """Every key and every action, as tables of Markdown; an action by the name it has in settings.toml."""
    rows = ["| keys | |", "|---|---|", *(f"| {held} | {words} |" for held, words in MOVING)]
    for group in GROUPS:
        rows += ["", f"| {group} | name | |", "|---|---|---|"]
        for action in ACTIONS:
            if action.group == group:
                held = " or ".join(key_words(key) for key in action.keys) or "none"
                rows.append(f"| {held} | `{action.name}` | {action.words} |")
    return "\n".join(rows)


def filled(text: str, made: dict[str, str]) -> str:
    """README with these parts between their comments."""
    for name, part in made.items():
        before, begin, rest = text.partition(f"<!-- {name} -->\n")
        _, end, after = rest.partition(f"\n<!-- end of {name} -->")
        assert begin, f"README has no comment where {name} begin"
        assert end, f"README has no comment where {name} end"
        text = f"{before}{begin}{part}{end}{after}"
    return text


async def parts() -> dict[str, str]:
    """All of them by name."""
    return {"picture": await picture(), "keys": key_table()}


def main() -> int:
    """Compare or write."""
    with tempfile.TemporaryDirectory() as home:
        os.environ["SCALEDESIGN_HOME"] = home
        made = asyncio.run(parts())
    before = README.read_text(encoding="utf-8")
    after = filled(before, made)
    if before != after and "--write" in sys.argv[1:]:
        README.write_text(after, encoding="utf-8")
        print("README.md is written.")
        return 0
    print("README.md differs; --write writes it." if before != after else "README.md is as it should be.")
    return int(before != after)


if __name__ == "__main__":
    sys.exit(main())
