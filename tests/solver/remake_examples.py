"""Make the example designs again from what their makers had in hand and wished for.

    python -m tests.solver.remake_examples          print every row of every example, say what differs
    python -m tests.solver.remake_examples --write  write the files

The flutes are invented. A test holds the files to what this makes, to the byte.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import scaledesign
from scaledesign.extend.registry import catalogue
from scaledesign.model.document import (
    Chamber,
    Design,
    Embouchure,
    Station,
    Voicing,
    Window,
)
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Tuned
from scaledesign.model.units import parse_length
from scaledesign.solver.solution import Solution
from scaledesign.workshop.start import Wanted, blank_design, draft, laid_out

EXAMPLES = Path(scaledesign.__file__).parent / "examples"


def inches(text: str) -> float:
    """Metres of a length in inches."""
    return parse_length(text, "in")


@dataclass(frozen=True)
class Plan:
    """One example: what is in hand, how the draft is changed, rows that are left out."""

    file: str
    wanted: Wanted
    change: Callable[[Design], Design]
    without: tuple[tuple[str, int], ...] = ()
    """(letters, register) of system rows that this flute leaves out."""


def _marsh_wren(design: Design) -> Design:
    return replace(
        design,
        notes="A bamboo duct flute with a slow-air chamber, held closed third hole.",
        tube=replace(
            design.tube, blank=0.420, avoid=((0.171, 0.176),), chamber=Chamber(length=0.150, wall=0.005)
        ),
        voicing=Voicing(window=Window(0.0048, 0.0095, 0.002, 0.012, 0.001)),
        shop=replace(design.shop, largest=0.010),
    )


def _grey_heron(design: Design) -> Design:
    return replace(
        design,
        notes="Western red cedar, routed in halves; a deep five-hole flute for a large hand.",
        tube=replace(design.tube, chamber=Chamber(length=inches("7"), wall=inches("0.25"))),
        voicing=Voicing(window=Window(inches("7/32"), inches("0.5"), inches("3/32"))),
        shop=replace(design.shop, largest=inches("0.5"), wood=inches("0.25")),
    )


def _night_heron(design: Design) -> Design:
    return replace(
        design,
        notes="A notched flute of root bamboo, four holes and a thumb hole; the notch is cut last.",
        tube=replace(design.tube, avoid=((0.2950, 0.2990), (0.4400, 0.4435))),
        voicing=Voicing(cavity=0.0),
        shop=replace(design.shop, largest=0.012, smallest=0.006),
    )


def _reed_bunting(design: Design) -> Design:
    return replace(
        design,
        notes="A turned maple transverse flute, keyless, cylindrical.",
        voicing=Voicing(cavity=0.015, embouchure=Embouchure(0.0115, 0.0100, 0.0040, 0.33)),
        shop=replace(design.shop, largest=0.0115, smallest=0.005),
    )


def _dust_lark(design: Design) -> Design:
    wide, narrow = inches("0.69"), inches("0.61")
    return replace(
        design,
        notes="Cane that narrows to the foot: bore measured at three places with a stick gauge.",
        tube=replace(
            design.tube,
            bore=(Station(0.0, wide), Station(inches("7"), inches("0.66")), Station(inches("13"), narrow)),
            wall=(Station(0.0, inches("0.125")), Station(inches("13"), inches("0.105"))),
            avoid=((inches("6.0"), inches("6.15")),),
        ),
        shop=replace(design.shop, largest=inches("0.42"), smallest=inches("3/16"), wood=inches("3/16")),
    )


PLANS = (
    Plan(
        "marsh-wren.toml",
        Wanted(bore=0.0159, wall=0.0038, key="A4", scale="pentatonic minor", system="six-hole pentatonic",
               hand="medium", bits="metric 0.5", material="bamboo", name="Marsh wren"),
        _marsh_wren,
        without=(("XXXXOX", 1),),
    ),
    Plan(
        "grey-heron.toml",
        Wanted(bore=inches("0.875"), wall=inches("0.1875"), key="F#4", scale="pentatonic minor",
               system="five-hole pentatonic", hand="large", bits="inch 1/64", material="western red cedar",
               name="Grey heron", units="in"),
        _grey_heron,
        without=(("XXXOX", 1),),
    ),
    Plan(
        "night-heron.toml",
        Wanted(bore=0.0190, wall=0.0045, key="D4", scale="pentatonic minor", system="four-hole-and-thumb",
               mouth="notch", hand="large", bits="metric 0.5", material="bamboo", name="Night heron"),
        _night_heron,
        without=(("XXXOX", 1), ("XXOXX", 1)),
    ),
    Plan(
        "reed-bunting.toml",
        Wanted(bore=0.0180, wall=0.0040, key="G4", scale="major", system="six-hole diatonic",
               mouth="transverse", hand="medium", bits="metric 0.5", material="maple", name="Reed bunting"),
        _reed_bunting,
    ),
    Plan(
        "dust-lark.toml",
        Wanted(bore=inches("0.69"), wall=inches("0.125"), key="G4", scale="dorian",
               system="six-hole-and-thumb", mouth="rim", hand="medium", bits="inch 1/64", material="cane",
               name="Dust lark", units="in"),
        _dust_lark,
    ),
)  # fmt: skip


def make(plan: Plan) -> Solution:
    """Lay the example out from nothing and solve it until it rests."""
    found = catalogue()
    wanted = plan.wanted
    scale, tonic = found.scale(wanted.scale), parse_note(wanted.key)
    rows = found.rows(wanted.system, scale, tonic, 440.0)
    rows = tuple(row for row in rows if ("".join(row.holes), row.register) not in plan.without)
    tuned = Tuned(scale, tonic, 440.0)
    target = tuple(tuned.target(row.note) for row in rows)
    design = draft(plan.change(blank_design(wanted)), found.system(wanted.system), rows, target)
    return laid_out(design, target)


def main() -> int:
    """Print every example; with --write, write it."""
    different = 0
    for plan in PLANS:
        solution = make(plan)
        path = EXAMPLES / plan.file
        text = scaledesign.dumps(solution.design)
        if "--write" in sys.argv:
            path.write_text(text, encoding="utf-8")
        same = path.exists() and path.read_text(encoding="utf-8") == text
        different += not same
        print(f"{plan.file}: {len(solution.design.rows)} rows, {'as made' if same else 'DIFFERS'}")
        for hole, placed in zip(solution.design.holes, solution.placed, strict=True):
            print(f"  {hole.finger:3} {hole.at * 1e3:7.2f} mm  diameter {hole.diameter * 1e3:6.3f}  {placed}")
        for row, cents in zip(solution.design.rows, solution.prediction.cents, strict=True):
            print(f"  {row.note:5}{''.join(row.holes):8} reg {row.register} {row.role:10} {cents:+7.2f}")
        for note in solution.notes:
            print("  -", note)
    return 1 if different else 0


if __name__ == "__main__":
    raise SystemExit(main())
