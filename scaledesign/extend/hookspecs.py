"""The hooks: what a plug-in may offer, and when it is asked.

Apart from the registry, which finds plug-ins and checks what they offer. Signatures and their promises only.

Every hook is called once, when the catalogue is built, before any design is opened, in a thread of its own
with a time limit. It hands over what it offers by calling ``register``, once for each thing, in the order in
which people should see them, and returns nothing; what is registered after the hook has returned does not
count. What is offered is checked: one thing that makes no sense, a name that is taken, or an exception
switches the whole plug-in off, with a line in ``scaledesign plugins`` that says why.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import TypeAlias

import pluggy

from scaledesign.model.scale import Scale
from scaledesign.model.system import Fingering, System
from scaledesign.values import dataclass

PROJECT = "scaledesign"
"""Name of the hooks' project and of the entry-point group."""
API_VERSION = 1
"""Version of these hooks and of the names in ``scaledesign.api``: one more whenever something is added.

Nothing is taken away and nothing changes its meaning, so a plug-in for version 1 works with every later one.
"""

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)

RegisterScale: TypeAlias = Callable[[Scale], None]
RegisterSystem: TypeAlias = Callable[[System], None]
RegisterFingering: TypeAlias = Callable[[str, Fingering], None]


@hookspec
def register_scales(register: RegisterScale) -> None:
    """Offer scales. Since version 1.

    Called when the catalogue is built, first of the hooks. Register a ``Scale`` with a name nobody else
    uses (upper and lower case count as one), one line of words and a source::

        @hookimpl
        def register_scales(register: RegisterScale) -> None:
            register(Scale("fourths", (0, 500, 1000), words="Three notes, a fourth apart.", source="my own"))
    """


@hookspec
def register_systems(register: RegisterSystem) -> None:
    """Offer fingering systems. Since version 1.

    Called when the catalogue is built, after ``register_scales``. Register a ``System`` with a name nobody
    else uses. Its holes stand mouth to foot; its opening sequence plays the degrees of any scale that fits::

        @hookimpl
        def register_systems(register: RegisterSystem) -> None:
            register(
                System(
                    name="two-hole",
                    words="Three notes for two fingers.",
                    slots=(Slot("L1"), Slot("R1")),
                    home="fourths",
                    degrees=(3,),
                    opening=("XX", "XO", "OO"),
                )
            )
    """


@hookspec
def register_cross_fingerings(register: RegisterFingering) -> None:
    """Offer further fingerings for systems, one's own or another plug-in's. Since version 1.

    Called when the catalogue is built, last of the hooks, so that every system is known. Register the name
    of the system and a ``Fingering`` with a letter for each of its holes::

        @hookimpl
        def register_cross_fingerings(register: RegisterFingering) -> None:
            register("two-hole", Fingering("OX", degree=2, flat=1))
    """


@dataclass(frozen=True, slots=True)
class Hook:
    """One line of the table that the registry, the tests and DEVELOPERS.md are held to."""

    name: str
    called: str
    """When, among the hooks of one plug-in."""
    takes: tuple[type, ...]
    """What ``register`` is called with."""
    since: int
    """The ``API_VERSION`` it came with."""

    @property
    def signature(self) -> str:
        """As a plug-in writes it: ``register_scales(register: RegisterScale) -> None``."""
        return self.name + str(inspect.signature(globals()[self.name])).replace("'", "")


HOOKS = (
    Hook("register_scales", "first", (Scale,), 1),
    Hook("register_systems", "after the scales", (System,), 1),
    Hook("register_cross_fingerings", "last", (str, Fingering), 1),
)
"""In the order in which they are called."""
