"""Calling a stranger's code so that whatever it does costs a sentence and nothing else.

Apart from ``asking.py``, which knows what a plug-in is asked. The code runs in a daemon thread with a time
limit. What it prints is kept from the screen, what it reads from the keyboard is empty, and what it raises,
``SystemExit`` and ``KeyboardInterrupt`` too, becomes a ``Failure``. A thread that takes too long is asked to
end and left behind: Python cannot force it. Code can do worse than that, such as ending the process; this
guards against mistakes, not against malice.
"""

from __future__ import annotations

import io
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

LONGEST = 200
"""Signs of a stranger's text that are worth showing."""
_STREAMS = ("stdin", "stdout", "stderr")
_private: dict[int, _Kept] = {}
"""What a thread that runs a stranger's code reads and writes, by the thread's number."""


class Failure(Exception):
    """A call that raised, or took too long: ``text`` stands in the middle of a sentence."""

    def __init__(self, text: str, error: BaseException | None = None) -> None:
        super().__init__(text)
        self.text, self.error = text, error


class _Kept(io.StringIO):
    """An empty stream that keeps the beginning of what is written, and is at its end for who reads."""

    def write(self, text: str, /) -> int:
        if self.tell() < LONGEST:
            super().write(text[:LONGEST])
        return len(text)

    def read(self, _size: int | None = -1, /) -> str:
        return ""

    def readline(self, _size: int | None = -1, /) -> str:  # type: ignore[override]  # as io.StringIO does
        return ""


class _Parted:
    """A standard stream: a thread with a stranger's code finds its own, every other the real one."""

    def __init__(self, real: Any) -> None:
        self._real = real

    def __getattr__(self, name: str) -> Any:
        return getattr(_private.get(threading.get_ident(), self._real), name)

    def __iter__(self) -> Iterator[str]:
        return iter(_private.get(threading.get_ident(), self._real))


@contextmanager
def parted_streams() -> Iterator[None]:
    """Standard streams that a stranger's code cannot reach, for the block.

    They stay parted if a thread had to be left behind: it may print when nobody thinks of it any more.
    """
    real = {name: getattr(sys, name) for name in _STREAMS}
    parted = {
        name: _Parted(stream)
        for name, stream in real.items()
        if stream is not None and not isinstance(stream, _Parted)
    }
    for name, stream in parted.items():
        setattr(sys, name, stream)
    try:
        yield
    finally:
        for name, stream in parted.items():
            if not _private and getattr(sys, name) is stream:
                setattr(sys, name, real[name])


def call(function: Callable[[], object], limit: float, who: str) -> tuple[object, str]:
    """Result of ``function``, called by itself, and the beginning of what it printed.

    Parameters
    ----------
    function : what to call
    limit : float, s
    who : name for the thread

    Raises
    ------
    Failure
        when it raises or takes longer than ``limit``.
    """
    result: list[object] = []
    failed: list[Failure] = []
    printed = _Kept()

    def run() -> None:
        number = threading.get_ident()
        _private[number] = printed
        try:
            result.append(function())
        except BaseException as error:  # noqa: BLE001  a stranger's code may raise anything, SystemExit too
            failed.append(Failure(_told(error), error))
        finally:
            _private.pop(number, None)

    thread = threading.Thread(target=run, name=f"plug-in {who}", daemon=True)
    thread.start()
    thread.join(limit)
    if failed:
        raise failed[0]
    if not result:
        _ask_to_end(thread)
        raise Failure("")
    return result[0], one_line(printed.getvalue())


def one_line(text: object, longest: int = LONGEST) -> str:
    """A stranger's text as one line of printable signs, not too long; '' where there is none."""
    try:
        words = " ".join("".join(sign if sign.isprintable() else " " for sign in str(text)).split())
    except Exception:  # noqa: BLE001  str() of a stranger's thing may raise
        return ""
    return words if len(words) <= longest else words[: longest - 3] + "..."


def _told(error: BaseException) -> str:
    said = one_line(error)
    if isinstance(error, SystemExit):
        return f"it ends the program{f', with {said}' if said else ''}"
    return f"{type(error).__name__}{f': {said}' if said else ''}"


def _ask_to_end(thread: threading.Thread) -> None:
    """Let ``SystemExit`` rise in the thread at its next step: that ends a loop, if not a sleep."""
    import ctypes

    with suppress(Exception):  # only CPython has it
        ctypes.pythonapi.PyThreadState_SetAsyncExc(
            ctypes.c_ulong(thread.ident or 0), ctypes.py_object(SystemExit)
        )
