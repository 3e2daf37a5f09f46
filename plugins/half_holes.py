"""Partly covered holes as another way to notes between degrees, for the seven-note systems.

A fork leaves a note where the holes put it; a partly covered hole can be shaded into tune while it sounds. A
sliver left open lowers the hole's note by about a semitone. Common practice, no source.
"""

from scaledesign.api import Fingering, RegisterFingering, hookimpl

OPEN = 0.06
"""Share of the hole's area: gives the semitone on a 16 mm bore with holes of 6 to 8 mm, in our own model."""


@hookimpl
def register_cross_fingerings(register: RegisterFingering) -> None:
    """Offer the three that players use, for six front holes with and without a thumb."""
    for system, thumb in (("six-hole diatonic", ""), ("six-hole-and-thumb", "X ")):
        for holes, degree in (("XXH OOO", 4), ("XHO OOO", 5), ("HOO OOO", 6)):
            register(system, Fingering(thumb + holes, degree, flat=1, role="alternate", open_share=OPEN))
