"""A recording of a flute: its notes beside its rows, what is left out, and the readings that come of it.

Where listening (``listening``, which knows no flute) and pairing (``workshop/heard_rows.py``, which hears
nothing) meet; the command line and the grid show the same. A maker may leave a note out or give it to another
row; nothing is entered before ``entered`` is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from scaledesign.listening.notes import Listened, Note, listen
from scaledesign.model.document import Design
from scaledesign.model.pitch import cents_between, raised
from scaledesign.model.saying import begun, counted
from scaledesign.model.spelling import tuner_shows
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.calibration import Calibration
from scaledesign.workshop.heard_rows import Awaited, Order, Paired, Pairing, awaited, paired

PASSED = {"short": "too short", "unsteady": "never steady"}
"""Why something that sounded is no note."""
APART = 8.0
"""Cents between two takes of a note from which it is worth a word."""
SHIFTED = 5.0
"""Cents from which a shift of the whole flute is worth a word."""
LEFT = "you left it out"


@dataclass(frozen=True)
class Heard:
    """What a recording says of a flute."""

    design: Design
    bare: bool
    length: float | None
    """m, of the bare tube; None: the design's"""
    temperature: float | None
    """degC; None: the design's"""
    listened: Listened
    pairing: Pairing
    of: tuple[int | None, ...]
    """What each note is of: a place in ``awaited``; None: left out."""

    @property
    def notes(self) -> tuple[Note, ...]:
        """The steady notes, in order of time."""
        return self.listened.notes

    @property
    def awaited(self) -> Awaited:
        """What might be heard."""
        return self.pairing.awaited

    def paired(self, number: int) -> Paired:
        """What the program took a note for."""
        return self.pairing.notes[number]

    def off(self, number: int) -> float:
        """Cents of a note from what is expected of what it is of, or of the nearest."""
        place = self.of[number]
        place = self.paired(number).nearest if place is None else place
        return cents_between(float(self.awaited.frequency[place]), self.notes[number].frequency)

    def why(self, number: int) -> str:
        """Why a note is left out; '' where it is not."""
        if self.of[number] is not None:
            return ""
        return self.paired(number).why or LEFT

    def put(self, number: int, place: int | None) -> Heard:
        """The same with a note given to another row, or left out."""
        return replace(self, of=(*self.of[:number], place, *self.of[number + 1 :]))

    def takes(self) -> dict[int, tuple[int, ...]]:
        """Notes of each place that has any, in the order of the rows."""
        found: dict[int, list[int]] = {}
        for number, place in enumerate(self.of):
            if place is not None:
                found.setdefault(place, []).append(number)
        return {place: tuple(found[place]) for place in sorted(found)}

    def reading(self, place: int) -> str:
        """What a tuner would have shown: the mean in cents of a row's notes, each as long as it was held."""
        expected = float(self.awaited.frequency[place])
        takes = [self.notes[number] for number in self.takes()[place]]
        whole = sum(note.seconds for note in takes)
        off = sum(cents_between(expected, note.frequency) * note.seconds for note in takes) / whole
        return tuner_shows(self.design, raised(expected, off))

    def entered(self, when: datetime | None = None) -> Calibration:
        """The flute with what was heard as readings, in its rows and its log, and what they taught.

        Raises
        ------
        EditError
            when every note is left out.
        NoPitchError
        """
        readings = {place: self.reading(place) for place in self.takes()}
        bare = [text for place, text in readings.items() if self.awaited.rows[place] is None]
        rows = {
            row: text for place, text in readings.items() if (row := self.awaited.rows[place]) is not None
        }
        return ask.calibrate(
            self.design, bare or None, length=self.length, temperature=self.temperature, rows=rows, when=when
        )


def listen_to(
    design: Design,
    path: Path,
    *,
    bare: bool = False,
    order: Order = "up",
    length: float | None = None,
    temperature: float | None = None,
    told: Callable[[float], None] = lambda share: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Heard:
    """Listen to a recording of a flute, or of its tube before any hole was drilled.

    Parameters
    ----------
    design : Design
    path : WAV or FLAC
    bare : whether it is the bare tube
    order : "up": the maker went up the rows; "any": in any order
    length : m, of the bare tube, where it differed
    temperature : degC of the room, where it differed
    told, cancelled : as ``listening.notes.listen`` has them

    Raises
    ------
    RecordingError
        when the file cannot be listened to.
    EditError
        when the flute has nothing to be heard.
    NoPitchError, UnknownNameError
    """
    among = awaited(design, bare=bare, length=length, temperature=temperature)
    found = listen(path, *among.range, told, cancelled)
    pairing = paired([note.frequency for note in found.notes], among, "any" if bare else order)
    of = tuple(note.place for note in pairing.notes)
    return Heard(design, bare, length, temperature, found, pairing, of)


def said(heard: Heard) -> str:
    """How many notes there are, and of how many rows, in a sentence."""
    notes, taken = len(heard.notes), sum(place is not None for place in heard.of)
    rows = len(heard.takes())
    if not notes:
        return "No steady note was found: play each note for a second or more, near the microphone."
    if not taken:
        return f"{counted(notes, 'steady note')}, and none of them is one of this flute's."
    what = "" if heard.bare else f", of {counted(rows, 'row')}"
    left = f"; {notes - taken} left out" if notes > taken else ""
    return f"{counted(notes, 'steady note')}{what}{left}."


def of_all(heard: Heard) -> tuple[str, ...]:
    """What there is to say of the recording as a whole."""
    told = []
    shift, doubt = heard.pairing.shift, heard.pairing.shift_doubt
    if any(place is not None for place in heard.of) and abs(shift) > max(SHIFTED, 2 * doubt):
        way = "sharp" if shift > 0 else "flat"
        told.append(f"The whole flute lies about {abs(shift):.0f} cents {way} of what was expected.")
    if heard.listened.overdriven:
        told.append("The recording is overdriven: its loudest moments are cut off. Turn the level down.")
    return tuple(told)


def remarks(heard: Heard) -> tuple[str, ...]:
    """The same, and which rows were played more than once."""
    told = list(of_all(heard))
    for place, takes in heard.takes().items():
        cents = [heard.off(number) for number in takes]
        if len(takes) > 1:
            apart = max(cents) - min(cents)
            ask = " Leave out what was blown otherwise than you play." if apart > APART else ""
            told.append(
                f"{begun(heard.awaited.labels[place])} was heard {len(takes)} times, "
                f"{counted(round(apart), 'cent')} apart: their mean counts, {heard.reading(place)}.{ask}"
            )
    return tuple(told)


def passed_over(heard: Heard) -> Sequence[tuple[Note, str]]:
    """What sounded and is no steady note, and why."""
    return [(note, PASSED[note.reason]) for note in heard.listened.passed_over if note.reason]


def taught(found: Calibration) -> str:
    """What was entered, in a line; the screen shows the ± itself, as the holes then lie."""
    odd = f" {found.notes[0]}" if found.notes else ""
    return f"{counted(len(found.residuals), 'reading')} in force.{odd}"


def moment(seconds: float) -> str:
    """Minutes, seconds and tenths: "0:07.4"."""
    tenths = round(10 * seconds)
    return f"{tenths // 600}:{tenths % 600 // 10:02d}.{tenths % 10}"
