"""Scales from files and to files: what a name or a path holds, what goes into a file, one's own scales.

Apart from the formats (``files/scale_file.py``, ``files/midi_tuning.py``) and from the questions that lead
here. What is here writes nothing but a scale of one's own.
"""

from __future__ import annotations

import re
import unicodedata
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Literal

from scaledesign.errors import EditError, QuantityError, UnknownNameError
from scaledesign.extend.catalogue import Catalogue, comparable, names_of
from scaledesign.files import document_file, midi_tuning, scale_file
from scaledesign.files.own_files import get
from scaledesign.files.toml_text import parsed
from scaledesign.locations import no_device, user_folders
from scaledesign.model.degrees import own_degrees
from scaledesign.model.document import Design, Tuning
from scaledesign.model.key_table import table_of, tuned_of
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Scale, Tuned, scale_of_degrees
from scaledesign.values import dataclass
from scaledesign.view.scale_degrees import look_again

LONGEST_NAME = 100
"""Signs of the name of a file."""
KIND = "your own"
"""What scales of the user's are listed among."""
MIDI = (".syx", ".mid", ".midi")
"""Endings of what is read as a MIDI tuning; that of a piece of music is refused with a sentence."""
KEEP_FIRST = "make it a scale of your own (scaledesign tuning --mine), then take it by its name"
Form = Literal["toml", "bulk", "notes"]


@dataclass(frozen=True, slots=True)
class Start:
    """What a name or a file holds."""

    scale: Scale
    tonic: str = ""
    """'' where nothing says."""
    reference: float | None = None
    remarks: tuple[str, ...] = ()
    listed: bool = False
    """Whether everybody finds it by its name."""


def start_of(
    text: str,
    path: Path,
    found: Catalogue,
    tonic: str,
    *,
    program: int | None = None,
    keys: int | None = None,
    others: str = "they are",
) -> Start:
    """What a name, or the file that it is the name of, holds.

    Parameters
    ----------
    text, path : what was typed, and the file that it means if it means one
    tonic : the key that a tuning of MIDI keys is read from, '' for C4
    program, keys : which tuning of such a file, after how many keys it repeats; None: the first, as it does

    Raises
    ------
    UnknownNameError, QuantityError, ScaleError, DesignError
    """
    ending = path.suffix.lower()
    if ending in MIDI:
        return _of_keys(path, tonic, program, keys, others)
    if ending != ".toml" and not path.is_file():
        return Start(found.scale(text), listed=True)
    if scale := scale_of_file(path):
        return Start(scale)
    design = document_file.load(path)
    scale, told = found.scale_of(design.tuning), design.tuning
    if told.degrees:
        scale = replace(scale, name=design.name.strip() or path.stem, source=f"degrees of {path.name}")
    return Start(scale, told.tonic, told.reference, listed=bool(told.scale and not told.degrees))


def scale_of_file(path: Path) -> Scale | None:
    """Scale of a file that is one; None leaves it to those who read designs, and name what is wrong."""
    try:
        told = parsed(get(path).decode("utf-8"))
    except (OSError, ValueError):
        return None
    return scale_file.load(path) if isinstance(told.get("scale"), dict) and "tube" not in told else None


def _of_keys(path: Path, tonic: str, program: int | None, keys: int | None, others: str) -> Start:
    read = midi_tuning.load(path)
    programs = {table.program: table for table in read.tables}
    if program is not None and program not in programs:
        numbers = ", ".join(map(str, programs))
        raise QuantityError(str(program), f"there is no such tuning in {path.name}", f"it has {numbers}")
    table = read.tables[0] if program is None else programs[program]
    remarks = list(read.remarks)
    if len(programs) > 1 and program is None:
        known = ", ".join(f"{each.program} ({each.name})" for each in read.tables)
        remarks.append(f"{path.name} holds several tunings, and this is the first; {others} {known}.")
    source = f"read from {path.name}, a MIDI tuning"
    tuned, said = tuned_of(table, parse_note(tonic or "C4"), source, keys)
    return Start(tuned.scale, tuned.tonic.name, tuned.reference, (*remarks, *said))


def in_a_design(scale: Scale, told: Tuning, remedy: str = KEEP_FIRST) -> tuple[Scale, Tuning]:
    """Scale and tuning of a design with the degrees of ``scale`` for its own.

    Raises
    ------
    QuantityError : the degrees repeat before the octave, which a design cannot say
    """
    try:
        texts = own_degrees(scale, told.degrees)
    except QuantityError as error:
        raise QuantityError(error.text, error.problem, remedy) from None
    return scale_of_degrees(texts, scale.name), replace(told, scale="", degrees=texts)


def contents(tuned: Tuned, form: Form, *, program: int = 0, every: bool = False) -> bytes:
    """What goes into a file: a scale file, a bulk tuning dump, or single-note changes.

    Raises
    ------
    QuantityError : a program that no instrument has
    """
    if form == "toml":
        return scale_file.dumps(tuned.scale).encode()
    if not 0 <= program <= 127:
        raise QuantityError(str(program), "is no number of a tuning", "write 0 to 127")
    table = table_of(tuned, program=program, every=every)
    return midi_tuning.note_changes(table) if form == "notes" else midi_tuning.bulk_dump(table)


def plain_name(name: str) -> str:
    """A name as a file has it, without its ending: ``"my-own-fifths"``."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = "-".join(re.findall("[a-z0-9]+", plain))[:LONGEST_NAME].strip("-")
    return no_device(stem or "own-scale", "scale")


def own_place(
    scale: Scale, found: Catalogue, *, over: bool = False, name: str = "name", or_else: str = ""
) -> Path:
    """File of a scale among the user's own; its names are still free.

    ``name`` is what a name is asked by, ``or_else`` what else helps where a file is there.

    Raises
    ------
    EditError : a scale or, unless ``over``, a file of that name is there
    """
    path = user_folders()[1] / f"{plain_name(scale.name)}.toml"
    if path.exists() and not over:
        raise EditError(f"{path} is there already", f"give it another {name}{or_else}")
    ours = set(names_of(scale_file.load(path))) if path.exists() else set()
    for wanted in (scale.name, *scale.also):
        with suppress(UnknownNameError):
            taken = found.scale(wanted)
            if comparable(wanted) not in ours:
                raise EditError(
                    f"{taken.name!r} is the name of a scale already", f"give yours another {name}"
                )
    return path


def keep_own(scale: Scale, path: Path) -> None:
    """Write a scale among the user's own, where it is found from then on.

    Raises
    ------
    DesignError : it cannot be written
    """
    with suppress(OSError):  # what is in the way is said when the file itself cannot be written
        path.parent.mkdir(parents=True, exist_ok=True)
    document_file.put(scale_file.dumps(replace(scale, kind=KIND)), path)
    look_again()


def scale_to_keep(design: Design, scale: Scale, name: str, words: str) -> Scale:
    """The scale of a design under a name of one's own; where it comes from is told.

    Raises
    ------
    QuantityError : what cannot be stored
    """
    source = scale.source or (f"degrees of {design.name}" if design.name else "my own")
    made = replace(
        scale, name=" ".join(name.split()), words=words.strip() or scale.words, source=source, also=()
    )
    if any("\ud800" <= letter <= "\udfff" for letter in made.name + made.words):
        raise QuantityError(ascii(made.name), "cannot be stored", "write the name and words again")
    return made
