"""Every example in the handbook is typed here, and answers what the page says it answers.

In a page, ``toml NAME`` after three backticks is a file that lies beside the maker, ``sh`` is what is typed,
one command a line, and a ``text`` block right after it is what the last of them prints: word for word, a line
of … standing for any lines, … within a line for any letters.
"""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from scaledesign.cli import main

PAGES = sorted((Path(__file__).parents[2] / "scaledesign" / "handbook").glob("*.md"))
_FENCE = re.compile(r"^```(\w+)(?: +(\S+))?\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def _agrees(printed: str, page: str) -> bool:
    parts = []
    for line in page.rstrip("\n").split("\n"):
        if line.strip() == "…":
            parts.append(r"(?:.*\n)*?")
        else:
            parts.append(".*".join(re.escape(part.rstrip()) for part in line.split("…")) + r"[ ]*\n")
    return re.fullmatch("".join(parts), printed.rstrip("\n") + "\n") is not None


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_says_what_the_program_says(
    page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "own"))
    monkeypatch.setenv("COLUMNS", "100")
    printed, typed = "", 0
    for kind, name, body in _FENCE.findall(page.read_text(encoding="utf-8")):
        if kind == "toml" and name:
            target = tmp_path / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(body, encoding="utf-8")
        elif kind == "sh":
            for line in body.splitlines():
                program, *arguments = shlex.split(line)
                assert program == "scaledesign"
                capsys.readouterr()
                code = main(arguments)
                out = capsys.readouterr()
                assert code == 0, f"{line}\n{out.err}"
                printed, typed = out.out, typed + 1
        elif kind == "text":
            assert _agrees(printed, body), printed
    assert typed


def test_a_page_that_says_otherwise_is_found() -> None:
    assert _agrees("one\ntwo 3 cents\nfour\n", "one\n…\n")
    assert _agrees("one\ntwo 3 cents\nfour\n", "one\ntwo … cents\nfour\n")
    assert not _agrees("one\ntwo 3 cents\nfour\n", "one\ntwo 4 cents\nfour\n")
    assert not _agrees("one\ntwo\n", "one\n")
