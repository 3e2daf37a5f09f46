"""Solve the kept cases again: ``python -m tests.fields.make [--only NAME [FINGERING]] [--study]``.

Every case is solved on one mesh with elements of order 2, then of order 3 from there: ``coarse`` and
``fine``. ``--study`` solves those of STUDIED on more meshes, to show the error of ``fine``: one layer less
at the edges of wood and one more, with what they tend to by the rate measured; half as many elements again
in bore and holes; a thicker and finer absorbing layer. One file a tube; a fingering that is there already is
left alone.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from dataclasses import asdict
from pathlib import Path
from typing import Any

import ngsolve

import scaledesign
from tests.fields import shapes
from tests.fields.cases import STUDIED, TUBES, Case, cases, document, sound_ratio
from tests.fields.shapes import mesh_of
from tests.fields.whole_tube import SOUND, Field, Resonance

DATA = Path(__file__).parent / "data"
LAYERS, ORDER = 2, 3
OTHER = {"finer": {"PER_RADIUS": 4.5}, "absorbing": {"ABSORBING": 80.0, "COARSE": 25.0}}
"""What is changed in ``shapes`` by a study."""


def guesses(case: Case) -> list[float]:
    """Hz, of registers 1 and 2: what the program says."""
    prediction = scaledesign.predict(scaledesign.loads(document(case)), losses=False)
    return [float(f) * sound_ratio() for f in prediction.frequency]


def meshed(case: Case, layers: int = LAYERS) -> ngsolve.Mesh:
    """For every order of its elements."""
    return mesh_of(TUBES[case.tube], case.shares, layers=layers, order=ORDER)


def solve(case: Case, mesh: ngsolve.Mesh, near: list[float], order: int = ORDER) -> list[Resonance]:
    """Registers 1 and 2 on one mesh."""
    return [Field(TUBES[case.tube], mesh, nominal=f, order=order).resonance(f) for f in near]


def plain(found: list[Resonance]) -> dict[str, list[float]]:
    """As it is written."""
    return {
        "frequency_hz": [round(one.frequency, 4) for one in found],
        "resistance": [round(one.resistance, 6) for one in found],
        "last_step_cents": [round(one.step, 4) for one in found],
    }


def frequencies(found: list[Resonance]) -> list[float]:
    """Of each register, Hz."""
    return [one.frequency for one in found]


def kept(case: Case) -> dict[str, Any]:
    """Both levels of one case."""
    same = meshed(case)
    coarse = solve(case, same, guesses(case), order=2)
    fine = solve(case, same, frequencies(coarse))
    return {"coarse": plain(coarse), "fine": plain(fine)}


def study(case: Case) -> dict[str, Any]:
    """The same case on other meshes, from the fine one's frequencies."""
    fine = read(case.tube)["fingerings"][case.fingering]["fine"]
    near = fine["frequency_hz"]
    found = {f"{n} layers": plain(solve(case, meshed(case, n), near)) for n in (1, 3)}
    limits = []
    for one, two, three in zip(
        found["1 layers"]["frequency_hz"], near, found["3 layers"]["frequency_hz"], strict=True
    ):
        rate = (three - two) / (two - one)
        limits.append(
            {"rate": round(rate, 4), "frequency_hz": round(three + (three - two) * rate / (1 - rate), 4)}
        )
    for name, changes in OTHER.items():
        before = {key: getattr(shapes, key) for key in changes}
        vars(shapes).update(changes)
        found[name] = plain(solve(case, meshed(case), near))
        vars(shapes).update(before)
    return {"2 layers": fine, **found, "limit of layers": limits}


def read(tube: str) -> dict[str, Any]:
    """The kept file of a tube, or an empty one."""
    path = DATA / f"{tube}.json"
    if path.exists():
        return json.loads(path.read_text(encoding="utf-8"))
    return {
        "library": f"NGSolve {ngsolve.__version__}",
        "sound_mm_s": SOUND,
        "geometry_mm": asdict(TUBES[tube]),
        "mesh": {"coarse": f"order 2, {LAYERS} layers", "fine": f"order {ORDER}, {LAYERS} layers"},
        "fingerings": {},
        "study": {},
    }


def write(tube: str, kind: str, fingering: str, value: dict[str, Any]) -> None:
    """Put one result into the file of its tube."""
    data = read(tube)
    data[kind][fingering] = value
    (DATA / f"{tube}.json").write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


def main() -> None:
    """Solve what is asked for and not there yet, and print the program's difference."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", nargs="+", metavar="NAME", help="a tube, and perhaps one fingering")
    parser.add_argument("--study", action="store_true", help="more meshes for those of STUDIED")
    asked = parser.parse_args()
    todo = [Case(*one) for one in STUDIED] if asked.study else cases()
    kind = "study" if asked.study else "fingerings"
    for case in todo:
        wanted = asked.only is None or [case.tube, case.fingering][: len(asked.only)] == asked.only
        if not wanted or case.fingering in read(case.tube)[kind]:
            continue
        start = time.monotonic()
        value = study(case) if asked.study else kept(case)
        write(case.tube, kind, case.fingering, value)
        line = f"{case.tube:10} {case.fingering:7}"
        if not asked.study:
            field = value["fine"]["frequency_hz"]
            off = [1200 * math.log2(g / f) for g, f in zip(guesses(case), field, strict=True)]
            line += "  field {:9.4f} {:9.4f} Hz, program {:+6.2f} {:+6.2f} cents".format(*field, *off)
        print(f"{line}  {time.monotonic() - start:.0f} s", flush=True)


if __name__ == "__main__":
    main()
