"""Does the drill plan bring flutes into tune? ``python tests/bench/simulated_maker.py --json [--flutes N]``.

Draws hidden flutes (``hidden_flute.py`` tells what they hold) of many designs in turn (``kinds.py``), has
each built by three makers (``makers.py``) and listens to what truly came of it. Nothing that the truth is
made of is known to the plan. ``--minutes M`` begins no flute after M minutes: ``flutes`` says how many were
built. ``--kept FILE`` goes on from there another time (of one state of the program only).

    flutes                  how many
    notes_within_5_cents    share of the counted notes of the first register, the lowest too, that end
                            within 5 cents of what the scale asks for
    holes_overshot          share of the holes that a note tells of whose note ends above +5 cents
    steps_per_hole          everything the plan asks for from the first hole on, work and readings, over
                            holes
    straight_..., thumb_... the first three for the other makers

Extra: ``more_days`` a flute that the plan asks for, ``holes_ever_filled`` and ``work_per_hole``,
``readings_per_hole``; ``cents_p50`` and ``cents_p95`` of how far notes are off, ``cents_worst``,
``cents_mean`` (signed); ``second_register_within_15_cents`` over all rows of the second register, which no
drilling can choose; ``capped`` (left after makers.CAP steps) and ``failed`` flutes, which count as they
stand; ``kinds``: the same by kind of flute. A note that does not speak is 600 cents off.
"""

from __future__ import annotations

import argparse
import json
import math
import multiprocessing
import os
import sys
import time
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))
import numpy as np

from scaledesign.model.document import Design
from scaledesign.workshop import ask
from tests.bench import kinds, makers
from tests.bench.hidden_flute import CENT, HiddenFlute, drawn
from tests.bench.timing import seconds

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")  # for the processes to come: one flute, one core

MUTE = 600.0
WITHIN, WITHIN_SECOND = 5.0, 15.0
MAKERS = {"": makers.follow, "straight_": makers.straight, "thumb_": makers.thumb}


def truth(design: Design, flute: HiddenFlute, rows: list[int]) -> list[float]:
    """Cents by which rows of the flute as it stands are off."""
    target = ask.targets(design)
    found = []
    for i in rows:
        row = design.rows[i]
        hertz = flute.plays(row.holes, row.register, design.air.temperature, half=row.open_share)
        found.append(CENT * np.log(hertz / target[i]) if np.isfinite(hertz) else MUTE)
    return [float(np.clip(cents, -MUTE, MUTE)) for cents in found]


def judged(design: Design, made: makers.Made, seconds_taken: float) -> dict:
    """One flute by one maker, in plain numbers."""
    rows = design.rows
    first = [i for i, row in enumerate(rows) if row.counts and row.register == 1]
    second = [i for i, row in enumerate(rows) if row.weight > 0 and row.register == 2]
    cents = dict(zip(first, truth(design, made.flute, first), strict=True))
    told = [makers.told_by(design, h) for h in range(len(design.holes))]
    return {
        "cents": [cents[i] for i in first],
        "second": truth(design, made.flute, second),
        "holes": [cents[rows.index(row)] for row in told if row is not None],
        "count": len(design.holes),
        "steps": made.steps, "work": made.work, "readings": made.readings, "filled": made.filled,
        "days": made.days, "capped": made.capped, "failed": made.failed, "seconds": seconds_taken,
    }  # fmt: skip


def one(task: tuple[int, int, str, Design]) -> dict:
    """One hidden flute, built by each maker: same wood and mouth, each with his own luck of the hand."""
    number, seed, kind, design = task
    world = drawn(design, np.random.default_rng([seed, number, 0]))
    raw = 1e-3 * np.random.default_rng([seed, number, 1]).uniform(*makers.LEFT_LONG)
    result: dict = {"kind": kind, "number": number, "seed": seed}
    for place, (name, maker) in enumerate(MAKERS.items()):
        flute = makers.flute_of(design, world, raw)
        made: list[makers.Made] = []
        rng = np.random.default_rng([seed, number, 2 + place])
        taken = seconds(lambda m=maker, f=flute, r=rng, into=made: into.append(m(design, f, r)))
        result[name] = judged(design, made[0], taken)
    return result


def built(
    flutes: int,
    seed: int,
    jobs: int,
    only: list[str] | None = None,
    minutes: float = math.inf,
    kept: Path | None = None,
) -> list[dict]:
    """All flutes, by so many processes; none is begun after so many minutes, what is begun is finished.

    Those in the file ``kept`` are not built again, and each that is built goes there at once.
    """
    chosen = only or kinds.names()
    some, until = chosen[:flutes], time.monotonic() + 60 * minutes
    if jobs == 1 and kept is None:
        designs = {kind: kinds.design_of(kind) for kind in some}
        return [one(task) for task in _tasks(flutes, seed, chosen, designs)]
    done = [r for r in _kept(kept) if r["seed"] == seed and r["number"] < flutes and r["kind"] in chosen]
    had = {result["number"] for result in done}
    with ProcessPoolExecutor(jobs, multiprocessing.get_context("spawn")) as pool:
        designs = dict(zip(some, pool.map(kinds.design_of, some), strict=True))
        tasks = (task for task in _tasks(flutes, seed, chosen, designs) if task[0] not in had)
        left, begun = tasks, set[Future[dict]]()
        while True:
            while len(begun) < jobs and time.monotonic() < until and (task := next(left, None)) is not None:
                begun.add(pool.submit(one, task))
            if not begun:
                return sorted(done, key=lambda result: result["number"])
            ready, begun = wait(begun, return_when=FIRST_COMPLETED)
            done += [future.result() for future in ready]
            for result in done[-len(ready) :]:
                _tell(result, len(done), flutes)
                if kept is not None:
                    with kept.open("a", encoding="utf-8") as stream:
                        print(json.dumps(result), file=stream)


def _kept(file: Path | None) -> list[dict]:
    """Flutes of an earlier run that was cut short."""
    if file is None or not file.exists():
        return []
    return [json.loads(line) for line in file.read_text("utf-8").splitlines()]


def _tell(result: dict, count: int, flutes: int) -> None:
    """One line of how it goes, beside what is printed in the end."""
    plan = result[""]
    off = " ".join(f"{cents:+.0f}" for cents in plan["cents"])
    words = f"{count} of {flutes}: {result['number']} {result['kind']}: {off} cents"
    print(
        words, f"{plan['steps']} steps, {plan['seconds']:.0f} s", plan["failed"], file=sys.stderr, flush=True
    )


def _tasks(flutes: int, seed: int, chosen: list[str], designs: dict[str, Design]) -> list[tuple]:
    return [(n, seed, chosen[n % len(chosen)], designs[chosen[n % len(chosen)]]) for n in range(flutes)]


def figures(results: list[dict], name: str) -> dict[str, float]:
    """What one maker's flutes come to; ``name`` is the key's first part."""
    each = [result[name] for result in results]
    cents = np.array([c for one in each for c in one["cents"]])
    second = np.array([c for one in each for c in one["second"]])
    holes = np.array([c for one in each for c in one["holes"]])
    off, count = np.abs(cents), sum(one["count"] for one in each)
    found = {
        "notes_within_5_cents": float((off <= WITHIN).mean()),
        "holes_overshot": float((holes > WITHIN).mean()),
        "steps_per_hole": sum(one["steps"] for one in each) / count,
        "work_per_hole": sum(one["work"] for one in each) / count,
        "readings_per_hole": sum(one["readings"] for one in each) / count,
        "cents_mean": float(cents.mean()),
        "cents_p50": float(np.quantile(off, 0.5)),
        "cents_p95": float(np.quantile(off, 0.95)),
        "cents_worst": float(off.max()),
        "flutes_all_within_5_cents": float(np.mean([max(map(abs, one["cents"])) <= WITHIN for one in each])),
        "lowest_within_5_cents": float(np.mean([abs(one["cents"][0]) <= WITHIN for one in each])),
        "second_register_within_15_cents": float((np.abs(second) <= WITHIN_SECOND).mean()),
        "seconds_per_flute": float(np.mean([one["seconds"] for one in each])),
    }  # fmt: skip
    return {name + key: value for key, value in found.items()}


def report(results: list[dict], taken: float) -> dict:
    """Everything, as it is printed."""
    plan = [result[""] for result in results]
    by_kind = {}
    for kind in dict.fromkeys(result["kind"] for result in results):
        some = [result for result in results if result["kind"] == kind]
        keep = ("notes_within_5_cents", "holes_overshot", "steps_per_hole")
        every = {**figures(some, ""), **figures(some, "straight_"), **figures(some, "thumb_")}
        by_kind[kind] = {"flutes": len(some)} | {
            key: round(value, 4) for key, value in every.items() if key.endswith(keep)
        }
    whole = {"flutes": len(results), **figures(results, "")}
    whole["holes_ever_filled"] = sum(one["filled"] for one in plan) / sum(one["count"] for one in plan)
    whole["more_days"] = sum(one["days"] for one in plan) / len(plan)
    whole["capped"] = sum(one["capped"] for one in plan)
    whole["failed"] = sum(bool(one["failed"]) for one in plan)
    whole |= figures(results, "straight_") | figures(results, "thumb_")
    rounded = {key: round(value, 4) if isinstance(value, float) else value for key, value in whole.items()}
    failures = sorted({one["failed"] for one in plan if one["failed"]})
    return {**rounded, "seconds": round(taken, 1), "failures": failures, "kinds": by_kind}


def main(arguments: list[str] | None = None) -> int:
    """Build and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--flutes", type=int, default=200)
    parser.add_argument("--seed", type=int, default=2026)
    parser.add_argument("--jobs", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--minutes", type=float, default=math.inf, help="begin no flute after so many")
    parser.add_argument("--kept", type=Path, help="a file of flutes that are built: go on from there")
    parser.add_argument("--kind", action="append", help="only this kind of flute; may be given again")
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args(arguments)
    if unknown := set(asked.kind or ()) - set(kinds.names()):
        parser.error(f"no such kind: {', '.join(sorted(unknown))}; there are {', '.join(kinds.names())}")
    if min(asked.flutes, asked.jobs, asked.minutes) <= 0:
        parser.error("flutes, jobs and minutes are more than 0")
    begin = time.perf_counter()
    results = built(asked.flutes, asked.seed, asked.jobs, asked.kind, asked.minutes, asked.kept)
    found = report(results, time.perf_counter() - begin)
    if asked.json:
        print(json.dumps(found, indent=2))
        return 0
    for key, value in found.items():
        if key not in ("kinds", "failures"):
            print(f"{key:<42} {value:>10.4g}")
    for kind, part in found["kinds"].items():
        print(f"{kind:<28} " + "  ".join(f"{value:6.3f}" for value in part.values()))
    print(*found["failures"], sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
