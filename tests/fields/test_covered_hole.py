"""A partly covered hole: the field against the known flange, the program's aperture against the field."""

import numpy as np
import pytest

from scaledesign.physics.branch import outer_length
from tests.fields.covered_hole import end_length, open_share


def test_an_open_hole_in_a_flange():
    """0.8216: Nomura, Yamamura & Inawashiro 1960; Norris & Sheng 1989, J. Sound Vib. 135, 85-93."""
    assert open_share(-1.0) == 1
    assert end_length(-1.0, 0.1) == pytest.approx(0.8216, abs=1e-3)


def test_a_hole_half_covered_by_a_thin_plate():
    """A straight edge over the middle; 0.1 radii of length are about 5 cents in a flute."""
    share = open_share(0.0)
    assert share == pytest.approx(0.5)
    one, flange = np.array([1.0]), np.array([1e12])
    program = float(outer_length(one, flange, np.array([share]))[0][0])
    field = end_length(0.0, 0.02)
    print(f"field {field:.3f} radii, program {program:.3f}")
    assert program == pytest.approx(field, abs=0.1)
