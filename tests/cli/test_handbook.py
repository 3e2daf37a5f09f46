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
from scaledesign.files.handbook import INDEX, pages
from scaledesign.locations import HANDBOOK

PAGES = sorted(HANDBOOK.glob("*.md"))
TYPED = [page for page in PAGES if "\n```sh\n" in page.read_text(encoding="utf-8")]
BY_KEYS = {"first-grid", "grid"}
"""Pages of the grid; ``tests/ui/test_handbook_keys.py`` presses the keys of the first."""
_FENCE = re.compile(r"^```(\w+)(?: +(\S+))?\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def _agrees(printed: str, page: str) -> bool:
    parts = []
    for line in page.rstrip("\n").split("\n"):
        if line.strip() == "…":
            parts.append(r"(?:.*\n)*?")
        else:
            parts.append(".*".join(re.escape(part.rstrip()) for part in line.split("…")) + r"[ ]*\n")
    return re.fullmatch("".join(parts), printed.rstrip("\n") + "\n") is not None


@pytest.mark.parametrize("page", TYPED, ids=lambda page: page.stem)
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


def test_every_page_is_in_the_index_once_and_its_links_lead_somewhere() -> None:
    listed = [page.name for page in pages()]
    assert sorted(listed) == sorted(page.stem for page in PAGES if page.stem != INDEX)
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8")):
            assert "://" in target or (HANDBOOK / target).exists(), (page.stem, target)


def test_every_page_that_says_what_to_do_has_something_to_type() -> None:
    for page in pages():
        if page.kind in ("A first flute", "How to") and page.name not in BY_KEYS:
            assert page.path in TYPED, page.name


def test_a_page_that_says_otherwise_is_found() -> None:
    assert _agrees("one\ntwo 3 cents\nfour\n", "one\n…\n")
    assert _agrees("one\ntwo 3 cents\nfour\n", "one\ntwo … cents\nfour\n")
    assert not _agrees("one\ntwo 3 cents\nfour\n", "one\ntwo 4 cents\nfour\n")
    assert not _agrees("one\ntwo\n", "one\n")
