"""Two systems with a thumb hole at the back, which lies nearest the mouth and gives the octave.

All fingerings: common practice, no source.
"""

from scaledesign.api import Fingering, RegisterSystem, Slot, System, hookimpl

THUMB = Slot("LT", side=180.0)

SIX_AND_THUMB = System(
    name="six-hole-and-thumb",
    words="Seven notes and the octave for six fingers and the upper thumb.",
    slots=(THUMB, *(Slot(finger) for finger in ("L1", "L2", "L3", "R1", "R2", "R3"))),
    home="major",
    degrees=(7,),
    opening=(
        "X XXX XXX",
        "X XXX XXO",
        "X XXX XOO",
        "X XXX OOO",
        "X XXO OOO",
        "X XOO OOO",
        "X OOO OOO",
        "O OOO OOO",
    ),
    others=(
        Fingering("X XXX XXH", degree=1, flat=1, open_share=0.06),
        Fingering("X XXX XHO", degree=2, flat=1, open_share=0.06),
        Fingering("X XXO XXO", degree=4, flat=1),
        Fingering("X XOX XXO", degree=5, flat=1),
        Fingering("X OXX OOO", degree=6, flat=1),
        Fingering("X XXX XXX", degree=0, octave=1, register=2, role="alternate"),
        Fingering("X XXX XXO", degree=1, octave=1, register=2, role="alternate"),
        Fingering("X XXX XOO", degree=2, octave=1, register=2, role="alternate"),
        Fingering("X XXX OOO", degree=3, octave=1, register=2, role="alternate"),
        Fingering("X XXO OOO", degree=4, octave=1, register=2, role="alternate"),
    ),
)

FOUR_AND_THUMB = System(
    name="four-hole-and-thumb",
    words="Five notes and the octave for four fingers and the upper thumb.",
    slots=(THUMB, *(Slot(finger) for finger in ("L1", "L2", "R1", "R2"))),
    home="pentatonic minor",
    degrees=(5,),
    opening=("X XX XX", "X XX XO", "X XX OO", "X XO OO", "X OO OO", "O OO OO"),
    others=(
        Fingering("X XX XH", degree=1, flat=1, open_share=0.1),
        Fingering("X XX OX", degree=2, flat=1),
        Fingering("X XO XX", degree=3, flat=1),
        Fingering("X OX XO", degree=4, flat=1),
        Fingering("O XO OO", degree=5, flat=1),
        Fingering("X XX XX", degree=0, octave=1, register=2, role="alternate"),
        Fingering("X XX XO", degree=1, octave=1, register=2, role="alternate"),
        Fingering("X XX OO", degree=2, octave=1, register=2, role="alternate"),
        Fingering("X XO OO", degree=3, octave=1, register=2, role="alternate"),
    ),
)


@hookimpl
def register_systems(register: RegisterSystem) -> None:
    """Offer both."""
    register(SIX_AND_THUMB)
    register(FOUR_AND_THUMB)
