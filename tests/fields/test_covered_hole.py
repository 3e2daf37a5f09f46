"""A partly covered hole: the field against the known flange, the program's aperture against the field."""

import numpy as np
import pytest

from scaledesign.physics.branch import outer_length
from tests.fields.covered_hole import end_length, open_share


def test_an_open_hole_in_a_flange():
    """0.8216: Nomura, Yamamura & Inawashiro 1960; Norris & Sheng 1989, J. Sound Vib. 135, 85-93."""
    assert open_share(-1.0) == 1
    assert end_length(-1.0, 0.1) == pytest.approx(0.8216, abs=1e-3)


def test_a_hole_half_covered_from_one_side():
    """A straight edge over the middle: the program's finger is thicker than foil, thinner than 0.15 radii."""
    share = open_share(0.0)
    assert share == pytest.approx(0.5)
    one, flange = np.array([1.0]), np.array([1e12])
    program = float(outer_length(one, flange, np.array([share]), iris=False)[0][0])
    foil, thick = end_length(0.0, 0.02), end_length(0.0, 0.15)
    print(f"field {foil:.3f} to {thick:.3f} radii, program {program:.3f}")
    assert foil < program < thick
