"""Finger-hole flutes: a tube and a scale in, holes that play in tune out.

A thin façade: each name is looked up in its layer when it is first used, so that importing the package
costs nothing.

    design     = scaledesign.load(path)
    prediction = scaledesign.predict(design, losses=True)
    solution   = scaledesign.solve(design)
    scaledesign.save(solution.design, path)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scaledesign.files.document_file import dumps, load, loads, save
    from scaledesign.model.document import Design
    from scaledesign.solver.prediction import Prediction
    from scaledesign.solver.solution import Solution
    from scaledesign.workshop.ask import calibrate, new_design, predict, solve
    from scaledesign.workshop.calibration import Calibration
    from scaledesign.workshop.start import Wanted

__version__ = "0.1.0"

_HOMES = {
    "Calibration": "scaledesign.workshop.calibration",
    "Design": "scaledesign.model.document",
    "Prediction": "scaledesign.solver.prediction",
    "Solution": "scaledesign.solver.solution",
    "Wanted": "scaledesign.workshop.start",
    "calibrate": "scaledesign.workshop.ask",
    "dumps": "scaledesign.files.document_file",
    "load": "scaledesign.files.document_file",
    "loads": "scaledesign.files.document_file",
    "new_design": "scaledesign.workshop.ask",
    "predict": "scaledesign.workshop.ask",
    "save": "scaledesign.files.document_file",
    "solve": "scaledesign.workshop.ask",
}

__all__ = [
    "Calibration",
    "Design",
    "Prediction",
    "Solution",
    "Wanted",
    "calibrate",
    "dumps",
    "load",
    "loads",
    "new_design",
    "predict",
    "save",
    "solve",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import importlib

    value = getattr(importlib.import_module(home), name)
    globals()[name] = value
    return value
