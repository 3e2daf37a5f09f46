"""One browser window: the grid in a process of its own, talking to ``browser.py`` instead of a terminal.

Apart so that windows share nothing but files, as two terminals do: the journal tells the living from the
dead, and what was unsaved when a window was closed is offered the next time. Run by ``browser.py`` as
``python -m scaledesign.ui.browser_window [--ascii] [--no-colour] [FILE]``.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path

from textual.driver import Driver
from textual.drivers.web_driver import WebDriver
from textual.messages import ExitApp

from scaledesign.errors import ScaledesignError
from scaledesign.ui.app import GridApp


class _WindowDriver(WebDriver):
    """Ends the window when the server is gone, however it went."""

    def run_input_thread(self) -> None:
        super().run_input_thread()
        self._app.post_message(ExitApp())


class _Window(GridApp):
    def get_driver_class(self) -> type[Driver]:
        return _WindowDriver


def words_for(path: Path | None, *, ascii_only: bool, colours: bool) -> tuple[str, ...]:
    """The arguments of a window."""
    flags = (*(["--ascii"] if ascii_only else []), *([] if colours else ["--no-colour"]))
    return (*flags, *([str(path.absolute())] if path else []))


def main(words: Sequence[str]) -> None:
    """Run one window; what cannot be opened is said in it."""
    names = [word for word in words if word not in ("--ascii", "--no-colour")]
    try:
        window = _Window(
            Path(names[0]) if names else None,
            ascii_only="--ascii" in words,
            colours="--no-colour" not in words,
        )
    except ScaledesignError as error:
        _tell(str(error))
    else:
        window.run()


def _tell(text: str) -> None:
    """Show a text where the grid would be, and end."""
    shown = "\r\n ".join(("", *text.splitlines())).encode()
    ended = json.dumps({"type": "exit"}).encode()
    out = sys.stdout.buffer
    out.write(b"__GANGLION__\n")
    for kind, packet in ((b"D", shown), (b"M", ended)):
        out.write(kind + len(packet).to_bytes(4, "big") + packet)
    out.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
