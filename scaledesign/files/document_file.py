"""The design file on disk: open it, and put it back without ever leaving half of it.

Reading is in ``document_read.py``, writing in ``document_write.py``; here is only what can go wrong
between a text and a disk. A file is written whole under another name beside its place, waited for until it
is on the disk, and takes the place in one step. A link is followed; owner and permissions stay. What another
name of the same file (a hard link) leads to stays as it was: it is the price of never writing into a file.
"""

from __future__ import annotations

import os
import re
import stat
import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from scaledesign.errors import DesignError, Fault
from scaledesign.files.document_read import LARGEST_FILE, loads, too_large
from scaledesign.files.not_text import what_it_is
from scaledesign.files.own_files import reason
from scaledesign.model.checks import check
from scaledesign.model.document import Design
from scaledesign.wanted import unbroken

if TYPE_CHECKING:
    from scaledesign.files.document_recover import Recovered

__all__ = ["dumps", "load", "loads", "put", "put_all", "put_bytes", "put_design", "recover", "save"]

DRAFT_LIVES = 3600.0
"""Seconds after which a draft is one that a kill left behind."""


_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


def load(path: str | os.PathLike[str]) -> Design:
    """Design of a file; its text is kept in ``Design.text``.

    Raises
    ------
    DesignError : with every fault of the file, or the one reason why it cannot be opened
    """
    file = os.fspath(path)
    data = _bytes(path)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _refused(file, "the text is not UTF-8", "save it as UTF-8 in your editor", line) from None
    return loads(text, file)


def recover(path: str | os.PathLike[str]) -> Recovered:
    """A damaged file, or one of a newer program, opened as far as possible; the file stays as it is.

    Raises
    ------
    DesignError : where it cannot be opened at all, or too little of it is left to be a flute
    """
    from scaledesign.files.document_recover import recover as recovered

    return recovered(_bytes(path), os.fspath(path))


def _bytes(path: str | os.PathLike[str]) -> bytes:
    """All that a design file holds.

    Raises
    ------
    DesignError
    """
    file = os.fspath(path)
    try:
        regular = stat.S_ISREG(Path(path).stat().st_mode)
        data = b""
        if regular:
            with Path(path).open("rb") as stream:
                data = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise _refused(file, "there is no such file", "check the name and the folder") from None
    except PermissionError:
        raise _refused(file, "you may not read it", "ask for its permissions to be changed") from None
    except (OSError, ValueError) as error:
        raise _refused(
            file, f"it cannot be opened ({reason(error)})", "check the name and the disk"
        ) from None
    if not regular:
        raise _refused(file, "that is not a file", "name a design file, such as flute.toml")
    if (kind := what_it_is(data)) is not None:
        problem = f"that is no design file but {kind}" if kind else "that is no design file: it holds no text"
        raise _refused(file, problem, "name a design file, such as flute.toml")
    if len(data) > LARGEST_FILE:
        raise too_large(file)
    return data


def dumps(design: Design) -> str:
    """Text of a design file: the text it was loaded from with the changes in it, or a new one.

    Raises
    ------
    DesignError : if the design could not be loaded again
    """
    from scaledesign.files.document_write import changed, fresh

    faults = check(design)
    if faults:
        raise DesignError(design.name or "design", faults)
    return fresh(design) if design.text is None else changed(design, design.text)


def save(design: Design, path: str | os.PathLike[str]) -> None:
    """Write a design to a file, all of it or nothing.

    A loaded design that was not changed gives the same bytes; comments are kept. A link is
    followed, permissions are kept. If writing fails the file is as it was. What is replaced is kept
    as an earlier version (``earlier.py``).

    Raises
    ------
    DesignError : if the design could not be loaded again, or the file cannot be written
    """
    put_design(dumps(design), path)


def put_design(text: str | bytes, path: str | os.PathLike[str]) -> str:
    """Write the text of a design to a file, all of it or nothing, and keep what it replaces.

    Returns
    -------
    str: a sentence where what it replaces could not be kept, else "".

    Raises
    ------
    DesignError : if the file cannot be written
    """
    from scaledesign.files.earlier import keep  # most days begin with reading

    data = text if isinstance(text, bytes) else text.encode("utf-8")
    unkept = keep(Path(path), data)
    put_bytes(data, path)
    return unkept


def put(text: str, path: str | os.PathLike[str]) -> None:
    """Write a text to a file, all of it or nothing.

    Raises
    ------
    DesignError : if the file cannot be written
    """
    put_bytes(text.encode("utf-8"), path)


def put_bytes(data: bytes, path: str | os.PathLike[str]) -> None:
    """Write bytes to a file, all of them or nothing.

    Raises
    ------
    DesignError : if the file cannot be written
    """
    put_all(((path, data),))


def put_all(files: Iterable[tuple[str | os.PathLike[str], bytes]]) -> None:
    """Write several files; where one cannot be written, none is.

    All are on the disk under other names before the first takes its place. Should the disk refuse one then,
    those before it are new, it and those after it are as they were.

    Raises
    ------
    DesignError : if a file cannot be written
    """
    drafts: list[tuple[str, Path, Path]] = []
    file = ""
    try:
        for path, data in files:
            file = os.fspath(path)
            target = Path(os.path.realpath(path))
            drafts.append((file, _draft(file, target, data), target))
        with unbroken():
            for file, draft, target in drafts:  # noqa: B007 - the name that the error tells
                draft.replace(target)
        for folder in {target.parent for _, _, target in drafts}:
            _settle(folder)
    except DesignError:
        raise
    except (OSError, ValueError) as error:
        remedy = "check the folder, its permissions and the space left; the old file is untouched"
        raise _refused(file, f"it cannot be written ({reason(error)})", remedy) from None
    finally:
        for _, draft, _ in drafts:
            with suppress(OSError):
                draft.unlink()
    for _, _, target in drafts:
        _clear(target)


def _draft(file: str, target: Path, data: bytes) -> Path:
    """Bytes on the disk beside the file whose place they will take in one step."""
    there = _standing(file, target)
    draft = target.with_name(f"{_draft_name(target)}.{os.urandom(4).hex()}.part")
    try:
        number = os.open(draft, _NEW, 0o600 if there else 0o666)
        with os.fdopen(number, "wb") as stream:
            stream.write(data)
            stream.flush()
            if there is not None:
                _made_like(draft, there)
            os.fsync(stream.fileno())
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise
    return draft


def _standing(file: str, target: Path) -> os.stat_result | None:
    """What is known of the file that will be replaced, None where none is there.

    Raises
    ------
    DesignError : if what is there must not be replaced
    """
    try:
        there = target.stat()
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(there.st_mode):
        raise ValueError("that is a folder")
    if not stat.S_ISREG(there.st_mode):
        raise _refused(file, "that is no file but a device or a pipe", "name a file to write to")
    if not there.st_mode & 0o222 or not os.access(target, os.W_OK):
        raise _refused(file, "it is protected against writing", "take that off, or save under another name")
    return there


def _made_like(draft: Path, there: os.stat_result) -> None:
    """Owner and permissions of the file that was there, as far as we may."""
    if hasattr(os, "chown"):
        with suppress(OSError):
            os.chown(draft, there.st_uid, there.st_gid)
    draft.chmod(stat.S_IMODE(there.st_mode))


def _settle(folder: Path) -> None:
    """Wait until the disk has the new names too, where a system can be asked to."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def _draft_name(target: Path) -> str:
    """How drafts of a file begin: few letters, for a name may be as long as a system lets it be."""
    return f".{target.name[:24]}"


def _clear(target: Path) -> None:
    """Remove drafts of this file that a kill left behind, an hour ago or more."""
    draft = re.compile(re.escape(_draft_name(target)) + r"\.[0-9a-f]{8}\.part")
    with suppress(OSError), os.scandir(target.parent) as entries:
        for entry in entries:
            if draft.fullmatch(entry.name) and entry.stat().st_mtime < time.time() - DRAFT_LIVES:
                Path(entry.path).unlink()


def _refused(file: str, problem: str, remedy: str, line: int | None = None) -> DesignError:
    return DesignError(file, (Fault(problem, remedy, line=line, file=file),))
