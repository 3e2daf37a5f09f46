"""Signs that an old terminal cannot show, spelled out instead of spoiled.

Apart because it concerns streams, not texts: lists are written with ±, ° and × and nothing else knows
what becomes of them.
"""

from __future__ import annotations

import codecs
import contextlib
import re
import sys
from collections.abc import Iterator
from typing import Any, TextIO

SPELLED = {"±": "+/-", "−": "-", "×": "x", "°": "deg", "’": "'", "…": "..."}
"""What stands for a sign where the encoding lacks it; every other sign becomes a question mark."""
_HANDLER = "scaledesign-spelled"
_OBEYED = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]|\r(?!\n)")
"""Signs that a terminal obeys, but for tabs and line ends; a stranger's design may have them in its name."""


def spell_out(stream: TextIO) -> None:
    """Let ``stream`` spell out what its encoding cannot show."""
    codecs.register_error(_HANDLER, _spelled)
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors=_HANDLER)


def unobeyed(text: str) -> str:
    """Text with a question mark for every sign that a terminal would obey."""
    return _OBEYED.sub("?", text)


class _Harmless:
    """A stream that is sent no sign that a terminal obeys; all else is as it was."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        self._stream.write(unobeyed(text))
        return len(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextlib.contextmanager
def harmless() -> Iterator[None]:
    """Print nothing that a terminal would obey, until the end of the block."""
    out, err = _Harmless(sys.stdout), _Harmless(sys.stderr)
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        yield


def can_show(stream: TextIO, text: str) -> bool:
    """Whether ``stream`` has all the signs of ``text``."""
    try:
        text.encode(stream.encoding or "utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _spelled(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    wrong = error.object[error.start : error.end]
    return "".join(SPELLED.get(sign, "?") for sign in wrong), error.end
