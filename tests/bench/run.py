"""How fast the program is, and against what: ``python tests/bench/run.py [--json]``.

Prints a table, or with ``--json`` one object. The plain reference (tests/reference) is a scalar
transmission line with a scanning and bracketing root finder and scipy's finite-difference least squares;
it does the same task from the same start, openings acting on each other through the outside air, and both
must land on the same frequencies. Both are timed by the processor, whole processes and the screen by the
clock; the screen in a pseudo-terminal, ``screen.py`` says what from and what to. ``kept.py`` keeps the ratios
over time.
"""

from __future__ import annotations

import json
import statistics
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.solver.problem import flutes_of
from scaledesign.solver.resonance import resonances
from scaledesign.workshop.ask import solve
from scaledesign.workshop.suits import speaking, suits
from tests.bench import papers, screen, workload
from tests.bench.timing import median_processes_seconds, median_seconds, seconds
from tests.reference.bridge import plain_of
from tests.reference.design import Row, frequencies
from tests.reference.plain import cents

AGREE = 0.1
"""Cents that the two solvers may differ by."""
STARTS = 15
"""Processes of each kind, for a median."""
FLUTES, TIMED = 2000, 10
"""Size of the sample, and how many of its flutes the reference is timed on."""
HALVES = 28
"""Every how many-th of the 729 fingerings the reference is timed on."""
SCALES = 10
"""Every how many-th of the 60 scales it is timed on."""


def off(found, expected) -> float:
    """Largest difference in cents."""
    return max(abs(cents(float(f), float(e))) for f, e in zip(found, expected, strict=True))


def resolve() -> dict[str, float]:
    """A warm re-solve after one edit; the first edit by the reference too."""
    before = workload.settled()
    edited = [design for _, design in workload.edits(before.design)]
    near = before.fit.resonances
    again = [median_seconds([lambda d=d: workload.resolve(d, near)] * 15) for d in edited]
    plain: list[float] = []
    reference = seconds(lambda: plain.extend(workload.plain_resolve(edited[0])))
    ours = workload.resolve(edited[0], near).resonances.frequency[0]
    whole = [median_seconds([lambda d=d: solve(d)] * 3) for d in edited]
    return {
        "solve_ms": 1e3 * statistics.median(whole),
        "resolve_ms": 1e3 * statistics.median(again),
        "resolve_ratio": reference / again[0],
        "resolve_reference_s": reference,
        "resolve_difference_cents": off(ours, plain),
    }


def predict_all() -> dict[str, float]:
    """All 64 fingerings of the flute, nothing known before."""
    flutes, fingerings = workload.every_fingering()
    return {"predict_all_ms": 1e3 * median_seconds([lambda: resonances(flutes, fingerings)] * 15)}


def sample() -> dict[str, float]:
    """Flutes as they come out of a shop, 13 rows each, started from the middle one's frequencies."""
    flutes, fingerings, middle = workload.sample(FLUTES)
    ours = median_seconds([lambda: resonances(flutes, fingerings, near=middle)] * 5)
    found = resonances(flutes, fingerings, near=middle).frequency
    rows = workload.plain_rows(workload.lowered(workload.load(workload.FILE)).problem)
    few = [plain_of(flutes, n) for n in range(TIMED)]
    plain: list[list[float]] = []
    reference = seconds(lambda: plain.extend(frequencies(flute, rows, air) for flute, air in few))
    scaled = reference * FLUTES / TIMED
    return {
        "sample_s": ours,
        "sample_2000x13_s": ours,
        "sample_ratio": scaled / ours,
        "sample_reference_s": scaled,
        "sample_reference_timed_on_flutes": TIMED,
        "sample_difference_cents": max(off(found[n], plain[n]) for n in range(TIMED)),
        "sample_lowest_hz": float(found[:TIMED].min()),
        "sample_highest_hz": float(found[:TIMED].max()),
    }


def half_holing() -> dict[str, float]:
    """Every fingering of six holes that may be half covered, in one call."""
    flutes, fingerings = workload.every_half_holing()
    ours = median_seconds([lambda: resonances(flutes, fingerings)] * 5)
    found = resonances(flutes, fingerings).frequency[0, ::HALVES]
    flute, air = plain_of(flutes)
    rows = tuple(Row(tuple(map(float, share)), 1, 1.0) for share in fingerings.share.T[::HALVES])
    plain: list[float] = []
    reference = seconds(lambda: plain.extend(frequencies(flute, rows, air)))
    scaled = reference * fingerings.count / len(rows)
    return {
        "half_729_s": ours,
        "half_729_ratio": scaled / ours,
        "half_729_reference_s": scaled,
        "half_729_reference_timed_on_fingerings": len(rows),
        "half_729_difference_cents": off(found, plain),
        "half_729_lowest_hz": float(found.min()),
        "half_729_highest_hz": float(found.max()),
    }


def which_scales() -> dict[str, float]:
    """Sixty scales on twelve tonics for six holes that may be partly open, in two registers, cold."""
    design, scales = workload.load(workload.FILE), workload.sixty()
    ours = median_seconds([lambda: suits(design, scales)] * 5)
    found = suits(design, scales)
    usable = speaking(design, found.playable)
    half = found.playable.count // 2  # the others are the same in the second register
    few = range(0, half, HALVES)
    flute, air = plain_of(flutes_of(design))
    plain: dict[int, list[float]] = {}

    def every_register() -> None:
        for one in few:
            share = tuple(map(float, found.playable.share[:, one]))
            plain[one] = workload.plain_registers(flute, share, air, 2)

    sounding = seconds(every_register) * half / len(few)
    part, worst = scales[::SCALES], []
    root = note_frequency(parse_note("C4"), design.tuning.reference)
    matching = seconds(
        lambda: worst.append(workload.plain_suits(design, found.playable, usable, part, root, found.within))
    )
    both = [
        (float(heard), expected)
        for one, pair in plain.items()
        for heard, expected in zip(found.playable.frequency[one::half][: len(pair)], pair, strict=True)
    ]
    unlike = np.abs(np.abs(found.worst[::SCALES]) - np.abs(worst[0]))
    scaled = sounding + matching * len(scales) / len(part)
    return {
        "suits_60x12_s": ours,
        "suits_60x12_ratio": scaled / ours,
        "suits_60x12_reference_s": scaled,
        "suits_60x12_reference_timed_on_fingerings": len(few),
        "suits_60x12_reference_timed_on_scales": len(part),
        "suits_60x12_difference_cents": max(off(*zip(*both, strict=True)), float(unlike.max())),
    }


def interaction() -> dict[str, float]:
    """What it costs that openings act on each other: best times, with and without by turns."""
    fingerings = workload.fifteen()
    ratios = {}
    for name, count, turns in (("interaction_ratio", 1, 30), ("interaction_100_ratio", 100, 8)):
        flutes, _, _ = workload.sample(count)
        both = (flutes, workload.each_alone(flutes))
        times = [[seconds(lambda f=f: resonances(f, fingerings)) for f in both] for _ in range(turns)]
        together, alone = (min(column) for column in zip(*times, strict=True))
        ratios[name] = together / alone
    return ratios


def on_screen() -> dict[str, float]:
    """The grid in a pseudo-terminal, and its table alone."""
    return {
        **screen.first_paint(),
        **screen.key_to_paint(),
        **screen.key_to_paint_wide(),
        **screen.repaint(),
    }


def processes() -> dict[str, float]:
    """Whole processes, from the shell's point of view, by turns."""
    taken = median_processes_seconds(
        {
            "predict_s": ("-m", "scaledesign", "predict", str(workload.FILE)),
            "predict_bare_s": ("-c", "import numpy"),
            "python_s": ("-c", "pass"),
            "import_s": ("-c", "import scaledesign"),
        },
        count=STARTS,
    )
    return {**taken, "predict_ratio": taken["predict_s"] / taken["predict_bare_s"]}


TABLE = (
    ("resolve_ms", "re-solve after one edit: 6 holes, 13 rows, 12 free, warm", "ms"),
    ("resolve_ratio", "   the plain reference takes longer by", "times"),
    ("resolve_reference_s", "   that is", "s"),
    ("resolve_difference_cents", "   and lands on the same frequencies within", "cents"),
    ("solve_ms", "solve of the same: cold, bits, what binds", "ms"),
    ("predict_all_ms", "all 64 fingerings of a six-hole flute, cold", "ms"),
    ("sample_s", f"{FLUTES} flutes x 13 fingerings", "s"),
    ("sample_ratio", "   the plain reference takes longer by", "times"),
    ("sample_reference_s", f"   that is ({TIMED} flutes timed, scaled to {FLUTES})", "s"),
    ("sample_difference_cents", "   and differs by at most", "cents"),
    ("sample_lowest_hz", "   frequencies compared: from", "Hz"),
    ("sample_highest_hz", "   to", "Hz"),
    ("half_729_s", "all 729 open, half and closed fingerings of six holes, cold", "s"),
    ("half_729_ratio", "   the plain reference takes longer by", "times"),
    ("half_729_reference_s", f"   that is (every {HALVES}th timed, scaled to 729)", "s"),
    ("half_729_difference_cents", "   and differs on those by at most", "cents"),
    ("half_729_lowest_hz", "   frequencies compared: from", "Hz"),
    ("half_729_highest_hz", "   to", "Hz"),
    ("suits_60x12_s", "60 scales x 12 tonics on 1458 fingerings, from the design on", "s"),
    ("suits_60x12_ratio", "   the plain reference takes longer by", "times"),
    ("suits_60x12_reference_s", f"   that is (every {HALVES}th fingering, {SCALES}th scale timed)", "s"),
    ("suits_60x12_difference_cents", "   and differs on those by at most", "cents"),
    ("interaction_ratio", "openings that act on each other, over each alone: 1 x 15", "times"),
    ("interaction_100_ratio", "   100 flutes x 15", "times"),
    ("predict_s", "python -m scaledesign predict FILE, whole process", "s"),
    ("predict_bare_s", "   Python importing numpy, whole process", "s"),
    ("predict_ratio", "   predicting takes longer by", "times"),
    ("python_s", "   Python doing nothing, whole process", "s"),
    ("import_s", 'python -c "import scaledesign", whole process', "s"),
    *papers.lines(),
    ("first_paint_s", "scaledesign grid --example, start to first painted grid", "s"),
    ("first_numbers_s", "   and to the numbers in it", "s"),
    ("first_paint_bare_s", "   Python importing Textual and numpy, whole process", "s"),
    ("first_paint_ratio", "   the grid takes longer by", "times"),
    ("key_to_paint_ms", "key to last repainted byte, re-solve between: 6 holes, 15 rows", "ms"),
    ("key_to_paint_p95_ms", "   95 in 100 within", "ms"),
    ("key_to_paint_kb", "   bytes painted", "kB"),
    ("key_to_settled_p95_ms", "   bits, reasons and sound too, 95 in 100 within", "ms"),
    ("held_key_to_paint_ms", "   key held down: from its last press", "ms"),
    ("key_to_paint_200x16_ms", "key to paint, holes held still: 16 holes, 200 rows", "ms"),
    ("repaint_200x16_ms", "   all lines in view of its table made anew", "ms"),
    ("repaint_200x16_ratio", "   Textual's DataTable, given the same cells, takes longer by", "times"),
)


def main(arguments: list[str]) -> int:
    """Run everything; 1 where reference and package disagree."""
    figures = {
        **resolve(), **predict_all(), **sample(), **half_holing(), **which_scales(), **interaction(),
        **processes(), **papers.papers(), **on_screen(),
    }  # fmt: skip
    if arguments == ["--json"]:
        print(json.dumps(figures, indent=2))
    else:
        for key, text, unit in TABLE:
            print(f"{text:<64} {figures[key]:>10.4g} {unit}")
    agree = max(figure for key, figure in figures.items() if key.endswith("_difference_cents")) < AGREE
    if not agree:
        print(f"Reference and package differ by more than {AGREE} cent.", file=sys.stderr)
    return 0 if agree else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
