"""Many flutes fitted together: every look at the physics is one walk along all their bores.

Apart from ``layout``, whose steps these are: a fit gives what it wants looked at and takes the look, so that
here the looks of all fits that are still on their way are taken at once. For flutes of one straight body that
differ in bore, length, mouth, holes and wanted notes, and are fingered alike. It is a first layout, for
judging: fewer steps than ``layout.fit`` takes, and rows that hardly count are not chased.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.model.document import COUNTS
from scaledesign.physics.arrays import Floats, Indices, Mask
from scaledesign.physics.flute import Flutes, lay_out
from scaledesign.physics.gradient import derivatives
from scaledesign.physics.network import evaluate
from scaledesign.solver.layout import NEAR, Look, Settled, Steps, Task, Wish, steps_of
from scaledesign.solver.limits import Geometry
from scaledesign.solver.problem import CENT
from scaledesign.solver.sensitivity import sensitivities

CORRECTIONS = 6
"""How often the frequencies of rows that count are corrected before a look, at most."""
STEPS = 14
"""Steps of a fit, at most."""
TORN = 2e-3
"""m by which limits may contradict each other before a layout is given up: the steps would be slow ones."""


def stacked(flutes: Sequence[Flutes]) -> Flutes:
    """Single flutes of straight bore as one batch: the first one's body, the other bores as factors."""
    first = flutes[0]
    own = np.array([each.body.slices.radius[0] for each in flutes])

    def together(name: str) -> Floats:
        return np.concatenate([getattr(each, name) for each in flutes])

    return replace(
        first.take(np.zeros(len(flutes), np.intp)),
        at=together("at"),
        radius=together("radius"),
        length=together("length"),
        added_length=together("added_length"),
        drift=together("drift"),
        bore_scale=together("bore_scale") * own / own[0],
        wall_offset=together("wall_offset"),
    )


def fit_together(
    tasks: Sequence[Task], flutes: Flutes, wishes: Sequence[Wish], log_f: Floats, level: Indices
) -> list[Settled]:
    """Fit N flutes at once.

    Parameters
    ----------
    tasks : one a flute, their rows fingered alike; a row of no weight is left alone
    flutes : N, as they are at the start
    wishes : one a flute
    log_f : (N, R) ln of the rows' frequencies to begin with
    level : (N, R) multiples of pi that the rows' phases are

    Returns
    -------
    What each came to; see ``layout.Settled``.
    """
    share = tasks[0].problem.fingerings.share
    target = np.array([task.problem.target for task in tasks])
    counted = np.array([task.problem.weight >= COUNTS for task in tasks])
    on_the_way: dict[int, Steps] = {}
    asked: dict[int, tuple[Floats, Floats]] = {}
    for i, (task, wish) in enumerate(zip(tasks, wishes, strict=True)):
        start = Geometry(flutes.at[i], 2 * flutes.radius[i], float(flutes.length[i]))
        on_the_way[i] = steps_of(task, start, wish, log_f[i], most=STEPS, torn=TORN)
        asked[i] = next(on_the_way[i])
    done: dict[int, Settled] = {}
    while on_the_way:
        now = np.array(sorted(on_the_way))
        u, guess = (np.array([asked[i][part] for i in now]) for part in (0, 1))
        looks = _looks(flutes.take(now), share, u, guess, target[now], level[now], counted[now])
        for i, look in zip(now.tolist(), looks, strict=True):
            try:
                asked[i] = on_the_way[i].send(look)
            except StopIteration as end:
                done[i] = end.value
                del on_the_way[i]
    return [done[i] for i in range(len(tasks))]


def _looks(
    flutes: Flutes, share: Floats, u: Floats, log_f: Floats, target: Floats, level: Indices, counted: Mask
) -> list[Look]:
    """Looks at N layouts (N, 2H + 1), each from its guess of ln f (N, R)."""
    count = flutes.at.shape[1]
    laid = replace(flutes, at=u[:, :count], radius=u[:, count:-1] / 2, length=u[:, -1])
    layout = lay_out(laid)
    for _ in range(CORRECTIONS):
        field = evaluate(layout, share, np.exp(log_f))
        d = derivatives(field)
        step = np.clip(-(field.phase - np.pi * level) / d.log_frequency, -0.3, 0.3)
        log_f = log_f + step
        if np.abs(np.where(counted, step, 0.0)).max(initial=0.0) < NEAR:
            break
    s = sensitivities(laid, d)
    jacobian = np.concatenate([s.at, s.diameter, s.length[:, :, None]], axis=2)
    cents = CENT * (log_f - np.log(target))
    return [Look(*each) for each in zip(cents, jacobian, log_f, strict=True)]
