"""The bench as lines: one step large at any size, the holes in words, letters three lines tall."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, LogEntry
from scaledesign.paper.cautions import at_work
from scaledesign.view import bench
from scaledesign.view.bench import Bench
from scaledesign.view.bench_help import help_lines
from scaledesign.view.bench_other import BARE, Other
from scaledesign.view.bench_words import Words
from scaledesign.view.large import can_be_large, large
from scaledesign.view.lines import DRAWN, TYPED, Line, text_of
from scaledesign.workshop.making.step import Account, Plan, Shift, Step, StepKind

DAY = datetime(2026, 3, 1, 14, 30)
HZ = 523.25


@pytest.fixture(scope="module")
def wren() -> Design:
    return scaledesign.load(EXAMPLES / "marsh-wren.toml")


def a_step(kind: StepKind) -> Step:
    """A step of each kind on hole 6."""
    sized = {"cut": (0.38, 0.36), "undercut": (0.0, 5e-4), "drill": (None, 0.0055)}
    now, to = sized.get(kind, (0.0055, 0.0065))
    if kind in ("blow", "done"):
        return Step(kind, "Because.", sounds=HZ if kind == "blow" else None, sure=12.0)
    if kind == "cut":
        return Step(kind, "Because.", now=now, to=to, final=0.357, sounds=HZ, sure=4.0)
    return Step(
        kind, "Because.", hole=5, at=0.2844 if kind == "drill" else None, now=now,
        to=None if kind == "read" else to, bit=to if kind in ("drill", "open") else None, final=0.0095, row=2,
        holes=("X", "X", "X", "X", "X", "O"), sounds=HZ * 0.99, sure=6.4, aim=HZ, off=-17.0, off_sure=6.0,
        shifts=(Shift(3, 2.4), Shift(5, -1.2)),
    )  # fmt: skip


def a_bench(design: Design, kind: StepKind, signs: object = DRAWN, units: str = "mm") -> Bench:
    holes = (
        Account(5, "begun", 0.0055, 0.0095, 2, -17.0, 6.0),
        *(Account(i, "planned", None, design.holes[i].diameter, None, None, None) for i in range(4, -1, -1)),
    )
    later = Step("drill", "", hole=4, at=design.holes[4].at, to=0.0055, bit=0.0055, final=0.009, row=3)
    plan = Plan((a_step(kind), later, Step("done", "Blow every note.")), holes, ("It is odd.",))
    words = Words(design, "in" if units == "in" else "mm", "edge", TYPED if signs is TYPED else DRAWN)
    return Bench(words, plan, (("Heard C5 -31.", "true"),), moved=(4,))


def texts(lines: tuple[Line, ...]) -> str:
    return "\n".join(map(text_of, lines))


KINDS: tuple[StepKind, ...] = ("blow", "cut", "drill", "read", "open", "file", "undercut", "fill", "done")


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("width", [60, 78, 100])
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_wider_or_longer_than_there_is_room(
    wren: Design, kind: StepKind, width: int, units: str
) -> None:
    for signs in (DRAWN, TYPED):
        now = a_bench(wren, kind, signs, units)
        parts = (
            bench.step_lines(now, width, 12),
            bench.said_lines(now, width, 2),
            bench.account_lines(now, width, compact=True),
            bench.coming_lines(now, width, 3),
            bench.caution_lines(now, width, 9, whole=True),
            bench.note_lines(now, width, 2),
        )
        for lines, most in zip(parts, (12, 2, 3, 3, 9, 2), strict=True):
            assert len(lines) <= most
            for line in lines:
                assert len(text_of(line).rstrip()) <= width, text_of(line)
        assert len(text_of(bench.title_line(now, "Marsh wren", width))) == width
        if signs is TYPED:
            assert texts(parts[0] + parts[2]).isascii()


def test_the_step_says_what_where_which_bit_and_what_the_tuner_shows(wren: Design) -> None:
    shown = texts(bench.step_lines(a_bench(wren, "drill", TYPED), 78, 14))
    assert shown.startswith(" Drill hole 6 (R3) with the 5.5 mm bit.")
    for words in (
        "284.4 mm from the sounding edge",
        "5.5 mm",
        "C5 -17, ~ 6 cents",
        "... ..O",
        "Sharper than C5 +0",
    ):
        assert words in shown
    assert "It also moves D5 +2, E5 -1 cents, ± 1." in texts(bench.step_lines(a_bench(wren, "open"), 78, 20))


@pytest.mark.parametrize("kind", KINDS)
def test_cautions_stand_at_the_steps_that_need_them(wren: Design, kind: StepKind) -> None:
    wanted = {
        "cut": "Sawing", "drill": "Drilling", "open": "Drilling", "file": "Files", "undercut": "Files",
        "fill": "Fillers",
    }  # fmt: skip
    said = texts(bench.caution_lines(a_bench(wren, kind), 76, 40, whole=True))
    brief = texts(bench.caution_lines(a_bench(wren, kind), 80, 1, whole=False))
    assert said.startswith(f" {wanted[kind]}") if kind in wanted else not said
    assert brief.startswith(f" {wanted[kind]}") if kind in wanted else not brief


@pytest.mark.parametrize("width", [60, 80])
@pytest.mark.parametrize("kind", KINDS)
def test_where_there_is_little_room_sentences_are_whole_or_in_the_help(
    wren: Design, kind: StepKind, width: int
) -> None:
    now = a_bench(wren, kind)
    assert now.plan is not None
    now = replace(
        now, plan=replace(now.plan, notes=("One remark. " + "And much to say of it " * 9 + ".", "Two."))
    )
    every = " ".join(texts(help_lines(now, {"undo": ("ctrl+z",)}, 70)).split())
    for most in range(1, 9):
        for lines in (
            bench.step_lines(now, width, most + 6),
            bench.caution_lines(now, width, most, whole=False),
            bench.note_lines(now, width, most),
        ):
            assert DRAWN.ellipsis not in texts(lines)
        hazards = [each.hazard for each in at_work(kind, wren.instrument.material)]
        said = " ".join(texts(bench.caution_lines(now, width, most, whole=False)).split())
        assert all(hazard in said for hazard in hazards)
    assert all(" ".join(note.split()) in every for note in now.plan.notes)


def test_what_is_coming_is_greyed_and_only_that(wren: Design) -> None:
    lines = bench.coming_lines(a_bench(wren, "read"), 80, 9)
    assert {span.tone for line in lines for span in line} == {"faint"}
    assert texts(lines).startswith(" then drill hole 5 (R2) at ")


def test_the_account_has_a_line_a_hole(wren: Design) -> None:
    head, first, *others = bench.account_lines(a_bench(wren, "open"), 76, compact=False)
    assert text_of(head).split() == ["hole", "from", "edge", "now", "in", "the", "end", "note", "off"]
    assert text_of(first).split()[:2] == ["6", "R3"]
    assert "-17 ± 6" in text_of(first)
    assert len(others) == 5
    assert "D5" in text_of(others[0])  # of the step that comes


def test_letters_three_lines_tall() -> None:
    for text in ("C#5 -22", "1 13/64", "No. 29", "Bb4 +7", "241.3"):
        assert can_be_large(text, DRAWN)
        lines = large(text)
        assert len(lines) == 3
        assert len({len(line) for line in lines}) == 1
    assert not can_be_large("C5", TYPED)
    assert not can_be_large("é", DRAWN)


def test_a_bit_is_called_as_it_is_stamped_and_a_file_goes_by_thousandths(wren: Design) -> None:
    inch = 0.0254
    design = replace(wren, shop=replace(wren.shop, bits="inch numbers"))
    words = Words(design, "in")
    assert words.width(0.136 * inch) == "No. 29"
    assert words.width(0.1395 * inch) == "9/64 in (0.140)"
    assert words.width(0.295 * inch) == "19/64 in (0.295)"
    assert words.width(0.004 * inch) == "0.004 in"
    filed = Step("file", "", hole=5, now=0.28 * inch, to=0.295 * inch)
    assert words.numbers(filed)[0] == ("file to, in (19/64)", "0.295")
    assert words.filed(0.295 * inch) == "just under 19/64 in (0.295)"
    assert words.filed(0.299 * inch) == "just over 19/64 in (0.299)"
    assert words.filed(0.25 * inch) == "1/4 in"
    assert words.width(0.25 * inch) == "1/4 in"
    assert Words(wren, "mm").width(0.00935) == "9.35 mm"


def test_something_else_is_asked_for_plainly(wren: Design) -> None:
    other = Other(Words(wren, "mm"), 5, 22.0)
    assert other.kind == "cut"
    assert not other.ready
    assert other.answered("size", "350 mm").told().acts[0].kind == "cut"
    opened = other.answered("what", "opened").answered("size", "6.5")
    assert opened.ready
    (act,) = opened.told().acts
    assert (act.kind, act.hole, act.size) == ("opened", 5, 0.0065)
    assert text_of(opened.tail(70)[0]) == "Opened hole 6 (R3) to 6.5 mm."
    assert not opened.answered("hole", "9").ready
    bare = other.answered("what", BARE).answered("tuner", "A4 -3")
    assert bare.told().bare
    with pytest.raises(KeyError):
        other.answered("nothing", "")


def test_a_fingering_shows_only_holes_that_are_there(wren: Design) -> None:
    log = (LogEntry(DAY, "drilled", hole=5, at=0.28, diameter=0.0055),)
    words = Words(replace(wren, log=log), "mm")
    assert words.fingers(("X", "X", "X", "X", "X", "O")) == "··· ··○"
    assert words.fingers(("X", "X", "X", "X", "O", "X"), drilling=4) == "··· ·○●"
