"""A browser window is a process of its own: it paints, takes keys, and ends with what it talks to."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from scaledesign.files.journal import leftovers
from scaledesign.ui.browser_window import words_for

DEADLINE = 60.0
"""Seconds after which a window is ended that neither paints nor ends."""


class Window:
    """One window and the packets to and from it."""

    def __init__(self, *words: str | Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "scaledesign.ui.browser_window", *map(str, words)],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip
        assert self.process.stdin
        assert self.process.stdout
        self.to, self.out = self.process.stdin, self.process.stdout
        self.last_moment = threading.Timer(DEADLINE, self.process.kill)
        self.last_moment.daemon = True
        self.last_moment.start()
        assert self.out.readline() == b"__GANGLION__\n"

    def packet(self) -> tuple[bytes, bytes]:
        """The next packet: its kind and what is in it."""
        kind = self.out.read(1)
        return kind, self.out.read(int.from_bytes(self.out.read(4), "big"))

    def painted(self, text: str) -> None:
        """Read until a text has been painted."""
        while True:
            kind, data = self.packet()
            assert kind, f"{text!r} was never painted"
            if kind == b"D" and text.encode() in data:
                return

    def send(self, kind: bytes, data: bytes) -> None:
        self.to.write(kind + len(data).to_bytes(4, "big") + data)
        self.to.flush()

    def ended(self) -> str:
        """Wait for its end; what it complained about."""
        said = self.process.communicate()[1].decode()
        self.last_moment.cancel()
        assert self.process.returncode == 0, said
        return said


def test_it_paints_takes_keys_and_keeps_what_is_unsaved_when_it_is_closed(wren: Path) -> None:
    window = Window("--no-colour", wren)
    window.painted("Marsh wren")
    window.send(b"D", b"\x1b[C5\r")  # on to cents, 5, Enter
    window.painted("(not saved)")
    window.send(b"M", json.dumps({"type": "quit"}).encode())
    assert window.ended() == ""
    (left,) = leftovers()
    assert left.path == wren
    assert "cents = 5" in left.text.replace("  ", " ")


def test_it_ends_when_the_server_is_gone(wren: Path) -> None:
    window = Window(wren)
    window.painted("Marsh wren")
    window.ended()


def test_a_file_that_cannot_be_opened_is_said_in_the_window(home: Path, tmp_path: Path) -> None:
    window = Window("--ascii", tmp_path / "gone.toml")
    kind, data = window.packet()
    assert kind == b"D"
    assert "gone.toml" in data.decode()
    assert json.loads(window.packet()[1]) == {"type": "exit"}
    assert window.ended() == ""


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("colours", [False, True])
@pytest.mark.parametrize("name", ["a flute.toml", "--ascii", None])
def test_the_words_for_a_window(tmp_path: Path, name: str | None, ascii_only: bool, colours: bool) -> None:
    path = tmp_path / name if name else None
    words = words_for(path, ascii_only=ascii_only, colours=colours)
    assert ("--ascii" in words, "--no-colour" in words) == (ascii_only, not colours)
    assert (str(path) in words) == (path is not None)
