"""The handbook that comes with the program: which pages there are, and what stands in each.

The list is the index page itself, so that nothing has to be kept beside it::

    ## Heading
    - [name](name.md): a sentence about it,
      which may go on here.

How a page is laid out is ``paper/page_blocks.py``. Nothing is ever written here.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from pathlib import Path

from scaledesign.errors import UnknownNameError
from scaledesign.locations import HANDBOOK
from scaledesign.values import dataclass

INDEX = "index"
_ENTRY = re.compile(r"^- \[([\w-]+)\]\(\1\.md\): (.+(?:\n  .+)*)", re.MULTILINE)
_HEADING = re.compile(r"^## (.+)$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the handbook."""

    name: str
    kind: str
    """Heading that it stands under in the index."""
    words: str
    """The sentence there."""

    @property
    def path(self) -> Path:
        """Its file."""
        return HANDBOOK / f"{self.name}.md"

    @property
    def text(self) -> str:
        """What stands in it, as Markdown."""
        return self.path.read_text(encoding="utf-8")


def index() -> Page:
    """The page that lists the others."""
    return Page(INDEX, "", "What there is to read.")


def pages() -> tuple[Page, ...]:
    """Every page but the index, in its order."""
    _, *parts = _HEADING.split(index().text)
    return tuple(
        Page(name, kind, " ".join(words.split()))
        for kind, part in zip(parts[::2], parts[1::2], strict=True)
        for name, words in _ENTRY.findall(part)
    )


def page(name: str) -> Page:
    """The page of a name.

    Raises
    ------
    UnknownNameError
        when there is none.
    """
    plain = "-".join(name.casefold().removesuffix(".md").split())
    every = (index(), *pages())
    for each in every:
        if each.name == plain:
            return each
    known = tuple(each.name for each in every)
    begun = [each for each in known if plain and each.startswith(plain)]
    nearest = begun[0] if len(begun) == 1 else "".join(get_close_matches(plain, known, 1))
    raise UnknownNameError("page", name, known, nearest)
