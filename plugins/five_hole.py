"""A system for five front holes: the five notes of a pentatonic scale, one hole after another.

Two fingers of the upper hand, three of the lower. All fingerings: common practice, no source.
"""

from scaledesign.api import Fingering, RegisterSystem, Slot, System, hookimpl

FIVE_HOLE = System(
    name="five-hole pentatonic",
    words="Five notes and the octave for five fingers, one hole after another.",
    slots=tuple(Slot(finger) for finger in ("L1", "L2", "R1", "R2", "R3")),
    home="pentatonic minor",
    degrees=(5,),
    opening=("XX XXX", "XX XXO", "XX XOO", "XX OOO", "XO OOO", "OO OOO"),
    others=(
        Fingering("XX XXH", degree=1, flat=1, open_share=0.1),
        Fingering("XX XOX", degree=2, flat=1),
        Fingering("XX OXX", degree=3, flat=1),
        Fingering("XO XXO", degree=4, flat=1),
        Fingering("OX OOO", degree=5, flat=1),
        Fingering("XX XXX", degree=0, octave=1, register=2, role="alternate"),
        Fingering("XX XXO", degree=1, octave=1, register=2, role="alternate"),
        Fingering("XX XOO", degree=2, octave=1, register=2, role="alternate"),
        Fingering("XX OOO", degree=3, octave=1, register=2, role="alternate"),
    ),
)


@hookimpl
def register_systems(register: RegisterSystem) -> None:
    """Offer it."""
    register(FIVE_HOLE)
