"""How long each output takes as a whole process, and how much longer than predicting the same flute.

Apart from run.py, which prints. Every process reads an example, works it out and writes one file; what of
that is paper is seen from the ratio to ``predict``, which reads and works out the same and writes nothing.
Where other work goes on beside it, the seconds of the processor say more than those of the clock.
"""

from __future__ import annotations

import resource
import tempfile
from pathlib import Path

from scaledesign.outputs.kinds import OUTPUTS
from tests.bench.timing import median_process_seconds

AIM = 2.0
"""Seconds that each may take on a machine with nothing else to do."""
EXAMPLE = "marsh-wren"
TURNS = 3
MADE = tuple((output.kind, form) for output in OUTPUTS for form in output.forms)


def papers() -> dict[str, float]:
    """Seconds of every kind in every form and of all at once, and the longest over predicting alone."""
    figures: dict[str, float] = {}
    worked: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        for kind, form in MADE:
            words = ("--only", kind, "--forms", form, "--into", folder)
            if kind != "notes":
                words = ("-o", str(Path(folder) / f"made.{form}"))
            command = "print" if kind == "notes" else kind
            before = _processor()
            figures[f"{kind}_{form}_s"] = _seconds(command, *words, "--force")
            worked.append((_processor() - before) / (TURNS + 1))
        figures["print_all_s"] = _seconds("print", "--into", folder, "--force")
    alone = _seconds("predict")
    figures["outputs_ratio"] = max(figures[f"{kind}_{form}_s"] for kind, form in MADE) / alone
    figures["outputs_processor_s"] = max(worked)
    figures["outputs_within_aim"] = sum(figures[f"{kind}_{form}_s"] < AIM for kind, form in MADE)
    return figures


def lines() -> tuple[tuple[str, str, str], ...]:
    """Lines of the table."""
    made = tuple(
        (f"{kind}_{form}_s", f"scaledesign {kind} as .{form}, whole process", "s") for kind, form in MADE
    )
    return (
        *made,
        ("print_all_s", "scaledesign print: all that is usual, into one folder", "s"),
        ("outputs_ratio", "   the slowest takes longer than predict by", "times"),
        ("outputs_processor_s", "   and keeps the processor busy for", "s"),
        ("outputs_within_aim", f"   of {len(MADE)} forms within {AIM:g} s", ""),
    )


def _processor() -> float:
    """Seconds that all processes started from here have kept the processor busy."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _seconds(command: str, *words: str) -> float:
    return median_process_seconds("-m", "scaledesign", command, "--example", EXAMPLE, *words, count=TURNS)
