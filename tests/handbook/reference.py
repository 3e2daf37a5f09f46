"""The parts of the handbook that the program knows better: commands, keys of the files, actions, messages.

``python -m tests.handbook.reference`` says whether the pages have them as they are, ``--write`` writes them
between their comments. ``test_reference.py`` holds the pages to it.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime
import io
import os
import re
import sys
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path
from typing import Any

from scaledesign import errors
from scaledesign.cli import main as typed
from scaledesign.cli.exit_codes import MEANINGS
from scaledesign.cli.parser import build_parser
from scaledesign.files import scale_file, settings
from scaledesign.files.document_keys import LISTS, TABLES, TOP, Inline, Key, Table
from scaledesign.files.document_values import Place, Style
from scaledesign.locations import EXAMPLES, HANDBOOK
from scaledesign.model.limits import LIMITS
from scaledesign.paper.chart.style_words import STYLE_WORDS
from scaledesign.paper.note_names import LANGUAGES
from scaledesign.solver.verdict import KINDS
from scaledesign.view.actions import ACTIONS, keymap, worded
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.field_words import LABELS
from tests.ui.readme_parts import filled, key_table

BAD: tuple[Any, ...] = (datetime.time(3, 4), "?")
"""Values that no key takes; what the program says to them is what it does take."""


# Commands


def commands() -> str:
    """Every command: its sentence, how it is typed, its options, its examples."""
    (found,) = (a for a in build_parser()._actions if isinstance(a, argparse._SubParsersAction))
    return "\n\n".join(_command(f"scaledesign {name}", parser) for name, parser in found.choices.items())


def _command(name: str, parser: argparse.ArgumentParser) -> str:
    inner = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
    parts = [f"## {name}", str(parser.description)]
    rows = [
        _option(action) for action in parser._actions if not isinstance(action, argparse._SubParsersAction)
    ]
    rows = [row for row in rows if row]
    if rows:
        parts.append("\n".join(("| | |", "|---|---|", *rows)))
    examples = (parser.epilog or "").removeprefix("examples:\n")
    if examples:
        lines = [line.removeprefix("  ") for line in examples.splitlines()]
        parts.append("\n".join(("```example", *lines, "```")))
    parts += [
        _command(f"{name} {each}", sub).replace("## ", "### ", 1)
        for a in inner
        for each, sub in a.choices.items()
    ]
    return "\n\n".join(parts)


def _option(action: argparse.Action) -> str:
    if action.dest == "help":
        return ""
    words = re.sub(r"\s+", " ", (action.help or "")).replace("%%", "%")
    if action.option_strings:
        shown = ", ".join(action.option_strings)
        if action.nargs != 0:
            value = action.metavar if isinstance(action.metavar, str) else action.dest.upper()
            shown += " " + ("|".join(map(str, action.choices)) if _few(action) else value)
    else:
        shown = (
            action.metavar if isinstance(action.metavar, str) else "|".join(map(str, action.choices or ()))
        )
    return f"| `{_cell(shown or action.dest)}` | {_cell(words)} |"


def _few(action: argparse.Action) -> bool:
    return action.choices is not None and len("|".join(map(str, action.choices))) <= 24


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


# The files


def design_keys() -> str:
    """Every key of a design file: what may stand there, and what holds where it is left out."""
    parts = [_table("", TOP), *(_table(f"[{name}]", table) for name, table in TABLES.items())]
    return "\n\n".join((*parts, *(_table(f"[[{name}]]", table) for name, table in LISTS.items())))


def _table(title: str, table: Table) -> str:
    rows = [
        f"### {title or 'At the top of the file'}",
        "",
        "| key | what may stand there | left out |",
        "|---|---|---|",
    ]
    rows += [row for key in table.keys for row in _key(table, key, "")]
    return "\n".join(rows)


def _key(table: Table, key: Key, before: str) -> Iterator[str]:
    name = f"{before}{key.name}"
    if isinstance(key.kind, Inline):
        inner = ", ".join(f"{each.name} = ..." for each in key.kind.table.keys)
        yield f"| {name} | {{ {inner} }} | nothing |"
        for each in key.kind.table.keys:
            yield from _key(key.kind.table, each, f"{name}.")
        return
    yield f"| {name} | {_cell(_may_be(table, key))} | {_cell(_left_out(table, key))} |"


def _may_be(table: Table, key: Key) -> str:
    faults: list[errors.Fault] = []
    for bad in BAD:
        if not faults:
            key.kind.read(bad, Place(key.name, "mm", faults))
    remedy = faults[0].remedy.removeprefix("write ")
    remedy = "text in quotes" if remedy.startswith("put it in quotes") else remedy
    limit = LIMITS.get(table.type.__name__, {}).get(key.attributes[0])
    if limit is None:
        return remedy
    low, high = limit.show(limit.low, "mm"), limit.show(limit.high, "mm")
    return (
        f"{remedy}: {'more than' if limit.above else 'from'} {low} {'up to' if limit.above else 'to'} {high}"
    )


def _left_out(table: Table, key: Key) -> str:
    if table.required(key):
        return "must be there"
    default = table.default(key)
    if default in (None, "", ()) or default == (None, None):
        return "nothing"
    return key.kind.write(default, Style("mm"), "")


def scale_keys() -> str:
    """Every key of a scale file, and the note beside it in the module that reads it."""
    sample = (scale_file.__doc__ or "").partition("::\n\n")[2].partition("\n\n")[0]
    lines = [line.removeprefix("    ") for line in sample.splitlines()]
    for key in scale_file.KEYS:
        assert any(line.startswith(f"{key} ") for line in lines), key
    text = "\n".join(lines)
    scale_file.loads(text)
    return f"```toml\n{text}\n```"


def setting_keys() -> str:
    """Every key of the settings and its choices."""
    paper: dict[str, Collection[str]] = {
        "paper": settings.PAPERS,
        "names": LANGUAGES,
        "style": STYLE_WORDS,
        "large": ("true", "false"),
    }
    rows = [(name, ", ".join(words)) for name, words in settings.CHOICES.items()]
    rows += [
        (f"paper.{name}", ", ".join(paper.get(name, ("text in quotes",)))) for name in settings.PAPER_KEYS
    ]
    rows.append(("book.folder", "a folder in quotes"))
    rows.append(
        ("keys.ACTION", f"keys, with commas between; ACTION is one of {len(ACTIONS)} names (page keys)")
    )
    assert {name.partition(".")[0] for name, _ in rows} == set(settings.KNOWN)
    return "\n".join(("| key | what may stand there |", "|---|---|", *(f"| {a} | {b} |" for a, b in rows)))


# The grid


def columns() -> str:
    """Every column of the grid's tables, and every field of its form."""
    desk = Desk.of(_example(), None)
    parts = []
    for pane in PANES:
        if pane == "setup":
            rows = [(label, worded(words, keymap())) for label, words in LABELS.values()]
        else:
            rows = [
                (column.title, worded(column.words, keymap()))
                for column in PANES[pane].columns(desk.sheet)[1:]
                if not column.key.startswith("hole ") or column.key == "hole 0"
            ]
        title = PANES[pane].title
        table = (f"| {_cell(a)} | {_cell(b)} |" for a, b in rows)
        parts.append("\n".join((f"### {title[0].upper()}{title[1:]}", "", "| | |", "|---|---|", *table)))
    return "\n\n".join(parts)


def _example() -> Any:
    import scaledesign

    return scaledesign.load(EXAMPLES / "marsh-wren.toml")


# Messages


def exit_codes() -> str:
    """Every exit code."""
    rows = (f"| {code} | {words} |" for code, words in MEANINGS.items())
    return "\n".join(("| code | |", "|---:|---|", *rows))


def kinds_of_error() -> str:
    """Every kind of error, as the tree of errors tells it."""
    told = re.findall(r"[├└]── (\w+) +(.+)", errors.__doc__ or "")
    assert {name for name, _ in told} == {
        name for name, kind in vars(errors).items() if isinstance(kind, type) and _told(kind)
    }
    return "\n".join(("| kind | |", "|---|---|", *(f"| {name} | {words} |" for name, words in told)))


def _told(kind: type) -> bool:
    base = errors.ScaledesignError
    return issubclass(kind, base) and kind is not base and not kind.__name__.startswith("_")


def obstacles() -> str:
    """Every rule that can keep a note off, by the name it has in JSON, and the key that frees it."""
    rows = (f"| {kind} | {key} |" for kind, key in KINDS.items())
    return "\n".join(("| kind | key in the design file |", "|---|---|", *rows))


WRONG: tuple[str, ...] = (
    "scaledesign grow flute.toml",
    "scaledesign solve --louder",
    "scaledesign solve nowhere.toml",
    "scaledesign check mistyped.toml",
    "scaledesign new --tube 16x3 --key H4 -o new.toml",
    "scaledesign new --tube 16x3 --key A4 --scale pentatonic-miner -o new.toml",
    "scaledesign predict flute.toml --json -o out.json",
    "scaledesign calibrate flute.toml --row 99=A4",
    "scaledesign new --tube 16x3 --key A4 -o flute.toml",
    "scaledesign read physiks",
)
MISTYPED = '[instrument]\nmouth = "duckt"\n\n[tube]\nlength = 357\nbore = 16\nwal = 3.5\n'


def wrong() -> str:
    """What the program says to a few mistakes, typed here."""
    said = []
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:
            Path("mistyped.toml").write_text(MISTYPED, encoding="utf-8")
            Path("flute.toml").write_text((EXAMPLES / "marsh-wren.toml").read_text("utf-8"), "utf-8")
            for line in WRONG:
                err = io.StringIO()
                with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(err):
                    code = typed(line.split()[1:])
                assert code in (2, 3), line
                said.append(
                    "\n".join(
                        (f"```example\n{line}\n```", "", f"```text\n{err.getvalue().rstrip()}\n({code})\n```")
                    )
                )
        finally:
            os.chdir(before)
    return "\n\n".join(said)


PARTS: Mapping[str, tuple[Callable[[], str], ...]] = {
    "commands": (commands,),
    "design-file": (design_keys,),
    "scale-file": (scale_keys,),
    "settings-file": (setting_keys,),
    "keys": (key_table, columns),
    "messages": (exit_codes, wrong, kinds_of_error, obstacles),
}
"""Pages, and what stands in them between comments of that function's name."""


def page(name: str) -> tuple[str, str]:
    """A page as it is, and as it should be."""
    text = (HANDBOOK / f"{name}.md").read_text(encoding="utf-8")
    return text, filled(text, {part.__name__: f"\n{part()}\n" for part in PARTS[name]})


def main() -> int:
    """Compare or write."""
    differ = []
    for name in PARTS:
        before, after = page(name)
        if before != after:
            differ.append(name)
            if "--write" in sys.argv[1:]:
                (HANDBOOK / f"{name}.md").write_text(after, encoding="utf-8")
    word = "written" if "--write" in sys.argv[1:] else "to be written with --write"
    print(f"{', '.join(differ)}: {word}." if differ else "The reference is as it should be.")
    return int(bool(differ) and "--write" not in sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
