"""Scales measured on flutes, solved on a tube of ours: met to the design's tolerance."""

import pytest

import scaledesign

THRASHER = (
    (170, 318, 472, 667, 854, 1055),
    (170, 318, 472, 667, 854, 990),
    (177, 337, 495, 656, 845, 971),
    (151, 303, 451, 628, 826, 986),
    (200, 375, 485, 680, 875, 985),
)
"""Five Chinese transverse flutes, cents above the lowest note: Thrasher 1978, as McBride, Passmore & Tlusty
2023, PLoS ONE 18(12), e0284851, give the steps between their notes."""

TUBE = """
format = 1
units = "mm"

[instrument]
mouth = "transverse"

[tube]
length = 400
bore = 16
wall = 3

[voicing]
added_length = 40
uncertainty = 3

[tuning]
tonic = "G4"
tolerance = 5

[shop]
smallest = 5
largest = 11
hand = "large"
"""
PLACES = (186, 214, 246, 276, 300, 335)
FINGERS = ("L1", "L2", "L3", "R1", "R2", "R3")


@pytest.mark.parametrize("degrees", THRASHER, ids=range(5))
def test_thrasher_s_flutes(degrees):
    text = TUBE + "".join(
        f'\n[[holes]]\nat = {at}\ndiameter = 8\nfinger = "{finger}"\n'
        for at, finger in zip(PLACES, FINGERS, strict=True)
    )
    for count, cents in enumerate((0, *degrees)):
        text += f'\n[[rows]]\nnote = "{cents} c"\nholes = "{"X" * (6 - count)}{"O" * count}"\n'
    design = scaledesign.loads(text)
    solution = scaledesign.solve(design)
    off = [abs(cents) for cents in solution.prediction.cents]
    assert max(off) <= design.tuning.tolerance, solution.notes
    for wanted, found in zip((0, *degrees), solution.prediction.target, strict=True):
        assert found == pytest.approx(391.995 * 2 ** (wanted / 1200), abs=0.01)


def test_solving_does_not_shadow_the_function():
    design = scaledesign.loads(TUBE)
    for _ in range(2):
        scaledesign.predict(design)
        assert scaledesign.solve(design).design.tube.bore == design.tube.bore
