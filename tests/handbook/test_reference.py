"""The reference says what the program says now."""

from __future__ import annotations

import re

import pytest

import scaledesign
from scaledesign.cli.completion import command_tree
from scaledesign.files.document_keys import LISTS, TABLES, TOP
from scaledesign.locations import HANDBOOK
from tests.handbook import reference


@pytest.mark.parametrize("name", list(reference.PARTS))
def test_a_page_of_the_reference_is_as_the_program_is(name: str) -> None:
    before, after = reference.page(name)
    assert before == after, "python -m tests.handbook.reference --write"


def test_every_command_and_option_is_there() -> None:
    text = (HANDBOOK / "commands.md").read_text(encoding="utf-8")
    for command in command_tree():
        part = text.partition(f"\n## scaledesign {command.name}\n")[2].partition("\n## ")[0]
        assert part, command.name
        for option in command.options:
            for flag in option.flags:
                assert flag in ("-h", "--help") or re.search(rf"[`,| ]{flag}\b", part), (command.name, flag)


def test_the_design_file_shows_every_key_and_can_be_read() -> None:
    page = (HANDBOOK / "design-file.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    scaledesign.loads(text)
    for title, table in {"": TOP, **TABLES, **LISTS}.items():
        part = re.search(rf"^\[+{title}\]+.*?(?=^\[|\Z)", text, re.DOTALL | re.MULTILINE) if title else None
        section = part[0] if part else text
        for key in table.keys:
            assert re.search(rf"\b{key.name} *=", section), f"{title}.{key.name}"
