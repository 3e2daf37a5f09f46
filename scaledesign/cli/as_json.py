"""Predictions and designs as JSON for programs: SI, the unit in every key.

Apart so that all commands write the same names. Numbers are not rounded; text is for people and
stands elsewhere.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.paper.layout import wood_beside
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import voicing_of

if TYPE_CHECKING:
    from scaledesign.solver.verdict import Obstacle
    from scaledesign.workshop.calibration import Learnt, Residual
    from scaledesign.workshop.next_reading import NextReading


def print_json(value: Mapping[str, object]) -> None:
    """Print one object on stdout."""
    print(json_text(value))


def json_text(value: Mapping[str, object]) -> str:
    """One object as text; what is not a number has no place in it."""
    return json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False)


def design_object(
    design: Design, prediction: Prediction, notes: Sequence[str], placed: Sequence[str] = ()
) -> dict[str, object]:
    """The tube, its holes, its rows and what is to be said about them."""
    s, mouth = prediction.sensitivity, voicing_of(design)
    return {
        "name": design.name,
        "tube": {
            "length_m": design.tube.length,
            "length_cents_per_m": [float(value) for value in s.length],
            "bore_cents_per_m": [float(value) for value in s.bore],
            "wall_cents_per_m": [float(value) for value in s.wall],
        },
        "voicing": {
            "added_length_m": mouth.added_length,
            "uncertainty_m": mouth.uncertainty,
            "drift_m_per_khz2": mouth.drift,
            "drift_uncertainty_m_per_khz2": mouth.drift_uncertainty,
            "cavity_m": design.voicing.cavity,
            "usual_cavity_m": mouth.cavity,
            "usual_cavity_uncertainty_m": mouth.cavity_uncertainty,
            "basis": mouth.basis,
            "calibrated": prediction.calibrated,
            "added_length_cents_per_m": [float(value) for value in s.added_length],
        },
        "temperature_cents_per_k": [float(value) for value in s.temperature],
        "holes": hole_objects(design, prediction, placed),
        "rows": row_objects(design, prediction),
        "notes": list(notes),
    }


def reading_object(reading: Residual) -> dict[str, object]:
    """One reading beside the model, before anything was learnt and after."""
    return {
        "reading": reading.label,
        "said": reading.said,
        "frequency_hz": reading.read,
        "expected_hz": reading.expected,
        "before_cents": reading.before,
        "after_cents": reading.after,
        "odd": reading.odd,
    }


_LEARNT_UNITS = {"drift": "m_per_khz2", "warmth": "k"}


def learnt_object(learnt: Learnt) -> dict[str, object]:
    """One thing that was learnt, its ± before and after."""
    unit = _LEARNT_UNITS.get(learnt.name, "m")
    return {
        f"value_{unit}": learnt.value,
        f"uncertainty_{unit}": learnt.after,
        f"uncertainty_before_{unit}": learnt.before,
    }


def next_object(reading: NextReading) -> dict[str, object]:
    """A note that could be blown next; "row" is null for the bare tube."""
    return {
        "reading": reading.label,
        "row": None if reading.row is None else reading.row + 1,
        "register": reading.register,
        "expected_hz": reading.expected,
        "mean_uncertainty_cents": reading.now,
        "mean_uncertainty_after_cents": reading.then,
    }


def obstacle_objects(obstacles: Sequence[Obstacle]) -> list[dict[str, object]]:
    """What keeps which row (counted from 1) off its note, and the key of the file that would free it."""
    return [
        {
            "row": each.row + 1,
            "kind": each.kind,
            "holes": [hole + 1 for hole in each.holes],
            "key": each.key,
            "sentence": each.sentence,
        }
        for each in obstacles
    ]


def hole_objects(
    design: Design, prediction: Prediction, placed: Sequence[str] = ()
) -> list[dict[str, object]]:
    """One object a hole, in the file's order."""
    bits = bit_set(design.shop.bits)
    objects: list[dict[str, object]] = []
    for i, hole in enumerate(design.holes):
        bit = bits.nearest(hole.diameter)
        objects.append(
            {
                "hole": i + 1,
                "at_m": hole.at,
                "diameter_m": hole.diameter,
                "side_degrees": hole.side,
                "finger": hole.finger,
                "bit_m": bit,
                "bit": bits.label(bit, design.units),
                "wood_m": wood_beside(design, i),
                "placed": placed[i] if placed else None,
                "at_cents_per_m": [float(row[i]) for row in prediction.sensitivity.at],
                "diameter_cents_per_m": [float(row[i]) for row in prediction.sensitivity.diameter],
            }
        )
    return objects


def row_objects(design: Design, prediction: Prediction) -> list[dict[str, object]]:
    """One object a row, in the file's order."""
    return [
        {
            "row": i + 1,
            "note": row.note,
            "fingering": format_fingering(row.holes),
            "register": row.register,
            "role": row.role,
            "target_hz": float(prediction.target[i]),
            "frequency_hz": float(prediction.frequency[i]),
            "cents": float(prediction.cents[i]),
            "uncertainty_cents": float(prediction.uncertainty[i]),
            "common_cents": float(prediction.common[i]),
            "rest_cents": float(prediction.rest[i]),
        }
        for i, row in enumerate(design.rows)
    ]
