"""How time and memory grow: ``python tests/bench/growth.py [--json] [--only NAME] [--draw OUT.svg]``.

Each curve is one piece of large work at sizes in geometric steps. Time is that of the processor, the least of
some runs, so that other work on the machine hardly counts; memory is the peak of what Python and numpy ask
for during one more run (tracemalloc). The exponent p of size^p is fitted by least squares to logarithms over
the upper half of the sizes, with its standard error; an aim says what it may be. ``--only`` takes a name or
a part of one. Sizes of which one run would take longer than ``LONG`` are left out, and that is said.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import sys
import time
import tracemalloc
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from tests.bench.large_work import CURVES, Call, Curve

RUNS, ENOUGH, LONG = 9, 6.0, 30.0
"""Most runs of one size, seconds after which there are no more of them, and seconds that one may take."""
ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
"""Then the time of the processor is the work, whatever the machine has; read when numpy is loaded."""


@dataclass(frozen=True)
class Grown:
    """One curve as it was measured."""

    curve: Curve
    sizes: tuple[int, ...]
    seconds: tuple[float, ...]
    bytes: tuple[int, ...]

    @property
    def time_exponent(self) -> tuple[float, float]:
        """And its standard error."""
        return exponent(self.sizes, self.seconds)

    @property
    def memory_exponent(self) -> tuple[float, float]:
        """And its standard error."""
        return exponent(self.sizes, self.bytes)

    @property
    def met(self) -> bool:
        """Whether both exponents are within the aim, by their standard error."""
        return all(p - error <= self.curve.aim for p, error in (self.time_exponent, self.memory_exponent))


def exponent(sizes: tuple[int, ...], values: tuple[float, ...]) -> tuple[float, float]:
    """Exponent of the upper half of a curve, and its standard error; NaN for a single size."""
    upper = slice(min(len(sizes) // 2, max(0, len(sizes) - 3)), None)
    x, y = np.log(np.array(sizes[upper], float)), np.log(np.array(values[upper], float))
    if len(x) < 2:
        return float("nan"), float("nan")
    x = x - x.mean()
    slope = float(x @ y / (x @ x))
    left = y - y.mean() - slope * x
    error = np.sqrt(left @ left / (len(x) - 2) / (x @ x)) if len(x) > 2 else np.nan
    return slope, float(error)


def measured(curve: Curve) -> Grown:
    """Time and memory of every size.

    The sizes take turns, so that a machine that changes its speed does so to all of them.
    """
    with ExitStack() as open_works:
        calls: dict[int, Call] = {}
        times: dict[int, list[float]] = {}
        for size in curve.sizes:
            if len(times) > 1:
                last = max(times)
                if times[last][0] * (size / last) ** max(1.0, curve.aim) > LONG:
                    print(
                        f"{curve.name}: sizes from {size} on are left out, they would take too long",
                        file=sys.stderr,
                    )
                    break
            calls[size] = open_works.enter_context(curve.work(size))
            if not times:
                calls[size]()  # imports, and what is kept once a process
            times[size] = [once(calls[size])]
        for _ in range(RUNS - 1):
            for size, taken in times.items():
                if sum(taken) < ENOUGH:
                    taken.append(once(calls[size]))
        peaks = tuple(peak(call) for call in calls.values())
    return Grown(curve, tuple(times), tuple(min(taken) for taken in times.values()), peaks)


def once(call: Call) -> float:
    """Processor time of one run, s."""
    gc.collect()
    begun = time.process_time()
    call()
    return time.process_time() - begun


def peak(call: Call) -> int:
    """Most bytes that were held at once during one run, beyond those before it."""
    tracemalloc.start()
    try:
        call()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def chosen(only: str) -> Iterator[Curve]:
    """Curves that are asked for: the one of that name, else all that have it in theirs."""
    exact = any(curve.name == only for curve in CURVES)
    return (curve for curve in CURVES if (only == curve.name if exact else only in curve.name))


def row(grown: Grown) -> str:
    """A line of the table."""
    (p, error), (m, off) = grown.time_exponent, grown.memory_exponent
    span = f"{grown.sizes[0]} to {grown.sizes[-1]}"
    return (
        f"{grown.curve.name:<26} {span:>14} {grown.seconds[-1]:>9.3g} s {p:>6.2f} ± {error:.2f}"
        f" {grown.bytes[-1] / 1e6:>8.1f} MB {m:>z6.2f} ± {off:.2f} {grown.curve.aim:>5.1f}"
        f"  {'' if grown.met else 'over the aim'}"
    )


def as_object(grown: Grown) -> dict[str, object]:
    """One curve for a program."""
    (p, error), (m, off) = grown.time_exponent, grown.memory_exponent
    return {
        "name": grown.curve.name, "counted": grown.curve.counted, "sizes": grown.sizes,
        "seconds": grown.seconds, "bytes": grown.bytes, "time_exponent": p, "time_exponent_error": error,
        "memory_exponent": m, "memory_exponent_error": off, "aim": grown.curve.aim, "why": grown.curve.why,
        "met": grown.met,
    }  # fmt: skip


def main() -> int:
    """Measure, print, draw; 1 where an exponent is over its aim."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--json", action="store_true")
    parser.add_argument(
        "--only", metavar="NAME", default="", help="a curve, or those with that in their name"
    )
    parser.add_argument("--draw", metavar="OUT.svg", type=Path, help="write a picture of the curves")
    args = parser.parse_args()
    found = []
    if not args.json:
        print(f"{'':<26} {'sizes':>14} {'largest':>11} {'exponent':>13} {'peak':>11} {'exponent':>13}   aim")
    for curve in chosen(args.only):
        grown = measured(curve)
        found.append(grown)
        print(row(grown), file=sys.stderr if args.json else sys.stdout, flush=True)
    if args.json:
        print(json.dumps([as_object(grown) for grown in found], indent=2))
    if args.draw:
        from tests.bench.growth_page import page

        args.draw.write_text(page(found), encoding="utf-8", newline="\n")
    return 0 if all(grown.met for grown in found) else 1


if __name__ == "__main__":
    if not ONE_THREAD.items() <= os.environ.items():
        os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, **ONE_THREAD})
    sys.exit(main())
