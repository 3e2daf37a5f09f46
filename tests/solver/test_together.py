"""Flutes in one batch: each is itself, whatever stands beside it."""

from __future__ import annotations

import numpy as np
import pytest

from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Tuned
from scaledesign.solver.layout import Task, first_layout, fit, free_of
from scaledesign.solver.limits import Geometry, geometry_of
from scaledesign.solver.problem import flutes_of, problem_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.solver.solution import hands_of
from scaledesign.solver.together import fit_together, stacked
from scaledesign.workshop import ask, start
from scaledesign.workshop.start import Wanted

KEYS = (("A4", 0.016), ("G4", 0.018), ("C5", 0.014))


def _task(key: str, bore: float) -> Task:
    found = ask.offers()
    scale, system = found.scale("pentatonic minor"), found.system("five-hole pentatonic")
    blank = start.blank_design(Wanted(bore, 0.003, key, scale.name, system.name))
    rows = tuple(row for row in found.rows(system.name, scale, parse_note(key), 440.0) if row.role == "scale")
    tuned = Tuned(scale, parse_note(key), 440.0)
    target = tuple(tuned.target(row.note) for row in rows)
    design = start.draft(blank, system, rows, target)
    return Task(design, problem_of(design, target), free_of(design))


def test_flutes_of_other_bores_sound_in_a_batch_as_alone() -> None:
    tasks = [_task(*each) for each in KEYS]
    fingerings = tasks[0].problem.fingerings
    batch = resonances(stacked([flutes_of(task.design) for task in tasks]), fingerings).frequency
    for task, row in zip(tasks, batch, strict=True):
        alone = resonances(flutes_of(task.design), fingerings).frequency[0]
        assert np.abs(1200 * np.log2(row / alone)).max() < 1e-6


def test_a_fit_among_others_is_the_fit_alone() -> None:
    tasks = [_task(*each) for each in KEYS]
    wishes = [first_layout(geometry_of(task.design), hands_of(task.design)) for task in tasks]
    flutes = stacked([flutes_of(task.design) for task in tasks])
    fingerings: Fingerings = tasks[0].problem.fingerings
    found = resonances(flutes, fingerings)
    together = fit_together(tasks, flutes, wishes, np.log(found.frequency), found.level)
    for task, wish, one in zip(tasks, wishes, together, strict=True):
        alone = fit(task, geometry_of(task.design), wish)
        assert Geometry.of(one.u).u == pytest.approx(alone.geometry.u, abs=5e-5)
        assert one.look.cents == pytest.approx(alone.cents, abs=0.05)
