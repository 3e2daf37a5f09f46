"""The one question about the maker's book: the folder with the finished flutes.

Apart from the lists (``book_list.py``), which need that folder. Asked only where the settings name none.
"""

from __future__ import annotations

from pathlib import Path

from scaledesign.values import dataclass
from scaledesign.view.file_questions import place_of
from scaledesign.view.lines import Line, wrapped
from scaledesign.view.questions import Answers, Question

KEPT = (
    "It is remembered for next time. For the command line as well, write it into settings.toml, in the "
    'folder for settings of your system: [book], and below it folder = "~/flutes".'
)


@dataclass(frozen=True)
class BookFolder(Answers):
    """Where the finished flutes lie."""

    start: Path
    """From where a name without a path is meant."""
    folder: str = ""

    @property
    def path(self) -> Path:
        """The folder meant."""
        return place_of(self.folder, self.start)

    def questions(self) -> tuple[Question, ...]:
        """The one question."""
        problem = ""
        if self.folder.strip() and not self.ready:
            problem = f"There is no folder {self.path}; type the path of one that is there."
        return (
            Question(
                "folder",
                "The folder with your finished flutes",
                self.folder,
                help="Such as ~/flutes. Each flute in it that was blown teaches the next one.",
                problem=problem,
            ),
        )

    def tail(self, width: int) -> tuple[Line, ...]:
        """How to name it for good."""
        return wrapped(KEPT, width)

    @property
    def ready(self) -> bool:
        """Whether there is such a folder."""
        try:
            return bool(self.folder.strip()) and self.path.is_dir()
        except OSError:
            return False
