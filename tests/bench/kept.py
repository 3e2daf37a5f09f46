"""Ratios of the bench over time: ``python tests/bench/kept.py [PART ...] [--show | --keep]``.

A ratio is how many times longer the plain reference takes for the same work in the same run, or another cost
over its own base: whatever the machine, it should stay what it was. Measures them, shows what was kept in
``kept.csv`` (a line a run: day, commit, versions, ratios; of the machine nothing), and holds today's
against the median of the last ``LAST`` kept: one that is worse by more than its factor is named, and the exit
code is 3. ``--keep`` adds today's line; ``--show`` only shows. PART: ``PARTS`` says which there are; all but
``SLOW``, where none is named.
"""

from __future__ import annotations

import csv
import io
import statistics
import subprocess
import sys
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

FILE = Path(__file__).parent / "kept.csv"
RATIOS = {
    "resolve_ratio": ("re-solve after an edit", "more", 1.6),
    "sample_ratio": ("2000 sampled flutes", "more", 1.6),
    "half_729_ratio": ("729 fingerings", "more", 1.6),
    "suits_60x12_ratio": ("scales that suit", "more", 1.6),
    "interaction_ratio": ("openings that hear each other", "less", 1.5),
    "interaction_100_ratio": ("the same, 100 flutes", "less", 1.5),
    "repaint_200x16_ratio": ("a table of 200 rows painted", "more", 2.0),
    "first_paint_ratio": ("first paint over bare imports", "less", 1.5),
    "outputs_ratio": ("slowest output over predict", "less", 1.5),
}
"""What each is, whether more or less of it is better, and the factor by which it may be worse."""
KEYS = ("date", "commit", "python", "numpy")
PARTS = ("resolve", "sample", "halves", "suits", "interaction", "repaint", "outputs", "paint")
SLOW = ("outputs", "paint")
"""Whole processes and terminals, by the clock: some minutes, on a machine with nothing else to do."""
LAST, FEWEST = 7, 3
"""How many kept runs the median is of; fewer of them say nothing."""
WORSE = 3
"""Exit code where one is worse."""
BARS = "▁▂▃▄▅▆▇█"

Line = Mapping[str, str]
Figures = Mapping[str, float]


def kept(text: str) -> list[Line]:
    """The runs in a kept file, the oldest first."""
    return list(csv.DictReader(io.StringIO(text)))


def added(text: str, line: Line) -> str:
    """The file with one run more; a column that is new stays empty in the runs before."""
    lines = [*kept(text), line]
    keys = [*KEYS, *(name for name in RATIOS if any(each.get(name) for each in lines))]
    out = io.StringIO()
    writer = csv.DictWriter(out, keys, restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(lines)
    return out.getvalue()


def past(lines: Sequence[Line], name: str) -> list[float]:
    """A ratio in every run that has it."""
    return [float(line[name]) for line in lines if line.get(name)]


def worse_by(name: str, now: float, lines: Sequence[Line]) -> float | None:
    """Factor by which a ratio is worse than the median of the last ones, less than 1 where it is better.

    None where too few are kept.
    """
    before = past(lines, name)[-LAST:]
    if len(before) < FEWEST:
        return None
    usual = statistics.median(before)
    return usual / now if RATIOS[name][1] == "more" else now / usual


def complaints(now: Figures, lines: Sequence[Line]) -> list[str]:
    """A sentence for every ratio that is worse by more than its factor."""
    found = []
    for name, value in now.items():
        words, _, allowed = RATIOS[name]
        by = worse_by(name, value, lines)
        if by is not None and not by <= allowed:
            usual = statistics.median(past(lines, name)[-LAST:])
            found.append(
                f"{name} ({words}) is {value:.3g} and was {usual:.3g}: worse by {by:.2f}, at most {allowed:g}"
            )
    return found


def sparkline(values: Sequence[float]) -> str:
    """Values as bars between their least and most."""
    low, high = min(values), max(values)
    span = (high - low) or 1.0
    return "".join(BARS[round((value - low) / span * (len(BARS) - 1))] for value in values)


def shown(lines: Sequence[Line], now: Figures) -> str:
    """The history as a table: a line a ratio."""
    rows = [f"{'':<32}{'better':>7}{'runs':>6}{'median':>9}{'last':>9}{'now':>9}  "]
    for name, (words, better, _) in RATIOS.items():
        values = past(lines, name)
        if not values and name not in now:
            continue
        usual = f"{statistics.median(values[-LAST:]):.3g}" if values else ""
        last = f"{values[-1]:.3g}" if values else ""
        today = f"{now[name]:.3g}" if name in now else ""
        every = [*values, *([now[name]] if name in now else [])]
        rows.append(
            f"{words:<32}{better:>7}{len(values):>6}{usual:>9}{last:>9}{today:>9}  {sparkline(every[-30:])}"
        )
    return "\n".join(rows)


def measured(parts: Sequence[str]) -> dict[str, float]:
    """Today's ratios."""
    from tests.bench import papers, run, screen

    made = (
        run.resolve, run.sample, run.half_holing, run.which_scales, run.interaction, screen.repaint,
        papers.papers, screen.first_paint,
    )  # fmt: skip
    figures: dict[str, float] = {}
    for part, measure in zip(PARTS, made, strict=True):
        if part in parts:
            figures |= measure()
    return {name: figures[name] for name in RATIOS if name in figures}


def line_of(now: Figures) -> Line:
    """Today's line."""
    import numpy

    asked = ["git", "rev-parse", "--short=10", "HEAD"]
    commit = subprocess.run(asked, cwd=FILE.parent, capture_output=True, text=True, check=False).stdout
    return {
        "date": date.today().isoformat(),
        "commit": commit.strip(),
        "python": ".".join(map(str, sys.version_info[:3])),
        "numpy": numpy.__version__,
        **{name: f"{value:.4g}" for name, value in now.items()},
    }


def main(words: list[str]) -> int:
    """Measure, show, hold against what was kept."""
    text = FILE.read_text(encoding="utf-8") if FILE.exists() else ""
    lines = kept(text)
    parts = [word for word in words if word in PARTS] or [part for part in PARTS if part not in SLOW]
    now = {} if "--show" in words else measured(parts)
    print(shown(lines, now))
    said = complaints(now, lines)
    for sentence in said:
        print(sentence, file=sys.stderr)
    if now and "--keep" in words:
        FILE.write_text(added(text, line_of(now)), encoding="utf-8", newline="\n")
    return WORSE if said else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
