"""What grid says before anything is on the screen; the screen is tried in tests/ui and tests/terminal."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from scaledesign.cli import grid_command
from tests.cli.running import Run


def test_without_a_terminal(run: Run, flute: Path) -> None:
    result = run("grid", flute)
    assert (result.code, result.out) == (2, "")
    assert "needs a terminal, or --browser" in result.err
    assert result.err.count("\n") == 1


def test_the_browser_needs_its_extra(run: Run, flute: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(grid_command, "find_spec", lambda name: None)
    result = run("grid", "--browser", flute)
    assert (result.code, result.out) == (3, "")
    assert 'in the folder you cloned: .venv/bin/pip install -c constraints.txt ".[browser]"' in result.err
    assert result.err.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--port", "8000"), 2, "--port goes with --browser"),
        (("--browser", "--port", "many"), 2, "many"),
        (("--browser", "--port", "70000"), 3, "Port 70000 cannot be had"),
        (("--browser", "missing.toml"), 3, "missing.toml"),
    ],
)
def test_what_cannot_be_served(run: Run, flute: Path, words: tuple[str, ...], code: int, said: str) -> None:
    result = run("grid", *words)
    assert (result.code, result.out) == (code, "")
    assert said in result.err
    assert result.err.count("\n") == 1


def test_a_port_that_is_taken(run: Run, flute: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        result = run("grid", "--browser", "--port", str(other.getsockname()[1]), flute)
    assert (result.code, result.out) == (3, "")
    assert "leave --port out" in result.err
    assert result.err.count("\n") == 1
