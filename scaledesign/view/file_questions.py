"""Where to save, and what a typed path means: the question of one dialog, as plain data.

A path is checked as it is typed; nothing is written here.
"""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

from scaledesign.locations import is_example
from scaledesign.values import dataclass
from scaledesign.view.lines import Line, wrapped
from scaledesign.view.questions import Answers, Question

ENDING = ".toml"


def file_name(title: str, folder: Path) -> str:
    """A file name for a flute, not yet in the folder: ``marsh-wren.toml``, then ``marsh-wren-2.toml``."""
    plain = _plain_name(title)
    names = (plain, *(f"{plain.removesuffix(ENDING)}-{count}{ENDING}" for count in range(2, 100)))
    return next((name for name in names if not (folder / name).exists()), plain)


def _plain_name(title: str) -> str:
    plain = re.sub(r"[^\w]+", "-", title.casefold()).strip("-")
    return f"{plain or 'flute'}{ENDING}"


def place_of(text: str, folder: Path) -> Path:
    """The file that a typed text means, from a folder on; '~' is the home."""
    path = Path(text.strip())
    with suppress(RuntimeError):  # a home that nobody has is a name like any other
        path = path.expanduser()
    return path if path.is_absolute() else folder / path


def design_place(text: str, folder: Path) -> Path:
    """The design file that a typed text means: with its ending, unless a file has just that name."""
    path = place_of(text, folder)
    try:
        bare = bool(path.name) and not path.suffix and not path.exists()
    except OSError:
        return path
    return path.with_suffix(ENDING) if bare else path


def trouble_with(path: Path) -> str:
    """Why nothing can be written there, '' when it can."""
    try:
        if path.is_dir():
            return f"{path} is a folder; add a name for the file."
        if not path.parent.is_dir():
            return f"There is no folder {path.parent}; make it first, or choose another."
        if is_example(path):
            return f"{path} is one of our examples' places, never written to; choose another folder."
    except OSError as error:
        return f"{path} cannot be used ({error.strerror}); choose another name."
    return ""


@dataclass(frozen=True)
class SaveAs(Answers):
    """Where to save a design."""

    folder: Path
    file: str
    own: Path | None = None
    """The file it has now, which may be written without a word."""

    @property
    def path(self) -> Path:
        """The file meant, with its ending."""
        return design_place(self.file, self.folder)

    def questions(self) -> tuple[Question, ...]:
        """The one question."""
        typed = self.file.strip()
        problem = "" if typed else "Type a name for the file."
        if typed:
            problem = trouble_with(self.path)
        return (
            Question(
                "file",
                "Where to keep this flute",
                self.file,
                help=f"A name, or a path. Names without a folder go to {self.folder}.",
                note="replaces the file that is there" if not problem and self.path.exists() else "",
                problem=problem,
            ),
        )

    def tail(self, width: int) -> tuple[Line, ...]:
        """What will happen."""
        if self.questions()[0].problem:
            return ((),)
        there = self.path.exists() and self.path != self.own
        said = f"Replaces {self.path}." if there else f"Writes {self.path}."
        return wrapped(said, width, "reach" if there else "plain")

    @property
    def ready(self) -> bool:
        """Whether it can be done."""
        return not self.questions()[0].problem
