"""How much a maker's book is worth: ``python tests/bench/book.py [--json] [--makers 200] [--flutes 20]``.

Invented makers in five worlds (``tests/workshop/makers.py``), each with a folder of finished flutes whose
bare tubes were blown with everything hidden and calibrated; then the voicing of flutes that are still to be
made, with and without the book. ``ratio`` is the root mean square error with the book over that without,
over the worlds where there is something to learn of every mouth; ``within_1`` and ``within_2`` are the
shares of flutes that lie within one and two of the ± that the book states, over all worlds. Last, how long
a large folder takes.
"""

from __future__ import annotations

import json
import os
import re
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from scaledesign.locations import HOME_VARIABLE
from scaledesign.model.document import Voicing
from scaledesign.workshop.book import read_book
from scaledesign.workshop.book_advice import advise
from tests.workshop.makers import LEARNABLE, WORLDS, filled, maker, tube

MAKERS, FLUTES, NEXT = 200, 20, 5
"""How many makers, finished flutes of each, and flutes of each that are still to be made."""
LARGE = 2000
"""Designs of a large folder."""
SOME = (1, 3, 7)
"""Smaller books that are tried too, by their first flutes."""


def trial(number: int, count: int) -> tuple[int, list[list[tuple[float, float, float]]]]:
    """One maker: world, and for each size of the book each next flute's (without, with, ±), in m."""
    world = number % len(WORLDS)
    random = np.random.default_rng(1000 + number)
    who = maker(WORLDS[world], random)
    with tempfile.TemporaryDirectory() as home:
        os.environ[HOME_VARIABLE] = home
        folder = Path(home) / "flutes"
        folder.mkdir()
        filled(folder, who, count, random)
        whole = read_book(folder)
    coming = [tube(random) for _ in range(NEXT)]
    truth = [who.truth(design, random) for design in coming]
    found = []
    for size in (*SOME, count, 0):
        book = type(whole)(folder, whole.flutes[: size or count])
        asked = coming if size else [replace(each, voicing=Voicing()) for each in coming]
        found.append(
            [
                (
                    advice.estimate.added_length - true,
                    advice.added_length - true,
                    advice.uncertainty,
                )
                for design, true in zip(asked, truth, strict=True)
                for advice in (advise(book, design),)
            ]
        )
    return world, found


def rms(values: list[float]) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(np.square(values))))


def summary(found: list[tuple[float, float, float]]) -> dict[str, float]:
    """Of some next flutes."""
    without, with_it, stated = (list(column) for column in zip(*found, strict=True))
    far = np.abs(np.array(with_it) / np.array(stated))
    return {
        "flutes": len(found),
        "without_book_m": rms(without),
        "with_book_m": rms(with_it),
        "stated_m": rms(stated),
        "ratio": rms(with_it) / rms(without),
        "within_1": float((far < 1).mean()),
        "within_2": float((far < 2).mean()),
    }


def large(count: int) -> dict[str, float]:
    """Seconds to read a folder of so many designs, then again, and to ask it."""
    random = np.random.default_rng(7)
    with tempfile.TemporaryDirectory() as home:
        os.environ[HOME_VARIABLE] = home
        first, folder = Path(home) / "one", Path(home) / "flutes"
        first.mkdir()
        folder.mkdir()
        filled(first, maker(WORLDS[1], random), 20, random)
        texts = [path.read_text() for path in sorted(first.glob("*.toml"))]
        for number in range(count):
            when = (datetime(2000, 1, 1) + timedelta(hours=7 * number)).isoformat()
            text = re.sub(r"(?m)^when .*", f"when = {when}", texts[number % len(texts)])
            (folder / f"{number:04}.toml").write_text(text)
        times = {}
        for name in ("cold_s", "warm_s"):
            begun = time.perf_counter()
            book = read_book(folder)
            times[name] = time.perf_counter() - begun
        begun = time.perf_counter()
        advise(book, tube(random))
        times["ask_s"] = time.perf_counter() - begun
    return {"designs": count, "flutes": len(book.taught), **times}


def measured(makers: int = MAKERS, flutes: int = FLUTES, designs: int = LARGE) -> dict[str, object]:
    """Everything that is shown."""
    sizes = (*SOME, flutes, 0)
    worlds: list[list[list[tuple[float, float, float]]]] = [[[] for _ in sizes] for _ in WORLDS]
    with ProcessPoolExecutor() as pool:
        for world, found in pool.map(trial, range(makers), [flutes] * makers, chunksize=4):
            for size, each in enumerate(found):
                worlds[world][size] += each
    habits = [flute for world in worlds[:LEARNABLE] for flute in world[-2]]
    every = [flute for world in worlds for flute in world[-2]]
    return {
        "makers": makers,
        "finished_flutes": flutes,
        "ratio": summary(habits)["ratio"],
        "within_1": summary(every)["within_1"],
        "within_2": summary(every)["within_2"],
        "worlds": {world.name: summary(found[-2]) for world, found in zip(WORLDS, worlds, strict=True)},
        "smaller_books": {
            str(size): summary([flute for world in worlds[:LEARNABLE] for flute in world[number]])
            for number, size in enumerate(SOME)
        },
        "window_not_cut_yet": summary([flute for world in worlds[:LEARNABLE] for flute in world[-1]]),
        "large_folder": large(designs),
    }


def main() -> None:
    """Measure and print."""
    given = sys.argv[1:]

    def number(name: str, usual: int) -> int:
        return int(given[given.index(name) + 1]) if name in given else usual

    found = measured(number("--makers", MAKERS), number("--flutes", FLUTES), number("--designs", LARGE))
    if "--json" in given:
        print(json.dumps(found, indent=2))
        return
    print(f"{found['makers']} makers, {found['finished_flutes']} finished flutes each")
    print(f"error with the book over that without: {found['ratio']:.2f}")
    print(f"within the ± {found['within_1']:.2f}, within twice {found['within_2']:.2f}")
    for kind in ("worlds", "smaller_books"):
        for name, each in found[kind].items():  # type: ignore[attr-defined]
            print(
                f"  {name:18} {1e3 * each['without_book_m']:5.1f} -> {1e3 * each['with_book_m']:4.1f} mm, "
                f"stated {1e3 * each['stated_m']:4.1f}; ratio {each['ratio']:.2f}, "
                f"within {each['within_1']:.2f} and {each['within_2']:.2f}"
            )
    print(f"window not cut yet: {found['window_not_cut_yet']}")
    print(" ".join(f"{name} {value:.3g}" for name, value in found["large_folder"].items()))  # type: ignore[attr-defined]


if __name__ == "__main__":
    main()
