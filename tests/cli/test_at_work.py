"""Long work on the command line: said on a terminal alone, and Ctrl+C ends it with nothing half written."""

from __future__ import annotations

import contextlib
import io
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import scaledesign
from scaledesign.cli import at_work
from scaledesign.files.document_file import put_all
from scaledesign.wanted import done, each, go_on, while_wanted
from tests.cli.running import Run
from tests.workshop.slips import Slip, slipped

LONG = {
    "solve": ("solve", "flute.toml", "--in-place"),
    "predict": ("predict", "flute.toml"),
    "chances": ("chances", "flute.toml"),
    "new": ("new", "--bore", "16", "--wall", "3", "--key", "D5", "--scale", "major", "-o", "new.toml"),
    "tube": ("tube", "--key", "A4"),
    "registers": ("registers", "flute.toml"),
    "suits": ("suits", "flute.toml"),
    "fingerings": ("fingerings", "flute.toml", "--chromatic", "--chart", "--in-place"),
    "compare": ("compare", "flute.toml", "slipped.toml", "--adopt", "2", "-o", "flute.toml", "--force"),
    "calibrate": ("calibrate", "flute.toml", "--bare", "A4 -12", "--length", "355 mm", "--in-place"),
    "bench": ("bench", "flute.toml"),
    "rescue": ("rescue", "slipped.toml", "--in-place"),
    "pattern": ("pattern", "slipped.toml"),
    "carry": ("carry", "flute.toml", "--key", "G4", "-o", "carried.toml"),
    "cord": ("cord", "flute.toml"),
    "book": ("book", "."),
    "template": ("template", "flute.toml", "-o", "template.pdf"),
    "print": ("print", "flute.toml", "--into", "bench"),
    "accuracy": ("accuracy", "-o", "accuracy.md"),
}
"""Every command that works out more than a moment's worth of some flute."""


class Terminal(io.StringIO):
    """Text that says it is a terminal."""

    def isatty(self) -> bool:
        """As a terminal does."""
        return True


@pytest.fixture
def bench(run: Run, flute: Path) -> Path:
    """A folder with two flutes."""
    scaledesign.save(
        slipped("marsh-wren", (Slip(3, "diameter", -0.8e-3),), 1).design, flute.with_name("slipped.toml")
    )
    return flute.parent


@contextlib.contextmanager
def stopped_at(step: int) -> Iterator[list[float | None]]:
    """Ctrl+C at one of the steps of the work; the shares that were told until then."""
    shares: list[float | None] = []

    def told(share: float | None) -> None:
        shares.append(share)
        if len(shares) == step:
            raise KeyboardInterrupt

    with while_wanted(lambda: False, told):
        yield shares


@pytest.mark.parametrize("name", LONG)
def test_ctrl_c_in_the_middle_leaves_everything_as_it_was(name: str, run: Run, bench: Path) -> None:
    before = {path.name: path.read_bytes() for path in bench.iterdir()}
    with stopped_at(2) as shares:
        result = run(*LONG[name])
    assert (result.code, result.out, result.err) == (130, "", "\nStopped.\n")
    assert len(shares) == 2
    assert {path.name: path.read_bytes() for path in bench.iterdir()} == before


@pytest.mark.parametrize("step", [5, 9])
def test_later_too(step: int, run: Run, bench: Path) -> None:
    before = {path.name: path.read_bytes() for path in bench.iterdir()}
    with stopped_at(step):
        assert run(*LONG["solve"]).code == 130
    assert {path.name: path.read_bytes() for path in bench.iterdir()} == before


def test_ctrl_c_while_a_file_is_written_leaves_the_old_one(
    run: Run, bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The draft is whole on the disk and has not taken its place yet."""
    before = {path.name: path.read_bytes() for path in bench.iterdir()}

    def stop(*given: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stop)
    result = run("solve", "flute.toml", "--in-place")
    assert (result.code, result.err) == (130, "\nStopped.\n")
    assert {path.name: path.read_bytes() for path in bench.iterdir()} == before


def test_ctrl_c_between_two_files_waits_for_the_second(
    run: Run, bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Files that belong together are all new or all old."""
    names = ("one.toml", "two.toml", "three.toml")
    for name in names:
        (bench / name).write_text("old", encoding="utf-8")
    whole = Path.replace

    def replace(draft: Path, target: Path) -> Path:
        if target.name == "two.toml":
            signal.raise_signal(signal.SIGINT)
        return whole(draft, target)

    monkeypatch.setattr(Path, "replace", replace)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job ignores it
    try:
        with pytest.raises(KeyboardInterrupt):
            put_all([(bench / name, b"new") for name in names])
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)
    assert [(bench / name).read_text(encoding="utf-8") for name in names] == ["new"] * 3
    assert not list(bench.glob(".*"))


def test_ctrl_c_before_a_command_begins(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*given: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("scaledesign.cli.parse", stop)
    assert run("scales").code == 130


def test_what_is_known_to_be_long_tells_its_share(run: Run, bench: Path) -> None:
    with stopped_at(100_000) as shares:
        assert run("book", ".").code == 0
    assert shares == [0.0, 0.5]


def test_work_within_work_does_not_count_again() -> None:
    with stopped_at(1000) as shares:
        for _ in each("ab"):
            for _ in each("cd"):
                done(0.9)
        go_on()
        done(0.25)
    assert shares == [0.0, 0.0, 0.0, 0.0, 0.0, 0.5, 0.5, 0.5, 0.5, 0.5, None, 0.25]


def test_a_line_stands_on_a_terminal_while_it_works_and_goes_before_the_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    screen, clock = Terminal(), [0.0]
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr(sys, "stdout", screen)
    monkeypatch.setattr(at_work.time, "monotonic", lambda: clock[0])
    with at_work.telling():
        for second in (0.5, 3.0, 3.1, 4.0):
            clock[0] = second
            done(second / 10)
        print("Found.")
        print("And more.")
    line = "\r\x1b[KAt work: {} % done, {} s; Ctrl+C stops it"
    assert screen.getvalue() == line.format(30, 3) + line.format(40, 4) + "\r\x1b[KFound.\nAnd more.\n"
    assert sys.stdout is screen


def test_nothing_is_said_where_there_is_no_terminal(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(at_work, "PATIENCE", 0.0)
    monkeypatch.setattr(at_work, "BEAT", 0.0)
    result = run("predict", "--example", "marsh-wren")
    assert result.err == ""
    assert "\x1b" not in result.out
