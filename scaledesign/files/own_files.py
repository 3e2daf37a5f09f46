"""The program's own small files in the user's folders: put in place in one step, and locked.

Apart from ``document_file.py``, which waits until a design is on the disk: what is kept here must cost
nothing while somebody types, and may miss its last moment when the power fails. No format is known here.
"""

from __future__ import annotations

import errno
import os
import stat
import sys
from contextlib import suppress
from pathlib import Path


def put(path: Path, data: bytes) -> None:
    """Put ``data`` in place of a file in one step: whoever reads finds the old bytes or the new.

    One writer at a time: the draft beside the file has a fixed name, so that none is ever left over.

    Raises
    ------
    OSError : the file is as it was
    """
    draft = draft_of(path)
    try:
        file = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0), 0o600)
        try:
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(file, rest) :]
        finally:
            os.close(file)
        draft.replace(path)
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise


def get(path: Path, most: int = 1_000_000) -> bytes:
    """All the bytes of a small file.

    Raises
    ------
    OSError : it cannot be read, has more than ``most`` bytes, or is a pipe, which would be waited for
    """
    if not stat.S_ISREG(path.stat().st_mode):
        raise OSError(errno.EINVAL, "that is no file")
    with path.open("rb") as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise OSError(errno.EFBIG, "it is far too large")
    return data


def draft_of(path: Path) -> Path:
    """Where ``put`` writes before the file takes its place."""
    return path.with_suffix(".new")


def lock(file: int) -> bool:
    """Lock an open file unless somebody has; the lock ends with the process, however that ends.

    A second descriptor of the same file does not get it either, not even in the same process.

    Raises
    ------
    OSError : where files cannot be locked
    """
    if sys.platform == "win32":
        import msvcrt

        os.lseek(file, 0, os.SEEK_SET)
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
    else:
        import fcntl

        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
    return True


def reason(error: Exception) -> str:
    """What the system says is wrong, to stand in the middle of a sentence."""
    said = getattr(error, "strerror", None) or str(error)
    return f"{said[:1].lower()}{said[1:]}"
