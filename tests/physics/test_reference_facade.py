"""From a design file to frequencies, against the plain reference set up by hand from the same figures."""

from dataclasses import replace

import pytest

import scaledesign
from tests.reference import air as reference_air
from tests.reference.plain import Flute, Hole, pattern, playing_frequency

MM = 1e-3
TEXT = """
format = 1
units = "mm"

[instrument]
mouth = "{mouth}"
pad = 0.4

[tube]
length = 400
bore = {bore}
wall = 3
foot = {foot}

[voicing]
added_length = 33
cavity = 9
drift = 1.5

[air]
temperature = "18 °C"
humidity = 60
pressure = "98.4 kPa"
breath = 0

[tuning]
tonic = "G4"

[[holes]]
at = 246
diameter = 7.5
finger = "L1"

[[holes]]
at = 305
diameter = 8
finger = "L2"

[[holes]]
at = 341
diameter = 7
finger = "L3"
wall = 4.5

[[holes]]
at = 375
diameter = 5
"""
ROWS = (("XXX", 1), ("XXO", 1), ("XOX", 1), ("OOO", 2), ("XHO", 1), ("XXX", 3))
FEET = {'"open"': "wall", '"flanged"': "flanged", '"stopped"': "stopped", "9": "node"}


@pytest.mark.parametrize("mouth", ["duct", "open"])
@pytest.mark.parametrize("foot", FEET)
@pytest.mark.parametrize("losses", [True, False])
@pytest.mark.parametrize("bore", ["16", "[[0, 16], [250, 16], [250, 15.4]]"])
def test_predict(mouth, foot, losses, bore):
    rows = "".join(
        f'\n[[rows]]\nnote = "G4"\nholes = "{holes}"\nregister = {register}\nopen_share = 0.3\n'
        for holes, register in ROWS
    )
    found = scaledesign.predict(
        scaledesign.loads(TEXT.format(mouth=mouth, foot=foot, bore=bore) + rows), losses=losses
    )
    stepped = bore.startswith("[")
    outer = (7.7 if stepped else 8.0) * MM + 3 * MM
    flute = Flute(
        bore=((0.0, 8 * MM), (0.25, 8 * MM), (0.25, 7.7 * MM)) if stepped else ((0.0, 8 * MM),),
        length=0.4,
        holes=(
            Hole(0.246, 3.75 * MM, 3 * MM, 11 * MM),
            Hole(0.305, 4 * MM, 3 * MM, outer),
            Hole(0.341, 3.5 * MM, 4.5 * MM, outer),
            Hole(0.375, 2.5 * MM, 3 * MM, outer),
        ),
        foot=FEET[foot],
        foot_wall=3 * MM,
        node=4.5 * MM if foot == "9" else None,
        delta0=0.033,
        cavity=0.009,
        drift=0.0015,
        pad=0.4,
        outside=True,
    )
    if mouth == "open":
        flute = replace(flute, delta0=None)
    air = reference_air.moist_air(18, 0.6, 98400)
    expected = []
    for holes, register in ROWS:
        share = tuple(
            0.3 if letter == "H" else one for letter, one in zip(holes, pattern(holes), strict=True)
        )
        expected.append(playing_frequency(flute, (*share, 1.0), air, register, "exact" if losses else "none"))
    assert found.frequency == pytest.approx(expected, rel=2e-7)


def test_an_unvoiced_flute_is_uncertain_by_more_than_twenty_cents():
    """Blowing alone moves pitch by up to a semitone: Kunej & Turk in The Origins of Music, 2000, p. 258.

    And a passive model of a voiced flute was off by +20 to -25 cents: Coltman 1966, JASA 40, 99-107.
    """
    text = TEXT.format(mouth="duct", foot='"open"', bore="16").replace("added_length = 33\n", "")
    rows = '\n[[rows]]\nnote = "G4"\nholes = "XXX"\n\n[[rows]]\nnote = "C5"\nholes = "OOO"\n'
    assert min(scaledesign.predict(scaledesign.loads(text + rows)).uncertainty) > 20
