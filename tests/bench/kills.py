"""What kills cost: ``python tests/bench/kills.py [--kills 1000] [--seed S] [--json]``.

An editing session, or a command that writes a design, is ended by SIGKILL, and what is on the disk
afterwards is judged against what the program had held for done until then (``killed.py`` says how that is
told).

What the kills are aimed at, in shares of ``--kills``:

- ``time``: at a moment drawn evenly over the session's life, the parent kills;
- ``journal``, ``save``, ``file``: at a step drawn evenly over the calls into the system that are made when
  the journal is written, when the grid saves, or when it writes the file itself; before the call or after;
- ``command``: ``solve`` and ``calibrate`` with ``--in-place``, ``solve -o`` to a new file and over an old
  one; half at a step of the writing, half at a moment drawn over the command's life;
- ``terminal``: the program as a process of its own from ``python -m scaledesign`` on, typed into through a
  pseudo-terminal, nothing of it wrapped.

The first four are forks of one process that has the modules loaded; the engine, the keys, the files and the
journal are the program's own. Edit K gives one row K + 0.5 cents, so that every state is told from every
other.

Judged each time:

- the file is byte for byte what the last acknowledged save wrote (or what it was before any), or, where a
  later save had begun, what that was to write; never anything else;
- the newer of the file and what the next start would offer is the design after some edit, whole; that is at
  most one edit less than the screen had taken, and never less than the journal had been told;
- what is offered is never older than the file.

``lost_edits`` counts kills by how many edits were lost; ``torn``, ``lost_saves``, ``lost_more``, ``older``
and ``misread`` are failures, and have to be 0. Drafts left beside the file are counted: they are litter, no
loss.
"""

from __future__ import annotations

import importlib
import json
import os
import random
import select
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

import scaledesign
from scaledesign.files.journal import leftovers
from scaledesign.files.stamp import stamp_of
from tests.bench import killed
from tests.bench.killed import Aim, Teller
from tests.terminal import test_kill as terminal

SHARES = {"time": 0.42, "journal": 0.18, "save": 0.1, "file": 0.14, "command": 0.13, "terminal": 0.03}
WHOLE_STARTS = 40
"""After every so-many-th kill of a window the program is really started again."""
DEADLINE = 60.0
COMMANDS = (
    "solve FILE --in-place",
    "calibrate FILE --bare A4-4 --length 355mm --in-place",
    "solve FILE -o NEW",
    "solve SOURCE -o FILE --force",
)
WARM = (
    "scaledesign.cli.calibrate_command",
    "scaledesign.cli.design_commands",
    "scaledesign.ui.app",
    "tests.ui.driving",
)
"""What a start would import."""
FAILURES = ("torn", "lost_saves", "lost_more", "older", "misread")


@dataclass
class Session:
    """A child, and what it has told so far."""

    child: int
    pipe: int
    told: bytes = b""
    code: int = 0
    """How it ended: -9 where it was killed."""
    waited: Callable[[], int] | None = None
    """Waits for the end where the child is somebody else's."""

    def lines(self) -> list[list[str]]:
        """What was told, whole lines only."""
        return [line.split() for line in self.told.decode().split("\n")[:-1]]

    def last(self, word: str) -> list[str] | None:
        """The last line that begins with this word."""
        return next((line[1:] for line in reversed(self.lines()) if line[0] == word), None)

    def number(self, word: str) -> int:
        """The number in that line, 0 where there is none."""
        line = self.last(word)
        return int(line[0]) if line else 0

    def read(self, end: float) -> bool:
        """What is told next, until ``end``; False where the time is over or nothing more will come."""
        ready, _, _ = select.select([self.pipe], [], [], max(0.0, end - time.monotonic()))
        more = os.read(self.pipe, 65536) if ready else b""
        self.told += more
        return bool(more)

    def until(self, word: str) -> bool:
        """Wait for a word; False where the child is gone before it."""
        end = time.monotonic() + DEADLINE
        while self.last(word) is None:
            if not self.read(end):
                return False
        return True

    def kill(self) -> None:
        """SIGKILL if it still runs, then all that it had told."""
        with suppress(ProcessLookupError):
            os.kill(self.child, signal.SIGKILL)
        self.end()

    def end(self) -> None:
        """Wait for its end."""
        while self.read(time.monotonic() + DEADLINE):
            pass
        self.code = self.waited() if self.waited else os.waitstatus_to_exitcode(os.waitpid(self.child, 0)[1])
        os.close(self.pipe)


def begun(run: Callable[[Teller], None], aim: Aim | None = None) -> Session:
    """A child that does something and tells about it."""
    ours, theirs = os.pipe()

    def child() -> None:
        os.close(ours)
        run(Teller(theirs, aim or Aim()))

    number = killed.in_a_fork(child)
    os.close(theirs)
    return Session(number, ours)


class Opened:
    """A window that has opened and waits to be forked, so that a thousand sessions cost one start."""

    def __init__(self, file: Path) -> None:
        self._orders, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)

        def child(teller: Teller) -> None:
            self._orders.close()
            killed.window(file, 0, teller, theirs)

        self._session = begun(child)
        theirs.close()

    def fork(self, file: Path, seed: int, aim: Aim) -> Session:
        """A session of its own on a file, from there on."""
        ours, theirs = os.pipe()
        order = json.dumps({"file": str(file), "seed": seed, "aim": asdict(aim)}).encode()
        socket.send_fds(self._orders, [order], [theirs])
        os.close(theirs)
        child = int(self._orders.recv(100))
        assert child > 1  # 0 would kill us
        return Session(child, ours, waited=lambda: int(self._orders.recv(100)))

    def close(self) -> None:
        """No more."""
        self._orders.close()
        self._session.end()


@dataclass
class Report:
    """What is counted."""

    kills: Counter[str] = field(default_factory=Counter)
    fell: Counter[str] = field(default_factory=Counter)
    lost: Counter[int] = field(default_factory=Counter)
    failures: Counter[str] = field(default_factory=Counter)
    counts: Counter[str] = field(default_factory=Counter)
    examples: list[str] = field(default_factory=list)

    def fail(self, what: str, how: str) -> None:
        """One thing that must not be."""
        self.failures[what] += 1
        self.examples.append(f"{what}: {how}")

    def object(self) -> dict[str, object]:
        """Everything that is reported."""
        return {
            "kills": sum(self.kills.values()),
            "aimed_at": dict(self.kills),
            "fell_into": dict(self.fell),
            **{name: self.failures[name] for name in FAILURES},
            "lost_edits": {str(n): self.lost[n] for n in sorted(self.lost)},
            "worst_loss": max(self.lost, default=0),
            **dict(sorted(self.counts.items())),
            "examples": self.examples[:10],
        }


class Bench:
    """Sessions one after another, each in a home and a folder of its own."""

    def __init__(self, seed: int, root: Path) -> None:
        self.chance = random.Random(seed)
        self.root = root
        self.report = Report()
        self.steps = {"journal": 1, "save": 1, "file": 1, "command": 1}
        self.life = {"window": 0.0, "command": 0.0}
        self.flute = root / "flute.toml"
        terminal.flute(self.flute)
        self.unsolved = root / "unsolved.toml"
        design = scaledesign.load(self.flute)
        rows = tuple(replace(row, cents=9.0 * (index % 2)) for index, row in enumerate(design.rows))
        scaledesign.save(replace(design, rows=rows), self.unsolved)

    @contextmanager
    def place(self) -> Iterator[Path]:
        """A folder with a flute in it, and a home; gone afterwards."""
        folder = Path(tempfile.mkdtemp(dir=self.root))
        home = os.environ.get("SCALEDESIGN_HOME")
        os.environ["SCALEDESIGN_HOME"] = str(folder / "home")
        shutil.copy(self.flute, folder / "flute.toml")
        try:
            yield folder / "flute.toml"
        finally:
            if home is None:
                del os.environ["SCALEDESIGN_HOME"]
            else:
                os.environ["SCALEDESIGN_HOME"] = home
            shutil.rmtree(folder)

    def rehearse(self, kinds: Sequence[str]) -> None:
        """A session and a command that nobody kills: how long they live, how many steps a writing has."""
        for seed in range(2):
            if seed == 1:
                self.opened = Opened(self.flute)
            with self.place() as file:
                session = (
                    self.opened.fork(file, seed, Aim(turn=0))
                    if seed
                    else begun(lambda teller: killed.window(file, 0, teller), Aim(turn=0))
                )
                session.until("ready")
                ready = time.monotonic()
                session.until("finished")
                self.life["window"] = time.monotonic() - ready
                session.kill()
                self._learn_steps(session)
                load(session.last("modules") or ())
        for command in COMMANDS[:2] if "command" in kinds else ():
            with self.place() as file:
                shutil.copy(self.unsolved, file)
                words = self._words(command, file)[0]
                session = begun(lambda teller: killed.command(words, teller), Aim(turn=0))  # noqa: B023
                session.until("ready")
                ready = time.monotonic()
                session.end()
                assert session.last("saved") is not None, f"{words} wrote nothing"
                self.life["command"] = max(self.life["command"], time.monotonic() - ready)
                self._learn_steps(session, "command")
                load(session.last("modules") or ())

    # A window

    def window(self, kind: str) -> None:
        """One session of a window, killed."""
        with self.place() as file:
            before = stamp_of(file)
            seed = self.chance.randrange(2**32)
            aim = Aim()
            if kind in ("journal", "save", "file"):
                most = 3 if kind == "journal" else 2
                aim = Aim(kind, self.chance.randint(1, most), self.chance.randrange(self.steps[kind]))
            whole = kind == "time" and self.chance.random() < 0.05
            if whole:  # from the start, so that some fall into the opening
                session = begun(lambda teller: killed.window(file, seed, teller))
            else:
                session = self.opened.fork(file, seed, aim)
                session.until("ready")
            ready = time.monotonic()
            if kind == "time":
                end = ready + self.chance.uniform(0.0, self.life["window"])
                while session.last("finished") is None and session.read(end):
                    pass
            else:
                session.until("finished")  # or its end, at the step that was aimed at
            if session.last("finished") is not None:
                self._learn("window", time.monotonic() - ready)
            session.kill()
            self._learn_steps(session)
            self._judge(kind, file, before, session)

    def _learn(self, what: str, seconds: float) -> None:
        self.life[what] = 0.7 * self.life[what] + 0.3 * seconds

    def _learn_steps(self, session: Session, kind: str = "") -> None:
        for line in session.lines():
            if line[0] == "steps":
                self.steps[kind or line[1]] = max(self.steps[kind or line[1]], int(line[2]))

    def _judge(self, kind: str, file: Path, before: str | None, session: Session) -> None:
        report = self.report
        report.kills[kind] += 1
        report.fell[moment(session)] += 1
        taken = session.number("edit")
        saves = [line for line in session.lines() if line[0] in ("saving", "saved")]
        done = next((line[2] for line in reversed(saves) if line[0] == "saved"), before)
        allowed = {done, saves[-1][2] if saves else done}
        report.counts["edits"] += taken
        report.counts["edits_kept"] += sum(line[0] == "kept" for line in session.lines())
        report.counts["saves"] += sum(line[0] == "saved" for line in session.lines())
        report.counts["problems"] += sum(line[0] == "problem" for line in session.lines())
        report.counts["drafts_left"] += drafts(file)
        where = f"{kind}, {' '.join(session.lines()[-1]) if session.told else ''}, edit {taken}"
        if session.code != -signal.SIGKILL:
            report.fail("misread", f"{where}: it ended by itself with {session.code}")
        found = stamp_of(file)
        if found not in allowed:
            whole = found in {before, *(line[2] for line in saves)}
            report.fail("lost_saves" if whole else "torn", where)
            if not whole:
                return
        standing = terminal.edits_in(file.read_text(encoding="utf-8"))
        left = leftovers()
        try:
            offered = [terminal.edits_in(each.text) for each in left]
        except (AssertionError, ValueError):
            report.fail("misread", where)
            return
        if len(left) > 1 or any(each.path != file for each in left):
            report.fail("misread", f"{where}: {len(left)} offered")
        if any(edits < standing for edits in offered):
            report.fail("older", f"{where}: offers edit {offered}, the file has {standing}")
        kept = max(standing, *offered, 0)
        report.lost[max(0, taken - kept)] += 1
        if taken - kept > 1 or kept < session.number("kept"):
            report.fail("lost_more", f"{where}: kept {kept}, the journal was told {session.number('kept')}")
        if report.kills.total() % WHOLE_STARTS == 0:
            self._start_again(file, kept if not offered else offered[0], bool(offered), where)

    def _start_again(self, file: Path, edits: int, offered: bool, where: str) -> None:
        """Start the program on what is left: it offers, and what is taken is what was kept."""
        self.report.counts["started_again"] += 1
        session = begun(lambda teller: killed.next_start(file, teller))
        session.end()
        if session.last("stands") != [str(edits), str(int(offered)), "1"]:
            self.report.fail("misread", f"{where}: started again it stands at {session.last('stands')}")

    # A command

    def _words(self, command: str, file: Path) -> tuple[list[str], Path]:
        """What is typed, and the file that it writes."""
        target = file.with_name("new.toml") if "NEW" in command else file
        places = {"FILE": file, "NEW": target, "SOURCE": self.unsolved}
        return [str(places.get(word, word)) for word in command.split(" ")], target

    def command(self) -> None:
        """One command that writes a design, killed."""
        with self.place() as file:
            words, target = self._words(self.chance.choice(COMMANDS), file)
            shutil.copy(self.unsolved, file)
            before = stamp_of(target)
            stepping = self.chance.random() < 0.5
            aim = Aim("file", 1, self.chance.randrange(self.steps["command"])) if stepping else Aim()
            session = begun(lambda teller: killed.command(words, teller), aim)
            session.until("ready")
            ready = time.monotonic()
            end = (
                ready + self.chance.uniform(0.0, 1.1 * self.life["command"])
                if not stepping
                else ready + DEADLINE
            )
            while session.last("finished") is None and session.read(end):
                pass
            finished = session.last("finished")
            if finished is not None:
                self._learn("command", time.monotonic() - ready)
            session.kill()
            self._judge_command(target, before, session)

    def _judge_command(self, target: Path, before: str | None, session: Session) -> None:
        report = self.report
        report.kills["command"] += 1
        report.fell[f"command: {moment(session)}"] += 1
        saving, saved, finished = (session.last(word) for word in ("saving", "saved", "finished"))
        report.counts["saves"] += saved is not None
        report.counts["drafts_left"] += drafts(target)
        allowed = {saved[1]} if saved else {before, saving[1]} if saving else {before}
        if finished is not None and finished[0] not in ("0", "1"):
            report.fail("misread", f"a command returned {finished[0]}")
        if stamp_of(target) not in allowed:
            torn = not saved or stamp_of(target) != before
            report.fail("torn" if torn else "lost_saves", f"command, {' '.join(session.lines()[-1])}")

    # A process at a terminal

    def terminal(self) -> None:
        """One session of the program as it is started by hand, killed."""
        with self.place() as file:
            before = stamp_of(file)
            cold = Cold()
            sitting = terminal.Sitting(cold, file)  # type: ignore[arg-type]
            saved = terminal.sit(sitting, self.chance, saving=self.chance.random() < 0.5)
            sitting.kill()
            report = self.report
            report.kills["terminal"] += 1
            report.fell["terminal"] += 1
            report.counts["drafts_left"] += drafts(file)
            if not saved and stamp_of(file) != before:
                report.fail("torn", "terminal")
                return
            try:
                found = [terminal.edits_in(file.read_text(encoding="utf-8"))]
                found += [terminal.edits_in(each.text) for each in leftovers()]
            except (AssertionError, ValueError):
                report.fail("torn", "terminal")
                return
            report.counts["edits"] += sitting.painted
            report.lost[max(0, sitting.painted - max(found))] += 1
            if not sitting.painted - 1 <= max(found) <= sitting.typed:
                report.fail("lost_more", f"terminal: painted {sitting.painted}, kept {found}")

    def run(self, kind: str) -> None:
        """One kill of a kind."""
        {"command": self.command, "terminal": self.terminal}.get(kind, lambda: self.window(kind))()


class Cold:
    """Starts the program as a process of its own; stands where ``terminal.Warm`` does."""

    def order(self, word: str, *words: str) -> int:
        """Start it at a terminal on a file, or kill it."""
        if word == "start":
            with Path(words[0]).open("r+b", buffering=0) as own:
                self._process = subprocess.Popen(
                    [sys.executable, "-m", "scaledesign", "grid", words[1]],
                    stdin=own, stdout=own, stderr=own, start_new_session=True,
                    cwd=Path(__file__).parent.parent.parent,
                    env={**os.environ, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8"},
                )  # fmt: skip
            return self._process.pid
        self._process.kill()
        return self._process.wait()


def moment(session: Session) -> str:
    """What the session was doing when it ended, by what it told last."""
    words = [line[0] for line in session.lines() if line[0] != "steps"]
    last = words[-1] if words else ""
    doing = {"": "opening", "ready": "work", "keeping": "journal", "saving": "save", "finished": "at rest"}
    return doing.get(last, "edit" if last == "edit" else "between")


def load(modules: Sequence[str]) -> None:
    """Load what a session had to load, so that no later one does."""
    for module in modules:
        if module.startswith(("scaledesign.", "tests.")):
            importlib.import_module(module)


def drafts(file: Path) -> int:
    """Drafts that a kill left beside a file."""
    return sum(path.name.endswith(".part") for path in file.parent.iterdir())


def kinds_of(kills: int, chance: random.Random) -> list[str]:
    """What each kill is aimed at, in random order."""
    counts = {kind: round(share * kills) for kind, share in SHARES.items()}
    counts["time"] += kills - sum(counts.values())
    kinds = [kind for kind, count in counts.items() for _ in range(count)]
    chance.shuffle(kinds)
    return kinds


def measure(kills: int, seed: int, progress: Callable[[int], None] = lambda done: None) -> dict[str, object]:
    """Kill so often, and report."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # a process is forked best without threads
    load(WARM)
    begin = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(seed, Path(folder))
        scaledesign.solve(scaledesign.load(bench.unsolved))
        kinds = kinds_of(kills, random.Random(seed))
        bench.rehearse(kinds)
        for done, kind in enumerate(kinds):
            bench.run(kind)
            progress(done + 1)
        bench.opened.close()
        return {"seed": seed, **bench.report.object(), "seconds": round(time.monotonic() - begin, 1)}


def main(arguments: list[str]) -> int:
    """Measure and print; 1 where something must not be."""

    def given(name: str, otherwise: int) -> int:
        return int(arguments[arguments.index(name) + 1]) if name in arguments else otherwise

    def progress(done: int) -> None:
        if done % 50 == 0 and sys.stderr.isatty():
            print(f"{done} kills", file=sys.stderr)

    result = measure(given("--kills", 1000), given("--seed", 20261), progress)
    if "--json" in arguments:
        print(json.dumps(result, indent=2))
    else:
        for name, value in result.items():
            print(f"{name:14} {value}")
    return int(any(result[name] for name in FAILURES))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
