"""Stopwatch: medians of calls in this process and of whole processes."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
ENVIRONMENT = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
"""Of what is timed. Installed, its modules are compiled; here the run that warms the disk compiles them."""


def seconds(call: Callable[[], object]) -> float:
    """How long one call keeps the processor busy: whatever else goes on beside it."""
    begin = time.process_time()
    call()
    return time.process_time() - begin


def clock_seconds(call: Callable[[], object]) -> float:
    """How long one call takes by the clock."""
    begin = time.perf_counter()
    call()
    return time.perf_counter() - begin


def median_seconds(calls: Iterable[Callable[[], object]]) -> float:
    """Median over calls, each timed once: seconds of the processor."""
    return statistics.median(seconds(call) for call in calls)


def median_process_seconds(*arguments: str, count: int = 7, warm: bool = True) -> float:
    """Median of whole Python processes, start to exit; ``warm``: one more is run first."""
    return median_processes_seconds({"": arguments}, count=count, warm=warm)[""]


def median_processes_seconds(
    asked: Mapping[str, Sequence[str]], *, count: int, warm: bool = True
) -> dict[str, float]:
    """Medians of several whole Python processes, run by turns: what else the machine does meets all alike."""

    def run(arguments: Sequence[str]) -> None:
        command = [sys.executable, *arguments]
        subprocess.run(command, cwd=ROOT, env=ENVIRONMENT, check=True, stdout=subprocess.DEVNULL)

    for arguments in asked.values() if warm else ():
        run(arguments)
    times: dict[str, list[float]] = {name: [] for name in asked}
    for _ in range(count):
        for name, arguments in asked.items():
            times[name].append(clock_seconds(lambda arguments=arguments: run(arguments)))
    return {name: statistics.median(taken) for name, taken in times.items()}
