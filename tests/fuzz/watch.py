"""One input pushed through one door, watched: what it says, takes, holds and touches.

Apart from the doors (``targets.py``) and from what chooses inputs (``run.py``). A fault is anything but the
package's own errors with lines that can be printed; more time or memory than is allowed; and, while data is
read, code that begins to run, an import of what the program does not use, another process, a socket, or a
file opened for writing outside the door's own folder.

Time is the smaller of the processor's and the clock's: other work on the machine is not the reader's fault.
Silence is the longest time in which the program neither answered nor told of its work nor asked whether that
is still wanted (``wanted.py``): the stretch in which a person would think that it hangs, and could not stop
it. Memory is how far the process has grown beyond what it held before the door was opened (resident set, its
peak), so that what a library takes outside Python counts too.
"""

from __future__ import annotations

import os
import signal
import sys
import sysconfig
import time
import traceback
import unicodedata
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType

from scaledesign.errors import ScaledesignError
from scaledesign.wanted import while_wanted

try:
    import resource
except ImportError:  # not on every system
    resource = None

SECONDS, MEGABYTES = 1.0, 200.0
"""What one input may take; the seconds are of silence, too, behind every door."""
PATIENCE = 30.0
"""s after which an input is broken off."""
WARM = 3
"""Examples that are run before a door is watched."""
LONGEST_LINE = 1000
"""Signs of one sentence."""


class NotRightError(AssertionError):
    """A door found that something does not hold."""


class TooSlowError(BaseException):
    """An input was broken off."""


@dataclass(frozen=True)
class Target:
    """One door: ``run`` takes an input and a folder that is its own; ``examples`` are valid inputs."""

    name: str
    run: Callable[[bytes, Path], None]
    examples: Callable[[], Sequence[bytes]]
    words: tuple[str, ...] = ()
    share: float = 1.0
    """How many of the inputs it gets, beside the others."""
    seconds: float = SECONDS
    """s: more for doors behind which the engine works, which tells of it and can be stopped."""
    apart: bool = False
    """Whether each input gets a process of its own, as a command line does (``apart.py``)."""
    worst: Callable[[], Iterable[bytes]] = tuple
    """Inputs made to take long."""
    expected: tuple[type[BaseException], ...] = (ScaledesignError,)


@dataclass(frozen=True)
class Outcome:
    """How one input fared."""

    seconds: float
    silent: float
    """s, the longest silence."""
    megabytes: float
    fault: str = ""
    """A short name of what went wrong, the same for the same place; '' when nothing did."""
    told: str = ""


class Watch:
    """Runs inputs; one for a process, since the ear it gives Python's own events cannot be taken back."""

    def __init__(self) -> None:
        self._on = False
        self._folder = ""
        self._broken: list[str] = []
        self._start = 0.0
        self._homes = tuple(
            {
                str(Path(place).resolve())
                for place in (*sysconfig.get_paths().values(), sys.prefix, sys.base_prefix)
            }
            | {str(Path(__file__).parents[2])}
        )
        sys.addaudithook(self._hear)
        if hasattr(signal, "SIGALRM"):
            signal.signal(signal.SIGALRM, _too_slow)

    def open(self, target: Target, folder: Path) -> None:
        """Get ready for a door: run some examples, so that what is imported late is there."""
        self._folder = os.path.realpath(folder)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            for data in target.examples()[:WARM]:
                with suppress(Exception):
                    target.run(data, folder)
        warnings.simplefilter("error")
        self.forget()

    def forget(self) -> None:
        """Measure memory from here on."""
        with suppress(OSError):
            Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
        self._start = _peak()

    def run(self, target: Target, data: bytes, folder: Path) -> Outcome:
        """Push one input through."""
        fault = told = ""
        self._broken.clear()
        _alarm(max(PATIENCE, 6.0 * target.seconds))
        whole = _Silence()
        silence = _Silence()
        try:
            with self._reading(), while_wanted(lambda: False, silence.broken):
                target.run(data, folder)
        except target.expected as error:
            _alarm(0)
            fault, told = _poor_words(error)
        except TooSlowError as error:
            fault, told = _named(error)
            fault = f"broken off after {PATIENCE:g} s: {fault}"
        except (Exception, SystemExit) as error:  # noqa: BLE001 - that is what we are here for
            fault, told = _named(error)
        finally:
            _alarm(0)
        whole.broken()
        silence.broken()
        megabytes = _peak() - self._start
        if self._broken:
            fault, told = f"does what no data may: {self._broken[0]}", "\n".join(self._broken)
        elif not fault and silence.longest > SECONDS:
            fault = "silent too long"
        elif not fault and whole.longest > target.seconds:
            fault = "too slow"
        elif not fault and megabytes > MEGABYTES:
            fault = "too much memory"
        if fault:
            self.forget()
        return Outcome(whole.longest, silence.longest, megabytes, fault, told)

    @contextmanager
    def _reading(self) -> Iterator[None]:
        self._on = True
        try:
            yield
        finally:
            self._on = False

    def _hear(self, event: str, args: tuple[object, ...]) -> None:
        if not self._on:
            return
        refused = self._refused(event, args)
        if refused and not _importing():
            self._broken.append(refused)
            raise PermissionError(refused)

    def _refused(self, event: str, args: tuple[object, ...]) -> str:
        if event == "open":
            path, mode, flags = args
            writes = set(str(mode or "")) & set("wax+") or int(flags or 0) & _WRITING
            return "" if not writes or isinstance(path, int) or self._own(path) else f"writes {path!r}"
        if event in _CHANGING:
            named = [path for path in args if isinstance(path, str | bytes | os.PathLike)]
            if event == "os.symlink":
                named = named[1:]
            return "" if all(map(self._own, named)) else f"{event} {args!r}"
        if event == "import":
            top = str(args[0]).partition(".")[0]
            return "" if top in _LIBRARIES else f"imports {args[0]!r}"
        if event == "exec":
            code = args[0]
            return (
                ""
                if isinstance(code, CodeType) and self._of_a_library(code.co_filename)
                else f"runs {code!r}"
            )
        if event == "compile":
            return "" if self._of_a_library(args[1]) else f"compiles {str(args[0])[:80]!r}"
        return f"{event} {args!r}" if event.startswith(_NEVER) else ""

    def _own(self, path: object) -> bool:
        found = os.path.realpath(os.fsdecode(path))
        return found == os.devnull or found == self._folder or found.startswith(self._folder + os.sep)

    def _of_a_library(self, file: object) -> bool:
        """Whether code comes from an installed file, or is made while one is being imported."""
        if str(file).startswith(("<frozen", *self._homes)):
            return True
        frame: FrameType | None = sys._getframe()
        while frame is not None:
            code = frame.f_code
            if code.co_filename.startswith("<frozen importlib") or Path(code.co_filename).name in _MAKERS:
                return True
            frame = frame.f_back
        return False


class _Silence:
    """The longest time from one word to the next."""

    def __init__(self) -> None:
        self.longest = 0.0
        self._last = (time.perf_counter(), time.process_time())

    def broken(self, share: float | None = None) -> None:
        """Hear a word, whatever it says."""
        now = (time.perf_counter(), time.process_time())
        self.longest = max(self.longest, min(now[0] - self._last[0], now[1] - self._last[1]))
        self._last = now


_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_CHANGING = frozenset(
    f"os.{name}"
    for name in (
        "remove",
        "rename",
        "mkdir",
        "rmdir",
        "link",
        "symlink",
        "truncate",
        "chmod",
        "chown",
        "utime",
    )
)
_NEVER = (
    "subprocess.", "os.system", "os.exec", "os.posix_spawn", "os.spawn", "os.fork", "os.startfile", "pty.",
    "socket.", "webbrowser.", "urllib.", "ftplib.", "smtplib.", "pickle.", "shutil.", "code.", "winreg.",
)  # fmt: skip
_LIBRARIES = frozenset(sys.stdlib_module_names) | {
    "scaledesign", "numpy", "textual", "rich", "tomli_w", "typst", "verovio", "music21", "soundfile",
    "_soundfile",
    "_soundfile_data", "_cffi_backend", "cffi", "parselmouth", "platformdirs", "pluggy", "ezdxf", "fontTools",
}  # fmt: skip
_MAKERS = ("dataclasses.py", "typing.py", "values.py", "enum.py", "reprlib.py")
"""Modules that make classes, or what their annotations say, out of text of the program's own."""


def _importing() -> bool:
    """Whether a library is being imported: what it imports in turn is its own affair."""
    frame: FrameType | None = sys._getframe()
    while frame is not None:
        if frame.f_code.co_name == "exec_module" and frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


def _peak() -> float:
    """The most that this process has held, megabytes."""
    if resource is None:
        return 0.0
    size = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return size / (1 << 20 if sys.platform == "darwin" else 1 << 10)


def _alarm(seconds: float) -> None:
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, seconds)


def _too_slow(number: int, frame: FrameType | None) -> None:
    raise TooSlowError


def _poor_words(error: BaseException) -> tuple[str, str]:
    """What is wrong with the words of an error: each fault should be one line that can be shown."""
    text = str(error)
    lines = text.split("\n")
    many = len(getattr(error, "faults", ())) or 1
    if len(lines) != many:
        return f"{type(error).__name__} of {len(lines)} lines for {many} faults ({_where(error)})", text[
            :3000
        ]
    return poor_lines(lines, f"{type(error).__name__} {_where(error)}")


def poor_lines(lines: Sequence[str], who: str) -> tuple[str, str]:
    """A name and a text of what is wrong with sentences for people; '' twice when nothing is."""
    for line in lines:
        if not line.strip():
            return f"says nothing ({who})", line
        if len(line) > LONGEST_LINE:
            return f"says {len(line) // 1000}000 signs ({who})", line[:3000]
        if any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in line):
            return f"says what no screen shows ({who})", ascii(line)
    return "", ""


def _named(error: BaseException) -> tuple[str, str]:
    told = "".join(traceback.format_exception(error, limit=-12))
    return f"{type(error).__name__} {_where(error)}", told[-6000:]


def _where(error: BaseException) -> str:
    """The last place in the package that an error came through."""
    places = [
        frame
        for frame in traceback.extract_tb(error.__traceback__)
        if f"{os.sep}scaledesign{os.sep}" in frame.filename
    ]
    if not places:
        places = list(traceback.extract_tb(error.__traceback__))
    last = places[-1] if places else None
    return f"in {Path(last.filename).name}:{last.lineno} {last.name}" if last else "nowhere"
