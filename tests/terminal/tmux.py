"""A real terminal: the program in a tmux of its own, keys pressed, the screen read as text.

Apart from the tests so that they read as a maker would tell them. Every wait is for something to be seen,
with a deadline that only a hang reaches; nothing here knows what the program shows.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

DEADLINE = 60.0
"""Seconds after which what is waited for will not come."""
LOOK_AGAIN = 0.02
"""Seconds between two looks at the screen."""
REST = 12
"""Looks in a row that must be alike for a screen to be at rest."""
SETTINGS = """\
set -g default-terminal "tmux-256color"
set -g status off
set -g remain-on-exit on
set -g escape-time 0
"""

Seen = str | Callable[[str], bool]
"""What to wait for: a text on the screen, or a question about the whole of it."""


class Terminal:
    """One command in one terminal, from ``with`` to the end of it."""

    def __init__(
        self,
        command: Sequence[str | Path],
        *,
        folder: Path,
        size: tuple[int, int] = (140, 40),
        env: Mapping[str, str] = {},
    ) -> None:
        """Start a command.

        Parameters
        ----------
        folder : where it runs
        size : columns and lines
        env : what the command finds in its environment besides PATH, HOME and a UTF-8 locale
        """
        self._place = Path(tempfile.mkdtemp(prefix="tmux-"))  # a socket's path must be short
        settings = self._place / "settings"
        settings.write_text(SETTINGS)
        self._server = ("tmux", "-u", "-S", str(self._place / "socket"), "-f", str(settings))
        self._env = {"PATH": os.environ["PATH"], "HOME": str(self._place), "LC_ALL": "C.UTF-8"}
        self._ended = self._place / "ended"
        noted = ("sh", "-c", '"$@"; echo $? >"$0"', str(self._ended))  # tmux itself may be slow to know
        words = [*noted, "env", *(f"{key}={value}" for key, value in env.items()), *map(str, command)]
        columns, lines = (str(number) for number in size)
        self._tmux("new-session", "-d", "-x", columns, "-y", lines, "-c", str(folder), "--", *words)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        subprocess.run((*self._server, "kill-server"), env=self._env, capture_output=True, check=False)
        shutil.rmtree(self._place)

    def _tmux(self, *words: str) -> str:
        run = subprocess.run(
            (*self._server, *words), env=self._env, capture_output=True, encoding="utf-8", check=False
        )
        assert run.returncode == 0, f"tmux {words[0]}: {run.stderr}"
        return run.stdout

    # Doing

    def press(self, *keys: str) -> None:
        """Press keys by tmux's names: C-n, Enter, F2, Up."""
        self._tmux("send-keys", *keys)

    def type(self, text: str) -> None:
        """Type a text as it stands."""
        self._tmux("send-keys", "-l", "--", text)

    def send(self, *bytes_: int) -> None:
        """Send bytes, whatever they mean."""
        self._tmux("send-keys", "-H", *(f"{byte:02x}" for byte in bytes_))

    def paste(self, text: str) -> None:
        """Paste as a terminal does: in brackets where the program asked for them, lines ended by CR."""
        self._tmux("set-buffer", "--", text)
        self._tmux("paste-buffer", "-p", "-d")

    def resize(self, columns: int, lines: int) -> None:
        """Give the terminal another size."""
        self._tmux("resize-window", "-x", str(columns), "-y", str(lines))

    def hang_up(self) -> None:
        """Close the terminal: the program gets SIGHUP, as from a window that is closed or a lost line."""
        self._tmux("kill-session")

    # Seeing

    def screen(self, *, codes: bool = False) -> str:
        """What is on the screen; ``codes``: with the escape sequences for colours and the like."""
        return self._tmux("capture-pane", "-p", *(("-e",) if codes else ()))

    def lines(self) -> list[str]:
        """What is on the screen, line by line, without blanks at the end."""
        return [line.rstrip() for line in self.screen().splitlines()]

    def wait_for(self, seen: Seen) -> str:
        """The screen as soon as something is to be seen on it."""
        if isinstance(seen, str):
            return self._until(self.screen, lambda screen: seen in screen, f"Never seen: {seen}")
        return self._until(self.screen, seen, "Never seen, what the test waits for.")

    def wait_at_rest(self, good: Callable[[str], bool]) -> str:
        """The screen as soon as it is good and nothing on it changes any more for ``REST`` looks."""
        looks = [""]

        def rests(screen: str) -> bool:
            looks[:] = [screen] if screen != looks[0] else [*looks, screen]
            return len(looks) >= REST and good(screen)

        return self._until(self.screen, rests, "Never at rest.")

    def wait_until_gone(self, text: str) -> str:
        """The screen as soon as a text is no more to be seen on it."""
        return self.wait_for(lambda screen: text not in screen)

    def exit_code(self) -> int:
        """The exit code, once the command has ended."""
        return int(self._until(self._left, lambda text: text.endswith("\n"), "Never ended."))

    def _left(self) -> str:
        return self._ended.read_text() if self._ended.exists() else ""

    def _until(self, look: Callable[[], str], good: Callable[[str], bool], complaint: str) -> str:
        end = time.monotonic() + DEADLINE
        while not good(text := look()):
            assert time.monotonic() < end, f"{complaint}\n{self.screen()}"
            time.sleep(LOOK_AGAIN)
        return text
