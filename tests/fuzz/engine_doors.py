"""Doors behind which the engine works: designs foretold, planned at the bench, put on paper."""

from __future__ import annotations

import math
from pathlib import Path
from random import Random

from scaledesign.files import document_file
from scaledesign.model.document import Design
from scaledesign.outputs.make import Work, make
from scaledesign.paper.choices import PaperChoices
from scaledesign.workshop import ask
from scaledesign.workshop.making.plan import next_step
from tests.fuzz.files_doors import HEAD, holds, laid

MOST_HOLES, MOST_ROWS, MOST_LOG = 12, 40, 40


def _small(data: bytes, folder: Path) -> Design | None:
    """The design, where it was taken and is of a usual size."""
    found = document_file.load(laid(folder, "flute.toml", data))
    small = len(found.holes) <= MOST_HOLES and len(found.rows) <= MOST_ROWS and len(found.log) <= MOST_LOG
    return found if small else None


def foretold(data: bytes, folder: Path) -> None:
    """What a design plays: numbers, or a sentence why not."""
    if (found := _small(data, folder)) is not None:
        foretold = ask.predict(found)
        holds(all(map(math.isfinite, foretold.frequency)), "a note is no number")


def planned(data: bytes, folder: Path) -> None:
    """The next step at the bench."""
    if (found := _small(data, folder)) is not None:
        next_step(found)


def printed(data: bytes, folder: Path) -> None:
    """A page or a list of it, the data saying which."""
    if (found := _small(data, folder)) is None:
        return
    kind, form = Random(data).choice((
        ("holes", "txt"), ("holes", "csv"), ("chart", "txt"), ("chart", "csv"), ("notes", "mid"), ("notes",
        "musicxml"),
        ("template", "svg"), ("sheet", "svg"), ("chart", "html"),
    ))  # fmt: skip
    for made in make(Work(found), kind, form, PaperChoices()):
        holds(bool(made.data), "an empty file")
        if form in ("txt", "csv"):
            text = made.data.decode("utf-8")
            holds(
                not any(ord(sign) < 32 and sign not in "\n\r\t" for sign in text),
                "a list has signs that no screen shows",
            )


def worst_flutes() -> tuple[bytes, ...]:
    """Designs at the edge of what can be: tiny, wide, many holes, everything stated at its limit."""
    texts = (
        HEAD, HEAD.replace("355", "0.001"), HEAD.replace("355", "10000"), HEAD.replace("16", "0.0001"),
        HEAD.replace("16", "1000"),
        HEAD.replace("4", "0.0001"), HEAD + '[air]\nhumidity = 100\naltitude = "9000 m"\n',
        HEAD + "[voicing]\nadded_length = 1000\n",
        HEAD + '[[rows]]\nnote = "A4"\nholes = ""\nweight = 0\n',
        HEAD + '[[rows]]\nnote = "12000 Hz"\nholes = ""\nregister = 3\n',
        HEAD + '[[holes]]\nat = 1\ndiameter = 0.0001\n[[rows]]\nnote = "A4"\nholes = "O"\n',
    )  # fmt: skip
    return tuple(text.encode() for text in texts)
