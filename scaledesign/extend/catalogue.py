"""The catalogue: every scale and fingering system there is to choose from, and how each plug-in fared.

Apart from the registry, which builds it. A frozen value: nothing is imported or checked here, and nothing is
read but the scale files, when they are first needed (``scale_files.py``).
"""

from __future__ import annotations

import re
from dataclasses import field, replace
from typing import TYPE_CHECKING, Literal, TypeVar

from scaledesign.errors import UnknownNameError
from scaledesign.model.document import Row, Tuning
from scaledesign.model.pitch import Note
from scaledesign.model.retune import equal_division
from scaledesign.model.scale import EQUAL, Scale, scale_of_degrees
from scaledesign.model.system import Fingering, System, rows_of
from scaledesign.values import dataclass

if TYPE_CHECKING:
    from scaledesign.extend.scale_files import ScaleFiles

Offered = TypeVar("Offered", Scale, System)

KINDS = (
    "five notes",
    "six notes",
    "modes",
    "minors and their kin",
    "even patterns",
    "pure intervals",
    "temperaments",
    "equal steps",
    "quarter tones",
    "Arabic, Ellis 1885",
    "measured flutes and pipes",
    "measured, other instruments",
)
"""Kinds of scales in the order of every list; other kinds follow, and what has none comes last."""
EQUAL_STEPS = (5, 72)
"""The least and the most equal steps to the octave that a name such as ``19 equal`` may ask for."""
_EQUALLY = re.compile(r"(\d{1,3}) equal(?: steps)?")


@dataclass(frozen=True, slots=True)
class PluginStatus:
    """How one plug-in fared, or a scale file or list that could not be read."""

    name: str
    origin: Literal["bundled", "installed", "folder", "scale file", "list"]
    where: str
    """Module or file."""
    version: str = ""
    ok: bool = True
    problem: str = ""
    """Why it is switched off; '' when it is not."""
    seconds: float = 0.0
    """What importing and asking it took."""
    hooks: tuple[str, ...] = ()
    contributes: tuple[str, ...] = ()
    """What it offers, in words: ``"scale major"``."""
    remarks: tuple[str, ...] = ()
    """What its author should mend though it works: it is slow, it prints."""
    off: bool = False
    """Whether the user switched it off."""


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Scales and systems by name. Build one with ``extend.registry.catalogue``."""

    _scales: tuple[Scale, ...] = ()
    _systems: tuple[System, ...] = ()
    _fingerings: tuple[tuple[str, Fingering], ...] = ()
    _plugins: tuple[PluginStatus, ...] = field(default=(), compare=False)
    _lists: tuple[PluginStatus, ...] = field(default=(), compare=False)
    """Lists of the user's that cannot be read."""
    _files: ScaleFiles | None = field(default=None, compare=False, repr=False)

    def scales(self) -> tuple[Scale, ...]:
        """Every scale, by kind; within a kind those of plug-ins in their order, then scale files by name."""
        scales = (*self._scales, *(self._files.scales if self._files else ()))
        others = dict.fromkeys(scale.kind for scale in scales if scale.kind)
        order = tuple(dict.fromkeys((*KINDS, *others, "")))
        return tuple(sorted(scales, key=lambda scale: order.index(scale.kind)))

    def systems(self) -> tuple[System, ...]:
        """Every fingering system, with the cross-fingerings that plug-ins add to it."""
        return tuple(self._completed(system) for system in self._systems)

    def plugins(self) -> tuple[PluginStatus, ...]:
        """How every plug-in fared, and every scale file that could not be read."""
        return (*self._plugins, *(self._files.refused if self._files else ()), *self._lists)

    def scale(self, name: str) -> Scale:
        """Scale of a name, or of another name it is found under; upper and lower case count as one.

        Where none is, one whose name has the same words in another order, if there is only one: ``minor
        pentatonic`` is ``pentatonic minor``. A name such as ``19 equal`` is a scale by rule, whatever the
        number within ``EQUAL_STEPS``.

        Raises
        ------
        UnknownNameError
            naming the nearest known name.
        """
        if by_rule := _EQUALLY.fullmatch(comparable(name)):
            return _equal(name, int(by_rule[1]))
        if found := _found(name, self._scales):
            return found
        scales = self.scales()
        return _found(name, scales) or _in_any_order(name, scales) or _named("scale", name, scales)

    def system(self, name: str) -> System:
        """Fingering system of a name.

        Raises
        ------
        UnknownNameError
            naming the nearest known name.
        """
        return self._completed(_named("fingering system", name, self._systems))

    def scale_of(self, tuning: Tuning) -> Scale:
        """Scale that a design's tuning means: its own degrees, a named scale, or equal temperament.

        Raises
        ------
        UnknownNameError
            when nobody offers a scale of that name.
        QuantityError
            when the tuning's own degrees make no scale.
        """
        if tuning.degrees:
            return scale_of_degrees(tuning.degrees)
        return self.scale(tuning.scale) if tuning.scale else EQUAL

    def systems_for(self, scale: Scale) -> tuple[str, ...]:
        """Names of the systems that play as many notes as ``scale`` has."""
        return tuple(system.name for system in self._systems if system.fits(scale))

    def rows(self, system: str, scale: Scale, tonic: Note, reference: float) -> tuple[Row, ...]:
        """Rows of the named system for a scale; see ``model.system.rows_of``.

        Raises
        ------
        EditError
            naming the systems that fit, when this one does not.
        UnknownNameError
            when nobody offers a system of that name.
        """
        return rows_of(self.system(system), scale, tonic, reference, fitting=self.systems_for(scale))

    def _completed(self, system: System) -> System:
        added = self._added(system)
        return replace(system, others=(*system.others, *added)) if added else system

    def _added(self, system: System) -> tuple[Fingering, ...]:
        wanted = comparable(system.name)
        return tuple(fingering for name, fingering in self._fingerings if comparable(name) == wanted)


def names_of(offered: Scale | System) -> tuple[str, ...]:
    """Every name that something is found under, as names are compared."""
    also = offered.also if isinstance(offered, Scale) else ()
    return tuple(comparable(name) for name in (offered.name, *also))


def comparable(name: str) -> str:
    """A name as names are compared: case and outer blanks do not count."""
    return " ".join(name.casefold().split())


def nearest(name: str, known: tuple[str, ...]) -> str:
    """Known name that looks most like ``name``, or ''."""
    from difflib import get_close_matches

    return next(iter(get_close_matches(comparable(name), known, n=1)), "")


def _equal(name: str, count: int) -> Scale:
    """The scale that a name with a number of equal steps means."""
    least, most = EQUAL_STEPS
    if not least <= count <= most:
        raise UnknownNameError("scale", name, (), f"{min(max(count, least), most)} equal")
    made = equal_division(count)
    return replace(made, name=f"{count} equal", also=(f"{count} equal steps",), kind="equal steps")


def _found(name: str, offers: tuple[Offered, ...]) -> Offered | None:
    wanted = comparable(name)
    return next((offered for offered in offers if wanted in names_of(offered)), None)


def _in_any_order(name: str, scales: tuple[Scale, ...]) -> Scale | None:
    """The only scale whose name has the same words in another order; None where it is none, or several."""
    wanted = sorted(comparable(name).split())
    meant = [scale for scale in scales if any(sorted(known.split()) == wanted for known in names_of(scale))]
    return meant[0] if len(meant) == 1 else None


def _named(kind: str, name: str, offers: tuple[Offered, ...]) -> Offered:
    if offered := _found(name, offers):
        return offered
    names = tuple(known for offered in offers for known in names_of(offered))
    raise UnknownNameError(kind, name, tuple(offered.name for offered in offers), nearest(name, names))
