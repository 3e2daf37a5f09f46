"""Blocks of a TOML text: each table with the comments that are its own, and what lies between.

The maker's text cut into pieces that can be changed, moved and removed, and put together again
unchanged where nothing was. Knows tables and comments, nothing about flutes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import field
from difflib import SequenceMatcher
from typing import Any

from scaledesign.files.toml_outline import Entry, Outline, Path
from scaledesign.values import dataclass

_COMMENT = re.compile(r"[ \t]*#")


@dataclass(slots=True, eq=False)
class Block:
    """One table: ``body`` from the comment lines directly above it to its last line, then ``tail``.

    ``start`` is the body's offset in the text it came from, -1 for a new one. The tail is blank
    lines and comments that stand free; it stays where it is when the body moves.
    """

    path: Path
    start: int
    body: str
    tail: str
    last: int = -1
    """Offset just behind the line of the last entry, or behind the header."""
    sign: int = 0
    """Column of the last entry's "=", counted from its key."""
    indent: str = ""
    """What stands before the last entry's key."""
    splices: list[tuple[int, int, str]] = field(default_factory=list)

    def holds(self, entry: Entry) -> bool:
        """Whether an entry of the text stands in this block."""
        return self.start <= entry.key < self.start + len(self.body) and self.start >= 0

    def replace(self, entry: Entry, value: str) -> None:
        """Write another value; it swallows changes that were made inside it."""
        self.splices = [s for s in self.splices if not entry.start <= s[0] < entry.end]
        self.splices.append((entry.start, entry.end, value))

    def cut_line(self, entry: Entry) -> None:
        """Take out the line or lines of an entry."""
        start = self.body.rfind("\n", 0, entry.key - self.start) + 1 + self.start
        end = self.body.find("\n", entry.end - self.start) + 1
        self.splices.append((start, end + self.start if end else self.start + len(self.body), ""))

    def add_lines(self, lines: Sequence[tuple[str, str]], newline: str) -> None:
        """Add keys below the last one, their signs in line with it."""
        width = max(self.sign - 1, 0)
        body = "".join(f"{self.indent}{name:<{width}} = {value}\n" for name, value in lines).replace(
            "\n", newline
        )
        above = self.body[: self.last - self.start].removeprefix("\ufeff")
        ended = not above or above.endswith("\n")
        self.splices.append((self.last, self.last, body if ended else newline + body))

    def end_with_blank_line(self, newline: str) -> None:
        """See to it that another table can follow."""
        whole = self.text().replace("\ufeff", "")
        if whole and not whole.endswith("\n"):
            self.tail += newline
        if whole and not self.text().endswith(("\n\n", "\n\r\n")):
            self.tail += newline

    def text(self) -> str:
        """Body with its changes, and tail."""
        body = self.body
        for start, end, value in sorted(self.splices, key=lambda splice: splice[:2], reverse=True):
            body = body[: start - self.start] + value + body[end - self.start :]
        return body + self.tail


def blocks_of(where: Outline) -> list[Block]:
    """Blocks of a text, in order; together they are the text."""
    text, sections = where.text, where.sections
    lasts = [_last(where, place) for place in range(len(sections))]
    starts = [0] + [
        _lead(text, section.header, last) for section, last in zip(sections[1:], lasts, strict=False)
    ]
    ends = [*starts[1:], len(text)]
    blocks = []
    for section, start, last, end in zip(sections, starts, lasts, ends, strict=True):
        stop = last
        while section.entries and stop < end and _COMMENT.match(text, stop):
            stop = _line_end(text, stop)
        block = Block(section.path, start, text[start:stop], text[stop:end], last)
        if section.entries:
            entry = section.entries[-1]
            block.sign = text.rindex("=", entry.key, entry.start) - entry.key
            block.indent = text[text.rfind("\n", 0, entry.key) + 1 : entry.key].replace("\ufeff", "")
        blocks.append(block)
    return blocks


def put_in_order(blocks: list[Block], name: str, wanted: Sequence[Block], newline: str) -> None:
    """Make ``wanted`` the blocks of the list ``name``, which has some: moved, new or gone."""
    old = [block for block in blocks if block.path[:1] == (name,)]
    place = blocks.index(old[0])
    apart = old[0].tail if len(old) > 1 and not old[0].tail.strip() else newline
    for block in old:
        if block not in wanted:
            remove(blocks, block)
    kept = [block for block in old if block in wanted]
    slots, tails = [blocks.index(block) for block in kept], [block.tail for block in kept]
    for slot, tail, block in zip(slots, tails, (block for block in wanted if block in kept), strict=True):
        blocks[slot], block.tail = block, tail
    for block in wanted:
        if block in kept:
            place = blocks.index(block) + 1
            continue
        above = blocks[place - 1]
        block.tail = apart
        if above.path[:1] == (name,):
            block.tail, above.tail = above.tail, apart
        blocks.insert(place, block)
        place += 1
    for block in blocks[:-1]:
        if block.text() and not block.text().endswith("\n"):
            block.tail += newline


def remove(blocks: list[Block], block: Block) -> None:
    """Take a block out; comments that stand free behind it stay, and so does the distance kept."""
    place = blocks.index(block)
    above = blocks[place - 1]
    if block.tail.strip():
        above.tail = above.tail + block.tail if above.tail.strip() else block.tail
    elif not above.tail.strip():
        above.tail = max(above.tail, block.tail, key=len)
    del blocks[place]


def sources_of(old: Sequence[Any], new: Sequence[Any], identity: Sequence[str]) -> list[int | None]:
    """For each new thing the index of the old one it is or was, None where it is truly new.

    First what is equal and in order, then equal and moved, then what agrees in the fields
    ``identity``, then what stands between the same neighbours.
    """
    sources: list[int | None] = [None] * len(new)
    free = dict.fromkeys(range(len(old)))

    def claim(j: int, i: int) -> None:
        sources[j] = i
        del free[i]

    gaps = _claim_in_order(old, new, claim)
    for same in (lambda a, b: a == b, lambda a, b: _marks(a, identity) == _marks(b, identity)):
        for j, item in enumerate(new):
            if sources[j] is None:
                found = next((i for i in free if same(old[i], item)), None)
                if found is not None:
                    claim(j, found)
    for old_range, new_range in gaps:
        left = [i for i in old_range if i in free]
        for i, j in zip(left, [j for j in new_range if sources[j] is None], strict=False):
            claim(j, i)
    return sources


def _claim_in_order(
    old: Sequence[Any], new: Sequence[Any], claim: Callable[[int, int], None]
) -> list[tuple[range, range]]:
    """Claim what is equal and in order; return the gaps between."""
    gaps = []
    for kind, i1, i2, j1, j2 in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if kind == "equal":
            for i, j in zip(range(i1, i2), range(j1, j2), strict=True):
                claim(j, i)
        else:
            gaps.append((range(i1, i2), range(j1, j2)))
    return gaps


def _marks(item: object, identity: Sequence[str]) -> tuple[Any, ...]:
    return tuple(getattr(item, name) for name in identity)


def _last(where: Outline, place: int) -> int:
    """Offset behind the line of a section's last entry, or behind its header."""
    section = where.sections[place]
    if section.entries:
        return _line_end(where.text, section.entries[-1].end)
    if section.path:
        return _line_end(where.text, section.header)
    return int(where.text.startswith("\ufeff"))


def _line_end(text: str, position: int) -> int:
    end = text.find("\n", position)
    return len(text) if end < 0 else end + 1


def _lead(text: str, header: int, floor: int) -> int:
    """Start of the comment lines that stand directly above a header, not before ``floor``."""
    start = header
    while start > floor:
        above = text.rfind("\n", 0, start - 1) + 1
        if above < floor or not _COMMENT.match(text, above):
            break
        start = above
    return start
