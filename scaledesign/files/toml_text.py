"""TOML of strangers, read in bounded time: what the standard library would brood over is refused first.

``tomllib`` takes time that grows with the square of how many names a dotted key has, and some microseconds
for each value. Nothing that is read here has more than three names in a row or fifty thousand values.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from typing import Any

MOST_SIGNS = 50_000
"""Signs that make values: equals signs, commas, brackets, and escapes within texts."""
MOST_NAMES = 64
"""Names of a dotted key."""
_PART = r"(?:(?<![A-Za-z0-9_-])[A-Za-z0-9_-]++|\"[^\"\n]*+\"|'[^'\n]*+')"
_LONG_KEY = re.compile(rf"{_PART}(?:[ \t]*+\.[ \t]*+{_PART}){{{MOST_NAMES}}}")


def parsed(text: str, parse_float: Callable[[str], Any] = float) -> dict[str, Any]:
    """The table of a TOML text.

    Raises
    ------
    ValueError : what is wrong with it, in a few words
    """
    if sum(map(text.count, "=,[{\\")) > MOST_SIGNS:
        raise ValueError("There is far too much in it")
    if _LONG_KEY.search(text):
        raise ValueError("Names are strung together without end")
    try:
        return tomllib.loads(text, parse_float=parse_float)
    except RecursionError:
        raise ValueError("It is nested far too deeply (recursion)") from None
