"""What a new flute may be made of and what is usual: mouths, keys, scales, fingerings, hands, bits.

Apart because the command line and the screen ask the same questions and must offer the same answers. A name
as typed comes in, the name as it is known goes out, or an error that says what there is. Nothing is laid
out here and nobody is asked.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache

import numpy as np

from scaledesign.errors import EditError, NoPitchError, UnknownNameError
from scaledesign.extend.catalogue import Catalogue, comparable, nearest
from scaledesign.model import bits, hands
from scaledesign.model.document import Mouth, Units
from scaledesign.model.pitch import LETTERS, cents_between, note_frequency, parse_note
from scaledesign.model.scale import Scale
from scaledesign.solver.problem import flutes_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop.start import BORES, KEYS, Wanted, blank_design

MOUTHS: Mapping[Mouth, str] = {
    "duct": "a windway leads your breath to a window",
    "notch": "you blow over a notch cut into the rim",
    "rim": "you blow over the plain rim of the tube",
    "transverse": "held sideways; you blow over a hole in the wall",
}
"""Ways to blow a flute, each with a line that tells it from the others."""
EXAMPLE_TUBE: Mapping[Units | None, str] = {None: "5/8 in x 1/8 in", "mm": "16 x 3", "in": "5/8 x 1/8"}
USUAL_MOUTH: Mouth = "duct"
USUAL_SYSTEM = "six-hole pentatonic"
USUAL_HAND = "medium"
USUAL_BITS: Mapping[Units, str] = {"mm": "metric 0.5", "in": "inch 1/64"}
USUAL_BORES = 22.0
"""Bores of length that the usual key gives: comfortable (``workshop/advice.py``), holes within reach."""


def mouth_named(name: str) -> Mouth:
    """The mouth of that name.

    Raises
    ------
    UnknownNameError
        naming the nearest, or all.
    """
    for mouth in MOUTHS:
        if comparable(name) == mouth:
            return mouth
    raise UnknownNameError("mouth", name, tuple(MOUTHS), nearest(name, tuple(MOUTHS)))


def hand_named(name: str) -> str:
    """Name of the hand that is meant.

    Raises
    ------
    UnknownNameError
    """
    hands.hand(comparable(name))
    return comparable(name)


def bits_named(name: str) -> str:
    """Name of the bit set that is meant.

    Raises
    ------
    UnknownNameError
    """
    return bits.bit_set(comparable(name)).name


@lru_cache(maxsize=64)
def usual_key(bore: float, wall: float, mouth: Mouth, longest: float | None = None) -> str:
    """The natural note that suits a bore as the lowest, or '' where there is none.

    Parameters
    ----------
    bore, wall : m
    mouth : how the flute is blown
    longest : m, what the tube has, sounding edge to foot; None: no limit

    Returns
    -------
    The note nearest to what a tube ``USUAL_BORES`` long sounds; of a shorter one the deepest that it reaches.
    """
    if not BORES[0] <= bore <= BORES[1]:
        return ""
    limited = is_short(bore, longest)
    length = longest if longest is not None and limited else USUAL_BORES * bore
    design = blank_design(Wanted(bore, wall, "A4", "", "", mouth=mouth))
    bare = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
    try:
        sounds = float(resonances(flutes_of(design, bare_length=length), bare).frequency[0, 0])
    except NoPitchError:
        return ""
    naturals = _naturals(design.tuning.reference)
    if limited:
        return next((name for name, frequency in naturals if frequency >= sounds), "")
    return min(naturals, key=lambda natural: abs(cents_between(sounds, natural[1])))[0]


def is_short(bore: float, longest: float | None) -> bool:
    """Whether a tube of that length (m), rather than its bore, says which key is usual."""
    return longest is not None and longest < USUAL_BORES * bore


@cache
def _naturals(reference: float) -> tuple[tuple[str, float], ...]:
    """Natural notes that a flute can have as its lowest, low to high, with their frequencies (Hz)."""
    names = [f"{letter}{octave}" for octave in range(10) for letter in LETTERS]
    notes = [(name, note_frequency(parse_note(name), reference)) for name in names]
    return tuple((name, frequency) for name, frequency in notes if KEYS[0] <= frequency <= KEYS[1])


def playable(found: Catalogue) -> tuple[Scale, ...]:
    """The scales that some fingering system plays."""
    return tuple(scale for scale in found.scales() if found.systems_for(scale))


def scale_named(found: Catalogue, name: str) -> Scale:
    """The scale of a name, if some fingering system plays it.

    Raises
    ------
    UnknownNameError
        when nobody offers it.
    EditError
        when no fingering system plays it.
    """
    scale = found.scale(name)
    if not found.systems_for(scale):
        raise EditError(
            f"No fingering system plays the {len(scale.cents)} notes of {scale.name}", "choose another"
        )
    return scale


def scale_words(scale: Scale) -> str:
    """One line for somebody choosing: how many notes, and what they are like."""
    return f"{len(scale.cents)} notes. {scale.words}"


def usual_scale(found: Catalogue, system: str = "") -> str:
    """The scale a fingering system is at home in.

    Parameters
    ----------
    found : Catalogue
    system : name of the system; '': the usual one

    Raises
    ------
    UnknownNameError
        when nobody offers the system.
    """
    return found.system(system or USUAL_SYSTEM).home


def usual_system(found: Catalogue, scale: Scale) -> str:
    """Name of a fingering system that plays the scale, '' where none does."""
    fitting = found.systems_for(scale)
    return USUAL_SYSTEM if USUAL_SYSTEM in fitting else next(iter(fitting), "")


def system_named(found: Catalogue, name: str, scale: Scale) -> str:
    """Name of the fingering system that is meant, if it plays the scale.

    Raises
    ------
    UnknownNameError
        when nobody offers it.
    EditError
        when it does not play the scale; naming those that do.
    """
    system = found.system(name)
    found.rows(name, scale, parse_note("A4"), 440.0)
    return system.name


def systems_to_choose(found: Catalogue, scale: Scale) -> tuple[tuple[str, str], ...]:
    """Names and words of the fingering systems that play the scale."""
    return tuple((name, found.system(name).words) for name in found.systems_for(scale))
