"""The design file on disk: open it, and put it back without ever leaving half of it.

Reading is in ``document_read.py``, writing in ``document_write.py``; here is only what can go wrong
between a text and a disk.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from secrets import token_hex

from scaledesign.errors import DesignError, Fault
from scaledesign.files.document_read import LARGEST_FILE, loads, too_large
from scaledesign.files.document_write import changed, fresh
from scaledesign.model.checks import check
from scaledesign.model.document import Design

__all__ = ["dumps", "load", "loads", "put", "put_all", "put_bytes", "save"]


def load(path: str | os.PathLike[str]) -> Design:
    """Design of a file; its text is kept in ``Design.text``.

    Raises
    ------
    DesignError : with every fault of the file, or the one reason why it cannot be opened
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
            file, f"it cannot be opened ({_reason(error)})", "check the name and the disk"
        ) from None
    if not regular:
        raise _refused(file, "that is not a file", "name a design file, such as flute.toml")
    if len(data) > LARGEST_FILE:
        raise too_large(file)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _refused(file, "the text is not UTF-8", "save it as UTF-8 in your editor", line) from None
    return loads(text, file)


def dumps(design: Design) -> str:
    """Text of a design file: the text it was loaded from with the changes in it, or a new one.

    Raises
    ------
    DesignError : if the design could not be loaded again
    """
    faults = check(design)
    if faults:
        raise DesignError(design.name or "design", faults)
    return fresh(design) if design.text is None else changed(design, design.text)


def save(design: Design, path: str | os.PathLike[str]) -> None:
    """Write a design to a file, all of it or nothing.

    A loaded design that was not changed gives the same bytes; comments are kept. A link is
    followed, permissions are kept. If writing fails the file is as it was.

    Raises
    ------
    DesignError : if the design could not be loaded again, or the file cannot be written
    """
    put(dumps(design), path)


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
            drafts.append((file, _draft(target, data), target))
        for file, draft, target in drafts:  # noqa: B007 - the name that the error tells
            draft.replace(target)
    except (OSError, ValueError) as error:
        remedy = "check the folder, its permissions and the space left; the old file is untouched"
        raise _refused(file, f"it cannot be written ({_reason(error)})", remedy) from None
    finally:
        for _, draft, _ in drafts:
            with suppress(OSError):
                draft.unlink()


def _draft(target: Path, data: bytes) -> Path:
    """Bytes on the disk beside the file whose place they will take in one step."""
    if target.is_dir():
        raise ValueError("that is a folder")
    draft = target.with_name(f".{target.name[:100]}.{token_hex(4)}.part")
    try:
        with draft.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            draft.chmod(stat.S_IMODE(target.stat().st_mode))
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise
    return draft


def _refused(file: str, problem: str, remedy: str, line: int | None = None) -> DesignError:
    return DesignError(file, (Fault(problem, remedy, line=line, file=file),))


def _reason(error: Exception) -> str:
    reason = getattr(error, "strerror", None) or str(error)
    return f"{reason[:1].lower()}{reason[1:]}"
