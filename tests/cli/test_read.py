"""read: the handbook on a terminal, as web pages, and where a word stands."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from scaledesign.cli import main
from scaledesign.cli.exit_codes import CANNOT_USE, OK
from scaledesign.files.handbook import index, pages
from scaledesign.locations import HANDBOOK
from scaledesign.paper.page_blocks import Typed, blocks_of
from scaledesign.paper.page_web import page_web
from scaledesign.view.lines import text_of
from scaledesign.view.page_lines import as_text, page_lines

EVERY = [index(), *pages()]


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["read", *words]) == OK
    return capsys.readouterr().out


def test_the_list_has_every_page(capsys: pytest.CaptureFixture[str]) -> None:
    out = printed(capsys)
    assert all(f"- {page.name}: " in out for page in pages())
    assert [page["page"] for page in json.loads(printed(capsys, "--json"))["pages"]] == [
        p.name for p in pages()
    ]


@pytest.mark.parametrize("name", ["why-holes", "Why holes", "why-holes.md"])
def test_a_page_by_its_name(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    out = printed(capsys, *name.split())
    assert out.startswith("Why a hole acts as it does\n====")
    assert "[Picture pictures/windows.svg:" in out
    assert "**" not in out


def test_a_page_that_is_not_there_is_named_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", "rescu"]) == CANNOT_USE
    assert capsys.readouterr().err == "No page is named 'rescu'; did you mean 'rescue'?\n"
    assert main(["read", "../../README"]) == CANNOT_USE
    assert main(["read", "rescue", "--where"]) == CANNOT_USE


def test_a_word_is_found_in_its_pages(capsys: pytest.CaptureFixture[str]) -> None:
    out = printed(capsys, "--search", "Undercutting")
    assert "why-holes:\n" in out
    assert all("undercutting" in line.casefold() for line in out.splitlines() if line.startswith("  "))
    assert main(["read", "--search", "xylophone"]) == CANNOT_USE
    assert "no page has 'xylophone'" in capsys.readouterr().err


def test_where_it_lies(capsys: pytest.CaptureFixture[str]) -> None:
    assert Path(printed(capsys, "--where").strip()) == HANDBOOK


def test_all_of_it_for_a_browser(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed(capsys, "--web", str(tmp_path / "web"))
    made = {path.name for path in (tmp_path / "web").iterdir()}
    assert made == {f"{page.name}.html" for page in EVERY}
    for page in EVERY:
        text = (tmp_path / "web" / f"{page.name}.html").read_text(encoding="utf-8")
        assert {target for target in re.findall(r'href="([^"]+)"', text) if "://" not in target} <= made
        assert not re.search(r'(?:src|href)="https?:', text)  # nothing is fetched
    assert main(["read", "--web", str(tmp_path / "web")]) == CANNOT_USE


@pytest.mark.parametrize("width", [60, 76])
def test_every_page_fits_and_keeps_what_is_typed(width: int) -> None:
    for page in EVERY:
        lines = page_lines(page.text, width)
        assert max(len(text_of(line)) for line in lines) <= width, page.name
        whole = as_text(page_lines(page.text, width, folded=False)).splitlines()
        for block in blocks_of(page.text):
            if isinstance(block, Typed) and block.kind == "sh":
                assert {*block.lines} <= {shown.strip() for shown in whole}, page.name


def test_every_page_is_a_whole_web_page() -> None:
    for page in EVERY:
        body = page_web(page.text, HANDBOOK).partition("</style>")[2].removesuffix("</html>\n")
        ElementTree.fromstring(f"<body>{body.replace('class=right', '')}</body>")


def test_a_page_is_taken_apart_and_laid_out() -> None:
    text = "# One *two*\n\nSee [three](tube.md), `four` and **five**.\n\n- six\n- seven\n  8\n\n    nine\n"
    assert as_text(page_lines(text, 80)) == (
        "One two\n=======\n\nSee three (tube), four and five.\n\n- six\n- seven 8\n\n  nine\n"
    )
