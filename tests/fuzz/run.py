"""Push odd inputs through every door: ``python tests/fuzz/run.py --inputs N [--target NAME] [--json]``.

``targets.py`` lists the doors, ``watch.py`` says what a fault is. Inputs are valid examples put wrong
(``mutation.py``), inputs made to take long (``--worst``), what was found before (``--found``),
or those that a
coverage-guided fuzzer makes (``--guided``, with atheris; ``guided.py``). A long campaign runs in pieces:
``--totals FILE`` keeps what was done, and each piece goes on where the last one ended,
with other inputs. Every
fault is saved as a small file beside the totals,
named by its door; ``--replay FILES`` pushes such files through
again. The number of kinds of faults is the exit code, at most 100.
"""

from __future__ import annotations

import argparse
import faulthandler
import hashlib
import importlib
import json
import mmap
import os
import pkgutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from random import Random

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from scaledesign.locations import FOLDER_VARIABLE, HOME_VARIABLE
from tests.fuzz.apart import Apart
from tests.fuzz.found import FOUND
from tests.fuzz.mutation import LONGEST, mutated
from tests.fuzz.targets import TARGETS
from tests.fuzz.watch import Outcome, Target, Watch

KEPT = 2000
"""Inputs between two looks at the clock and the totals."""
GIVEN_UP = 600.0
"""s after which the whole process is ended, where a library does not come back."""
SAME = 5
"""Inputs that are kept of one fault."""


@dataclass
class Tally:
    """What became of the inputs of one door."""

    inputs: int = 0
    guided: int = 0
    """Of them those that the coverage-guided fuzzer made."""
    slowest_s: float = 0.0
    slowest: str = ""
    most_silent_s: float = 0.0
    stillest: str = ""
    most_memory_mb: float = 0.0
    largest: str = ""
    faults: dict[str, int] = field(default_factory=dict)

    def add(self, outcome: Outcome, shown: str) -> None:
        """Count one input."""
        self.inputs += 1
        if outcome.seconds > self.slowest_s:
            self.slowest_s, self.slowest = round(outcome.seconds, 4), shown
        if outcome.silent > self.most_silent_s:
            self.most_silent_s, self.stillest = round(outcome.silent, 4), shown
        if outcome.megabytes > self.most_memory_mb:
            self.most_memory_mb, self.largest = round(outcome.megabytes, 1), shown
        if outcome.fault:
            self.faults[outcome.fault] = self.faults.get(outcome.fault, 0) + 1


class Campaign:
    """Doors, a watch, and what was found."""

    def __init__(self, totals: Path | None, faults: Path, place: Path, *, whole: bool = True) -> None:
        self.totals, self.faults, self.place = totals, faults, place
        self.tallies: dict[str, Tally] = {}
        if totals is not None and totals.exists():
            told = json.loads(totals.read_text(encoding="utf-8"))
            self.tallies = {name: Tally(**tally) for name, tally in told.items()}
        self.pushed = 0
        if whole:
            everything()
        self.apart = Apart(TARGETS) if whole and hasattr(os, "fork") else None
        self.watch = Watch()
        self.now = (
            mmap.mmap(-1, LONGEST + 200_000_000) if totals is None else _shared(totals.with_suffix(".now"))
        )

    def tally(self, target: Target) -> Tally:
        """Of one door."""
        return self.tallies.setdefault(target.name, Tally())

    def enter(self, target: Target) -> Path:
        """The folder of a door, and everything ready for it."""
        folder = self.place / target.name
        folder.mkdir(exist_ok=True)
        os.environ[HOME_VARIABLE] = str(folder)
        os.environ.pop(FOLDER_VARIABLE, None)
        if not self._apart(target):
            self.watch.open(target, folder)
        return folder

    def _apart(self, target: Target) -> Apart | None:
        return self.apart if target.apart else None

    def push(self, target: Target, data: bytes, folder: Path) -> Outcome:
        """One input through a door; it lies in a file meanwhile, in case the process does not come back."""
        if len(data) <= LONGEST:
            self.now.seek(0)
            self.now.write(target.name.encode().ljust(32) + len(data).to_bytes(4, "big") + data)
        if len(data) > 10_000 or self.pushed % 1000 == 0:
            faulthandler.dump_traceback_later(GIVEN_UP, exit=True)
        self.pushed += 1
        if apart := self._apart(target):
            outcome = apart.run(target, data, folder, {HOME_VARIABLE: str(folder)})
        else:
            outcome = self.watch.run(target, data, folder)
        shown = f"{data[:80]!r}" + (f" and so on, {len(data)} bytes" if len(data) > 80 else "")
        tally = self.tally(target)
        tally.add(outcome, shown)
        if outcome.fault and tally.faults[outcome.fault] <= SAME:
            self.keep(target, data, outcome)
        return outcome

    def keep(self, target: Target, data: bytes, outcome: Outcome) -> None:
        """Save a fault for replay, with what it said."""
        self.faults.mkdir(parents=True, exist_ok=True)
        name = f"{target.name}-{hashlib.sha256(data).hexdigest()[:10]}"
        if len(data) <= 2_000_000:
            (self.faults / f"{name}.bin").write_bytes(data)
        measured = f"{outcome.seconds:.3f} s, silent {outcome.silent:.3f} s, {outcome.megabytes:.0f} MB"
        told = f"{outcome.fault}\n{measured}\n{data[:200]!r}\n\n{outcome.told}"
        (self.faults / f"{name}.txt").write_text(told, encoding="utf-8", errors="backslashreplace")
        print(
            f"{target.name}: {outcome.fault} ({outcome.seconds:.2f} s, {outcome.megabytes:.0f} MB)",
            file=sys.stderr,
            flush=True,
        )

    def save(self) -> None:
        """Keep the totals."""
        if self.totals is not None:
            draft = self.totals.with_suffix(".new")
            draft.write_text(
                json.dumps({name: asdict(tally) for name, tally in self.tallies.items()}, indent=1),
                encoding="utf-8",
            )
            draft.replace(self.totals)


def _shared(path: Path) -> mmap.mmap:
    with path.open("w+b") as file:
        file.truncate(LONGEST + 100)
        return mmap.mmap(file.fileno(), 0)


def everything() -> None:
    """Import the whole package, so that no import is left for the time when data is read."""
    import scaledesign

    for found in pkgutil.walk_packages(scaledesign.__path__, "scaledesign."):
        if not found.name.endswith("__main__") and ".bundled" not in found.name:
            importlib.import_module(found.name)


def inputs_of(target: Target, random: Random) -> Iterator[bytes]:
    """Examples put wrong, without end."""
    examples = list(target.examples())
    while True:
        yield mutated(random, examples, target.words)


def mutating(campaign: Campaign, chosen: Sequence[Target], inputs: int, seed: int, until: float) -> None:
    """So many inputs in all, each door its share."""
    shares = sum(target.share for target in chosen)
    for target in chosen:
        folder, tally = campaign.enter(target), campaign.tally(target)
        source = inputs_of(target, Random(f"{seed} {target.name} {tally.inputs}"))
        wanted = max(1, round(inputs * target.share / shares))
        begun = time.monotonic()
        allowed = (until - begun) if len(chosen) == 1 else max(5.0, (until - begun) / 3)
        for number in range(wanted):
            if number % 50 == 0 and time.monotonic() > begun + allowed:
                break
            campaign.push(target, next(source), folder)
            if number % KEPT == KEPT - 1:
                campaign.save()
        campaign.save()


def worst(campaign: Campaign, chosen: Sequence[Target]) -> None:
    """What was made to take long."""
    for target in chosen:
        folder = campaign.enter(target)
        for data in target.worst():
            campaign.watch.forget()
            campaign.push(target, data, folder)
        campaign.save()


def found(campaign: Campaign) -> None:
    """What was found and mended before."""
    for name, inputs in FOUND.items():
        folder = campaign.enter(TARGETS[name])
        for data in inputs:
            campaign.push(TARGETS[name], data, folder)


def replay(campaign: Campaign, files: Sequence[str]) -> None:
    """Faults once more; the name of a file begins with its door."""
    for name, target in sorted(TARGETS.items()):
        mine = [Path(file) for file in files if Path(file).name.rpartition("-")[0] == name]
        if mine:
            folder = campaign.enter(target)
            for path in mine:
                campaign.push(target, path.read_bytes(), folder)


def main() -> int:
    """Run what the arguments say."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--inputs", type=int, default=10_000, help="in all (default: 10000)")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument(
        "--target", action="append", choices=sorted(TARGETS), help="may be given again; all by default"
    )
    parser.add_argument("--minutes", type=float, default=10.0, help="begin nothing after that (default: 10)")
    parser.add_argument(
        "--totals", type=Path, help="file that keeps what was done from one piece to the next"
    )
    parser.add_argument("--faults", type=Path, help="folder for faults (default: beside the totals)")
    parser.add_argument(
        "--worst", action="store_true", help="push inputs made to take long through, and no others"
    )
    parser.add_argument(
        "--guided",
        action="store_true",
        help="let atheris make the inputs, so many for each door; none for those in processes of their own",
    )
    parser.add_argument(
        "--replay", nargs="+", metavar="FILE", default=(), help="push saved faults through, and no others"
    )
    parser.add_argument("--found", action="store_true", help="push what was found before through first")
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    chosen = [TARGETS[name] for name in args.target or TARGETS]
    shared = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=shared if shared.is_dir() else None) as place:
        faults = args.faults or (
            args.totals.with_suffix(".faults") if args.totals else Path(place) / "faults"
        )
        if args.guided:
            return sum(_guided(target, args, faults) for target in chosen if not target.apart)
        campaign = Campaign(args.totals, faults, Path(place))
        if args.replay:
            replay(campaign, args.replay)
        elif args.worst:
            worst(campaign, chosen)
        else:
            if args.found:
                found(campaign)
            mutating(campaign, chosen, args.inputs, args.seed, time.monotonic() + 60.0 * args.minutes)
        faulthandler.cancel_dump_traceback_later()
        campaign.save()
        report(campaign, as_json=args.json)
    return min(100, sum(len(tally.faults) for tally in campaign.tallies.values()))


def _guided(target: Target, args: argparse.Namespace, faults: Path) -> int:
    """Faults that the coverage-guided fuzzer finds behind one door, in a process of its own."""
    told = [
        sys.executable, str(Path(__file__).with_name("guided.py")), "--target", target.name,
        "--inputs", str(args.inputs), "--seed", str(args.seed), "--minutes", str(args.minutes),
        "--faults", str(faults), *(["--totals", str(args.totals)] if args.totals else []),
    ]  # fmt: skip
    return subprocess.run(told, check=False).returncode


def report(campaign: Campaign, *, as_json: bool) -> None:
    """What was done, door by door."""
    if as_json:
        print(json.dumps({name: asdict(tally) for name, tally in campaign.tallies.items()}, indent=1))
        return
    print(f"{'door':<14}{'inputs':>9}{'guided':>9}{'slowest s':>11}{'silent s':>10}{'most MB':>9}  faults")
    for name, tally in campaign.tallies.items():
        print(
            f"{name:<14}{tally.inputs:>9}{tally.guided:>9}{tally.slowest_s:>11.3f}"
            f"{tally.most_silent_s:>10.3f}{tally.most_memory_mb:>9.0f}  {len(tally.faults)}"
        )
    print(f"{'in all':<14}{sum(tally.inputs for tally in campaign.tallies.values()):>9}")
    for name, tally in campaign.tallies.items():
        for fault, many in tally.faults.items():
            print(f"{name}: {fault} ({many} times)")


if __name__ == "__main__":
    sys.exit(main())
