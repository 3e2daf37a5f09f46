"""accuracy: the page on a terminal, as one object, and as a file."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from scaledesign.accuracy.page import PAGE
from scaledesign.accuracy.report import COMPUTE
from scaledesign.cli.exit_codes import CANNOT_USE, OK, USAGE
from tests.cli.running import Run


def test_it_begins_with_a_summary(run: Run) -> None:
    result = run("accuracy")
    assert result.code == OK
    assert result.err == ""
    assert result.out.startswith("How far off\n===========\n")
    top = result.out.partition("Pipes that somebody blew")[0]
    for words in ("cases from", "What no publication covers", "Boehm's schema: its shape"):
        assert words in top


def test_the_object(run: Run) -> None:
    found = run("accuracy", "--json").object
    assert [case["case"] for case in found["cases"]] == list(COMPUTE)
    by_name = {case["case"]: case for case in found["cases"]}
    pipe = by_name["stopped_pipes"]
    assert pipe["outcome"] == "met"
    assert pipe["rows"][0]["published_hz"] == 185.0
    assert pipe["rows"][0].keys() == {"label", "published_hz", "predicted_hz", "error_cents"}
    claim = pipe["checks"][0]
    assert (claim["low_cents"], claim["high_cents"], claim["real_instrument"]) == (-20.0, 20.0, True)
    assert claim["low_cents"] < claim["value_cents"] < claim["high_cents"]
    assert by_name["boehm_spacing"]["rows"][0]["published_m"] == pytest.approx(0.0355)
    assert by_name["boehm_spacing"]["status"] == "memory"
    assert by_name["finger"]["checks"][0]["low_radii"] is None
    assert found["own_reference"]["count"] == 127
    assert found["untested"][0].keys() == {"source", "status", "has", "missing"}
    assert found["uncovered"]


def test_the_file_is_the_page(run: Run, tmp_path: Path) -> None:
    assert run("accuracy", "-o", "page.md").code == OK
    assert (tmp_path / "page.md").read_bytes() == PAGE.read_bytes()


def test_a_file_that_is_there_stays(run: Run, tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text("mine", encoding="utf-8")
    result = run("accuracy", "-o", "page.md")
    assert result.code == CANNOT_USE
    assert "--force" in result.err
    assert (tmp_path / "page.md").read_text(encoding="utf-8") == "mine"
    assert run("accuracy", "-o", "page.md", "--force").code == OK


def test_one_form_at_a_time(run: Run) -> None:
    assert run("accuracy", "--json", "-o", "page.md").code == USAGE


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437"])
def test_an_old_terminal(encoding: str) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "TERM": "dumb", "COLUMNS": "20"}
    environment.pop("PYTHONUTF8", None)
    done = subprocess.run(
        [sys.executable, "-m", "scaledesign", "accuracy"], env=environment, capture_output=True
    )
    assert done.returncode == OK
    assert done.stderr == b""
    assert b"Traceback" not in done.stdout
    assert "in print, but not tested" in done.stdout.decode(encoding).lower()
