"""The sound field of a batch of flutes, as the walk along the bore leaves it: values only.

Apart from ``network``, which makes it, ``coupling``, which puts the outside air in, and ``gradient``, which
takes every derivative from it. The scaled state (P, V) and the conventions are told in ``network``.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics import radiation
from scaledesign.physics.arrays import Complexes, Floats, Indices
from scaledesign.physics.branch import ToneHoles
from scaledesign.physics.duct import Line
from scaledesign.physics.flute import Layout
from scaledesign.physics.outside import Mutual
from scaledesign.values import dataclass


@dataclass(frozen=True)
class Mouth:
    """Series impedance of the mouth end and what its derivatives need.

    Flue and chamber are left out of the ``susceptance``, which only says on which branch the phase is:
    beside the window they are too heavy and too lossy to change that.
    """

    z: Complexes
    inertance: Complexes
    """z of the window alone."""
    by_inertance: Complexes
    by_cavity: Complexes
    cavity_theta: Complexes
    cavity_tanh: Complexes
    airway: Complexes | None
    """(N, M) impedance of flue and chamber, or None."""
    drift: Floats
    """(N, M) share of the drift in the inertance's length, m."""
    susceptance: Floats | None
    """(N, M) of the window and cavity without losses, positive below their resonance; None: no mouth."""


@dataclass(frozen=True)
class Field:
    """The sound field of N flutes under M fingerings, each at its own frequency; see ``network.evaluate``.

    ``phase`` (N, M) is psi at the mouth plane, mouth end included. States are kept for derivatives:
    ``left`` and ``right`` (E + 1, 2, N, M) are (P, V) at either end of every duct, mouth to foot, and
    ``outflow`` (H + 1, N, M) the flow out of every opening, holes in their own order, the foot last.
    """

    layout: Layout
    frequency: Floats
    phase: Floats
    p_total: Complexes
    """(N, M) P behind the mouth's series element, scaled."""
    v_mouth: Complexes
    left: Complexes
    right: Complexes
    k: Floats
    ducts: Line
    theta: Complexes
    slices: Line
    slice_index: Indices | None
    holes: ToneHoles
    node_y: Complexes
    node_z: Complexes
    node_q: Complexes | None
    """Shunt that turns V into U at each node's T circuit; None on a straight bore."""
    foot: radiation.EndImpedance
    foot_kink: Complexes
    mouth_kink: Complexes
    mouth: Mouth
    outflow: Complexes
    mutual: Mutual | None
    """What openings do to each other outside; None where nothing is open but the foot."""

    @property
    def impedance(self) -> Complexes:
        """(N, M) total impedance over rho c / S at the mouth."""
        return self.p_total / self.v_mouth


def middle(field: Field, inner: Complexes, outer: Complexes) -> Complexes:
    """Pressure in the middle of every node's T circuit, (E, N, M), from the states on either side."""
    flow = outer[:, 1] if field.node_q is None else outer[:, 1] + field.node_q * outer[:, 0]
    return np.asarray(outer[:, 0] - 0.5 * field.node_z * flow)
