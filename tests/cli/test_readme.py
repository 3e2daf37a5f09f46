"""Every command that README shows is run here or by .ci/run, and its table is the program's."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

import scaledesign
from scaledesign.cli import main
from scaledesign.cli.completion import command_tree
from scaledesign.cli.exit_codes import USAGE
from scaledesign.locations import install

CHECKOUT = Path(__file__).parents[2]
README = (CHECKOUT / "README.md").read_text(encoding="utf-8")
BLOCKS = [block.splitlines() for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL)]


def test_the_two_set_up_commands_come_first(capfd: pytest.CaptureFixture[str]) -> None:
    """The first block is what .ci/run types, in a terminal; without one the program prints its help."""
    first, second = BLOCKS[0]
    install = "python3 -m venv .venv && .venv/bin/pip install -c constraints.txt . && "
    assert first == f"{install}.venv/bin/scaledesign"
    assert second == '.venv/bin/pip install -c constraints.txt -e ".[dev]" && .venv/bin/pytest'
    assert main([]) == USAGE
    assert "to begin:" in capfd.readouterr().err


def test_extras_are_installed_from_the_folder_as_the_program_is() -> None:
    """Asked for by name, a registry would hand out a stranger's package."""
    told = install("recording").partition(": ")[2]
    assert told.removesuffix(' ".[recording]"') in BLOCKS[0][0]
    said = [path for path in (CHECKOUT / "scaledesign").rglob("*.*") if path.suffix in (".py", ".md")]
    for path in (*said, *CHECKOUT.glob("*.md")):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"""pip install (?:-c \S+ )?['"]?scaledesign\b""", text), path


def test_ci_types_the_first_block() -> None:
    assert "README.md | head -2" in (CHECKOUT / ".ci/run").read_text(encoding="utf-8")


def test_the_walk_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The rest, one after the other, as a maker would type them."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "own"))
    lines = [line for block in BLOCKS[1:] for line in block]
    assert len(lines) >= 7
    for line in lines:
        program, *arguments = shlex.split(line)
        assert program == "scaledesign"
        assert main(arguments) == 0, line
    read = [row for row in scaledesign.load(tmp_path / "flute.toml").rows if row.measured]
    assert read
    assert all(row.measured.split()[0] == row.note for row in read)


def test_every_link_leads_somewhere() -> None:
    links = re.findall(r"\]\(([^)#\s]+)", README)
    assert len(links) > 20
    for link in links:
        assert (CHECKOUT / link).exists(), link


def test_the_table_of_commands_is_the_programs() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (.*?) \|$", README, re.MULTILINE)
    assert rows == [(command.name, command.words) for command in command_tree()]
