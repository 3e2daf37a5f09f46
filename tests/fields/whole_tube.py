"""The sound field in and around a whole tube, solved in three dimensions without losses.

    Laplace(p) + k^2 p = 0,  p = 1 on the mouth plane, no flow through wood, outgoing waves far away.

Finite elements (NGSolve) on a mesh of ``shapes``; outgoing waves by a perfectly matched layer, whose
stretching takes time as exp(-i w t), and is made for one frequency, so that it absorbs low notes too. From
the assembled matrix of a(p, q) = int grad p grad q - k^2 p q: input impedance over rho c / S, with S half
the area of the mouth (of the half tube),

    z = -j k S / a(p, p),   dz/dk = z/k + z/a(p, p) 2k int p^2,

and conjugated, for exp(+i w t) as elsewhere. a(p, p) is stationary, so z is twice as accurate as p. The
playing frequencies of an ideal open mouth are the rising zeros of Im z; Newton's rule finds one in a
solution or two from a guess within a few cents.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from ngsolve import H1, BilinearForm, GridFunction, InnerProduct, Mesh, TaskManager, dx, grad, pml

from tests.fields import shapes

SOUND = 343.37e3
"""mm/s; without losses every frequency is proportional to it."""
DECAY = 3.0
"""Neper that a wave loses on its way out through the absorbing layer."""


@dataclass(frozen=True)
class Resonance:
    """A zero of Im z: frequency in Hz, Re z there, and cents that the last step of Newton's rule moved it."""

    frequency: float
    resistance: float
    step: float


class Field:
    """One fingering of one tube on one mesh, for frequencies near ``nominal`` (Hz)."""

    def __init__(self, tube: shapes.Tube, mesh: Mesh, *, nominal: float, order: int = 3) -> None:
        low, high = shapes.extent(tube)
        stretch = 1j * DECAY * SOUND / (2 * np.pi * nominal * shapes.ABSORBING)
        mesh.SetPML(pml.Cartesian(mins=low, maxs=high, alpha=stretch), "absorbing")
        self.space = H1(mesh, order=order, complex=True, dirichlet="mouth")
        self.area = np.pi * tube.bore**2 / 8
        u, v = self.space.TnT()
        with TaskManager():
            self.stiffness = BilinearForm(grad(u) * grad(v) * dx, symmetric=True).Assemble().mat
            self.mass = BilinearForm(u * v * dx, symmetric=True).Assemble().mat
        self.matrix = self.stiffness.CreateMatrix()
        self.pressure = GridFunction(self.space)
        self.pressure.Set(1, definedon=mesh.Boundaries("mouth"))
        self.drive = self.pressure.vec.CreateVector()
        self.drive.data = self.pressure.vec

    @property
    def unknowns(self) -> int:
        """How many."""
        return int(self.space.ndof)

    def impedance(self, frequency: float) -> tuple[complex, complex]:
        """Input impedance over rho c / S and its slope in ln f."""
        k = 2 * np.pi * frequency / SOUND
        p, work = self.pressure.vec, self.drive.CreateVector()
        self.matrix.AsVector().data = self.stiffness.AsVector() - k**2 * self.mass.AsVector()
        with TaskManager():
            inverse = self.matrix.Inverse(self.space.FreeDofs(), inverse="sparsecholesky")
            work.data = self.matrix * self.drive
            p.data = self.drive - inverse * work
            work.data = self.matrix * p
            energy = InnerProduct(work, p, conjugate=False)
            work.data = self.mass * p
            mass = InnerProduct(work, p, conjugate=False)
        z = -1j * k * self.area / energy
        return z.conjugate(), (z + 2 * k**2 * z * mass / energy).conjugate()

    def resonance(self, guess: float, steps: int = 1) -> Resonance:
        """The zero of Im z next to ``guess`` (Hz), by that many of Newton's steps."""
        log = np.log(guess)
        for _ in range(steps):
            z, slope = self.impedance(float(np.exp(log)))
            step = -z.imag / slope.imag
            log += step
        return Resonance(float(np.exp(log)), float(z.real), float(1200 / np.log(2) * step))
