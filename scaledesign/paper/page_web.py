"""A page of the handbook as one web page: its pictures in it, nothing fetched, to read in any browser.

The same blocks as on a terminal (``page_blocks.py``). Pictures are the handbook's own SVG files, put in as
they are.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from pathlib import Path, PurePosixPath

from scaledesign.paper.page_blocks import (
    Block,
    Heading,
    Paragraph,
    Picture,
    Run,
    Table,
    Typed,
    Words,
    blocks_of,
    plain,
)

STYLE = """
:root { color-scheme: light dark; --ink: #22201c; --paper: #fdfcf9; --faint: #6d6860; --tint: #f1eee6; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e9e5dc; --paper: #1d1c1a; --faint: #a39d92; --tint: #2a2825; }
}
body { margin: 0 auto; padding: 2em 1.2em 4em; max-width: 42em; font: 17px/1.55 Georgia, serif;
       color: var(--ink); background: var(--paper); }
h1, h2, h3 { line-height: 1.25; margin: 1.6em 0 .6em; font-weight: 600; }
h1 { margin-top: 0; }
pre { overflow-x: auto; padding: .7em .9em; background: var(--tint); border-radius: 4px;
      font: 13.5px/1.45 ui-monospace, "DejaVu Sans Mono", monospace; }
pre.sh { border-left: 3px solid #b4874a; }
code { font: .86em ui-monospace, "DejaVu Sans Mono", monospace; }
figure { margin: 1.4em 0; } figcaption { font-size: .88em; color: var(--faint); }
figure svg { max-width: 100%; height: auto; background: #fff; border-radius: 4px; }
table { border-collapse: collapse; font-size: .92em; margin: 1em 0; }
th, td { text-align: left; vertical-align: top; padding: .25em .9em .25em 0;
         border-bottom: 1px solid var(--tint); }
.right { text-align: right; } a { color: inherit; } p.file { margin-bottom: -.7em; color: var(--faint); }
@media print { body { font-size: 11pt; max-width: none; } pre { white-space: pre-wrap; } }
""".strip()


def page_web(text: str, folder: Path) -> str:
    """A page as HTML; its pictures lie in ``folder``, as the page names them."""
    blocks = blocks_of(text)
    title = next((plain(block.words) for block in blocks if isinstance(block, Heading)), "scaledesign")
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width">\n<title>{escape(title)}</title>\n'
        f"<style>\n{STYLE}\n</style>\n" + "\n".join(_pieces(blocks, folder)) + "\n</html>\n"
    )


def _pieces(blocks: Iterable[Block], folder: Path) -> Iterable[str]:
    listed = ""
    for block in blocks:
        tag = _list(block)
        if listed and tag != listed:
            yield f"</{listed}>"
        if tag and tag != listed:
            yield f"<{tag}>"
        listed = tag
        yield _piece(block, folder)
    if listed:
        yield f"</{listed}>"


def _list(block: Block) -> str:
    if not isinstance(block, Paragraph) or not block.mark:
        return ""
    return "ul" if block.mark == "-" else "ol"


def _piece(block: Block, folder: Path) -> str:
    match block:
        case Heading(level, words):
            return f"<h{level}>{_html(words)}</h{level}>"
        case Paragraph(words, mark):
            return f"<li>{_html(words)}</li>" if mark else f"<p>{_html(words)}</p>"
        case Typed(kind, name, lines):
            head = f'<p class="file">{escape(name)}</p>' if name else ""
            return f'{head}<pre class="{kind}">{escape(chr(10).join(lines))}</pre>'
        case Picture(words, file):
            drawn = (folder / file).read_text(encoding="utf-8")
            return f"<figure>\n{drawn}<figcaption>{escape(words)}</figcaption></figure>"
        case Table():
            return _table(block)


def _table(table: Table) -> str:
    def row(cells: tuple[Words, ...], tag: str) -> str:
        return "".join(
            f"<{tag}{' class=right' if right else ''}>{_html(cell)}</{tag}>"
            for cell, right in zip(cells, table.right, strict=False)
        )

    head = f"<tr>{row(table.header, 'th')}</tr>" if any(plain(cell) for cell in table.header) else ""
    body = "".join(f"<tr>{row(cells, 'td')}</tr>" for cells in table.rows)
    return f"<table>{head}{body}</table>"


def _html(words: Words) -> str:
    return "".join(_run(run) for run in words)


def _run(run: Run) -> str:
    tag = {"plain": "", "strong": "strong", "stressed": "em", "code": "code"}[run.look]
    text = f"<{tag}>{escape(run.text)}</{tag}>" if tag else escape(run.text)
    target = run.target.partition("#")[0]
    if not target:
        return text
    if "://" in target:
        return f'<a href="{escape(run.target)}">{text}</a>'
    page = PurePosixPath(target)
    if page.suffix != ".md" or ".." in page.parts:
        return text
    return f'<a href="{escape(page.with_suffix(".html").as_posix())}">{text}</a>'
