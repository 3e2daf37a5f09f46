"""A flute's readings: noted in the design, and read out of it with the tube as it was when it was blown.

Apart from what they teach (``calibration.py``). The bare tube's stand in the log, a row's in its row and the
log; the log keeps length, temperature and what was drilled, so that a later change of the design does not
change what was read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Literal

import numpy as np

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.checks import check
from scaledesign.model.document import Design, HoleState, LogEntry, Row
from scaledesign.model.pitch import Note, parse_reading, parse_target, reading_frequency
from scaledesign.model.units import format_length
from scaledesign.model.widths import WORK, as_then, length_now, was_there, worked
from scaledesign.physics.flute import Flutes, lay_out
from scaledesign.solver.hearing import Reading
from scaledesign.solver.problem import CENT, doubts_of, fingerings_of, flutes_of, model_doubts
from scaledesign.solver.resonance import Fingerings, first_guess, resonances

REGISTERS = 3
"""How many registers of a bare tube are thought of."""
SAME_WIDTH = 1e-6
"""m: widths that differ by less are the same."""
_BARE_CENTS = re.compile(r"[+-]\d{1,3}(?:\.\d{1,3})?")
SURELY_FIRST = 300.0
"""Cents about a rough guess of the lowest note within which a reading is of no other register."""


def with_readings(
    design: Design,
    bare: str | Sequence[str] | None,
    length: float | None,
    temperature: float | None,
    rows: Mapping[int, str],
    when: datetime,
) -> Design:
    """The design with new readings noted down: the bare tube's in the log, a row's in its row and the log.

    Parameters
    ----------
    design : Design
    bare : readings of the tube before any hole was drilled, whatever their registers, or None
    length : m, sounding edge to foot when the bare tube was blown; None: the design's
    temperature : degC of the room; None: the design's
    rows : readings by row, 0-based; "" takes a row's reading back
    when : time to note

    Raises
    ------
    QuantityError
        for a reading that cannot be read.
    EditError
        for a row that the design has not, a tube of no length, a temperature no room has.
    """
    length = design.tube.length if length is None else length
    temperature = design.air.temperature if temperature is None else temperature
    bare = (bare,) if isinstance(bare, str) else tuple(bare or ())
    if length <= 0:
        raise EditError(
            f"A tube of {format_length(length, design.units)} cannot have been blown",
            "give its length from sounding edge to foot",
        )
    for text in (*bare, *rows.values()):
        if text:
            parse_reading(text)
    log, noted = list(design.log), list(design.rows)
    log += [LogEntry(when, "measured", (), text, temperature, length, "the bare tube") for text in bare]
    for index, text in rows.items():
        if not 0 <= index < len(noted):
            raise EditError(f"There is no row {index + 1}", f"rows are 1 to {len(noted)}")
        noted[index] = replace(noted[index], measured=text)
        if text:
            fingering = noted[index].holes
            drilled = drilled_for(design, fingering)
            log.append(LogEntry(when, "measured", fingering, text, temperature, drilled=drilled))
    result = replace(design, rows=tuple(noted), log=tuple(log))
    if faults := check(result):
        fault = faults[0]
        raise EditError(f"The reading cannot be noted: {fault.value}, {fault.problem}", fault.remedy)
    return result


def as_blown(design: Design, rows: Mapping[int, str]) -> Design:
    """The design with all marked as cut that new readings prove to be: no layout moves it from then on.

    Who blew a fingering has cut the foot and drilled the holes it opens. ``rows`` are readings by row,
    0-based; "" proves nothing.
    """
    blown = [design.rows[row] for row, text in rows.items() if text]
    if not blown:
        return design
    opened = design.opened_by(blown)
    both: frozenset[Literal["at", "diameter"]] = frozenset({"at", "diameter"})
    holes = tuple(
        replace(hole, drilled=True, locked=both) if i in opened else hole
        for i, hole in enumerate(design.holes)
    )
    return replace(design, holes=holes, tube=replace(design.tube, locked=True))


def typed(design: Design, row: int, text: str) -> str:
    """What was typed as the reading of a row (0-based), as it is noted; so many cents are off the row's note.

    Raises
    ------
    QuantityError
        for what is no reading.
    """
    plain = " ".join(text.replace("−", "-").split())
    if _BARE_CENTS.fullmatch(plain) and isinstance(parse_target(design.rows[row].note), Note):
        plain = f"{design.rows[row].note} {plain}"
    if plain:
        parse_reading(plain)
    return plain


def marked_holes(design: Design) -> list[bool]:
    """Of each fingered hole whether it is marked as drilled, or locked, which says the same."""
    return [bool(design.holes[i].drilled or design.holes[i].locked) for i in design.fingered()]


def drilled_for(design: Design, fingering: tuple[HoleState, ...]) -> tuple[HoleState, ...]:
    """Which fingered holes there are when a fingering is blown; () for all, or where nobody keeps track.

    Who marks a hole that is drilled keeps track; a hole that is opened is there in any case.
    """
    marked = marked_holes(design)
    if not any(marked):
        return ()
    states: tuple[HoleState, ...] = tuple(
        "O" if mark or state != "X" else "X" for mark, state in zip(marked, fingering, strict=True)
    )
    return () if "X" not in states else states


def bare_reading(
    design: Design,
    frequency: float,
    temperature: float | None,
    length: float,
    register: int | None,
    said: str = "",
) -> Reading:
    """A reading of the tube without holes; ``register`` None: that which lies nearest."""
    flutes = flutes_of(design, room=temperature, bare_length=length)
    register = register or _nearest_register(flutes, frequency)
    fingering = _plain(register)
    doubt = model_doubts(fingering.share, fingering.register, doubts_of(design).model)
    label = "the bare tube" if register == 1 else f"the bare tube, register {register}"
    return Reading(flutes, fingering, (), doubt, frequency, None, label, said)


def _plain(*registers: int) -> Fingerings:
    return Fingerings(np.zeros((0, len(registers))), np.array(registers, np.intp))


def _nearest_register(flutes: Flutes, frequency: float) -> int:
    """Register of the bare tube that lies nearest; far from the next one a rough guess will do."""
    rough = float(first_guess(lay_out(flutes), _plain(1))[0, 0])
    if abs(CENT * np.log(frequency / rough)) < SURELY_FIRST:
        return 1
    for most in range(REGISTERS, 0, -1):
        try:
            found = resonances(flutes, _plain(*range(1, most + 1))).frequency[0]
        except NoPitchError:
            continue
        return 1 + int(np.abs(np.log(found / frequency)).argmin())
    return 1


def readings_of(design: Design) -> tuple[Reading, ...]:
    """Every reading a design holds: rows that were measured, bare tubes and other fingerings in the log.

    A row that was measured more than once counts with what stands in its row; temperature, length and what
    was drilled are those of the newest log entry that says the same, else the file's. An entry without a
    fingering is a bare tube, unless a row of a flute without holes says the same. A fingering that no row has
    counts with the newest entry of it. Every entry that names the hole it listened for counts by itself, with
    the holes as wide as they were.

    Raises
    ------
    QuantityError
        for a reading that cannot be read.
    """
    reference = design.tuning.reference
    found = []
    fingered = {row.holes for row in design.rows}
    others: dict[tuple[HoleState, ...], int] = {}
    for place, entry in enumerate(design.log):
        if entry.event != "measured" or not entry.measured:
            continue
        if entry.holes and entry.hole is not None:
            found.append(heard_at_work(design, place))
            continue
        if entry.holes and entry.holes not in fingered:
            others[entry.holes] = place
        if entry.holes or any(_same(entry, row) for row in design.rows):
            continue
        length = design.tube.length if entry.length is None else entry.length
        frequency = reading_frequency(entry.measured, reference)
        bare = bare_reading(design, frequency, entry.temperature, length, entry.register, entry.measured)
        found.append(replace(bare, day=entry.when.toordinal()))
    for index, row in enumerate(design.rows):
        if row.measured and not any(_at_work(entry, row) for entry in design.log):
            places = (i for i in reversed(range(len(design.log))) if _told_of(design.log[i], row))
            place = next(places, len(design.log))
            found.append(row_reading(design, row, place, index, f"row {index + 1}"))
    for holes, place in others.items():
        entry = design.log[place]
        row = Row("", holes, register=entry.register or 1, measured=entry.measured)
        found.append(row_reading(design, row, place, None, "".join(holes)))
    return tuple(found)


def heard_at_work(design: Design, place: int) -> Reading:
    """What was heard of a hole while it was opened, or of the whole flute before it was touched up again."""
    entry = design.log[place]
    same = (i for i, row in enumerate(design.rows) if row.holes == entry.holes)
    index = next((i for i in same if design.rows[i].register == (entry.register or 1)), None)
    row = replace(
        Row("", entry.holes) if index is None else design.rows[index],
        register=entry.register or 1,
        measured=entry.measured,
    )
    label = f"hole {(entry.hole or 0) + 1}" if index is None else f"row {index + 1}"
    return replace(row_reading(design, row, place, index, label), since=_since_work(design, place))


def _since_work(design: Design, place: int) -> int:
    """How many notes were blown between the last work on the tube and entry ``place`` of the log.

    One fewer where the tube lay since the day before: it is colder then than after work.
    """
    count, day = 0, design.log[place].when.date()
    for entry in reversed(design.log[:place]):
        if entry.when.date() != day:
            return count - 1
        if entry.event in ("cut", *WORK):
            break
        count += entry.event == "measured"
    return count


def row_reading(design: Design, row: Row, place: int, index: int | None, label: str) -> Reading:
    """A reading of a fingering, under the circumstances that entry ``place`` of the log tells.

    ``len(design.log)`` for the flute as it is now.
    """
    entry = design.log[place] if place < len(design.log) else LogEntry(datetime.min, "measured")
    letters = iter(entry.drilled)
    there = tuple(
        i
        for i, hole in enumerate(design.holes)
        if (was_there(design, i, place) if hole.finger == "none" and worked(design.log, i)
            else hole.finger == "none" or not entry.drilled or next(letters) != "X")
    )  # fmt: skip
    whole = fingerings_of(design, (row,))
    fingering = Fingerings(whole.share[list(there)], whole.register)
    length = design.tube.length if entry.length is None else entry.length
    then = as_then(design, place)
    tube = replace(
        design, holes=tuple(then.holes[i] for i in there), tube=replace(design.tube, length=length)
    )
    doubt = model_doubts(fingering.share, fingering.register, doubts_of(design).model)
    frequency = reading_frequency(row.measured, design.tuning.reference) if row.measured else 1.0
    flutes = flutes_of(tube, room=entry.temperature)
    day = entry.when.toordinal() if place < len(design.log) else None
    return Reading(flutes, fingering, there, doubt, frequency, index, label, row.measured, day=day)


def readings_in_force(design: Design) -> tuple[Reading, ...]:
    """The readings that the flute in force was fitted to; none where its mouth was stated or estimated.

    Those that the others contradict are left out; one that was blown so often that it must be so tells of its
    own note and of no other. A reading tells of its own note only where the flute is known to be the one that
    was read.
    """
    voicing = design.voicing
    if not voicing.calibrated or voicing.added_length is None or design.instrument.mouth == "open":
        return ()
    if not design.learned.left_out:
        return as_known_now(design, readings_of(design))
    from scaledesign.workshop.making.tries import believed  # seldom wanted

    out, sure = set(design.learned.left_out.split("; ")), believed(design)
    heard = [replace(one, alone=named(one) in sure) for one in readings_of(design)]
    told = as_known_now(design, [one for one in heard if one.alone or named(one) not in out])
    return tuple(one for one in told if one.same or not one.alone)


def as_known_now(design: Design, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Readings that know whether the flute is still as it was: only then do they tell of their own note."""
    now, length = flutes_of(design), length_now(design)

    def same(reading: Reading) -> bool:
        if not design.tube.locked and (length is None or reading.cut_to != round(length, 7)):
            return False
        return all(
            for_good(design, i) and abs(float(reading.flutes.radius[0, k] - now.radius[0, i])) < SAME_WIDTH
            for k, i in enumerate(reading.holes)
            if reading.fingerings.share[k, 0] > 0
        )

    return tuple(replace(reading, same=same(reading)) for reading in readings)


def for_good(design: Design, hole: int) -> bool:
    """Whether a hole lies where the file has it, as wide as there, and no layout moves it."""
    stated = design.holes[hole]
    return stated.drilled or {"at", "diameter"} <= stated.locked


def read_too_early(design: Design) -> tuple[int, ...]:
    """Rows (0-based) that were read, as the log has it, before all holes were there that there are now."""
    there, early = marked_holes(design), []
    for index, row in enumerate(design.rows):
        told = next((each for each in reversed(design.log) if row.measured and _told_of(each, row)), None)
        if told is not None and any(
            mark and state == "X" for mark, state in zip(there, told.drilled, strict=False)
        ):
            early.append(index)
    return tuple(early)


def named(reading: Reading) -> str:
    """Which note a reading is of, and what the tuner showed."""
    return f"{reading.label} ({reading.said})" if reading.said else reading.label


def _at_work(entry: LogEntry, row: Row) -> bool:
    return entry.hole is not None and _same(entry, row) and (entry.register or 1) == row.register


def _told_of(entry: LogEntry, row: Row) -> bool:
    return entry.hole is None and _same(entry, row)


def _same(entry: LogEntry, row: Row) -> bool:
    return entry.event == "measured" and entry.holes == row.holes and entry.measured == row.measured
