"""Writing a design's text: a fresh file, or the text it came from with only the changes in it.

Comments, spacing, line endings and the order of things belong to the maker: an edit touches the
value it changes, a comment line directly above a table goes where the table goes, and a hole that
is removed takes only its own lines along. How a value looks is told in ``document_kinds.py``;
putting text on disk is ``document_file.py``'s.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from scaledesign.errors import DesignError
from scaledesign.files.document_keys import LISTS, OURS, TABLES, TOP, Inline, Key, Table, inline
from scaledesign.files.document_read import loads
from scaledesign.files.document_values import Style
from scaledesign.files.text_blocks import Block, blocks_of, put_in_order, remove, sources_of
from scaledesign.files.toml_outline import Entry, Path, outline
from scaledesign.model.document import Design

_COMMENT_BEHIND = re.compile(r"( {2,})#")
_IDENTITY = {"holes": ("finger",), "rows": ("note", "holes"), "log": ("when",)}
"""Fields by which a thing that was changed is known to be the same thing."""


def fresh(design: Design) -> str:
    """Text of a new file: our order, aligned, what is left at its default left out."""
    style = _style(design)
    parts = [_lines(TOP.write(design, style))]
    for name, table in TABLES.items():
        lines = _lines(table.write(getattr(design, name), style))
        if lines:
            parts.append(f"[{name}]\n{lines}")
    for name, table in LISTS.items():
        parts += [f"[[{name}]]\n{_lines(table.write(item, style))}" for item in getattr(design, name)]
    return "\n".join(parts)


def changed(design: Design, text: str) -> str:
    """``text`` with what differs in ``design`` written into it; the very same text if nothing does.

    A text laid out so oddly that this fails (it is read back to see) is written afresh: better to
    lose a comment than a flute.
    """
    old = loads(text)
    if old == design:
        return text
    edited = _Editor(design, old, text).run()
    try:
        return edited if loads(edited) == design else fresh(design)
    except DesignError:
        return fresh(design)


def _style(design: Design) -> Style:
    return Style(design.units, tuple(design.holes[index].finger for index in design.fingered()))


def _lines(pairs: Iterable[tuple[str, str]]) -> str:
    pairs = list(pairs)
    width = max((len(name) for name, _ in pairs), default=0)
    return "".join(f"{name:<{width}} = {value}\n" for name, value in pairs)


class _Editor:
    """Turns the text of one design into that of another."""

    def __init__(self, design: Design, old: Design, text: str) -> None:
        self.design, self.old, self.text = design, old, text
        self.where = outline(text)
        self.blocks = blocks_of(self.where)
        self.newline = "\r\n" if "\r\n" in text else "\n"
        self.style = _style(design)
        self.rescaled = design.units != old.units

    def run(self) -> str:
        """The new text."""
        self.table(TOP, (), self.old, self.design)
        for name, table in TABLES.items():
            new = getattr(self.design, name)
            own = next((block for block in self.blocks if block.path == (name,)), None)
            if name == OURS and own is not None and new == table.type():
                remove(self.blocks, own)
            else:
                self.table(table, (name,), getattr(self.old, name), new)
        for name, table in LISTS.items():
            self.list(name, table, getattr(self.old, name), getattr(self.design, name))
        return "".join(block.text() for block in self.blocks)

    def table(self, table: Table, path: Path, old: object, new: object) -> None:
        """Bring the keys of one table up to date."""
        whole = self.where.entries.get(path)
        if whole is not None and any(self.comes_or_goes(key, path, old, new) for key in table.keys):
            self.replace(whole, inline(table).write(new, self.style, ""))
            return
        missing = [key for key in table.keys if self.key(key, path, key.value(old), key.value(new))]
        if not missing:
            return
        lines = [(key.name, key.kind.write(key.value(new), self.style, "")) for key in missing]
        home = next((block for block in self.blocks if block.path == path), None)
        if home is not None:
            home.add_lines(lines, self.newline)
        elif not self.add_dotted(path, lines):
            self.add_table(f"[{'.'.join(map(str, path))}]\n{_lines(lines)}")

    def comes_or_goes(self, key: Key, path: Path, old: object, new: object) -> bool:
        """Whether a key must be added to the table's text or taken out of it."""
        if key.value(old) == key.value(new):
            return False
        return (*path, key.name) not in self.where.entries or key.value(new) is None

    def key(self, key: Key, path: Path, old: Any, new: Any) -> bool:
        """Bring one key up to date; True where it is yet to be added."""
        if old == new and not (self.rescaled and key.kind.lengths):
            return False
        here = (*path, key.name)
        entry = self.where.entries.get(here)
        own = next((block for block in self.blocks if block.path == here), None)
        stands = own is not None or (entry is not None and self.text[entry.start] == "{")
        if isinstance(key.kind, Inline) and stands and None not in (old, new):
            self.table(key.kind.table, here, old, new)
        elif own is not None:
            remove(self.blocks, own)
            return new is not None
        elif entry is None:
            return old != new and new is not None
        elif new is None:
            self.block_at(entry).cut_line(entry)
        else:
            self.replace(entry, key.kind.write(new, self.style, self.text[entry.start : entry.end]))
        return False

    def replace(self, entry: Entry, value: str) -> None:
        """Write another value; a comment behind it keeps its column where there is room."""
        value, end = self.native(value), entry.end
        behind = _COMMENT_BEHIND.match(self.text, end)
        if behind and "\n" not in value:
            room = entry.end - entry.start + len(behind[1]) - len(value)
            value, end = value + " " * max(room, 2), behind.end(1)
        self.block_at(entry).replace(replace(entry, end=end), value)

    def block_at(self, entry: Entry) -> Block:
        """The block whose lines hold an entry."""
        return next(block for block in self.blocks if block.holds(entry))

    def native(self, body: str) -> str:
        return body.replace("\n", self.newline)

    def add_dotted(self, path: Path, lines: list[tuple[str, str]]) -> bool:
        """Add to a table that is written ``tube.length = ...``, if it is."""
        inside = [entry for place, entry in self.where.entries.items() if place[: len(path)] == path]
        home = next((block for block in self.blocks for entry in inside if block.holds(entry)), None)
        if home is None or not path or len(home.path) >= len(path):
            return False
        front = ".".join(map(str, path[len(home.path) :]))
        home.add_lines([(f"{front}.{name}", value) for name, value in lines], self.newline)
        return True

    def add_table(self, body: str) -> None:
        """Add a table before the first hole, row or log entry, or at the end."""
        lists = [place for place, block in enumerate(self.blocks) if block.path[:1] in [(n,) for n in LISTS]]
        self.insert(lists[0] if lists else len(self.blocks), self.native(body))

    def insert(self, place: int, body: str) -> None:
        self.blocks[place - 1].end_with_blank_line(self.newline)
        last = place == len(self.blocks)
        self.blocks.insert(place, Block((), -1, body, "" if last else self.newline))

    def list(self, name: str, table: Table, old: tuple[Any, ...], new: tuple[Any, ...]) -> None:
        """Bring a list of tables up to date."""
        if old == new and not self.rescaled:
            return
        if (name,) in self.where.entries:
            items = ", ".join(inline(table).write(item, self.style, "") for item in new)
            self.replace(self.where.entries[name,], f"[{items}]")
            return
        sources = sources_of(old, new, _IDENTITY[name])
        present = {block.path[1]: block for block in self.blocks if block.path[:1] == (name,)}
        wanted = []
        for item, source in zip(new, sources, strict=True):
            if source is None:
                body = self.native(f"[[{name}]]\n{_lines(table.write(item, self.style))}")
                wanted.append(Block((name, -1), -1, body, ""))
            else:
                self.table(table, (name, source), old[source], item)
                wanted.append(present[source])
        if not present:
            later = list(LISTS)[list(LISTS).index(name) :]
            places = [
                place for place, block in enumerate(self.blocks) if block.path[:1] in [(n,) for n in later]
            ]
            for place, block in enumerate(wanted, places[0] if places else len(self.blocks)):
                self.insert(place, block.body)
            return
        put_in_order(self.blocks, name, wanted, self.newline)
