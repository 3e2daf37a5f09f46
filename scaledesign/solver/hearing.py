"""Sounds of a flute and readings of a tuner, and what the model has them sound: Hz and what they hang on.

Apart from what is believed of a flute (``belief.py``) because many sounds of several tubes, as it was cut and
drilled, are played together here, few tubes at a time; nothing here knows what a reading teaches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes, joined
from scaledesign.physics.gradient import derivatives
from scaledesign.solver.problem import Problem, altered
from scaledesign.solver.resonance import Fingerings, Resonances, sounded
from scaledesign.solver.sensitivity import Sensitivity, sensitivities
from scaledesign.values import dataclass

WASTE = 3
"""How many times the fingerings asked for may be played, for the sake of playing several tubes at once."""
SPARE = 20
"""Where that would be too much: fingerings that nobody asked for which are played for the sake of one tube
more. A tube by itself costs as much as about a hundred."""

Column = tuple[tuple[float, ...], int]
"""Open share of each hole, and register: a fingering of a tube."""


@dataclass(frozen=True)
class Sound:
    """Some fingerings of one tube as it was when they sounded: what is, or would be, heard of a flute.

    ``holes`` (H,) are those there were, counted in the design; ``doubt`` (M,) cents is what the model leaves
    out.
    """

    flutes: Flutes
    fingerings: Fingerings
    holes: tuple[int, ...]
    doubt: Floats

    def altered(self, state: Floats) -> Sound:
        """The same of N flutes whose ``state`` (N, 5) differs by so much."""
        return replace(self, flutes=altered(self.flutes, state))

    @property
    def cut_to(self) -> float:
        """m: the length of its tube, the same for the same cut."""
        return round(float(self.flutes.length[0]), 7)

    def marks(self) -> list[object]:
        """What tells one fingering of one tube from another, for each of its own."""
        share, register = self.fingerings.share, self.fingerings.register
        holes = self.holes
        return [(self.cut_to, holes, tuple(share[:, m]), int(r)) for m, r in enumerate(register)]


@dataclass(frozen=True)
class Reading(Sound):
    """One reading of a tuner: a fingering (or the bare tube) that sounded ``frequency`` Hz.

    ``row`` is the row of the design it belongs to, or None; ``label`` says which note it is, ``said`` is what
    the tuner showed, as written.
    """

    frequency: float
    row: int | None = None
    label: str = ""
    said: str = ""
    since: int | None = None
    """How many notes were blown since the tube was worked on, one fewer where it lay overnight; None where
    that is not known."""
    day: int | None = None
    """Which day it was (``date.toordinal``); None where that is not known."""
    same: bool = True
    """Whether the flute is known to be as it was then: else it tells of the flute, not of one note."""
    alone: bool = False
    """Whether it tells of that note and of nothing else: the others contradict it, yet it must be so."""

    def marks(self) -> list[object]:
        """The same; of a flute that may be another by now, none that a row has."""
        return super().marks() if self.same else [(mark, "then") for mark in super().marks()]


@dataclass(frozen=True)
class Heard:
    """Sounds as the model has them: frequencies (N, M) in Hz and what they hang on."""

    sound: Sound
    found: Resonances
    sensitivity: Sensitivity
    depth: Floats
    """(N, M) impedance left at resonance over rho c / S."""

    @property
    def frequency(self) -> Floats:
        """(N, M) Hz."""
        return self.found.frequency

    def of(self, flutes: slice) -> Heard:
        """Of some of the flutes; ``sound`` stays that of all."""
        s = self.sensitivity
        return Heard(
            self.sound,
            Resonances(self.found.frequency[flutes], self.found.level[flutes]),
            Sensitivity(*(getattr(s, name)[flutes] for name in Sensitivity.__dataclass_fields__)),
            self.depth[flutes],
        )

    def part(self, sound: Sound, columns: list[int]) -> Heard:
        """Some of the fingerings, which are those of ``sound``."""
        s = self.sensitivity
        return Heard(
            sound,
            Resonances(self.found.frequency[:, columns], self.found.level[:, columns]),
            Sensitivity(*(getattr(s, name)[:, columns] for name in Sensitivity.__dataclass_fields__)),
            self.depth[:, columns],
        )


def hear(sound: Sound, near: Resonances | None = None, *, losses: bool = True) -> Heard:
    """Play some fingerings.

    Raises
    ------
    NoPitchError
    """
    found, field = sounded(sound.flutes, sound.fingerings, near=near, losses=losses)
    s = sensitivities(sound.flutes, derivatives(field))
    return Heard(sound, found, s, np.abs(field.impedance.real))


def hear_each(
    sounds: Sequence[Sound], near: Sequence[Heard] = (), *, known: Sequence[Heard] = ()
) -> tuple[Heard, ...]:
    """Play several sounds of one flute; those of one tube in one room go together, and none twice.

    Parameters
    ----------
    sounds : of like states, as a fit has them
    near : the same sounds of a like flute, to start from
    known : what was heard before of the very same flute

    Raises
    ------
    NoPitchError
    """
    found: dict[int, Heard] = {}
    alike: dict[object, list[int]] = {}
    for i, sound in enumerate(sounds):
        for each in known:
            columns = {key: column for column, key in enumerate(each.sound.marks())}
            keys = sound.marks()
            if _tube(each.sound) == _tube(sound) and all(key in columns for key in keys):
                found[i] = each.part(sound, [columns[key] for key in keys])
        if i not in found:
            alike.setdefault(_body(sound), []).append(i)
    for group in alike.values():
        for members in _batches(sounds, group):
            found.update(_together(sounds, members, near))
    return tuple(found[i] for i in range(len(sounds)))


def _batches(sounds: Sequence[Sound], group: list[int]) -> list[list[int]]:
    """Sounds of tubes with the same holes, parted so that few fingerings are played that nobody asked for."""
    tubes: dict[object, list[int]] = {}
    for i in group:
        tubes.setdefault(_tube(sounds[i]), []).append(i)
    asked = sum(sounds[i].fingerings.count for i in group)
    columns = len({key for i in group for key in _columns(sounds[i])})
    if len(tubes) * columns <= WASTE * asked:
        return [group]
    return _gathered([({key for i in tube for key in _columns(sounds[i])}, tube) for tube in tubes.values()])


def _gathered(tubes: list[tuple[set[Column], list[int]]]) -> list[list[int]]:
    """Tubes, each with its fingerings, in batches: those that are fingered alike together."""
    batches: list[list[int]] = []
    count, columns = 0, set[Column]()
    for asked, tube in sorted(tubes, key=lambda each: sorted(each[0])):
        together = columns | asked
        spare = (count + 1) * len(together) - count * len(columns) - len(asked)
        if count and spare <= SPARE:
            count, columns = count + 1, together
            batches[-1] += tube
        else:
            count, columns = 1, asked
            batches.append(list(tube))
    return batches


def _together(sounds: Sequence[Sound], group: list[int], near: Sequence[Heard]) -> dict[int, Heard]:
    """Sounds of several tubes with the same holes, played at once: every fingering on every tube."""
    tubes: dict[object, int] = {}
    columns: dict[object, int] = {}
    places: list[tuple[int, list[int]]] = []
    first: list[Sound] = []
    share: list[Floats] = []
    register: list[int] = []
    for i in group:
        sound = sounds[i]
        if _tube(sound) not in tubes:
            tubes[_tube(sound)] = len(first)
            first.append(sound)
        for m, key in enumerate(_columns(sound)):
            if key not in columns:
                columns[key] = len(share)
                share.append(sound.fingerings.share[:, m])
                register.append(int(sound.fingerings.register[m]))
        places.append((tubes[_tube(sound)], [columns[key] for key in _columns(sound)]))
    count = first[0].flutes.count
    fingerings = Fingerings(np.array(share).T.reshape(-1, len(share)), np.array(register, np.intp))
    start = _start(near, group, places, len(first), count, len(share)) if near else None
    whole = replace(
        first[0], flutes=joined([sound.flutes for sound in first]), fingerings=fingerings,
        doubt=np.zeros(len(share)),
    )  # fmt: skip
    try:
        heard = hear(whole, start)
    except NoPitchError as error:
        if len(first) > 1:  # perhaps only of a tube and a fingering that nobody asked for together
            return {
                i: part
                for tube in range(len(first))
                for i, part in _together(
                    sounds, [i for i, (place, _) in zip(group, places, strict=True) if place == tube], near
                ).items()
            }
        raise NoPitchError((), _silent([sounds[i] for i in group], error.rows)) from None
    return {
        i: heard.of(slice(tube * count, (tube + 1) * count)).part(sounds[i], asked)
        for i, (tube, asked) in zip(group, places, strict=True)
    }


def _start(
    near: Sequence[Heard],
    group: list[int],
    places: list[tuple[int, list[int]]],
    tubes: int,
    count: int,
    columns: int,
) -> Resonances:
    """Where to look for every fingering on every tube: where it was heard, else where another tube had it."""
    frequency = np.full((tubes, count, columns), np.nan)
    level = np.zeros((tubes, count, columns), np.intp)
    for i, (tube, asked) in zip(group, places, strict=True):
        frequency[tube][:, asked] = near[i].found.frequency
        level[tube][:, asked] = near[i].found.level
    for column in range(columns):
        known = np.flatnonzero(~np.isnan(frequency[:, 0, column]))
        for other in np.flatnonzero(np.isnan(frequency[:, 0, column])):
            like = known[np.abs(known - other).argmin()]
            frequency[other, :, column] = frequency[like, :, column]
            level[other, :, column] = level[like, :, column]
    return Resonances(frequency.reshape(-1, columns), level.reshape(-1, columns))


def _silent(sounds: Sequence[Sound], columns: Sequence[int]) -> str:
    """Which of several sounds have no pitch, and what to do."""
    keys = list(dict.fromkeys(key for sound in sounds for key in _columns(sound)))
    silent = {keys[i] for i in columns}
    named = [
        f"{sound.label} ({sound.said})"
        for sound in sounds
        if isinstance(sound, Reading) and silent & set(_columns(sound))
    ]
    if not named:
        return "The bare tube has no pitch: look at its length and its bore."
    notes = ", ".join(dict.fromkeys(named))
    return (
        f"Nothing on this flute can sound as read for {notes}: take the reading back, or mend its fingering "
        "or its register."
    )


def _tube(sound: Sound) -> object:
    """What tells tubes, rooms and widths of holes of one flute apart."""
    flutes = sound.flutes
    holes = (flutes.at[0], flutes.radius[0])
    room = float(flutes.air.c[0]), flutes.body.cooling
    return _body(sound), sound.cut_to, *room, *(part.tobytes() for part in holes)


def _body(sound: Sound) -> object:
    """What tubes must have in common to be played at once."""
    body = sound.flutes.body
    return sound.holes, body.hole_undercut.tobytes(), sound.flutes.count


def _columns(sound: Sound) -> list[Column]:
    """What tells one fingering of a tube from another."""
    share, register = sound.fingerings.share, sound.fingerings.register
    return [(tuple(share[:, m].tolist()), int(register[m])) for m in range(len(register))]


def rows_of(problem: Problem) -> Sound:
    """The rows of a problem, every hole drilled."""
    every = tuple(range(problem.flutes.at.shape[1]))
    return Sound(problem.flutes, problem.fingerings, every, problem.model_doubt)
