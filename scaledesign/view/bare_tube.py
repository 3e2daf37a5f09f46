"""The dialog for the bare tube: what the tuner shows goes in, a smaller ± comes out, drawn to scale.

Apart from the screen so that it can be tried as plain data. What a reading teaches is worked out in
``workshop/calibration.py``; here it is asked for and told.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from scaledesign.errors import NoPitchError, QuantityError, ScaledesignError
from scaledesign.model.document import Design
from scaledesign.model.limits import LIMITS
from scaledesign.model.pitch import parse_reading
from scaledesign.model.saying import begun
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.units import format_length, format_temperature, parse_length, parse_temperature
from scaledesign.model.widths import known_length
from scaledesign.paper.unblown import told_length
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import voicing_of
from scaledesign.values import dataclass
from scaledesign.view.lines import Line, Signs, Span, Tone
from scaledesign.view.questions import Answers, Question, problem_with
from scaledesign.workshop import ask, calibration
from scaledesign.workshop.start import STOUTEST

NO_MOUTH = "The mouth of this design is an ideal open end; give it a real mouth first."
NO_FLUTE = "A tube of this length makes no flute; check the length and its unit."


@dataclass(frozen=True)
class Outcome:
    """What a reading taught."""

    design: Design
    """With the reading in its log and the added length that it asks for."""
    before: float
    """Cents: ± of the least certain note that counts; of the bare tube where there are no notes yet."""
    after: float
    words: str
    """What became of the ± and of the mouth, in one line."""
    told: str
    """What became of the mouth alone: for a screen that shows the ± itself, as the holes then lie."""
    notes: tuple[str, ...]
    """What is odd about the reading, in words."""


@dataclass(frozen=True)
class _Refusal:
    """Why a reading teaches nothing."""

    words: str
    of: str = ""
    """The question whose answer it is about, '' where it is the design."""


@dataclass(frozen=True)
class BareTube(Answers):
    """The answers as typed; '' where nothing was. Nothing that is typed raises."""

    design: Design
    reading: str = ""
    length: str = ""
    temperature: str = ""

    def questions(self) -> tuple[Question, ...]:
        """The three; the first is the one that only the tube can answer."""
        ideal = self.design.instrument.mouth == "open"
        known = known_length(self.design)
        return (
            Question(
                "reading",
                "What the tuner shows",
                self.reading,
                help='A note and its cents, such as "A4 -4", or "438.9 Hz". Blow as you will play, with no '
                "hole drilled.",
                problem=NO_MOUTH if ideal else problem_with(parse_reading, self.reading),
            ),
            Question(
                "length",
                "How long the tube was",
                self.length,
                "" if known is None else format_length(known, self.design.units),
                self._how_to_measure(known),
                problem=problem_with(lambda text: read_length(text, self.design), self.length),
            ),
            temperature_question(self.temperature, self.design),
        )

    def expected(self) -> str:
        """What this tube should sound, in one line; '' while length or temperature cannot be read.

        A tube whose length nobody knows yet: at the length that its maker was told to leave it.
        """
        if self.design.instrument.mouth == "open" or any(q.problem for q in self.questions()[1:]):
            return ""
        length, temperature = self._conditions()
        told = told_length(self.design, self.design.units) if length is None else length
        found = _expected(self.design, told, temperature)
        if found is None:
            return NO_FLUTE
        sounds, doubt = found
        shown = format_length(told, self.design.units)
        return f"At {shown} it should sound about {sounds}, ± {doubt:.0f} cents."

    def missing(self) -> str:
        """What a reading waits for, as a sentence: a length that nobody knows; '' for nothing."""
        if not self.reading.strip() or self.questions()[1].taken:
            return ""
        return "How long was the tube when you blew it? Type what you measure."

    def _how_to_measure(self, known: float | None) -> str:
        told = told_length(self.design, self.design.units)
        if known is None and told > self.design.tube.length:
            return (
                "Measure it, from the sounding edge to the foot, as it was when you blew it. It was to be "
                f"left at {format_length(told, self.design.units)} for that; any length serves that is true."
            )
        return (
            "From the sounding edge to the foot, as it was when you blew it: a tube that is still too long "
            "serves as well."
        )

    def outcome(self) -> Outcome | None:
        """What the reading teaches; None while there is none, and where it teaches nothing (``refusal``)."""
        found = self._tried()
        return found if isinstance(found, Outcome) else None

    def refusal(self) -> str:
        """Why a reading that can be read teaches nothing; '' when it does or there is none.

        A length that nobody typed may be at fault as well as the reading.
        """
        found = self._tried()
        if not isinstance(found, _Refusal):
            return ""
        if found.of == "reading" and not self.length.strip():
            taken = self.questions()[1].taken
            return f"{found.words} Was the tube not {taken} long? Tab, and say how long."
        return found.words

    def to_mend(self) -> str:
        """The question whose answer is why the reading teaches nothing; '' for none."""
        found = self._tried()
        return found.of if isinstance(found, _Refusal) else ""

    def _tried(self) -> Outcome | _Refusal | None:
        if not self.reading.strip() or self.missing() or any(each.problem for each in self.questions()):
            return None
        return _tried(self.design, self.design.text, self.reading.strip(), *self._conditions())

    def _conditions(self) -> tuple[float | None, float | None]:
        """Length (m), None where nobody knows it; temperature (degC), None where it is the design's."""
        length, temperature = self.length.strip(), self.temperature.strip()
        return (
            read_length(length, self.design) if length else known_length(self.design),
            read_temperature(temperature) if temperature else None,
        )


def before_after(outcome: Outcome, signs: Signs, width: int) -> tuple[Line, Line]:
    """Two lines of at most ``width`` cells: the ± before and now, a bar each, to one scale."""
    most = max(outcome.before, outcome.after, 1.0)
    digits = len(f"{most:.0f}")

    def line(label: str, cents: float, tone: Tone) -> Line:
        head = f"{label:6}"[:width]
        number = f" {signs.plus_minus} {cents:{digits}.0f} cents  "[: width - len(head)]
        bar = _bar(cents / most, width - len(head) - len(number), signs)
        return (Span(head, "label"), Span(number, tone), Span(bar, tone))

    return line("before", outcome.before, "faint"), line("now", outcome.after, "strong")


def _bar(share: float, cells: int, signs: Signs) -> str:
    """A bar of a share of the cells, to the eighth of a cell where the signs can."""
    steps = len(signs.parts) + 1
    whole, part = divmod(max(round(share * cells * steps), min(cells, 1)), steps)
    return signs.full * whole + (signs.parts[part - 1] if part else "")


def read_length(text: str, design: Design) -> float:
    """How long (m) the tube was when it was blown.

    Raises
    ------
    QuantityError, DesignError
    """
    return LIMITS["LogEntry"]["length"].allowed("length", parse_length(text, design.units), design.units)


def read_temperature(text: str) -> float:
    """How warm (degC) the room was.

    Raises
    ------
    QuantityError, DesignError
    """
    return LIMITS["LogEntry"]["temperature"].allowed("temperature", parse_temperature(text))


def temperature_question(typed: str, design: Design) -> Question:
    """How warm the room was when something was read."""
    return Question(
        "temperature",
        "How warm the room was",
        typed,
        format_temperature(design.air.temperature),
        'Such as "22 °C" or "72 °F".',
        problem=problem_with(read_temperature, typed),
    )


@lru_cache(maxsize=8)
def _expected(design: Design, length: float | None, temperature: float | None) -> tuple[str, float] | None:
    """What a tuner should show, and ± cents; None of a tube that no flute is made of."""
    if length is not None and length < STOUTEST * design.tube.bore[0].value:
        return None
    try:
        frequency, doubt = calibration.bare_tube(design, length, temperature)
        return tuner_shows(design, frequency), doubt
    except (NoPitchError, QuantityError):
        return None


@lru_cache(maxsize=8)
def _tried(
    design: Design, text: str | None, reading: str, length: float | None, temperature: float | None
) -> Outcome | _Refusal:
    """The outcome of a reading, or why it teaches nothing.

    ``text`` is the design's, which is carried along but takes no part in comparing designs.
    """
    if _expected(design, length, temperature) is None:
        return _Refusal(NO_FLUTE, "length")
    try:
        found = ask.calibrate(design, reading, length=length, temperature=temperature)
        if found.design == design:
            return _Refusal(" ".join(found.notes), "reading")
        before, after = _worst(design, found.before), _worst(found.design, found.after)
    except ScaledesignError as error:
        return _Refusal(str(error))
    added = voicing_of(design).added_length
    overblown = [each.label for each in found.residuals if each.said == reading and "register" in each.label]
    mouth = _mouth(design, added, found.added_length)
    taken = f"Taken as {overblown[-1]}. " if overblown else ""
    return Outcome(
        found.design,
        before,
        after,
        f"{taken}{_doubt(before, after)}: {mouth}.",
        f"{taken}{begun(mouth)}.",
        found.notes,
    )


def _worst(design: Design, prediction: Prediction) -> float:
    """± of the least certain note that counts, cents; of the bare tube where there are no notes yet."""
    if not design.rows:
        return calibration.bare_tube(design)[1]
    counted = np.array([row.counts for row in design.rows])
    return float(prediction.uncertainty[counted if counted.any() else ~counted].max())


def _doubt(before: float, after: float) -> str:
    if f"{before:.0f}" == f"{after:.0f}":
        return f"Still ± {after:.0f} cents"
    return f"± {after:.0f} cents instead of ± {before:.0f}"


def _mouth(design: Design, added: float, now: float) -> str:
    was, found = format_length(added, design.units), format_length(now, design.units)
    return f"the mouth adds {found} of tube, {'as was thought' if found == was else f'not {was}'}"
