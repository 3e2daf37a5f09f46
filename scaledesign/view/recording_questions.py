"""What to ask before a recording is listened to: the file, what was played, how warm it was.

Plain data; answers as typed, nothing raises. Nothing is read here but the names in a folder.
"""

from __future__ import annotations

from pathlib import Path

from scaledesign.model.document import Design
from scaledesign.model.units import format_length
from scaledesign.model.widths import known_length
from scaledesign.values import dataclass
from scaledesign.view.bare_tube import read_length, read_temperature, temperature_question
from scaledesign.view.file_questions import place_of
from scaledesign.view.lines import Line, wrapped
from scaledesign.view.questions import Answers, Choice, Question, problem_with
from scaledesign.workshop.heard_rows import Order

ENDINGS = (".wav", ".flac")
UP, ANY, BARE = "up the rows", "in any order", "the bare tube"
PLAYED = (
    Choice(UP, "from low to high, some left out or played again"),
    Choice(ANY, "rows as they came"),
    Choice(BARE, "before any hole was drilled, overblown too"),
)
MOST = 50
"""Recordings of a folder that are listed."""


def recordings(folder: Path) -> tuple[str, ...]:
    """Names of the recordings in a folder, the newest first."""
    try:
        found = [path for path in folder.iterdir() if path.suffix.lower() in ENDINGS and path.is_file()]
        found.sort(key=lambda path: -path.stat().st_mtime)
    except OSError:
        return ()
    return tuple(path.name for path in found[:MOST])


@dataclass(frozen=True)
class RecordingAsked(Answers):
    """The answers as typed; '' where nothing was."""

    design: Design
    folder: Path
    there: tuple[str, ...]
    """Recordings in the folder, the newest first."""
    file: str = ""
    played: str = ""
    temperature: str = ""
    length: str = ""

    @property
    def path(self) -> Path | None:
        """The recording meant; None while none is."""
        text = self.file.strip() or (self.there[0] if self.there else "")
        return place_of(text, self.folder) if text else None

    @property
    def bare(self) -> bool:
        """Whether it is the bare tube."""
        return self.played.strip() == BARE

    @property
    def order(self) -> Order:
        """How the rows were played."""
        return "any" if self.played.strip() == ANY else "up"

    def questions(self) -> tuple[Question, ...]:
        """The file, what was played, how warm, and of a bare tube how long."""
        typed = self.played.strip()
        known, long = not typed or typed in (UP, ANY, BARE), known_length(self.design)
        return (
            Question(
                "file",
                "A recording of you playing, WAV or FLAC",
                self.file,
                self.there[0] if self.there else "",
                f"A name, or a path. Names without a folder are looked for in {self.folder}.",
                tuple(Choice(name) for name in self.there),
                problem=self._fault(),
            ),
            Question(
                "played",
                "What was played",
                self.played,
                UP,
                "Hold each note for a second or two, with a short rest between.",
                PLAYED,
                problem="" if known else f"Write {UP}, {ANY} or {BARE}.",
            ),
            temperature_question(self.temperature, self.design),
            Question(
                "length",
                "How long the tube was",
                self.length,
                "" if long is None else format_length(long, self.design.units),
                "From the sounding edge to the foot, as it was when you blew it.",
                problem=problem_with(lambda text: read_length(text, self.design), self.length),
                asked=self.bare,
            ),
        )

    def _fault(self) -> str:
        """Why the file cannot be listened to, as far as its name tells."""
        path = self.path
        if path is None:
            return "Type the name of a recording." if self.file.strip() else ""
        try:
            if not path.is_file():
                return f"There is no file {path}."
        except OSError as error:
            return f"{path} cannot be used ({error.strerror}); choose another name."
        return ""

    @property
    def ready(self) -> bool:
        """Whether it can be listened to."""
        asked = [question for question in self.questions() if question.asked]
        long = not self.bare or bool(asked[-1].taken)
        return self.path is not None and long and not any(question.problem for question in asked)

    def tail(self, width: int) -> tuple[Line, ...]:
        """What will happen."""
        if self.path is None:
            said = f"There is no recording in {self.folder} yet: type the path of one."
            return wrapped(said, width)
        return wrapped(f"Listens to {self.path}.", width) if self.ready else ((),)

    def conditions(self) -> tuple[float | None, float | None]:
        """Length (m) of a bare tube, None where nobody knows it; temperature (degC), None: the design's."""
        length, warm = self.length.strip(), self.temperature.strip()
        long = read_length(length, self.design) if length and self.bare else None
        return (
            known_length(self.design) if self.bare and long is None else long,
            read_temperature(warm) if warm else None,
        )
