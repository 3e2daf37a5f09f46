"""A short campaign through every door, all that was found before, and a moment of the coverage-guided fuzzer.

In processes of their own: the ear that hears what data does cannot be taken out again.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.errors import DesignError, ScaledesignError, ScaleError
from scaledesign.files import document_file, midi_tuning, scale_file
from scaledesign.wanted import go_on
from tests.fuzz.apart import Apart
from tests.fuzz.found import FOUND
from tests.fuzz.mutation import NUMBERS, TEXTS
from tests.fuzz.targets import TARGETS
from tests.fuzz.typed_doors import READERS
from tests.fuzz.watch import Target

RUN = Path(__file__).with_name("run.py")
GUIDED = sys.platform == "linux" and sys.version_info < (3, 14)
"""Where atheris has a wheel."""
VALUES = st.one_of(
    st.sampled_from(NUMBERS),
    st.sampled_from(TEXTS).map(lambda text: json.dumps(text)),
    st.recursive(st.sampled_from(("1", '"a"', "0.5")), lambda inner: st.lists(inner, max_size=3).map(
        lambda items: f"[{', '.join(items)}]")),
)  # fmt: skip
KEYS = st.sampled_from(("length", "bore", "wall", "at", "diameter", "note", "holes", "degrees", "name", "x"))
HEADERS = st.sampled_from(
    ("", "[tube]", "[instrument]", "[tuning]", "[scale]", "[[holes]]", "[[rows]]", "[[log]]")
)


def _told(*arguments: str) -> dict[str, dict[str, object]]:
    """What a campaign told; no fault is in it."""
    told = [sys.executable, str(RUN), "--json", *arguments]
    done = subprocess.run(
        told, capture_output=True, text=True, check=False, timeout=600, env=dict(os.environ)
    )
    assert done.returncode == 0, done.stderr[-3000:] + done.stdout[-3000:]
    tallies: dict[str, dict[str, object]] = json.loads(done.stdout)
    assert not any(tally["faults"] for tally in tallies.values())
    return tallies


def test_what_was_found_is_found_no_more_and_a_short_campaign_finds_nothing() -> None:
    tallies = _told("--found", "--inputs", "400", "--seed", "15")
    assert set(tallies) == set(TARGETS)
    assert sum(tally["inputs"] for tally in tallies.values()) > 400


if GUIDED:

    def test_what_the_coverage_guided_fuzzer_tries_first(tmp_path: Path) -> None:
        guided = str(RUN.with_name("guided.py"))
        told = [sys.executable, guided, "--target", "typed", "--inputs", "500", "--faults", str(tmp_path)]
        done = subprocess.run(told, capture_output=True, text=True, check=False, timeout=600)
        assert done.returncode == 0, done.stderr[-3000:] + done.stdout[-3000:]
        assert done.stdout.splitlines()[1].split()[:3] == ["typed", "500", "500"]


def _busy(seconds: float) -> None:
    until = time.process_time() + seconds
    while time.process_time() < until:
        pass


def _told_of(data: bytes, folder: Path) -> None:
    for _ in range(13):
        _busy(0.1)
        go_on()


def _grown(data: bytes, folder: Path) -> None:
    bytearray(250_000_000)[::4096] = b"x" * -(-250_000_000 // 4096)


SLIPS = {
    "well": (lambda data, folder: None, ""),
    "told": (_told_of, "too slow"),
    "told-at-length": (_told_of, ""),
    "silent": (lambda data, folder: _busy(1.1), "silent too long"),
    "grown": (_grown, "too much memory"),
    "ended": (lambda data, folder: os._exit(3), "the process ended with 3"),
    "broken": (lambda data, folder: {}["x"], "KeyError"),
    "written": (lambda data, folder: (folder.parent / "x").write_text("x"), "does what no data may: writes"),
}
"""What goes wrong behind a door, and the fault that is to be seen."""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the system has no fork")
def test_every_kind_of_fault_is_seen(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    doors = {
        name: Target(name, run, lambda: (), seconds=20.0 if name != "told" else 1.0, apart=True)
        for name, (run, _) in SLIPS.items()
    }
    apart = Apart(doors)
    for name, (_, fault) in SLIPS.items():
        outcome = apart.run(doors[name], b"", tmp_path / "own", {})
        assert outcome.fault.startswith(fault) if fault else not outcome.fault, (name, outcome)
    outcome = apart.run(doors["told-at-length"], b"", tmp_path / "own", {})
    assert outcome.seconds > 1.2
    assert outcome.silent < 0.5


def _refused(read, given, refused) -> tuple[list[str], int]:
    """Lines that refuse an input, and how many faults they are of; none where it is taken."""
    try:
        read(given)
    except refused as error:
        return str(error).split("\n"), len(getattr(error, "faults", ()))
    return [], 0


@given(st.lists(st.tuples(HEADERS, st.lists(st.tuples(KEYS, VALUES), max_size=4)), max_size=5))
@settings(max_examples=150)
def test_any_toml_is_a_design_or_a_sentence(tables) -> None:
    text = "".join(
        f"{head}\n" + "".join(f"{key} = {value}\n" for key, value in pairs) for head, pairs in tables
    )
    for read, refused in ((document_file.loads, DesignError), (scale_file.loads, ScaleError)):
        said, faults = _refused(read, text, refused)
        assert len(said) == faults


@given(st.text(max_size=40) | st.lists(st.sampled_from(TEXTS[:60]), max_size=4).map("".join))
@settings(max_examples=150)
def test_any_text_is_read_or_refused(text: str) -> None:
    for reader in READERS:
        assert len(_refused(reader, text, ScaledesignError)[0]) <= 1


@given(
    st.lists(
        st.sampled_from((b"\xf0", b"\x7e", b"\x7f\x08\x01", b"\x08\x02\0", b"\xf7", b"\0" * 400))
        | st.binary(max_size=9)
    )
)
@settings(max_examples=150)
def test_any_messages_are_a_tuning_or_a_sentence(parts: list[bytes]) -> None:
    assert len(_refused(midi_tuning.loads, b"".join(parts), ScaleError)[0]) <= 1


def test_every_fault_found_belongs_to_a_door() -> None:
    assert set(FOUND) <= set(TARGETS)
