"""How like two mouths are, and what those that were blown say of the next: numbers in, mean and ± out.

Apart from the folder and its files (``book.py``): this is arithmetic on a few columns. For each flute that
was blown, y = ln(learnt added length / estimate), known to u; a flute is told by its marks x (``MARKS``).
Then

    y_i = m(x_i) + s_i + n_i,   m ~ GP(0, K),   s_i ~ N(0, S^2),   n_i ~ N(0, u_i^2)
    K_ij = c_i c_j B_ij H_ij (w + (1 - w) mean over d in D of E_d,ij)
    H_ij = exp(-|x_i - x_j|^2 / (2 FAR^2)),   E_d,ij = exp(-(x_id - x_jd)^2 / (2 l^2)),   c_i^2 = d_i^2 - S^2

d_i is what the estimate is doubted by before any book (``physics/mouth.py``). So the doubt is only shared
out: a habit of the maker's (w), what hangs on single marks (1 - w), and scatter from one flute to the next
(S), which no book takes away. B_ij says how much two estimates rest on the same formula: a window that was
measured and one of usual size share the formula's doubt, not that of the size. Flutes of another kind of
mouth are none of ours. The next flute is y* = m(x*) + s*, conditioned on all y (C. E. Rasmussen and C. K.
I. Williams 2006, Gaussian Processes for Machine Learning, equations 2.25, 2.26, 2.30, from memory), so that
its ± never falls below S, and is again d* where the book has nothing like it.

S, w, l and D are not known. The answer is the mean over a grid of them, each weighed by how well it foretells
the y there are (marginal likelihood) times what is usual; its variance is theirs and that of their means. The
best of them alone would be too sure of itself with two or three flutes.

A ratio, not a difference: what a formula leaves out is a factor on it. The two formulas for a window differ
by factors that scatter by 10 % over usual windows, by lengths that scatter by 30 % (computed, in the
tests).
"""

from __future__ import annotations

from functools import cached_property
from itertools import combinations

import numpy as np

from scaledesign.physics.arrays import Floats, Indices
from scaledesign.values import dataclass

MARKS = ("bore", "opening's length", "opening's width", "wall")
"""Logarithms: of the bore (m), of the opening's length and width over the bore, of the wall at it (m)."""
FAR = 1.5
"""Distance over all marks at which two flutes are no longer much alike: one more than four times as wide as
the other (no source; with 1.1 to 3 the ± of invented makers' flutes is as honest)."""
NEAR = (0.3, 0.8)
"""Distance in one mark at which what hangs on it has changed: by a third, or to the double."""
SCATTER = (0.02, 0.035, 0.06, 0.10, 0.16, 0.25, 0.35, 0.5)
"""Scatter from one flute to the next, as a share of the added length."""
USUAL_SCATTER, SPREAD = 0.08, 1.0
"""Middle of what is thought of the scatter beforehand, and how far (log) it may lie off (no source)."""
HABIT = (0.5, 0.8)
"""Share of the habit beside what hangs on single marks."""
PLAIN = (0.4, 0.4, 0.2)
"""What is thought beforehand of a habit alone, of one mark that matters, of two (no source)."""
MOST = 60
"""Flutes that are counted with: the most alike ones. More change nothing but the time it takes."""
_AMPLE = 1e6
"""Keeps a bordered matrix positive; nothing is read from there."""
_SLIGHT = 0.01
"""Weight of a point of the grid below which nobody asks what each flute had to do with it."""
ALIKE = 0.2
"""Least share that two flutes have to have in common to be called alike."""


@dataclass(frozen=True)
class Shape:
    """One way in which flutes may be alike: share of the habit, distance, and the marks that matter."""

    usual: float
    """What is thought of it beforehand."""
    habit: float = 1.0
    near: float = 1.0
    marks: tuple[int, ...] = ()


def _shapes(many: int) -> list[Shape]:
    """All in which so many marks matter."""
    sets = list(combinations(range(len(MARKS)), many))
    usual = PLAIN[many] / (len(HABIT) * len(NEAR) * len(sets))
    return [Shape(usual, habit, near, marks) for habit in HABIT for near in NEAR for marks in sets]


SHAPES = (Shape(PLAIN[0]), *_shapes(1), *_shapes(2))


@dataclass(frozen=True)
class Known:
    """N flutes of one kind of mouth.

    ``marks`` (N, 4); ``formula`` (N,) doubt of the formula their estimate rests on, ``size`` (N,) doubt of a
    size that was not measured, both as a share of the estimate; ``off`` (N,) ln(learnt / estimate) and
    ``doubt`` (N,) its standard deviation. Of a flute that is still to be blown the last two mean nothing.
    """

    marks: Floats
    formula: Floats
    size: Floats
    off: Floats
    doubt: Floats

    @cached_property
    def whole(self) -> Floats:
        """(N,) doubt of each estimate before any book, as a share of it."""
        return np.hypot(self.formula, self.size)

    @property
    def count(self) -> int:
        """How many."""
        return len(self.off)

    def part(self, which: Indices) -> Known:
        """Some of them."""
        return Known(*(getattr(self, name)[which] for name in Known.__dataclass_fields__))


@dataclass(frozen=True)
class Said:
    """What the book says of one flute: ``off`` is ln(added length / estimate), ``doubt`` its ±.

    ``share`` (N,) is how much of each flute is in the answer, ``alike`` (N,) how much each has in common with
    the one that is asked about, 0 to 1; ``scatter`` is the scatter from flute to flute that is reckoned with.
    """

    off: float
    doubt: float
    share: Floats
    alike: Floats
    scatter: float


def common(known: Known, other: Known) -> Floats:
    """(N, M) what two flutes have in common, 0 to 1: their formula and all their marks."""
    whole = known.whole[:, None] * other.whole
    same = np.outer(known.formula, other.formula) + np.outer(known.size, other.size)
    far = ((known.marks[:, None] - other.marks) ** 2).sum(axis=2)
    return np.asarray(same / whole * np.exp(-far / (2 * FAR**2)))


def said_of(known: Known, next_one: Known) -> Said:
    """What the flutes that were blown say of one that was not; ``next_one`` holds that one alone."""
    alike = common(known, next_one)[:, 0] if known.count else np.zeros(0)
    before = float(next_one.whole[0])
    if not known.count:
        return Said(0.0, before, alike, alike, before)
    kept = np.sort(np.argsort(-alike, kind="stable")[:MOST])
    found = _Grid(known.part(kept), next_one)
    share = np.zeros(known.count)
    share[kept] = found.taken()
    mean = float(found.weight @ found.mean)
    variance = float(found.weight @ (found.variance + found.mean**2)) - mean**2
    scatter = float(np.sqrt(found.weight @ np.square(found.scatter)))
    return Said(mean, float(np.sqrt(variance)), share, alike, scatter)


def surprises(known: Known) -> Floats:
    """(N,) how many ± each flute lies from what all others of them say; 0 where there are none.

    Leaving one out of a normal law: R. D. Cook and S. Weisberg 1982, Residuals and Influence in Regression,
    section 2.2 (from memory), in that point of the grid which is likeliest for some of them, evenly taken.
    """
    if known.count < 3:
        return np.zeros(known.count)
    some = known.part(np.unique(np.linspace(0, known.count - 1, MOST).astype(np.intp)))
    first = known.part(np.zeros(1, np.intp))
    point = int(_Grid(some, first).weight.argmax())
    precision = np.linalg.inv(_Grid(known, first).covariance(point))
    return np.asarray((precision @ known.off) / np.sqrt(np.diagonal(precision)))


class _Grid:
    """All points of the grid side by side: G of them."""

    def __init__(self, known: Known, next_one: Known) -> None:
        self._known = known
        parts = ([getattr(known, name), getattr(next_one, name)] for name in Known.__dataclass_fields__)
        self._both = Known(*map(np.concatenate, parts))
        self.scatter = np.tile(SCATTER, len(SHAPES))

    @cached_property
    def _answers(self) -> Floats:
        """(3, G) mean, variance and logarithm of the marginal likelihood."""
        return np.concatenate([self._answered(shape) for shape in SHAPES], axis=1)

    @property
    def mean(self) -> Floats:
        """(G,) of ln(added length / estimate)."""
        return np.asarray(self._answers[0])

    @property
    def variance(self) -> Floats:
        """(G,) of the same."""
        return np.asarray(self._answers[1])

    @cached_property
    def weight(self) -> Floats:
        """(G,) how much is to be thought of each point; together 1."""
        usual = np.log(np.repeat([shape.usual for shape in SHAPES], len(SCATTER)))
        prior = np.log(self.scatter / USUAL_SCATTER) / SPREAD
        likely = self._answers[2] + usual - prior**2 / 2
        weight = np.exp(likely - likely.max())
        return np.asarray(weight / weight.sum())

    @cached_property
    def _common(self) -> Floats:
        return common(self._both, self._both)

    def _kernels(self, shape: Shape) -> Floats:
        """(S, N + 1, N + 1) what is shared, for each scatter."""
        shared = self._common
        if shape.marks:
            x = self._both.marks[:, list(shape.marks)]
            each = np.exp(-((x[:, None] - x) ** 2) / (2 * shape.near**2)).mean(axis=2)
            shared = shared * (shape.habit + (1 - shape.habit) * each)
        left = np.sqrt(np.maximum(self._both.whole**2 - np.square(SCATTER)[:, None], 0.0))
        return np.asarray(left[:, :, None] * left[:, None, :] * shared)

    def covariance(self, point: int) -> Floats:
        """(N, N) in which the flutes were expected to scatter, at one point of the grid."""
        number, scatter = divmod(point, len(SCATTER))
        count = self._known.count
        noise = SCATTER[scatter] ** 2 + self._known.doubt**2
        return np.asarray(self._kernels(SHAPES[number])[scatter, :count, :count] + np.diag(noise))

    def _answered(self, shape: Shape) -> Floats:
        """(3, S) mean, variance and logarithm of the marginal likelihood, for each scatter.

        The root of the covariance with two lines more, what each flute shares with the next one and how far
        each was off, has beneath it both of these solved by the root: one factorising for all there is.
        """
        known, count = self._known, self._known.count
        kernel = self._kernels(shape)
        bordered = np.zeros((len(SCATTER), count + 2, count + 2))
        bordered[:, :-1, :-1] = kernel
        place = np.arange(count)
        bordered[:, place, place] += np.square(SCATTER)[:, None] + known.doubt**2
        bordered[:, -1, :count] = known.off
        bordered[:, -2:, -2:] = _AMPLE * np.eye(2)
        root = np.linalg.cholesky(bordered)  # reads the lower half alone
        cross, off = root[:, -2, :count], root[:, -1, :count]
        mean = (cross * off).sum(axis=1)
        variance = kernel[:, count, count] + np.square(SCATTER) - (cross**2).sum(axis=1)
        size = np.log(np.diagonal(root, axis1=1, axis2=2)[:, :count]).sum(axis=1)
        return np.stack([mean, variance, -(off**2).sum(axis=1) / 2 - size])

    def taken(self) -> Floats:
        """(N,) share of each flute in the answer."""
        count, share = self._known.count, np.zeros(self._known.count)
        for point in np.flatnonzero(self.weight > _SLIGHT):
            number, scatter = divmod(int(point), len(SCATTER))
            cross = self._kernels(SHAPES[number])[scatter, :count, count]
            share += self.weight[point] * np.linalg.solve(self.covariance(int(point)), cross)
        return share
