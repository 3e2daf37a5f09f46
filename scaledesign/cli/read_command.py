"""read: the handbook on a terminal, page by page, or as web pages.

Apart because no design is read here. On a terminal a page goes through the reader's own pager; anywhere
else it is printed as it is.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.errors import EditError
from scaledesign.files.handbook import INDEX, Page, index, page, pages
from scaledesign.locations import HANDBOOK
from scaledesign.paper.text import WIDTH
from scaledesign.values import dataclass
from scaledesign.view.page_lines import as_text, page_lines


@dataclass(frozen=True, slots=True)
class WebPage:
    """A page as a file."""

    name: str
    data: bytes


def read(args: argparse.Namespace) -> int:
    """Show what was asked for."""
    if args.page and (args.search or args.where or args.web):
        raise EditError("a page goes alone", "leave out --search, --where and --web, or the page")
    if args.where:
        return _print({"folder": str(HANDBOOK)}, str(HANDBOOK), args)
    if args.search is not None:
        return _search(args)
    if args.web is not None:
        return _web(args)
    if not args.page:
        found = [{"page": each.name, "kind": each.kind, "words": each.words} for each in pages()]
        return _print({"pages": found}, _laid_out(index()), args)
    chosen = page(" ".join(args.page))
    return _print(
        {"page": chosen.name, "file": str(chosen.path), "text": chosen.text}, _laid_out(chosen), args
    )


def _laid_out(chosen: Page) -> str:
    return as_text(page_lines(chosen.text, WIDTH, folded=False))


def _print(found: dict[str, object], text: str, args: argparse.Namespace) -> int:
    if args.json:
        print_json(found)
    elif sys.stdin.isatty() and sys.stdout.isatty() and text.count("\n") > 1:
        import pydoc

        pydoc.pager(text)
    else:
        print(text.rstrip("\n"))
    return OK


def _search(args: argparse.Namespace) -> int:
    """Every line in which a word stands, under its page."""
    wanted = " ".join(args.search.casefold().split())
    if not wanted:
        raise EditError("there is nothing to look for", "write a word after --search")
    found: dict[str, list[str]] = {}
    for each in pages():
        lines = as_text(page_lines(each.text, WIDTH - 2)).splitlines()
        held = [" ".join(line.split()) for line in lines if wanted in " ".join(line.casefold().split())]
        if held:
            found[each.name] = held
    text = "\n\n".join(
        "\n".join((f"{name}:", *(f"  {line}" for line in held))) for name, held in found.items()
    )
    if not found:
        raise EditError(
            f"no page has {wanted!r}", "look for a shorter word; scaledesign read lists the pages"
        )
    return _print({"found": found}, text, args)


def _web(args: argparse.Namespace) -> int:
    """Every page as a web page, the index first."""
    from scaledesign.outputs.filing import write
    from scaledesign.paper.page_web import page_web

    if not args.web:
        raise EditError("the name of the folder is empty", "write one after --web")
    folder = Path(args.web)
    made = [
        WebPage(f"{each.name}.html", page_web(each.text, HANDBOOK).encode()) for each in (index(), *pages())
    ]
    written = write(folder, made, new=True, force=args.force)
    shown = folder / f"{INDEX}.html"
    said = f"{len(written)} pages written into {folder}. Open {shown} in a browser."
    return _print({"folder": str(folder), "files": [str(path) for path in written]}, said, args)
