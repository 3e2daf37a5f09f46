"""The bench times what it says: both sides do the same task, and what it waits for is on the screen."""

import math

import pytest

from scaledesign.solver.resonance import resonances
from scaledesign.workshop.suits import speaking, suits
from tests.bench import papers, run, screen, terminal, workload
from tests.reference.bridge import plain_of
from tests.reference.design import Row, frequencies


def test_every_figure_of_the_issue_is_in_the_table():
    keys = {key for key, _, _ in run.TABLE}
    assert keys >= {
        "resolve_ms", "resolve_ratio", "predict_all_ms", "sample_s", "sample_ratio", "predict_s", "import_s",
        "key_to_paint_p95_ms", "first_paint_s", "repaint_200x16_ms",
        "interaction_ratio", "half_729_s", "half_729_ratio", "suits_60x12_s", "suits_60x12_ratio",
    }  # fmt: skip


def test_the_task_is_the_one_that_is_named():
    design = workload.load(workload.FILE)
    assert (len(design.holes), len(design.rows), design.tube.locked) == (6, 13, True)
    assert not any(hole.locked for hole in design.holes)
    assert workload.every_fingering()[1].count == 64


def test_sample_agrees_with_the_plain_reference():
    flutes, fingerings, middle = workload.sample(4)
    found = resonances(flutes, fingerings, near=middle).frequency
    rows = workload.plain_rows(workload.lowered(workload.load(workload.FILE)).problem)
    for n in (0, 3):
        flute, air = plain_of(flutes, n)
        assert run.off(found[n], frequencies(flute, rows, air)) < 1e-6


def test_half_holing_agrees_with_the_plain_reference():
    flutes, fingerings = workload.every_half_holing()
    assert fingerings.count == 729
    few = slice(100, None, 300)
    rows = tuple(Row(tuple(map(float, share)), 1, 1.0) for share in fingerings.share.T[few])
    found = resonances(flutes, fingerings).frequency[0, few]
    flute, air = plain_of(flutes)
    assert flute.outside
    assert run.off(found, frequencies(flute, rows, air)) < 1e-3


def test_sixty_scales_are_matched_as_plain_loops_match_them():
    """On fingerings that are found quickly: which notes take which is what is held together here."""
    design, scales = workload.load(workload.FILE), workload.sixty()
    assert len(scales) == 60
    found = suits(design, scales, halves=False)
    assert found.worst.shape == (60, 12)
    usable = speaking(design, found.playable)
    root = 440.0 * 2**-0.75
    plain = workload.plain_suits(design, found.playable, usable, scales[::20], root, found.within)
    assert abs(found.worst[::20]) == pytest.approx(abs(plain), abs=1e-6)


@pytest.mark.slow
def test_re_solve_lands_where_the_plain_reference_does():
    """Our own step against scipy's least_squares with bounds: within 0.1 cent on every row."""
    before = workload.settled()
    _, edited = workload.edits(before.design)[3]
    ours = workload.resolve(edited, before.fit.resonances).resonances.frequency[0]
    assert run.off(ours, workload.plain_resolve(edited)) < run.AGREE


def test_screen_of_the_bench_is_what_the_bytes_say_wherever_they_are_cut():
    data = "\x1b[?25l\x1b[2;3H\x1b[1;38;5;231mnote ●\x1b[0m\r\n  −3\x1b]22;default\x07\x1b[1;1Hwren".encode()
    for cut in range(len(data)):
        shown = terminal.Screen()
        shown.feed(data[:cut])
        shown.feed(data[cut:])
        assert [line.rstrip() for line in shown.lines[:4]] == ["wren", "  note ●", "  −3", ""]


def test_wide_design_is_what_its_name_says():
    design = workload.wide()
    assert (len(design.rows), len(design.fingered())) == (200, 16)
    assert len({row.holes for row in design.rows}) == 200


def test_every_output_is_timed_as_its_own_process(monkeypatch):
    """Each kind and form is one command that is run, and one line of the table."""
    asked = []
    monkeypatch.setattr(
        papers, "median_process_seconds", lambda *words, count: asked.append(words) or float(len(asked))
    )
    figures = papers.papers()
    assert set(figures) == {key for key, _, _ in papers.lines()} <= {key for key, _, _ in run.TABLE}
    assert {"template_pdf_s", "sheet_pdf_s", "chart_pdf_s", "chart_html_s", "notes_musicxml_s"} <= set(
        figures
    )
    assert len(asked) == len(papers.MADE) + 2
    assert figures["outputs_ratio"] == len(papers.MADE) / len(asked)


@pytest.mark.slow
def test_screen_is_timed_in_a_terminal(monkeypatch):
    """Every figure of the screen comes out of a real run, and is one of the table's."""
    for name, few in (("PRESSES", 8), ("BURSTS", 1), ("BURST", 3), ("STARTS", 1)):
        monkeypatch.setattr(screen, name, few)
    figures = run.on_screen()
    assert set(figures) <= {key for key, _, _ in run.TABLE}
    assert all(math.isfinite(figure) and figure > 0 for figure in figures.values())
    assert figures["key_to_paint_ms"] <= figures["key_to_settled_p95_ms"]
