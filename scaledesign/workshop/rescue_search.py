"""The search for the fewest changes that mend a flute: sets of levers, and how far each.

Apart from the levers themselves (``rescue_levers.py``) and from what is said of a set that was found
(``rescue.py``). Sets are built one change at a time from the best smaller ones, added up from the levers'
curves; the best few are then played whole, and what the sum had wrong goes into a second look.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, islice

import numpy as np

from scaledesign.physics.arrays import Floats, Mask
from scaledesign.values import dataclass
from scaledesign.workshop.as_heard import AsHeard
from scaledesign.workshop.rescue_levers import COST, Change, Lever, Rules, played

WORST = 1 / 3
"""What the worst note weighs beside the root mean square of all (proposed here, no source)."""
RISK = 0.1
"""Cents that a change which nothing takes back costs more for each cent of ± of the note it moves most
(proposed here, no source)."""
COARSE, KEPT, WHOLE = 20, 40, 10
"""Places of a lever looked at in pairs; sets of one size kept to build on; sets of one size played whole."""
SWEEPS, LOOKS = 4, 2
"""Rounds in which every lever of a set is set anew; times that a set is played."""

Set = tuple[tuple[int, int], ...]
"""Levers, and the place of each."""


@dataclass(frozen=True)
class Aim:
    """What is wanted of M notes."""

    weight: Floats
    """(M,)."""
    judged: Mask
    """(M,) those whose worst counts: of the scale, and read."""
    pitch: float = 0.0
    """Cents from target that all notes are to have."""

    def worst(self, cents: Floats) -> Floats:
        """(...) cents off of the worst judged note; ``cents`` (..., M)."""
        return np.asarray(np.abs(cents[..., self.judged] - self.pitch).max(axis=-1, initial=0.0))

    def rms(self, cents: Floats) -> Floats:
        """(...) root mean square of what all notes are off, weighed."""
        total = max(float(self.weight.sum()), 1e-12)
        counted = self.weight > 0
        off = cents[..., counted] - self.pitch
        return np.asarray(np.sqrt((off**2 * self.weight[counted]).sum(axis=-1) / total))

    def score(self, cents: Floats) -> Floats:
        """(...) cents: the smaller the better; infinite where a note that counts is gone."""
        score = self.rms(cents) + WORST * self.worst(cents)
        return np.where(np.isfinite(score), score, np.inf)

    def on(self, columns: Mask) -> Aim:
        """The same of some notes."""
        return Aim(self.weight[columns], self.judged[columns], self.pitch)


@dataclass(frozen=True)
class Found:
    """A set of changes, the cents from target (M,) after it, and its score with what its changes cost."""

    changes: tuple[Change, ...]
    cents: Floats
    score: float
    used: tuple[tuple[Lever, int], ...]
    """The levers of the changes, and the place of each."""


def search(heard: AsHeard, aim: Aim, levers: Sequence[Lever], most: int) -> Iterator[tuple[Found, ...]]:
    """The best sets of one change, then of two, and so on up to ``most``; each size best first."""
    if not levers:
        return
    columns = (aim.weight > 0) | aim.judged
    looking = _Looking(
        aim.on(columns),
        heard.off[columns],
        [lever.effect[:, columns] for lever in levers],
        _costs(heard, aim, levers),
        [lever.hole for lever in levers],
    )
    rules = Rules(heard.design)
    sets: list[Set] = []
    for count in range(1, most + 1):
        sets = looking.singles() if count == 1 else looking.pairs() if count == 2 else looking.grown(sets)
        yield _whole(heard, aim, levers, looking, sets, columns, rules)


def _costs(heard: AsHeard, aim: Aim, levers: Sequence[Lever]) -> Floats:
    """(L,) cents."""
    costs = []
    for lever in levers:
        moved = int((np.abs(lever.effect).max(axis=0) * (aim.weight > 0)).argmax())
        risk = 0.0 if lever.kind == "fill" else RISK * float(heard.sure[moved])
        costs.append(COST[lever.kind] + risk)
    return np.array(costs)


@dataclass
class _Looking:
    """Sets of levers added up."""

    aim: Aim
    base: Floats
    effects: list[Floats]
    costs: Floats
    holes: list[int | None]

    def singles(self) -> list[Set]:
        """Every lever by itself where it is best."""
        return self._best([((i, self._set(i, self.base)),) for i in range(len(self.effects))])

    def pairs(self) -> list[Set]:
        """Every two levers on different holes."""
        some = [
            np.unique(np.linspace(0, len(effect) - 1, min(COARSE, len(effect))).astype(int))
            for effect in self.effects
        ]
        found: list[Set] = []
        for i, j in combinations(range(len(self.effects)), 2):
            if self.holes[i] == self.holes[j]:
                continue
            both = self.base + self.effects[i][some[i], None] + self.effects[j][None, some[j]]
            m, n = np.unravel_index(int(self.aim.score(both).argmin()), both.shape[:2])
            found.append(((i, int(some[i][m])), (j, int(some[j][n]))))
        return self._best(found)

    def grown(self, sets: Sequence[Set]) -> list[Set]:
        """Sets with one lever more."""
        found: dict[frozenset[int], Set] = {}
        for each in sets:
            used = {self.holes[i] for i, _ in each}
            rest = self.base + self._sum(each)
            for j in range(len(self.effects)):
                key = frozenset([*(i for i, _ in each), j])
                if self.holes[j] not in used and key not in found:
                    found[key] = (*each, (j, self._set(j, rest)))
        return self._best(list(found.values()))

    def settled(self, one: Set, beside: Floats) -> Set:
        """The same levers, each set anew until all stand; ``beside`` (C,) is what the sum has wrong."""
        places = dict(one)
        for _ in range(SWEEPS):
            before = dict(places)
            for i in places:
                others = [(j, place) for j, place in places.items() if j != i]
                places[i] = self._set(i, self.base + beside + self._sum(others))
            if places == before:
                break
        return tuple(places.items())

    def score(self, one: Set, beside: Floats) -> float:
        """With its cost."""
        return float(self.aim.score(self.base + beside + self._sum(one))) + self.cost(one)

    def cost(self, one: Set) -> float:
        """Cents."""
        return float(sum(self.costs[i] for i, _ in one))

    def _best(self, sets: Sequence[Set]) -> list[Set]:
        nothing = np.zeros_like(self.base)
        first = sorted(sets, key=lambda one: self.score(one, nothing))[:KEPT]
        return sorted((self.settled(one, nothing) for one in first), key=lambda one: self.score(one, nothing))

    def _set(self, lever: int, rest: Floats) -> int:
        return int(self.aim.score(rest + self.effects[lever]).argmin())

    def _sum(self, places: Sequence[tuple[int, int]]) -> Floats:
        total = np.zeros_like(self.base)
        for i, place in places:
            total = total + self.effects[i][place]
        return total


def _whole(
    heard: AsHeard,
    aim: Aim,
    levers: Sequence[Lever],
    looking: _Looking,
    sets: Sequence[Set],
    columns: Mask,
    rules: Rules,
) -> tuple[Found, ...]:
    """The first of some sets that break no rule, played whole, best first."""

    def changes(one: Set) -> tuple[Change, ...]:
        return tuple(levers[i].change(place) for i, place in one)

    left = list(islice((one for one in sets if rules.keep(changes(one))), WHOLE))
    best: dict[int, Found] = {}
    for _ in range(LOOKS):
        exact = played(heard, [changes(one) for one in left])
        again = []
        for i, (one, cents) in enumerate(zip(left, exact, strict=True)):
            score = float(aim.score(cents)) + looking.cost(one)
            if i not in best or score < best[i].score:
                used = tuple((levers[j], place) for j, place in one)
                best[i] = Found(changes(one), cents, score, used)
            wrong = np.nan_to_num(cents[columns] - looking.base - looking._sum(one))
            other = looking.settled(one, wrong)
            again.append(other if rules.keep(changes(other)) else one)
        if again == left:
            break
        left = again
    return tuple(sorted((each for each in best.values() if np.isfinite(each.score)), key=lambda e: e.score))
