"""Two systems for six front holes, the upper hand's three and the lower hand's three.

The pentatonic one keeps the third hole from the mouth closed through the scale, as makers of slow-air-chamber
flutes do; opened, it gives the major sixth and a way to other modes. All fingerings: common practice, no
source.
"""

from scaledesign.api import Fingering, RegisterSystem, Slot, System, hookimpl

HOLES = tuple(Slot(finger) for finger in ("L1", "L2", "L3", "R1", "R2", "R3"))

PENTATONIC = System(
    name="six-hole pentatonic",
    words="Five notes and the octave for six fingers; the third hole from the mouth stays closed.",
    slots=HOLES,
    home="pentatonic minor",
    degrees=(5,),
    opening=("XXX XXX", "XXX XXO", "XXX XOO", "XXX OOO", "XOX OOO", "OOX OOO"),
    others=(
        Fingering("XXX XXH", degree=1, flat=1, open_share=0.1),
        Fingering("XXX XOX", degree=2, flat=1),
        Fingering("XXX OXX", degree=3, flat=1),
        Fingering("XXO XOO", degree=4, flat=2),
        Fingering("XXO OOO", degree=4, flat=1),
        Fingering("OXX OOO", degree=5, flat=1),
        Fingering("XXX XXX", degree=0, octave=1, register=2, role="alternate"),
        Fingering("XXX XXO", degree=1, octave=1, register=2, role="alternate"),
        Fingering("XXX XOO", degree=2, octave=1, register=2, role="alternate"),
        Fingering("XXX OOO", degree=3, octave=1, register=2, role="alternate"),
    ),
)

DIATONIC = System(
    name="six-hole diatonic",
    words="Seven notes for six fingers, one hole after another; the octave is overblown.",
    slots=HOLES,
    home="major",
    degrees=(6, 7),
    opening=("XXX XXX", "XXX XXO", "XXX XOO", "XXX OOO", "XXO OOO", "XOO OOO", "OOO OOO"),
    others=(
        Fingering("XXX XXH", degree=1, flat=1, open_share=0.06),
        Fingering("XXX XHO", degree=2, flat=1, open_share=0.06),
        Fingering("XXO XXO", degree=4, flat=1),
        Fingering("XOX XXO", degree=5, flat=1),
        Fingering("OXX OOO", degree=6, flat=1),
        Fingering("OXX XXX", degree=0, octave=1, register=2, role="alternate"),
        Fingering("XXX XXX", degree=0, octave=1, register=2, role="alternate"),
        Fingering("XXX XXO", degree=1, octave=1, register=2, role="alternate"),
        Fingering("XXX XOO", degree=2, octave=1, register=2, role="alternate"),
        Fingering("XXX OOO", degree=3, octave=1, register=2, role="alternate"),
        Fingering("XXO OOO", degree=4, octave=1, register=2, role="alternate"),
    ),
)


@hookimpl
def register_systems(register: RegisterSystem) -> None:
    """Offer both."""
    register(PENTATONIC)
    register(DIATONIC)
