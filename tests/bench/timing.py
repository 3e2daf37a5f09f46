"""Stopwatch: medians of calls in this process and of whole processes."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent


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


def median_process_seconds(*arguments: str, count: int = 7) -> float:
    """Median of whole Python processes, start to exit; one more is run first to warm the disk."""
    command = [sys.executable, *arguments]

    def run() -> None:
        subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)

    run()
    return statistics.median(clock_seconds(run) for _ in range(count))
