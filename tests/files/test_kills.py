"""A short version of ``tests/bench/kills.py``, and that its judge finds what it looks for."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import scaledesign
from scaledesign.files.journal import Journal
from scaledesign.files.stamp import stamp_of_text
from tests.bench.kills import FAILURES, SHARES, Bench, Session, kinds_of
from tests.bench.timing import ROOT
from tests.terminal.test_kill import cents_after

KILLS = 12


def test_a_thousand_kills_are_shared_out():
    kinds = kinds_of(1000, random.Random(1))
    assert len(kinds) == 1000
    assert {kind: kinds.count(kind) / 1000 for kind in SHARES} == pytest.approx(SHARES, abs=0.002)


PROGRAM = """
import json, sys
from tests.bench import kills

kills.SHARES = {"time": 0.35, "journal": 0.25, "save": 0.15, "file": 0.25}
print(json.dumps(kills.measure(int(sys.argv[1]), 7)))
"""
"""In a process of its own: where tests left threads behind, a fork may wait for a lock that nobody opens."""


@pytest.mark.slow
def test_a_dozen_kills() -> None:
    """Those of windows; ``tests/terminal/test_kill.py`` has the terminal."""
    words = [sys.executable, "-c", PROGRAM, str(KILLS)]
    run = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=True)
    found = json.loads(run.stdout)
    assert found["kills"] == KILLS
    assert [found[name] for name in FAILURES] == [0] * len(FAILURES), found["examples"]
    assert found["worst_loss"] <= 1
    assert found["edits_kept"] > 0


class TestTheJudge:
    """Every loss that there could be is told from what may be."""

    @pytest.fixture
    def bench(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
        monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "home"))
        return Bench(1, tmp_path)

    def text(self, bench: Bench, edits: int) -> str:
        design = bench.flute.read_text(encoding="utf-8")
        found = scaledesign.loads(design)
        rows = tuple(replace(row, cents=c) for row, c in zip(found.rows, cents_after(edits), strict=True))
        return scaledesign.dumps(replace(found, rows=rows))

    def judged(
        self, bench: Bench, told: list[str], in_file: str, in_journal: int | None = None
    ) -> dict[str, int]:
        """What the judge finds wrong, where this was told, and this is in the file and in the journal."""
        before = stamp_of_text(bench.flute.read_text(encoding="utf-8"))
        if in_journal is not None:
            journal = Journal.open(bench.flute)
            journal.write(self.text(bench, in_journal))
            assert journal._claim is not None
            journal._claim.release()
        bench.flute.write_text(in_file, encoding="utf-8")
        lines = "".join(f"{line}\n" for line in told)
        bench._judge("time", bench.flute, before, Session(0, 0, lines.encode(), code=-9))
        return dict(bench.report.failures)

    def saved(self, bench: Bench, edits: int) -> str:
        return f"{edits} {stamp_of_text(self.text(bench, edits))}"

    def test_what_may_be(self, bench: Bench) -> None:
        told = [
            "edit 1",
            "keeping 1",
            "kept 1",
            f"saving {self.saved(bench, 1)}",
            f"saved {self.saved(bench, 1)}",
        ]
        assert self.judged(bench, [*told, "edit 2", "keeping 2"], self.text(bench, 1)) == {}
        assert bench.report.lost == {1: 1}

    def test_a_torn_file(self, bench: Bench) -> None:
        told = ["edit 1", f"saving {self.saved(bench, 1)}"]
        assert self.judged(bench, told, self.text(bench, 1)[:500]) == {"torn": 1}

    def test_a_save_that_was_not_one(self, bench: Bench) -> None:
        told = ["edit 1", f"saving {self.saved(bench, 1)}", f"saved {self.saved(bench, 1)}"]
        assert "lost_saves" in self.judged(bench, told, self.text(bench, 0))

    def test_two_edits_lost(self, bench: Bench) -> None:
        assert self.judged(bench, ["edit 1", "edit 2"], self.text(bench, 0)) == {"lost_more": 1}

    def test_an_edit_lost_that_was_kept(self, bench: Bench) -> None:
        assert self.judged(bench, ["edit 1", "keeping 1", "kept 1"], self.text(bench, 0)) == {"lost_more": 1}

    def test_old_work_offered(self, bench: Bench) -> None:
        told = ["edit 1", "kept 1", "edit 2", f"saving {self.saved(bench, 2)}"]
        assert self.judged(bench, told, self.text(bench, 2), in_journal=1) == {"older": 1}

    def test_a_session_that_ends_by_itself(self, bench: Bench) -> None:
        before = stamp_of_text(bench.flute.read_text(encoding="utf-8"))
        bench._judge("time", bench.flute, before, Session(0, 0, b"ready\n", code=1))
        assert bench.report.failures == {"misread": 1}
