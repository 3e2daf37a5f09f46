"""Fingering systems: which fingers cover which holes, and what each fingering plays in any scale that fits.

Apart from scales, which know no fingers, and from designs, which hold rows that the maker may change. A
system says nothing of where holes lie or how wide they are: that is solved. No acoustics here.

A system opens its holes one after another: the k-th fingering of ``opening`` plays the k-th degree, whatever
the scale. The other fingerings are bound to a degree too: ``flat`` semitones below it for a note between
degrees, ``octave`` periods up for an overblown one.
"""

from __future__ import annotations

from typing import cast, get_args

from scaledesign.errors import EditError, QuantityError
from scaledesign.model.document import Finger, HoleState, Role, Row
from scaledesign.model.pitch import Note
from scaledesign.model.scale import Scale, Tuned
from scaledesign.values import dataclass

WEIGHTS: dict[Role, float] = {"scale": 1.0, "chromatic": 0.01, "alternate": 0.005}
"""What a row counts for in solving, by its role."""
STATES = get_args(HoleState)
REGISTERS = (1, 2, 3)


@dataclass(frozen=True, slots=True)
class Slot:
    """One hole of a system: the finger that covers it and where it sits around the tube."""

    finger: Finger
    side: float = 0.0
    """degrees: 0 front, 180 back."""


@dataclass(frozen=True, slots=True)
class Fingering:
    """A fingering beside the opening sequence, and the note it plays.

    Raises ``QuantityError`` when it makes no sense by itself (a letter other than X, O, H; a register or
    role that does not exist; an open share outside 0..1).
    """

    holes: str
    """Letters mouth to foot, ``"XXX XOX"``: X closed, O open, H partly open; blanks are ignored."""
    degree: int
    """Degree of the scale it plays, 0 the tonic; with ``flat``, the degree above the note."""
    flat: float = 0.0
    """Semitones below that degree; the note is left out where the next degree down is as low."""
    octave: int = 0
    """Periods of the scale above."""
    register: int = 1
    role: Role = "chromatic"
    """``chromatic``: a note between degrees; ``alternate``: another fingering, or an overblown one."""
    open_share: float = 0.5
    """Share of the area that is open where the letter is H."""

    def __post_init__(self) -> None:
        problem = _fingering_problem(self)
        if problem:
            remedy = (
                "a fingering has a letter X, O or H for each hole, a degree from 0, a register from 1 to 3"
            )
            raise QuantityError(str(self.holes), problem, remedy)


@dataclass(frozen=True, slots=True)
class System:
    """A fingering system.

    Raises ``QuantityError`` when a fingering has the wrong number of letters, a finger covers two holes, or
    the opening sequence cannot play the degrees it promises.
    """

    name: str
    words: str
    """One line in plain words."""
    slots: tuple[Slot, ...]
    """Holes, mouth to foot."""
    home: str
    """Name of the scale it is meant for."""
    degrees: tuple[int, ...]
    """Numbers of notes to the period of the scales that it plays."""
    opening: tuple[str, ...]
    """The k-th plays the k-th degree in the first register, the first the tonic."""
    others: tuple[Fingering, ...] = ()
    """Notes between degrees, other fingerings, overblown ones."""
    source: str = "common practice, no source"

    def __post_init__(self) -> None:
        problem = _system_problem(self)
        if problem:
            raise QuantityError(str(self.name), problem, "mend the plug-in that offers this system")

    def fits(self, scale: Scale) -> bool:
        """Whether the system plays scales with as many notes as ``scale`` has."""
        return len(scale.cents) in self.degrees


def states(letters: str) -> tuple[HoleState, ...]:
    """Letters of a fingering without blanks."""
    return cast("tuple[HoleState, ...]", tuple(letters.replace(" ", "")))


def rows_of(
    system: System, scale: Scale, tonic: Note, reference: float, *, fitting: tuple[str, ...] = ()
) -> tuple[Row, ...]:
    """Rows of a system for a scale on a tonic, low note to high.

    The opening sequence gives the rows of role ``scale``. A note between degrees is there only where the
    scale leaves room for it.

    Parameters
    ----------
    system : System
    scale : Scale, with as many degrees as the system plays
    tonic : Note, the note of all holes closed
    reference : float, Hz of A4
    fitting : names of systems that would fit, for the error

    Raises
    ------
    EditError
        when the scale has more or fewer notes than the system plays.
    """
    if not system.fits(scale):
        raise _misfit(system, scale, fitting)
    tuned = Tuned(scale, tonic, reference)
    rows = [
        _row(Fingering(letters, degree, role="scale"), scale.place_of(degree), tuned)
        for degree, letters in enumerate(system.opening)
    ]
    for other in system.others:
        degree = other.degree + other.octave * len(scale.cents)
        place = scale.place_of(degree) - other.flat
        if other.flat == 0 or place > scale.place_of(degree - 1):
            rows.append(_row(other, place, tuned))
    return tuple(sorted(rows, key=lambda row: tuned.target(row.note)))


def _row(fingering: Fingering, place: float, tuned: Tuned) -> Row:
    return Row(
        note=tuned.written(place).name,
        holes=states(fingering.holes),
        register=fingering.register,
        weight=WEIGHTS[fingering.role],
        role=fingering.role,
        open_share=fingering.open_share,
    )


def _misfit(system: System, scale: Scale, fitting: tuple[str, ...]) -> EditError:
    plays = " or ".join(map(str, system.degrees))
    problem = (
        f"The scale {scale.name!r} has {len(scale.cents)} notes before it repeats, "
        f"the system {system.name!r} plays {plays}"
    )
    if fitting:
        return EditError(
            problem, f"choose a system that fits ({', '.join(fitting)}) or a scale of {plays} notes"
        )
    return EditError(problem, f"choose a scale of {plays} notes")


def _fingering_problem(fingering: Fingering) -> str:
    """What is wrong with a fingering from a plug-in, whatever its types; '' if nothing."""
    letters: object = fingering.holes
    if not isinstance(letters, str) or not letters.strip() or set(letters) - {*STATES, " "}:
        return "is not made of the letters X, O and H"
    counts: tuple[object, ...] = (fingering.degree, fingering.octave)
    if not all(type(count) is int and count >= 0 for count in counts):
        return "has a degree or an octave that is no whole number from 0"
    numbers: tuple[object, ...] = (fingering.flat, fingering.open_share)
    if not all(type(number) in (int, float) for number in numbers):
        return "has a flat or an open share that is no number"
    if not (0 <= fingering.flat < 12 and 2 * fingering.flat == round(2 * fingering.flat)):
        return (
            f"lies {fingering.flat:g} semitones below its degree, which is no multiple of 0.5 from 0 to 11.5"
        )
    if fingering.flat and fingering.degree + fingering.octave == 0:
        return "lies below the tonic"
    if not 0 < fingering.open_share < 1:
        return f"has an open share of {fingering.open_share:g}, which is not between 0 and 1"
    if fingering.register not in REGISTERS:
        return f"has register {fingering.register!r}"
    return "" if fingering.role in WEIGHTS else f"has the role {fingering.role!r}"


def _system_problem(system: System) -> str:
    """What is wrong with a system from a plug-in, whatever its types; '' if nothing."""
    texts: tuple[object, ...] = (system.name, system.words, system.home, system.source)
    if not all(isinstance(text, str) and text.strip() for text in texts):
        return "lacks a name, its words, its home scale or its source"
    slots: object = system.slots
    if not isinstance(slots, tuple) or not slots or not all(isinstance(slot, Slot) for slot in slots):
        return "has no slots for its holes"
    fingers = [slot.finger for slot in system.slots]
    if unknown := [finger for finger in fingers if finger not in get_args(Finger) or finger == "none"]:
        return f"names the finger {unknown[0]!r}, which is none of {', '.join(get_args(Finger)[:-1])}"
    if len(set(fingers)) < len(fingers):
        return "covers two holes with one finger"
    degrees: object = system.degrees
    if not isinstance(degrees, tuple) or not degrees or not all(type(n) is int and n > 0 for n in degrees):
        return "does not say how many notes its scales have"
    opening, others = cast("tuple[object, object]", (system.opening, system.others))
    if not isinstance(opening, tuple) or not isinstance(others, tuple):
        return "has fingerings that are no tuple"
    if not all(isinstance(other, Fingering) for other in others):
        return "has other fingerings that are no Fingering"
    if len(opening) < max(system.degrees):
        return f"opens {len(opening)} fingerings for a scale of {max(system.degrees)} notes"
    for letters in (*opening, *(other.holes for other in system.others)):
        if not isinstance(letters, str) or set(letters) - {*STATES, " "}:
            return f"has a fingering {letters!r} that is not made of the letters X, O and H"
        if len(states(letters)) != len(fingers):
            return f"has {len(fingers)} holes and a fingering {letters!r} of {len(states(letters))} letters"
    return ""
