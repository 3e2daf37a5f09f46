"""Kept ratios: the gate fails when it should, and only then; the file holds what it says."""

from __future__ import annotations

import pytest

from scaledesign.solver.resonance import resonances
from tests.bench import kept, workload
from tests.bench.kept import LAST, RATIOS, WORSE, added, complaints, line_of, shown, sparkline, worse_by
from tests.bench.timing import seconds
from tests.reference.bridge import plain_of
from tests.reference.design import frequencies


def history(*values: float, name: str = "sample_ratio") -> list[dict[str, str]]:
    """Made-up runs with one ratio."""
    return [{"date": f"2026-01-{day:02}", name: str(value)} for day, value in enumerate(values, 1)]


@pytest.mark.parametrize(
    ("name", "before", "now", "worse"),
    [
        ("sample_ratio", (100, 104, 98, 101), 101, False),
        ("sample_ratio", (100, 104, 98, 101), 100 / 1.55, False),
        ("sample_ratio", (100, 104, 98, 101), 100 / 1.7, True),
        ("sample_ratio", (100, 104, 98, 101), 500, False),  # better, however much
        ("interaction_ratio", (1.8, 1.9, 1.85), 2.7, False),
        ("interaction_ratio", (1.8, 1.9, 1.85), 2.9, True),
        ("interaction_ratio", (1.8, 1.9, 1.85), 0.5, False),
        ("sample_ratio", (100, 100), 1, False),  # two runs say nothing
        ("sample_ratio", (100, 100, 5), 60, True),  # one run gone wrong does not move the median
        ("sample_ratio", (1000, 1000, 1000, 40, 41, 42, 40, 41, 42, 43), 40, False),  # only the last count
        ("sample_ratio", (40, 41, 42, 1000, 1000, 1000, 1000), 40, True),
        ("sample_ratio", (100, 100, 100), float("nan"), True),
    ],
)
def test_the_gate_fails_when_it_should(name: str, before: tuple[float, ...], now: float, worse: bool) -> None:
    said = complaints({name: now}, history(*before, name=name))
    assert bool(said) == worse
    assert all(name in sentence for sentence in said)


def test_a_ratio_that_earlier_runs_lack_is_not_judged() -> None:
    lines = [*history(100, 100, 100), {"date": "2026-02-01", "sample_ratio": ""}]
    assert complaints({"resolve_ratio": 0.001}, lines) == []
    assert worse_by("sample_ratio", 50.0, lines) == pytest.approx(2.0)


def test_the_exit_code_names_what_is_worse(
    tmp_path: object, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole run with made-up figures: kept, then held against what was kept."""
    file = tmp_path / "kept.csv"  # type: ignore[operator]
    monkeypatch.setattr(kept, "FILE", file)
    monkeypatch.setattr(
        kept, "line_of", lambda now: {"date": "2026-01-01"} | {k: str(v) for k, v in now.items()}
    )
    monkeypatch.setattr(kept, "measured", lambda parts: {"sample_ratio": 100.0, "interaction_ratio": 1.8})
    for _ in range(4):
        assert kept.main(["--keep"]) == 0
    monkeypatch.setattr(kept, "measured", lambda parts: {"sample_ratio": 50.0, "interaction_ratio": 1.8})
    before = file.read_text()
    capsys.readouterr()
    assert kept.main([]) == WORSE == 3
    out, err = capsys.readouterr()
    assert err.count("\n") == 1
    assert err.startswith("sample_ratio")
    assert "2000 sampled flutes" in out
    assert file.read_text() == before
    assert kept.main(["--show"]) == 0


def test_a_line_holds_day_commit_versions_and_ratios_alone() -> None:
    line = line_of({"sample_ratio": 123.456})
    assert set(line) == {"date", "commit", "python", "numpy", "sample_ratio"}
    assert line["sample_ratio"] == "123.5"
    text = added("", line)
    text = added(text, {**line, "outputs_ratio": "2.5"})
    assert text.splitlines()[0] == "date,commit,python,numpy,sample_ratio,outputs_ratio"
    assert [each["outputs_ratio"] for each in kept.kept(text)] == ["", "2.5"]


def test_the_history_is_seen_at_a_glance() -> None:
    assert sparkline([1, 2, 3, 8]) == "▁▂▃█"
    assert sparkline([5, 5]) == "▁▁"
    table = shown(history(1, 2, 3), {"sample_ratio": 8.0})
    assert "2000 sampled flutes" in table
    assert table.endswith("▁▂▃█")
    assert "first paint" not in table


def test_the_file_of_the_repository_can_be_read() -> None:
    """Every run has its day, commit and versions, and ratios that are numbers."""
    lines = kept.kept(kept.FILE.read_text(encoding="utf-8"))
    assert lines
    for line in lines:
        assert all(line[key] for key in kept.KEYS)
        assert set(line) <= {*kept.KEYS, *RATIOS}
        assert any(line.get(name) for name in RATIOS)
    assert len(lines) >= 1
    assert LAST >= kept.FEWEST


def test_sampled_flutes_are_many_times_quicker_than_one_by_one() -> None:
    """A gate on what is stable: 200 flutes in a batch against one by the plain reference, scaled.

    Six runs beside much other work gave 940 to 1101; half of that says that something is wrong.
    """
    flutes, fingerings, middle = workload.sample(200)
    ours = min(seconds(lambda: resonances(flutes, fingerings, near=middle)) for _ in range(3))
    rows = workload.plain_rows(workload.lowered(workload.load(workload.FILE)).problem)
    flute, air = plain_of(flutes, 0)
    plain = seconds(lambda: frequencies(flute, rows, air))
    assert 200 * plain / ours > 500
