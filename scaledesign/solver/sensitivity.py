"""What each dimension is worth in cents: the phase's exact derivatives in a maker's units.

Apart because laying out holes, predicting and learning from readings all ask for it. No doubt is known here.
"""

from __future__ import annotations

from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.physics.gradient import Derivatives
from scaledesign.solver.problem import CENT
from scaledesign.values import dataclass


@dataclass(frozen=True)
class Sensitivity:
    """Cents of each row per unit of each dimension, (R, H) or (R,); metres, kelvin and kilohertz.

    Diameters are diameters: ``bore`` is cents per metre of bore diameter at the mouth. For N flutes at once
    every array has a first axis N.
    """

    at: Floats
    diameter: Floats
    length: Floats
    bore: Floats
    wall: Floats
    added_length: Floats
    drift: Floats
    """Cents for a metre per kHz squared."""
    temperature: Floats


def sensitivity_of(flutes: Flutes, d: Derivatives) -> Sensitivity:
    """Cents per unit of every dimension of one flute, from derivatives of its phase."""
    all_of_them = sensitivities(flutes, d)
    return Sensitivity(*(getattr(all_of_them, name)[0] for name in Sensitivity.__dataclass_fields__))


def sensitivities(flutes: Flutes, d: Derivatives) -> Sensitivity:
    """The same of N flutes, (N, R, H) or (N, R)."""
    scale = -CENT / d.log_frequency
    bore = 2 * flutes.bore_scale[:, None] * flutes.body.slices.radius[0]
    return Sensitivity(
        at=(d.at * scale).transpose(1, 2, 0),
        diameter=(d.log_radius * scale).transpose(1, 2, 0) / (2 * flutes.radius[:, None, :]),
        length=d.length * scale,
        bore=d.log_bore * scale / bore,
        wall=d.wall * scale,
        added_length=d.added_length * scale,
        drift=d.drift * scale,
        temperature=d.temperature * scale,
    )
