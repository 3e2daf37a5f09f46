"""What was made, to the disk: into a folder, all or none, and nothing replaced that was not given up.

Apart from the making, which knows no disk.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from scaledesign.errors import EditError, shown
from scaledesign.files.document_file import put_all
from scaledesign.files.own_files import reason
from scaledesign.locations import is_example


class Named(Protocol):
    """A name and what is in the file (``make.Made``)."""

    @property
    def name(self) -> str:
        """Name in the folder."""

    @property
    def data(self) -> bytes:
        """What is in it."""


def write(
    folder: Path, made: Sequence[Named], *, new: bool = False, force: bool = False, own: Path | None = None
) -> tuple[Path, ...]:
    """Write files into a folder; all of them or none.

    Parameters
    ----------
    folder : where to
    made : names and contents
    new : make the folder where it is not there
    force : replace files that are there
    own : the design's own file, which is never replaced

    Raises
    ------
    EditError
        when a file would be replaced that was not given up, the design itself, or an example; when there is
        no such folder.
    DesignError
        when a file cannot be written.
    """
    paths = tuple(folder / each.name for each in made)
    check_folder(folder, new=new)
    for path in paths:
        check(path, force=force, own=own)
    try:
        folder.mkdir(exist_ok=True)
    except FileExistsError:
        raise EditError(f"{folder} is a file and no folder", "give another name") from None
    except OSError as error:
        raise EditError(f"{folder} cannot be made a folder ({reason(error)})", "give another name") from None
    put_all(list(zip(paths, (each.data for each in made), strict=True)))
    return paths


def check(path: Path, *, force: bool, own: Path | None = None) -> None:
    """See that a file may be written.

    Raises
    ------
    EditError
        as ``write`` does.
    """
    if is_example(path):
        raise EditError("an example is not written to", "name a file of your own")
    if own is not None and same(path, own):
        raise EditError(f"{path} is the design itself", "give another name")
    check_free(path, force=force)


def check_free(path: Path, *, force: bool) -> None:
    """See that nothing is in a file's place but what was given up; a folder never is.

    Raises
    ------
    EditError
    """
    if path.is_dir():
        raise EditError(f"{path} is a folder", "name a file in it, or another place")
    if path.exists() and not force:
        raise EditError(f"{path} is there already", "give another name, or --force to replace it")


def check_folder(folder: Path, *, new: bool = False) -> None:
    """See that a folder is there, or where it may be ``new`` the one it is made in.

    Raises
    ------
    EditError
        when it is not: a folder whose name was mistyped is not made unasked.
    """
    try:
        wanted = folder.parent if new and not folder.exists() else folder
        there, filed = wanted.is_dir(), wanted.exists()
    except OSError as error:
        raise EditError(
            f"{shown(str(folder))} cannot be a folder ({reason(error)})", "give another name"
        ) from None
    if filed and not there:
        raise EditError(f"{wanted} is a file and no folder", "give another name")
    if not there:
        raise EditError(f"there is no folder {wanted}", "make it first, or choose another")


def same(one: Path, other: Path) -> bool:
    """Whether two paths are one file."""
    try:
        return one.samefile(other)
    except OSError:  # one of them is not there
        return False
